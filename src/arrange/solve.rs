//! From a problem to the best arrangement: finds the voicings of every chord, builds the layers,
//! lets the trellis find the cheapest path and writes it out as notes. An [`Arranger`] remembers
//! its last problem, so that an edit costs only what it changes.

use super::grip_remedies::KnownChords;
use super::layer_cache::Having;
use super::layer_cache::LayerCache;
use super::layers::Layers;
use super::notes;
use super::options;
use super::options::Options;
use super::phase::Plan;
use super::phase::Span;
use super::plan;
use super::problem::Problem;
use super::result::Arrangement;
use super::tables::Solved;
use super::trellis;
use super::trellis::BestPath;
use super::trellis::Layered;
use super::ways;
use super::ways::BarWay;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::theory::Chord;
use crate::theory::Key;
use crate::theory::Midi;
use crate::theory::Spelling;
use crate::voicing;
use crate::voicing::Voicing;
use crate::voicing::Wish;
use std::collections::HashMap;
use std::sync::Arc;

/// Fingerings tried for every voicing.
const FINGERINGS: usize = 3;

/// How far a solve has come.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Progress {
    /// Steps done.
    pub done: usize,
    /// Steps in all.
    pub total: usize,
}

/// What voicings and layers were found for; when it changes they are found anew.
#[derive(PartialEq)]
struct Setting {
    instrument: Instrument,
    hand: Hand,
    wish: Wish,
    key: Key,
}

/// What is asked of the grips of a span beside their chord.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Default)]
struct Asked {
    shape: Option<Shape>,
    bass: Option<Midi>,
    /// The note of the tune on top.
    top: Option<(Midi, Spelling)>,
}

/// Chords whose voicings are kept at most beside those in use.
const MOST_CHORDS: usize = 100;

/// Solves one problem after the other and remembers the last one.
#[derive(Default)]
pub struct Arranger {
    setting: Option<Setting>,
    voicings: HashMap<(Arc<Chord>, Asked), Arc<[Voicing]>>,
    layers: LayerCache,
    known: KnownChords,
    last: Option<Solved>,
    /// The one before, until the second table has been taken over from it.
    before_last: Option<Solved>,
}

/// The best arrangement of a problem, from nothing. Deterministic.
#[must_use]
pub fn solve(problem: &Problem) -> Arrangement {
    let mut arranger = Arranger::default();
    arranger.solve(problem, &mut |_| true).unwrap_or_default()
}

/// The problem as a trellis with its best path, for another solver. Edges are made when asked for,
/// so a long tune needs no more memory than its solution. `None` if no path leads to the end.
#[must_use]
pub fn trellis_of(problem: &Problem) -> Option<(impl Layered + use<>, BestPath)> {
    let layers = Arranger::default().layers_of(problem, &mut |_| true)?;
    let path = if problem.keep_hardest_easy {
        trellis::solve_easiest_peak(&layers, &mut |_| true)
    } else {
        trellis::solve(&layers, &mut |_| true)
    };
    path.ok().map(|path| (layers, path))
}

impl Arranger {
    /// The best arrangement. `keep_going` is told how far the work has come; when it returns
    /// `false` the work stops and there is no arrangement.
    pub fn solve(
        &mut self,
        problem: &Problem,
        keep_going: &mut dyn FnMut(Progress) -> bool,
    ) -> Option<Arrangement> {
        let layers = self.layers_of(problem, keep_going)?;
        let (n_spans, n_phases) = (layers.plan().spans.len(), layers.plan().phases.len());
        let total = n_spans + 2 * n_phases;
        let mut step = |layer: usize| {
            let done = (n_spans + n_phases + layer).min(total);
            keep_going(Progress { done, total })
        };
        if problem.keep_hardest_easy {
            self.last = None;
            let path = trellis::solve_easiest_peak(&layers, &mut step).ok()?;
            return Some(notes::write_out(problem, &layers, &path, &mut self.known));
        }
        let solved = Solved::new(layers, self.last.as_mut(), &mut step).ok()?;
        let path = solved.best_path();
        let arrangement = notes::write_out(problem, solved.layers(), &path, &mut self.known);
        self.before_last = self.last.replace(solved);
        if let Some(before_last) = &mut self.before_last {
            before_last.keep_second_table();
        }
        Some(arrangement)
    }

    /// For every chord of the last problem solved, in the order of the arrangement's grips, what
    /// each of its shapes would make of the whole tune. `None` if it was told to stop, if a solve
    /// since then was (it may have used up what the one before it had found), or if the last problem
    /// was solved for its hardest change.
    pub fn options(
        &mut self,
        keep_going: &mut dyn FnMut(Progress) -> bool,
    ) -> Option<Vec<Options>> {
        self.looked_back(keep_going).map(options::of)
    }

    /// For one bar of the last problem solved the best different ways to play it, `most` at most;
    /// see [`BarWay`]. The first is that of the arrangement, the others follow by sum, then by
    /// shapes and places from the front. Empty where no chord and no bass note begins that moves
    /// the hand. `None` as for [`options`](Self::options).
    pub fn ways(
        &mut self,
        bar: usize,
        most: usize,
        keep_going: &mut dyn FnMut(Progress) -> bool,
    ) -> Option<Vec<BarWay>> {
        let solved = self.looked_back(keep_going)?;
        let mut step = |done| keep_going(Progress { done, total: most });
        ways::ways_of(solved, bar, most, &mut step)
    }

