//! What the program remembers for a person between two starts: theme, volume, recent files. Kept
//! in the system's folder for settings as small readable RON. A broken settings file is set aside
//! with a word and never stops the program.

use super::backups::BACKUPS;
use super::backups::MAX_BACKUPS;
use super::error::FileError;
use super::read::read_text;
use super::write::make_folder;
use super::write::write_bytes_atomically;
use serde::Deserialize;
use serde::Serialize;
use std::path::Path;
use std::path::PathBuf;

/// How many recent files are kept.
pub const MAX_RECENT: usize = 10;

const FILE_NAME: &str = "settings.ron";

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

/// What is remembered.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Settings {
    /// Light or dark.
    pub theme: Theme,
    /// Master volume, 0 to 100. A first start is quiet.
    pub volume_percent: u8,
    /// How many earlier versions of a project are kept.
    pub backups: u8,
    /// Files opened or saved, newest first, at most [`MAX_RECENT`].
    pub recent: Vec<PathBuf>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            theme: Theme::default(),
            volume_percent: 40,
            backups: BACKUPS,
            recent: Vec::new(),
        }
    }
}

/// The file's own shape; unknown fields of later versions are passed over.
#[derive(Serialize, Deserialize)]
#[serde(rename = "Settings", default)]
struct SettingsFile {
    theme: String,
    volume_percent: u8,
    backups: u8,
    recent: Vec<String>,
}

impl Default for SettingsFile {
    fn default() -> Self {
        file_from_settings(&Settings::default())
    }
}

fn file_from_settings(settings: &Settings) -> SettingsFile {
    let theme = match settings.theme {
        Theme::System => "system",
        Theme::Light => "light",
        Theme::Dark => "dark",
    };
    // A path that is not text cannot be written here; it is only a convenience to lose it.
    let recent = settings.recent.iter().filter_map(|path| path.to_str());
    SettingsFile {
        theme: theme.into(),
        volume_percent: settings.volume_percent,
        backups: settings.backups,
        recent: recent.map(Into::into).collect(),
    }
}

fn settings_from_file(file: SettingsFile) -> Settings {
    Settings {
        theme: match file.theme.as_str() {
            "system" => Theme::System,
            "dark" => Theme::Dark,
            _ => Theme::Light,
        },
        volume_percent: file.volume_percent.min(100),
        backups: file.backups.min(MAX_BACKUPS),
        recent: file
            .recent
            .into_iter()
            .take(MAX_RECENT)
            .map(Into::into)
            .collect(),
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
            Err(error) => return (Self::default(), Some(format!("{error}"))),
        };
        match ron::from_str::<SettingsFile>(&text) {
            Ok(file) => (settings_from_file(file), None),
            Err(error) => {
                let word = set_aside(&path, &error.to_string());
                (Self::default(), Some(word))
            }
        }
    }

    /// Writes the settings into a folder, which is made if need be.
    ///
    /// # Errors
    /// If the system refuses.
    pub fn save(&self, folder: &Path) -> Result<(), FileError> {
        make_folder(folder)?;
        let pretty = ron::ser::PrettyConfig::new().new_line("\n").indentor("  ");
        let text = ron::ser::to_string_pretty(&file_from_settings(self), pretty);
        // Writing plain structs into a string cannot fail.
        let text = text.unwrap_or_default() + "\n";
        write_bytes_atomically(&folder.join(FILE_NAME), text.as_bytes())
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
mod tests {
    use super::*;

    #[test]
    fn settings_come_back_as_they_were_saved() {
        let folder = tempfile::tempdir().expect("folder");
        let inner = folder.path().join("a").join("thumbwalk");
        let mut settings = Settings {
            theme: Theme::Dark,
            volume_percent: 65,
            backups: 2,
            recent: Vec::new(),
        };
        settings.remember(Path::new("/music/blues.ron"));
        settings.remember(Path::new("/music/ballad.ron"));
        settings.save(&inner).expect("saved");
        assert_eq!(Settings::load(Some(&inner)), (settings, None));
    }

    #[test]
    fn a_first_start_has_quiet_plain_settings_and_nothing_to_say() {
        let folder = tempfile::tempdir().expect("folder");
        assert_eq!(Settings::load(None), (Settings::default(), None));
        assert_eq!(
            Settings::load(Some(folder.path())),
            (Settings::default(), None)
        );
    }

    #[test]
    fn broken_settings_are_set_aside_with_a_word() {
        let folder = tempfile::tempdir().expect("folder");
        std::fs::write(folder.path().join(FILE_NAME), "(theme: ").expect("written");
        let (settings, word) = Settings::load(Some(folder.path()));
        assert_eq!(settings, Settings::default());
        assert!(word.is_some_and(|w| w.contains("settings.broken.ron")));
        assert!(folder.path().join("settings.broken.ron").exists());
        assert_eq!(Settings::load(Some(folder.path())).1, None);
    }

    #[test]
    fn fields_of_a_later_version_are_passed_over() {
        let folder = tempfile::tempdir().expect("folder");
        let text = "(theme: \"dark\", later: [(1, 2)], volume_percent: 20)";
        std::fs::write(folder.path().join(FILE_NAME), text).expect("written");
        let (settings, word) = Settings::load(Some(folder.path()));
        assert_eq!(word, None);
        assert_eq!((settings.theme, settings.volume_percent), (Theme::Dark, 20));
    }

    #[test]
    fn the_newest_file_is_first_and_stands_there_once() {
        let mut settings = Settings::default();
        for number in 0..15 {
            settings.remember(Path::new(&format!("{number}.ron")));
        }
        settings.remember(Path::new("10.ron"));
        assert_eq!(settings.recent.len(), MAX_RECENT);
        assert_eq!(settings.recent.first(), Some(&PathBuf::from("10.ron")));
        assert_eq!(settings.recent.get(1), Some(&PathBuf::from("14.ron")));
    }
}
