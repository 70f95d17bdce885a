//! What was typed, as close to the typing as possible. Only the words themselves are checked here:
//! no file is looked at, so everything in this file can be tested with plain text. What the words
//! mean for a document is decided by the jobs.

use super::help::Topic;
use crate::document::Approach;
use crate::document::Feel;
use crate::document::LAY_BACK_MS;
use crate::document::MAX_CHORUSES;
use crate::document::SWING_PERMILLE;
use crate::document::Walk;
use crate::files;
use crate::import::Choice;
use crate::session::DRILL_SERIES;
use crate::session::MOST_CAPO;
use crate::session::SoundOptions;
use crate::session::VoiceRange;
use crate::session::sound_file;
use crate::theory::Rule;
use crate::voicing::Bass;
use lexopt::Arg;
use lexopt::Parser;
use lexopt::ValueExt as _;
use std::ffi::OsString;
use std::fmt;
use std::path::PathBuf;

mod options;
mod wishes;

pub use wishes::ArrangeWish;
pub use wishes::Changes;
pub use wishes::ChordWish;
pub use wishes::ChorusWish;
pub use wishes::CompareWish;
pub use wishes::DrillWish;
pub use wishes::ExportWish;
pub use wishes::FileWish;
pub use wishes::ImportWish;
pub use wishes::KeysWish;
pub use wishes::LadderWish;
pub use wishes::OtherSource;
pub use wishes::SheetChanges;
pub use wishes::Source;
pub use wishes::VoicingsWish;

/// Lines that are written at once; more do not fit side by side.
const MOST_LINES: u16 = 24;

/// Lines that fit a terminal of 80 columns.
const USUAL_LINES: u16 = 4;

/// One command line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Command {
    /// No job: the window.
    Window(Option<PathBuf>),
    /// A help text.
    Help(Topic),
    /// The version.
    Version,
    /// What a chord symbol means.
    Chord(ChordWish),
    /// The voicings of a chord.
    Voicings(VoicingsWish),
    /// From a chart to a project.
    Arrange(ArrangeWish),
    /// From other programs' files.
    Import(ImportWish),
    /// To other formats.
    Export(ExportWish),
    /// Findings.
    Check(FileWish),
    /// Notes in time.
    Events(FileWish),
    /// How the tune lies in other keys.
    Keys(KeysWish),
    /// Lines to drill.
    Drill(DrillWish),
    /// Two versions side by side.
    Compare(CompareWish),
    /// The tune on rising rungs.
    Ladder(LadderWish),
    /// The solved problem.
    Trellis(FileWish),
}

/// A command line that makes no sense, with the usage of the command it came nearest to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Usage {
    message: String,
    topic: Topic,
}

impl fmt::Display for Usage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let call = self
            .topic
            .word()
            .map_or_else(String::new, |word| format!(" {word}"));
        write!(
            f,
            "{}\n{}\nSee `thumbwalk{call} --help`",
            self.message,
            self.topic.usage()
        )
    }
}

/// Reads a command line without the program's name.
///
/// # Errors
/// If it makes no sense; the error says what was expected.
pub fn parse(args: impl IntoIterator<Item = OsString>) -> Result<Command, Usage> {
    let mut words = Words {
        parser: Parser::from_args(args),
        topic: Topic::Main,
    };
    match words.next()? {
        None => Ok(Command::Window(None)),
        Some(Typed::Long(option)) => match option.as_str() {
            "help" | "h" => Ok(Command::Help(Topic::Main)),
            "version" | "V" => Ok(Command::Version),
            _ => Err(words.unknown(&option)),
        },
        Some(Typed::Word(word)) => match word.to_str().and_then(Topic::from_word) {
            Some(topic) => {
                words.topic = topic;
                words.command()
            }
            None => words.window(&word),
        },
    }
}

enum Typed {
    /// An option without its hyphens.
    Long(String),
    Word(OsString),
}

/// The words still to be read, and the command they belong to.
struct Words {
    parser: Parser,
    topic: Topic,
}

impl Words {
    fn wrong(&self, message: impl Into<String>) -> Usage {
        Usage {
            message: message.into(),
            topic: self.topic,
        }
    }

