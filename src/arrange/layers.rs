//! The whole tune as a layered problem: one layer per phase, and between neighbouring layers an
//! edge wherever one way of playing can follow another. Within a span the voicing stays; an
//! approach note must lie a semitone from the bass note that follows, and so on for the other
//! leading moves.

use super::change::Changes;
use super::holds::Held;
use super::holds::Holds;
use super::leads::leap;
use super::leads::targets;
use super::leads::top_leap;
use super::nodes::Layer;
use super::nodes::Node;
use super::nodes::ThumbNote;
use super::phase::Need;
use super::phase::Phase;
use super::phase::PhaseSlide;
use super::phase::Plan;
use super::phase::Span;
use super::phase::Task;
use super::phase::TuneSound;
use super::problem::Problem;
use super::sources::Desk;
use super::sources::next_bass;
use super::trellis::Arriving;
use super::trellis::ByNode;
use super::trellis::Layered;
use crate::instrument::Cost;
use crate::instrument::Effort;
use crate::instrument::Shape;
use crate::instrument::Term;
use crate::instrument::fretboard::Fretboard;
use crate::theory::Chord;
use crate::theory::Midi;
use crate::theory::PcSet;
use crate::theory::Spelling;
use crate::voicing::Voicing;
use std::collections::HashMap;
use std::sync::Arc;

/// A tune ready to be solved.
pub struct Layers {
    plan: Plan,
    layers: Vec<Arc<Built>>,
    voicings: Vec<Arc<[Voicing]>>,
    changes: Arc<Changes>,
}

/// How one phase follows another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Follows {
    /// In the same span, with the grip still wanted.
    Grip,
    /// In the same span, the grip being let go.
    LetGo,
    /// In the next span.
    Span,
}

/// The nodes of a layer, and where to find those that an edge may lead to.
struct Built {
    layer: Layer,
    /// Nodes of each voicing of the span.
    by_voicing: Vec<Vec<usize>>,
    /// Nodes by the pitch of their bass note, 0 to 127; the last entry holds those without.
    by_pitch: Vec<Vec<usize>>,
    /// Nodes by the top note of the chord, in the same way.
    by_top: Vec<Vec<usize>>,
    /// What sounds on in it, and its nodes by what they have of that.
    holds: Holds,
    by_held: HashMap<Held, Vec<usize>>,
    all: Vec<usize>,
}

impl Built {
    fn new(layer: Layer, n_voicings: usize, holds: Holds) -> Self {
        let mut built = Self {
            by_voicing: vec![Vec::new(); n_voicings],
            by_pitch: vec![Vec::new(); 129],
            by_top: vec![Vec::new(); 129],
            holds,
            by_held: HashMap::new(),
            all: (0..layer.nodes.len()).collect(),
            layer: Layer::default(),
        };
        for (idx, node) in layer.nodes.iter().enumerate() {
            if let Some(group) = node
                .voicing
                .and_then(|v| built.by_voicing.get_mut(v as usize))
            {
                group.push(idx);
            }
            let number = |pitch: Option<Midi>| pitch.map_or(128, |p| usize::from(p.number()));
            let bass = number(node.thumb.map(|thumb| thumb.pitch));
            if let Some(group) = built.by_pitch.get_mut(bass) {
                group.push(idx);
            }
            if let Some(group) = built.by_top.get_mut(number(node.top)) {
                group.push(idx);
            }
            if holds.any() {
                built.by_held.entry(holds.held(node)).or_default().push(idx);
            }
        }
        built.layer = layer;
        built
    }

