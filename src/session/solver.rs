//! The solver thread: arrangements on one worker, the voicing list of the selected chord on
//! another, so that a list never waits for a tune. Replies carry the revision they belong to.

use super::Wake;
use super::candidates;
use super::candidates::Candidate;
use super::candidates::ListQuestion;
use super::problem::problem_from_document;
use super::worker::Desk;
use super::worker::Worker;
use crate::arrange::Arrangement;
use crate::arrange::Arranger;
use crate::arrange::Options;
use crate::arrange::Progress;
use crate::document::Document;
use std::sync::Arc;

/// Progress is reported once in so many steps.
const REPORT_EVERY: usize = 16;

/// A document to be solved.
pub struct SolveJob {
    /// Counts the changes of the document.
    pub revision: u64,
    /// What to solve.
    pub document: Arc<Document>,
}

/// What the solver says.
pub enum Solved {
    /// How far it is.
    Progress(u64, Progress),
    /// The best arrangement.
    Done(u64, Arc<Arrangement>),
    /// What each voicing would make of the whole tune, chord by chord.
    Options(u64, Arc<Vec<Options>>),
    /// A fault in the program.
    Failed(String),
}

/// Starts the thread that solves arrangements.
pub fn start_solver(wake: Wake) -> Worker<SolveJob, Solved> {
    let mut arranger = Arranger::default();
    let work = move |job: SolveJob, desk: &Desk<'_, Solved>| {
        let problem = problem_from_document(&job.document);
        let mut keep_going = |progress: Progress| {
            if progress.done.is_multiple_of(REPORT_EVERY) {
                desk.reply_if_room(Solved::Progress(job.revision, progress));
            }
            desk.is_wanted()
        };
        if let Some(arrangement) = arranger.solve(&problem, &mut keep_going) {
            desk.reply(Solved::Done(job.revision, Arc::new(arrangement)));
            if let Some(options) = arranger.options(&mut |_| desk.is_wanted()) {
                desk.reply(Solved::Options(job.revision, Arc::new(options)));
            }
        }
    };
    Worker::start("solver", wake, work, Solved::Failed)
}

/// Voicings of the selected chord, or a fault in the program.
pub type Listed = Result<(u64, Vec<Candidate>), String>;

/// Starts the thread that lists voicings.
pub fn start_lister(wake: Wake) -> Worker<(u64, ListQuestion), Listed> {
    let work = |(revision, question): (u64, ListQuestion), desk: &Desk<'_, Listed>| {
        desk.reply(Ok((revision, candidates::list(&question))));
    };
    Worker::start("voicing list", wake, work, Err)
}
