//! Which bars can follow which: the backward half of the writer. From the last bar to the first
//! it is found out how each bar can end and what can follow it, so that no bar has to repeat the
//! one before it and no line is begun that cannot be finished. Never draws a note.

use super::candidates;
use super::endings;
use super::endings::Ending;
use super::endings::Endings;
use super::endings::Onward;
use super::endings::Pattern;
use super::layers::Layer;
use super::problem::LineProblem;
use super::problem::Lock;
use super::problem::Slot;
use super::step::State;
use crate::theory::Rule;
use crate::theory::ThumbMove;
use std::ops::Range;

/// The layers of a line, cut into bars.
pub struct Bars<'a> {
    pub problem: &'a LineProblem,
    layers: &'a [Layer<'a>],
    ranges: Vec<Range<usize>>,
    /// For each bar, whether it may not be like the one before it.
    fresh: Vec<bool>,
}

/// The endings of each state of each slot of a bar.
pub type Table = Vec<Vec<Endings>>;

impl<'a> Bars<'a> {
    pub fn new(problem: &'a LineProblem, layers: &'a [Layer<'a>]) -> Self {
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

    pub fn range(&self, bar: usize) -> Range<usize> {
        self.ranges.get(bar).cloned().unwrap_or_default()
    }

    pub fn is_fresh(&self, bar: usize) -> bool {
        self.fresh.get(bar).copied().unwrap_or(false)
    }

    pub fn bar_layers(&self, bar: usize) -> &'a [Layer<'a>] {
        self.layers.get(self.range(bar)).unwrap_or_default()
    }

    /// For each bar, what can follow each state at its end. `Err` is a bar that cannot help
    /// being like the next one.
    pub fn onward(&self) -> Result<Vec<Vec<Onward>>, usize> {
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
        let (Some(layer), Some(row)) = (self.bar_layers(0).first(), table.first()) else {
            return Ok(());
        };
        let n_after = recorded(self.range(0).len(), 0);
        let mut states = layer.states.iter().zip(row);
        let alive = states.any(|(state, e)| e.possible(pattern_of(layer, *state), n_after, 0));
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
    pub fn table(&self, bar: usize, onward: &[Onward]) -> Table {
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

    /// For each state of each slot of a bar, whether the bar can be played like a model from here
    /// on. Empty without a model.
    pub fn like(&self, layers: &[Layer<'_>], model: &[ThumbMove]) -> Vec<Vec<bool>> {
        let mut rows: Vec<Vec<bool>> = Vec::new();
        let mut beyond: Option<(&Layer<'_>, Vec<bool>)> = None;
        for (layer, wanted) in layers.iter().zip(model).rev() {
            let goes_on = |state: State| match &beyond {
                None => true,
                Some((next, row)) => layer.after(self.problem, state, next).any(|follower| {
                    let place = next.states.binary_search(&follower).ok();
                    place.and_then(|place| row.get(place).copied()) == Some(true)
                }),
            };
            let own = endings::pattern_of(*wanted);
            let like = |state: &State| pattern_of(layer, *state) == own && goes_on(*state);
            let row: Vec<bool> = layer.states.iter().map(like).collect();
            beyond = Some((layer, row.clone()));
            rows.push(row);
        }
        rows.reverse();
        rows
    }
}

/// Moves of a bar of `n` slots that come after the slot with this index and are in its pattern.
pub const fn recorded(n: usize, index: usize) -> usize {
    let n = if n < endings::MAX_MOVES {
        n
    } else {
        endings::MAX_MOVES
    };
    n.saturating_sub(index + 1)
}

pub fn pattern_of(layer: &Layer<'_>, state: State) -> Pattern {
    let note = layer.candidates.get(usize::from(state.candidate));
    note.map_or(0, |note| endings::pattern_of(note.thumb_move))
}

pub fn endings_of<'t>(layer: &Layer<'_>, row: &'t [Endings], state: State) -> Option<&'t Endings> {
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
    // Behind a bar that leads elsewhere another one is heard before.
    let heard = before.last().is_none_or(|slot| slot.jumps_to.is_none());
    holds
        && heard
        && before.len() == bar.len()
        && written(before)
        && written(bar)
        && (before.iter().any(open) || bar.iter().any(open))
}
