//! The whole tune as a layered problem: one layer per phase, and between neighbouring layers an
//! edge wherever one way of playing can follow another. Within a span the voicing stays; an
//! approach note must lie a semitone from the bass note that follows, and so on for the other
//! leading moves.

use super::built::Built;
use super::built::Follows;
use super::change::Changes;
use super::change::HandState;
use super::holds::Holds;
use super::jumps::Jumps;
use super::jumps::Turn;
use super::kept_nodes::Kept;
use super::kept_nodes::Nodes;
use super::layer_cache::Having;
use super::layer_cache::LayerCache;
use super::layer_cache::key_of;
use super::leads::arrives;
use super::leads::leap;
use super::leads::top_leap;
use super::nodes::Node;
use super::nodes::ThumbNote;
use super::phase::Plan;
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
use crate::instrument::Term;
use crate::instrument::fretboard::Fretboard;
use crate::theory::Midi;
use crate::voicing::Voicing;
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

impl Layers {
    /// Builds all layers, or takes them from the cache. `voicings` holds those of every span. Once it
    /// is known what can be taken over, `let_go` may give back what cannot.
    pub fn new(
        problem: &Problem,
        plan: Plan,
        voicings: Vec<Arc<[Voicing]>>,
        (cache, let_go): (&mut LayerCache, impl FnOnce(&Having)),
        keep_going: &mut dyn FnMut(usize) -> bool,
    ) -> Option<Self> {
        let changes = cache.changes(&problem.instrument);
        let board = Fretboard::new(&problem.instrument);
        let jumps = Jumps::of(problem, &plan);
        let all_next_bass = next_bass(problem, &plan, &jumps);
        let desk = Desk {
            problem,
            board: &board,
            changes: &changes,
            plan: &plan,
        };
        let mut keys = Vec::with_capacity(plan.phases.len());
        for (idx, phase) in plan.phases.iter().enumerate() {
            let span = plan.spans.get(phase.span)?;
            let next_bass = all_next_bass.get(idx).copied().unwrap_or_default();
            let is_first = span.phases.start == idx;
            let struck = desk.struck(idx, &all_next_bass);
            keys.push(key_of(span, phase, is_first, (next_bass, struck)));
        }
        let_go(&cache.begin(&keys));
        let mut layers = Vec::with_capacity(keys.len());
        for ((idx, phase), key) in plan.phases.iter().enumerate().zip(keys) {
            let span = plan.spans.get(phase.span)?;
            let own: &[Voicing] = voicings.get(phase.span).map_or(&[], |v| v);
            let next_bass = all_next_bass.get(idx).copied().unwrap_or_default();
            let is_first = span.phases.start == idx;
            let built = cache.get(key, |key| {
                let (_, source) = desk.source(idx, (own, next_bass, &key.struck))?;
                let layer = source.layer(span, phase, is_first);
                let from = idx.checked_sub(1).filter(|_| !is_first);
                let follows = from.map_or(Follows::Span, |from| follows(&plan, from));
                Some(Built::new(&layer, own.len(), Holds::of(phase), follows))
            })?;
            layers.push(built);
            if !keep_going(idx) {
                return None;
            }
        }
        let nodes: Vec<&Nodes> = layers.iter().map(|built| built.nodes()).collect();
        let turns = jumps.turns(&nodes);
        let entry_costs = match (problem.before, nodes.first()) {
            (Some(before), Some(first)) => entry_costs(&before, first, &changes),
            _ => Vec::new(),
        };
        let costs = turns.iter().zip(nodes);
        Some(Self {
            before: problem.before,
            entry_costs,
            costs: costs.map(|(turn, layer)| turn.costs(layer)).collect(),
            turns,
            layers,
            voicings,
            changes,
            plan,
        })
    }

    /// Gives back the layers that another problem does not have.
    pub fn keep_only(&mut self, having: &Having) -> Vec<bool> {
        let none = Arc::new(Built::default());
        let layers = self.layers.iter_mut();
        let keep = layers.map(|built| {
            let stays = having.has(built);
            if !stays {
                *built = Arc::clone(&none);
            }
            stays
        });
        keep.collect()
    }

    /// Spans and phases.
    #[must_use]
    pub const fn plan(&self) -> &Plan {
        &self.plan
    }

    /// A node.
    #[must_use]
    pub fn node(&self, layer: usize, node: usize) -> Option<Node> {
        let nodes = self.layers.get(layer)?.nodes();
        let is_there = node < self.node_costs(layer).len();
        let kept = nodes.get(node % nodes.len().max(1)).filter(|_| is_there)?;
        Some(kept.node())
    }

