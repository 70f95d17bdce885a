//! Writes a line: exact constrained sampling, so that what a rule forbids cannot happen.
//!
//! The layers hold every state a line can be in. From the back it is found out, bar by bar, which
//! states can be completed and whether with one or with several different bars. Then the line is
//! drawn from the front by weight and seed among the notes that can be completed; it never has to
//! go back. If nothing can be completed there is no line at all, and the place is named. Works on
//! integers only.

use super::candidates;
use super::conflict::Conflict;
use super::conflict::WayOut;
use super::endings;
use super::endings::Ending;
use super::endings::Endings;
use super::endings::Onward;
use super::endings::Pattern;
use super::layers;
use super::layers::Layer;
use super::line::Line;
use super::line::LineNote;
use super::move_set::MoveSet;
use super::obstacle;
use super::problem::LineProblem;
use super::problem::Lock;
use super::problem::Slot;
use super::random::SplitMix64;
use super::rules::Rule;
use super::step::State;
use super::weights;
use crate::theory::Midi;
use crate::theory::PitchClass;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use std::collections::BTreeMap;
use std::ops::Range;

/// Writes the line of a problem's seed.
///
/// # Errors
/// If no line obeys all locks and rules: the bar, what stands against what, and ways out.
pub fn write(problem: &LineProblem) -> Result<Line, Conflict> {
    let range = 0..problem.n_slots();
    let layers = layers::layers(problem, range).map_err(|slot| obstacle::at(problem, slot))?;
    let bars = Bars::new(problem, &layers);
    let onward = bars
        .onward()
        .map_err(|bar| obstacle::repeated(problem, bars.range(bar + 1)))?;
    let mut notes = bars.draw(&onward);
    notes.truncate(problem.slots.len());
    Ok(Line::of(problem, notes))
}

/// Writes a line in any case: where locks and rules are at odds, the lock stands and the rule is
/// excused at that place. The conflicts tell where that was done.
#[must_use]
pub fn write_anyway(problem: &LineProblem) -> (Line, Vec<Conflict>) {
    let mut eased = problem.clone();
    let mut conflicts: Vec<Conflict> = Vec::new();
    loop {
        match write(&eased) {
            Ok(line) => return (line, conflicts),
            Err(conflict) => {
                let way = conflict
                    .ways
                    .iter()
                    .find(|way| matches!(way, WayOut::Excuse { .. }));
                let way = way.or_else(|| conflict.ways.first()).copied();
                let repeated = conflicts
                    .iter()
                    .filter(|known| known.bar == conflict.bar)
                    .count();
                match way {
                    Some(way) if repeated < Rule::ALL.len() => way.take(&mut eased),
                    _ => WayOut::FreeBar { bar: conflict.bar }.take(&mut eased),
                }
                conflicts.push(conflict);
            }
        }
    }
}

/// The layers of a line, cut into bars.
struct Bars<'a> {
    problem: &'a LineProblem,
    layers: &'a [Layer<'a>],
    ranges: Vec<Range<usize>>,
    /// For each bar, whether it may not be like the one before it.
    fresh: Vec<bool>,
}

/// The endings of each state of each slot of a bar.
type Table = Vec<Vec<Endings>>;

impl<'a> Bars<'a> {
    fn new(problem: &'a LineProblem, layers: &'a [Layer<'a>]) -> Self {
        let mut ranges = Vec::new();
        let mut start = 0;
        for bar in layers.chunk_by(|a, b| a.slot.bar == b.slot.bar) {
            ranges.push(start..start + bar.len());
            start += bar.len();
        }
        let slots = |range: &Range<usize>| {
            let bar = layers.get(range.clone()).unwrap_or_default();
            bar.iter().map(|layer| layer.slot).collect::<Vec<_>>()
        };
        let mut before: Vec<&Slot> = Vec::new();
        let mut fresh = Vec::new();
        for bar in ranges.iter().map(slots) {
            fresh.push(must_differ(problem, &before, &bar));
            before = bar;
        }
        Self {
            problem,
            layers,
            ranges,
            fresh,
        }
    }

    fn range(&self, bar: usize) -> Range<usize> {
        self.ranges.get(bar).cloned().unwrap_or_default()
    }

    fn is_fresh(&self, bar: usize) -> bool {
        self.fresh.get(bar).copied().unwrap_or(false)
    }

    fn bar_layers(&self, bar: usize) -> &'a [Layer<'a>] {
        self.layers.get(self.range(bar)).unwrap_or_default()
    }

