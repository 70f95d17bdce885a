//! Other ways to play one bar: its best different ones in order, each with the smallest sum of a
//! whole tune that has it.
//!
//! Paths that begin alike in the bar, by what is heard and seen, are kept together as the row of
//! nodes they have reached. Both tables say for every node exactly what comes before the bar and
//! what comes after the node, so the smallest sum of every such beginning is known. We go on with
//! the best beginning until it is whole; so ways come out in the order of their sums, and what
//! lies beyond the last one wanted is never looked at.

use super::layers::Layers;
use super::result::Place;
use super::tables::Solved;
use super::trellis::Layered;
use super::trellis::UNREACHED;
use crate::instrument::Cost;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use std::collections::BTreeMap;
use std::collections::HashMap;
use std::ops::Range;
use std::rc::Rc;

/// A bass note in its place: move, string, and fret from the capo.
pub type ThumbPlace = (ThumbMove, StringIdx, u8);

/// One way to play a bar. Two ways differ if a chord written in the bar has another shape, or a
/// bass note that moves the hand there another string or fret; fingers alone make no other way,
/// nor does the grip of a chord that began in an earlier bar.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct BarWay {
    /// For every chord written in the bar its number there, from 0, and its shape; `None` for N.C.
    /// or where nothing is playable.
    pub shapes: Vec<(usize, Option<Shape>)>,
    /// For every phase that belongs to the bar, that is with every chord written in it and every
    /// bass note other than the grip's own again, its beginning and what the thumb has from there
    /// on. `None` if it has nothing, or a note that has no place.
    pub thumb: Vec<(Ticks, Option<ThumbPlace>)>,
    /// The smallest sum of the whole tune with this way.
    pub sum: Cost,
}

/// What is told apart at one phase.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
struct Choice {
    /// The shape, if a written chord begins.
    shape: Option<Shape>,
    thumb: Option<(StringIdx, u8)>,
}

/// The order in which beginnings are gone on with: by the smallest sum of a tune that begins so,
/// the best path's own first, then by what they choose from the front. None of them begins
/// another, so this is also the order of the ways that come of them.
type Rank = (Cost, bool, Vec<Choice>);

/// All paths that begin the bar alike, up to one layer.
struct Beginning {
    /// The nodes they have reached there.
    cells: Vec<Cell>,
    /// The same one layer earlier; none in the first layer of the bar.
    earlier: Option<Rc<Beginning>>,
}

/// The cheapest of these paths to one node.
#[derive(Clone, Copy)]
struct Cell {
    node: usize,
    /// Its sum from the front of the tune.
    total: Cost,
    /// Which of the earlier cells it comes from.
    from: usize,
}

/// The best different ways to play a bar, in order, `most` at most. Needs both tables. `None` if
/// it is told to stop; it is told how many ways are found.
pub(super) fn ways_of(
    solved: &Solved,
    bar: usize,
    most: usize,
    keep_going: &mut dyn FnMut(usize) -> bool,
) -> Option<Vec<BarWay>> {
    let mut search = Search::new(solved, bar, most);
    let mut ways = Vec::new();
    while let Some(((sum, _, choices), beginning)) = search.frontier.pop_first() {
        if choices.len() == search.bar_layers.len() {
            ways.push(search.way(&choices, &beginning, sum));
            search.wanted -= 1;
            if search.wanted == 0 {
                break;
            }
        } else {
            search.go_on(choices, beginning);
        }
        if !keep_going(ways.len()) {
            return None;
        }
    }
    Some(ways)
}

/// Where a phase belongs: where its chord is written if that begins with it, also if the hand takes
/// it earlier, else where it begins itself.
fn place_of(layers: &Layers, layer: usize) -> Option<Place> {
    let phase = layers.plan().phases.get(layer)?;
    let span = layers.plan().spans.get(phase.span)?;
    let begins = span.phases.start == layer && span.is_written();
    Some(if begins { span.place } else { phase.place })
}

/// The phases that belong to a bar.
fn layers_of_bar(layers: &Layers, bar: usize) -> Range<usize> {
    let numbers: Vec<usize> = (0..layers.n_layers()).collect();
    let before = |until: usize| {
        numbers.partition_point(|layer| place_of(layers, *layer).is_some_and(|p| p.bar < until))
    };
    before(bar)..before(bar + 1)
}

struct Search<'a> {
    solved: &'a Solved,
    layers: &'a Layers,
    bar_layers: Range<usize>,
    /// The best path's nodes in the bar, and what they choose.
    own: (Vec<usize>, Vec<Choice>),
    /// Ways still wanted.
    wanted: usize,
    /// A sum that none of the wanted ways exceeds.
    limit: Cost,
    /// At most as many as are wanted: every one of them becomes a way with its sum.
    frontier: BTreeMap<Rank, Rc<Beginning>>,
}

impl<'a> Search<'a> {
    fn new(solved: &'a Solved, bar: usize, most: usize) -> Self {
        let layers = solved.layers();
        let bar_layers = layers_of_bar(layers, bar);
        let mut search = Self {
            solved,
            layers,
            bar_layers: bar_layers.clone(),
            own: (Vec::new(), Vec::new()),
            wanted: most,
            limit: UNREACHED,
            frontier: BTreeMap::new(),
        };
        if bar_layers.is_empty() || most == 0 {
            return search;
        }
        let best = solved.best_path().nodes;
        let own: Vec<usize> = best.get(bar_layers.clone()).unwrap_or_default().to_vec();
        let chosen = bar_layers.clone().zip(&own);
        let choices = chosen.map(|(layer, node)| search.choice(layer, *node));
        search.own = (own.clone(), choices.collect());
        let first = bar_layers.start;
        let cell = |node| {
            let total = solved.before(first, node)?;
            let from = 0;
            Some(Cell { node, total, from })
        };
        let cells = (0..layers.node_costs(first).len()).filter_map(cell);
        search.add(&[], cells.collect(), None);
        search
    }

