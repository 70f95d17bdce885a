//! The layered problem and its exact solution, apart from all music. Layers follow each other in
//! time, every layer has nodes with a cost, and sparse edges with a cost join neighbouring layers;
//! wanted is one node per layer with the smallest sum.
//!
//! We go through the layers once, front to back, and keep for every node the cheapest way to get
//! there and the node it came from (dynamic programming, as Sayegh 1989 proposed for string
//! fingering). The cheapest node of the last layer is the end of the best path, which is read back
//! through the predecessors. Costs are integers and ties go to the node that comes first in its
//! layer, so the answer is the same on every machine. Where edges are never below zero, those that
//! cannot win any more are not even made. The second way to judge a path, the largest single edge
//! on it, is reported beside the sum.

use crate::instrument::Cost;

/// What a node costs at least that leaves out something asked for. No path may take more of them
/// than it must, whatever it wins by it.
pub const LEFT_OUT: Cost = Cost::points(1000);

/// A problem that can be walked layer by layer. Edges are produced on demand, so that a tune of
/// any length needs memory for its nodes only.
pub trait Layered {
    /// How many layers.
    fn n_layers(&self) -> usize;
    /// Costs of the nodes of a layer.
    fn node_costs(&self, layer: usize) -> &[Cost];
    /// What it costs to come to each node of the first layer from what was before, if anything was;
    /// [`UNREACHED`] where that cannot be.
    fn entry_costs(&self) -> &[Cost] {
        &[]
    }
    /// Calls `take(from, to, cost)` for every edge from `layer` to the next, `to` ascending within
    /// `from` or `from` ascending within `to`; the order decides nothing but ties.
    fn edges(&self, layer: usize, take: &mut dyn FnMut(usize, usize, Cost));
    /// The cost of one edge from `layer` to the next, if there is such an edge.
    fn edge(&self, layer: usize, from: usize, to: usize) -> Option<Cost> {
        let mut found: Option<Cost> = None;
        self.edges(layer, &mut |f, t, cost| {
            if f == from && t == to {
                found = Some(found.map_or(cost, |other| other.min(cost)));
            }
        });
        found
    }
    /// Itself, if its edges can be asked for node by node.
    fn by_node(&self) -> Option<&dyn ByNode> {
        None
    }
}

/// A problem without edges below zero, whose edges can be asked for node by node. Then nothing that
/// is dearer than the best way to a node can become a better one, and its edge need not be made.
pub trait ByNode {
    /// Offers the edges of a node of `layer` that has the given total. Those to nodes that do not
    /// want them may be left out.
    fn offer_from(&self, layer: usize, from: (usize, Cost), arriving: &mut Arriving);
}

/// The best ways known so far into the nodes of a layer, without these nodes' own costs.
pub struct Arriving {
    best: Vec<Cost>,
    from: Vec<u32>,
}

impl Arriving {
    fn new(n_nodes: usize) -> Self {
        Self {
            best: vec![UNREACHED; n_nodes],
            from: vec![0; n_nodes],
        }
    }

    /// Whether a way that costs this much before its edge could still be the best into a node.
    #[must_use]
    pub fn wants(&self, to: usize, total: Cost) -> bool {
        self.best.get(to).is_some_and(|best| total <= *best)
    }

    /// Offers a way with its edge; of equal ones that from the first node is kept.
    pub fn offer(&mut self, to: usize, total: Cost, from: u32) {
        let (Some(best), Some(origin)) = (self.best.get_mut(to), self.from.get_mut(to)) else {
            return;
        };
        if total < *best || (total == *best && from < *origin) {
            *best = total;
            *origin = from;
        }
    }

    /// Whether no way that costs this much can be the best into any node.
    fn is_settled_at(&self, total: Cost) -> bool {
        self.best.iter().all(|best| *best < total)
    }
}

/// The best path.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct BestPath {
    /// One node per layer.
    pub nodes: Vec<usize>,
    /// Node and edge costs added up.
    pub sum: Cost,
    /// The largest edge on the path.
    pub max: Cost,
}

