//! What the import of a score had to say, kept until it is read: every sentence, the parts there
//! were, and the way to take another part instead, as long as nothing has been changed since.

use super::Session;
use super::open;
use super::open::Opened;
use crate::import::Choice;
use crate::import::PartInfo;
use std::path::Path;
use std::path::PathBuf;

/// The report of an import.
#[derive(Clone, PartialEq, Debug)]
pub struct ImportReport {
    /// The file's name.
    pub name: String,
    /// A sentence for everything that was dropped, rounded or guessed.
    pub sentences: Vec<String>,
    /// The parts or tracks of the file.
    pub parts: Vec<PartInfo>,
    /// The one that was taken, from 0.
    pub taken: usize,
    path: PathBuf,
}

impl ImportReport {
    /// The report about a file that was opened; `None` if it is no score of another program.
    pub(super) fn of(opened: &Opened, path: &Path) -> Option<Self> {
        (!opened.parts.is_empty()).then(|| Self {
            name: crate::files::name_of(path),
            sentences: opened.notices.clone(),
            parts: opened.parts.clone(),
            taken: opened.taken,
            path: path.into(),
        })
    }
}

impl Session {
    /// What the import of the open tune had to say, until it is put away.
    #[must_use]
    pub const fn import_report(&self) -> Option<&ImportReport> {
        self.report.as_ref()
    }

    /// Whether the tune can still be taken from another part: there are several, and nothing was
    /// changed that would be lost.
    #[must_use]
    pub fn can_take_part(&self) -> bool {
        let several = self.report.as_ref().is_some_and(|r| r.parts.len() > 1);
        several && self.undo_label().is_none() && self.redo_label().is_none()
    }

    /// Imports the file again with another part as the tune.
    pub(super) fn take_part(&mut self, part: usize) {
        if !self.can_take_part() {
            return;
        }
        let Some(path) = self.report.as_ref().map(|report| report.path.clone()) else {
            return;
        };
        let choice = Choice {
            part: Some(part),
            grid: None,
        };
        let base = self.memory.new_document();
        self.show_opened(open::open_onto(&path, choice, &base), &path);
    }
}
