//! The tune cut into spans and phases. A span is the time of one written chord; a phase is a
//! stretch of it through which the left hand keeps one state: it begins with a thumb note that
//! moves the hand, and the plucks and repeated bass notes that follow belong to it. The phases are
//! the layers of the search.

use super::moments::Event;
use super::moments::Moment;
use super::moments::bar_starts;
use super::moments::moments;
use super::moments::taken_ahead;
use super::phase::Need;
use super::phase::Phase;
use super::phase::PhaseSlide;
use super::phase::Plan;
use super::phase::Span;
use super::phase::Strike;
use super::phase::Task;
use super::problem::ApproachFrom;
use super::problem::Problem;
use super::problem::ThumbPlan;
use super::problem::ThumbWish;
use super::result::Place;
use crate::instrument::Cost;
use crate::theory::Articulation;
use crate::theory::Midi;
use crate::theory::Slide;
use crate::theory::Sliding;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::ThumbMove;
use crate::theory::Ticks;

/// What an automatic approach costs when it comes from the side that was not asked for: enough
/// that it happens only where the asked side has no place or a bad one.
const OTHER_SIDE: Cost = Cost::points(6);

/// What it costs an automatic approach to stay on the root instead, where the fingers strike and no
/// approach can be held beside them: more than cutting the bass note, so that it comes last.
const STAY_ON_ROOT: Cost = Cost::points(16);

/// Cuts a problem into spans and phases.
#[must_use]
pub fn plan(problem: &Problem) -> Plan {
    let bar_starts = bar_starts(&problem.bars);
    let heads = span_heads(problem, &bar_starts);
    let moments = moments(&problem.bars, &bar_starts);
    let end = bar_starts.last().copied().unwrap_or(0);
    let mut builder = Builder {
        problem,
        bar_starts,
        plan: Plan::default(),
        n_approaches: 0,
        bass: None,
    };
    let mut rest = moments.as_slice();
    // Where the hand takes the chord, and when.
    let mut from = heads
        .first()
        .map_or((Place::default(), 0), |(ticks, span)| (span.place, *ticks));
    for (i, (written, span)) in heads.iter().enumerate() {
        let next = heads.get(i + 1);
        let next_written = next.map_or(end, |(next, _)| *next);
        let ahead = next
            .filter(|(_, next)| next.chord.is_some())
            .and_then(|_| taken_ahead(rest, *written, next_written));
        let until = ahead.map_or(next_written, |moment| moment.ticks);
        let n_here = rest.partition_point(|moment| moment.ticks < until);
        let (here, later) = rest.split_at(n_here);
        rest = later;
        let time = SpanTime {
            place: from.0,
            begins: from.1,
            written: *written,
            until,
        };
        builder.add_span(span.clone(), &time, here, next.map(|(_, span)| span));
        let next_place = next.map_or(Place::default(), |(_, next)| next.place);
        from = (ahead.map_or(next_place, |moment| moment.place), until);
    }
    builder.plan
}

/// When a span is played, in ticks from the start of the tune.
struct SpanTime {
    /// Where the hand takes the chord.
    place: Place,
    /// When.
    begins: u64,
    /// When the chord is written.
    written: u64,
    /// When the hand leaves it.
    until: u64,
}

fn span_heads(problem: &Problem, bar_starts: &[u64]) -> Vec<(u64, Span)> {
    let mut heads = Vec::new();
    let head = |place, chord_idx, chord, shape| Span {
        place,
        chord_idx,
        chord,
        shape,
        bass: None,
        phases: 0..0,
    };
    for (bar, (plan, start)) in problem.bars.iter().zip(bar_starts).enumerate() {
        if bar == 0 && plan.chords.first().is_none_or(|chord| chord.at.0 > 0) {
            heads.push((0, head(Place::default(), usize::MAX, None, None)));
        }
        for (chord_idx, chord) in plan.chords.iter().enumerate() {
            let place = Place { bar, at: chord.at };
            let span = head(place, chord_idx, chord.chord.clone(), chord.shape);
            heads.push((start + u64::from(chord.at.0), span));
        }
    }
    heads
}

/// The bass note that the line asks of a span's grip: that of a root on its first beat.
fn asked_bass(moments: &[Moment], written: u64) -> Option<Midi> {
    let mut there = moments.iter().filter(|moment| moment.ticks == written);
    there.find_map(|moment| match moment.event {
        Event::Thumb(ThumbPlan {
            wish: ThumbWish::Note(ThumbMove::Root, pitch),
            ..
        }) => Some(pitch),
        _ => None,
    })
}

