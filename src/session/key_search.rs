//! The comparison of keys in the background: asked for by the user, kept while it belongs to the
//! document shown, stopped when it no longer does. A key that is to be heard is solved once more.

use super::Action;
use super::NoticeKind;
use super::Session;
use super::Wake;
use super::best_key::KeyLie;
use super::best_key::KeyQuestion;
use super::best_key::best_keys;
use super::best_key::moved;
use super::best_key::nearest;
use super::problem::problem_from_document;
use super::tune::Tune;
use super::worker::Desk;
use super::worker::Worker;
use crate::arrange::Arranger;
use crate::document::Document;
use crate::document::Edit;
use crate::score::perform;
use std::sync::Arc;

/// What is known of other keys.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum KeysStatus {
    /// Nothing has been asked for this document.
    #[default]
    Unasked,
    /// Keys solved, and of how many.
    Working {
        /// Keys done.
        done: usize,
        /// Keys in all.
        total: usize,
    },
    /// All of them, the best first.
    Known(Arc<Vec<KeyLie>>),
}

enum KeysJob {
    Compare {
        revision: u64,
        document: Arc<Document>,
        question: KeyQuestion,
    },
    /// Arrange the tune as it lies in one key.
    Hear { revision: u64, moved: Document },
}

enum KeysReply {
    Progress(u64, usize, usize),
    Found(u64, Vec<KeyLie>),
    Heard(u64, Tune),
    Failed(String),
}

/// The search with its thread.
pub struct KeySearch {
    worker: Worker<KeysJob, KeysReply>,
    /// With the revision of the document it belongs to.
    status: (u64, KeysStatus),
}

impl KeySearch {
    /// Starts the thread; it sleeps until something is asked.
    pub fn new(wake: Wake) -> Self {
        let work = |job: KeysJob, desk: &Desk<'_, KeysReply>| match job {
            KeysJob::Compare {
                revision,
                document,
                question,
            } => {
                let keep_going = |done, total| {
                    desk.reply_if_room(KeysReply::Progress(revision, done, total));
                    desk.is_wanted()
                };
                if let Some(found) = best_keys(&document, &question, &keep_going) {
                    desk.reply(KeysReply::Found(revision, found));
                }
            }
            KeysJob::Hear { revision, moved } => {
                let problem = problem_from_document(&moved);
                let mut goes_on = |_| desk.is_wanted();
                if let Some(arrangement) = Arranger::default().solve(&problem, &mut goes_on) {
                    let tune = Tune {
                        document: Arc::new(moved),
                        arrangement: Arc::new(arrangement),
                    };
                    desk.reply(KeysReply::Heard(revision, tune));
                }
            }
        };
        Self {
            worker: Worker::start("keys", wake, work, KeysReply::Failed),
            status: (0, KeysStatus::Unasked),
        }
    }
}

impl Session {
    /// How the present document lies in other keys, as far as it was asked.
    #[must_use]
    pub fn keys(&self) -> &KeysStatus {
        match &self.key_search.status {
            (revision, status) if *revision == self.revision => status,
            _ => &KeysStatus::Unasked,
        }
    }

    pub(super) fn compare_keys(&mut self, question: KeyQuestion) {
        if question.range.is_some() && !self.document().has_tune() {
            let text =
                "there is no tune yet to hold against the range: write it, or leave the range out";
            return self.notify(NoticeKind::Info, text.into());
        }
        let document = Arc::clone(self.document());
        let revision = self.revision;
        let total = question.n_solved(&document);
        self.key_search.status = (revision, KeysStatus::Working { done: 0, total });
        self.key_search.worker.submit(KeysJob::Compare {
            revision,
            document,
            question,
        });
    }

    /// One of the keys found.
    fn key_found(&self, number: usize) -> Option<KeyLie> {
        match self.keys() {
            KeysStatus::Known(found) => found.get(number).cloned(),
            KeysStatus::Unasked | KeysStatus::Working { .. } => None,
        }
    }

    /// Plays the tune through as it lies in one of the keys found.
    pub(super) fn hear_key(&mut self, number: usize) {
        let Some(lie) = self.key_found(number) else {
            return;
        };
        match moved(self.document(), lie.semitones, lie.capo, &lie.tuning) {
            Ok(moved) => {
                let revision = self.revision;
                let job = KeysJob::Hear { revision, moved };
                self.key_search.worker.submit(job);
            }
            Err(error) => self.notify(NoticeKind::Warning, error),
        }
    }

    pub(super) fn stop_comparing_keys(&mut self) {
        self.key_search.worker.cancel();
        self.key_search.status = (self.revision, KeysStatus::Unasked);
    }

    /// Moves the tune into one of the keys found, with its capo, as one step of undo.
    pub(super) fn use_key(&mut self, number: usize) {
        let KeysStatus::Known(found) = self.keys() else {
            return;
        };
        let found = Arc::clone(found);
        let Some(lie) = found.get(number) else {
            return;
        };
        let before = self.revision;
        let mut instrument = (*self.document().instrument).clone();
        instrument.capo = lie.capo;
        instrument.tuning = lie.tuning.clone();
        self.act(Action::Edit(Edit::Together {
            label: format!("Move to {}", lie.key),
            edits: vec![
                Edit::Transpose(lie.semitones),
                Edit::SetInstrument(instrument),
            ],
        }));
        if self.revision != before {
            // Decisions that belong to one key count in none, so the list holds from here as well.
            let mut found = (*found).clone();
            for other in &mut found {
                let away = other.semitones - lie.semitones;
                other.semitones = nearest(away);
                // What is sung stays where it is, so it may lie in another octave from here.
                if let Some(fit) = &mut other.fit {
                    fit.octaves += (away - other.semitones) / 12;
                }
            }
            self.key_search.status = (self.revision, KeysStatus::Known(Arc::new(found)));
        }
    }

    pub(super) fn take_key_replies(&mut self) {
        if self.key_search.status.0 != self.revision {
            // The document has changed meanwhile; what is still being solved is of no use.
            if matches!(self.key_search.status.1, KeysStatus::Working { .. }) {
                self.stop_comparing_keys();
            }
        }
        while let Some(reply) = self.key_search.worker.take() {
            self.take_key_reply(reply);
        }
    }

    fn take_key_reply(&mut self, reply: KeysReply) {
        let is_awaited = |revision: u64| {
            let (of, status) = &self.key_search.status;
            *of == revision && matches!(status, KeysStatus::Working { .. })
        };
        match reply {
            KeysReply::Progress(revision, done, total) if is_awaited(revision) => {
                self.key_search.status.1 = KeysStatus::Working { done, total };
            }
            KeysReply::Found(revision, found) if is_awaited(revision) => {
                self.key_search.status.1 = KeysStatus::Known(Arc::new(found));
            }
            KeysReply::Heard(revision, tune) if revision == self.revision => {
                let whole = perform(&tune.document, &tune.arrangement, None);
                self.player.audition(whole);
            }
            KeysReply::Progress(..) | KeysReply::Found(..) | KeysReply::Heard(..) => {}
            KeysReply::Failed(why) => {
                self.key_search.status.1 = KeysStatus::Unasked;
                let text =
                    format!("the keys could not be compared, a fault in the program ({why})");
                self.notify(NoticeKind::Error, text);
            }
        }
    }

    /// Waits until a comparison that was asked for is there.
    pub(super) fn settle_keys(&mut self) {
        while matches!(self.keys(), KeysStatus::Working { .. }) {
            match self.key_search.worker.wait(super::SETTLE_AT_MOST) {
                Some(reply) => self.take_key_reply(reply),
                None => return,
            }
        }
    }
}