    fn unknown(&self, option: &str) -> Usage {
        let hyphens = if option.chars().count() == 1 {
            "-"
        } else {
            "--"
        };
        self.wrong(format!("there is no option `{hyphens}{option}` here"))
    }

    fn next(&mut self) -> Result<Option<Typed>, Usage> {
        let topic = self.topic;
        let wrong = |message: String| Usage { message, topic };
        match self.parser.next().map_err(|e| wrong(e.to_string()))? {
            None => Ok(None),
            Some(Arg::Long(option)) => Ok(Some(Typed::Long(option.into()))),
            Some(Arg::Short(letter)) => Ok(Some(Typed::Long(letter.into()))),
            Some(Arg::Value(word)) => Ok(Some(Typed::Word(word))),
        }
    }

    fn value(&mut self, option: &str, expected: &str) -> Result<OsString, Usage> {
        let value = self.parser.value();
        value.map_err(|_| self.wrong(format!("`{option}` needs {expected}")))
    }

    fn read<T>(
        &mut self,
        option: &str,
        expected: &str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Result<T, Usage> {
        let typed = self.value(option, expected)?;
        let text = typed.string().map_err(|e| self.wrong(e.to_string()))?;
        read(&text).ok_or_else(|| self.wrong(format!("`{option} {text}`: expected {expected}")))
    }

    fn window(mut self, word: &OsString) -> Result<Command, Usage> {
        let bare = word.to_str().filter(|w| !w.contains(['.', '/', '\\']));
        if let Some(bare) = bare {
            let known: Vec<&str> = Topic::COMMANDS.iter().filter_map(|t| t.word()).collect();
            return Err(self.wrong(format!(
                "there is no command `{bare}`; there are: {} (to open a file of that name, write `./{bare}`)",
                known.join(", ")
            )));
        }
        match self.next()? {
            None => Ok(Command::Window(Some(word.into()))),
            Some(Typed::Long(option)) => Err(self.unknown(&option)),
            Some(Typed::Word(_)) => Err(self.wrong("only one file can be opened at a time")),
        }
    }

    fn command(mut self) -> Result<Command, Usage> {
        let mut typed = Options::default();
        while let Some(word) = self.next()? {
            match word {
                Typed::Long(option) if matches!(option.as_str(), "help" | "h") => {
                    return Ok(Command::Help(self.topic));
                }
                Typed::Long(option) => self.option(&option, &mut typed)?,
                Typed::Word(word) if typed.word.is_none() => typed.word = Some(word),
                Typed::Word(word) if self.topic == Topic::Compare && typed.second.is_none() => {
                    typed.second = Some(word);
                }
                Typed::Word(word) => {
                    let word = word.to_string_lossy();
                    return Err(self.wrong(format!("`{word}` is one word too many")));
                }
            }
        }
        self.finish(typed)
    }

    fn option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
        if !self.topic.options().contains(&option) {
            return Err(self.unknown(option));
        }
        match option {
            "json" => typed.json = true,
            "o" => {
                let output = self.value("-o", "a file to write")?.into();
                if !typed.outputs.is_empty() && self.topic != Topic::Export {
                    return Err(self.wrong("only one file can be written: `-o` stands here twice"));
                }
                typed.outputs.push(output);
            }
            "bass" => {
                typed.bass = self.read("--bass", "root, any, 3, 5 or 7", bass_from_text)?;
            }
            "top" => {
                let read = |t: &str| t.parse().ok().filter(|n| *n > 0);
                typed.top = Some(self.read("--top", "a whole number from 1", read)?);
            }
            "tuning" => {
                let expected = "a name or open strings, lowest first";
                typed.changes.tuning = Some(self.read("--tuning", expected, |t| Some(t.into()))?);
            }
            "capo" => {
                typed.changes.capo =
                    Some(self.read("--capo", "a fret, 0 for none", |t| t.parse().ok())?);
            }
            "seed" => {
                let expected = "a whole number from 0";
                typed.changes.seed = Some(self.read("--seed", expected, |t| t.parse().ok())?);
            }
            "swing" => {
                let expected = "a ratio from 1 to 3.5 such as 2 or 1.5:1, or straight, or tempo";
                typed.changes.feel = Some(self.read("--swing", expected, feel_from_text)?);
            }
            "lay-back" => {
                let (from, to) = (LAY_BACK_MS.start(), LAY_BACK_MS.end());
                let expected = format!("milliseconds, {from} to {to}");
                let read = |t: &str| t.parse().ok().filter(|ms| LAY_BACK_MS.contains(ms));
                typed.changes.lay_back_ms = Some(self.read("--lay-back", &expected, read)?);
            }
            "purpose" | "paper" | "staff" | "font" | "size" | "bars" | "table" | "chorus" => {
                self.sheet_option(option, &mut typed.sheet)?;
            }
            "dpi" => self.dpi_option(typed)?,
            "rate" | "bits" | "stems" => self.sound_option(option, typed)?,
            "walk" => {
                let expected = "roots, plain, two-approaches, runs or mixed";
                typed.changes.walk = Some(self.read("--walk", expected, Walk::from_word)?);
            }
            "riff" => typed.changes.riff = true,
            "kept" => {
                let expected = "the name of a kept version";
                typed.kept = Some(self.read("--kept", expected, |t| Some(t.into()))?);
            }
            "without-rule" => {
                let words: Vec<&str> = Rule::ALL.iter().map(|rule| rule.word()).collect();
                let rule = self.read("--without-rule", &words.join(", "), Rule::from_word)?;
                typed.changes.rules_off = typed.changes.rules_off.with(rule);
            }
            "choruses" => {
                let expected = format!("a whole number from 1 to {MAX_CHORUSES}");
                let read = |t: &str| t.parse().ok().filter(|n| (1..=MAX_CHORUSES).contains(n));
                typed.changes.choruses = Some(self.read("--choruses", &expected, read)?);
            }
            "capos" | "tunings" | "range" => self.keys_option(option, typed)?,
            "list" | "part" | "track" | "grid" => self.import_option(option, typed)?,
            "lines" | "rung" | "series" => self.drill_option(option, typed)?,
            "approach" => {
                let expected = "below, above, alternate or easiest";
                typed.changes.approach =
                    Some(self.read("--approach", expected, approach_from_text)?);
            }
            other => return Err(self.unknown(other)),
        }
        Ok(())
    }

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