    /// For each bar, what can follow each state at its end. `Err` is a bar that cannot help
    /// being like the next one.
    fn onward(&self) -> Result<Vec<Vec<Onward>>, usize> {
        let mut all: Vec<Vec<Onward>> = Vec::new();
        for bar in (0..self.ranges.len()).rev() {
            let last = self.bar_layers(bar).last();
            let n_states = last.map_or(0, |layer| layer.states.len());
            let onward = match all.last() {
                None => vec![Onward::Many; n_states],
                Some(beyond) => self.onward_of(bar, &self.table(bar + 1, beyond)),
            };
            if onward.iter().all(|o| *o == Onward::Dead) {
                return Err(bar + 1);
            }
            all.push(onward);
        }
        all.reverse();
        self.can_begin(all.first())?;
        Ok(all)
    }

    fn can_begin(&self, onward: Option<&Vec<Onward>>) -> Result<(), usize> {
        let Some(onward) = onward else {
            return Ok(());
        };
        let table = self.table(0, onward);
        let first = table.first();
        let alive =
            first.is_some_and(|row| row.iter().any(|endings| endings.iter().next().is_some()));
        if alive { Ok(()) } else { Err(0) }
    }

    /// What can follow the states at the end of `bar`, by the table of the next bar.
    fn onward_of(&self, bar: usize, table: &Table) -> Vec<Onward> {
        let next_bar = bar + 1;
        let (Some(last), Some(first)) = (
            self.bar_layers(bar).last(),
            self.bar_layers(next_bar).first(),
        ) else {
            return Vec::new();
        };
        let row = table.first().map_or(&[][..], Vec::as_slice);
        let n_after = recorded(self.range(next_bar).len(), 0);
        let of = |state: &State| {
            let mut onward = Onward::Dead;
            for next in last.after(self.problem, *state, first) {
                let own = pattern_of(first, next);
                for ending in endings_of(first, row, next)
                    .into_iter()
                    .flat_map(Endings::iter)
                {
                    if ending.not_after != own {
                        onward = onward.with(endings::joined(own, ending.moves, n_after));
                    }
                }
                if onward == Onward::Many {
                    break;
                }
            }
            let any = onward != Onward::Dead && !self.is_fresh(next_bar);
            if any { Onward::Many } else { onward }
        };
        last.states.iter().map(of).collect()
    }

    /// The endings of a bar, given what can follow the states at its end.
    fn table(&self, bar: usize, onward: &[Onward]) -> Table {
        let layers = self.bar_layers(bar);
        let mut table: Table = vec![onward.iter().map(|o| last_ending(*o)).collect()];
        for (index, pair) in layers.windows(2).enumerate().rev() {
            let [layer, next] = pair else {
                continue;
            };
            let row = table.last().map_or(&[][..], Vec::as_slice);
            let in_pattern = index + 1 < endings::MAX_MOVES;
            let n_after = recorded(layers.len(), index + 1);
            let of =
                |state: &State| self.endings(layer, *state, (next, row), (in_pattern, n_after));
            let endings = layer.states.iter().map(of).collect();
            table.push(endings);
        }
        table.reverse();
        table
    }