    fn begins_chord(&self, layer: usize) -> Option<usize> {
        let phase = self.layers.plan().phases.get(layer)?;
        let span = self.layers.plan().spans.get(phase.span)?;
        (span.phases.start == layer && span.is_written()).then_some(span.chord_idx)
    }

    fn shape(&self, layer: usize, node: usize) -> Option<Shape> {
        let voicing = self
            .layers
            .voicing(layer, &self.layers.node(layer, node)?)?;
        Some(voicing.grip.shape)
    }

    fn choice(&self, layer: usize, node: usize) -> Choice {
        let chord = self.begins_chord(layer);
        let thumb = self.layers.node(layer, node).and_then(|node| node.thumb);
        Choice {
            shape: chord.and_then(|_| self.shape(layer, node)),
            thumb: thumb.map(|thumb| (thumb.string, thumb.fret)),
        }
    }

    /// Parts the nodes reached by what they choose and keeps the best beginnings.
    fn add(&mut self, before: &[Choice], cells: Vec<Cell>, earlier: Option<Rc<Beginning>>) {
        let layer = self.bar_layers.start + before.len();
        let mut alike: BTreeMap<Choice, (Cost, Vec<Cell>)> = BTreeMap::new();
        for cell in cells {
            let Some(rest) = self.solved.after(layer, cell.node) else {
                continue;
            };
            let group = alike.entry(self.choice(layer, cell.node));
            let (least, group) = group.or_insert((UNREACHED, Vec::new()));
            *least = (*least).min(cell.total + rest);
            group.push(cell);
        }
        for (choice, (least, cells)) in alike {
            let mut choices = before.to_vec();
            choices.push(choice);
            let is_other = !self.own.1.starts_with(&choices);
            let earlier = earlier.clone();
            let beginning = Rc::new(Beginning { cells, earlier });
            self.frontier.insert((least, is_other, choices), beginning);
            if self.frontier.len() > self.wanted {
                self.frontier.pop_last();
            }
        }
        if self.frontier.len() == self.wanted
            && let Some(((last, ..), _)) = self.frontier.last_key_value()
        {
            self.limit = self.limit.min(*last);
        }
    }

    /// Takes a beginning one layer further. Edges cost nothing or more, so that most of them need
    /// not be priced to know that they lead beyond the limit.
    fn go_on(&mut self, choices: Vec<Choice>, beginning: Rc<Beginning>) {
        let next = self.bar_layers.start + choices.len();
        let (solved, layers, limit) = (self.solved, self.layers, self.limit);
        let costs = layers.node_costs(next);
        let mut reached: HashMap<usize, Cell> = HashMap::new();
        for (from, cell) in beginning.cells.iter().enumerate() {
            let here = solved.after(next - 1, cell.node);
            if here.is_none_or(|rest| cell.total + rest > limit) {
                continue;
            }
            layers.followers(next - 1, cell.node, |node| {
                let (Some(cost), Some(rest)) = (costs.get(node), solved.after(next, node)) else {
                    return;
                };
                let total = cell.total + *cost;
                if total + rest > limit {
                    return;
                }
                let Some(edge) = layers.edge(next - 1, cell.node, node) else {
                    return;
                };
                let total = total + edge;
                if total + rest > limit {
                    return;
                }
                let found = Cell { node, total, from };
                let best = reached.entry(node).or_insert(found);
                if total < best.total {
                    *best = found;
                }
            });
        }
        let mut cells: Vec<Cell> = reached.into_values().collect();
        cells.sort_unstable_by_key(|cell| cell.node);
        self.add(&choices, cells, Some(beginning));
    }

    /// A whole way, with the moves of the cheapest path that has it.
    fn way(&self, choices: &[Choice], beginning: &Beginning, sum: Cost) -> BarWay {
        let nodes = if choices == self.own.1 {
            self.own.0.clone()
        } else {
            self.read_back(beginning)
        };
        let mut way = BarWay {
            shapes: Vec::new(),
            thumb: Vec::new(),
            sum,
        };
        for (layer, node) in self.bar_layers.clone().zip(nodes) {
            if let Some(chord_idx) = self.begins_chord(layer) {
                way.shapes.push((chord_idx, self.shape(layer, node)));
            }
            let place = place_of(self.layers, layer);
            if let (Some(place), Some(node)) = (place, self.layers.node(layer, node)) {
                let thumb = node.thumb.map(|t| (t.thumb_move, t.string, t.fret));
                way.thumb.push((place.at, thumb));
            }
        }
        way
    }

    fn read_back(&self, beginning: &Beginning) -> Vec<usize> {
        let last = self.bar_layers.end - 1;
        let whole = |cell: &&Cell| {
            let rest = self.solved.after(last, cell.node).unwrap_or(UNREACHED);
            (cell.total.0.saturating_add(rest.0), cell.node)
        };
        let mut nodes = Vec::with_capacity(self.bar_layers.len());
        let mut here = Some(beginning);
        let mut cell = beginning.cells.iter().min_by_key(whole);
        while let (Some(at), Some(best)) = (here, cell) {
            nodes.push(best.node);
            here = at.earlier.as_deref();
            cell = here.and_then(|earlier| earlier.cells.get(best.from));
        }
        nodes.reverse();
        nodes
    }
}

#[cfg(test)]
mod tests;
