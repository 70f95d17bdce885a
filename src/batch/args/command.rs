//! From what was typed behind a command to the command as plain data: what must be there, what goes
//! together and what does not.

use super::Command;
use super::options::Options;
use super::wishes::ArrangeWish;
use super::wishes::ChordWish;
use super::wishes::CompareWish;
use super::wishes::DrillWish;
use super::wishes::ExportWish;
use super::wishes::FileWish;
use super::wishes::ImportWish;
use super::wishes::KeysWish;
use super::wishes::LadderWish;
use super::wishes::OtherSource;
use super::wishes::Source;
use super::wishes::VoicingsWish;
use super::words::Usage;
use super::words::Words;
use crate::batch::help::Topic;
use crate::session::DRILL_SERIES;
use crate::session::MOST_CAPO;
use crate::session::sound_file;
use std::ffi::OsString;
use std::path::PathBuf;

/// Lines that fit a terminal of 80 columns.
const USUAL_LINES: u16 = 4;

impl Words {
    fn keys_wish(&self, source: Source, typed: &Options) -> Result<KeysWish, Usage> {
        let most = typed.changes.capo;
        if most.is_some_and(|capo| capo > MOST_CAPO) {
            let range = format!("`--capo` here takes a fret from 0 to {MOST_CAPO}");
            return Err(self.wrong(range));
        }
        if most.is_some() && !typed.capos.is_empty() {
            return Err(self.wrong("`--capo` and `--capos` say the same: give one of them"));
        }
        Ok(KeysWish {
            source,
            capos: most.map_or_else(|| typed.capos.clone(), |most| (0..=most).collect()),
            tunings: typed.tunings.clone(),
            range: typed.range,
            top: typed.top,
            json: typed.json,
        })
    }

    fn compare_wish(&self, a: Source, typed: &Options) -> Result<CompareWish, Usage> {
        let b = match (&typed.second, &typed.kept) {
            (Some(word), None) => OtherSource::Of(source_of(word)),
            (None, Some(name)) => OtherSource::Kept(name.clone()),
            (Some(_), Some(_)) => {
                return Err(self.wrong("two files, or one with --kept: not both"));
            }
            (None, None) => {
                return Err(self.wrong("a second file is missing, or --kept NAME"));
            }
        };
        if a == Source::StandardInput && b == OtherSource::Of(Source::StandardInput) {
            return Err(self.wrong("only one of the two can be standard input"));
        }
        let json = typed.json;
        Ok(CompareWish { a, b, json })
    }

    /// The command that was typed, with its options.
    pub(super) fn finish(self, typed: Options) -> Result<Command, Usage> {
        let text = |word: &OsString| word.to_str().map(str::to_owned);
        let symbol = || {
            let symbol = typed.word.as_ref().and_then(text);
            symbol.ok_or_else(|| self.wrong("a chord symbol is missing, such as `Ebm7b5`"))
        };
        let source = || match &typed.word {
            None => Err(self.wrong("a file is missing (or `-` for standard input)")),
            Some(word) => Ok(source_of(word)),
        };
        let output = || {
            let what = if self.topic == Topic::Ladder {
                "FOLDER"
            } else {
                "FILE"
            };
            let missing = || self.wrong(format!("say where to write: `-o {what}`"));
            typed.outputs.first().cloned().ok_or_else(missing)
        };
        let json = typed.json;
        Ok(match self.topic {
            Topic::Main => Command::Help(Topic::Main),
            Topic::Chord => Command::Chord(ChordWish {
                symbol: symbol()?,
                json,
            }),
            Topic::Voicings => Command::Voicings(VoicingsWish {
                symbol: symbol()?,
                bass: typed.bass,
                tuning: typed.changes.tuning,
                capo: typed.changes.capo,
                top: typed.top,
                json,
            }),
            Topic::Arrange => Command::Arrange(ArrangeWish {
                source: source()?,
                output: output()?,
                changes: typed.changes,
            }),
            Topic::Import if typed.list && !typed.outputs.is_empty() => {
                return Err(self.wrong("--list writes nothing: leave out `-o`"));
            }
            Topic::Import => Command::Import(ImportWish {
                source: source()?,
                output: if typed.list { None } else { Some(output()?) },
                choice: typed.choice,
            }),
            Topic::Export => {
                let outputs = output().map(|_| typed.outputs.clone())?;
                let is_sound = |output: &PathBuf| sound_file::is_sound(output);
                if typed.sound.is_some() && !outputs.iter().any(is_sound) {
                    let only = "--rate, --bits and --stems are for sound: OUT must end in .wav";
                    return Err(self.wrong(only));
                }
                Command::Export(ExportWish {
                    source: source()?,
                    outputs,
                    sheet: typed.sheet,
                    dpi: typed.dpi,
                    sound: typed.sound.unwrap_or_default(),
                })
            }
            Topic::Check => Command::Check(FileWish {
                source: source()?,
                json,
            }),
            Topic::Events => Command::Events(FileWish {
                source: source()?,
                json,
            }),
            Topic::Keys => Command::Keys(self.keys_wish(source()?, &typed)?),
            Topic::Drill => Command::Drill(DrillWish {
                source: source()?,
                lines: typed.lines.unwrap_or(USUAL_LINES),
                rung: typed.rung,
                series: typed.series.unwrap_or(*DRILL_SERIES.start()),
            }),
            Topic::Compare => Command::Compare(self.compare_wish(source()?, &typed)?),
            Topic::Ladder => Command::Ladder(LadderWish {
                source: source()?,
                folder: output()?,
            }),
            Topic::Trellis => Command::Trellis(FileWish {
                source: source()?,
                json,
            }),
        })
    }
}

/// A file, or standard input for `-`.
fn source_of(word: &OsString) -> Source {
    if word == "-" {
        Source::StandardInput
    } else {
        Source::File(word.into())
    }
}
