//! What single options of the command line take, by what they belong to: sound, pages, import, keys
//! and drills. Each reads its value and says what was expected.

use super::wishes::Changes;
use super::wishes::ChorusWish;
use super::wishes::SheetChanges;
use super::words::Usage;
use super::words::Words;
use crate::batch::help::Topic;
use crate::document::Approach;
use crate::document::BARS_PER_SYSTEM;
use crate::document::Feel;
use crate::document::LAY_BACK_MS;
use crate::document::MAX_CHORUSES;
use crate::document::MusicSize;
use crate::document::Paper;
use crate::document::SWING_PERMILLE;
use crate::document::SheetFont;
use crate::document::SheetPreset;
use crate::document::Walk;
use crate::export::png::DPI;
use crate::files;
use crate::import::Choice;
use crate::import::Grid;
use crate::session::DRILL_SERIES;
use crate::session::MOST_CAPO;
use crate::session::SoundOptions;
use crate::session::VoiceRange;
use crate::session::sound_file;
use crate::theory::Rule;
use crate::voicing::Bass;
use std::ffi::OsString;
use std::ops::RangeInclusive;
use std::path::PathBuf;
use std::str::FromStr;

/// Lines that are written at once; more do not fit side by side.
const MOST_LINES: u16 = 24;

/// Everything that can stand after a command.
#[derive(Default)]
pub struct Options {
    /// The first word behind the command.
    pub word: Option<OsString>,
    /// A second word, where two files are compared.
    pub second: Option<OsString>,
    /// A kept version.
    pub kept: Option<String>,
    /// Capos to try.
    pub capos: Vec<u8>,
    /// Tunings to try.
    pub tunings: Vec<String>,
    /// The range of the voice.
    pub range: Option<VoiceRange>,
    /// Where to write.
    pub outputs: Vec<PathBuf>,
    /// What the thumb takes.
    pub bass: Bass,
    /// At most so many.
    pub top: Option<usize>,
    /// Whether JSON is wanted.
    pub json: bool,
    /// Changes of the pages.
    pub sheet: SheetChanges,
    /// How sound files are written, if anything was said.
    pub sound: Option<SoundOptions>,
    /// Dots per inch of pictures.
    pub dpi: Option<u16>,
    /// Whether parts are only listed.
    pub list: bool,
    /// Lines to drill.
    pub lines: Option<u16>,
    /// The rung to drill, from 0.
    pub rung: Option<usize>,
    /// Which run of lines.
    pub series: Option<u64>,
    /// What to take of another program's file.
    pub choice: Choice,
    /// Changes of the tune's settings.
    pub changes: Changes,
}

impl Options {
    fn sound_mut(&mut self) -> &mut SoundOptions {
        self.sound.get_or_insert_default()
    }
}

impl Words {
    /// Reads one option of the command, with what stands behind it.
    pub(super) fn option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
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
                let read = within(1..=usize::MAX);
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
                let read = within(LAY_BACK_MS);
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
                let read = within(1..=MAX_CHORUSES);
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

