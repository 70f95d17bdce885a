//! The arranger as a whole: everyday charts come out playable and as the craft has it, and the
//! answer is the same as that of trying everything.

use std::collections::BTreeSet;
use std::sync::Arc;
use thumbwalk::arrange;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::FindingKind;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::arrange::trellis::WrittenOut;
use thumbwalk::document::Approach;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::document::Section;
use thumbwalk::document::ThumbCell;
use thumbwalk::instrument::Cost;
use thumbwalk::instrument::Shape;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

/// A document with one bar per item; chords of a bar are spread evenly.
fn document(bars: &[&str]) -> Document {
    let bar = |text: &&str| {
        let chords: Vec<&str> = text.split_whitespace().collect();
        let step = 4 / u32::try_from(chords.len().max(1)).expect("few chords");
        let chords = (0u32..).zip(&chords).map(|(i, symbol)| ChordAt {
            at: Ticks::of_beat(i * step),
            harmony: Harmony::parse(symbol).expect("a chord"),
            shape: None,
        });
        Bar {
            chords: chords.collect(),
            ..Bar::default()
        }
    };
    let section = Section {
        name: "A".into(),
        bars: bars.iter().map(bar).collect(),
    };
    Document {
        sections: vec![Arc::new(section)],
        ..Document::default()
    }
}

fn arranged(document: &Document) -> Arrangement {
    arrange::solve(&problem_from_document(document))
}

/// Bars whose harmony changes, with a mixture of families.
const CHARTS: &[&[&str]] = &[
    &["Dm7", "G7", "Cmaj7", "A7"],
    &["Cm7 F7", "Bbmaj7", "Am7b5 D7b9", "Gm6"],
    &["G7", "", "C7", "C7", "G7", "Em7 A7", "D7", "G6 D13"],
    &["Bm7b5 E7b9", "Am7", "Fdim7 Em7", "A7#9"],
    &["C", "Am", "F/C", "N.C.", "G7sus4 G7"],
];

fn lane(arrangement: &Arrangement, lane: Lane) -> Vec<&PlayedNote> {
    arrangement
        .notes
        .iter()
        .filter(|note| note.lane == lane)
        .collect()
}

#[test]
fn everyday_charts_are_arranged_without_a_fault() {
    for chart in CHARTS {
        let arrangement = arranged(&document(chart));
        let faults: Vec<_> = arrangement
            .findings
            .iter()
            .filter(|f| f.kind.is_fault())
            .collect();
        assert!(faults.is_empty(), "{chart:?}: {faults:?}");
        assert!(arrangement.sum > Cost::ZERO && arrangement.hardest.is_some());
    }
}

/// Common practice: the root on a chord's first beat, a semitone from the next bass note on the
/// last beat before a change, the bass note itself on the beats between.
#[test]
fn the_thumb_plays_roots_and_approaches_from_a_semitone() {
    for chart in CHARTS {
        for (approach, wanted) in [
            (Approach::Below, ThumbMove::ApproachBelow),
            (Approach::Above, ThumbMove::ApproachAbove),
        ] {
            let mut document = document(chart);
            document.line.approach = approach;
            let arrangement = arranged(&document);
            let thumb = lane(&arrangement, Lane::Thumb);
            let mut asked_side = 0;
            let mut other_side = 0;
            for pair in thumb.windows(2) {
                let step = i32::from(pair[1].pitch.number()) - i32::from(pair[0].pitch.number());
                match pair[0].thumb_move {
                    Some(ThumbMove::ApproachBelow) => assert_eq!(step, 1, "{chart:?}"),
                    Some(ThumbMove::ApproachAbove) => assert_eq!(step, -1, "{chart:?}"),
                    Some(ThumbMove::Root) => continue,
                    other => panic!("unexpected {other:?}"),
                }
                if pair[0].thumb_move == Some(wanted) {
                    asked_side += 1
                } else {
                    other_side += 1
                }
            }
            assert!(
                asked_side > 2 * other_side,
                "{chart:?}: {asked_side} to {other_side}"
            );
            for grip in &arrangement.grips {
                let Some(voicing) = &grip.voicing else {
                    continue;
                };
                let first = thumb
                    .iter()
                    .find(|note| note.place == grip.place)
                    .expect("a bass note");
                assert_eq!(first.thumb_move, Some(ThumbMove::Root));
                assert_eq!(first.string, voicing.thumb_string);
            }
        }
    }
}

/// Common practice in 4/4: the fingers on the "and" of 1, ringing, and of 3, short.
#[test]
fn the_fingers_strike_on_the_and_of_one_and_three() {
    let arrangement = arranged(&document(&["Dm7", "G7"]));
    let strikes: Vec<_> = lane(&arrangement, Lane::Fingers)
        .iter()
        .map(|note| {
            (
                note.place.bar,
                note.place.at.0,
                note.articulation,
                note.length.0,
            )
        })
        .collect();
    for bar in 0..2 {
        assert!(
            strikes.contains(&(bar, 480, Articulation::Ring, 1920)),
            "{strikes:?}"
        );
        assert!(
            strikes.contains(&(bar, 2400, Articulation::Short, 480)),
            "{strikes:?}"
        );
    }
    let letters: BTreeSet<char> = lane(&arrangement, Lane::Fingers)
        .iter()
        .map(|n| n.pluck.letter())
        .collect();
    assert!(letters.iter().all(|letter| "ima".contains(*letter)));
}

