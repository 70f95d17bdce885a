//! The whole tune as a layered problem: one layer per phase, and between neighbouring layers an
//! edge wherever one way of playing can follow another. Within a span the voicing stays; an
//! approach note must lie a semitone from the bass note that follows, and so on for the other
//! leading moves.

use super::change::Changes;
use super::nodes::Layer;
use super::nodes::Node;
use super::nodes::Source;
use super::nodes::ThumbNote;
use super::nodes::tone_classes;
use super::plan::Phase;
use super::plan::Plan;
use super::plan::Task;
use super::problem::Problem;
use super::trellis::Layered;
use crate::instrument::Cost;
use crate::instrument::Effort;
use crate::instrument::Term;
use crate::instrument::fretboard::Fretboard;
use crate::theory::Chord;
use crate::theory::Midi;
use crate::theory::PcSet;
use crate::theory::ThumbMove;
use crate::voicing::Voicing;
use std::sync::Arc;

/// Semitones a bass line may leap without a price: a fifth (teaching practice: larger leaps are
/// the exception and want an answer by step).
const FREE_LEAP: u8 = 7;
/// Price of every semitone beyond that.
const LEAP: i32 = 200;

/// A tune ready to be solved.
pub struct Layers {
    plan: Plan,
    layers: Vec<Layer>,
    voicings: Vec<Arc<[Voicing]>>,
    changes: Changes,
    groups: Vec<Groups>,
}

/// Where to find the nodes of a layer that an edge may lead to.
#[derive(Default)]
struct Groups {
    /// First node of each voicing, and the end; empty if nodes carry no voicing.
    by_voicing: Vec<Vec<usize>>,
    /// Nodes by the pitch of their bass note, 0 to 127; the last entry holds those without.
    by_pitch: Vec<Vec<usize>>,
    all: Vec<usize>,
}

impl Groups {
    fn of(layer: &Layer, n_voicings: usize) -> Self {
        let mut groups = Self {
            by_voicing: vec![Vec::new(); n_voicings],
            by_pitch: vec![Vec::new(); 129],
            all: (0..layer.nodes.len()).collect(),
        };
        for (idx, node) in layer.nodes.iter().enumerate() {
            if let Some(group) = node
                .voicing
                .and_then(|v| groups.by_voicing.get_mut(v as usize))
            {
                group.push(idx);
            }
            let pitch = node
                .thumb
                .map_or(128, |thumb| usize::from(thumb.pitch.number()));
            if let Some(group) = groups.by_pitch.get_mut(pitch) {
                group.push(idx);
            }
        }
        groups
    }
}

impl Layers {
    /// Builds all layers. `voicings_of` gives the voicings of a span.
    pub fn new(
        problem: &Problem,
        plan: Plan,
        voicings: Vec<Arc<[Voicing]>>,
        keep_going: &mut dyn FnMut(usize) -> bool,
    ) -> Option<Self> {
        let changes = Changes::new(&problem.instrument);
        let board = Fretboard::new(&problem.instrument);
        let mut layers = Vec::with_capacity(plan.phases.len());
        let mut groups = Vec::with_capacity(plan.phases.len());
        for (idx, phase) in plan.phases.iter().enumerate() {
            let span = plan.spans.get(phase.span)?;
            let own: &[Voicing] = voicings.get(phase.span).map_or(&[], |v| v);
            let source = Source {
                instrument: &problem.instrument,
                board: &board,
                hand: &problem.hand,
                key: problem.key,
                changes: &changes,
                chord: span.chord.as_deref(),
                voicings: own,
                next_bass: next_bass(problem, &plan, idx),
            };
            let layer = source.layer(phase, span.phases.start == idx);
            groups.push(Groups::of(&layer, own.len()));
            layers.push(layer);
            if !keep_going(idx) {
                return None;
            }
        }
        Some(Self {
            plan,
            layers,
            voicings,
            changes,
            groups,
        })
    }

    /// Spans and phases.
    #[must_use]
    pub const fn plan(&self) -> &Plan {
        &self.plan
    }

    /// A node.
    #[must_use]
    pub fn node(&self, layer: usize, node: usize) -> Option<&Node> {
        self.layers.get(layer)?.nodes.get(node)
    }

    /// The voicing a node has.
    #[must_use]
    pub fn voicing(&self, layer: usize, node: &Node) -> Option<&Voicing> {
        let span = self.plan.phases.get(layer)?.span;
        self.voicings.get(span)?.get(node.voicing? as usize)
    }

    /// The cost of an edge in named terms.
    #[must_use]
    pub fn edge_effort(&self, layer: usize, from: &Node, to: &Node) -> Effort {
        let time = self.time_us(layer);
        let mut effort = self.changes.effort(&from.exit, &to.entry, time);
        effort.add(Term::Lead, leap(from.thumb, to.thumb));
        effort
    }

