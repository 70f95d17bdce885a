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
        followers.into_iter().flatten().filter_map(move |to| {
            let (from, at) = (self.at(state.candidate)?, next.at(*to)?);
            step::follow(problem, state, from, at, *to)
        })
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
            None => beginnings(problem, layer),
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

fn beginnings(problem: &LineProblem, layer: &Layer<'_>) -> Vec<State> {
    let places = (0..).zip(&layer.candidates);
    let states = places.filter_map(|(place, note)| {
        let at = At {
            slot: layer.slot,
            note: *note,
        };
        step::begin(problem, at, place)
    });
    states.collect()
}

/// Candidates and followers, from the back, without states.
fn listed(problem: &LineProblem, range: Range<usize>) -> Vec<Layer<'_>> {
    let mut layers: Vec<Layer<'_>> = Vec::with_capacity(range.len());
    for slot in range.rev().filter_map(|index| problem.slot(index)) {
        let next = layers.last();
        let goals = next.map_or(&[][..], |next| &next.candidates);
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
                step::may_follow(problem, from, to)
            });
            fits.map(|(place, _, _)| place).collect()
        };
        layers.push(Layer {
            slot,
            followers: candidates.iter().map(followers).collect(),
            candidates,
            states: Vec::new(),
        });
    }
    layers.reverse();
    layers
}
