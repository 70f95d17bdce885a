//! The whole tune as a layered problem: one layer per phase, and between neighbouring layers an
//! edge wherever one way of playing can follow another. Within a span the voicing stays; an
//! approach note must lie a semitone from the bass note that follows, and so on for the other
//! leading moves.

use super::change::Changes;
use super::change::HandState;
use super::holds::Held;
use super::holds::Holds;
use super::jumps::Jumps;
use super::jumps::Turn;
use super::leads::arrives;
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
use super::result::HandAtEnd;
use super::sources::Desk;
use super::sources::next_bass;
use super::trellis::Arriving;
use super::trellis::ByNode;
use super::trellis::Layered;
use super::trellis::UNREACHED;
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
    turns: Vec<Turn>,
    /// Costs of the nodes of layers in which each stands several times.
    costs: Vec<Option<Vec<Cost>>>,
    /// How the hands come out of the chorus before, and what it costs to go on from there.
    before: Option<HandAtEnd>,
    entry_costs: Vec<Cost>,
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
    again: bool,
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
    plucks_at_once: bool,
    next_bass: PcSet,
}

/// Layers that are kept at most beside those in use; about 20 MB.
const MOST_BUILT: usize = 600;

/// Layers built so far. The same chord in the same surroundings has the same layer, in another
/// chorus as well as after an edit elsewhere.
#[derive(Default)]
pub struct LayerCache {
    built: HashMap<LayerKey, Arc<Built>>,
    changes: Option<Arc<Changes>>,
}

