//! Keeps the journal of unsaved work up to date from a thread of its own: the newest state waits in
//! one slot, is written at once if nothing was written lately, and else when the pause is over. So
//! work is lost for the pause and the time of one write at most, even if the window hangs.

use super::worker::lock_anyway;
use crate::files::Entry;
use crate::files::OwnJournal;
use std::panic::AssertUnwindSafe;
use std::panic::catch_unwind;
use std::path::Path;
use std::sync::Arc;
use std::sync::Condvar;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::thread::Builder;
use std::thread::JoinHandle;
use std::time::Duration;
use std::time::Instant;

/// The pause between two writes. With the write itself it stays well below the two seconds of work
/// that a crash may cost.
pub const PAUSE: Duration = Duration::from_millis(500);

#[derive(Default)]
struct Slot {
    waiting: Option<Entry>,
    closed: bool,
}

struct Shared {
    slot: Mutex<Slot>,
    bell: Condvar,
    /// Held while the journal is changed, and always taken before the slot.
    own: Mutex<Own>,
}

struct Own {
    journal: OwnJournal,
    trouble: Option<String>,
}

/// The journal with its thread.
pub struct Journal {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
    told: bool,
}

impl Journal {
    /// Takes a journal in the program's data folder.
    ///
    /// # Errors
    /// In words, if the folder can't be used.
    pub fn start(data: &Path, pause: Duration) -> Result<Self, String> {
        let journal = OwnJournal::claim(data).map_err(|error| error.to_string())?;
        let shared = Arc::new(Shared {
            slot: Mutex::default(),
            bell: Condvar::new(),
            own: Mutex::new(Own {
                journal,
                trouble: None,
            }),
        });
        let theirs = Arc::clone(&shared);
        let thread = Builder::new().name("journal".into()).spawn(move || {
            while theirs.wait_for_entry() {
                theirs.write_waiting();
                theirs.wait(pause);
            }
        });
        Ok(Self {
            shared,
            thread: thread.ok(),
            told: false,
        })
    }

    /// The work has changed.
    pub fn note(&self, entry: Entry) {
        lock_anyway(&self.shared.slot).waiting = Some(entry);
        if self.thread.is_none() {
            self.shared.write_waiting();
        }
        self.shared.bell.notify_all();
    }

    /// Writes the work down now, if that has not been done.
    pub fn flush(&self) {
        self.shared.write_waiting();
    }

    /// Nothing is unsaved any more.
    pub fn clear(&self) {
        let mut own = lock_anyway(&self.shared.own);
        lock_anyway(&self.shared.slot).waiting = None;
        own.trouble = own.journal.clear().err().map(|error| error.to_string());
    }

    /// A sentence if writing fails, once until it succeeds again.
    pub fn take_trouble(&mut self) -> Option<String> {
        let trouble = lock_anyway(&self.shared.own).trouble.clone();
        let told = std::mem::replace(&mut self.told, trouble.is_some());
        trouble.filter(|_| !told).map(|why| {
            format!("unsaved work can't be kept safe against a crash just now; save often: {why}")
        })
    }
}

impl Drop for Journal {
    fn drop(&mut self) {
        self.flush();
        lock_anyway(&self.shared.slot).closed = true;
        self.shared.bell.notify_all();
        if let Some(thread) = self.thread.take() {
            // It can't have panicked: what could is caught.
            drop(thread.join());
        }
    }
}

impl Shared {
    /// Whether there is an entry, as soon as there is one; `false` at the end of the program.
    fn wait_for_entry(&self) -> bool {
        let mut slot = lock_anyway(&self.slot);
        while !slot.closed && slot.waiting.is_none() {
            slot = self.bell.wait(slot).unwrap_or_else(PoisonError::into_inner);
        }
        !slot.closed
    }

    /// Waits, but not beyond the end of the program.
    fn wait(&self, pause: Duration) {
        let until = Instant::now() + pause;
        let mut slot = lock_anyway(&self.slot);
        while !slot.closed {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                break;
            }
            let woken = self.bell.wait_timeout(slot, left);
            slot = woken.unwrap_or_else(PoisonError::into_inner).0;
        }
    }

    fn write_waiting(&self) {
        let mut own = lock_anyway(&self.own);
        let Some(entry) = lock_anyway(&self.slot).waiting.take() else {
            return;
        };
        let done = catch_unwind(AssertUnwindSafe(|| own.journal.write(&entry)));
        own.trouble = match done {
            Ok(done) => done.err().map(|error| error.to_string()),
            Err(_) => Some("a fault in the program".into()),
        };
        if own.trouble.is_some() {
            // It is tried again after the pause, unless something newer has come.
            lock_anyway(&self.slot).waiting.get_or_insert(entry);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::journal::left_behind;

    fn draft(text: &str) -> Entry {
        Entry {
            draft: text.into(),
            ..Entry::default()
        }
    }

    /// What the next start would find.
    fn found(data: &Path) -> Option<String> {
        let (left, _) = left_behind(data);
        left.first().map(|left| left.entry.draft.clone())
    }

    /// Too long for any test: what is written in spite of it was not waited for.
    const LONG: Duration = Duration::from_secs(3600);

    #[test]
    fn the_newest_state_is_there_when_it_ends() {
        let folder = tempfile::tempdir().expect("folder");
        let journal = Journal::start(folder.path(), LONG).expect("a journal");
        for number in 1..=50 {
            journal.note(draft(&number.to_string()));
        }
        drop(journal);
        assert_eq!(found(folder.path()).as_deref(), Some("50"));
    }

    #[test]
    fn after_clearing_an_older_state_is_not_written() {
        let folder = tempfile::tempdir().expect("folder");
        let journal = Journal::start(folder.path(), Duration::ZERO).expect("a journal");
        for number in 1..=50 {
            journal.note(draft(&number.to_string()));
            if number % 10 == 0 {
                journal.clear();
            }
        }
        drop(journal);
        assert_eq!(found(folder.path()), None);
    }

    #[test]
    fn trouble_is_told_once() {
        let folder = tempfile::tempdir().expect("folder");
        let mut journal = Journal::start(folder.path(), Duration::ZERO).expect("a journal");
        std::fs::remove_dir_all(folder.path()).expect("removed");
        for _ in 0..3 {
            journal.note(draft("one"));
            journal.flush();
        }
        let trouble = journal.take_trouble().expect("trouble");
        assert!(trouble.contains("no such file or folder"), "{trouble}");
        assert_eq!(journal.take_trouble(), None);
    }
}