    /// The time the hand has from the last strike of a phase to the first of the next.
    fn time_us(&self, layer: usize) -> u64 {
        let from = self
            .plan
            .phases
            .get(layer)
            .map_or(0, |phase| phase.last_strike_us);
        let to = self
            .plan
            .phases
            .get(layer + 1)
            .map_or(0, |phase| phase.begins_us);
        to.saturating_sub(from)
    }

    fn stays_in_span(&self, layer: usize) -> bool {
        let pair = (self.plan.phases.get(layer), self.plan.phases.get(layer + 1));
        matches!(pair, (Some(a), Some(b)) if a.span == b.span && b.carried)
    }
}

impl Layered for Layers {
    fn n_layers(&self) -> usize {
        self.layers.len()
    }

    fn node_costs(&self, layer: usize) -> &[Cost] {
        self.layers
            .get(layer)
            .map_or(&[], |layer| layer.costs.as_slice())
    }

    fn edges(&self, layer: usize, take: &mut dyn FnMut(usize, usize, Cost)) {
        let (Some(here), Some(next)) = (self.layers.get(layer), self.layers.get(layer + 1)) else {
            return;
        };
        let Some(groups) = self.groups.get(layer + 1) else {
            return;
        };
        let time = self.time_us(layer);
        let stays = self.stays_in_span(layer);
        for (from, node) in here.nodes.iter().enumerate() {
            let mut join = |targets: &[usize]| {
                for &to in targets {
                    let Some(target) = next.nodes.get(to) else {
                        continue;
                    };
                    let cost = self.changes.cost(&node.exit, &target.entry, time);
                    take(from, to, cost + leap(node.thumb, target.thumb));
                }
            };
            if let (true, Some(voicing)) = (stays, node.voicing) {
                let same = groups
                    .by_voicing
                    .get(voicing as usize)
                    .map_or(&[][..], Vec::as_slice);
                let fits = |to: &usize| {
                    let target = next.nodes.get(*to).and_then(|target| target.thumb);
                    arrives(node.thumb, target)
                };
                join(&same.iter().copied().filter(fits).collect::<Vec<_>>());
                continue;
            }
            match node.thumb.and_then(|thumb| targets(&thumb)) {
                Some(pitches) => {
                    for pitch in pitches.into_iter().flatten() {
                        join(
                            groups
                                .by_pitch
                                .get(usize::from(pitch.number()))
                                .map_or(&[], |g| g),
                        );
                    }
                    join(groups.by_pitch.last().map_or(&[], |group| group));
                }
                None => join(&groups.all),
            }
        }
    }
}

/// Pitch classes the thumb may have in the phase after this one.
fn next_bass(problem: &Problem, plan: &Plan, idx: usize) -> PcSet {
    let Some(next) = plan.phases.get(idx + 1) else {
        return PcSet::EMPTY;
    };
    let chord = plan
        .spans
        .get(next.span)
        .and_then(|span| span.chord.as_deref());
    next_classes(problem, next, chord)
}

fn next_classes(problem: &Problem, next: &Phase, chord: Option<&Chord>) -> PcSet {
    let Some(chord) = chord else {
        return PcSet::EMPTY;
    };
    let root = PcSet::EMPTY.with(chord.bass().pitch_class());
    match &next.task {
        Task::Grip => root,
        Task::Exactly(string, fret) => {
            let pitch = problem.instrument.pitch(*string, *fret);
            pitch.map(Midi::pitch_class).into_iter().collect()
        }
        Task::Moves(moves) => {
            let classes = moves
                .iter()
                .map(|(thumb_move, _)| tone_classes(chord, *thumb_move));
            let tones = classes.fold(PcSet::EMPTY, PcSet::union);
            if tones.is_empty() { root } else { tones }
        }
    }
}

/// Pitches that a leading move asks of the note after it; `None` if it asks nothing.
fn targets(thumb: &ThumbNote) -> Option<[Option<Midi>; 2]> {
    let up = |semitones| thumb.pitch.up(semitones);
    match thumb.thumb_move {
        ThumbMove::ApproachBelow => Some([up(1), None]),
        ThumbMove::ApproachAbove => Some([up(-1), None]),
        ThumbMove::ApproachDominant => Some([up(5), up(-7)]),
        ThumbMove::StepUp => Some([up(1), up(2)]),
        ThumbMove::StepDown => Some([up(-1), up(-2)]),
        _ => None,
    }
}

fn arrives(from: Option<ThumbNote>, to: Option<ThumbNote>) -> bool {
    let (Some(from), Some(to)) = (from, to) else {
        return true;
    };
    targets(&from).is_none_or(|pitches| pitches.contains(&Some(to.pitch)))
}

fn leap(from: Option<ThumbNote>, to: Option<ThumbNote>) -> Cost {
    let (Some(from), Some(to)) = (from, to) else {
        return Cost::ZERO;
    };
    let size = from.pitch.number().abs_diff(to.pitch.number());
    Cost(LEAP * i32::from(size.saturating_sub(FREE_LEAP)))
}
