//! What is remembered from one run of the program to the next: preferences and recent files. Kept
//! in the platform's settings folder, or nowhere in tests. Losing it loses no work, so trouble with
//! it is told once and never stops anything.

use crate::document::Document;
use crate::files::Settings;
use std::path::Path;
use std::path::PathBuf;

/// Settings with the place they are kept in.
#[derive(Default)]
pub struct Memory {
    folder: Option<PathBuf>,
    settings: Settings,
    /// What was read or written last: what differs from it was changed here.
    kept: Settings,
    changed: bool,
}

impl Memory {
    /// What is remembered in a folder, and a sentence if it could not be read.
    pub fn of(folder: Option<PathBuf>) -> (Self, Option<String>) {
        let (settings, trouble) = Settings::load(folder.as_deref());
        let memory = Self {
            folder,
            kept: settings.clone(),
            settings,
            changed: false,
        };
        (memory, trouble)
    }

    /// Files opened or saved, newest first.
    pub fn recent(&self) -> &[PathBuf] {
        &self.settings.recent
    }

    /// What this person prefers.
    pub const fn preferences(&self) -> &Settings {
        &self.settings
    }

    /// The preferences were changed.
    pub fn set_preferences(&mut self, wanted: Settings) {
        let recent = std::mem::take(&mut self.settings.recent);
        self.settings = Settings { recent, ..wanted };
        self.changed = true;
    }

    /// An empty document as this person begins one.
    pub fn new_document(&self) -> Document {
        self.settings.new_document()
    }

    /// A file was opened or saved.
    pub fn note_file(&mut self, path: &Path) {
        self.settings.remember(&whole(path));
        self.changed = true;
    }

    /// A file could not be opened.
    pub fn forget_file(&mut self, path: &Path) {
        self.settings.forget(&whole(path));
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
        match self.settings.save_beside_others(&self.kept, folder) {
            Ok(kept) => {
                self.settings = kept.clone();
                self.kept = kept;
                None
            }
            Err(error) => Some(error.to_string()),
        }
    }
}

/// Files are remembered under their whole paths, so that they are found from another folder as well.
fn whole(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf())
}