struct Builder<'a> {
    problem: &'a Problem,
    bar_starts: Vec<u64>,
    plan: Plan,
    n_approaches: usize,
    /// The bass note asked of the span that is being cut up.
    bass: Option<Midi>,
}

impl Builder<'_> {
    fn time_us(&self, ticks: u64) -> u64 {
        ticks * 60_000_000 / (u64::from(TICKS_PER_BEAT) * u64::from(self.problem.tempo_bpm.max(1)))
    }

    fn add_span(
        &mut self,
        mut span: Span,
        time: &SpanTime,
        moments: &[Moment],
        next: Option<&Span>,
    ) {
        let first = self.plan.phases.len();
        let span_idx = self.plan.spans.len();
        let moments = if span.chord.is_some() { moments } else { &[] };
        let last_thumb = moments
            .iter()
            .rposition(|m| matches!(m.event, Event::Thumb(_)))
            .unwrap_or(0);
        let leads_on = next.is_some_and(|next| next.chord.is_some() && next.chord != span.chord);
        let mut ring_until = 0;
        span.bass = asked_bass(moments, time.written);
        self.bass = span.bass;
        self.push_phase(span_idx, time.place, time.begins, Task::Grip);
        for (i, moment) in moments.iter().enumerate() {
            match moment.event {
                Event::Thumb(slot) => {
                    let slot = ThumbPlan {
                        length: shortened(slot.length, time.until - moment.ticks),
                        ..slot
                    };
                    let approaches = leads_on && i == last_thumb && moment.ticks > time.written;
                    self.add_thumb(span_idx, moment, &slot, approaches, ring_until);
                }
                Event::Pluck(pluck) => {
                    let later = moments.iter().skip(i + 1);
                    let next = later
                        .filter(|m| matches!(m.event, Event::Pluck(_)))
                        .map(|m| m.ticks);
                    let stop = next.min().unwrap_or(time.until);
                    // What anticipates rings on over the barline.
                    let bar_end = self.bar_starts.get(moment.place.bar + 1).copied();
                    let bar_end = bar_end.filter(|_| moment.ticks >= time.written);
                    let stop = stop.min(bar_end.unwrap_or(stop)).min(time.until);
                    // A short strike is written to the end of its beat.
                    let beat_left = TICKS_PER_BEAT - moment.place.at.within_beat();
                    let longest = match pluck.articulation {
                        Articulation::Ring => u64::MAX,
                        Articulation::Short => u64::from(beat_left),
                    };
                    let length = stop.saturating_sub(moment.ticks).min(longest);
                    if pluck.articulation == Articulation::Ring {
                        ring_until = stop;
                    }
                    self.add_pluck(moment, pluck.articulation, length);
                }
            }
        }
        self.mark_carried(first);
        span.phases = first..self.plan.phases.len();
        self.plan.spans.push(span);
    }

    fn push_phase(&mut self, span: usize, place: Place, ticks: u64, task: Task) {
        let begins_us = self.time_us(ticks);
        self.plan.phases.push(Phase {
            span,
            place,
            begins_us,
            last_strike_us: begins_us,
            first_pluck_us: None,
            task,
            automatic: false,
            need: Need::Free,
            carried: true,
            rings_in: false,
            slides: Vec::new(),
            strikes: Vec::new(),
        });
    }

    fn add_thumb(
        &mut self,
        span: usize,
        moment: &Moment,
        slot: &ThumbPlan,
        approaches: bool,
        ring_until: u64,
    ) {
        let (task, silent) = self.task_of(slot, approaches);
        let time = self.time_us(moment.ticks);
        let Some(phase) = self.plan.phases.last_mut() else {
            return;
        };
        let is_first = phase.strikes.is_empty() && phase.place == moment.place;
        let goes_on = silent.is_some() || (task == Task::Grip && phase.task == Task::Grip);
        if is_first && silent.is_none() {
            phase.task = task;
        } else if !goes_on {
            self.push_phase(span, moment.place, moment.ticks, task);
        }
        let Some(phase) = self.plan.phases.last_mut() else {
            return;
        };
        if moment.ticks < ring_until {
            phase.need = phase.need.max(Need::Ring);
            phase.rings_in |= phase.strikes.is_empty();
        }
        phase.automatic |= approaches && slot.wish == ThumbWish::Auto;
        let whole = |slide: &Slide| slide.what == Sliding::WholeGrip && silent.is_none();
        let slide = moment.slide.filter(whole);
        if let Some(slide) = slide {
            add_slide(phase, slide, time);
        }
        phase.last_strike_us = time;
        let length = slot.length;
        phase.strikes.push(Strike::Thumb {
            place: moment.place,
            length,
            silent,
            slide,
        });
    }

    fn add_pluck(&mut self, moment: &Moment, articulation: Articulation, length: u64) {
        let time = self.time_us(moment.ticks);
        let Some(phase) = self.plan.phases.last_mut() else {
            return;
        };
        let with_thumb = |strike: &&Strike| matches!(strike, Strike::Thumb { place, slide: Some(_), .. } if *place == moment.place);
        if let (Some(slide), None) = (moment.slide, phase.strikes.iter().find(with_thumb)) {
            let what = Sliding::FingersOnly;
            add_slide(phase, Slide { what, ..slide }, time);
        }
        phase.need = Need::Strike;
        phase.last_strike_us = time;
        phase.first_pluck_us.get_or_insert(time);
        let length = Ticks(u32::try_from(length).unwrap_or(u32::MAX));
        phase.strikes.push(Strike::Fingers {
            place: moment.place,
            length,
            articulation,
            slide: moment.slide,
        });
    }

    /// The task of a thumb slot, or the move that needs no place.
    fn task_of(&mut self, slot: &ThumbPlan, approaches: bool) -> (Task, Option<ThumbMove>) {
        match slot.wish {
            ThumbWish::Auto if approaches => (Task::Moves(self.approach_moves()), None),
            ThumbWish::Auto | ThumbWish::Move(ThumbMove::Root) => (Task::Grip, None),
            ThumbWish::Move(silent @ (ThumbMove::Ghost | ThumbMove::Rest)) => {
                (Task::Grip, Some(silent))
            }
            ThumbWish::Move(wanted) => (Task::Moves(vec![(wanted, Cost::ZERO)]), None),
            ThumbWish::Note(ThumbMove::Root, pitch) if self.bass == Some(pitch) => {
                (Task::Grip, None)
            }
            ThumbWish::Note(wanted, pitch) => (Task::Pitched(wanted, pitch), None),
            ThumbWish::Place(string, fret) => (Task::Exactly(None, string, fret), None),
            ThumbWish::Kept(named, string, fret) => {
                (Task::Exactly(Some(named), string, fret), None)
            }
        }
    }

    fn approach_moves(&mut self) -> Vec<(ThumbMove, Cost)> {
        let turn = self.n_approaches;
        self.n_approaches += 1;
        let (below, above) = match self.problem.approach {
            ApproachFrom::Below => (Cost::ZERO, OTHER_SIDE),
            ApproachFrom::Above => (OTHER_SIDE, Cost::ZERO),
            ApproachFrom::Alternate if turn.is_multiple_of(2) => (Cost::ZERO, OTHER_SIDE),
            ApproachFrom::Alternate => (OTHER_SIDE, Cost::ZERO),
            ApproachFrom::Easiest => (Cost::ZERO, Cost::ZERO),
        };
        vec![
            (ThumbMove::ApproachBelow, below),
            (ThumbMove::ApproachAbove, above),
        ]
    }

    /// The first phase of a span has its grip; after that a phase has it as long as a later one
    /// still needs it.
    fn mark_carried(&mut self, first: usize) {
        let phases = self.plan.phases.get_mut(first..).unwrap_or_default();
        let last_need = phases
            .iter()
            .rposition(|phase| phase.need > Need::Free)
            .unwrap_or(0);
        for (i, phase) in phases.iter_mut().enumerate() {
            phase.carried = i <= last_need;
            if let (true, Need::Strike, Task::Moves(moves)) =
                (phase.automatic, phase.need, &mut phase.task)
            {
                moves.push((ThumbMove::Root, STAY_ON_ROOT));
            }
        }
    }
}

/// Adds a slide that is struck at `time`. The fingers can wait where it begins if the phase begins
/// with it, or if they alone slide and hold nothing before.
fn add_slide(phase: &mut Phase, slide: Slide, time: u64) {
    let fingers_wait = slide.what == Sliding::FingersOnly
        && phase.first_pluck_us.is_none()
        && !phase.rings_in
        && phase.slides.is_empty();
    let waits = time == phase.begins_us || fingers_wait;
    phase.slides.push(PhaseSlide {
        slide,
        time_us: (!waits).then(|| time.saturating_sub(phase.last_strike_us)),
    });
}

fn shortened(length: Ticks, room: u64) -> Ticks {
    Ticks(u32::try_from(room).map_or(length.0, |room| room.min(length.0)))
}
