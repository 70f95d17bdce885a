//! Writes files so that a crash or a full disk never costs the old ones: everything goes to a
//! temporary file in the same folder, is synced, and takes the place of the old file in one step.
//! Keeps permissions and follows links; never writes in place.

use super::error::FileError;
use std::fs;
use std::fs::File;
use std::fs::OpenOptions;
use std::io;
use std::io::Write as _;
use std::path::Path;
use std::path::PathBuf;

const DOING: &str = "save the file";

/// The ending of temporary files.
const TEMPORARY: &str = "thumbwalk-tmp";

/// Writes a file as a whole or not at all.
///
/// # Errors
/// If the system refuses; an old file of that name is then still there, unchanged.
pub fn write_bytes_atomically(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let refused = |error: io::Error| FileError::from_system(DOING, &error, path);
    // A link stays a link: what it points to is replaced.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.into());
    let permissions = match fs::metadata(&target) {
        Ok(old) if old.is_dir() => return Err(refused(io::ErrorKind::IsADirectory.into())),
        // A rename would replace even a write-protected file, against the wish of its owner.
        Ok(old) if old.permissions().readonly() => {
            return Err(FileError::System {
                doing: DOING,
                reason: "it is write-protected; choose another name or remove the protection"
                    .into(),
                path: path.into(),
            });
        }
        Ok(old) => Some(old.permissions()),
        Err(_) => None,
    };
    let (temporary, file) = temporary_beside(&target).map_err(refused)?;
    let written = fill(file, bytes)
        .and_then(|()| permissions.map_or(Ok(()), |p| fs::set_permissions(&temporary, p)))
        .and_then(|()| fs::rename(&temporary, &target));
    if let Err(error) = written {
        // The message is about the first failure; a leftover that cannot go is no news.
        drop(fs::remove_file(&temporary));
        return Err(refused(error));
    }
    sync_folder(&target);
    remove_left_over(&target);
    Ok(())
}

/// Makes a folder with all its parents; one that is there already is fine.
///
/// # Errors
/// If the system refuses.
pub fn make_folder(path: &Path) -> Result<(), FileError> {
    fs::create_dir_all(path)
        .map_err(|error| FileError::from_system("make the folder", &error, path))
}

fn fill(mut file: File, bytes: &[u8]) -> io::Result<()> {
    file.write_all(bytes)?;
    file.sync_all()
}

/// A new empty file in the folder of `target`. The name is hidden and tells whose it is.
fn temporary_beside(target: &Path) -> io::Result<(PathBuf, File)> {
    let name = target
        .file_name()
        .ok_or(io::ErrorKind::InvalidFilename)?
        .to_string_lossy();
    let process = std::process::id();
    let mut last = io::Error::from(io::ErrorKind::AlreadyExists);
    for attempt in 0..100 {
        let candidate = target.with_file_name(format!(".{name}.{process}-{attempt}.{TEMPORARY}"));
        match OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(&candidate)
        {
            Ok(file) => {
                // Tells other programs that it is being written; see `remove_left_over`.
                drop(file.try_lock());
                return Ok((candidate, file));
            }
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => last = error,
            Err(error) => return Err(error),
        }
    }
    Err(last)
}

/// Removes temporary files of this target that a program left when it was killed in the middle of
/// writing. The lock of one that is still being written is held.
fn remove_left_over(target: &Path) {
    let (Some(folder), Some(name)) = (target.parent(), target.file_name()) else {
        return;
    };
    let start = format!(".{}.", name.to_string_lossy());
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let found = entry.file_name();
        let found = found.to_string_lossy();
        if found.starts_with(&start) && found.ends_with(TEMPORARY) {
            let path = entry.path();
            let file = OpenOptions::new().write(true).open(&path);
            if file.is_ok_and(|file| file.try_lock().is_ok()) {
                // It is hidden and small; the next save tries again.
                drop(fs::remove_file(&path));
            }
        }
    }
}

/// Makes the new name last through a power cut, where the system can sync a folder.
fn sync_folder(target: &Path) {
    if let Some(folder) = target.parent()
        && let Ok(folder) = File::open(folder)
    {
        // Not every system can; the file itself is synced already.
        drop(folder.sync_all());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names_in(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .expect("folder")
            .map(|entry| entry.expect("entry").file_name().to_string_lossy().into())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_saved_file_replaces_the_old_one_and_leaves_nothing_else() {
        let folder = tempfile::tempdir().expect("folder");
        let path = folder.path().join("tune.ron");
        write_bytes_atomically(&path, b"one").expect("first");
        write_bytes_atomically(&path, b"two").expect("second");
        assert_eq!(fs::read(&path).expect("read"), b"two");
        assert_eq!(names_in(folder.path()), ["tune.ron"]);
    }

    #[test]
    fn what_a_killed_program_left_goes_with_the_next_save() {
        let folder = tempfile::tempdir().expect("folder");
        let path = folder.path().join("tune.ron");
        let left = [".tune.ron.9-0.thumbwalk-tmp", ".tune.ron.9-1.thumbwalk-tmp"];
        for name in left {
            fs::write(folder.path().join(name), "half").expect("written");
        }
        let writing = File::options()
            .append(true)
            .open(folder.path().join(left[1]));
        let writing = writing.expect("open");
        writing.lock().expect("locked");
        write_bytes_atomically(&path, b"whole").expect("saved");
        assert_eq!(names_in(folder.path()), [left[1], "tune.ron"]);
        drop(writing);
        write_bytes_atomically(&path, b"whole").expect("saved");
        assert_eq!(names_in(folder.path()), ["tune.ron"]);
    }

    #[test]
    fn a_refused_save_leaves_the_folder_as_it_was() {
        let folder = tempfile::tempdir().expect("folder");
        let missing = folder.path().join("none").join("tune.ron");
        let error = write_bytes_atomically(&missing, b"x").expect_err("no folder");
        assert!(error.to_string().contains("no such file or folder"));
        let error = write_bytes_atomically(folder.path(), b"x").expect_err("a folder");
        assert!(error.to_string().contains("this is a folder"));
        assert!(names_in(folder.path()).is_empty());
    }

    #[test]
    fn a_write_protected_file_is_not_replaced() {
        let folder = tempfile::tempdir().expect("folder");
        let path = folder.path().join("tune.ron");
        fs::write(&path, "old").expect("written");
        let mut permissions = fs::metadata(&path).expect("there").permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&path, permissions).expect("protected");
        let error = write_bytes_atomically(&path, b"new").expect_err("protected");
        assert!(error.to_string().contains("write-protected"));
        assert_eq!(fs::read(&path).expect("read"), b"old");
    }

    #[cfg(unix)]
    #[test]
    fn permissions_and_links_survive_a_save() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().expect("folder");
        let path = folder.path().join("tune.ron");
        let link = folder.path().join("link.ron");
        fs::write(&path, "old").expect("written");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).expect("mode");
        std::os::unix::fs::symlink(&path, &link).expect("link");
        write_bytes_atomically(&link, b"new").expect("saved");
        assert_eq!(fs::read(&path).expect("read"), b"new");
        assert!(fs::symlink_metadata(&link).expect("link").is_symlink());
        let mode = fs::metadata(&path).expect("there").permissions().mode();
        assert_eq!(mode & 0o777, 0o640);
    }
}
