//! The arranger as a whole: everyday charts come out playable and as the craft has it, and the
//! answer is the same as that of trying everything.

mod chords_in_bars;

use chords_in_bars::document_of;
use std::collections::BTreeSet;
use thumbwalk::arrange;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Arranger;
use thumbwalk::arrange::ChosenGrip;
use thumbwalk::arrange::FindingKind;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::arrange::ThumbWish;
use thumbwalk::arrange::trellis::WrittenOut;
use thumbwalk::document::Approach;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::Walk;
use thumbwalk::instrument::Cost;
use thumbwalk::instrument::Shape;
use thumbwalk::instrument::StringIdx;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Midi;
use thumbwalk::theory::MoveSet;
use thumbwalk::theory::Pluck;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;
use thumbwalk::thumb::PluckPattern;

/// A document with one bar per item; chords of a bar are spread evenly.
fn document(bars: &[&str]) -> Document {
    let bars: Vec<Vec<&str>> = bars
        .iter()
        .map(|bar| bar.split_whitespace().collect())
        .collect();
    document_of(&bars)
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
            let (layers, best) = arrange::trellis_of(&problem).expect("there is a path");
            assert_eq!(
                every_path(&WrittenOut::of(&layers)),
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

/// A chord, a move on its third beat, and the note; what the tones of a chord are called is common
/// practice. Every tone but the root, which has the first beat, has a row.
#[test]
fn thumb_moves_chosen_by_hand_are_played() {
    let rows = [
        ("C7", ThumbMove::Octave, "C"),
        ("C7", ThumbMove::Third, "E"),
        ("C7", ThumbMove::Fifth, "G"),
        ("C7", ThumbMove::Seventh, "Bb"),
        ("C6", ThumbMove::Seventh, "A"),
        ("C7sus4", ThumbMove::Third, "F"),
    ];
    let tried = rows.into_iter().map(|(_, thumb_move, _)| thumb_move);
    assert_eq!(
        tried.collect::<MoveSet>(),
        MoveSet::TONES.without(ThumbMove::Root)
    );
    for (chord, wanted, name) in rows {
        let mut document = document(&[chord, "F7"]);
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
        assert_eq!(note.spelling.to_string(), name, "{chord}");
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

/// After any run of edits the arranger that remembers gives what a new one gives.
#[test]
fn an_edit_solved_from_what_is_known_equals_solving_from_nothing() {
    let symbols = ["Dm7", "G7", "Cmaj7", "A7b9", "F6", "Bb9", "Ebm7b5", "N.C."];
    let mut document = document(&["Dm7", "G7", "Cmaj7", "A7", "Dm7", "G7 Db7", "C6", "C6"]);
    let mut arranger = Arranger::default();
    let mut state = 20_u64;
    let mut next = |below: u64| {
        // A multiplicative generator (Lehmer); any spread of edits will do.
        state = state * 48_271 % 2_147_483_647;
        usize::try_from(state % below).expect("small")
    };
    for round in 0..60 {
        let n_bars = document.n_bars();
        let bar = next(n_bars as u64);
        let edit = match next(6) {
            0 if n_bars < 12 => Edit::InsertBars {
                before: bar,
                count: 1,
            },
            1 if n_bars > 4 => Edit::DeleteBars {
                first: bar,
                last: bar,
            },
            2 => Edit::SetTempo(100 + 10 * u16::try_from(next(3)).expect("small")),
            3 => Edit::SetThumb {
                bar,
                at: Ticks::of_beat(2),
                cell: Some(ThumbCell::Move(ThumbMove::Fifth)),
            },
            _ => Edit::SetHarmony {
                bar,
                at: Ticks(0),
                harmony: Some(Harmony::parse(symbols[next(8)]).expect("a chord")),
            },
        };
        document = document.apply(&edit).expect("the bar is there");
        let problem = problem_from_document(&document);
        let remembered = arranger
            .solve(&problem, &mut |_| true)
            .expect("not cancelled");
        assert_eq!(
            remembered,
            arrange::solve(&problem),
            "round {round}: {edit:?}"
        );
        if round % 3 == 0 {
            let known = arranger.options(&mut |_| true).expect("not cancelled");
            let mut new = Arranger::default();
            new.solve(&problem, &mut |_| true);
            assert_eq!(
                Some(known),
                new.options(&mut |_| true),
                "round {round}: {edit:?}"
            );
        }
        if round % 4 == 0 {
            let known = arranger.ways(bar, 8, &mut |_| true).expect("tables");
            let mut new = Arranger::default();
            new.solve(&problem, &mut |_| true);
            assert_eq!(
                Some(known),
                new.ways(bar, 8, &mut |_| true),
                "round {round}: {edit:?}"
            );
        }
    }
}

#[test]
fn the_first_way_of_a_bar_is_the_one_arranged() {
    for chart in CHARTS {
        let mut arranger = Arranger::default();
        let best = arranger
            .solve(&problem_from_document(&document(chart)), &mut |_| true)
            .expect("not cancelled");
        for bar in 0..chart.len() {
            let ways = arranger.ways(bar, 12, &mut |_| true).expect("tables");
            let Some(first) = ways.first() else {
                assert!(best.grips.iter().all(|grip| grip.place.bar != bar));
                continue;
            };
            assert_eq!(first.sum, best.sum, "{chart:?} bar {bar}");
            let grips = best.grips.iter().filter(|grip| grip.place.bar == bar);
            let shape = |grip: &ChosenGrip| grip.voicing.as_ref().map(|v| v.grip.shape);
            let shapes: Vec<_> = grips.map(|grip| (grip.chord_idx, shape(grip))).collect();
            assert_eq!(first.shapes, shapes, "{chart:?} bar {bar}");
            let thumb = lane(&best, Lane::Thumb);
            for (at, note) in &first.thumb {
                let place = Place { bar, at: *at };
                let played = thumb.iter().find(|note| note.place == place);
                let played = played.and_then(|n| Some((n.thumb_move?, n.string, n.fret)));
                assert_eq!(*note, played, "{chart:?} at {place:?}");
            }
        }
    }
}

/// A way's shapes decided by hand give its sum, where no cheaper way has the same shapes.
#[test]
fn the_shapes_of_a_way_decided_by_hand_give_its_sum() {
    for (chart, bar) in [(CHARTS[1], 1), (CHARTS[1], 0), (CHARTS[3], 2)] {
        let free = document(chart);
        let mut arranger = Arranger::default();
        arranger.solve(&problem_from_document(&free), &mut |_| true);
        let ways = arranger.ways(bar, 12, &mut |_| true).expect("tables");
        assert_eq!(ways.len(), 12);
        let mut seen = BTreeSet::new();
        for way in ways.iter().filter(|way| seen.insert(way.shapes.clone())) {
            let decide = |document: Document, (chord_idx, shape): &(usize, Option<Shape>)| {
                let (chord_idx, shape) = (*chord_idx, *shape);
                let edit = Edit::SetShape {
                    bar,
                    chord_idx,
                    shape,
                };
                document.apply(&edit).expect("the chord is there")
            };
            let with = way.shapes.iter().fold(free.clone(), decide);
            assert_eq!(arranged(&with).sum, way.sum, "{chart:?}: {way:?}");
        }
        assert!(seen.len() > 1, "{chart:?} bar {bar}");
    }
}

#[test]
fn without_tables_and_outside_the_tune_there_is_no_other_way() {
    let mut document = document(&["Dm7", "G7"]);
    let mut arranger = Arranger::default();
    assert_eq!(arranger.ways(0, 12, &mut |_| true), None);
    arranger.solve(&problem_from_document(&document), &mut |_| true);
    assert_eq!(arranger.ways(2, 12, &mut |_| true), Some(vec![]));
    assert_eq!(arranger.ways(0, 0, &mut |_| true), Some(vec![]));
    assert_eq!(arranger.ways(0, 12, &mut |_| false), None);
    document.line.keep_hardest_easy = true;
    arranger.solve(&problem_from_document(&document), &mut |_| true);
    assert_eq!(arranger.ways(0, 12, &mut |_| true), None);
}

#[test]
fn the_whole_tune_effort_of_a_voicing_is_what_using_it_gives() {
    let free = document(&["Dm7", "G7", "Cmaj7", "A7"]);
    let problem = problem_from_document(&free);
    let mut arranger = Arranger::default();
    let best = arranger
        .solve(&problem, &mut |_| true)
        .expect("not cancelled");
    let options = arranger.options(&mut |_| true).expect("not cancelled");
    assert_eq!(options.len(), 4);
    for (bar, options) in options.iter().enumerate() {
        let own = best.grips[bar].voicing.as_ref().expect("a grip").grip.shape;
        assert_eq!(
            options.get(&own),
            Some(&best.sum),
            "bar {bar}: its own grip"
        );
        for (shape, cost) in options.iter().step_by(9) {
            let edit = Edit::SetShape {
                bar,
                chord_idx: 0,
                shape: Some(*shape),
            };
            let with = arranged(&free.apply(&edit).expect("the chord is there"));
            assert_eq!(with.sum, *cost, "bar {bar}: {shape}");
        }
    }
}

#[test]
fn the_hardest_change_can_be_kept_easy_at_no_note_s_expense() {
    for chart in CHARTS {
        let mut document = document(chart);
        let least = arranged(&document);
        document.line.keep_hardest_easy = true;
        let easy = arranged(&document);
        assert!(easy.max <= least.max && easy.sum >= least.sum, "{chart:?}");
        let faults = |a: &Arrangement| a.findings.iter().filter(|f| f.kind.is_fault()).count();
        assert_eq!(faults(&easy), faults(&least), "no bass note is given up");
    }
}

#[test]
fn a_written_bass_note_is_played_at_its_pitch() {
    let mut problem = problem_from_document(&document(&["G7", "C7"]));
    let root = Midi::clamped(43);
    let fifth = Midi::clamped(50);
    problem.bars[0].thumb[0].wish = ThumbWish::Note(ThumbMove::Root, root);
    problem.bars[0].thumb[1].wish = ThumbWish::Note(ThumbMove::Fifth, fifth);
    let arrangement = arrange::solve(&problem);
    let thumb = lane(&arrangement, Lane::Thumb);
    assert_eq!((thumb[0].pitch, thumb[1].pitch), (root, fifth));
    assert_eq!(thumb[1].thumb_move, Some(ThumbMove::Fifth));
}

#[test]
fn a_place_chosen_by_hand_is_played_wherever_it_leads() {
    let free = document(&["G7", "C7"]);
    for (string, fret) in [(0, 5), (1, 4), (2, 2), (0, 8), (2, 0)] {
        let string = StringIdx(string);
        let at = Ticks::of_beat(3);
        let cell = Some(ThumbCell::Place(string, fret));
        let edit = Edit::SetThumb { bar: 0, at, cell };
        let arrangement = arranged(&free.apply(&edit).expect("the beat is there"));
        let thumb = lane(&arrangement, Lane::Thumb);
        let note = thumb
            .iter()
            .find(|n| n.place == Place { bar: 0, at })
            .unwrap_or_else(|| panic!("{string:?} fret {fret} is not played"));
        assert_eq!((note.string, note.fret), (string, fret));
    }
}

#[test]
fn every_comping_rhythm_can_be_played_on_everyday_charts() {
    for chart in CHARTS {
        for pattern in PluckPattern::ALL {
            let mut document = document(chart);
            document.line.plucks = Some(pattern.plucks(document.meter));
            let arrangement = arranged(&document);
            let faults = arrangement.findings.iter().filter(|f| f.kind.is_fault());
            let faults: Vec<_> = faults.map(|f| (f.place, f.message.as_str())).collect();
            assert!(faults.is_empty(), "{chart:?} {pattern:?}: {faults:?}");
        }
    }
}

/// A written line is a melody: its notes are played at their pitches, roots included, wherever
/// some grip has that bass.
#[test]
fn the_roots_of_a_written_line_are_played_at_their_pitches() {
    let others = [(1, Walk::Runs), (2, Walk::Runs), (4, Walk::TwoApproaches)];
    let mixed = (0..60).map(|seed| (seed, Walk::Mixed));
    for (seed, walk) in others.into_iter().chain(mixed) {
        for chart in CHARTS {
            let mut document = document(chart);
            document.line.walk = walk;
            document.line.seed = seed;
            if seed % 2 == 0 {
                // A short strike, after which the hand is free to let the chord go.
                document.line.plucks = Some(vec![Pluck {
                    at: document.meter.offbeat(0),
                    articulation: Articulation::Short,
                    ahead: false,
                }]);
            }
            let problem = problem_from_document(&document);
            let arrangement = arrange::solve(&problem);
            let mut asked = Vec::new();
            for (bar, plan) in problem.bars.iter().enumerate() {
                for slot in &plan.thumb {
                    if let ThumbWish::Note(_, pitch) = slot.wish {
                        asked.push((Place { bar, at: slot.at }, pitch));
                    }
                }
            }
            let played = lane(&arrangement, Lane::Thumb);
            let played: Vec<_> = played.iter().map(|n| (n.place, n.pitch)).collect();
            let missing: Vec<_> = asked.iter().filter(|note| !played.contains(note)).collect();
            assert!(missing.is_empty(), "{chart:?} {walk:?} {seed}: {missing:?}");
        }
    }
}
