//! Tests of the ways of a bar against trying every path, and against a plain dynamic program over
//! the whole tune without tables.

use super::*;
use crate::arrange::Arranger;
use crate::arrange::BarPlan;
use crate::arrange::ChordPlan;
use crate::arrange::Problem;
use crate::arrange::ThumbPlan;
use crate::arrange::ThumbWish;
use crate::document::Document;
use crate::instrument::Tuning;
use crate::session::problem_from_document;
use crate::theory::Articulation;
use crate::theory::Harmony;
use crate::theory::Pluck;
use proptest::prelude::*;
use std::sync::Arc;

/// What a player hears and sees of a node, told anew from the definition.
type Told = (Option<(usize, Option<Shape>)>, Option<(StringIdx, u8)>);

fn told(layers: &Layers, layer: usize, node: usize) -> Told {
    let plan = layers.plan();
    let phase = &plan.phases[layer];
    let node = layers.node(layer, node).expect("a node");
    let own = &plan.spans[phase.span];
    let head = Some(own).filter(|span| span.is_written() && span.phases.start == layer);
    let shape = layers.voicing(layer, &node).map(|v| v.grip.shape);
    let chord = head.map(|span| (span.chord_idx, shape));
    (chord, node.thumb.map(|note| (note.string, note.fret)))
}

fn phases_of(layers: &Layers, bar: usize) -> Vec<usize> {
    let phases = layers.plan().phases.iter().enumerate();
    let here = phases.filter(|(layer, phase)| {
        let span = &layers.plan().spans[phase.span];
        let ahead = span.is_written() && span.phases.start == *layer;
        let written = if ahead { span.place } else { phase.place };
        written.bar == bar
    });
    here.map(|(layer, _)| layer).collect()
}

/// What a way tells, phase by phase, in the same words.
fn words(layers: &Layers, bar: usize, way: &BarWay) -> Vec<Told> {
    let mut shapes = way.shapes.iter();
    let phases = phases_of(layers, bar);
    assert_eq!(phases.len(), way.thumb.len());
    let tell = |(layer, (at, thumb)): (&usize, &(Ticks, Option<ThumbPlace>))| {
        assert_eq!(place_of(layers, *layer).map(|place| place.at), Some(*at));
        let begins = told(layers, *layer, 0).0.is_some();
        let chord = begins.then(|| *shapes.next().expect("a shape"));
        (chord, thumb.map(|(_, string, fret)| (string, fret)))
    };
    let words = phases.iter().zip(&way.thumb).map(tell).collect();
    assert_eq!(shapes.next(), None);
    words
}

/// Tries every path of the tune and keeps the smallest sum of each way of the bar.
fn by_trying(layers: &Layers, bar: usize) -> BTreeMap<Vec<Told>, Cost> {
    fn from(
        layers: &Layers,
        bar: usize,
        (layer, node, so_far): (usize, usize, Cost),
        edges: &[HashMap<usize, Vec<(usize, Cost)>>],
        tale: &mut Vec<Told>,
        best: &mut BTreeMap<Vec<Told>, Cost>,
    ) {
        let so_far = so_far + layers.node_costs(layer)[node];
        let here = layers.plan().phases[layer].place.bar == bar;
        if here {
            tale.push(told(layers, layer, node));
        }
        if layer + 1 == layers.n_layers() {
            let least = best.entry(tale.clone()).or_insert(so_far);
            *least = (*least).min(so_far);
        }
        let on = edges.get(layer).and_then(|edges| edges.get(&node));
        for (to, cost) in on.into_iter().flatten() {
            let next = (layer + 1, *to, so_far + *cost);
            from(layers, bar, next, edges, tale, best);
        }
        if here {
            tale.pop();
        }
    }
    let mut edges = Vec::new();
    for layer in 1..layers.n_layers() {
        let mut here: HashMap<usize, Vec<(usize, Cost)>> = HashMap::new();
        layers.edges(layer - 1, &mut |from, to, cost| {
            here.entry(from).or_default().push((to, cost));
        });
        edges.push(here);
    }
    let mut best = BTreeMap::new();
    for node in 0..layers.node_costs(0).len() {
        let begin = (0, node, Cost::ZERO);
        from(layers, bar, begin, &edges, &mut Vec::new(), &mut best);
    }
    best
}