/// Told after every layer how many are done; returns whether to go on.
pub type KeepGoing<'a> = &'a mut dyn FnMut(usize) -> bool;

/// Why there is no path.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NoPath {
    /// It was told to stop.
    Cancelled,
    /// No edge leads into this layer.
    DeadEnd {
        /// Counted from 0.
        layer: usize,
    },
}

/// The cheapest way to a node.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Entry {
    pub total: Cost,
    pub from: u32,
}

/// The cost of what cannot be.
pub const UNREACHED: Cost = Cost(i32::MAX);

/// The path with the smallest sum; among equals the one whose nodes come first.
///
/// # Errors
/// If it is told to stop, or if some layer cannot be reached.
pub fn solve(problem: &dyn Layered, keep_going: KeepGoing<'_>) -> Result<BestPath, NoPath> {
    let mut table: Vec<Vec<Entry>> = Vec::with_capacity(problem.n_layers());
    for layer in 0..problem.n_layers() {
        let entries = next_row(problem, layer, table.last().map(Vec::as_slice));
        if is_dead(&entries) {
            return Err(NoPath::DeadEnd { layer });
        }
        table.push(entries);
        if !keep_going(layer + 1) {
            return Err(NoPath::Cancelled);
        }
    }
    let from = |layer: usize, node: usize| Some(table.get(layer)?.get(node)?.from);
    let last = table.last().map_or(&[][..], Vec::as_slice);
    Ok(read_back(problem, last, &from))
}

/// Of the paths that leave out as little as they can, the one whose largest edge is as small as it
/// can be and, among those, the one with the smallest sum (minimax first: "keep the hardest spot
/// easy", Hori & Sagayama 2016). Two passes: the first finds the smallest possible largest edge, the
/// second leaves out all dearer edges.
///
/// # Errors
/// As [`solve`].
pub fn solve_easiest_peak(
    problem: &dyn Layered,
    keep_going: KeepGoing<'_>,
) -> Result<BestPath, NoPath> {
    let limit = smallest_peak(problem, keep_going)?;
    solve(&Capped::new(problem, limit), keep_going)
}

/// How many nodes of a path leave something out, then its largest edge: by this order the better
/// of two ways to a node is so whatever follows.
type Peak = (i32, Cost);

/// The smallest value that the largest edge of a path can have that leaves out as little as it can.
fn smallest_peak(problem: &dyn Layered, keep_going: KeepGoing<'_>) -> Result<Cost, NoPath> {
    const NONE: Peak = (i32::MAX, UNREACHED);
    let left_out = |cost: Cost| cost.0.max(0) / LEFT_OUT.0;
    let first = problem.node_costs(0).iter().enumerate();
    let mut peaks: Vec<Peak> = first
        .map(|(node, cost)| match problem.entry_costs().get(node) {
            Some(&UNREACHED) => NONE,
            Some(entry) => (left_out(*cost), *entry),
            None => (left_out(*cost), Cost(i32::MIN)),
        })
        .collect();
    for layer in 1..problem.n_layers() {
        let costs = problem.node_costs(layer);
        let mut next = vec![NONE; costs.len()];
        problem.edges(layer - 1, &mut |from, to, cost| {
            if let (Some(here), Some(best)) = (peaks.get(from), next.get_mut(to))
                && *here != NONE
            {
                *best = (*best).min((here.0, here.1.max(cost)));
            }
        });
        if next.iter().all(|peak| *peak == NONE) {
            return Err(NoPath::DeadEnd { layer });
        }
        for (peak, cost) in next.iter_mut().zip(costs) {
            if *peak != NONE {
                peak.0 += left_out(*cost);
            }
        }
        peaks = next;
        if !keep_going(layer) {
            return Err(NoPath::Cancelled);
        }
    }
    let best = peaks.into_iter().min();
    Ok(best.map_or(Cost::ZERO, |(_, peak)| peak))
}

