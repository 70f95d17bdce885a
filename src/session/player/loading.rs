//! Having sound made ready and giving it to the renderer: what is asked of the thread that computes
//! notes, what becomes of its answers, and where the music begins or goes on with what it made.

use super::News;
use super::Player;
use super::What;
use super::prepare::Made;
use super::prepare::Prepared;
use super::prepare::SoundJob;
use crate::score::Performance;
use crate::session::tune::seconds_of_bars;
use crate::sound::CountIn;
use crate::sound::Playhead;
use crate::sound::Swap;
use std::sync::Arc;

/// Where to begin once the sound is ready.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Start {
    /// The first time a written bar comes round.
    Bar(usize),
    /// So far into the performance.
    Seconds(f64),
}

impl Start {
    /// Where that is in a performance.
    fn seconds_in(self, performance: &Performance) -> f64 {
        match self {
            Self::Seconds(seconds) => seconds,
            Self::Bar(bar) => {
                let found = (performance.bars.iter()).find(|played| played.written_bar == bar);
                found.map_or(0.0, |played| played.start_s)
            }
        }
    }
}

/// Seconds as frames of an output.
fn frames(seconds: f64, sample_rate: u32) -> u64 {
    (seconds * f64::from(sample_rate)).round().max(0.0) as u64
}

impl Player {
    pub(super) fn take_prepared(&mut self, reply: Prepared) {
        match reply {
            Prepared::Progress(part) => self.status.preparing = Some(part),
            Prepared::FirstNote(at) => {
                let after = at.saturating_duration_since(self.begun);
                self.first_note_s.get_or_insert(after.as_secs_f64());
            }
            // An answer to a question that has been replaced since.
            Prepared::Part(made) | Prepared::Ready(made) if made.job != self.newest_job => {}
            Prepared::Part(made) => self.load(made),
            Prepared::Ready(made) => {
                self.status.preparing = None;
                if self.pending == Some(made.what) {
                    self.pending = None;
                }
                let is_next = made.what == What::Next;
                self.load(made);
                if !is_next {
                    self.prepare_next();
                }
            }
            Prepared::Ahead => self.status.preparing = None,
            Prepared::Failed(why) => {
                self.status.preparing = None;
                self.pending = None;
                self.start = None;
                self.clear_playhead();
                let text = format!("the sound could not be prepared: {why}");
                self.news.push(News::Trouble(text));
            }
        }
    }

    pub(super) fn prepare(&mut self, what: What, performance: Arc<Performance>) {
        if let Some((output, _)) = &self.output {
            self.prepare_at(output.sample_rate(), what, performance);
            self.pending = Some(what);
        }
    }

    pub(super) fn prepare_at(
        &mut self,
        sample_rate: u32,
        what: What,
        performance: Arc<Performance>,
    ) {
        let from_s = match (what, self.start) {
            (What::Tune, Some(start)) => Some(start.seconds_in(&performance)),
            _ => None,
        };
        self.newest_job += 1;
        self.worker.submit(SoundJob {
            number: self.newest_job,
            performance,
            what,
            sample_rate,
            from_s,
        });
    }

    pub(super) fn load(&mut self, made: Made) {
        if made.what == What::Next {
            self.queue_next(made.performance, made.timeline);
            return;
        }
        if let Some((_, remote)) = &self.output {
            let head = remote.playhead();
            self.load_at(made, head);
        }
    }

    /// Loads what is to go on from a play-head.
    pub(super) fn load_at(&mut self, made: Made, head: Playhead) {
        let swap = self.swap_to(&made, head);
        let Some((_, remote)) = &mut self.output else {
            return;
        };
        if swap == Swap::Stop {
            remote.set_timeline(made.timeline, swap);
        } else {
            remote.set_timeline_unless_taken(made.timeline, swap, head.taken);
        }
        self.progress.forget_queued();
        self.loaded = Some((made.what, made.performance));
        self.send_loop();
        if self.start.is_some() {
            self.begin();
        }
    }

    /// Goes on at the same musical place if the tune is playing, else stops.
    fn swap_to(&self, made: &Made, head: Playhead) -> Swap {
        let Some((What::Tune, now)) = &self.loaded else {
            return Swap::Stop;
        };
        if made.what == What::Audition || !head.running || self.start.is_some() {
            return Swap::Stop;
        }
        let sample_rate = made.timeline.sample_rate();
        Swap::keeping_place(now, &made.performance, head.frame, sample_rate)
    }

    /// Starts what is loaded.
    pub(super) fn begin(&mut self) {
        let (Some((what, performance)), Some((output, remote))) = (&self.loaded, &mut self.output)
        else {
            return;
        };
        output.forget_load();
        let rate = output.sample_rate();
        let start = self.start.take();
        // Going on somewhere else is not beginning.
        let counts = self.status.count_in && matches!(start, Some(Start::Bar(_)));
        let Some(start) = start else {
            return;
        };
        let seconds = start.seconds_in(performance);
        let count_in = (counts && *what == What::Tune).then(|| CountIn {
            beats: u32::try_from(
                performance
                    .bars
                    .first()
                    .map_or(4, |bar| bar.beats_s.len().max(1)),
            )
            .unwrap_or(4),
            frames_per_beat: frames(performance.clock.beat_s, rate),
        });
        remote.play_from(frames(seconds, rate), count_in);
        self.status.playing = *what == What::Tune;
    }

    pub(super) fn send_loop(&mut self) {
        let (Some((what, performance)), Some((output, remote))) = (&self.loaded, &mut self.output)
        else {
            return;
        };
        let rate = output.sample_rate();
        let range = self
            .loop_bars
            .filter(|_| *what == What::Tune)
            .and_then(|bars| seconds_of_bars(performance, bars))
            .map(|(from, to)| (frames(from, rate), frames(to, rate)));
        remote.set_loop(range);
    }
}
