//! Earlier versions: before a save replaces a project, what is there is copied into the program's
//! own data folder; the last few are kept, each with the time at which it was saved. The tune's
//! own folder stays as its owner keeps it.

use super::error::FileError;
use super::read::read_bytes;
use super::stamp::changed_s;
use super::write::make_folder;
use super::write::write_bytes_atomically;
use std::fs;
use std::fs::File;
use std::path::Path;
use std::path::PathBuf;

/// How many earlier versions are kept unless told otherwise.
pub const BACKUPS: u8 = 5;

/// The most that can be asked for.
pub const MAX_BACKUPS: u8 = 50;

const FOLDER: &str = "earlier versions";

/// An earlier version of a project.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Backup {
    /// The copy.
    pub path: PathBuf,
    /// When it was saved, in seconds since the beginning of 1970; 0 if unknown.
    pub saved_s: u64,
}

/// Copies what stands at `path` before it is replaced, and removes the oldest copies beyond
/// `keep`. Nothing is copied if there is no file, if no copies are wanted, or if the newest copy is
/// the same.
///
/// # Errors
/// If the system refuses; the file itself is never touched.
pub fn back_up(data: &Path, path: &Path, keep: u8) -> Result<(), FileError> {
    if keep == 0 || !path.is_file() {
        return Ok(());
    }
    let bytes = read_bytes(path)?;
    let folder = folder_of(data, path);
    let known = numbered(&folder);
    let is_known = known
        .last()
        .is_some_and(|(_, newest)| read_bytes(newest).is_ok_and(|newest| newest == bytes));
    if is_known {
        return Ok(());
    }
    make_folder(&folder)?;
    let number = known.last().map_or(1, |(number, _)| number + 1);
    let copy = folder.join(format!("{number:06}.ron"));
    write_bytes_atomically(&copy, &bytes)?;
    keep_time(path, &copy);
    let spare = (known.len() + 1).saturating_sub(usize::from(keep));
    for (_, oldest) in known.iter().take(spare) {
        // One too many does no harm; the next save tries again.
        drop(fs::remove_file(oldest));
    }
    Ok(())
}

/// The earlier versions of a project, newest first.
#[must_use]
pub fn backups_of(data: &Path, path: &Path) -> Vec<Backup> {
    let copies = numbered(&folder_of(data, path)).into_iter().rev();
    copies
        .map(|(_, path)| Backup {
            saved_s: changed_s(&path),
            path,
        })
        .collect()
}

/// The copy was saved when its original was.
fn keep_time(original: &Path, copy: &Path) {
    let time = fs::metadata(original).and_then(|known| known.modified());
    let file = File::options().append(true).open(copy);
    if let (Ok(time), Ok(file)) = (time, file) {
        // Only the words on the screen depend on it.
        drop(file.set_modified(time));
    }
}

/// `NAME-CHECKSUM`: the name is for people who look into the folder, the checksum of the whole
/// path tells two tunes of one name apart without writing down where they are.
fn folder_of(data: &Path, path: &Path) -> PathBuf {
    let whole = fs::canonicalize(path)
        .or_else(|_| std::path::absolute(path))
        .unwrap_or_else(|_| path.into());
    let checksum = crc32fast::hash(whole.as_os_str().as_encoded_bytes());
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    // File names end at 255 bytes in most places.
    let name: String = name.chars().take(40).collect();
    data.join(FOLDER).join(format!("{name}-{checksum:08x}"))
}

/// The copies in a folder by number, oldest first.
fn numbered(folder: &Path) -> Vec<(u32, PathBuf)> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let number = |path: PathBuf| {
        let number = path.file_stem()?.to_str()?.parse().ok()?;
        path.extension()
            .is_some_and(|e| e == "ron")
            .then_some((number, path))
    };
    let mut found: Vec<_> = entries.filter_map(|entry| number(entry.path())).collect();
    found.sort();
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn the_last_versions_are_kept_newest_first() {
        let folder = tempfile::tempdir().expect("folder");
        let (data, path) = (folder.path().join("data"), folder.path().join("tune.ron"));
        back_up(&data, &path, 3).expect("nothing to copy yet");
        assert_eq!(backups_of(&data, &path), []);
        for version in ["one", "two", "two", "three", "four", "five"] {
            back_up(&data, &path, 3).expect("copied");
            fs::write(&path, version).expect("written");
        }
        let texts = |data: &Path, path: &Path| -> Vec<String> {
            let copies = backups_of(data, path).into_iter();
            copies
                .map(|copy| fs::read_to_string(copy.path).expect("read"))
                .collect()
        };
        assert_eq!(texts(&data, &path), ["four", "three", "two"]);
        back_up(&data, &path, 0).expect("none wanted");
        assert_eq!(texts(&data, &path), ["four", "three", "two"]);
        back_up(&data, &path, 1).expect("copied");
        assert_eq!(texts(&data, &path), ["five"]);
    }

    #[test]
    fn a_copy_has_the_time_of_its_original_and_tunes_of_one_name_are_apart() {
        let folder = tempfile::tempdir().expect("folder");
        let data = folder.path().join("data");
        let [one, two] = ["a", "b"].map(|name| {
            let inner = folder.path().join(name);
            fs::create_dir(&inner).expect("folder");
            let path = inner.join("tune.ron");
            fs::write(&path, name).expect("written");
            path
        });
        let long_ago = std::time::UNIX_EPOCH + Duration::from_secs(1_000_000);
        let file = File::options().append(true).open(&one).expect("open");
        file.set_modified(long_ago).expect("time");
        back_up(&data, &one, 5).expect("copied");
        back_up(&data, &two, 5).expect("copied");
        assert_eq!(backups_of(&data, &one)[0].saved_s, 1_000_000);
        assert_eq!(backups_of(&data, &two).len(), 1);
    }
}
