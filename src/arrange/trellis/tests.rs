//! Tests of the exact solution against trying every path of small random problems, ties and dead
//! ends included.

use super::*;
use proptest::prelude::*;

fn problem(layers: &[&[i32]], edges: &[&[(usize, usize, i32)]]) -> WrittenOut {
    WrittenOut {
        layers: layers
            .iter()
            .map(|l| l.iter().map(|c| Cost(*c)).collect())
            .collect(),
        edges: edges
            .iter()
            .map(|e| e.iter().map(|(f, t, c)| (*f, *t, Cost(*c))).collect())
            .collect(),
    }
}

/// Tries every path.
fn exhaustive(p: &WrittenOut) -> Option<Cost> {
    fn from(p: &WrittenOut, layer: usize, node: usize) -> Option<Cost> {
        let own = *p.layers.get(layer)?.get(node)?;
        if layer + 1 == p.layers.len() {
            return Some(own);
        }
        let ways = p.edges[layer].iter().filter(|(f, _, _)| *f == node);
        ways.filter_map(|(_, t, cost)| Some(own + *cost + from(p, layer + 1, *t)?))
            .min()
    }
    (0..p.layers.first()?.len())
        .filter_map(|node| from(p, 0, node))
        .min()
}

#[test]
fn the_cheapest_way_may_begin_with_a_dear_node() {
    let p = problem(&[&[0, 5], &[0, 0]], &[&[(0, 0, 10), (0, 1, 9), (1, 1, 1)]]);
    let best = solve(&p, &mut |_| true).expect("there is a way");
    assert_eq!(
        best,
        BestPath {
            nodes: vec![1, 1],
            sum: Cost(6),
            max: Cost(1)
        }
    );
}

#[test]
fn ties_go_to_the_node_that_comes_first() {
    let p = problem(
        &[&[1, 1], &[0, 0]],
        &[&[(1, 1, 0), (1, 0, 0), (0, 1, 0), (0, 0, 0)]],
    );
    assert_eq!(solve(&p, &mut |_| true).map(|b| b.nodes), Ok(vec![0, 0]));
}

#[test]
fn dead_ends_and_cancelling_are_told_apart() {
    let p = problem(&[&[0], &[0], &[0]], &[&[(0, 0, 1)], &[]]);
    assert_eq!(solve(&p, &mut |_| true), Err(NoPath::DeadEnd { layer: 2 }));
    assert_eq!(solve(&p, &mut |_| false), Err(NoPath::Cancelled));
    assert_eq!(
        solve(&problem(&[], &[]), &mut |_| true),
        Ok(BestPath::default())
    );
}

/// A written-out problem whose edges can be asked for node by node.
struct NodeByNode<'a>(&'a WrittenOut);

impl Layered for NodeByNode<'_> {
    fn n_layers(&self) -> usize {
        self.0.n_layers()
    }

    fn node_costs(&self, layer: usize) -> &[Cost] {
        self.0.node_costs(layer)
    }

    fn edges(&self, layer: usize, take: &mut dyn FnMut(usize, usize, Cost)) {
        self.0.edges(layer, take);
    }

    fn by_node(&self) -> Option<&dyn ByNode> {
        Some(self)
    }
}

impl ByNode for NodeByNode<'_> {
    fn offer_from(&self, layer: usize, (from, total): (usize, Cost), arriving: &mut Arriving) {
        self.0.edges(layer, &mut |f, to, cost| {
            if f == from && arriving.wants(to, total) {
                arriving.offer(to, total + cost, u32::try_from(from).unwrap_or(u32::MAX));
            }
        });
    }
}

fn random_problem() -> impl Strategy<Value = WrittenOut> {
    let sizes = prop::collection::vec(1usize..6, 1..6);
    let costs = prop::collection::vec(-20i32..100, 400);
    let keep = prop::collection::vec(prop::bool::weighted(0.7), 400);
    (sizes, costs, keep).prop_map(|(sizes, costs, keep)| {
        let mut costs = costs.into_iter().cycle();
        let mut keep = keep.into_iter().cycle();
        let mut next = || Cost(costs.next().unwrap_or(0));
        let layers: Vec<Vec<Cost>> = sizes
            .iter()
            .map(|n| (0..*n).map(|_| next()).collect())
            .collect();
        let edges = sizes
            .windows(2)
            .map(|pair| {
                let all = (0..pair[0]).flat_map(|f| (0..pair[1]).map(move |t| (f, t)));
                all.filter(|_| keep.next().unwrap_or(true))
                    .map(|(f, t)| (f, t, next()))
                    .collect()
            })
            .collect();
        WrittenOut { layers, edges }
    })
}

