//! Safety of work: the journal of what is not saved, the offers to restore what an earlier run
//! left, the project's file being changed by somebody else, and earlier versions. Nothing here
//! asks twice, and whatever it replaces can be taken back.

use super::NoticeKind;
use super::Session;
use super::journal::Journal;
use super::open;
use super::taken::Waiting;
use crate::document::Document;
use crate::document::History;
use crate::files;
use crate::files::Backup;
use crate::files::Entry;
use crate::files::Left;
use crate::files::OnDisk;
use crate::files::Stamp;
use crate::files::backups;
use crate::files::stamp;
use std::collections::HashSet;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

pub use super::journal::PAUSE;
pub use super::taken::Written;

/// How work is kept safe.
#[derive(Clone, Debug)]
pub struct SafetyOptions {
    /// The program's own data folder.
    pub folder: PathBuf,
    /// Seconds since the beginning of 1970.
    pub clock: fn() -> u64,
    /// The pause between two writes of the journal; [`PAUSE`] in the program.
    pub pause: Duration,
}

/// Something the user may take up or leave, beside the work.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Offer {
    /// Unsaved work of a run that ended without warning.
    LeftBehind {
        /// For [`Action::Restore`](super::Action::Restore) and
        /// [`Action::DiscardLeft`](super::Action::DiscardLeft).
        number: u64,
        /// Title of the tune, else the file's name; empty if it has neither.
        name: String,
        /// How long ago it was written down, in seconds; `None` if that is not known.
        ago_s: Option<u64>,
        /// Whether the file it belongs to holds something else by now.
        file_changed: bool,
        /// Whether it is only text that was being typed on the start page.
        is_draft: bool,
    },
    /// The project's file holds something else than what was opened or saved here.
    FileChanged {
        /// The file's name.
        name: String,
        /// Whether saving is waiting for the answer.
        saving: bool,
    },
    /// Other files have the name that was typed to write under.
    NameTaken {
        /// What would be written.
        what: Written,
        /// The files' names.
        names: Vec<String>,
    },
}

/// An earlier version of the project that can be opened.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Earlier {
    /// For [`Action::OpenEarlier`](super::Action::OpenEarlier).
    pub path: PathBuf,
    /// How long ago it was saved, in seconds; `None` if that is not known.
    pub ago_s: Option<u64>,
}

/// What a session knows about the safety of its work.
#[derive(Default)]
pub(super) struct Safety {
    options: Option<SafetyOptions>,
    journal: Option<Journal>,
    left: Vec<Offered>,
    next_left: u64,
    disk: Option<Disk>,
    /// Theirs, while the user has not decided; and whether saving waits for it.
    conflict: Option<(Stamp, bool)>,
    /// What would write over other files, while the user has not decided.
    pub(super) taken: Option<Waiting>,
    /// Files that were exported here.
    pub(super) exported: HashSet<PathBuf>,
    draft: String,
    let_go: bool,
}

/// What an earlier run left, while it is offered.
struct Offered {
    number: u64,
    left: Left,
    file_changed: bool,
}

/// The project's file as it was read or written last.
#[derive(Clone, Copy)]
struct Disk {
    stamp: Stamp,
    glance: Option<(u64, u128)>,
}

impl Session {
    /// Keeps the work safe from now on, and finds out what an earlier run left.
    pub fn keep_safe(&mut self, options: SafetyOptions) {
        match Journal::start(&options.folder, options.pause) {
            Ok(journal) => self.safety.journal = Some(journal),
            Err(why) => {
                let text = format!("unsaved work can't be kept safe against a crash: {why}");
                self.notify(NoticeKind::Warning, text);
            }
        }
        let (left, sentences) = files::journal::left_behind(&options.folder);
        for sentence in sentences {
            self.notify(NoticeKind::Warning, sentence);
        }
        for left in left {
            if is_saved(&left.entry) {
                // It ended between saving and forgetting.
                drop(left.remove());
                continue;
            }
            self.safety.left.push(Offered {
                number: self.safety.next_left,
                file_changed: has_changed(&left.entry),
                left,
            });
            self.safety.next_left += 1;
        }
        self.safety.options = Some(options);
        self.keep_work();
    }