    fn endings(
        &self,
        layer: &Layer<'_>,
        state: State,
        (next, row): (&Layer<'_>, &[Endings]),
        (in_pattern, n_after): (bool, usize),
    ) -> Endings {
        let mut endings = Endings::default();
        for follower in layer.after(self.problem, state, next) {
            let own = pattern_of(next, follower);
            for ending in endings_of(next, row, follower)
                .into_iter()
                .flat_map(Endings::iter)
            {
                endings.add(if in_pattern {
                    before(own, *ending, n_after)
                } else {
                    *ending
                });
            }
            if endings.is_enough() {
                break;
            }
        }
        endings
    }

    /// Draws the line.
    fn draw(&self, onward: &[Vec<Onward>]) -> Vec<LineNote> {
        let mut drawing = Drawing {
            bars: self,
            notes: Vec::with_capacity(self.layers.len()),
            state: None,
            pattern: 0,
            models: BTreeMap::new(),
        };
        for (bar, onward) in onward.iter().enumerate() {
            drawing.bar(bar, &self.table(bar, onward));
        }
        drawing.notes
    }
}

/// Moves of a bar of `n` slots that come after the slot with this index and are in its pattern.
const fn recorded(n: usize, index: usize) -> usize {
    let n = if n < endings::MAX_MOVES {
        n
    } else {
        endings::MAX_MOVES
    };
    n.saturating_sub(index + 1)
}

fn pattern_of(layer: &Layer<'_>, state: State) -> Pattern {
    let note = layer.candidates.get(usize::from(state.candidate));
    note.map_or(0, |note| endings::pattern_of(note.thumb_move))
}

fn endings_of<'t>(layer: &Layer<'_>, row: &'t [Endings], state: State) -> Option<&'t Endings> {
    row.get(layer.states.binary_search(&state).ok()?)
}

/// The ending at the last slot of a bar: no more moves, and not after the bar that the next one
/// would have to be.
fn last_ending(onward: Onward) -> Endings {
    let mut endings = Endings::default();
    match onward {
        Onward::Dead => {}
        Onward::One(only) => endings.add(Ending {
            moves: 0,
            not_after: only,
        }),
        Onward::Many => endings.add(Ending::default()),
    }
    endings
}

/// An ending with one more move before it; `n` moves come after that one.
const fn before(own: Pattern, ending: Ending, n: usize) -> Ending {
    let ends_so = ending.not_after & 0xF == own;
    Ending {
        moves: endings::joined(own, ending.moves, n),
        not_after: if ends_so { ending.not_after >> 4 } else { 0 },
    }
}

/// Whether a bar may not be like the one before: both have chords and as many slots, and there is
/// something to choose in one of them.
fn must_differ(problem: &LineProblem, before: &[&Slot], bar: &[&Slot]) -> bool {
    let written = |bar: &[&Slot]| {
        let first = bar.first();
        first.is_some_and(|slot| slot.bar < problem.slots.last().map_or(0, |last| last.bar + 1))
            && bar.iter().any(|slot| slot.span.is_some())
    };
    let open = |slot: &&Slot| {
        let own = slot
            .locked
            .is_some_and(|lock| matches!(lock, Lock::Pitch(_)));
        !own && candidates::moves(problem, slot).len() > 1
    };
    let holds = bar
        .first()
        .is_some_and(|slot| problem.holds(Rule::FreshBars, slot));
    holds
        && before.len() == bar.len()
        && written(before)
        && written(bar)
        && (before.iter().any(open) || bar.iter().any(open))
}

/// What tells bars of the same shape, for riffs.
type Shape = Vec<(bool, bool, bool)>;

struct Drawing<'a> {
    bars: &'a Bars<'a>,
    notes: Vec<LineNote>,
    state: Option<(State, &'a Layer<'a>)>,
    /// The bar before.
    pattern: Pattern,
    /// The latest bar of each shape.
    models: BTreeMap<Shape, Vec<ThumbMove>>,
}

