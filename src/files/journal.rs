//! Unsaved work, kept in the program's data folder in case the program or the machine ends without
//! warning. Every running program has a journal of its own, told from those of programs that are
//! gone by a lock that the system lets go of when its program ends, however it ends. A journal
//! holds the project, and of the file it belongs to only where it lies and what it held.

use super::error::FileError;
use super::journal_text::Entry;
use super::journal_text::entry_from_text;
use super::journal_text::text_from_entry;
use super::read::read_text;
use super::stamp::changed_s;
use super::write::make_folder;
use super::write::write_bytes_atomically;
use std::collections::BTreeSet;
use std::fs;
use std::fs::File;
use std::fs::OpenOptions;
use std::fs::TryLockError;
use std::io;
use std::path::Path;
use std::path::PathBuf;

const FOLDER: &str = "unsaved work";

/// More programs than this are never open at once.
const MOST: u32 = 1000;

/// The journal of a running program.
#[derive(Debug)]
pub struct OwnJournal {
    folder: PathBuf,
    number: u32,
    /// Locked as long as it is open.
    _lock: File,
}

impl OwnJournal {
    /// Takes a number that no other program has.
    ///
    /// # Errors
    /// If the folder can't be made or written to.
    pub fn claim(data: &Path) -> Result<Self, FileError> {
        let folder = data.join(FOLDER);
        make_folder(&folder)?;
        let _turn = take_turn(&folder);
        let mut refused = io::Error::from(io::ErrorKind::AlreadyExists);
        for number in 1..=MOST {
            // A journal without its lock file is somebody's work too.
            if journal_path(&folder, number).exists() {
                continue;
            }
            let path = lock_path(&folder, number);
            let file = OpenOptions::new().write(true).create_new(true).open(path);
            match file {
                Ok(file) => {
                    // Where files can't be locked, numbers still keep programs apart.
                    drop(file.try_lock());
                    return Ok(Self {
                        folder,
                        number,
                        _lock: file,
                    });
                }
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                Err(error) => {
                    refused = error;
                    break;
                }
            }
        }
        let doing = "keep unsaved work safe";
        Err(FileError::from_system(doing, &refused, &folder))
    }

    /// Writes the work down as a whole or not at all; the entry before is replaced.
    ///
    /// # Errors
    /// If the system refuses; the entry before is then still there.
    pub fn write(&self, entry: &Entry) -> Result<(), FileError> {
        let path = journal_path(&self.folder, self.number);
        write_bytes_atomically(&path, text_from_entry(entry).as_bytes())
    }

    /// There is no unsaved work any more.
    ///
    /// # Errors
    /// If the system refuses.
    pub fn clear(&self) -> Result<(), FileError> {
        let path = journal_path(&self.folder, self.number);
        match fs::remove_file(&path) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => {
                let doing = "remove what was kept of saved work";
                Err(FileError::from_system(doing, &error, &path))
            }
            _ => Ok(()),
        }
    }
}

impl Drop for OwnJournal {
    fn drop(&mut self) {
        if !journal_path(&self.folder, self.number).exists() {
            // A lock file that stays is removed by the next start.
            let _turn = take_turn(&self.folder);
            drop(fs::remove_file(lock_path(&self.folder, self.number)));
        }
    }
}

/// Unsaved work of a program that is gone. As long as this lives, no other program is offered it.
#[derive(Debug)]
pub struct Left {
    /// What it was working on.
    pub entry: Entry,
    /// When it was last written down, in seconds since the beginning of 1970; 0 if unknown.
    pub changed_s: u64,
    folder: PathBuf,
    number: u32,
    lock: Option<File>,
}

impl Left {
    /// Removes it: it has been taken over, or nobody wants it.
    ///
    /// # Errors
    /// If the system refuses.
    pub fn remove(mut self) -> Result<(), FileError> {
        let path = journal_path(&self.folder, self.number);
        let removed = fs::remove_file(&path);
        self.lock = None;
        drop(fs::remove_file(lock_path(&self.folder, self.number)));
        removed.map_err(|error| FileError::from_system("remove unsaved work", &error, &path))
    }
}

/// The unsaved work of programs that are gone, newest first, and a sentence for what could not be
/// read: that is set aside under another name. Cleans up after programs that had nothing unsaved.
#[must_use]
pub fn left_behind(data: &Path) -> (Vec<Left>, Vec<String>) {
    let folder = data.join(FOLDER);
    let (mut found, mut sentences) = (Vec::new(), Vec::new());
    if !folder.is_dir() {
        return (found, sentences);
    }
    let _turn = take_turn(&folder);
    for number in numbers_in(&folder) {
        let Some(lock) = lock_of_the_gone(&folder, number) else {
            continue;
        };
        remove_half_written(&folder, number);
        let path = journal_path(&folder, number);
        if !path.exists() {
            drop(lock);
            drop(fs::remove_file(lock_path(&folder, number)));
            continue;
        }
        let read = read_text(&path).map_err(|error| error.to_string());
        match read.and_then(|text| entry_from_text(&text)) {
            Ok(entry) => found.push(Left {
                entry,
                changed_s: changed_s(&path),
                folder: folder.clone(),
                number,
                lock: Some(lock),
            }),
            Err(why) => {
                sentences.push(set_aside(&path, &why));
                drop(lock);
                drop(fs::remove_file(lock_path(&folder, number)));
            }
        }
    }
    found.sort_by_key(|left| std::cmp::Reverse(left.changed_s));
    (found, sentences)
}

