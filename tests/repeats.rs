//! Tunes with repeats and endings: what is written is held against what is heard. The order in which
//! bars are heard is that of players (common practice: a repeated part goes back to its first bar, a
//! later ending takes the place of the first); where a bass note has to arrive follows from the name
//! of its move.

use proptest::prelude::*;
use std::path::Path;
use std::sync::Arc;
use thumbwalk::arrange;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Arranger;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::arrange::Problem;
use thumbwalk::arrange::ThumbWish;
use thumbwalk::arrange::trellis::Layered;
use thumbwalk::arrange::trellis::WrittenOut;
use thumbwalk::document::Approach;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::document::Section;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::Walk;
use thumbwalk::instrument::Cost;
use thumbwalk::instrument::Shape;
use thumbwalk::instrument::Term;
use thumbwalk::score::perform;
use thumbwalk::session::arrange_document;
use thumbwalk::session::open;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Form;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;
use thumbwalk::voicing;

/// Charts with the bars that lead elsewhere than to the next one, from 0, and where they lead.
const CHARTS: &[(&str, &[(usize, usize)])] = &[
    ("|: Dm7 | G7 |1. Em7 | A7 :|2. Fm7 | Bb7 ||", &[(3, 0)]),
    (
        "| Am7 |: Dm7 G7 | Cmaj7 A7 :| Ebmaj7 | Abmaj7 ||",
        &[(2, 1)],
    ),
    ("|: Cm7 | F7 | Bb6 | G7 :|", &[(3, 0)]),
    ("|: Gm7 | C7 :|: Fmaj7 | D7 :| Bb7 ||", &[(1, 0), (3, 2)]),
    ("|: E7 |1. A7 :|2. D7 :|3. G7 | C6 ||", &[(1, 0), (2, 0)]),
];

fn document(chart: &str) -> Document {
    let opened = open::open_text(&format!("Key: C\n{chart}\n"), Path::new("chart"));
    opened.expect("a chart").document
}

fn thumb(arrangement: &Arrangement, bar: usize) -> Vec<&PlayedNote> {
    let notes = arrangement.notes_in_bar(bar);
    notes.filter(|note| note.lane == Lane::Thumb).collect()
}

/// Semitones that a move goes on to the note it leads to, by its definition; `None` if it does not
/// lead.
fn steps_of(thumb_move: ThumbMove) -> Option<Vec<i16>> {
    match thumb_move {
        ThumbMove::ApproachBelow => Some(vec![1]),
        ThumbMove::ApproachAbove => Some(vec![-1]),
        ThumbMove::ApproachDominant => Some(vec![5, -7]),
        ThumbMove::StepUp => Some(vec![1, 2]),
        ThumbMove::StepDown => Some(vec![-1, -2]),
        _ => None,
    }
}

#[test]
fn the_last_beat_arrives_at_the_note_that_is_heard_next() {
    let mut n_leading = [0; 5];
    for (chart, leading) in CHARTS {
        for (number, walk) in (0..).zip(Walk::ALL) {
            for approach in [
                Approach::Below,
                Approach::Above,
                Approach::Alternate,
                Approach::Easiest,
            ] {
                let mut document = document(chart);
                document.line.walk = walk;
                document.line.approach = approach;
                document.line.seed = 11;
                let arrangement = arrange::solve(&problem_from_document(&document));
                for (bar, goal) in *leading {
                    let last = *thumb(&arrangement, *bar).last().expect("a note");
                    let first = *thumb(&arrangement, *goal).first().expect("a note");
                    let Some(steps) = last.thumb_move.and_then(steps_of) else {
                        continue;
                    };
                    let away = i16::from(first.pitch.number()) - i16::from(last.pitch.number());
                    assert!(
                        steps.contains(&away),
                        "{chart} {walk:?} {approach:?}: {away}"
                    );
                    n_leading[number] += 1;
                }
            }
        }
    }
    // All walks but plain roots approach before a change.
    assert_eq!(Walk::ALL[0], Walk::Roots);
    assert_eq!(n_leading, [0, 28, 28, 28, 28]);
}

