//! From a problem to the best arrangement: finds the voicings of every chord, builds the layers,
//! lets the trellis find the cheapest path and writes it out as notes.

use super::layers::Layers;
use super::notes;
use super::plan;
use super::plan::Plan;
use super::problem::Problem;
use super::result::Arrangement;
use super::trellis;
use super::trellis::BestPath;
use super::trellis::NoPath;
use super::trellis::WrittenOut;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::theory::Chord;
use crate::voicing;
use crate::voicing::Voicing;
use crate::voicing::Wish;
use std::collections::HashMap;
use std::sync::Arc;

/// Fingerings tried for every voicing.
const FINGERINGS: usize = 3;

/// Voicings found so far, kept between solves as long as instrument, hand and wish stay.
#[derive(Default)]
pub struct VoicingCache {
    valid_for: Option<(Instrument, Hand, Wish)>,
    found: HashMap<(Chord, Option<Shape>), Arc<[Voicing]>>,
}

impl VoicingCache {
    fn renew_for(&mut self, problem: &Problem) {
        let now = (
            problem.instrument.clone(),
            problem.hand.clone(),
            problem.wish.clone(),
        );
        if self.valid_for.as_ref() != Some(&now) {
            self.found.clear();
            self.valid_for = Some(now);
        }
    }

    fn of(&mut self, problem: &Problem, chord: &Chord, shape: Option<Shape>) -> Arc<[Voicing]> {
        let find = || -> Arc<[Voicing]> {
            let (instrument, hand) = (&problem.instrument, &problem.hand);
            match shape {
                Some(shape) => {
                    voicing::shape_voicings(chord, &shape, instrument, hand, FINGERINGS).into()
                }
                None => {
                    let wish = &problem.wish;
                    voicing::fingered_voicings(chord, instrument, hand, wish, FINGERINGS).into()
                }
            }
        };
        Arc::clone(
            self.found
                .entry((chord.clone(), shape))
                .or_insert_with(find),
        )
    }
}

/// How far a solve has come.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Progress {
    /// Steps done.
    pub done: usize,
    /// Steps in all.
    pub total: usize,
}

/// The best arrangement of a problem, from nothing. Deterministic.
#[must_use]
pub fn solve(problem: &Problem) -> Arrangement {
    let mut cache = VoicingCache::default();
    solve_with(problem, &mut cache, &mut |_| true).unwrap_or_default()
}

/// The best arrangement, with voicings kept from earlier solves. `keep_going` is told how far the
/// work has come; when it returns `false` the work stops and there is no arrangement.
pub fn solve_with(
    problem: &Problem,
    cache: &mut VoicingCache,
    keep_going: &mut dyn FnMut(Progress) -> bool,
) -> Option<Arrangement> {
    let layers = layers_of(problem, cache, keep_going)?;
    let path = best_path(&layers, keep_going)?;
    Some(notes::write_out(problem, &layers, &path))
}

/// The problem as a trellis with its best path, written out in full.
#[must_use]
pub fn trellis_of(problem: &Problem) -> (WrittenOut, BestPath) {
    let mut cache = VoicingCache::default();
    let layers = layers_of(problem, &mut cache, &mut |_| true);
    layers.map_or_else(Default::default, |layers| {
        let path = best_path(&layers, &mut |_| true).unwrap_or_default();
        (WrittenOut::of(&layers), path)
    })
}

fn layers_of(
    problem: &Problem,
    cache: &mut VoicingCache,
    keep_going: &mut dyn FnMut(Progress) -> bool,
) -> Option<Layers> {
    let plan = plan::plan(problem);
    let n_phases = plan.phases.len();
    let total = plan.spans.len() + 2 * n_phases;
    let mut done = 0;
    let mut step = || {
        done += 1;
        keep_going(Progress { done, total })
    };
    let voicings = voicings_of(problem, &plan, cache, &mut step)?;
    Layers::new(problem, plan, voicings, &mut |_| step())
}

fn voicings_of(
    problem: &Problem,
    plan: &Plan,
    cache: &mut VoicingCache,
    step: &mut dyn FnMut() -> bool,
) -> Option<Vec<Arc<[Voicing]>>> {
    cache.renew_for(problem);
    let mut voicings = Vec::with_capacity(plan.spans.len());
    for span in &plan.spans {
        let own = span.chord.as_ref().map(|chord| {
            let chosen = span
                .shape
                .map(|shape| cache.of(problem, chord, Some(shape)));
            // A chosen shape that this hand can't hold is reported, and the tool's choice stands in.
            chosen
                .filter(|v| !v.is_empty())
                .unwrap_or_else(|| cache.of(problem, chord, None))
        });
        voicings.push(own.unwrap_or_default());
        if !step() {
            return None;
        }
    }
    Some(voicings)
}

fn best_path(layers: &Layers, keep_going: &mut dyn FnMut(Progress) -> bool) -> Option<BestPath> {
    let (n_spans, n_phases) = (layers.plan().spans.len(), layers.plan().phases.len());
    let total = n_spans + 2 * n_phases;
    let mut step = |layer| {
        keep_going(Progress {
            done: n_spans + n_phases + layer,
            total,
        })
    };
    match trellis::solve(layers, &mut step) {
        Ok(path) => Some(path),
        // Every layer has a last resort that every node before it may go on to, so this can't
        // happen; if it ever does, an empty path shows up as missing notes, not as a crash.
        Err(NoPath::DeadEnd { .. }) => Some(BestPath::default()),
        Err(NoPath::Cancelled) => None,
    }
}