    /// The nodes with these numbers.
    fn of<'a>(&'a self, group: Option<&'a Vec<usize>>) -> impl Iterator<Item = (usize, &'a Node)> {
        let group = group.map_or(&[][..], Vec::as_slice);
        group
            .iter()
            .filter_map(|idx| Some((*idx, self.layer.nodes.get(*idx)?)))
    }

    /// The nodes of the same span that may follow a node once the chord is let go: those that
    /// remember its top note, and those that remember none; all of them if it has none itself.
    fn let_go<'a>(&'a self, node: &'a Node) -> impl Iterator<Item = (usize, &'a Node)> {
        let groups = match node.top {
            Some(top) => [
                self.by_top.get(usize::from(top.number())),
                self.by_top.last(),
            ],
            None => [Some(&self.all), None],
        };
        let all = groups.into_iter().flat_map(|group| self.of(group));
        all.filter(|(_, target)| self.holds.joins(node, target))
    }

    /// The nodes that may follow one of the span before where something sounds on.
    fn holding<'a>(&'a self, node: &'a Node) -> impl Iterator<Item = (usize, &'a Node)> {
        let ways = self.holds.ways(node);
        let all = ways.flat_map(|held| self.of(self.by_held.get(&held)));
        all.filter(|(_, target)| self.holds.joins(node, target))
    }

    /// The nodes that may follow a node of the span before: all of them, or those whose bass note
    /// is what its leading move asks for, and those without one.
    fn after<'a>(&'a self, node: &Node) -> impl Iterator<Item = (usize, &'a Node)> {
        let wanted = node.thumb.and_then(|thumb| targets(&thumb));
        let pitch = |at: usize| {
            let pitch = wanted.and_then(|pitches| pitches.get(at).copied().flatten())?;
            self.by_pitch.get(usize::from(pitch.number()))
        };
        let silent = wanted.and_then(|_| self.by_pitch.last());
        let all = wanted.is_none().then_some(&self.all);
        let groups = [all, pitch(0), pitch(1), silent];
        groups.into_iter().flat_map(|group| self.of(group))
    }

    /// Calls `take` with every node that may follow one of the layer before.
    fn following(&self, node: &Node, follows: Follows, mut take: impl FnMut(usize, &Node)) {
        match (follows, node.voicing) {
            (Follows::LetGo, _) => {
                for (to, target) in self.let_go(node) {
                    take(to, target);
                }
            }
            (Follows::Grip, Some(voicing)) => {
                for (to, target) in self.of(self.by_voicing.get(voicing as usize)) {
                    if self.holds.joins(node, target) {
                        take(to, target);
                    }
                }
            }
            _ if self.holds.any() => {
                for (to, target) in self.holding(node) {
                    take(to, target);
                }
            }
            _ => {
                for (to, target) in self.after(node) {
                    take(to, target);
                }
            }
        }
    }
}

/// Everything that decides the nodes of a layer while instrument, hand, key and wish stay.
#[derive(Clone, PartialEq, Eq, Hash)]
struct LayerKey {
    chord: Option<Arc<Chord>>,
    shape: Option<Shape>,
    bass: Option<Midi>,
    task: Task,
    top: Option<(Midi, Spelling)>,
    sings: bool,
    tune: Option<TuneSound>,
    struck: Vec<ThumbNote>,
    need: Need,
    carried: bool,
    is_first: bool,
    strikes: bool,
    slides: Vec<PhaseSlide>,
    until_pluck_us: u64,
    next_bass: PcSet,
}

/// Layers built so far. The same chord in the same surroundings has the same layer, in another
/// chorus as well as after an edit elsewhere.
#[derive(Default)]
pub struct LayerCache {
    built: HashMap<LayerKey, Arc<Built>>,
    changes: Option<Arc<Changes>>,
}

/// From so many layers on the cache forgets those that no solved problem has.
const MANY: usize = 4096;

impl LayerCache {
    fn forget_unused(&mut self) {
        if self.built.len() > MANY {
            self.built.retain(|_, built| Arc::strong_count(built) > 1);
        }
    }
}