/// By plain dynamic programming over the whole tune, without tables, the smallest sum of each
/// way and that of all paths that have none of them.
fn by_marking(layers: &Layers, bar: usize, ways: &[BarWay]) -> Vec<Option<Cost>> {
    let tales: Vec<_> = ways.iter().map(|way| words(layers, bar, way)).collect();
    let phases = phases_of(layers, bar);
    // Bit i of a mark: what was chosen so far is what way i chooses.
    let mark = |layer: usize, node: usize| {
        let at = phases.iter().position(|phase| *phase == layer);
        let agrees = |tale: &Vec<Told>| at.is_none_or(|at| tale[at] == told(layers, layer, node));
        let bits = tales.iter().enumerate().filter(|(_, tale)| agrees(tale));
        bits.fold(0_u32, |mark, (i, _)| mark | 1 << i)
    };
    let merge = |cell: &mut BTreeMap<u32, Cost>, mark: u32, cost: Cost| {
        let least = cell.entry(mark).or_insert(cost);
        *least = (*least).min(cost);
    };
    let mut row: Vec<BTreeMap<u32, Cost>> = Vec::new();
    for layer in 0..layers.n_layers() {
        let costs = layers.node_costs(layer);
        let marks: Vec<u32> = (0..costs.len()).map(|node| mark(layer, node)).collect();
        let mut next = vec![BTreeMap::new(); costs.len()];
        if layer == 0 {
            for (node, cost) in costs.iter().enumerate() {
                merge(&mut next[node], marks[node], *cost);
            }
        } else {
            layers.edges(layer - 1, &mut |from, to, cost| {
                for (mark, so_far) in &row[from] {
                    merge(&mut next[to], mark & marks[to], *so_far + cost + costs[to]);
                }
            });
        }
        row = next;
    }
    let mut sums = vec![None; ways.len() + 1];
    for (mark, cost) in row.iter().flatten() {
        let of = ways.len().min(mark.trailing_zeros() as usize);
        let least: &mut Option<Cost> = &mut sums[of];
        *least = Some(least.map_or(*cost, |other| other.min(*cost)));
    }
    sums
}

const SYMBOLS: [&str; 9] = [
    "Dm7", "G7", "Cmaj7", "A7b9", "F6", "Bb9", "Ebm7b5", "C/E", "N.C.",
];

/// Bars of four beats; a chord is its number in the list and the beat it comes on.
fn bar_plan(chords: &[(usize, u32)], thumb: &[ThumbWish], plucks: &[u32]) -> BarPlan {
    let chord = |(symbol, beat): &(usize, u32)| {
        let harmony = Harmony::parse(SYMBOLS[symbol % SYMBOLS.len()]).expect("a chord");
        ChordPlan {
            at: Ticks::of_beat(*beat),
            chord: harmony.chord().cloned().map(Arc::new),
            shape: None,
        }
    };
    let slot = |(beat, wish): (u32, &ThumbWish)| ThumbPlan {
        at: Ticks::of_beat(beat),
        length: Ticks::of_beat(1),
        wish: *wish,
        decided: false,
    };
    let pluck = |half_beat: &u32| {
        let articulation = match half_beat % 3 {
            0 => Articulation::Short,
            _ => Articulation::Ring,
        };
        Pluck {
            at: Ticks(Ticks::of_beat(1).0 / 2 * half_beat),
            articulation,
            ahead: half_beat % 8 == 7,
        }
    };
    BarPlan {
        length: Ticks::of_beat(4),
        chords: chords.iter().map(chord).collect(),
        thumb: (0..).zip(thumb).map(slot).collect(),
        plucks: plucks.iter().map(pluck).collect(),
        slides: Vec::new(),
        tune: Vec::new(),
    }
}

fn problem(bars: Vec<BarPlan>, frets: (u8, u8)) -> Problem {
    let mut problem = problem_from_document(&Document::default());
    problem.wish.frets = frets;
    problem.bars = bars;
    problem
}

#[test]
fn the_ways_are_those_of_trying_every_path() {
    use ThumbWish::Auto;
    let fifth = ThumbWish::Move(ThumbMove::Fifth);
    let tunes: [(Vec<BarPlan>, usize); 5] = [
        (vec![bar_plan(&[(0, 0), (1, 2)], &[Auto; 4], &[1, 5])], 0),
        (
            vec![
                bar_plan(&[(1, 0)], &[Auto, Auto], &[1]),
                bar_plan(&[(2, 0)], &[Auto], &[]),
            ],
            0,
        ),
        // The chord of the first bar runs into the second.
        (
            vec![
                bar_plan(&[(5, 0)], &[Auto], &[1]),
                bar_plan(&[(1, 2)], &[fifth, Auto, Auto], &[1]),
            ],
            1,
        ),
        (
            vec![
                bar_plan(&[(8, 0), (4, 2)], &[Auto; 4], &[]),
                bar_plan(&[(8, 0)], &[], &[]),
            ],
            0,
        ),
        (vec![bar_plan(&[(6, 1)], &[Auto, Auto, fifth], &[4])], 0),
    ];
    for (bars, bar) in tunes {
        for frets in [(1, 3), (3, 5), (6, 8)] {
            let mut problem = problem(bars.clone(), frets);
            problem.instrument.frets = 8;
            problem.wish.open_strings = false;
            let mut arranger = Arranger::default();
            let best = arranger.solve(&problem, &mut |_| true).expect("solved");
            let solved = arranger.looked_back(&mut |_| true).expect("tables");
            let layers = solved.layers();
            let all = by_trying(layers, bar);
            let path = solved.best_path().nodes;
            let phases = phases_of(layers, bar);
            let own = phases
                .iter()
                .map(|layer| told(layers, *layer, path[*layer]));
            let own: Vec<Told> = own.collect();
            let mut all: Vec<_> = all.into_iter().collect();
            all.sort_by(|(a, cost), (b, other)| (cost, *a != own, a).cmp(&(other, *b != own, b)));
            assert!(all.len() > 1, "{frets:?}: only one way");
            for most in [1, 2, 12, usize::MAX] {
                let ways = ways_of(solved, bar, most, &mut |_| true).expect("ways");
                let ways = ways.iter().map(|way| (words(layers, bar, way), way.sum));
                let wanted = all.iter().take(most).cloned();
                assert!(ways.eq(wanted), "bar {bar} at {frets:?}, {most}");
            }
            assert_eq!(all[0].1, best.sum);
        }
    }
}

