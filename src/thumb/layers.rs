//! The layered graph of a line: for each slot its candidates, which candidates of the next slot
//! may follow each, and the states a line can be in there. States are found from the front, so a
//! slot without any is the exact place where every line breaks down.

use super::candidates;
use super::candidates::Candidate;
use super::problem::LineProblem;
use super::problem::Slot;
use super::step;
use super::step::At;
use super::step::State;
use crate::theory::Midi;
use std::ops::Range;

/// One slot of the graph.
pub struct Layer<'a> {
    /// The slot.
    pub slot: &'a Slot,
    /// What it could hold, sorted.
    pub candidates: Vec<Candidate>,
    /// For each candidate, places of those in the next layer that may follow it.
    pub followers: Vec<Vec<u16>>,
    /// States a line can be in here, sorted.
    pub states: Vec<State>,
    /// Whether the line comes back to this slot from a later one.
    is_back: bool,
    /// Whether the line comes here from an earlier slot, past others.
    is_ahead: bool,
    /// Where the line goes from here, if not to the next layer.
    jump: Option<Jump<'a>>,
}

/// A slot that is heard after another and written elsewhere.
struct Jump<'a> {
    slot: &'a Slot,
    /// What it could hold.
    candidates: Vec<Candidate>,
    way: JumpWay,
    /// Whether no later slot jumps there.
    is_last: bool,
}

/// Where a jump goes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum JumpWay {
    Back,
    Ahead,
    /// Beyond the stretch that is looked at: any note may be there.
    Beyond,
}

impl Layer<'_> {
    /// A candidate in this slot.
    pub fn at(&self, candidate: u16) -> Option<At<'_>> {
        let note = *self.candidates.get(usize::from(candidate))?;
        Some(At {
            slot: self.slot,
            note,
        })
    }

    /// States in `next` that can follow a state here.
    pub fn after<'s>(
        &'s self,
        problem: &'s LineProblem,
        state: State,
        next: &'s Layer<'_>,
    ) -> impl Iterator<Item = State> + 's {
        let followers = self.followers.get(usize::from(state.candidate));
        let follows = followers.into_iter().flatten().filter_map(move |to| {
            let (from, at) = (self.at(state.candidate)?, next.at(*to)?);
            if self.jump.is_some() {
                // The next bar is not heard after this one: there the line begins anew.
                let begun = step::begin(problem, at, *to)?;
                Some(begun.going_to(state.back, state.ahead))
            } else {
                step::follow(problem, state, from, at, *to)
            }
        });
        follows.flat_map(move |state| next.settled(problem, state))
    }

    /// The states that a line arriving here can be in: with what has to be remembered for a later
    /// jump, and only if it is where an earlier one has led, and may go where it jumps from here.
    fn settled<'s>(
        &'s self,
        problem: &'s LineProblem,
        state: State,
    ) -> impl Iterator<Item = State> + 's {
        let here = state.candidate + 1;
        let arrives = !self.is_ahead || state.ahead == 0 || state.ahead == here;
        let back = if self.is_back { here } else { state.back };
        let ahead = if self.is_ahead { 0 } else { state.ahead };
        let ways = match &self.jump {
            Some(jump) if jump.way == JumpWay::Ahead && ahead == 0 => {
                1..=u16::try_from(jump.candidates.len()).unwrap_or(u16::MAX)
            }
            _ => ahead..=ahead,
        };
        let ways = ways.filter(move |_| arrives);
        ways.filter_map(move |ahead| self.left(problem, state.going_to(back, ahead)))
    }

    /// A state as it is left, if it may be.
    fn left(&self, problem: &LineProblem, state: State) -> Option<State> {
        let Some(jump) = &self.jump else {
            return Some(state);
        };
        let from = self.at(state.candidate)?;
        let may_go = |note: &Candidate| {
            let (slot, note) = (jump.slot, *note);
            step::may_jump(problem, state, from, At { slot, note })
        };
        let known = match jump.way {
            JumpWay::Back => state.back,
            JumpWay::Ahead => state.ahead,
            JumpWay::Beyond => 0,
        };
        let goes = match known.checked_sub(1) {
            Some(goal) => jump.candidates.get(usize::from(goal)).is_some_and(may_go),
            None => jump.candidates.iter().any(may_go),
        };
        let done = jump.is_last && jump.way == JumpWay::Back;
        let back = if done { 0 } else { state.back };
        goes.then_some(state.going_to(back, state.ahead))
    }
}

