//! `thumbwalk trellis`: the layered problem that was solved, with the path found, so that anyone
//! can solve it again with another solver and compare. Costs are whole thousandths of a point.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::FileWish;
use super::input;
use super::table;
use crate::arrange;
use crate::arrange::trellis::BestPath;
use crate::arrange::trellis::WrittenOut;
use crate::instrument::Cost;
use crate::session::problem_from_document;
use serde::Serialize;
use serde::Serializer;

/// The answer as JSON. The problem is written straight from where it lies: it can be large.
#[derive(Serialize)]
struct TrellisJson<'a> {
    format: &'static str,
    layers: LayersJson<'a>,
    edges: EdgesJson<'a>,
    path: &'a [usize],
    sum: i32,
    max: i32,
}

/// `[[cost, …], …]`
struct LayersJson<'a>(&'a [Vec<Cost>]);

impl Serialize for LayersJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.iter().map(|layer| CostsJson(layer)))
    }
}

struct CostsJson<'a>(&'a [Cost]);

impl Serialize for CostsJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.iter().map(|cost| cost.0))
    }
}

/// An edge: from, to, cost.
type Edge = (usize, usize, Cost);

/// `[[[from, to, cost], …], …]`
struct EdgesJson<'a>(&'a [Vec<Edge>]);

impl Serialize for EdgesJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.iter().map(|pair| PairJson(pair)))
    }
}

struct PairJson<'a>(&'a [Edge]);

impl Serialize for PairJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.iter().map(|(from, to, cost)| (from, to, cost.0)))
    }
}

/// Does the job.
pub fn run(wish: &FileWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let document = input::document(&wish.source, console)?;
    let (problem, path) = arrange::trellis_of(&problem_from_document(&document));
    if wish.json {
        console.print_json(&json(&problem, &path))
    } else {
        console.print(&text(&problem, &path))
    }
}

fn json<'a>(problem: &'a WrittenOut, path: &'a BestPath) -> TrellisJson<'a> {
    TrellisJson {
        format: "thumbwalk-trellis-1",
        layers: LayersJson(&problem.layers),
        edges: EdgesJson(&problem.edges),
        path: &path.nodes,
        sum: path.sum.0,
        max: path.max.0,
    }
}

fn text(problem: &WrittenOut, path: &BestPath) -> String {
    let nodes: usize = problem.layers.iter().map(Vec::len).sum();
    let edges: usize = problem.edges.iter().map(Vec::len).sum();
    table::facts(&[
        ("layers", problem.layers.len().to_string()),
        ("nodes", nodes.to_string()),
        ("edges", edges.to_string()),
        ("sum", path.sum.to_string()),
        ("largest edge", path.max.to_string()),
    ])
}