/// A problem without the edges that cost more than a limit.
pub(super) struct Capped<'a> {
    problem: &'a dyn Layered,
    limit: Cost,
    entry_costs: Vec<Cost>,
}

impl<'a> Capped<'a> {
    /// A problem with a limit.
    pub fn new(problem: &'a dyn Layered, limit: Cost) -> Self {
        let capped = |cost: &Cost| if *cost > limit { UNREACHED } else { *cost };
        Self {
            problem,
            limit,
            entry_costs: problem.entry_costs().iter().map(capped).collect(),
        }
    }
}

impl Layered for Capped<'_> {
    fn n_layers(&self) -> usize {
        self.problem.n_layers()
    }

    fn node_costs(&self, layer: usize) -> &[Cost] {
        self.problem.node_costs(layer)
    }

    fn entry_costs(&self) -> &[Cost] {
        &self.entry_costs
    }

    fn edges(&self, layer: usize, take: &mut dyn FnMut(usize, usize, Cost)) {
        self.problem.edges(layer, &mut |from, to, cost| {
            if cost <= self.limit {
                take(from, to, cost);
            }
        });
    }
}

/// The cheapest ways to the nodes of a layer, from those to the layer before it.
pub(super) fn next_row(
    problem: &dyn Layered,
    layer: usize,
    before: Option<&[Entry]>,
) -> Vec<Entry> {
    let costs = problem.node_costs(layer);
    let Some(before) = before else {
        let first = |(node, cost): (usize, &Cost)| Entry {
            total: match problem.entry_costs().get(node) {
                Some(&UNREACHED) => UNREACHED,
                Some(entry) => *entry + *cost,
                None => *cost,
            },
            from: 0,
        };
        return costs.iter().enumerate().map(first).collect();
    };
    let mut entries = match problem.by_node() {
        Some(by_node) => cheapest_first(by_node, layer, before, costs.len()),
        None => all_edges(problem, layer, before, costs.len()),
    };
    for (entry, cost) in entries.iter_mut().zip(costs) {
        if entry.total != UNREACHED {
            entry.total += *cost;
        }
    }
    entries
}

/// The cheapest ways into a layer, without its nodes' costs, by looking at every edge.
fn all_edges(problem: &dyn Layered, layer: usize, before: &[Entry], n_nodes: usize) -> Vec<Entry> {
    let unreached = Entry {
        total: UNREACHED,
        from: 0,
    };
    let mut entries = vec![unreached; n_nodes];
    problem.edges(layer - 1, &mut |from, to, cost| {
        let (Some(origin), Some(entry)) = (before.get(from), entries.get_mut(to)) else {
            return;
        };
        if origin.total == UNREACHED {
            return;
        }
        let total = origin.total + cost;
        let from = u32::try_from(from).unwrap_or(u32::MAX);
        if total < entry.total || (total == entry.total && from < entry.from) {
            *entry = Entry { total, from };
        }
    });
    entries
}

/// The same from the cheapest node on, which settles most nodes at once: edges that start dearer
/// than the best way known are not made, and at the end whole nodes are passed over. The answer is
/// that of looking at every edge, ties included.
fn cheapest_first(
    problem: &dyn ByNode,
    layer: usize,
    before: &[Entry],
    n_nodes: usize,
) -> Vec<Entry> {
    let mut origins: Vec<(Cost, u32)> = (0u32..)
        .zip(before)
        .filter(|(_, entry)| entry.total != UNREACHED)
        .map(|(from, entry)| (entry.total, from))
        .collect();
    origins.sort_unstable();
    let mut arriving = Arriving::new(n_nodes);
    for (n_done, (total, from)) in origins.into_iter().enumerate() {
        // Looking for the dearest costs about as much as one node's edges.
        if n_done % 8 == 0 && arriving.is_settled_at(total) {
            break;
        }
        problem.offer_from(layer - 1, (from as usize, total), &mut arriving);
    }
    let pairs = arriving.best.into_iter().zip(arriving.from);
    pairs.map(|(total, from)| Entry { total, from }).collect()
}