impl<'a> Drawing<'a> {
    fn bar(&mut self, bar: usize, table: &Table) {
        let layers = self.bars.bar_layers(bar);
        let forbidden = if self.bars.is_fresh(bar) {
            self.pattern
        } else {
            0
        };
        let kind = |layer: &Layer<'_>| {
            let slot = layer.slot;
            (
                slot.first_of_chord,
                slot.last_before_change,
                slot.span.is_some(),
            )
        };
        let shape: Shape = layers.iter().map(kind).collect();
        let riff = self.bars.problem.rules.riff;
        let model = self.models.get(&shape).filter(|_| riff).cloned();
        let model = model.unwrap_or_default();
        let mut pattern: Pattern = 0;
        let mut moves = Vec::with_capacity(layers.len());
        for (index, (layer, row)) in layers.iter().zip(table).enumerate() {
            let n_after = recorded(layers.len(), index);
            let in_pattern = index < endings::MAX_MOVES;
            let longer = |own: Pattern| {
                if in_pattern {
                    endings::joined(pattern, own, 1)
                } else {
                    pattern
                }
            };
            let possible = |state: &State| {
                let beginning = longer(pattern_of(layer, *state));
                let endings = endings_of(layer, row, *state);
                endings.is_some_and(|e| e.possible(beginning, n_after, forbidden))
            };
            let open: Vec<State> = self.followers(layer).into_iter().filter(possible).collect();
            let Some(state) = self.choose(layer, &open, model.get(index).copied()) else {
                return;
            };
            pattern = longer(pattern_of(layer, state));
            moves.extend(self.write(layer, state));
        }
        self.models.insert(shape, moves);
        self.pattern = pattern;
    }

    fn followers(&self, layer: &Layer<'_>) -> Vec<State> {
        match self.state {
            None => layer.states.clone(),
            Some((state, last)) => last.after(self.bars.problem, state, layer).collect(),
        }
    }

    /// A move by its weight, then one of its pitches by its nearness.
    fn choose(&self, layer: &Layer<'_>, open: &[State], model: Option<ThumbMove>) -> Option<State> {
        let problem = self.bars.problem;
        let slot = layer.slot;
        let mut dice = SplitMix64::of_slot(problem.seed, slot.bar as u64, slot.at.0);
        let note = |state: &State| layer.candidates.get(usize::from(state.candidate)).copied();
        let has = |m: ThumbMove| open.iter().filter_map(note).any(|n| n.thumb_move == m);
        let moves: Vec<ThumbMove> = ThumbMove::ALL.into_iter().filter(|m| has(*m)).collect();
        let weight = |m: &ThumbMove| weights::weight(*m, slot, problem.rung, model);
        let shares: Vec<u64> = moves.iter().map(weight).collect();
        let thumb_move = *moves.get(dice.pick(&shares)?)?;
        let of_move = |state: &&State| note(state).is_some_and(|n| n.thumb_move == thumb_move);
        let states: Vec<State> = open.iter().filter(of_move).copied().collect();
        let last = self
            .notes
            .last()
            .and_then(|note| note.pitch)
            .map(Midi::number);
        let range = (problem.range.0.number(), problem.range.1.number());
        let near = |state: &State| {
            let pitch = note(state).and_then(|n| n.pitch);
            pitch.map_or(1, |pitch| weights::nearness(pitch, last, range))
        };
        let shares: Vec<u64> = states.iter().map(near).collect();
        states.get(dice.pick(&shares)?).copied()
    }

    fn write(&mut self, layer: &'a Layer<'a>, state: State) -> Option<ThumbMove> {
        self.state = Some((state, layer));
        let note = layer.candidates.get(usize::from(state.candidate))?;
        let pitch = note.pitch.and_then(Midi::new);
        let spelled = |pitch: Midi| spelling(self.bars.problem, layer.slot, note.thumb_move, pitch);
        self.notes.push(LineNote {
            bar: layer.slot.bar,
            at: layer.slot.at,
            thumb_move: note.thumb_move,
            pitch,
            spelling: pitch.map(spelled),
        });
        Some(note.thumb_move)
    }
}

/// Tones are spelled by the chord, steps by the scale, approaches by the key and their direction.
fn spelling(problem: &LineProblem, slot: &Slot, thumb_move: ThumbMove, pitch: Midi) -> Spelling {
    let pc: PitchClass = pitch.pitch_class();
    let span = problem.span(slot);
    let by_chord = || span.and_then(|span| span.chord.spell(pc));
    let by_scale = || span.and_then(|span| span.scale.spell(pc));
    let rising = matches!(
        thumb_move,
        ThumbMove::ApproachBelow | ThumbMove::DoubleBelow | ThumbMove::StepUp
    );
    let own = if MoveSet::TONES.has(thumb_move) {
        by_chord()
    } else if MoveSet::STEPS.has(thumb_move) {
        by_scale()
    } else {
        None
    };
    own.unwrap_or_else(|| problem.key.spell(pc, rising))
}
