//! What a person prefers and what the program remembers between two starts: look, sound, hands,
//! what new projects begin with, recent files. Kept in the system's folder for settings as readable
//! RON. A broken settings file is set aside with a word and never stops the program; what two
//! running programs change is put together.

mod file;

use super::backups::BACKUPS;
use super::error::FileError;
use super::read::read_text;
use super::write::make_folder;
use super::write::write_bytes_atomically;
use crate::document::Document;
use crate::document::Paper;
use crate::document::SheetSettings;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::theory::HouseStyle;
use std::ops::RangeInclusive;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

/// How many recent files are kept.
pub const MAX_RECENT: usize = 10;

/// Sizes of text and controls offered, in percent.
pub const TEXT_PERCENT: RangeInclusive<u16> = 70..=200;

/// The name of the file in the settings folder.
pub const FILE_NAME: &str = "settings.ron";

/// Light, dark, or as the system is set.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Theme {
    /// As the system is set.
    System,
    /// Paper-like; what a first start shows.
    #[default]
    Light,
    /// Dark.
    Dark,
}

/// What a new project begins with.
#[derive(Clone, PartialEq, Debug)]
pub struct NewProject {
    /// Name of one of the saved hands.
    pub hand: String,
    /// The instrument.
    pub instrument: Instrument,
    /// How chord symbols are shown.
    pub house_style: HouseStyle,
    /// The paper of its sheet.
    pub paper: Paper,
}

/// An instrument that was saved under a name.
#[derive(Clone, PartialEq, Debug)]
pub struct SavedInstrument {
    /// What it is called.
    pub name: String,
    /// The instrument.
    pub instrument: Instrument,
}

impl SavedInstrument {
    /// What it is called in a list.
    #[must_use]
    pub fn shown_name(&self) -> &str {
        if self.name.trim().is_empty() {
            "Unnamed"
        } else {
            &self.name
        }
    }
}

/// What is remembered.
#[derive(Clone, PartialEq, Debug)]
pub struct Settings {
    /// Light or dark.
    pub theme: Theme,
    /// Size of text and controls in percent, within [`TEXT_PERCENT`].
    pub text_percent: u16,
    /// Whether lines and words stand out more than they need to for most people.
    pub high_contrast: bool,
    /// Master volume, 0 to 100. A first start is quiet.
    pub volume_percent: u8,
    /// The sound output, as the system names it; `None` is the system's own choice.
    pub output: Option<String>,
    /// How many earlier versions of a project are kept.
    pub backups: u8,
    /// Saved hands; there is always one.
    pub hands: Vec<Hand>,
    /// Saved instruments.
    pub instruments: Vec<SavedInstrument>,
    /// What a new project begins with.
    pub new: NewProject,
    /// Files opened or saved, newest first, at most [`MAX_RECENT`].
    pub recent: Vec<PathBuf>,
}

impl Default for Settings {
    fn default() -> Self {
        let hand = Hand::default();
        Self {
            theme: Theme::default(),
            text_percent: 100,
            high_contrast: false,
            volume_percent: 40,
            output: None,
            backups: BACKUPS,
            new: NewProject {
                hand: hand.name.clone(),
                instrument: Instrument::default(),
                house_style: HouseStyle::default(),
                paper: Paper::default(),
            },
            hands: vec![hand],
            instruments: Vec::new(),
            recent: Vec::new(),
        }
    }
}

impl Settings {
    /// The settings in a folder, and a sentence if they could not be read. Without a folder or a
    /// file: those of a first start.
    #[must_use]
    pub fn load(folder: Option<&Path>) -> (Self, Option<String>) {
        let Some(path) = folder.map(|f| f.join(FILE_NAME)).filter(|p| p.exists()) else {
            return (Self::default(), None);
        };
        let text = match read_text(&path) {
            Ok(text) => text,
            // It may be whole; only this person or this moment may not read it.
            Err(error @ FileError::System { .. }) => {
                return (Self::default(), Some(error.to_string()));
            }
            Err(error) => {
                return (Self::default(), Some(set_aside(&path, &error.to_string())));
            }
        };
        match file::settings_from_text(&text) {
            Ok((settings, version)) => {
                if version > file::VERSION {
                    keep_copy(&path, version);
                }
                (settings, None)
            }
            Err(error) => (Self::default(), Some(set_aside(&path, &error))),
        }
    }

