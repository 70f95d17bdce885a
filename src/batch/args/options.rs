//! What single options of the command line take, by what they belong to: sound, pages, import, keys
//! and drills. Each reads its value and says what was expected.

use super::ChorusWish;
use super::MOST_LINES;
use super::Options;
use super::SheetChanges;
use super::Usage;
use super::Words;
use crate::document::BARS_PER_SYSTEM;
use crate::document::MAX_CHORUSES;
use crate::document::MusicSize;
use crate::document::Paper;
use crate::document::SheetFont;
use crate::document::SheetPreset;
use crate::export::png::DPI;
use crate::import::Grid;
use crate::session::DRILL_SERIES;
use crate::session::MOST_CAPO;
use crate::session::VoiceRange;
use crate::session::sound_file;

impl Words {
    /// Options of sound files.
    pub(super) fn sound_option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
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

    pub(super) fn dpi_option(&mut self, typed: &mut Options) -> Result<(), Usage> {
        let (from, to) = (DPI.start(), DPI.end());
        let expected = format!("dots per inch, {from} to {to}");
        let read = |t: &str| t.parse().ok().filter(|dpi| DPI.contains(dpi));
        typed.dpi = Some(self.read("--dpi", &expected, read)?);
        Ok(())
    }

    /// Options that say which lines are drilled.
    pub(super) fn drill_option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
        match option {
            "lines" => {
                let expected = format!("a number from 1 to {MOST_LINES}");
                let read = |t: &str| t.parse().ok().filter(|n| (1..=MOST_LINES).contains(n));
                typed.lines = Some(self.read("--lines", &expected, read)?);
            }
            "rung" => {
                let read = |t: &str| t.parse::<usize>().ok()?.checked_sub(1);
                typed.rung = Some(self.read("--rung", "a number from 1", read)?);
            }
            _ => {
                let (from, to) = (DRILL_SERIES.start(), DRILL_SERIES.end());
                let expected = format!("a number from {from} to {to}");
                let read = |t: &str| t.parse().ok().filter(|n| DRILL_SERIES.contains(n));
                typed.series = Some(self.read("--series", &expected, read)?);
            }
        }
        Ok(())
    }

    /// Options that say what to take of another program's file.
    pub(super) fn import_option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
        match option {
            "list" => typed.list = true,
            "part" | "track" => {
                let read = |t: &str| t.parse::<usize>().ok()?.checked_sub(1);
                let expected = "a number from 1, as --list shows them";
                let part = self.read(&format!("--{option}"), expected, read)?;
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
    pub(super) fn keys_option(&mut self, option: &str, typed: &mut Options) -> Result<(), Usage> {
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
    pub(super) fn sheet_option(
        &mut self,
        option: &str,
        sheet: &mut SheetChanges,
    ) -> Result<(), Usage> {
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
                    n => n
                        .parse()
                        .ok()
                        .filter(|n| (1..=MAX_CHORUSES).contains(n))
                        .map(ChorusWish::Number),
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
                    n => n
                        .parse()
                        .ok()
                        .filter(|n| BARS_PER_SYSTEM.contains(n))
                        .map(Some),
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

/// A number that is in a list.
fn listed<T: std::str::FromStr + PartialEq>(text: &str, list: &[T]) -> Option<T> {
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
