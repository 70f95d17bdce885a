//! The tune cut into spans and phases. A span is the time of one grip (see `pieces`); a phase is a
//! stretch of it through which the left hand keeps one state: it begins with a thumb note or a note
//! of the tune that moves the hand, and the plucks and repeated bass notes that follow belong to it.
//! The phases are the layers of the search.

use super::heads::Heads;
use super::moments::Event;
use super::moments::Moment;
use super::moments::bar_starts;
use super::moments::moments;
use super::moments::taken_ahead;
use super::moments::time_us;
use super::phase::Need;
use super::phase::Phase;
use super::phase::PhaseSlide;
use super::phase::Plan;
use super::phase::Span;
use super::phase::Strike;
use super::phase::Task;
use super::phase::TuneSound;
use super::pieces::Piece;
use super::pieces::Sung;
use super::pieces::pieces;
use super::pieces::sung;
use super::pieces::sung_at;
use super::problem::ApproachFrom;
use super::problem::Problem;
use super::problem::ThumbPlan;
use super::problem::ThumbWish;
use super::problem::TunePlan;
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
    let heads = Heads::of(problem, &bar_starts);
    let moments = moments(&problem.bars, &bar_starts);
    let mut builder = Builder {
        problem,
        bar_starts,
        sung: sung(&moments),
        plan: Plan::default(),
        n_approaches: 0,
        bass: None,
        bass_until: 0,
    };
    let mut rest = moments.as_slice();
    // Where the hand takes the chord, and when.
    let mut from = heads.all().first().map_or((Place::default(), 0), |head| {
        (head.span.place, head.written)
    });
    for (i, head) in heads.all().iter().enumerate() {
        let next = heads.after(i);
        let next_written = heads.end_of(i);
        let ahead = next
            .filter(|next| next.span.chord.is_some() && heads.is_next_heard(i))
            .and_then(|_| taken_ahead(rest, head.written, next_written));
        let until = ahead.map_or(next_written, |moment| moment.ticks);
        let n_here = rest.partition_point(|moment| moment.ticks < until);
        let (here, later) = rest.split_at(n_here);
        rest = later;
        let time = ChordTime {
            place: from.0,
            begins: from.1,
            written: head.written,
            until,
        };
        let approaches = heads.approaches(i, here);
        builder.add_chord(&head.span, &time, (here, &approaches));
        let next_place = next.map_or(Place::default(), |next| next.span.place);
        from = (ahead.map_or(next_place, |moment| moment.place), until);
    }
    builder.plan
}

/// When a chord is played, in ticks from the start of the tune.
struct ChordTime {
    /// Where the hand takes the chord.
    place: Place,
    /// When.
    begins: u64,
    /// When the chord is written.
    written: u64,
    /// When the hand leaves it.
    until: u64,
}

/// When a span is played, and what its chord's thumb line does.
struct SpanTime {
    /// When the chord is written, or taken anew.
    written: u64,
    /// When the hand leaves this grip.
    until: u64,
    /// When the hand leaves the chord.
    chord_until: u64,
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
    sung: Vec<Sung>,
    plan: Plan,
    n_approaches: usize,
    /// The bass note asked of the span that is being cut up.
    bass: Option<Midi>,
    /// When the last bass note ends.
    bass_until: u64,
}