/// The same with nodes that leave something out.
fn random_problem_with_gaps() -> impl Strategy<Value = WrittenOut> {
    let gaps = prop::collection::vec(prop::bool::weighted(0.3), 30);
    (random_problem(), gaps).prop_map(|(mut problem, gaps)| {
        let nodes = problem.layers.iter_mut().flatten();
        for (node, gap) in nodes.zip(gaps) {
            if gap {
                node.0 = node.0.abs() + LEFT_OUT.0;
            }
        }
        problem
    })
}

/// The fewest nodes that leave something out, the smallest largest edge with these, and the
/// smallest sum with both, by trying every path.
fn exhaustive_peak(p: &WrittenOut) -> Option<(i32, Cost, Cost)> {
    fn from(p: &WrittenOut, layer: usize, node: usize) -> Vec<(i32, Cost, Cost)> {
        let own = p.layers[layer][node];
        let gap = i32::from(own >= LEFT_OUT);
        if layer + 1 == p.layers.len() {
            return vec![(gap, Cost(i32::MIN), own)];
        }
        let ways = p.edges[layer].iter().filter(|(f, _, _)| *f == node);
        ways.flat_map(|(_, t, cost)| {
            let rest = from(p, layer + 1, *t);
            rest.into_iter()
                .map(move |(gaps, peak, sum)| (gaps + gap, peak.max(*cost), sum + own + *cost))
        })
        .collect()
    }
    (0..p.layers.first()?.len())
        .flat_map(|node| from(p, 0, node))
        .min()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_sum_is_that_of_trying_every_path(p in random_problem()) {
        let best = solve(&p, &mut |_| true);
        prop_assert_eq!(best.as_ref().ok().map(|b| b.sum), exhaustive(&p));
        if let Ok(best) = best {
            let nodes: Cost = best.nodes.iter().enumerate().map(|(l, n)| p.layers[l][*n]).sum();
            let edges: Cost = best.nodes.windows(2).enumerate()
                .filter_map(|(l, pair)| p.edge(l, pair[0], pair[1])).sum();
            prop_assert_eq!(nodes + edges, best.sum, "the sum is that of the path told");
        }
    }

    #[test]
    fn passing_over_what_cannot_win_changes_no_row(mut p in random_problem()) {
        // Few different costs, so that there are ties; none below zero.
        for (_, _, cost) in p.edges.iter_mut().flatten() {
            cost.0 = cost.0.abs() / 10;
        }
        let (mut all, mut fewer) = (None::<Vec<Entry>>, None::<Vec<Entry>>);
        for layer in 0..p.layers.len() {
            all = Some(next_row(&p, layer, all.as_deref()));
            fewer = Some(next_row(&NodeByNode(&p), layer, fewer.as_deref()));
            prop_assert_eq!(&all, &fewer);
        }
    }

    #[test]
    fn the_easiest_peak_is_that_of_trying_every_path(p in random_problem_with_gaps()) {
        let best = solve_easiest_peak(&p, &mut |_| true).ok();
        let expected = exhaustive_peak(&p);
        prop_assert_eq!(best.as_ref().map(|b| b.sum), expected.map(|(_, _, sum)| sum));
        if let (Some(best), Some((_, peak, _))) = (best, expected) {
            prop_assert_eq!(best.max, peak.max(Cost::ZERO));
        }
    }

    #[test]
    fn what_comes_after_completes_what_came_before(p in random_problem()) {
        let Ok(best) = solve(&p, &mut |_| true) else { return Ok(()) };
        let n = p.layers.len();
        let mut before: Vec<Vec<Entry>> = Vec::new();
        for layer in 0..n {
            let row = next_row(&p, layer, before.last().map(Vec::as_slice));
            before.push(row);
        }
        let mut after: Option<Vec<Cost>> = None;
        for layer in (0..n).rev() {
            let row = row_after(&p, layer, after.as_deref());
            let through = before[layer].iter().zip(&row);
            let reached = through.filter(|(e, rest)| e.total != UNREACHED && **rest != UNREACHED);
            let least = reached.map(|(e, rest)| e.total + *rest).min();
            prop_assert_eq!(least, Some(best.sum), "layer {}", layer);
            after = Some(row);
        }
    }
}