/// Whether no node of a layer can be reached.
pub(super) fn is_dead(entries: &[Entry]) -> bool {
    entries.iter().all(|entry| entry.total == UNREACHED)
}

/// For every node of a layer the smallest sum of what comes after it: the edges to and the nodes
/// of all later layers. `after` is that of the next layer; none for the last one.
pub(super) fn row_after(problem: &dyn Layered, layer: usize, after: Option<&[Cost]>) -> Vec<Cost> {
    let n_nodes = problem.node_costs(layer).len();
    let Some(after) = after else {
        return vec![Cost::ZERO; n_nodes];
    };
    let costs = problem.node_costs(layer + 1);
    let mut rest = vec![UNREACHED; n_nodes];
    problem.edges(layer, &mut |from, to, cost| {
        let (Some(best), Some(node), Some(later)) =
            (rest.get_mut(from), costs.get(to), after.get(to))
        else {
            return;
        };
        if *later != UNREACHED {
            *best = (*best).min(cost + *node + *later);
        }
    });
    rest
}

/// Reads the best path back from the last row; `from` tells the node that the cheapest way to a node of
/// a layer comes from.
pub(super) fn read_back(
    problem: &dyn Layered,
    last: &[Entry],
    from: &dyn Fn(usize, usize) -> Option<u32>,
) -> BestPath {
    let numbered = last.iter().enumerate();
    let best = numbered.min_by_key(|(idx, entry)| (entry.total, *idx));
    let Some((mut node, last)) = best else {
        return BestPath::default();
    };
    let sum = last.total;
    let mut nodes = vec![node];
    for layer in (1..problem.n_layers()).rev() {
        node = from(layer, node).map_or(0, |node| node as usize);
        nodes.push(node);
    }
    nodes.reverse();
    let max = largest_edge(problem, &nodes);
    BestPath { nodes, sum, max }
}

/// The largest edge on a path; zero where there is no edge.
fn largest_edge(problem: &dyn Layered, nodes: &[usize]) -> Cost {
    let edges = nodes.windows(2).enumerate();
    let costs = edges.filter_map(|(layer, pair)| match *pair {
        [from, to] => problem.edge(layer, from, to),
        _ => None,
    });
    let entry = nodes
        .first()
        .and_then(|node| problem.entry_costs().get(*node));
    let entry = entry.copied().unwrap_or(Cost::ZERO);
    costs.max().unwrap_or(Cost::ZERO).max(entry).max(Cost::ZERO)
}

/// A problem with all its edges written out, for dumping and for tests.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct WrittenOut {
    /// Costs of the nodes of every layer.
    pub layers: Vec<Vec<Cost>>,
    /// Edges between layer `i` and `i + 1`: from, to, cost.
    pub edges: Vec<Vec<(usize, usize, Cost)>>,
}

impl WrittenOut {
    /// Writes out a problem.
    #[must_use]
    pub fn of(problem: &dyn Layered) -> Self {
        let n_layers = problem.n_layers();
        let layers = (0..n_layers)
            .map(|layer| problem.node_costs(layer).to_vec())
            .collect();
        let edges_of = |layer| {
            let mut edges = Vec::new();
            problem.edges(layer, &mut |from, to, cost| edges.push((from, to, cost)));
            edges
        };
        Self {
            layers,
            edges: (1..n_layers).map(|layer| edges_of(layer - 1)).collect(),
        }
    }
}

impl Layered for WrittenOut {
    fn n_layers(&self) -> usize {
        self.layers.len()
    }

    fn node_costs(&self, layer: usize) -> &[Cost] {
        self.layers.get(layer).map_or(&[], Vec::as_slice)
    }

    fn edges(&self, layer: usize, take: &mut dyn FnMut(usize, usize, Cost)) {
        for (from, to, cost) in self.edges.get(layer).into_iter().flatten() {
            take(*from, *to, *cost);
        }
    }
}

#[cfg(test)]
mod tests;
