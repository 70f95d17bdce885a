//! What is asked of the solver and of the voicing list when the document or the selection changes,
//! and what becomes of their answers. One that belongs to an older document or selection is dropped.

use super::Session;
use super::candidates::ListQuestion;
use super::solver::Job;
use super::solver::Listed;
use super::solver::Solved;
use super::status::NoticeKind;
use super::status::SolverStatus;
use super::tune::Tune;
use crate::theory::Ticks;
use std::sync::Arc;

impl Session {
    pub(super) fn take_solved(&mut self, reply: Solved) {
        match reply {
            // A report that was on its way when the user cancelled does not count.
            Solved::Progress(revision, progress)
                if revision == self.revision && self.is_solving() =>
            {
                let (done, total) = (progress.done, progress.total);
                self.status = SolverStatus::Working { done, total };
            }
            Solved::Done(revision, arrangement) if revision == self.revision => {
                // They follow the options, and so do not come where those don't.
                let follow = !self.document().line.keep_hardest_easy;
                self.ways.expect(follow && self.is_solving());
                self.status = SolverStatus::Idle;
                self.player.set_tune(Tune {
                    document: Arc::clone(self.document()),
                    arrangement: Arc::clone(&arrangement),
                });
                self.solved = Some((revision, arrangement));
                self.options = None;
                self.ask_for_list();
            }
            Solved::Options(revision, options) if revision == self.revision => {
                self.options = Some(options);
                self.ask_for_list();
                self.ask_for_ways();
            }
            Solved::Ways(revision, bar, ways) => self.take_ways(revision, bar, ways),
            Solved::Progress(..) | Solved::Done(..) | Solved::Options(..) => {}
            Solved::Failed(why) => {
                let text = format!(
                    "the arrangement could not be solved, a fault in the program ({why}); \
                     your chart is safe, undo the last change and save"
                );
                self.notify(NoticeKind::Error, text);
                self.status = SolverStatus::Failed(why);
                self.ways.expect(false);
            }
        }
    }

    pub(super) fn take_listed(&mut self, reply: Listed) {
        match reply {
            Ok((revision, candidates)) if revision == self.list_revision => {
                self.candidates = candidates;
                self.listed_revision = revision;
            }
            Ok(_) => {}
            Err(why) => {
                self.listed_revision = self.list_revision;
                self.notify(
                    NoticeKind::Error,
                    format!("the voicings could not be listed: {why}"),
                );
            }
        }
    }

    /// The document has changed: solve it again.
    pub(super) fn document_changed(&mut self) {
        self.revision += 1;
        self.status = SolverStatus::Working { done: 0, total: 1 };
        self.ways.expect(false);
        let (revision, document) = (self.revision, Arc::clone(self.document()));
        self.solver.submit(Job::Solve { revision, document });
        self.keep_selection_inside();
        self.ask_for_list();
        self.keep_work();
    }

    pub(super) fn ask_for_list(&mut self) {
        self.list_revision += 1;
        self.lister
            .submit((self.list_revision, self.list_question()));
    }

    pub(super) fn list_question(&self) -> ListQuestion {
        ListQuestion {
            document: Arc::clone(self.document()),
            arrangement: self.arrangement().map(Arc::clone),
            options: self.options.clone(),
            place: self.selection.place,
            filter: self.filter.clone(),
        }
    }

    pub(super) fn keep_selection_inside(&mut self) {
        let last = self.document().n_bars().saturating_sub(1);
        let place = &mut self.selection.place;
        place.bar = place.bar.min(last);
        if place.at >= self.history.present().bar_length(place.bar) {
            place.at = Ticks(0);
        }
        self.selection.to_bar = self.selection.to_bar.map(|bar| bar.min(last));
    }
}
