//! How long the pass through a trellis takes, apart from everything around it: once with all edges
//! written out before, as another solver gets them, and once with edges made when asked for, as
//! the program does it. Prints one line of JSON, which `tests/outside/trellis_speed.py` sets beside
//! general-purpose solvers of the same trellis.
//!
//! `cargo bench --bench pass -- FILE`, with the path of a chart or a project

#![allow(
    missing_docs,
    clippy::print_stdout,
    clippy::indexing_slicing,
    reason = "a bench program that prints its result"
)]

use std::hint::black_box;
use std::path::Path;
use std::time::Instant;
use thumbwalk::arrange;
use thumbwalk::arrange::trellis;
use thumbwalk::arrange::trellis::Arriving;
use thumbwalk::arrange::trellis::ByNode;
use thumbwalk::arrange::trellis::Layered;
use thumbwalk::arrange::trellis::WrittenOut;
use thumbwalk::instrument::Cost;
use thumbwalk::session::open;
use thumbwalk::session::problem_from_document;

const ROUNDS: usize = 101;

/// A trellis with its edges in rows, node by node, as a solver for any such problem would store it.
struct Rows {
    written: WrittenOut,
    /// For each layer where the edges of each node begin, and the edges.
    rows: Vec<Row>,
}

/// Where the edges of each node begin, and the edges.
type Row = (Vec<usize>, Vec<(u32, Cost)>);

impl Rows {
    fn of(written: WrittenOut) -> Self {
        let rows = written
            .edges
            .iter()
            .zip(&written.layers)
            .map(|(edges, nodes)| {
                let begins = |node: usize| edges.partition_point(|(from, _, _)| *from < node);
                let ends = |(_, to, cost): &(usize, usize, Cost)| {
                    assert!(*cost >= Cost::ZERO, "no edge lies below zero");
                    (u32::try_from(*to).expect("few nodes"), *cost)
                };
                let starts = (0..=nodes.len()).map(begins).collect();
                (starts, edges.iter().map(ends).collect())
            });
        Self {
            rows: rows.collect(),
            written,
        }
    }
}

impl Layered for Rows {
    fn n_layers(&self) -> usize {
        self.written.n_layers()
    }

    fn node_costs(&self, layer: usize) -> &[Cost] {
        self.written.node_costs(layer)
    }

    fn edges(&self, layer: usize, take: &mut dyn FnMut(usize, usize, Cost)) {
        self.written.edges(layer, take);
    }

    fn edge(&self, layer: usize, from: usize, to: usize) -> Option<Cost> {
        let (begins, edges) = &self.rows[layer];
        let row = &edges[begins[from]..begins[from + 1]];
        let found = row.iter().find(|(end, _)| *end as usize == to);
        found.map(|(_, cost)| *cost)
    }

    fn by_node(&self) -> Option<&dyn ByNode> {
        Some(self)
    }
}

impl ByNode for Rows {
    fn offer_from(&self, layer: usize, (from, total): (usize, Cost), arriving: &mut Arriving) {
        let (begins, edges) = &self.rows[layer];
        let number = u32::try_from(from).expect("few nodes");
        for (to, cost) in &edges[begins[from]..begins[from + 1]] {
            arriving.offer(*to as usize, total + *cost, number);
        }
    }
}

/// The least of many rounds in microseconds: other work on the machine can only add to it.
fn least_us(problem: &dyn Layered) -> f64 {
    let round = |_| {
        let start = Instant::now();
        let path = trellis::solve(black_box(problem), &mut |_| true);
        let time = start.elapsed();
        black_box(path).expect("there is a path");
        time
    };
    let least = (0..ROUNDS).map(round).min().expect("some rounds");
    least.as_secs_f64() * 1e6
}

fn main() {
    // Cargo itself gives `--bench`; a name is one of ours to filter the other benches by.
    let words = std::env::args().skip(1);
    let files = words.filter(|word| Path::new(word).is_file());
    for file in files {
        let opened = open::open(Path::new(&file)).expect("a chart or a project");
        let problem = problem_from_document(&opened.document);
        let (layers, path) = arrange::trellis_of(&problem).expect("there is a path");
        let written = WrittenOut::of(&layers);
        let edges: usize = written.edges.iter().map(Vec::len).sum();
        println!(
            "{{\"layers\": {}, \"edges\": {edges}, \"sum\": {}, \"written_out_us\": {:.0}, \
             \"on_demand_us\": {:.0}}}",
            written.layers.len(),
            path.sum.0,
            least_us(&Rows::of(written)),
            least_us(&layers),
        );
    }
}
