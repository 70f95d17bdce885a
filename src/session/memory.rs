//! What is remembered from one run of the program to the next: theme, volume, recent files. Kept
//! in the platform's settings folder, or nowhere in tests. Losing it loses no work, so trouble with
//! it is told once and never stops anything.

use crate::files::Settings;
use crate::files::Theme;
use std::path::Path;
use std::path::PathBuf;

/// Settings with the place they are kept in.
#[derive(Default)]
pub struct Memory {
    folder: Option<PathBuf>,
    settings: Settings,
    changed: bool,
}

impl Memory {
    /// What is remembered in a folder, and a sentence if it could not be read.
    pub fn of(folder: Option<PathBuf>) -> (Self, Option<String>) {
        let (settings, trouble) = Settings::load(folder.as_deref());
        let memory = Self {
            folder,
            settings,
            changed: false,
        };
        (memory, trouble)
    }

    /// Files opened or saved, newest first.
    pub fn recent(&self) -> &[PathBuf] {
        &self.settings.recent
    }

    /// Whether the dark theme was chosen.
    pub fn wants_dark(&self) -> bool {
        self.settings.theme == Theme::Dark
    }

    /// Master volume, 0 to 1.
    pub fn volume(&self) -> f32 {
        f32::from(self.settings.volume_percent) / 100.0
    }

    /// How many earlier versions of a project are kept.
    pub fn backups(&self) -> u8 {
        self.settings.backups
    }

    /// A file was opened or saved. Remembered under its whole path, so that it is found from
    /// another folder as well.
    pub fn note_file(&mut self, path: &Path) {
        let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
        self.settings.remember(&whole);
        self.changed = true;
    }

    /// A file could not be opened.
    pub fn forget_file(&mut self, path: &Path) {
        self.settings.forget(path);
        self.changed = true;
    }

    /// The theme was chosen.
    pub fn set_dark(&mut self, dark: bool) {
        self.settings.theme = if dark { Theme::Dark } else { Theme::Light };
        self.changed = true;
    }

    /// The volume was chosen, 0 to 1.
    pub fn set_volume(&mut self, volume: f32) {
        let percent = (volume.clamp(0.0, 1.0) * 100.0).round();
        self.settings.volume_percent = percent as u8;
        self.changed = true;
    }

    /// Writes what has changed; a sentence if that fails.
    pub fn keep(&mut self) -> Option<String> {
        let folder = self.folder.as_deref().filter(|_| self.changed)?;
        self.changed = false;
        let saved = self.settings.save(folder);
        saved.err().map(|error| error.to_string())
    }
}