impl LayerCache {
    /// Lets go of what no solved problem uses, once there is much of it: an afternoon of edits meets
    /// thousands of layers, and the next edit needs few of them.
    pub fn trim(&mut self) {
        if self.built.len() > MOST_BUILT {
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
        let jumps = Jumps::of(problem, &plan);
        let all_next_bass = next_bass(problem, &plan, &jumps);
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
        let nodes: Vec<&Layer> = layers.iter().map(|built| &built.layer).collect();
        let turns = jumps.turns(&nodes);
        let first = nodes.first().map_or(&[][..], |first| &first.nodes);
        let entry_costs = problem
            .before
            .map_or_else(Vec::new, |before| entry_costs(&before, first, &changes));
        let costs = turns.iter().zip(nodes);
        Some(Self {
            plan,
            before: problem.before,
            entry_costs,
            costs: costs.map(|(turn, layer)| turn.costs(layer)).collect(),
            turns,
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
        let nodes = &self.layers.get(layer)?.layer.nodes;
        let is_there = node < self.node_costs(layer).len();
        nodes.get(node % nodes.len().max(1)).filter(|_| is_there)
    }

    /// Calls `take` with every node of the next layer that an edge from a node leads to, and with the
    /// node as the lines of the hands go on from it.
    #[inline]
    fn follow(&self, layer: usize, from: usize, mut take: impl FnMut(usize, &Node, &Node)) {
        let (Some(here), Some(next)) = (self.layers.get(layer), self.layers.get(layer + 1)) else {
            return;
        };
        let (Some(turn), Some(next_turn)) = (self.turns.get(layer), self.turns.get(layer + 1))
        else {
            return;
        };
        let n_here = here.layer.nodes.len().max(1);
        let Some(node) = here.layer.nodes.get(from % n_here) else {
            return;
        };
        let copy = next_turn.copy_after(from / n_here, node);
        let first = copy * next.layer.nodes.len();
        let left = turn.is_seam.then(|| left_by(node, turn, next.holds));
        let node = left.as_ref().unwrap_or(node);
        let is_asked = next_turn.is_asked();
        next.following(node, self.follows(layer), |to, target| {
            if !is_asked || next_turn.allows(copy, target) {
                take(first + to, node, target);
            }
        });
    }

    /// Whether the next phase is not heard after a phase.
    #[must_use]
    pub fn is_seam(&self, layer: usize) -> bool {
        self.turns.get(layer).is_some_and(|turn| turn.is_seam)
    }

    /// The voicing a node has.
    #[must_use]
    pub fn voicing(&self, layer: usize, node: &Node) -> Option<&Voicing> {
        let span = self.plan.phases.get(layer)?.span;
        self.voicings.get(span)?.get(node.voicing? as usize)
    }

    /// Calls `take` with every node of the next layer that an edge from a node leads to.
    pub fn followers(&self, layer: usize, node: usize, mut take: impl FnMut(usize)) {
        self.follow(layer, node, |to, _, _| take(to));
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
        if !self.is_seam(layer) {
            effort.add(Term::Lead, leap(from.thumb, to.thumb));
        }
        if let Some(next) = self.layers.get(layer + 1) {
            effort.add(Term::Cut, next.holds.cut(from, to));
        }
        if self.line_of(layer) == Line::Chords {
            effort.add(Term::TopLine, top_leap(from.top, to.top));
        }
        effort
    }

    /// The cost in named terms of coming to a node of the first layer from the chorus before; nothing
    /// if there is none.
    #[must_use]
    pub fn entry_effort(&self, to: &Node) -> Effort {
        let Some(before) = self.before else {
            return Effort::default();
        };
        let mut effort = self.changes.effort(&before.hand, &to.entry, before.time_us);
        effort.add(Term::Lead, leap(before.thumb, to.thumb));
        effort.add(Term::TopLine, top_leap(before.top, to.top));
        effort
    }

    /// The hand before the first layer and the time from its last strike, if there is a chorus before.
    #[must_use]
    pub fn hand_before(&self) -> Option<(HandState, u64)> {
        self.before.map(|before| (before.hand, before.time_us))
    }

    /// About the tempo up to which a change is comfortable: that at which the time there is equals
    /// the time the hand needs. `None` where nothing moves.
    #[must_use]
    pub fn comfortable_bpm(&self, layer: usize, pair: (&Node, &Node), now: u16) -> Option<u16> {
        self.comfortable_in(self.time_us(layer), (&pair.0.exit, &pair.1.entry), now)
    }

    /// The same for a change in so many microseconds at the tempo `now`.
    #[must_use]
    pub fn comfortable_in(
        &self,
        time_us: u64,
        (from, to): (&HandState, &HandState),
        now: u16,
    ) -> Option<u16> {
        let needed_s = self.changes.needed_s(from, to)?;
        let there_is_s = time_us as f64 / 1e6;
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

    /// What the lines of the hands cost from a layer to the next.
    fn line_of(&self, layer: usize) -> Line {
        match self.follows(layer) {
            _ if self.is_seam(layer) => Line::None,
            Follows::Span => Line::Chords,
            Follows::Grip | Follows::LetGo => Line::Bass,
        }
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
        let own = self.costs.get(layer).and_then(Option::as_deref);
        let base = || self.layers.get(layer).map(|built| &*built.layer.costs);
        own.or_else(base).unwrap_or_default()
    }

    fn entry_costs(&self) -> &[Cost] {
        &self.entry_costs
    }

    fn edges(&self, layer: usize, take: &mut dyn FnMut(usize, usize, Cost)) {
        let Some(next) = self.layers.get(layer + 1) else {
            return;
        };
        let time = self.time_us(layer);
        let line = self.line_of(layer);
        for from in 0..self.node_costs(layer).len() {
            self.follow(layer, from, |to, node, target| {
                let cost = self.changes.cost(&node.exit, &target.entry, time);
                let cut = next.holds.cut(node, target);
                take(from, to, cost + line.cost(node, target) + cut);
            });
        }
    }

    fn edge(&self, layer: usize, from: usize, to: usize) -> Option<Cost> {
        let next = self.layers.get(layer + 1)?;
        let node = self.node(layer, from)?;
        let target = self.node(layer + 1, to)?;
        let same = match (self.follows(layer), node.voicing) {
            (Follows::Grip, Some(voicing)) => target.voicing == Some(voicing),
            (Follows::LetGo, _) => {
                let either = node.top.is_none() || target.top.is_none();
                either || target.top == node.top
            }
            _ => true,
        };
        let (turn, next_turn) = (self.turns.get(layer)?, self.turns.get(layer + 1)?);
        let n_here = self.layers.get(layer)?.layer.nodes.len().max(1);
        let copy = next_turn.copy_after(from / n_here, node);
        let there = to / next.layer.nodes.len().max(1) == copy && next_turn.allows(copy, target);
        let left = left_by(node, turn, next.holds);
        let joined = same && there && next.holds.joins(&left, target);
        let time = self.time_us(layer);
        let change = || self.changes.cost(&node.exit, &target.entry, time);
        let cut = next.holds.cut(&left, target);
        joined.then(|| change() + self.line_of(layer).cost(node, target) + cut)
    }

    fn by_node(&self) -> Option<&dyn ByNode> {
        Some(self)
    }
}

/// No change costs less than nothing, because guide fingers take away at most what there is, and
/// no leap does.
impl ByNode for Layers {
    fn offer_from(&self, layer: usize, (from, total): (usize, Cost), arriving: &mut Arriving) {
        let Some(next) = self.layers.get(layer + 1) else {
            return;
        };
        let time = self.time_us(layer);
        let line = self.line_of(layer);
        let number = u32::try_from(from).unwrap_or(u32::MAX);
        self.follow(layer, from, |to, node, target| {
            if arriving.wants(to, total) {
                let cost = self.changes.cost(&node.exit, &target.entry, time);
                let cost = cost + line.cost(node, target) + next.holds.cut(node, target);
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
            && self.turns.get(layer) == other.turns.get(other_layer)
            && self.turns.get(layer + 1) == other.turns.get(other_layer + 1)
            && Arc::ptr_eq(&self.changes, &other.changes)
    }

    /// Whether a layer is that of another problem.
    #[must_use]
    pub fn same_nodes(&self, layer: usize, other: &Self, other_layer: usize) -> bool {
        let pair = (self.layers.get(layer), other.layers.get(other_layer));
        matches!(pair, (Some(a), Some(b)) if Arc::ptr_eq(a, b))
            && self.turns.get(layer) == other.turns.get(other_layer)
            && (layer > 0 || self.entry_costs == other.entry_costs)
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
        again: span.again,
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
        plucks_at_once: phase.first_pluck_us == Some(phase.begins_us),
        next_bass,
    }
}

/// What it costs to come to each node of the first layer from the chorus before. Where its last bass
/// note leads to one that some node has, only those nodes follow.
fn entry_costs(before: &HandAtEnd, nodes: &[Node], changes: &Changes) -> Vec<Cost> {
    let leads = |node: &&Node| node.thumb.is_some() && arrives(before.thumb, node.thumb);
    let is_led = nodes.iter().any(|node| leads(&node));
    let cost = |node: &Node| {
        if is_led && !arrives(before.thumb, node.thumb) {
            return UNREACHED;
        }
        let lines = leap(before.thumb, node.thumb) + top_leap(before.top, node.top);
        changes.cost(&before.hand, &node.entry, before.time_us) + lines
    };
    nodes.iter().map(cost).collect()
}

/// The lines of the two outer voices that go on over an edge.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Line {
    /// None: what is written next is not heard next.
    None,
    /// How the thumb leads on.
    Bass,
    /// That and, into the next chord, how the top note does.
    Chords,
}

impl Line {
    #[inline]
    fn cost(self, from: &Node, to: &Node) -> Cost {
        match self {
            Self::None => Cost::ZERO,
            Self::Bass => leap(from.thumb, to.thumb),
            Self::Chords => leap(from.thumb, to.thumb) + top_leap(from.top, to.top),
        }
    }
}

/// A node as the next layer sees it: behind a bar that leads elsewhere its bass note leads nowhere,
/// but may still sound on.
#[inline]
fn left_by(node: &Node, turn: &Turn, next: Holds) -> Node {
    let mut left = *node;
    if turn.is_seam
        && !next.thumb
        && let Some(thumb) = &mut left.thumb
    {
        thumb.bound = false;
    }
    left
}