    /// Options of sound files.
    fn sound_option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
        match option {
            "rate" => {
                let read = |t: &str| listed(t, &sound_file::SOUND_RATES);
                let expected = "44100 or 48000 frames a second";
                typed.sound_mut().rate = self.read("--rate", expected, read)?;
            }
            "bits" => {
                let read = |t: &str| listed(t, &sound_file::SOUND_BITS);
                typed.sound_mut().bits = self.read("--bits", "16 or 24", read)?;
            }
            "stems" => typed.sound_mut().stems = true,
            other => return Err(self.unknown(other)),
        }
        Ok(())
    }

    fn dpi_option(&mut self, typed: &mut Options) -> Result<(), Usage> {
        let (from, to) = (DPI.start(), DPI.end());
        let expected = format!("dots per inch, {from} to {to}");
        typed.dpi = Some(self.read("--dpi", &expected, within(DPI))?);
        Ok(())
    }

    /// Options that say which lines are drilled.
    fn drill_option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
        match option {
            "lines" => {
                let expected = format!("a number from 1 to {MOST_LINES}");
                let read = within(1..=MOST_LINES);
                typed.lines = Some(self.read("--lines", &expected, read)?);
            }
            "rung" => {
                typed.rung = Some(self.read("--rung", "a number from 1", from_one)?);
            }
            _ => {
                let (from, to) = (DRILL_SERIES.start(), DRILL_SERIES.end());
                let expected = format!("a number from {from} to {to}");
                let read = within(DRILL_SERIES);
                typed.series = Some(self.read("--series", &expected, read)?);
            }
        }
        Ok(())
    }

    /// Options that say what to take of another program's file.
    fn import_option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
        match option {
            "list" => typed.list = true,
            "part" | "track" => {
                let expected = "a number from 1, as --list shows them";
                let part = self.read(&format!("--{option}"), expected, from_one)?;
                if typed.choice.part.is_some() {
                    return Err(self.wrong("--part and --track are the same: give one of them"));
                }
                typed.choice.part = Some(part);
            }
            "grid" => {
                typed.choice.grid = Some(self.read("--grid", "8, 8t or 16", Grid::from_word)?);
            }
            other => return Err(self.unknown(other)),
        }
        Ok(())
    }

    /// Options that say what keys are compared with.
    fn keys_option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
        match option {
            "capos" => {
                let expected = format!("frets such as 0-{MOST_CAPO} or 0,2,3, at most {MOST_CAPO}");
                typed.capos = self.read("--capos", &expected, capos_from_text)?;
            }
            "tunings" => {
                let expected = "tunings with commas between: standard,drop D";
                let read = |t: &str| {
                    let names = t.split(',').map(|name| name.trim().to_owned());
                    let names: Vec<String> = names.filter(|name| !name.is_empty()).collect();
                    (!names.is_empty()).then_some(names)
                };
                typed.tunings = self.read("--tunings", expected, read)?;
            }
            "range" => {
                let expected = "the lowest and the highest note, such as D3-E5";
                typed.range = Some(self.read("--range", expected, VoiceRange::parse)?);
            }
            other => return Err(self.unknown(other)),
        }
        Ok(())
    }

    /// An option of the pages.
    fn sheet_option(&mut self, option: &str, sheet: &mut SheetChanges) -> Result<(), Usage> {
        match option {
            "paper" => {
                sheet.paper = Some(self.read("--paper", "a4 or letter", Paper::from_word)?);
            }
            "staff" => {
                let read = |t: &str| match t {
                    "on" => Some(true),
                    "off" => Some(false),
                    _ => None,
                };
                sheet.staff = Some(self.read("--staff", "on or off", read)?);
            }
            "size" => {
                let expected = "small, normal or large";
                sheet.size = Some(self.read("--size", expected, MusicSize::from_word)?);
            }
            "chorus" => {
                let expected = format!("all, or a number from 1 to {MAX_CHORUSES}");
                let read = |t: &str| match t {
                    "all" => Some(ChorusWish::All),
                    n => within(1..=MAX_CHORUSES)(n).map(ChorusWish::Number),
                };
                sheet.chorus = Some(self.read("--chorus", &expected, read)?);
            }
            "font" => {
                let read = SheetFont::from_word;
                sheet.font = Some(self.read("--font", "sans or serif", read)?);
            }
            "bars" => {
                let expected = "auto, or a number from 1 to 8";
                let read = |t: &str| match t {
                    "auto" => Some(None),
                    n => within(BARS_PER_SYSTEM)(n).map(Some),
                };
                sheet.bars_per_system = Some(self.read("--bars", expected, read)?);
            }
            "purpose" => {
                let expected = "handout, score or beginner";
                let read = SheetPreset::from_word;
                sheet.purpose = Some(self.read("--purpose", expected, read)?);
            }
            "table" => {
                let read = |t: &str| match t {
                    "off" => Some((false, false)),
                    "on" => Some((true, false)),
                    "page" => Some((true, true)),
                    _ => None,
                };
                sheet.table = Some(self.read("--table", "on, page or off", read)?);
            }
            _ => {}
        }
        Ok(())
    }
}

/// Reads a number that lies in a range.
fn within<T: FromStr + PartialOrd>(range: RangeInclusive<T>) -> impl Fn(&str) -> Option<T> {
    move |text| text.parse().ok().filter(|number| range.contains(number))
}

/// A number that is counted from 1, counted from 0.
fn from_one(text: &str) -> Option<usize> {
    text.parse::<usize>().ok()?.checked_sub(1)
}

/// A number that is in a list.
fn listed<T: FromStr + PartialEq>(text: &str, list: &[T]) -> Option<T> {
    text.parse().ok().filter(|number| list.contains(number))
}

/// Frets of a capo: `0-5`, or `0,2,3`.
fn capos_from_text(text: &str) -> Option<Vec<u8>> {
    let fret = |text: &str| {
        let fret = text.trim().parse::<u8>().ok();
        fret.filter(|fret| *fret <= MOST_CAPO)
    };
    if let Some((first, last)) = text.split_once('-') {
        let (first, last) = (fret(first)?, fret(last)?);
        return (first <= last).then(|| (first..=last).collect());
    }
    text.split(',').map(fret).collect()
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
