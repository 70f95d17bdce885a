//! The background thread that makes sound ready: it computes the notes a performance needs, keeps
//! them for the next one, and makes a timeline of both. Notes that are needed first come first, and
//! playing may begin as soon as no later one can come too late.

use super::What;
use crate::score::Performance;
use crate::session::Wake;
use crate::session::worker::Desk;
use crate::session::worker::Worker;
use crate::sound::Bank;
use crate::sound::NoteKey;
use crate::sound::Timeline;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;

/// Fewer notes than this are ready before anybody could read how far they are.
const MANY: usize = 8;

/// Once it plays, a fuller timeline is handed over so often while notes are still computed.
const HAND_OVER: Duration = Duration::from_millis(100);

/// Seconds that a note must be ready before its time: it has to be handed over and loaded.
const AHEAD_S: f64 = 0.3;

/// How much slower than the slowest note so far the next ones may turn out to be.
const RESERVE: f64 = 1.5;

/// The most that notes may hold in memory, unless the tune being played needs more: about forty long
/// ones, so that what was heard a moment ago is there at once.
const MOST_BYTES: usize = 48 * 1024 * 1024;

/// The most that notes may hold before anybody wants to hear the tune: some forty, enough to begin with.
/// The rest is computed while it plays.
const AHEAD_BYTES: usize = 8 * 1024 * 1024;

/// Seconds of the tune that are made ready ahead, whatever is held.
const AHEAD_AT_LEAST_S: f64 = 10.0;

/// Something to make ready.
pub struct SoundJob {
    /// Its number; the newest counts.
    pub number: u64,
    /// What is to be heard.
    pub performance: Arc<Performance>,
    /// As what.
    pub what: What,
    /// Of the output.
    pub sample_rate: u32,
    /// Where playing begins, in seconds, if it waits for this: then it need not wait for all of it.
    pub from_s: Option<f64>,
}

/// What comes back.
pub enum Prepared {
    /// The part that is done, 0 to 1.
    Progress(f32),
    /// The first note since the program was started is ready, since when.
    FirstNote(Instant),
    /// Enough to begin: later notes are still missing, but will be there in time.
    Part(Made),
    /// Ready to be played.
    Ready(Made),
    /// Ready for when it is wanted.
    Ahead,
    /// A fault in the program, in words.
    Failed(String),
}

/// A timeline and what it is made of.
pub struct Made {
    /// The number of the job.
    pub job: u64,
    /// What it is made of.
    pub performance: Arc<Performance>,
    /// As what.
    pub what: What,
    /// For the renderer.
    pub timeline: Box<Timeline>,
}

/// Starts the thread.
pub fn start_worker(wake: Wake) -> Worker<SoundJob, Prepared> {
    let mut bank: Option<Bank> = None;
    let work = move |job: SoundJob, desk: &Desk<'_, Prepared>| {
        let fits = |bank: &Bank| {
            bank.sample_rate() == job.sample_rate && bank.stringing() == job.performance.stringing
        };
        if bank.is_none() && !job.performance.notes.is_empty() {
            let mut first = Bank::new(job.sample_rate, job.performance.stringing);
            if let Some((key, _)) = first.missing_from(&job.performance, from_of(&job)).first() {
                let samples = first.compute(*key);
                first.insert(*key, samples);
                desk.reply(Prepared::FirstNote(Instant::now()));
            }
            bank = Some(first);
        }
        let mut own = bank
            .take()
            .filter(fits)
            .unwrap_or_else(|| Bank::new(job.sample_rate, job.performance.stringing));
        own.make_room(&job.performance, MOST_BYTES);
        let is_filled = fill(&mut own, &job, desk);
        own.trim(&job.performance, MOST_BYTES);
        if is_filled {
            desk.reply(match job.what {
                What::Ahead => Prepared::Ahead,
                _ => Prepared::Ready(made(&job, &own)),
            });
        }
        bank = Some(own);
    };
    Worker::start("sound", wake, work, Prepared::Failed)
}