    /// What is offered, most pressing first.
    #[must_use]
    pub fn offers(&self) -> Vec<Offer> {
        let changed = self.safety.conflict.map(|(_, saving)| Offer::FileChanged {
            name: self
                .path
                .as_deref()
                .map_or_else(String::new, files::name_of),
            saving,
        });
        let left = self.safety.left.iter().map(|offered| {
            let entry = &offered.left.entry;
            let title = entry.document.as_ref().map(|d| d.title.clone());
            let title = title.filter(|title| !title.is_empty());
            let name = title.or_else(|| entry.file.as_deref().map(files::name_of));
            Offer::LeftBehind {
                number: offered.number,
                name: name.unwrap_or_default(),
                ago_s: self.ago_s(offered.left.changed_s),
                file_changed: offered.file_changed,
                is_draft: entry.document.is_none(),
            }
        });
        let taken = self.safety.taken.as_ref();
        let taken = taken.map(|waiting| Offer::NameTaken {
            what: waiting.what,
            names: waiting.names.clone(),
        });
        taken.into_iter().chain(changed).chain(left).collect()
    }

    /// Earlier versions of the project's file, newest first.
    #[must_use]
    pub fn earlier(&self) -> Vec<Earlier> {
        let (Some(options), Some(path)) = (&self.safety.options, &self.path) else {
            return Vec::new();
        };
        let copies = backups::backups_of(&options.folder, path).into_iter();
        copies
            .map(|Backup { path, saved_s }| Earlier {
                ago_s: self.ago_s(saved_s),
                path,
            })
            .collect()
    }

    /// The text being typed on the start page.
    #[must_use]
    pub fn draft(&self) -> &str {
        &self.safety.draft
    }

    fn ago_s(&self, then_s: u64) -> Option<u64> {
        let options = self.safety.options.as_ref().filter(|_| then_s > 0)?;
        Some((options.clock)().saturating_sub(then_s))
    }

    /// The document, its file or the draft has changed: the journal follows.
    pub(super) fn keep_work(&mut self) {
        let Some(journal) = &self.safety.journal else {
            return;
        };
        let (unsaved, is_draft) = (self.history.has_unsaved_changes(), self.is_draft());
        if !unsaved && !is_draft {
            journal.clear();
            return;
        }
        journal.note(Entry {
            file: self.path.clone().filter(|_| unsaved),
            stamp: self.safety.disk.map(|disk| disk.stamp),
            document: unsaved.then(|| Arc::clone(self.document())),
            draft: if is_draft {
                self.safety.draft.clone()
            } else {
                String::new()
            },
        });
    }

    /// Whether there is nothing but text on the start page.
    fn is_draft(&self) -> bool {
        self.document().n_bars() == 0 && !self.safety.draft.trim().is_empty()
    }

    pub(super) fn tell_journal_trouble(&mut self) {
        let trouble = self.safety.journal.as_mut().and_then(Journal::take_trouble);
        if let Some(trouble) = trouble {
            self.notify(NoticeKind::Warning, trouble);
        }
    }

    pub(super) fn set_draft(&mut self, text: String) {
        self.safety.draft = text;
        self.keep_work();
    }

    /// The user said that unsaved changes may go, so that the next start does not offer them.
    pub(super) fn let_go(&mut self) {
        self.safety.let_go = true;
    }

    /// The program ends in good order, or not: then the journal stays.
    pub(super) fn end_journal(&mut self) {
        let Some(journal) = &self.safety.journal else {
            return;
        };
        let unsaved = self.history.has_unsaved_changes() || self.is_draft();
        let is_over = self.safety.let_go || !unsaved;
        if is_over && !std::thread::panicking() {
            journal.clear();
        }
    }

    /// Takes up what an earlier run left, in place of the document.
    pub(super) fn restore(&mut self, number: u64) {
        let Some(left) = self.take_left(number) else {
            return;
        };
        let entry = left.entry.clone();
        match entry.document {
            Some(document) => {
                let mut history = History::unsaved(Document::clone(&document));
                history.mark_unsaved();
                self.show_document(history, entry.file);
                self.safety.disk = entry.stamp.map(|stamp| Disk {
                    stamp,
                    glance: None,
                });
            }
            None => {
                let empty = self.memory.new_document();
                self.show_document(History::new(empty), None);
                let typed = std::mem::take(&mut self.safety.draft);
                let parts = [entry.draft.trim_end(), typed.trim_end()];
                self.safety.draft = parts.join("\n\n").trim().to_owned();
            }
        }
        // First it is in our own journal, only then does the old one go.
        self.keep_work();
        if let Some(journal) = &self.safety.journal {
            journal.flush();
        }
        self.tell_journal_trouble();
        self.remove_left(left);
        self.look_at_disk();
    }

    pub(super) fn discard_left(&mut self, number: u64) {
        if let Some(left) = self.take_left(number) {
            self.remove_left(left);
        }
    }

    fn take_left(&mut self, number: u64) -> Option<Left> {
        let left = &mut self.safety.left;
        let at = left.iter().position(|offered| offered.number == number)?;
        Some(left.remove(at).left)
    }

