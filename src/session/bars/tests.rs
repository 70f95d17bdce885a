//! Bars as they are copied and put elsewhere. Charts are written as chart text and read back as it.

use super::*;
use crate::document::TuneNote;
use crate::document::tune::usual_spelling;
use crate::session::written_bars::bars;
use crate::session::written_bars::read;
use crate::theory::Key;
use crate::theory::Midi;

fn put_copy(
    document: &Document,
    from: (usize, usize),
    at: (usize, usize),
    beside: Beside,
) -> Document {
    let copies = copies(document, from).expect("bars");
    let (edit, _) = put(document, at, beside, copies, "Paste").expect("room");
    document.apply(&edit).expect("a valid edit")
}

#[test]
fn bars_are_put_before_after_and_over_others_in_their_section() {
    let chart = read("[A]\nC | F\n[B]\nG | Am\n");
    for (from, at, beside, after) in [
        (
            (0, 0),
            (1, 1),
            Beside::After,
            "[A] | C | F | C | [B] | G | Am |",
        ),
        (
            (3, 3),
            (0, 0),
            Beside::Before,
            "[A] | Am | C | F | [B] | G | Am |",
        ),
        (
            (0, 1),
            (2, 2),
            Beside::Over,
            "[A] | C | F | [B] | C | F | Am |",
        ),
        ((0, 1), (2, 3), Beside::Over, "[A] | C | F | [B] | C | F |"),
    ] {
        let document = put_copy(&chart, from, at, beside);
        assert_eq!(bars(&document), after, "{from:?} {beside:?} {at:?}");
    }
}

#[test]
fn a_chord_that_is_held_over_a_barline_goes_along_and_stays() {
    // Bar 2 has no chord of its own: the C of bar 1 sounds on.
    let chart = read("[A]\nC | % | F | G\n");
    let empty = Edit::SetHarmony {
        bar: 1,
        at: Ticks(0),
        harmony: None,
    };
    let chart = chart.apply(&empty).expect("a valid edit");
    let chord = |document: &Document, bar| {
        let harmony = document.harmony_at(bar, Ticks(0)).cloned();
        harmony.and_then(|h| h.chord().map(|c| c.root().to_string()))
    };
    let copied = put_copy(&chart, (1, 1), (3, 3), Beside::After);
    assert_eq!(chord(&copied, 4).as_deref(), Some("C"));
    let between = put_copy(&chart, (2, 2), (0, 0), Beside::After);
    assert_eq!(chord(&between, 1).as_deref(), Some("F"));
    assert_eq!(chord(&between, 2).as_deref(), Some("C"));
    let without = chart.apply(&delete(&chart, (0, 0)).expect("some are left"));
    assert_eq!(
        chord(&without.expect("a valid edit"), 0).as_deref(),
        Some("C")
    );
}

#[test]
fn half_a_repeat_is_not_copied_a_whole_one_is() {
    let chart = read("[A]\n|: C | F :| G |\n");
    let half = put_copy(&chart, (1, 1), (2, 2), Beside::After);
    assert_eq!(bars(&half), "[A] |: C | F :| G | F |");
    let whole = put_copy(&chart, (0, 1), (2, 2), Beside::After);
    assert_eq!(bars(&whole), "[A] |: C | F :| G |: C | F :|");
}

#[test]
fn the_tune_goes_with_its_bars_and_a_tie_from_outside_does_not() {
    let note = |at, tied| TuneNote {
        at: Ticks(at),
        length: Ticks(1920),
        pitch: Midi::clamped(67),
        spelling: usual_spelling(Midi::clamped(67), Key::C_MAJOR),
        tied,
    };
    let mut chart = read("[A]\nC | F | G\n");
    for (bar, notes) in [(0, vec![note(1920, false)]), (1, vec![note(0, true)])] {
        chart = chart.apply(&Edit::SetTune { bar, notes }).expect("fits");
    }
    let both = put_copy(&chart, (0, 1), (2, 2), Beside::After);
    let tune = |bar: usize| both.bar(bar).expect("a bar").tune.clone();
    assert_eq!((tune(3), tune(4)), (tune(0), tune(1)));
    let one = put_copy(&chart, (1, 1), (2, 2), Beside::After);
    assert_eq!(one.bar(3).expect("a bar").tune, [note(0, false)]);
    let first_gone = chart.apply(&delete(&chart, (0, 0)).expect("some are left"));
    let first_gone = first_gone.expect("a valid edit");
    assert_eq!(first_gone.bar(0).expect("a bar").tune, [note(0, false)]);
    let gone = chart.apply(&delete(&chart, (0, 1)).expect("one is left"));
    assert!(!gone.expect("a valid edit").has_tune());
}

#[test]
fn the_last_bar_and_bars_of_another_metre_are_refused_in_words() {
    let chart = read("[A]\nC | F\n");
    assert!(delete(&chart, (0, 1)).is_err());
    let waltz = "Meter: 3/4\n\n[A]\nC | F\n";
    let refused = bars_of_text(waltz, Meter::COMMON).expect_err("another metre");
    assert!(
        refused.contains("3/4") && refused.contains("4/4"),
        "{refused}"
    );
    assert!(bars_of_text("no chart at all", Meter::COMMON).is_err());
    assert_eq!(
        bars_of_text("C | F | G", Meter::COMMON).map(|b| b.len()),
        Ok(3)
    );
}

#[test]
fn what_other_programs_get_reads_back_as_the_same_bars() {
    let chart = read("Title: Mine\nKey: Bb\n\n[A]\nBbmaj7 Gm7 | Cm7 F7\n");
    let clip = Clip::of(&chart, (0, 1)).expect("bars");
    let again = bars_of_text(clip.text(), Meter::COMMON).expect("a chart");
    assert_eq!(again, clip.bars);
}

#[test]
fn bars_are_repeated_so_many_times_or_to_the_end_of_their_section() {
    let chart = read("[A]\nC | F | G | Am | Dm\n[B]\nE | B\n");
    let copied = copies(&chart, (0, 1)).expect("bars");
    let (edit, _) = put(
        &chart,
        (0, 1),
        Beside::After,
        repeat::times(&copied, 2),
        "Repeat",
    )
    .expect("room");
    let after = chart.apply(&edit).expect("a valid edit");
    assert_eq!(
        bars(&after),
        "[A] | C | F | C | F | C | F | G | Am | Dm | [B] | E | B |"
    );
    let (edit, end) = repeat::to_end(&chart, (0, 1)).expect("room");
    let after = chart.apply(&edit).expect("a valid edit");
    assert_eq!(bars(&after), "[A] | C | F | C | F | C | [B] | E | B |");
    assert_eq!((end, after.n_bars()), (4, 7));
    assert!(repeat::to_end(&chart, (5, 6)).is_err(), "the section ends");
}

#[test]
fn repeat_signs_stay_where_bars_are_repeated_over_them() {
    let chart = read("[A]\nC | F |: G | Am :|\n");
    let (edit, _) = repeat::to_end(&chart, (0, 0)).expect("room");
    let after = chart.apply(&edit).expect("a valid edit");
    assert_eq!(after.played_order(), chart.played_order());
    assert_eq!(after.played_order().len(), 6);
}