fn wish() -> impl Strategy<Value = ThumbWish> {
    prop_oneof![
        6 => Just(ThumbWish::Auto),
        1 => Just(ThumbWish::Move(ThumbMove::Fifth)),
        1 => Just(ThumbWish::Move(ThumbMove::Third)),
        1 => Just(ThumbWish::Move(ThumbMove::StepDown)),
        1 => Just(ThumbWish::Move(ThumbMove::Rest)),
        1 => (0u8..3, 0u8..6).prop_map(|(s, fret)| ThumbWish::Place(StringIdx(s), fret)),
    ]
}

fn any_bar() -> impl Strategy<Value = BarPlan> {
    let beats = prop::sample::subsequence(vec![0u32, 1, 2, 3], 0..=2);
    let symbols = prop::collection::vec(0..SYMBOLS.len(), 2);
    let thumb = prop::collection::vec(wish(), 0..=4);
    let plucks = prop::sample::subsequence((0u32..8).collect::<Vec<_>>(), 0..=3);
    (beats, symbols, thumb, plucks).prop_map(|(beats, symbols, thumb, plucks)| {
        let chords: Vec<_> = symbols.into_iter().zip(beats).collect();
        bar_plan(&chords, &thumb, &plucks)
    })
}

fn any_problem() -> impl Strategy<Value = Problem> {
    let bars = prop::collection::vec(any_bar(), 1..5);
    let tunings = prop::sample::select(Tuning::known());
    let hand = (800u16..=1150, any::<bool>(), any::<bool>(), 3u8..=4);
    let place = (0u8..6, 3u8..8, any::<bool>(), 60u16..200);
    (bars, tunings, hand, place).prop_map(|(bars, tuning, hand, place)| {
        let (from, room, open_strings, tempo_bpm) = place;
        let mut problem = problem(bars, (from, from + room));
        problem.instrument.tuning = tuning;
        problem.instrument.frets = 12;
        problem.tempo_bpm = tempo_bpm;
        problem.wish.open_strings = open_strings;
        problem.hand.reach_permille = hand.0;
        (problem.hand.thumb_over, problem.hand.barre) = (hand.1, hand.2);
        problem.hand.plucking_fingers = hand.3;
        problem
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 160,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn every_way_has_its_sum_and_no_better_one_is_missed(
        problem in any_problem(),
        bar in any::<prop::sample::Index>(),
        most in 1usize..=12,
    ) {
        let mut arranger = Arranger::default();
        let bar = bar.index(problem.bars.len());
        let best = arranger.solve(&problem, &mut |_| true).expect("not cancelled");
        let ways = arranger.ways(bar, most, &mut |_| true).expect("tables");
        let solved = arranger.looked_back(&mut |_| true).expect("tables");
        let layers = solved.layers();
        if phases_of(layers, bar).is_empty() {
            prop_assert!(ways.is_empty());
            return Ok(());
        }
        prop_assert_eq!(ways.first().map(|way| way.sum), Some(best.sum));
        prop_assert!(ways.is_sorted_by_key(|way| way.sum));
        let sums = by_marking(layers, bar, &ways);
        for (way, sum) in ways.iter().zip(&sums) {
            prop_assert_eq!(Some(way.sum), *sum, "{:?}", way);
        }
        let (last, others) = (ways.last().map(|way| way.sum), sums[ways.len()]);
        if ways.len() == most {
            prop_assert!(others.is_none_or(|others| Some(others) >= last));
        } else {
            prop_assert_eq!(others, None, "fewer than asked, so these are all");
        }
    }
}