/// In the performance every approach is followed by its goal the first time its bar is played.
#[test]
fn what_is_played_leads_on_the_first_time() {
    for (chart, _) in CHARTS {
        let document = document(chart);
        let arrangement = arrange_document(&document);
        let performance = perform(&document, &arrangement, None);
        let notes = performance.notes.iter();
        let bass: Vec<_> = notes.filter(|note| note.lane == Lane::Thumb).collect();
        let mut heard = std::collections::BTreeSet::new();
        for pair in bass.windows(2) {
            let first_time = heard.insert(pair[0].note_idx);
            let steps = arrangement.notes[pair[0].note_idx]
                .thumb_move
                .and_then(steps_of);
            let (Some(steps), true) = (steps, first_time) else {
                continue;
            };
            let away = i16::from(pair[1].pitch.number()) - i16::from(pair[0].pitch.number());
            assert!(steps.contains(&away), "{chart}: {away} from {:?}", pair[0]);
        }
    }
}

fn narrow(document: &Document, frets: (u8, u8)) -> Problem {
    let mut problem = problem_from_document(document);
    problem.wish.frets = frets;
    problem.wish.open_strings = false;
    problem
}

/// The best of a repeated part is the best of all its first grips with every approach to the bass
/// of each, solved as tunes that are heard as they are written. The other side costs 6 points.
#[test]
fn a_repeat_is_the_best_of_all_bass_notes_it_can_come_back_to() {
    let mut n_with_two = 0;
    for (chart, bar, goal) in [
        ("|: G7 | C7 :|", 1, 0),
        ("|: E7 | Am7 | D7 :|", 2, 0),
        ("| Bb7 |: F7 | C7 :|", 2, 1),
    ] {
        for frets in [(1, 5), (5, 9), (2, 10)] {
            let problem = narrow(&document(chart), frets);
            let best = arrange::solve(&problem).sum;
            let mut straight = problem.clone();
            straight.form = Form::default();
            let chord = straight.bars[goal].chords[0]
                .chord
                .clone()
                .expect("a chord");
            let (instrument, hand) = (problem.instrument.clone(), problem.hand.clone());
            let all = voicing::voicings(&chord, &instrument, &hand, &problem.wish);
            let mut least = None;
            let mut basses = std::collections::BTreeSet::new();
            for voicing in all {
                let bass = voicing.bass().expect("a bass").pitch;
                basses.insert(bass);
                straight.bars[goal].chords[0].shape = Some(voicing.grip.shape);
                for (approach, up, extra) in [
                    (ThumbMove::ApproachBelow, -1, Cost::ZERO),
                    (ThumbMove::ApproachAbove, 1, Cost::points(6)),
                ] {
                    let pitch = bass.up(up).expect("a pitch");
                    let slot = straight.bars[bar].thumb.last_mut().expect("a slot");
                    slot.wish = ThumbWish::Note(approach, pitch);
                    let sum = arrange::solve(&straight).sum + extra;
                    least = Some(least.map_or(sum, |known: Cost| known.min(sum)));
                }
            }
            assert_eq!(Some(best), least, "{chart} {frets:?}");
            n_with_two += usize::from(basses.len() > 1);
        }
    }
    assert!(n_with_two >= 2, "{n_with_two}");
}

/// The trellis that is dumped has the optimum, by trying every path of it.
#[test]
fn the_dumped_trellis_of_a_repeat_has_the_optimum() {
    fn from(problem: &WrittenOut, at: (usize, usize), so_far: Cost, best: &mut Option<Cost>) {
        let so_far = so_far + problem.layers[at.0][at.1];
        if at.0 + 1 == problem.layers.len() {
            *best = Some(best.map_or(so_far, |known| known.min(so_far)));
            return;
        }
        for (_, to, cost) in problem.edges[at.0].iter().filter(|(f, ..)| *f == at.1) {
            from(problem, (at.0 + 1, *to), so_far + *cost, best);
        }
    }
    for chart in ["|: G7 | C7 :|", "|: G7 |1. C7 :|2. F7 ||"] {
        let mut problem = narrow(&document(chart), (3, 5));
        problem.instrument.frets = 9;
        for bar in &mut problem.bars {
            bar.thumb.retain(|slot| slot.at.beat_idx() % 3 == 0);
        }
        let (layers, best) = arrange::trellis_of(&problem).expect("a path");
        let dumped = WrittenOut::of(&layers);
        let mut least = None;
        for node in 0..dumped.layers[0].len() {
            from(&dumped, (0, node), Cost::ZERO, &mut least);
        }
        assert_eq!(least, Some(best.sum), "{chart}");
        for (layer, pair) in best.nodes.windows(2).enumerate() {
            let listed = dumped.edges[layer].iter();
            let listed = listed
                .filter(|(f, t, _)| [*f, *t] == pair)
                .map(|(.., c)| *c)
                .min();
            assert_eq!(layers.edge(layer, pair[0], pair[1]), listed);
        }
    }
}