impl Layers {
    /// Builds all layers, or takes them from the cache. `voicings` holds those of every span.
    pub fn new(
        problem: &Problem,
        plan: Plan,
        voicings: Vec<Arc<[Voicing]>>,
        cache: &mut LayerCache,
        keep_going: &mut dyn FnMut(usize) -> bool,
    ) -> Option<Self> {
        let changes = cache
            .changes
            .get_or_insert_with(|| Arc::new(Changes::new(&problem.instrument)))
            .clone();
        let board = Fretboard::new(&problem.instrument);
        let all_next_bass = next_bass(problem, &plan);
        let desk = Desk {
            problem,
            board: &board,
            changes: &changes,
            plan: &plan,
        };
        let mut layers = Vec::with_capacity(plan.phases.len());
        for (idx, phase) in plan.phases.iter().enumerate() {
            let span = plan.spans.get(phase.span)?;
            let own: &[Voicing] = voicings.get(phase.span).map_or(&[], |v| v);
            let next_bass = all_next_bass.get(idx).copied().unwrap_or_default();
            let is_first = span.phases.start == idx;
            let holds = Holds::of(phase);
            let struck = desk.struck(idx, &all_next_bass);
            let key = key_of(span, phase, is_first, (next_bass, struck));
            let built = match cache.built.get(&key) {
                Some(built) => Arc::clone(built),
                None => {
                    let (_, source) = desk.source(idx, (own, next_bass, &key.struck))?;
                    let layer = source.layer(span, phase, is_first);
                    let built = Arc::new(Built::new(layer, own.len(), holds));
                    cache.built.insert(key, Arc::clone(&built));
                    built
                }
            };
            layers.push(built);
            if !keep_going(idx) {
                return None;
            }
        }
        cache.forget_unused();
        Some(Self {
            plan,
            layers,
            voicings,
            changes,
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
        self.layers.get(layer)?.layer.nodes.get(node)
    }

    /// The voicing a node has.
    #[must_use]
    pub fn voicing(&self, layer: usize, node: &Node) -> Option<&Voicing> {
        let span = self.plan.phases.get(layer)?.span;
        self.voicings.get(span)?.get(node.voicing? as usize)
    }

    /// Calls `take` with every node of the next layer that an edge from a node leads to.
    pub fn followers(&self, layer: usize, node: usize, mut take: impl FnMut(usize)) {
        if let (Some(node), Some(next)) = (self.node(layer, node), self.layers.get(layer + 1)) {
            next.following(node, self.follows(layer), |to, _| take(to));
        }
    }

    /// The voicings of the span that a layer belongs to, cheapest first.
    #[must_use]
    pub fn voicings(&self, layer: usize) -> &[Voicing] {
        let span = self.plan.phases.get(layer).map(|phase| phase.span);
        let own = span.and_then(|span| self.voicings.get(span));
        own.map_or(&[], |own| own)
    }

    /// The cost of an edge in named terms.
    #[must_use]
    pub fn edge_effort(&self, layer: usize, from: &Node, to: &Node) -> Effort {
        let time = self.time_us(layer);
        let mut effort = self.changes.effort(&from.exit, &to.entry, time);
        effort.add(Term::Lead, leap(from.thumb, to.thumb));
        if let Some(next) = self.layers.get(layer + 1) {
            effort.add(Term::Cut, next.holds.cut(from, to));
        }
        if self.follows(layer) == Follows::Span {
            effort.add(Term::TopLine, top_leap(from.top, to.top));
        }
        effort
    }

    /// About the tempo up to which a change is comfortable: that at which the time there is equals
    /// the time the hand needs. `None` where nothing moves.
    #[must_use]
    pub fn comfortable_bpm(&self, layer: usize, pair: (&Node, &Node), now: u16) -> Option<u16> {
        let needed_s = self.changes.needed_s(&pair.0.exit, &pair.1.entry)?;
        let there_is_s = self.time_us(layer) as f64 / 1e6;
        let bpm = (f64::from(now) * there_is_s / needed_s).floor();
        Some(bpm.clamp(1.0, 999.0) as u16)
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

    /// How the next phase follows a phase.
    fn follows(&self, layer: usize) -> Follows {
        match (self.plan.phases.get(layer), self.plan.phases.get(layer + 1)) {
            (Some(a), Some(b)) if a.span == b.span && b.carried => Follows::Grip,
            (Some(a), Some(b)) if a.span == b.span => Follows::LetGo,
            _ => Follows::Span,
        }
    }
}

impl Layered for Layers {
    fn n_layers(&self) -> usize {
        self.layers.len()
    }

    fn node_costs(&self, layer: usize) -> &[Cost] {
        self.layers
            .get(layer)
            .map_or(&[], |built| built.layer.costs.as_slice())
    }

    fn edges(&self, layer: usize, take: &mut dyn FnMut(usize, usize, Cost)) {
        let (Some(here), Some(next)) = (self.layers.get(layer), self.layers.get(layer + 1)) else {
            return;
        };
        let time = self.time_us(layer);
        let follows = self.follows(layer);
        for (from, node) in here.layer.nodes.iter().enumerate() {
            next.following(node, follows, |to, target| {
                let cost = self.changes.cost(&node.exit, &target.entry, time);
                let cut = next.holds.cut(node, target);
                take(from, to, cost + line(follows, node, target) + cut);
            });
        }
    }

    fn edge(&self, layer: usize, from: usize, to: usize) -> Option<Cost> {
        let next = self.layers.get(layer + 1)?;
        let node = self.layers.get(layer)?.layer.nodes.get(from)?;
        let target = next.layer.nodes.get(to)?;
        let follows = self.follows(layer);
        let same = match (follows, node.voicing) {
            (Follows::Grip, Some(voicing)) => target.voicing == Some(voicing),
            (Follows::LetGo, _) => {
                let either = node.top.is_none() || target.top.is_none();
                either || target.top == node.top
            }
            _ => true,
        };
        let time = self.time_us(layer);
        let change = || self.changes.cost(&node.exit, &target.entry, time);
        let joined = same && next.holds.joins(node, target);
        let cut = next.holds.cut(node, target);
        joined.then(|| change() + line(follows, node, target) + cut)
    }

    fn by_node(&self) -> Option<&dyn ByNode> {
        Some(self)
    }
}

/// No change costs less than nothing, because guide fingers take away at most what there is, and
/// no leap does.
impl ByNode for Layers {
    fn offer_from(&self, layer: usize, (from, total): (usize, Cost), arriving: &mut Arriving) {
        let (Some(node), Some(next)) = (self.node(layer, from), self.layers.get(layer + 1)) else {
            return;
        };
        let time = self.time_us(layer);
        let follows = self.follows(layer);
        let number = u32::try_from(from).unwrap_or(u32::MAX);
        next.following(node, follows, |to, target| {
            if arriving.wants(to, total) {
                let cost = self.changes.cost(&node.exit, &target.entry, time);
                let cost = cost + line(follows, node, target) + next.holds.cut(node, target);
                arriving.offer(to, total + cost, number);
            }
        });
    }
}

impl Layers {
    /// Whether the edges from a layer to the next are those of a layer of another problem.
    #[must_use]
    pub fn same_edges(&self, layer: usize, other: &Self, other_layer: usize) -> bool {
        let layers = (self.layers.get(layer), other.layers.get(other_layer));
        let next = (
            self.layers.get(layer + 1),
            other.layers.get(other_layer + 1),
        );
        let same = |pair| matches!(pair, (Some(a), Some(b)) if Arc::ptr_eq(a, b));
        same(layers)
            && same(next)
            && self.time_us(layer) == other.time_us(other_layer)
            && self.follows(layer) == other.follows(other_layer)
            && Arc::ptr_eq(&self.changes, &other.changes)
    }

    /// Whether a layer is that of another problem.
    #[must_use]
    pub fn same_nodes(&self, layer: usize, other: &Self, other_layer: usize) -> bool {
        let pair = (self.layers.get(layer), other.layers.get(other_layer));
        matches!(pair, (Some(a), Some(b)) if Arc::ptr_eq(a, b))
    }
}

fn key_of(
    span: &Span,
    phase: &Phase,
    is_first: bool,
    (next_bass, struck): (PcSet, Vec<ThumbNote>),
) -> LayerKey {
    let pluck = phase.first_pluck_us.unwrap_or(phase.last_strike_us);
    LayerKey {
        chord: span.chord.clone(),
        shape: span.shape,
        bass: span.bass,
        task: phase.task.clone(),
        top: span.top,
        sings: span.sings,
        tune: phase.tune,
        struck,
        need: phase.need,
        carried: phase.carried,
        is_first,
        strikes: !phase.strikes.is_empty(),
        slides: phase.slides.clone(),
        until_pluck_us: pluck.saturating_sub(phase.begins_us),
        next_bass,
    }
}

/// What the lines of both hands cost: how the thumb leads on and, into the next chord, how the top
/// note does.
fn line(follows: Follows, from: &Node, to: &Node) -> Cost {
    let top = match follows {
        Follows::Span => top_leap(from.top, to.top),
        Follows::Grip | Follows::LetGo => Cost::ZERO,
    };
    leap(from.thumb, to.thumb) + top
}