fn from_of(job: &SoundJob) -> f64 {
    job.from_s.unwrap_or(0.0)
}

fn made(job: &SoundJob, bank: &Bank) -> Made {
    let mut timeline = Box::new(Timeline::new(&job.performance, bank));
    if job.what == What::Audition {
        timeline.hear_every_row();
    }
    Made {
        job: job.number,
        performance: Arc::clone(&job.performance),
        what: job.what,
        timeline,
    }
}

/// Computes what is missing; whether it came to an end.
fn fill(bank: &mut Bank, job: &SoundJob, desk: &Desk<'_, Prepared>) -> bool {
    let missing = bank.missing_from(&job.performance, from_of(job));
    let mut pace = Pace::default();
    let mut handed_over: Option<Instant> = None;
    for (done, (key, due_s)) in (1..).zip(&missing) {
        if job.what == What::Ahead && is_enough(bank.bytes(), *due_s) {
            return true;
        }
        let begun = Instant::now();
        let samples = bank.compute(*key);
        bank.insert(*key, samples);
        pace.note(begun.elapsed());
        if !desk.is_wanted() {
            return done == missing.len();
        }
        if missing.len() >= MANY {
            let part = done as f32 / missing.len() as f32;
            desk.reply_if_room(Prepared::Progress(part));
        }
        let rest = missing.get(done..).unwrap_or_default();
        let due = match handed_over {
            None => job.from_s.is_some() && pace.may_begin(rest),
            Some(at) => at.elapsed() >= HAND_OVER,
        };
        if due && !rest.is_empty() {
            desk.reply(Prepared::Part(made(job, bank)));
            handed_over = Some(Instant::now());
        }
    }
    true
}

/// Whether a note that is due then need not be held before the tune is played.
fn is_enough(bytes_held: usize, due_s: f64) -> bool {
    bytes_held >= AHEAD_BYTES && due_s > AHEAD_AT_LEAST_S
}

/// How fast notes are computed.
#[derive(Default)]
struct Pace {
    slowest_s: f64,
}

impl Pace {
    fn note(&mut self, took: Duration) {
        self.slowest_s = self.slowest_s.max(took.as_secs_f64());
    }

    /// Whether each of these will be there in time if playing begins now.
    fn may_begin(&self, rest: &[(NoteKey, f64)]) -> bool {
        let each_s = RESERVE * self.slowest_s;
        let mut ready_s = AHEAD_S;
        rest.iter().all(|(_, due_s)| {
            ready_s += each_s;
            ready_s <= *due_s
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sound::Kept;
    use crate::sound::Stroke;

    #[test]
    fn ahead_there_is_always_a_beginning_and_never_all_of_a_long_tune() {
        let full = 100 * AHEAD_BYTES;
        let enough = [(0, 1e6), (0, 0.0), (full, 0.0), (full, 9.0), (full, 11.0)];
        let enough = enough.map(|(held, due_s)| is_enough(held, due_s));
        assert_eq!(enough, [false, false, false, false, true]);
    }

    #[test]
    fn playing_begins_when_no_note_can_come_too_late() {
        let key = NoteKey {
            open: 40,
            pitch: 40,
            stroke: Stroke::Thumb,
            strength: 84,
            variant: 0,
            kept: Kept::Whole,
        };
        let rest = |due: &[f64]| due.iter().map(|due_s| (key, *due_s)).collect::<Vec<_>>();
        let mut pace = Pace::default();
        for ms in [40, 100, 20] {
            pace.note(Duration::from_millis(ms));
        }
        // 0.3 s to hand over, then 0.15 s for each note.
        for (due, may) in [
            (&[0.0][..], false),
            (&[0.44], false),
            (&[0.46], true),
            (&[0.5, 0.5], false),
            (&[0.5, 0.61, 0.76], true),
            (&[0.5, 0.7, 0.74], false),
            (&[], true),
        ] {
            assert_eq!(pace.may_begin(&rest(due)), may, "{due:?}");
        }
    }
}