/// Tries every path of a written-out problem, without any table.
fn every_path(problem: &WrittenOut) -> Option<Cost> {
    fn from(
        problem: &WrittenOut,
        layer: usize,
        node: usize,
        so_far: Cost,
        best: &mut Option<Cost>,
    ) {
        let so_far = so_far + problem.layers[layer][node];
        if layer + 1 == problem.layers.len() {
            *best = Some(best.map_or(so_far, |b| b.min(so_far)));
            return;
        }
        for (f, t, cost) in &problem.edges[layer] {
            if *f == node {
                from(problem, layer + 1, *t, so_far + *cost, best);
            }
        }
    }
    let mut best = None;
    for node in 0..problem.layers.first()?.len() {
        from(problem, 0, node, Cost::ZERO, &mut best);
    }
    best
}

#[test]
fn the_arrangement_is_the_best_of_all_on_small_charts() {
    let charts: &[&[&str]] = &[
        &["G7"],
        &["Dm7 G7"],
        &["Am7b5 D7b9"],
        &["C6", "N.C."],
        &["F7 E7"],
    ];
    for chart in charts {
        for frets in [(1, 4), (3, 6), (5, 8)] {
            let mut problem = problem_from_document(&document(chart));
            problem.wish.frets = frets;
            problem.wish.open_strings = false;
            problem.instrument.frets = 9;
            let (written, best) = arrange::trellis_of(&problem);
            assert_eq!(
                every_path(&written),
                Some(best.sum),
                "{chart:?} at {frets:?}"
            );
            assert_eq!(arrange::solve(&problem).sum, best.sum);
        }
    }
}

#[test]
fn efforts_by_moment_add_up_to_the_sum() {
    for chart in CHARTS {
        let arrangement = arranged(&document(chart));
        let total: Cost = arrangement
            .slots
            .iter()
            .map(|slot| slot.effort.total())
            .sum();
        assert_eq!(total, arrangement.sum, "{chart:?}");
    }
}

#[test]
fn the_same_chart_gives_the_same_arrangement() {
    for chart in CHARTS {
        assert_eq!(arranged(&document(chart)), arranged(&document(chart)));
    }
}

#[test]
fn a_chosen_shape_is_kept_and_never_lowers_the_effort() {
    let free = document(&["Dm7", "G7", "Cmaj7"]);
    let shape = Shape::parse("3x343x").expect("a shape");
    let edit = Edit::SetShape {
        bar: 1,
        chord_idx: 0,
        shape: Some(shape),
    };
    let chosen = free.apply(&edit).expect("the chord is there");
    let (free, chosen) = (arranged(&free), arranged(&chosen));
    assert_eq!(
        chosen.grips[1].voicing.as_ref().map(|v| v.grip.shape),
        Some(shape)
    );
    assert!(chosen.sum >= free.sum);
}

#[test]
fn a_shape_no_hand_can_hold_is_reported_and_replaced() {
    let shape = Shape::parse("1x9x1x").expect("a shape");
    let edit = Edit::SetShape {
        bar: 0,
        chord_idx: 0,
        shape: Some(shape),
    };
    let arrangement = arranged(&document(&["F7"]).apply(&edit).expect("the chord is there"));
    assert!(arrangement.grips[0].voicing.is_some());
    assert_eq!(arrangement.findings[0].kind, FindingKind::Unreachable);
    assert!(arrangement.findings[0].message.contains("1x9x1x"));
}

#[test]
fn thumb_moves_chosen_by_hand_are_played() {
    let chosen = [
        ThumbMove::Third,
        ThumbMove::Fifth,
        ThumbMove::Seventh,
        ThumbMove::Octave,
    ];
    for wanted in chosen {
        let mut document = document(&["C7", "F7"]);
        let at = Ticks::of_beat(2);
        let cell = Some(ThumbCell::Move(wanted));
        document = document
            .apply(&Edit::SetThumb { bar: 0, at, cell })
            .expect("the beat is there");
        let arrangement = arranged(&document);
        let thumb = lane(&arrangement, Lane::Thumb);
        let note = thumb
            .iter()
            .find(|n| n.place == Place { bar: 0, at })
            .expect("a thumb note");
        assert_eq!(note.thumb_move, Some(wanted));
        let name = match wanted {
            ThumbMove::Third => "E",
            ThumbMove::Fifth => "G",
            ThumbMove::Seventh => "Bb",
            _ => "C",
        };
        assert_eq!(note.spelling.to_string(), name);
    }
}

#[test]
fn ghosts_and_rests_move_no_finger() {
    let plain = arranged(&document(&["C7", "F7"]));
    for silent in [ThumbMove::Ghost, ThumbMove::Rest] {
        let cell = Some(ThumbCell::Move(silent));
        let edit = Edit::SetThumb {
            bar: 0,
            at: Ticks::of_beat(1),
            cell,
        };
        let arrangement = arranged(
            &document(&["C7", "F7"])
                .apply(&edit)
                .expect("the beat is there"),
        );
        assert_eq!(arrangement.sum, plain.sum);
        let there = |n: &&PlayedNote| {
            n.place
                == Place {
                    bar: 0,
                    at: Ticks::of_beat(1),
                }
        };
        let moves: Vec<_> = arrangement
            .notes
            .iter()
            .filter(there)
            .map(|n| n.thumb_move)
            .collect();
        let expected = if silent == ThumbMove::Ghost {
            vec![Some(ThumbMove::Ghost)]
        } else {
            vec![]
        };
        assert_eq!(moves, expected);
    }
}

#[test]
fn an_empty_document_has_an_empty_arrangement() {
    let arrangement = arranged(&Document::default());
    assert_eq!(arrangement, Arrangement::default());
}
