//! Where the system keeps what programs write for themselves: settings in one folder, and data
//! (unsaved work, earlier versions) in another. Says only where, and what a file is called on the
//! screen; makes and reads nothing.

use std::env;
use std::ffi::OsString;
use std::path::Path;
use std::path::PathBuf;

/// What is asked of the environment.
type Ask<'a> = &'a dyn Fn(&str) -> Option<OsString>;

/// Where the system keeps the settings of programs; `None` if it does not say.
///
/// Linux: `$XDG_CONFIG_HOME` or `~/.config` (XDG Base Directory Specification 0.8; relative paths
/// there are to be ignored). macOS: `~/Library/Application Support`. Windows: `%APPDATA%`.
#[must_use]
pub fn settings_folder() -> Option<PathBuf> {
    folder(
        &|name| env::var_os(name),
        "APPDATA",
        "XDG_CONFIG_HOME",
        ".config",
    )
}

/// Where the system keeps the data of programs; `None` if it does not say.
///
/// Linux: `$XDG_DATA_HOME` or `~/.local/share` (same source as [`settings_folder`]). macOS: as
/// there. Windows: `%LOCALAPPDATA%`, which does not travel between machines.
#[must_use]
pub fn data_folder() -> Option<PathBuf> {
    folder(
        &|name| env::var_os(name),
        "LOCALAPPDATA",
        "XDG_DATA_HOME",
        ".local/share",
    )
}

fn folder(ask: Ask<'_>, windows: &str, variable: &str, below_home: &str) -> Option<PathBuf> {
    let absolute = |name: &str| {
        let path = PathBuf::from(ask(name)?);
        path.is_absolute().then_some(path)
    };
    if cfg!(target_os = "windows") {
        return absolute(windows).map(|folder| folder.join("Thumbwalk"));
    }
    if cfg!(target_os = "macos") {
        let home = absolute("HOME")?;
        return Some(home.join("Library/Application Support/Thumbwalk"));
    }
    let base = absolute(variable).or_else(|| Some(absolute("HOME")?.join(below_home)))?;
    Some(base.join("thumbwalk"))
}

/// What a file is called on the screen: its name without its folders.
#[must_use]
pub fn name_of(path: &Path) -> String {
    let name = path.file_name().unwrap_or(path.as_os_str());
    name.to_string_lossy().into_owned()
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;

    #[test]
    fn the_folder_follows_the_base_directory_specification() {
        for (variable, home, found) in [
            (Some("/data"), Some("/u"), Some("/data/thumbwalk")),
            (None, Some("/u"), Some("/u/.local/share/thumbwalk")),
            (
                Some("relative"),
                Some("/u"),
                Some("/u/.local/share/thumbwalk"),
            ),
            (None, None, None),
            (None, Some("u"), None),
        ] {
            let ask = |name: &str| match name {
                "XDG_DATA_HOME" => variable.map(OsString::from),
                "HOME" => home.map(OsString::from),
                _ => None,
            };
            let folder = folder(&ask, "LOCALAPPDATA", "XDG_DATA_HOME", ".local/share");
            assert_eq!(folder, found.map(PathBuf::from), "{variable:?} {home:?}");
        }
    }
}
