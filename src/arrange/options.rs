//! What each voicing of a chord would make of the whole tune. Chords that are played with the same
//! voicings share the list of their shapes: a long tune has thousands of such chords.

use super::layers::Layers;
use super::phase::Span;
use super::tables::Solved;
use super::trellis::UNREACHED;
use crate::instrument::Cost;
use crate::instrument::Shape;
use std::collections::HashMap;
use std::sync::Arc;

/// What every shape of a chord would make of the whole tune: the smallest effort with it.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// In order.
    shapes: Arc<[Shape]>,
    /// For each of them; [`UNREACHED`] for one that nothing can be made of.
    costs: Box<[Cost]>,
}

impl Options {
    /// The smallest effort of the whole tune with a shape; `None` if it has no way to be played there.
    #[must_use]
    pub fn get(&self, shape: &Shape) -> Option<&Cost> {
        let at = self.shapes.binary_search(shape).ok()?;
        self.costs.get(at).filter(|cost| **cost != UNREACHED)
    }

    /// Every shape with its effort, in the order of shapes.
    pub fn iter(&self) -> impl Iterator<Item = (&Shape, &Cost)> {
        let pairs = self.shapes.iter().zip(&self.costs);
        pairs.filter(|(_, cost)| **cost != UNREACHED)
    }
}

impl PartialEq for Options {
    fn eq(&self, other: &Self) -> bool {
        self.iter().eq(other.iter())
    }
}

impl Eq for Options {}

/// Those of all written chords, in their order.
pub(super) fn of(solved: &Solved) -> Vec<Options> {
    let layers = solved.layers();
    let mut shapes = Shapes::default();
    let spans = layers.plan().spans.iter().filter(|span| span.is_written());
    spans
        .map(|span| of_span(solved, span, shapes.of(layers, span)))
        .collect()
}

fn of_span(solved: &Solved, span: &Span, shapes: Arc<[Shape]>) -> Options {
    let layers = solved.layers();
    let mut costs = vec![UNREACHED; shapes.len()].into_boxed_slice();
    for (node, cost) in solved.through(span.phases.start).iter().enumerate() {
        let node = layers.node(span.phases.start, node);
        let voicing = node.and_then(|node| layers.voicing(span.phases.start, &node));
        if let (Some(voicing), Some(cost)) = (voicing, cost)
            && let Ok(at) = shapes.binary_search(&voicing.grip.shape)
            && let Some(best) = costs.get_mut(at)
        {
            *best = (*best).min(*cost);
        }
    }
    Options { shapes, costs }
}

/// The shapes of each list of voicings, known by where the list lies.
#[derive(Default)]
struct Shapes(HashMap<(usize, usize), Arc<[Shape]>>);

impl Shapes {
    fn of(&mut self, layers: &Layers, span: &Span) -> Arc<[Shape]> {
        let voicings = layers.voicings(span.phases.start);
        let key = (voicings.as_ptr() as usize, voicings.len());
        let sorted = || {
            let mut shapes: Vec<Shape> = voicings.iter().map(|v| v.grip.shape).collect();
            shapes.sort_unstable();
            shapes.dedup();
            shapes.into()
        };
        Arc::clone(self.0.entry(key).or_insert_with(sorted))
    }
}