    /// Writes the settings into a folder, which is made if need be.
    ///
    /// # Errors
    /// If the system refuses.
    pub fn save(&self, folder: &Path) -> Result<(), FileError> {
        make_folder(folder)?;
        let text = file::text_from_settings(self);
        write_bytes_atomically(&folder.join(FILE_NAME), text.as_bytes())
    }

    /// As [`save`](Self::save), but only what was changed since `before`; the rest stays as
    /// another running program may have left it. What is written in the end.
    ///
    /// # Errors
    /// If the system refuses.
    pub fn save_beside_others(&self, before: &Self, folder: &Path) -> Result<Self, FileError> {
        let path = folder.join(FILE_NAME);
        let theirs = read_text(&path).ok();
        let theirs = theirs.and_then(|text| file::settings_from_text(&text).ok());
        let all = theirs.map_or_else(|| self.clone(), |(theirs, _)| self.over(before, theirs));
        all.save(folder)?;
        Ok(all)
    }

    /// What differs from `before` here, the rest of `theirs`.
    fn over(&self, before: &Self, theirs: Self) -> Self {
        fn pick<T: Clone + PartialEq>(mine: &T, before: &T, theirs: T) -> T {
            if mine == before { theirs } else { mine.clone() }
        }
        Self {
            theme: pick(&self.theme, &before.theme, theirs.theme),
            text_percent: pick(
                &self.text_percent,
                &before.text_percent,
                theirs.text_percent,
            ),
            high_contrast: pick(
                &self.high_contrast,
                &before.high_contrast,
                theirs.high_contrast,
            ),
            volume_percent: pick(
                &self.volume_percent,
                &before.volume_percent,
                theirs.volume_percent,
            ),
            output: pick(&self.output, &before.output, theirs.output),
            backups: pick(&self.backups, &before.backups, theirs.backups),
            hands: pick(&self.hands, &before.hands, theirs.hands),
            instruments: pick(&self.instruments, &before.instruments, theirs.instruments),
            new: pick(&self.new, &before.new, theirs.new),
            recent: pick(&self.recent, &before.recent, theirs.recent),
        }
    }

    /// Master volume, 0 to 1.
    #[must_use]
    pub fn volume(&self) -> f32 {
        f32::from(self.volume_percent) / 100.0
    }

    /// An empty document as this person begins one.
    #[must_use]
    pub fn new_document(&self) -> Document {
        let wanted = self.hands.iter().find(|hand| hand.name == self.new.hand);
        let hand = wanted.or_else(|| self.hands.first()).cloned();
        Document {
            hand: Arc::new(hand.unwrap_or_default()),
            instrument: Arc::new(self.new.instrument.clone()),
            house_style: self.new.house_style,
            sheet: SheetSettings {
                paper: self.new.paper,
                ..SheetSettings::default()
            },
            ..Document::default()
        }
    }

    /// Puts a file at the top of the recent ones.
    pub fn remember(&mut self, path: &Path) {
        self.forget(path);
        self.recent.insert(0, path.into());
        self.recent.truncate(MAX_RECENT);
    }

    /// Takes a file out of the recent ones.
    pub fn forget(&mut self, path: &Path) {
        self.recent.retain(|known| known != path);
    }
}

/// The settings of a newer program, which would lose by being written by this one.
fn keep_copy(path: &Path, version: u32) {
    let copy = path.with_extension(format!("version-{version}.ron"));
    // The newer program does without them, if need be.
    drop(std::fs::copy(path, copy));
}

fn set_aside(path: &Path, why: &str) -> String {
    let aside = path.with_extension("broken.ron");
    match std::fs::rename(path, &aside) {
        Ok(()) => format!(
            "the settings could not be read ({why}); the program starts with fresh ones, and the old file is kept as {}",
            aside.display()
        ),
        Err(_) => format!(
            "the settings could not be read ({why}); the program starts with fresh ones: {}",
            path.display()
        ),
    }
}

#[cfg(test)]
mod tests;