    /// Calls `take` with every node of the next layer that an edge from a node leads to, and with the
    /// node as the lines of the hands go on from it.
    #[inline]
    fn follow(&self, layer: usize, from: usize, mut take: impl FnMut(usize, &Node, Kept<'_>)) {
        let (Some(here), Some(next)) = (self.layers.get(layer), self.layers.get(layer + 1)) else {
            return;
        };
        let (Some(turn), Some(next_turn)) = (self.turns.get(layer), self.turns.get(layer + 1))
        else {
            return;
        };
        let n_here = here.nodes().len().max(1);
        let Some(node) = here.nodes().get(from % n_here).map(Kept::node) else {
            return;
        };
        let copy = next_turn.copy_after(from / n_here, &node);
        let first = copy * next.nodes().len();
        let node = left_by(node, turn, next.holds());
        let is_asked = next_turn.is_asked();
        next.following(&node, self.follows(layer), |to, target| {
            if !is_asked || next_turn.allows(copy, &target.node()) {
                take(first + to, &node, target);
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
            effort.add(Term::Cut, next.holds().cut(from, to));
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
        follows(&self.plan, layer)
    }
}

impl Layered for Layers {
    fn n_layers(&self) -> usize {
        self.layers.len()
    }

    fn node_costs(&self, layer: usize) -> &[Cost] {
        let own = self.costs.get(layer).and_then(Option::as_deref);
        let base = || self.layers.get(layer).map(|built| built.nodes().costs());
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
        let mut changes = ChangesTo::new(next.nodes().n_hands());
        for from in 0..self.node_costs(layer).len() {
            changes.begin();
            self.follow(layer, from, |to, node, target| {
                let change = || self.changes.cost(&node.exit, &target.entry(), time);
                let cost = changes.cost(target.entry_number(), change);
                let cost = cost + line.cost(node, (target.thumb(), target.top()));
                take(from, to, cost + cut(next.holds(), node, target));
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
        let n_here = self.layers.get(layer)?.nodes().len().max(1);
        let copy = next_turn.copy_after(from / n_here, &node);
        let there = to / next.nodes().len().max(1) == copy && next_turn.allows(copy, &target);
        let left = left_by(node, turn, next.holds());
        let joined = same && there && next.holds().joins(&left, &target);
        let time = self.time_us(layer);
        let change = || self.changes.cost(&node.exit, &target.entry, time);
        let cut = next.holds().cut(&left, &target);
        joined.then(|| change() + self.line_of(layer).cost(&node, (target.thumb, target.top)) + cut)
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
                let cost = self.changes.cost(&node.exit, &target.entry(), time);
                let cost = cost + line.cost(node, (target.thumb(), target.top()));
                let cost = cost + cut(next.holds(), node, target);
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

/// What it costs to come from one node to each hand state of the next layer, where many nodes have the
/// same: worked out when it is first asked for.
struct ChangesTo {
    known: Vec<(u32, Cost)>,
    /// Counts the nodes come from.
    turn: u32,
}

impl ChangesTo {
    fn new(n_hands: usize) -> Self {
        Self {
            known: vec![(0, Cost::ZERO); n_hands],
            turn: 0,
        }
    }

    /// Begins with another node.
    const fn begin(&mut self) {
        self.turn += 1;
    }

    #[inline]
    fn cost(&mut self, hand: usize, work_out: impl FnOnce() -> Cost) -> Cost {
        match self.known.get_mut(hand) {
            Some((turn, cost)) if *turn == self.turn => *cost,
            Some(known) => {
                let cost = work_out();
                *known = (self.turn, cost);
                cost
            }
            None => work_out(),
        }
    }
}

/// How the next phase follows a phase.
fn follows(plan: &Plan, phase: usize) -> Follows {
    match (plan.phases.get(phase), plan.phases.get(phase + 1)) {
        (Some(a), Some(b)) if a.span == b.span && b.carried => Follows::Grip,
        (Some(a), Some(b)) if a.span == b.span => Follows::LetGo,
        _ => Follows::Span,
    }
}

/// What it costs to come to each node of the first layer from the chorus before. Where its last bass
/// note leads to one that some node has, only those nodes follow.
fn entry_costs(before: &HandAtEnd, nodes: &Nodes, changes: &Changes) -> Vec<Cost> {
    let leads = |node: Node| node.thumb.is_some() && arrives(before.thumb, node.thumb);
    let is_led = nodes.iter().map(Kept::node).any(leads);
    let cost = |node: Node| {
        if is_led && !arrives(before.thumb, node.thumb) {
            return UNREACHED;
        }
        let lines = leap(before.thumb, node.thumb) + top_leap(before.top, node.top);
        changes.cost(&before.hand, &node.entry, before.time_us) + lines
    };
    nodes.iter().map(Kept::node).map(cost).collect()
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
    fn cost(self, from: &Node, (bass, top): (Option<ThumbNote>, Option<Midi>)) -> Cost {
        match self {
            Self::None => Cost::ZERO,
            Self::Bass => leap(from.thumb, bass),
            Self::Chords => leap(from.thumb, bass) + top_leap(from.top, top),
        }
    }
}

/// What it costs to let go of what sounds on.
#[inline]
fn cut(holds: Holds, from: &Node, to: Kept<'_>) -> Cost {
    if holds.any() {
        holds.cut(from, &to.node())
    } else {
        Cost::ZERO
    }
}

/// A node as the next layer sees it: behind a bar that leads elsewhere its bass note leads nowhere,
/// but may still sound on.
#[inline]
fn left_by(mut left: Node, turn: &Turn, next: Holds) -> Node {
    if turn.is_seam
        && !next.thumb
        && let Some(thumb) = &mut left.thumb
    {
        thumb.bound = false;
    }
    left
}
