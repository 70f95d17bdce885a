//! The background thread that makes sound ready: it computes the notes a performance needs, keeps
//! them for the next one, and makes a timeline of both.

use super::What;
use crate::score::Performance;
use crate::session::Wake;
use crate::session::worker::Desk;
use crate::session::worker::Worker;
use crate::sound::Bank;
use crate::sound::Timeline;
use std::sync::Arc;

/// Something to make ready.
pub struct SoundJob {
    /// What is to be heard.
    pub performance: Arc<Performance>,
    /// As what.
    pub what: What,
    /// Of the output.
    pub sample_rate: u32,
}

/// What comes back.
pub enum Prepared {
    /// The part that is done, 0 to 1.
    Progress(f32),
    /// Ready to be played.
    Ready {
        /// What it is made of.
        performance: Arc<Performance>,
        /// As what.
        what: What,
        /// For the renderer.
        timeline: Box<Timeline>,
    },
    /// A fault in the program, in words.
    Failed(String),
}

/// Starts the thread.
pub fn start_worker(wake: Wake) -> Worker<SoundJob, Prepared> {
    let mut bank: Option<Bank> = None;
    let work = move |job: SoundJob, desk: &Desk<'_, Prepared>| {
        let fits = |bank: &Bank| {
            bank.sample_rate() == job.sample_rate && bank.stringing() == job.performance.stringing
        };
        let mut own = bank
            .take()
            .filter(fits)
            .unwrap_or_else(|| Bank::new(job.sample_rate, job.performance.stringing));
        let complete = own.prepare(&job.performance, &mut |done, total| {
            desk.reply_if_room(Prepared::Progress(done as f32 / total.max(1) as f32));
            desk.is_wanted()
        });
        if complete {
            let mut timeline = Box::new(Timeline::new(&job.performance, &own));
            if job.what == What::Audition {
                timeline.hear_every_row();
            }
            let SoundJob {
                performance, what, ..
            } = job;
            desk.reply(Prepared::Ready {
                performance,
                what,
                timeline,
            });
        }
        bank = Some(own);
    };
    Worker::start("sound", wake, work, Prepared::Failed)
}