    fn remove_left(&mut self, left: Left) {
        if let Err(error) = left.remove() {
            self.notify(NoticeKind::Warning, error.to_string());
        }
    }

    /// The document belongs to a file that holds this now; `None` if it has no file.
    pub(super) fn note_disk(&mut self, stamp: Option<Stamp>) {
        self.safety.conflict = None;
        self.safety.taken = None;
        let path = self.path.as_deref();
        self.safety.disk = stamp.map(|stamp| Disk {
            stamp,
            glance: path.and_then(stamp::glance),
        });
    }

    /// Looks whether somebody else has changed the project's file; cheap if nothing happened.
    pub(super) fn look_at_disk(&mut self) {
        let (Some(path), Some(disk)) = (&self.path, &mut self.safety.disk) else {
            return;
        };
        let glance = stamp::glance(path);
        if glance.is_some() && glance == disk.glance {
            return;
        }
        match stamp::compare(path, disk.stamp) {
            OnDisk::Same => {
                disk.glance = glance;
                self.safety.conflict = None;
            }
            OnDisk::Changed(theirs) => {
                disk.glance = glance;
                let saving = self.safety.conflict.is_some_and(|(_, saving)| saving);
                self.safety.conflict = Some((theirs, saving));
            }
            OnDisk::Gone | OnDisk::Unreadable => {}
        }
    }

    /// Whether saving over the project's file would overwrite what somebody else wrote; the user
    /// is then asked.
    pub(super) fn asks_before_saving(&mut self, path: &Path) -> bool {
        if self.path.as_deref() != Some(path) {
            return false;
        }
        let Some(disk) = self.safety.disk else {
            return false;
        };
        if let OnDisk::Changed(theirs) = stamp::compare(path, disk.stamp) {
            self.safety.conflict = Some((theirs, true));
            // That an earlier save went well would now be misread.
            self.notices.dismiss_all(NoticeKind::Info);
            return true;
        }
        false
    }

    /// What is here counts; what is on disk may be saved over.
    pub(super) fn keep_mine(&mut self) {
        let Some((theirs, saving)) = self.safety.conflict else {
            return;
        };
        self.note_disk(Some(theirs));
        self.history.mark_unsaved();
        self.keep_work();
        if saving {
            self.save();
        }
    }

    /// What is on disk takes the place of what is here, as a step that can be undone.
    pub(super) fn load_theirs(&mut self) {
        let Some(path) = self.path.clone() else {
            return;
        };
        match open::open(&path) {
            Ok(opened) => {
                let stamp = opened.stamp;
                self.replace_document(opened, "Load the file again");
                self.history.mark_saved();
                self.note_disk(stamp);
                self.keep_work();
            }
            Err(error) => self.notify(NoticeKind::Error, error),
        }
    }

    /// An earlier version takes the place of what is here, as a step that can be undone.
    pub(super) fn open_earlier(&mut self, copy: &Path) {
        match open::open(copy) {
            Ok(opened) => self.replace_document(opened, "Go back to an earlier version"),
            Err(error) => self.notify(NoticeKind::Error, error),
        }
    }

    fn replace_document(&mut self, opened: open::Opened, label: &str) {
        for notice in opened.notices {
            self.notify(NoticeKind::Warning, notice);
        }
        self.history.replace(opened.document, label);
        self.pins.clear();
        self.document_changed();
    }

    /// Before a save: the work is in the journal, and what will be replaced is copied.
    pub(super) fn prepare_save(&mut self, path: &Path) {
        if let Some(journal) = &self.safety.journal {
            journal.flush();
        }
        let Some(options) = &self.safety.options else {
            return;
        };
        let copied = backups::back_up(&options.folder, path, self.memory.preferences().backups);
        if let Err(error) = copied {
            let text = format!("the version before could not be kept: {error}");
            self.notify(NoticeKind::Warning, text);
        }
    }
}

/// Whether the file that the work belongs to holds that very work.
fn is_saved(entry: &Entry) -> bool {
    let (Some(file), Some(document)) = (&entry.file, &entry.document) else {
        return false;
    };
    let text = files::text_from_document(document);
    stamp::compare(file, Stamp::of(text.as_bytes())) == OnDisk::Same
}

/// Whether the file that the work belongs to holds something else than when it was opened.
fn has_changed(entry: &Entry) -> bool {
    let (Some(file), Some(stamp)) = (&entry.file, entry.stamp) else {
        return false;
    };
    matches!(stamp::compare(file, stamp), OnDisk::Changed(_))
}