    /// The last problem with both tables. The second is filled when it is first asked for, from
    /// that of the problem before, which is not needed any more after that.
    pub(super) fn looked_back(
        &mut self,
        keep_going: &mut dyn FnMut(Progress) -> bool,
    ) -> Option<&Solved> {
        // One that was given up for another, which then was told to stop, tells nothing any more.
        let solved = self.last.as_mut().filter(|solved| solved.is_whole())?;
        if !solved.has_looked_back() {
            let total = solved.layers().n_layers();
            let mut step = |done| keep_going(Progress { done, total });
            if !solved.look_back(self.before_last.as_mut(), &mut step) {
                return None;
            }
        }
        self.before_last = None;
        Some(solved)
    }

    fn layers_of(
        &mut self,
        problem: &Problem,
        keep_going: &mut dyn FnMut(Progress) -> bool,
    ) -> Option<Layers> {
        self.renew_for(problem);
        let plan = plan::plan(problem);
        let total = plan.spans.len() + 2 * plan.phases.len();
        let mut done = 0;
        let mut step = || {
            done += 1;
            keep_going(Progress { done, total })
        };
        if self.voicings.len() > MOST_CHORDS {
            self.voicings
                .retain(|_, found| Arc::strong_count(found) > 1);
        }
        let voicings = self.voicings_of(problem, &plan, &mut step)?;
        // What the last problem has for itself goes before the new layers are built. Of the one before
        // it nothing will be asked any more.
        self.before_last = None;
        let last = self.last.as_mut();
        let let_go = |having: &Having| {
            if let Some(last) = last {
                last.keep_only(having);
            }
        };
        let cache = (&mut self.layers, let_go);
        Layers::new(problem, plan, voicings, cache, &mut |_| step())
    }

    fn renew_for(&mut self, problem: &Problem) {
        let setting = Setting {
            instrument: problem.instrument.clone(),
            hand: problem.hand.clone(),
            wish: problem.wish.clone(),
            key: problem.key,
        };
        if self.setting.as_ref() != Some(&setting) {
            *self = Self {
                setting: Some(setting),
                ..Self::default()
            };
        }
    }

    fn voicings_of(
        &mut self,
        problem: &Problem,
        plan: &Plan,
        step: &mut dyn FnMut() -> bool,
    ) -> Option<Vec<Arc<[Voicing]>>> {
        let mut voicings = Vec::with_capacity(plan.spans.len());
        for span in &plan.spans {
            voicings.push(self.voicings_of_span(problem, span));
            if !step() {
                return None;
            }
        }
        Some(voicings)
    }

    /// The voicings of a span. A chosen shape that this hand can't hold or that lacks the tune note
    /// on top, or a bass note that no grip has, is reported later; the tool's own choice stands in.
    fn voicings_of_span(&mut self, problem: &Problem, span: &Span) -> Arc<[Voicing]> {
        let Some(chord) = &span.chord else {
            return Arc::default();
        };
        let any = Asked {
            top: span.top,
            ..Asked::default()
        };
        let shape = span.shape.filter(|_| !span.again);
        let shape = shape.map(|shape| Asked {
            shape: Some(shape),
            ..any
        });
        let bass = span.bass.map(|bass| Asked {
            bass: Some(bass),
            ..any
        });
        for asked in [shape, bass, Some(any)].into_iter().flatten() {
            let found = self.find(problem, chord, asked);
            if !found.is_empty() {
                return found;
            }
        }
        Arc::default()
    }

    fn find(&mut self, problem: &Problem, chord: &Arc<Chord>, asked: Asked) -> Arc<[Voicing]> {
        let key = (Arc::clone(chord), asked);
        if let Some(found) = self.voicings.get(&key) {
            return Arc::clone(found);
        }
        let (instrument, hand) = (&problem.instrument, &problem.hand);
        let wish = &problem.wish;
        let found: Arc<[Voicing]> = match asked {
            Asked {
                shape: Some(shape),
                top,
                ..
            } => {
                let all = voicing::shape_voicings(chord, &shape, instrument, hand, FINGERINGS);
                let is_last = |voicing: &Voicing, top: Midi| {
                    voicing.notes.last().is_some_and(|note| note.pitch == top)
                };
                let fits = |voicing: &Voicing| top.is_none_or(|(top, _)| is_last(voicing, top));
                all.into_iter().filter(fits).collect()
            }
            Asked {
                bass: Some(bass),
                top,
                ..
            } => {
                let any = Asked {
                    top,
                    ..Asked::default()
                };
                let all = self.find(problem, chord, any);
                let fits = |voicing: &&Voicing| voicing.bass().is_some_and(|n| n.pitch == bass);
                all.iter().filter(fits).cloned().collect()
            }
            Asked { top: Some(top), .. } => {
                voicing::voicings_under(top, chord, instrument, hand, wish, FINGERINGS).into()
            }
            _ => voicing::thinned_voicings(chord, instrument, hand, wish, FINGERINGS).into(),
        };
        self.voicings.insert(key, Arc::clone(&found));
        found
    }
}
