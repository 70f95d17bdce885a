//! An open document at work: history, selection, solver thread, player, notices. Everything a
//! window or a test does goes through [`Action`]s; everything it shows is read from [`Session`].
//! Knows no window; wakes one through a callback.

pub mod action;
pub mod candidates;
pub mod status;

pub use action::Action;
pub use candidates::Candidate;
pub use candidates::CandidateFilter;
pub use candidates::PositionRange;
pub use status::Area;
pub use status::DeviceStatus;
pub use status::Notice;
pub use status::NoticeKind;
pub use status::PlayStatus;
pub use status::Selection;
pub use status::SolverStatus;

use crate::arrange::Arrangement;
use crate::document::Document;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

/// Wakes the window when something arrived from another thread.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// One open document with everything around it.
pub struct Session {
    document: Arc<Document>,
    arrangement: Option<Arc<Arrangement>>,
    selection: Selection,
    status: SolverStatus,
    play: PlayStatus,
    notices: Vec<Notice>,
    area: Area,
    path: Option<PathBuf>,
    filter: CandidateFilter,
}

impl Session {
    /// An empty document, solved and silent until told otherwise.
    #[must_use]
    pub fn new(_wake: Wake) -> Self {
        Self {
            document: Arc::default(),
            arrangement: None,
            selection: Selection::default(),
            status: SolverStatus::Idle,
            play: PlayStatus::default(),
            notices: Vec::new(),
            area: Area::Arrange,
            path: None,
            filter: CandidateFilter::default(),
        }
    }

    /// Takes replies from other threads and moves the play-head. Call once per frame, before
    /// drawing.
    pub fn tick(&mut self) {}

    /// Carries out one action. Refusals become notices, never panics.
    pub fn act(&mut self, _action: Action) {}

    /// Waits until the solver has answered the newest request. For tests and batch work.
    pub fn settle(&mut self) {}

    /// The document as it is now.
    #[must_use]
    pub fn document(&self) -> &Arc<Document> {
        &self.document
    }

    /// The newest solved arrangement; it may belong to a slightly older document while the solver
    /// works.
    #[must_use]
    pub fn arrangement(&self) -> Option<&Arc<Arrangement>> {
        self.arrangement.as_ref()
    }

    /// What is selected.
    #[must_use]
    pub const fn selection(&self) -> &Selection {
        &self.selection
    }

    /// What the solver is doing.
    #[must_use]
    pub const fn solver(&self) -> &SolverStatus {
        &self.status
    }

    /// Transport, device and play-head.
    #[must_use]
    pub const fn play(&self) -> &PlayStatus {
        &self.play
    }

    /// Notices that are still shown, oldest first.
    #[must_use]
    pub fn notices(&self) -> &[Notice] {
        &self.notices
    }

    /// The work area in front.
    #[must_use]
    pub const fn area(&self) -> Area {
        self.area
    }

    /// Where the document was opened from or saved to.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Whether there are changes that are not on disk.
    #[must_use]
    pub const fn has_unsaved_changes(&self) -> bool {
        false
    }

    /// What undo would take back, if anything: "Change chord in bar 5".
    #[must_use]
    pub const fn undo_label(&self) -> Option<&str> {
        None
    }

    /// What redo would do again, if anything.
    #[must_use]
    pub const fn redo_label(&self) -> Option<&str> {
        None
    }

    /// The filter of the voicing list.
    #[must_use]
    pub const fn filter(&self) -> &CandidateFilter {
        &self.filter
    }

    /// Voicings of the selected chord that pass the filter, by effort.
    #[must_use]
    pub fn candidates(&self) -> &[Candidate] {
        &[]
    }

    /// Voicings pinned for comparison, at most four.
    #[must_use]
    pub fn pins(&self) -> &[Candidate] {
        &[]
    }
}