/// The graph over a range of slots. `Err` is the first slot that no line can reach; the slots
/// before it can be reached.
pub fn layers(problem: &LineProblem, range: Range<usize>) -> Result<Vec<Layer<'_>>, usize> {
    let mut layers = listed(problem, range.clone());
    let mut reached: Vec<State> = Vec::new();
    for index in 0..layers.len() {
        let (before, rest) = layers.split_at_mut(index);
        let Some(layer) = rest.first_mut() else {
            break;
        };
        reached = match before.last() {
            None => beginnings(problem, layer, range.start == 0),
            Some(last) => reached
                .iter()
                .flat_map(|state| last.after(problem, *state, layer))
                .collect(),
        };
        reached.sort_unstable();
        reached.dedup();
        if reached.is_empty() {
            return Err(range.start + index);
        }
        layer.states.clone_from(&reached);
    }
    Ok(layers)
}

fn beginnings(problem: &LineProblem, layer: &Layer<'_>, is_first: bool) -> Vec<State> {
    let asked = problem.begins_at.filter(|_| is_first).map(Midi::number);
    let places = (0..).zip(&layer.candidates);
    let places = places.filter(|(_, note)| asked.is_none() || note.pitch == asked);
    let states = places.filter_map(|(place, note)| {
        let at = At {
            slot: layer.slot,
            note: *note,
        };
        step::begin(problem, at, place)
    });
    let states = states.flat_map(|state| layer.settled(problem, state));
    states.collect()
}

/// Candidates and followers, from the back, without states.
fn listed(problem: &LineProblem, range: Range<usize>) -> Vec<Layer<'_>> {
    let mut layers: Vec<Layer<'_>> = Vec::with_capacity(range.len());
    for (index, slot) in range
        .clone()
        .rev()
        .filter_map(|index| Some((index, problem.slot(index)?)))
    {
        let jump = jump(problem, slot, index);
        let next = layers.last();
        let goals = match &jump {
            Some(jump) => &jump.candidates,
            None => next.map_or(&[][..], |next| &next.candidates),
        };
        let candidates = candidates::candidates(problem, slot, goals);
        let followers = |note: &Candidate| {
            let from = At { slot, note: *note };
            let places = next.map(|next| {
                (0u16..)
                    .zip(&next.candidates)
                    .map(|(i, n)| (i, next.slot, *n))
            });
            let fits = places.into_iter().flatten().filter(|(_, slot, note)| {
                let to = At { slot, note: *note };
                jump.is_some() || step::may_follow(problem, from, to)
            });
            fits.map(|(place, _, _)| place).collect()
        };
        layers.push(Layer {
            slot,
            followers: candidates.iter().map(followers).collect(),
            candidates,
            states: Vec::new(),
            is_back: false,
            is_ahead: false,
            jump,
        });
    }
    layers.reverse();
    remember_goals(range, &mut layers);
    layers
}

/// Where the line goes from a slot, if not to the next one. What leads there leads to a note that the
/// slot can have whatever comes after it: a tone.
fn jump<'a>(problem: &'a LineProblem, slot: &Slot, index: usize) -> Option<Jump<'a>> {
    let goal = slot.jumps_to?;
    let there = problem.slot(goal)?;
    let mut later = problem.slots.iter().skip(index + 1);
    Some(Jump {
        slot: there,
        candidates: candidates::candidates(problem, there, &[]),
        way: JumpWay::Beyond,
        is_last: !later.any(|slot| slot.jumps_to == Some(goal)),
    })
}

/// Marks the slots to which others of the stretch jump, and tells those all that can be there.
fn remember_goals(range: Range<usize>, layers: &mut [Layer<'_>]) {
    let jumps: Vec<(usize, usize)> = (layers.iter().enumerate())
        .filter_map(|(from, layer)| {
            let goal = layer.slot.jumps_to?.checked_sub(range.start)?;
            Some((from, goal))
        })
        .collect();
    for (from, goal) in jumps {
        let Some(there) = layers.get_mut(goal) else {
            continue;
        };
        let way = if goal <= from {
            there.is_back = true;
            JumpWay::Back
        } else {
            there.is_ahead = true;
            JumpWay::Ahead
        };
        let candidates = there.candidates.clone();
        if let Some(jump) = layers.get_mut(from).and_then(|layer| layer.jump.as_mut()) {
            jump.candidates = candidates;
            jump.way = way;
        }
    }
}
