//! `thumbwalk trellis`: the layered problem that was solved, with the path found, so that anyone
//! can solve it again with another solver and compare. Costs are whole thousandths of a point.
//! Edges go out as they are made: a long tune has more of them than fit into memory.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::FileWish;
use super::input;
use super::table;
use crate::arrange;
use crate::arrange::trellis::BestPath;
use crate::arrange::trellis::Layered;
use crate::instrument::Cost;
use crate::session::problem_from_document;
use serde::Serialize;
use serde::Serializer;
use serde::ser::SerializeSeq;

/// The answer as JSON.
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
struct LayersJson<'a>(&'a dyn Layered);

impl Serialize for LayersJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let layers = 0..self.0.n_layers();
        serializer.collect_seq(layers.map(|layer| CostsJson(self.0.node_costs(layer))))
    }
}

struct CostsJson<'a>(&'a [Cost]);

impl Serialize for CostsJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.iter().map(|cost| cost.0))
    }
}

/// `[[[from, to, cost], …], …]`
struct EdgesJson<'a>(&'a dyn Layered);

impl Serialize for EdgesJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let pairs = 1..self.0.n_layers();
        serializer.collect_seq(pairs.map(|next| PairJson(self.0, next - 1)))
    }
}

/// The edges from one layer to the next.
struct PairJson<'a>(&'a dyn Layered, usize);

impl Serialize for PairJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut seq = serializer.serialize_seq(None)?;
        let mut written = Ok(());
        self.0.edges(self.1, &mut |from, to, cost| {
            if written.is_ok() {
                written = seq.serialize_element(&(from, to, cost.0));
            }
        });
        written?;
        seq.end()
    }
}

/// Does the job.
pub fn run(wish: &FileWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let document = input::document(&wish.source, console)?;
    let Some((problem, path)) = arrange::trellis_of(&problem_from_document(&document)) else {
        return Err(Failure::Refused(
            "nothing can be played from the first bar to the last, so there is no path to tell; \
             look at the chart with `thumbwalk check`"
                .into(),
        ));
    };
    if wish.json {
        console.print_json(&json(&problem, &path))
    } else {
        console.print(&text(&problem, &path))
    }
}

fn json<'a>(problem: &'a dyn Layered, path: &'a BestPath) -> TrellisJson<'a> {
    TrellisJson {
        format: "thumbwalk-trellis-1",
        layers: LayersJson(problem),
        edges: EdgesJson(problem),
        path: &path.nodes,
        sum: path.sum.0,
        max: path.max.0,
    }
}

fn text(problem: &dyn Layered, path: &BestPath) -> String {
    let n_layers = problem.n_layers();
    let nodes: usize = (0..n_layers)
        .map(|layer| problem.node_costs(layer).len())
        .sum();
    let mut edges = 0_usize;
    for next in 1..n_layers {
        problem.edges(next - 1, &mut |_, _, _| edges += 1);
    }
    table::facts(&[
        ("layers", n_layers.to_string()),
        ("nodes", nodes.to_string()),
        ("edges", edges.to_string()),
        ("sum", path.sum.to_string()),
        ("largest edge", path.max.to_string()),
    ])
}
