//! The ladder in the background: climbed when the user asks for it, kept while it belongs to the
//! document shown, stopped when it no longer does. Tempi that were reached are noted in the document
//! and make no other ladder.

use super::Action;
use super::NoticeKind;
use super::Session;
use super::Wake;
use super::exporting::Slow;
use super::ladder::ClimbedRung;
use super::ladder::Ladder;
use super::ladder::climb;
use super::worker::Desk;
use super::worker::Worker;
use crate::document::Document;
use crate::document::Edit;
use crate::document::History;
use crate::document::TEMPO_BPM;
use crate::score::perform;
use std::path::Path;
use std::sync::Arc;

/// What is known of the ladder.
#[derive(Clone, PartialEq, Debug, Default)]
pub enum LadderStatus {
    /// Nothing has been asked for this document.
    #[default]
    Unasked,
    /// Rungs climbed, and of how many.
    Working {
        /// Rungs done.
        done: usize,
        /// Rungs in all.
        total: usize,
    },
    /// All of them.
    Known(Arc<Ladder>),
}

struct LadderJob {
    revision: u64,
    document: Arc<Document>,
}

enum LadderReply {
    Progress(u64, usize, usize),
    Climbed(u64, Ladder),
    Failed(String),
}

/// The climbing with its thread.
pub struct LadderSearch {
    worker: Worker<LadderJob, LadderReply>,
    /// With the revision of the document it belongs to.
    status: (u64, LadderStatus),
}

impl LadderSearch {
    /// Starts the thread; it sleeps until something is asked.
    pub fn new(wake: Wake) -> Self {
        let work = |job: LadderJob, desk: &Desk<'_, LadderReply>| {
            let revision = job.revision;
            let mut keep_going = |done, total| {
                desk.reply_if_room(LadderReply::Progress(revision, done, total));
                desk.is_wanted()
            };
            if let Some(ladder) = climb(&job.document, &mut keep_going) {
                desk.reply(LadderReply::Climbed(revision, ladder));
            }
        };
        Self {
            worker: Worker::start("ladder", wake, work, LadderReply::Failed),
            status: (0, LadderStatus::Unasked),
        }
    }
}

impl Session {
    /// The ladder of the present document, as far as it was asked for.
    #[must_use]
    pub fn ladder(&self) -> &LadderStatus {
        match &self.ladder_search.status {
            (revision, status) if *revision == self.revision => status,
            _ => &LadderStatus::Unasked,
        }
    }

    pub(super) fn climb_ladder(&mut self) {
        let document = Arc::clone(self.document());
        let revision = self.revision;
        let total = document.ladder().len();
        self.ladder_search.status = (revision, LadderStatus::Working { done: 0, total });
        let job = LadderJob { revision, document };
        self.ladder_search.worker.submit(job);
    }

    pub(super) fn stop_climbing(&mut self) {
        self.ladder_search.worker.cancel();
        self.ladder_search.status = (self.revision, LadderStatus::Unasked);
    }

    fn climbed(&self, number: usize) -> Option<ClimbedRung> {
        match self.ladder() {
            LadderStatus::Known(ladder) => ladder.rungs.get(number).cloned(),
            LadderStatus::Unasked | LadderStatus::Working { .. } => None,
        }
    }

    /// Plays a climbed rung through, by its place among them.
    pub(super) fn hear_rung(&mut self, number: usize) {
        if let Some(rung) = self.climbed(number) {
            let whole = perform(&rung.document, &rung.arrangement, None);
            self.player.audition(whole);
        }
    }

    /// Opens a climbed rung as a project of its own, not saved yet.
    pub(super) fn open_rung(&mut self, number: usize) {
        if let Some(rung) = self.climbed(number) {
            self.show_document(History::unsaved((*rung.document).clone()), None);
            self.act(Action::ShowArea(super::Area::Arrange));
        }
    }

    /// Notes the tempo that was reached on a climbed rung.
    pub(super) fn log_tempo(&mut self, number: usize, bpm: u16) {
        let Some(climbed) = self.climbed(number) else {
            return;
        };
        let bpm = bpm.clamp(*TEMPO_BPM.start(), *TEMPO_BPM.end());
        let mut rungs = self.document().ladder();
        if let Some(rung) = rungs.get_mut(climbed.number) {
            rung.reached.push(bpm);
        }
        let before = self.ladder().clone();
        self.edit(&Edit::Together {
            label: format!("Note {bpm} bpm for {}", climbed.rung.name),
            edits: vec![Edit::SetRungs(rungs)],
        });
        self.history.close_step();
        // What was climbed holds: only the note is new.
        self.ladder_search.status = (self.revision, before);
    }

    /// Writes the pages of all climbed rungs as one PDF.
    pub(super) fn write_booklet(&mut self, path: &Path) {
        let LadderStatus::Known(ladder) = self.ladder() else {
            let text = "there is no ladder yet: make one first, then write it as a booklet".into();
            self.notify(NoticeKind::Info, text);
            return;
        };
        let ladder = Arc::clone(ladder);
        if let Some(first) = ladder.rungs.first() {
            let arrangement = Arc::clone(&first.arrangement);
            self.write_slowly(arrangement, path, Slow::Booklet(ladder));
        }
    }

    pub(super) fn take_ladder_replies(&mut self) {
        let (of, status) = &self.ladder_search.status;
        if *of != self.revision && matches!(status, LadderStatus::Working { .. }) {
            // The document has changed meanwhile.
            self.stop_climbing();
        }
        while let Some(reply) = self.ladder_search.worker.take() {
            self.take_ladder_reply(reply);
        }
    }

    fn take_ladder_reply(&mut self, reply: LadderReply) {
        let is_awaited = |revision: u64| {
            let (of, status) = &self.ladder_search.status;
            *of == revision && matches!(status, LadderStatus::Working { .. })
        };
        match reply {
            LadderReply::Progress(revision, done, total) if is_awaited(revision) => {
                self.ladder_search.status.1 = LadderStatus::Working { done, total };
            }
            LadderReply::Climbed(revision, ladder) if is_awaited(revision) => {
                self.ladder_search.status.1 = LadderStatus::Known(Arc::new(ladder));
            }
            LadderReply::Progress(..) | LadderReply::Climbed(..) => {}
            LadderReply::Failed(why) => {
                self.ladder_search.status.1 = LadderStatus::Unasked;
                let text = format!("the ladder could not be made, a fault in the program ({why})");
                self.notify(NoticeKind::Error, text);
            }
        }
    }

    /// Waits until a ladder that was asked for is there.
    pub(super) fn settle_ladder(&mut self) {
        while matches!(self.ladder(), LadderStatus::Working { .. }) {
            match self.ladder_search.worker.wait(super::SETTLE_AT_MOST) {
                Some(reply) => self.take_ladder_reply(reply),
                None => return,
            }
        }
    }
}
