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

/// The answer as JSON.
#[derive(Serialize)]
struct TrellisJson<'a> {
    format: &'static str,
    layers: Vec<Vec<i32>>,
    edges: Vec<Vec<(usize, usize, i32)>>,
    path: &'a [usize],
    sum: i32,
    max: i32,
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

fn json<'a>(problem: &WrittenOut, path: &'a BestPath) -> TrellisJson<'a> {
    let costs = |layer: &Vec<Cost>| layer.iter().map(|cost| cost.0).collect();
    let edges = |edges: &Vec<(usize, usize, Cost)>| {
        let plain = edges.iter().map(|(from, to, cost)| (*from, *to, cost.0));
        plain.collect()
    };
    TrellisJson {
        format: "thumbwalk-trellis-1",
        layers: problem.layers.iter().map(costs).collect(),
        edges: problem.edges.iter().map(edges).collect(),
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