    fn finish(self, typed: Options) -> Result<Command, Usage> {
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

/// Everything that can stand after a command.
#[derive(Default)]
struct Options {
    word: Option<OsString>,
    /// A second word, where two files are compared.
    second: Option<OsString>,
    kept: Option<String>,
    capos: Vec<u8>,
    tunings: Vec<String>,
    range: Option<VoiceRange>,
    outputs: Vec<PathBuf>,
    bass: Bass,
    top: Option<usize>,
    json: bool,
    sheet: SheetChanges,
    sound: Option<SoundOptions>,
    dpi: Option<u16>,
    list: bool,
    lines: Option<u16>,
    rung: Option<usize>,
    series: Option<u64>,
    choice: Choice,
    changes: Changes,
}

impl Options {
    fn sound_mut(&mut self) -> &mut SoundOptions {
        self.sound.get_or_insert_default()
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

fn bass_from_text(text: &str) -> Option<Bass> {
    Some(match text {
        "root" => Bass::Root,
        "any" => Bass::Any,
        "3" => Bass::Third,
        "5" => Bass::Fifth,
        "7" => Bass::Seventh,
        _ => return None,
    })
}

fn approach_from_text(text: &str) -> Option<Approach> {
    Some(match text {
        "below" => Approach::Below,
        "above" => Approach::Above,
        "alternate" => Approach::Alternate,
        "easiest" => Approach::Easiest,
        _ => return None,
    })
}

fn feel_from_text(text: &str) -> Option<Feel> {
    match text {
        "straight" => Some(Feel::Straight),
        "tempo" => Some(Feel::FollowTempo),
        ratio => files::permille_from_text(ratio)
            .filter(|permille| SWING_PERMILLE.contains(permille))
            .map(Feel::Swing),
    }
}

#[cfg(test)]
mod tests;
