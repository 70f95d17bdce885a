//! Sections as they are moved about. Charts are written as chart text and read back as it.

use super::*;
use crate::session::written_bars::bars;
use crate::session::written_bars::read;

fn done(document: &Document, bar: usize, deed: SectionDeed) -> Document {
    let (edit, _) = edit_of(document, bar, deed).expect("possible");
    document.apply(&edit).expect("a valid edit")
}

/// A chart whose section B begins with a bar that has no chord of its own: F sounds on into it.
fn held() -> Document {
    let chart = read("[A]\nC | F\n[B]\nG | Am\n[C]\nDm | G7\n");
    let silent = Edit::SetHarmony {
        bar: 2,
        at: Ticks(0),
        harmony: None,
    };
    chart.apply(&silent).expect("a valid edit")
}

fn chord(document: &Document, bar: usize) -> String {
    let harmony = document.harmony_at(bar, Ticks(0));
    let chord = harmony.and_then(|harmony| harmony.chord());
    chord.map_or_else(String::new, |chord| chord.root().to_string())
}

#[test]
fn sections_are_copied_moved_and_taken_away() {
    let chart = read("[A]\nC | F\n[B]\nG | Am\n");
    for (bar, deed, after) in [
        (
            1,
            SectionDeed::Duplicate,
            "[A] | C | F | [A] | C | F | [B] | G | Am |",
        ),
        (
            0,
            SectionDeed::Move { later: true },
            "[B] | G | Am | [A] | C | F |",
        ),
        (
            3,
            SectionDeed::Move { later: false },
            "[B] | G | Am | [A] | C | F |",
        ),
        (0, SectionDeed::Delete, "[B] | G | Am |"),
        (1, SectionDeed::Begin, "[A] | C | [C] | F | [B] | G | Am |"),
        (2, SectionDeed::Join, "[A] | C | F | G | Am |"),
        (
            2,
            SectionDeed::Rename(" Bridge ".into()),
            "[A] | C | F | [Bridge] | G | Am |",
        ),
    ] {
        let after_deed = done(&chart, bar, deed.clone());
        assert_eq!(bars(&after_deed), after, "{deed:?}");
    }
}

#[test]
fn a_new_section_has_the_next_letter_and_lets_the_chord_before_go_on() {
    let chart = read("[A]\nC | F\n[B]\nG | Am\n");
    let after = done(&chart, 0, SectionDeed::Insert(Beside::After));
    let names: Vec<&str> = after.sections.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["A", "C", "B"]);
    assert_eq!(after.n_bars(), 8);
    assert_eq!(
        (chord(&after, 5).as_str(), chord(&after, 6).as_str()),
        ("F", "G")
    );
}

#[test]
fn a_section_that_begins_under_a_held_chord_keeps_it_wherever_it_goes() {
    let chart = held();
    assert_eq!(chord(&chart, 2), "F");
    let first = done(&chart, 2, SectionDeed::Move { later: false });
    assert_eq!(chord(&first, 0), "F", "it is the first now");
    let last = done(&chart, 2, SectionDeed::Move { later: true });
    assert_eq!(chord(&last, 4), "F", "G7 is before it now");
    let alone = done(&chart, 0, SectionDeed::Delete);
    assert_eq!(chord(&alone, 0), "F");
    let between = done(&chart, 2, SectionDeed::Insert(Beside::Before));
    assert_eq!(chord(&between, 2), "F", "empty bars let it go on");
    assert_eq!(chord(&between, 6), "F");
}

#[test]
fn a_section_that_begins_in_silence_begins_so_wherever_it_goes() {
    let chart = read("[A]\nC | F\n[B]\nG | Am\n");
    let silent = Edit::SetHarmony {
        bar: 0,
        at: Ticks(0),
        harmony: None,
    };
    let chart = chart.apply(&silent).expect("a valid edit");
    let moved = done(&chart, 0, SectionDeed::Move { later: true });
    assert_eq!(bars(&moved), "[B] | G | Am | [A] | N.C. | F |");
    let back = done(&moved, 2, SectionDeed::Move { later: false });
    assert_eq!(bars(&back), "[A] | N.C. | F | [B] | G | Am |");
    // Where nothing sounds before it either, nothing need be written.
    let after = done(&chart, 0, SectionDeed::Insert(Beside::Before));
    assert!(after.bar(4).expect("bar 5").chords.is_empty());
}

#[test]
fn what_cannot_be_done_is_said() {
    let chart = read("[A]\nC | F\n");
    for (deed, words) in [
        (SectionDeed::Delete, "at least one section"),
        (
            SectionDeed::Move { later: true },
            "section A is the last one",
        ),
        (
            SectionDeed::Move { later: false },
            "section A is the first one",
        ),
        (SectionDeed::Begin, "begins with bar 1 already"),
        (SectionDeed::Join, "section A is the first one"),
        (SectionDeed::Rename("A]".into()), "brackets"),
    ] {
        let why = edit_of(&chart, 0, deed).expect_err(words);
        assert!(why.contains(words), "{why}");
    }
}
