//! Undo and redo by keeping whole documents, which share what did not change. Edits of the same
//! kind that follow each other without a pause (typing, dragging) become one step. Never keeps
//! inverse edits: a snapshot cannot be wrong.

use super::edit::Edit;
use super::edit::EditError;
use super::types::Document;
use std::sync::Arc;

/// A document that was, and what changed it.
#[derive(Clone, Debug)]
struct Step {
    document: Arc<Document>,
    label: String,
}

/// The present document with its past and its undone future.
#[derive(Clone, Debug)]
pub struct History {
    present: Arc<Document>,
    past: Vec<Step>,
    future: Vec<Step>,
    open_key: Option<&'static str>,
    /// What is on disk; `None` if it is nothing like the present document.
    saved: Option<Arc<Document>>,
}

impl History {
    /// A history that begins with a document as it is on disk.
    #[must_use]
    pub fn new(document: Document) -> Self {
        let present = Arc::new(document);
        Self {
            saved: Some(Arc::clone(&present)),
            present,
            past: Vec::new(),
            future: Vec::new(),
            open_key: None,
        }
    }

    /// A history that begins with a document that is on no disk yet.
    #[must_use]
    pub fn unsaved(document: Document) -> Self {
        let mut history = Self::new(document);
        history.saved = Some(Arc::default());
        history
    }

    /// The document as it is now.
    #[must_use]
    pub const fn present(&self) -> &Arc<Document> {
        &self.present
    }

    /// Makes an edit. An edit that changes nothing makes no step.
    ///
    /// # Errors
    /// As [`Document::apply`]; nothing changes then.
    pub fn edit(&mut self, edit: &Edit) -> Result<(), EditError> {
        let next = self.present.apply(edit)?;
        if next == *self.present {
            return Ok(());
        }
        let key = edit.merge_key();
        let merges = key.is_some() && key == self.open_key && !self.past.is_empty();
        let before = std::mem::replace(&mut self.present, Arc::new(next));
        if !merges {
            self.past.push(Step {
                document: before,
                label: edit.label(),
            });
        }
        self.open_key = key;
        self.future.clear();
        Ok(())
    }

    /// Ends a run of merged edits: the next edit is a step of its own.
    pub const fn close_step(&mut self) {
        self.open_key = None;
    }

    /// Takes the last step back; `false` if there is none.
    pub fn undo(&mut self) -> bool {
        let Some(step) = self.past.pop() else {
            return false;
        };
        let present = std::mem::replace(&mut self.present, step.document);
        self.future.push(Step {
            document: present,
            label: step.label,
        });
        self.open_key = None;
        true
    }

    /// Makes the last undone step again; `false` if there is none.
    pub fn redo(&mut self) -> bool {
        let Some(step) = self.future.pop() else {
            return false;
        };
        let present = std::mem::replace(&mut self.present, step.document);
        self.past.push(Step {
            document: present,
            label: step.label,
        });
        self.open_key = None;
        true
    }

    /// What undo would take back.
    #[must_use]
    pub fn undo_label(&self) -> Option<&str> {
        self.past.last().map(|step| step.label.as_str())
    }

    /// What redo would do again.
    #[must_use]
    pub fn redo_label(&self) -> Option<&str> {
        self.future.last().map(|step| step.label.as_str())
    }

    /// Remembers that the present document is on disk.
    pub fn mark_saved(&mut self) {
        self.saved = Some(Arc::clone(&self.present));
        self.open_key = None;
    }

    /// Remembers that what is on disk is another document.
    pub fn mark_unsaved(&mut self) {
        self.saved = None;
    }

    /// Puts another document in the place of the present one, as one step that can be undone.
    pub fn replace(&mut self, document: Document, label: &str) {
        let before = std::mem::replace(&mut self.present, Arc::new(document));
        self.past.push(Step {
            document: before,
            label: label.into(),
        });
        self.open_key = None;
        self.future.clear();
    }

    /// Whether the present document differs from the one last written.
    #[must_use]
    pub fn has_unsaved_changes(&self) -> bool {
        let saved = self.saved.as_ref();
        saved.is_none_or(|saved| !Arc::ptr_eq(saved, &self.present) && *saved != self.present)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn titled(history: &mut History, title: &str) {
        history
            .edit(&Edit::SetTitle(title.into()))
            .expect("a title always fits");
    }

    #[test]
    fn typing_is_one_step_until_it_is_closed() {
        let mut history = History::new(Document::default());
        titled(&mut history, "B");
        titled(&mut history, "Bl");
        history.close_step();
        titled(&mut history, "Blue");
        assert_eq!(history.undo_label(), Some("Change title"));
        assert!(history.undo());
        assert_eq!(history.present().title, "Bl");
        assert!(history.undo());
        assert_eq!(history.present().title, "");
        assert!(!history.undo());
        assert!(!history.has_unsaved_changes());
        assert!(history.redo() && history.redo() && !history.redo());
        assert_eq!(history.present().title, "Blue");
        assert!(history.has_unsaved_changes());
        history.mark_saved();
        assert!(!history.has_unsaved_changes());
    }

    #[test]
    fn another_document_is_a_step_like_any_other() {
        let mut history = History::new(Document::default());
        titled(&mut history, "Mine");
        let theirs = Document {
            title: "Theirs".into(),
            ..Document::default()
        };
        history.replace(theirs, "Load the file again");
        history.mark_saved();
        assert_eq!(history.undo_label(), Some("Load the file again"));
        assert!(!history.has_unsaved_changes());
        assert!(history.undo() && history.has_unsaved_changes());
        assert_eq!(history.present().title, "Mine");
        history.mark_saved();
        history.mark_unsaved();
        assert!(history.has_unsaved_changes());
    }

    #[test]
    fn an_edit_that_changes_nothing_or_fails_makes_no_step() {
        let mut history = History::new(Document::default());
        titled(&mut history, "");
        assert!(history.edit(&Edit::SetTempo(20)).is_err());
        assert_eq!(history.undo_label(), None);
    }
}