/// From the first ending to the second nothing leads: no line of the hands is weighed there.
#[test]
fn nothing_leads_from_one_ending_into_the_other() {
    // From G up to the B flat an octave higher, both by decision: a leap of more than a fifth.
    let document = document("|: Dm7 |1. G7 :|2. Bb7 ||");
    let shape = |bar: usize, shape: &str, document: &Document| {
        document
            .apply(&thumbwalk::document::Edit::SetShape {
                bar,
                chord_idx: 0,
                shape: Some(Shape::parse(shape).expect("a shape")),
            })
            .expect("a chord")
    };
    let document = shape(2, "x-13-12-13-x-x", &shape(1, "3x34xx", &document));
    let arrangement = arrange::solve(&problem_from_document(&document));
    let at = |bar: usize| {
        let slots = arrangement.slots.iter();
        slots.filter(move |slot| slot.place.bar == bar && slot.place.at == Ticks(0))
    };
    let effort = &at(2).next().expect("a moment").effort;
    assert_eq!(effort.of(Term::Lead), Cost::ZERO);
    assert_eq!(effort.of(Term::TopLine), Cost::ZERO);
    let total: Cost = arrangement
        .slots
        .iter()
        .map(|slot| slot.effort.total())
        .sum();
    assert_eq!(total, arrangement.sum);
}

/// The tempo that is comfortable counts the change that is heard, not the one that is written.
#[test]
fn the_comfortable_tempo_counts_the_way_back() {
    let arranged = |chart: &str| {
        let mut document = document(chart);
        document.line.walk = Walk::Roots;
        for (bar, shape) in [(0, "1x12xx"), (1, "x-13-x-13-14-x"), (2, "x-13-x-13-14-x")] {
            let edit = thumbwalk::document::Edit::SetShape {
                bar,
                chord_idx: 0,
                shape: Some(Shape::parse(shape).expect("a shape")),
            };
            document = document.apply(&edit).expect("a chord");
        }
        arrange::solve(&problem_from_document(&document))
    };
    let straight = arranged("| F7 | Bbm7 | Bbm7 ||");
    let repeated = arranged("|: F7 | Bbm7 | Bbm7 :|");
    let (there, place) = straight.comfortable.expect("a change");
    assert_eq!(place.bar, 1);
    let (back, _) = repeated.comfortable.expect("a change");
    assert!(back <= there, "{back} {there}");
    // The way of the hand is not in the sum; the bass leaps from B flat down to F, 17 semitones:
    // 200 for each beyond a fifth.
    assert_eq!(repeated.sum.0 - straight.sum.0, 2000);
}

