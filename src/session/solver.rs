//! The solver thread: arrangements on one worker, the voicing list of the selected chord on
//! another, so that a list never waits for a tune. Replies carry the revision they belong to.

use super::Wake;
use super::candidates;
use super::candidates::Candidate;
use super::candidates::ListQuestion;
use super::choruses::with_choruses;
use super::problem::problem_from_document;
use super::worker::Desk;
use super::worker::Worker;
use crate::arrange::Arrangement;
use crate::arrange::Arranger;
use crate::arrange::BarWay;
use crate::arrange::Options;
use crate::arrange::Progress;
use crate::document::Document;
use std::sync::Arc;

/// Progress is reported once in so many steps.
const REPORT_EVERY: usize = 16;

/// The most ways of a bar that are looked for; more would not be tried.
const MOST_WAYS: usize = 12;

/// What the solver is asked.
pub enum Job {
    /// To arrange a document.
    Solve {
        /// Counts the changes of the document.
        revision: u64,
        /// What to solve.
        document: Arc<Document>,
    },
    /// For the ways of one bar of the document solved last.
    Ways {
        /// Which document is meant.
        revision: u64,
        /// The bar, from 0.
        bar: usize,
    },
}

/// What the solver says.
pub enum Solved {
    /// How far it is.
    Progress(u64, Progress),
    /// The best arrangement.
    Done(u64, Arc<Arrangement>),
    /// What each voicing would make of the whole tune, chord by chord.
    Options(u64, Arc<Vec<Options>>),
    /// The best different ways of a bar.
    Ways(u64, usize, Arc<Vec<BarWay>>),
    /// A fault in the program.
    Failed(String),
}

/// Starts the thread that solves arrangements.
pub fn start_solver(wake: Wake) -> Worker<Job, Solved> {
    let mut arranger = Arranger::default();
    let mut further = Vec::new();
    // The revision that the arranger's tables belong to.
    let mut solved = None;
    let work = move |job: Job, desk: &Desk<'_, Solved>| match job {
        Job::Solve { revision, document } => {
            solved = None;
            // Taken out while they work, so that a fault leaves none of them half-changed behind.
            let mut first = std::mem::take(&mut arranger);
            let mut others = std::mem::take(&mut further);
            if solve((&mut first, &mut others), revision, &document, desk) {
                solved = Some(revision);
            }
            (arranger, further) = (first, others);
        }
        Job::Ways { revision, bar } if solved == Some(revision) => {
            solved = None;
            let mut first = std::mem::take(&mut arranger);
            if let Some(ways) = first.ways(bar, MOST_WAYS, &mut |_| desk.is_wanted()) {
                desk.reply(Solved::Ways(revision, bar, Arc::new(ways)));
            }
            arranger = first;
            solved = Some(revision);
        }
        // The document has changed since, and will be asked about again.
        Job::Ways { .. } => {}
    };
    Worker::start("solver", wake, work, Solved::Failed)
}

/// Arranges a document and tells what each voicing would make of it. Whether there is an
/// arrangement.
fn solve(
    (arranger, further): (&mut Arranger, &mut Vec<Arranger>),
    revision: u64,
    document: &Document,
    desk: &Desk<'_, Solved>,
) -> bool {
    let mut keep_going = |progress: Progress| {
        if progress.done.is_multiple_of(REPORT_EVERY) {
            desk.reply_if_room(Solved::Progress(revision, progress));
        }
        desk.is_wanted()
    };
    let problem = problem_from_document(document);
    let Some(arrangement) = arranger.solve(&problem, &mut keep_going) else {
        return false;
    };
    let all = with_choruses(document, arrangement, further, &mut keep_going);
    let Some(arrangement) = all else {
        return false;
    };
    desk.reply(Solved::Done(revision, Arc::new(arrangement)));
    if let Some(options) = arranger.options(&mut |_| desk.is_wanted()) {
        desk.reply(Solved::Options(revision, Arc::new(options)));
    }
    true
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