fn set_aside(path: &Path, why: &str) -> String {
    let aside = path.with_extension("unreadable.ron");
    let kept = match fs::rename(path, &aside) {
        Ok(()) => aside.as_path(),
        Err(_) => path,
    };
    format!(
        "unsaved work was found that can't be read ({why}); it is kept as {}",
        kept.display()
    )
}

fn journal_path(folder: &Path, number: u32) -> PathBuf {
    folder.join(format!("work-{number}.ron"))
}

fn lock_path(folder: &Path, number: u32) -> PathBuf {
    folder.join(format!("work-{number}.lock"))
}

/// Programs look through the folder and take numbers one after the other. The turn ends when the
/// file is dropped. Where files can't be locked there are no turns.
fn take_turn(folder: &Path) -> Option<File> {
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(folder.join("turn.lock"))
        .ok()?;
    file.lock().ok()?;
    Some(file)
}

/// The lock of a program that is gone, now ours; `None` if the program is running.
fn lock_of_the_gone(folder: &Path, number: u32) -> Option<File> {
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(lock_path(folder, number))
        .ok()?;
    match file.try_lock() {
        Err(TryLockError::WouldBlock) => None,
        // Where files can't be locked, work that may belong to a running program is rather offered
        // twice than not at all.
        Ok(()) | Err(TryLockError::Error(_)) => Some(file),
    }
}

fn numbers_in(folder: &Path) -> BTreeSet<u32> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let number = |name: &str| {
        let name = name.strip_prefix("work-")?;
        let number = name
            .strip_suffix(".ron")
            .or_else(|| name.strip_suffix(".lock"))?;
        number.parse().ok()
    };
    entries
        .filter_map(|entry| number(&entry.file_name().to_string_lossy()))
        .collect()
}

/// What a program left that ended in the middle of writing.
fn remove_half_written(folder: &Path, number: u32) {
    let start = format!(".work-{number}.ron.");
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        if entry.file_name().to_string_lossy().starts_with(&start) {
            drop(fs::remove_file(entry.path()));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry(draft: &str) -> Entry {
        Entry {
            draft: draft.into(),
            ..Entry::default()
        }
    }

    fn drafts(data: &Path) -> Vec<String> {
        let (left, _) = left_behind(data);
        let mut drafts: Vec<_> = left.iter().map(|left| left.entry.draft.clone()).collect();
        drafts.sort();
        drafts
    }

    #[test]
    fn work_is_offered_once_its_program_is_gone_and_not_before() {
        let folder = tempfile::tempdir().expect("folder");
        let data = folder.path();
        assert_eq!(drafts(data), [""; 0]);
        let one = OwnJournal::claim(data).expect("a journal");
        let two = OwnJournal::claim(data).expect("a journal");
        one.write(&entry("one")).expect("written");
        two.write(&entry("two")).expect("written");
        assert_eq!(drafts(data), [""; 0], "both run");
        drop(one);
        assert_eq!(drafts(data), ["one"]);
        assert_eq!(drafts(data), ["one"], "looking takes nothing away");
        let (held, _) = left_behind(data);
        assert_eq!(drafts(data), [""; 0], "it is being offered elsewhere");
        drop(held);
        let three = OwnJournal::claim(data).expect("a journal");
        three.write(&entry("three")).expect("written");
        drop(two);
        assert_eq!(drafts(data), ["one", "two"]);
        for left in left_behind(data).0 {
            left.remove().expect("removed");
        }
        drop(three);
        assert_eq!(drafts(data), ["three"]);
    }

    #[test]
    fn a_program_with_nothing_unsaved_leaves_nothing() {
        let folder = tempfile::tempdir().expect("folder");
        let own = OwnJournal::claim(folder.path()).expect("a journal");
        own.clear().expect("nothing to clear");
        own.write(&entry("one")).expect("written");
        own.clear().expect("cleared");
        drop(own);
        let inner = folder.path().join(FOLDER);
        let names: Vec<_> = fs::read_dir(&inner)
            .expect("folder")
            .map(|entry| entry.expect("entry").file_name())
            .collect();
        assert_eq!(names, ["turn.lock"]);
    }

    #[test]
    fn what_a_sudden_end_leaves_is_cleaned_up_or_set_aside() {
        let folder = tempfile::tempdir().expect("folder");
        let inner = folder.path().join(FOLDER);
        fs::create_dir(&inner).expect("folder");
        for (name, text) in [
            ("work-1.lock", ""),
            (".work-2.ron.77-0.thumbwalk-tmp", "Jour"),
            ("work-2.ron", "Journal(format: \"thumb"),
            ("work-x.ron", "not ours"),
        ] {
            fs::write(inner.join(name), text).expect("written");
        }
        let (left, sentences) = left_behind(folder.path());
        assert!(left.is_empty());
        assert_eq!(sentences.len(), 1, "{sentences:?}");
        assert!(sentences[0].ends_with("work-2.unreadable.ron"));
        let mut names: Vec<String> = fs::read_dir(&inner)
            .expect("folder")
            .map(|entry| entry.expect("entry").file_name().to_string_lossy().into())
            .collect();
        names.sort();
        assert_eq!(names, ["turn.lock", "work-2.unreadable.ron", "work-x.ron"]);
        assert_eq!(left_behind(folder.path()).1, [""; 0], "said once");
    }
}