fn random_form() -> impl Strategy<Value = Document> {
    let symbols = ["Dm7", "G7", "Cmaj7", "A7b9", "F6", "Bb9", "N.C.", "E7"];
    let bar = (0..symbols.len(), 0..8_u8, 0..4_u8, any::<bool>());
    let bars = prop::collection::vec(bar, 2..7);
    (bars, 0..Walk::ALL.len(), any::<u64>()).prop_map(move |(bars, walk, seed)| {
        let bar = |(symbol, mark, ending, own): (usize, u8, u8, bool)| {
            let chord = ChordAt {
                at: Ticks(0),
                harmony: Harmony::parse(symbols[symbol]).expect("a chord"),
                shape: None,
            };
            Bar {
                chords: if own { vec![chord] } else { Vec::new() },
                repeat_start: mark == 1,
                repeat_times: if mark == 2 || mark == 3 { 2 } else { 0 },
                ending: if mark >= 3 && ending < 3 { ending } else { 0 },
                ..Bar::default()
            }
        };
        let section = Section {
            name: "A".into(),
            bars: bars.into_iter().map(bar).collect(),
        };
        let mut document = Document {
            sections: vec![Arc::new(section)],
            ..Document::default()
        };
        document.line.walk = Walk::ALL[walk];
        document.line.seed = seed;
        document
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever the signs: what is remembered from one form makes no difference for the next.
    #[test]
    fn a_new_form_solved_from_what_is_known_equals_solving_from_nothing(
        a in random_form(), b in random_form()
    ) {
        let mut arranger = Arranger::default();
        let mut same = a.clone();
        same.tempo_bpm += 10;
        for document in [&a, &b, &a, &same] {
            let problem = problem_from_document(document);
            let known = arranger.solve(&problem, &mut |_| true).expect("solved");
            prop_assert_eq!(&known, &arrange::solve(&problem));
            let options = arranger.options(&mut |_| true);
            let ways = arranger.ways(1, 6, &mut |_| true);
            let mut new = Arranger::default();
            new.solve(&problem, &mut |_| true);
            prop_assert_eq!(options, new.options(&mut |_| true));
            if let Some(ways) = &ways {
                prop_assert!(ways.first().is_none_or(|way| way.sum == known.sum));
            }
            prop_assert_eq!(ways, new.ways(1, 6, &mut |_| true));
            let total: Cost = known.slots.iter().map(|slot| slot.effort.total()).sum();
            prop_assert_eq!(total, known.sum);
        }
    }
}

/// A chord that goes on over the end of a repeat is left where the repeat ends: there is time for the
/// change that is heard.
#[test]
fn a_chord_that_goes_on_over_a_jump_leaves_time_for_the_change() {
    for chart in [
        "|: C6 | Fm7 |1. | G7 :|2. Bbm7 ||",
        "|: G7 | Fm7 :|  | Bb7 ||",
        "|: Em7 |1.  :|2. A7 | G7 :|3.  |  ||",
    ] {
        for (walk, seed) in [(Walk::Plain, 1), (Walk::Roots, 2), (Walk::Roots, 5)] {
            let mut document = document(chart);
            document.line.walk = walk;
            document.line.seed = seed;
            let slowest = arrange_document(&document).comfortable.map(|at| at.0);
            assert!(
                slowest.is_none_or(|bpm| bpm > 60),
                "{chart} {walk:?}: {slowest:?}"
            );
        }
    }
}

/// What is struck behind a jump is not heard next: the approach back stands, whatever comes there.
#[test]
fn an_approach_back_stands_before_a_rest_that_is_written_next() {
    let chart = "|: G7 | Fm7 :|  | Bb7 ||";
    let stands = |rest: bool, plucks: bool| {
        let mut document = document(chart);
        let at = Ticks(0);
        if rest {
            let cell = Some(ThumbCell::Move(ThumbMove::Rest));
            document = document
                .apply(&Edit::SetThumb { bar: 2, at, cell })
                .expect("a bar");
        }
        if !plucks {
            let plucks = Some(Vec::new());
            document = document
                .apply(&Edit::SetPlucks { bar: 1, plucks })
                .expect("a bar");
        }
        let arrangement = arrange_document(&document);
        assert!(
            arrangement.findings.iter().all(|f| !f.kind.is_fault()),
            "{:?}",
            arrangement.findings
        );
        let last = *thumb(&arrangement, 1).last().expect("a bass note");
        let first = thumb(&arrangement, 0)[0];
        let away = i16::from(first.pitch.number()) - i16::from(last.pitch.number());
        assert_eq!(away.abs(), 1, "rest {rest}, plucks {plucks}: {last:?}");
    };
    for (rest, plucks) in [(false, true), (true, true), (true, false)] {
        stands(rest, plucks);
    }
}

/// Behind a jump the line may take its root in another octave; the octave of it is then played as
/// written.
#[test]
fn an_octave_that_is_written_is_played_behind_a_jump() {
    for (chart, seed) in [
        ("|: Cmaj7 | Fm7 :|  | C6 ||", 32),
        ("|: Cmaj7 | Fm7 :|:  :|", 105),
    ] {
        let mut document = document(chart);
        document.line.walk = Walk::Mixed;
        document.line.seed = seed;
        let findings = arrange_document(&document).findings;
        assert!(
            findings.iter().all(|f| !f.kind.is_fault()),
            "{chart}: {findings:?}"
        );
    }
}
