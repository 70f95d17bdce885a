//! What happens when: bars with their thumb slots and plucks as one list of moments in order, and
//! where the hand takes each chord. Usually that is where the chord is written; a pluck that
//! anticipates takes it earlier. Never decides how anything is played.

use super::problem::BarPlan;
use super::problem::Problem;
use super::problem::ThumbPlan;
use super::problem::TunePlan;
use super::result::Place;
use crate::theory::Pluck;
use crate::theory::Slide;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;

/// What is struck.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Event {
    /// The thumb.
    Thumb(ThumbPlan),
    /// A note of the tune.
    Tune(TunePlan),
    /// The fingers.
    Pluck(Pluck),
}

/// A moment with what happens then.
#[derive(Clone, Copy, Debug)]
pub struct Moment {
    /// Where.
    pub place: Place,
    /// When, in ticks from the start of the tune.
    pub ticks: u64,
    /// What.
    pub event: Event,
    /// What slides into its place then.
    pub slide: Option<Slide>,
}

impl Moment {
    /// Whether the fingers strike and take the next chord with them, if they can.
    const fn is_ahead(&self) -> bool {
        matches!(self.event, Event::Pluck(Pluck { ahead: true, .. }))
    }
}

/// When a moment is, in microseconds from the start of the tune as it is written.
#[must_use]
pub fn time_us(problem: &Problem, ticks: u64) -> u64 {
    ticks * 60_000_000 / (u64::from(TICKS_PER_BEAT) * u64::from(problem.tempo_bpm.max(1)))
}

/// Start of every bar and the end of the last, in ticks.
#[must_use]
pub fn bar_starts(bars: &[BarPlan]) -> Vec<u64> {
    let mut starts = vec![0];
    let mut at = 0;
    for bar in bars {
        at += u64::from(bar.length.0);
        starts.push(at);
    }
    starts
}

/// All moments in order; at one moment the thumb comes first, then the tune, then the fingers.
#[must_use]
pub fn moments(bars: &[BarPlan], bar_starts: &[u64]) -> Vec<Moment> {
    let mut moments = Vec::new();
    for (bar, (plan, start)) in bars.iter().zip(bar_starts).enumerate() {
        let moment = |at: Ticks, event| Moment {
            place: Place { bar, at },
            ticks: start + u64::from(at.0),
            event,
            slide: plan.slide_at(at),
        };
        let thumb = plan
            .thumb
            .iter()
            .map(|slot| moment(slot.at, Event::Thumb(*slot)));
        let tune = plan
            .tune
            .iter()
            .map(|note| moment(note.at, Event::Tune(*note)));
        let plucks = plan
            .plucks
            .iter()
            .map(|pluck| moment(pluck.at, Event::Pluck(*pluck)));
        let from = moments.len();
        moments.extend(thumb.chain(tune).chain(plucks));
        if let Some(here) = moments.get_mut(from..) {
            // Stable, so that the thumb stays first.
            here.sort_by_key(|moment: &Moment| moment.ticks);
        }
    }
    moments
}

/// Where the hand takes a chord that is written at `written` ticks, if a pluck anticipates it: the
/// last moment before it, after the chord before it has begun at `after`.
#[must_use]
pub fn taken_ahead(moments: &[Moment], after: u64, written: u64) -> Option<Moment> {
    let n_before = moments.partition_point(|moment| moment.ticks < written);
    let last = moments.get(n_before.checked_sub(1)?)?;
    (last.is_ahead() && last.ticks > after).then_some(*last)
}