impl Builder<'_> {
    fn time_us(&self, ticks: u64) -> u64 {
        time_us(self.problem, ticks)
    }

    /// Adds a chord as one span, or as several under a tune.
    fn add_chord(
        &mut self,
        head: &Span,
        time: &ChordTime,
        (moments, approaches): (&[Moment], &[u64]),
    ) {
        let is_tune = |moment: &&Moment| matches!(moment.event, Event::Tune(_));
        let from = (time.place, time.begins);
        let (moments, pieces) = if head.chord.is_some() {
            let cut = pieces(from, time.until, moments, &self.sung);
            (moments.to_vec(), cut)
        } else {
            // Without a chord there is at most the tune.
            let alone = Piece {
                place: time.place,
                begins: time.begins,
                top: None,
            };
            (
                moments.iter().filter(is_tune).copied().collect(),
                vec![alone],
            )
        };
        let mut rest = moments.as_slice();
        for (number, piece) in pieces.iter().enumerate() {
            let until = pieces
                .get(number + 1)
                .map_or(time.until, |next| next.begins);
            let n_here = rest.partition_point(|moment| moment.ticks < until);
            let (here, later) = rest.split_at(n_here);
            rest = later;
            let mut span = head.clone();
            span.again = number > 0;
            if span.again {
                span.place = piece.place;
            }
            let time = SpanTime {
                written: if span.again {
                    piece.begins
                } else {
                    time.written
                },
                until,
                chord_until: time.until,
            };
            self.add_span(span, piece, &time, (here, approaches));
        }
    }

    /// Whether a bar that leads elsewhere ends between the last strike and this bar: what is struck
    /// in it is not heard next, and begins a phase.
    fn is_apart(&self, bar: usize) -> bool {
        let last = |phase: &Phase| phase.strikes.last().map_or(phase.place, Strike::place).bar;
        let from = self.plan.phases.last().map_or(bar, last);
        (from..bar).any(|bar| self.problem.form.leads_to(bar).is_some())
    }

    fn add_span(
        &mut self,
        mut span: Span,
        piece: &Piece,
        time: &SpanTime,
        (moments, approaches): (&[Moment], &[u64]),
    ) {
        let first = self.plan.phases.len();
        let span_idx = self.plan.spans.len();
        let mut ring_until = 0;
        span.bass = asked_bass(moments, time.written);
        span.top = piece.top.map(|note| (note.pitch, note.spelling));
        let sings = |moment: &Moment| matches!(moment.event, Event::Tune(_));
        span.sings = sung_at(&self.sung, piece.begins).is_some() || moments.iter().any(sings);
        self.bass = span.bass;
        self.push_phase(&span, span_idx, (piece.place, piece.begins));
        for (i, moment) in moments.iter().enumerate() {
            if self.is_apart(moment.place.bar) {
                self.push_phase(&span, span_idx, (moment.place, moment.ticks));
            }
            match moment.event {
                Event::Thumb(slot) => {
                    let slot = ThumbPlan {
                        length: shortened(slot.length, time.chord_until - moment.ticks),
                        ..slot
                    };
                    let approaches = approaches.contains(&moment.ticks);
                    let later = moments.get(i + 1);
                    let with_tune =
                        later.is_some_and(|next| sings(next) && next.ticks == moment.ticks);
                    self.add_thumb(&span, moment, &slot, (approaches, with_tune), ring_until);
                }
                Event::Tune(note) => {
                    self.add_tune(&span, moment, &note, ring_until);
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
                    self.add_pluck(&span, moment, pluck.articulation, length);
                }
            }
        }
        self.mark_carried(first);
        span.phases = first..self.plan.phases.len();
        self.plan.spans.push(span);
    }

    /// Begins a phase of a span, with what sounds on from before.
    fn push_phase(&mut self, span: &Span, span_idx: usize, (place, ticks): (Place, u64)) {
        let begins_us = self.time_us(ticks);
        let is_first = self.plan.phases.last().is_none_or(|p| p.span != span_idx);
        let task = match span.sings {
            // A chord of the chart is taken whole.
            true if is_first && !span.again && span.chord.is_some() => Task::Grip,
            true if self.bass_until > ticks => Task::Hold,
            true => Task::Nothing,
            false => Task::Grip,
        };
        let sounds = sung_at(&self.sung, ticks).filter(|_| span.sings);
        self.plan.phases.push(Phase {
            span: span_idx,
            place,
            begins_us,
            last_strike_us: begins_us,
            first_pluck_us: None,
            task,
            automatic: false,
            tune: sounds.map(|note| TuneSound {
                pitch: note.pitch,
                holds: note.starts < ticks,
                own: span.top.is_some_and(|(top, _)| top == note.pitch),
            }),
            need: Need::Free,
            carried: true,
            rings_in: false,
            slides: Vec::new(),
            strikes: Vec::new(),
        });
    }

    fn add_thumb(
        &mut self,
        span: &Span,
        moment: &Moment,
        slot: &ThumbPlan,
        (approaches, with_tune): (bool, bool),
        ring_until: u64,
    ) {
        let (task, silent) = self.task_of(slot, approaches);
        let time = self.time_us(moment.ticks);
        let sounds = silent.is_none();
        self.bass_until = moment.ticks + if sounds { u64::from(slot.length.0) } else { 0 };
        let Some(phase) = self.plan.phases.last_mut() else {
            return;
        };
        let is_first = phase.strikes.is_empty() && phase.place == moment.place;
        let goes_on = silent.is_some() || (task == Task::Grip && phase.task == Task::Grip);
        if is_first && sounds {
            phase.task = task;
        } else if is_first && phase.task == Task::Hold {
            // A rest ends the note before; a ghost note needs the grip's bass string.
            phase.task = match silent {
                Some(ThumbMove::Ghost) => Task::Grip,
                _ => Task::Nothing,
            };
        } else if !is_first && (!goes_on || (with_tune && silent != Some(ThumbMove::Rest))) {
            let span_idx = phase.span;
            self.push_phase(span, span_idx, (moment.place, moment.ticks));
            if let Some(phase) = self.plan.phases.last_mut() {
                phase.task = task;
            }
        }
        let Some(phase) = self.plan.phases.last_mut() else {
            return;
        };
        rings_into(phase, moment.ticks, ring_until);
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

    /// A note of the tune begins a phase, unless one begins there already.
    fn add_tune(&mut self, span: &Span, moment: &Moment, note: &TunePlan, ring_until: u64) {
        let time = self.time_us(moment.ticks);
        let Some(phase) = self.plan.phases.last() else {
            return;
        };
        if phase.place != moment.place {
            let span_idx = phase.span;
            self.push_phase(span, span_idx, (moment.place, moment.ticks));
        }
        let until = sung_at(&self.sung, moment.ticks).map_or(moment.ticks, |note| note.ends);
        let Some(phase) = self.plan.phases.last_mut() else {
            return;
        };
        rings_into(phase, moment.ticks, ring_until);
        phase.last_strike_us = time;
        phase.strikes.push(Strike::Tune {
            place: moment.place,
            length: shortened(note.length, until - moment.ticks),
            spelling: note.spelling,
            slide: moment.slide,
        });
    }

    fn add_pluck(&mut self, span: &Span, moment: &Moment, articulation: Articulation, length: u64) {
        let time = self.time_us(moment.ticks);
        let is_over = |sound: &TuneSound| {
            !sound.own && sung_at(&self.sung, moment.ticks).is_none_or(|s| s.pitch != sound.pitch)
        };
        let Some(phase) = self.plan.phases.last() else {
            return;
        };
        if phase.tune.as_ref().is_some_and(is_over) {
            // The finger of a note that passed by is free again.
            let span_idx = phase.span;
            self.push_phase(span, span_idx, (moment.place, moment.ticks));
        }
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
        let bass = self.bass;
        let phases = self.plan.phases.get_mut(first..).unwrap_or_default();
        let last_need = phases
            .iter()
            .rposition(|phase| phase.need > Need::Free)
            .unwrap_or(0);
        for (i, phase) in phases.iter_mut().enumerate() {
            phase.carried = i <= last_need;
            if let (false, Task::Grip, Some(pitch)) = (phase.carried, &phase.task, bass) {
                // Without the grip it is the same note still, not the root in any octave.
                phase.task = Task::Pitched(ThumbMove::Root, pitch);
            }
            if let (true, Need::Strike, Task::Moves(moves)) =
                (phase.automatic, phase.need, &mut phase.task)
            {
                moves.push((ThumbMove::Root, STAY_ON_ROOT));
            }
        }
    }
}

/// Notes that a chord rings into a phase, if it still does at a strike in it.
fn rings_into(phase: &mut Phase, ticks: u64, ring_until: u64) {
    if ticks < ring_until {
        phase.need = phase.need.max(Need::Ring);
        phase.rings_in |= phase.strikes.is_empty();
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
