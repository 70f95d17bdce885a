//! The tune's lane: showing it, writing a tune by keys alone, by the fretboard and by dragging, and
//! what a screen reader is told of it.

use crate::harness::CHART;
use crate::harness::Window;
use crate::harness::click;
use crate::harness::document;
use crate::harness::name_starting;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_in_one_frame;
use crate::harness::press_with;
use crate::harness::settle;
use crate::harness::sized;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::document::TuneDensity;
use thumbwalk::document::TuneNote;
use thumbwalk::session::Selection;
use thumbwalk::theory::Ticks;

/// "Greensleeves", the first half of its tune as it is usually sung now (licensed as a new ballad in
/// London in 1580; the tune is in lute books of about 1590): letters, lengths and accidentals as
/// they are typed, a line for a bar of 6/8.
const GREENSLEEVES: [&str; 8] = [
    "4C 8D .E 6F+ 8E",
    "4D 8B .G 6A 8B",
    "4C 8A .A 6G+ 8A",
    "4B 8G+ 4E 8A",
    "4C 8D .E 6F+ 8E",
    "4D 8B .G 6A 8B",
    "8.C 6B 8A 8.G+ 6F+ 8G+",
    "4.A A",
];

const CHORDS: &str = "Key: Am\nMeter: 6/8\n[A]\nAm | G | Am | E\nAm | G | Am E | Am\n";

fn selection(window: &Window) -> Selection {
    *window.state().session().selection()
}

fn tune(window: &Window, bar: usize) -> Vec<TuneNote> {
    document(window).bar(bar).expect("a bar").tune.clone()
}

/// Types a line: letters write, digits and `.` are lengths, `+` is a semitone up.
fn write(window: &mut Window, line: &str) {
    for c in line.chars().filter(|c| !c.is_whitespace()) {
        let key = match c {
            '.' => Key::Period,
            '+' => Key::Plus,
            other => Key::from_name(&other.to_string()).expect("a key"),
        };
        press(window, &[key]);
    }
}

#[test]
fn t_shows_the_lane_and_goes_there_and_an_empty_one_can_be_closed() {
    let mut window = open();
    let lane = |window: &Window| names(window).iter().any(|n| n.contains(", tune:"));
    assert!(!lane(&window));
    press(&mut window, &[Key::T]);
    assert_eq!(selection(&window).lane, Lane::Tune);
    assert!(lane(&window));
    let cell = name_starting(&window, "bar 1, beat 1, tune:");
    assert_eq!(cell, "bar 1, beat 1, tune: rest");
    assert!(window.get_by_label(&cell).is_focused());
    press_with(&mut window, Modifiers::SHIFT, Key::T);
    assert!(!lane(&window));
    assert_eq!(selection(&window).lane, Lane::Fingers);
    // With a note in it, it stays.
    press(&mut window, &[Key::T, Key::G]);
    press_with(&mut window, Modifiers::SHIFT, Key::T);
    assert!(lane(&window));
}

#[test]
fn a_tune_of_eight_bars_is_written_by_keys_alone() {
    let mut window = sized(1400.0, 900.0, Some(CHORDS));
    press(&mut window, &[Key::T]);
    for line in GREENSLEEVES {
        write(&mut window, line);
    }
    let counts: Vec<usize> = (0..8).map(|bar| tune(&window, bar).len()).collect();
    assert_eq!(counts, [5, 5, 5, 4, 5, 5, 6, 2]);
    for (start, name) in [
        ("bar 1, beat 1, tune:", "C 5, two thirds of a beat"),
        ("bar 1, beat 2, tune:", "E 5, a half"),
        (
            "bar 1, beat 2 and 0.5 of a beat, tune:",
            "F sharp 5, 1/6 of a beat",
        ),
        ("bar 2, beat 2, tune:", "G 4"),
        ("bar 3, beat 2 and 0.5 of a beat, tune:", "G sharp 4"),
        ("bar 4, beat 1, tune:", "B 4"),
        ("bar 8, beat 1, tune:", "A 4, one beat"),
    ] {
        let found = name_starting(&window, start);
        let said = found.trim_start_matches(start).trim_start();
        let name = name.replace("a half", "half a beat");
        assert!(said.starts_with(&name), "{found}");
    }
    // Every bar is full, so nothing was lost at a barline.
    let full = document(&window).meter.bar();
    for bar in 0..8 {
        let length: u32 = tune(&window, bar).iter().map(|note| note.length.0).sum();
        assert_eq!(length, full.0, "bar {}", bar + 1);
    }
    let label = window.state().session().undo_label().map(str::to_owned);
    assert_eq!(label.as_deref(), Some("Change tune in bar 8"));
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(tune(&window, 7).len(), 1);
}

#[test]
fn keys_change_pitch_length_and_place_of_a_note() {
    let mut window = open();
    press(&mut window, &[Key::T, Key::G]);
    let note = |window: &Window| {
        let note = tune(window, 0)[0];
        (note.at.0, note.length.0, note.pitch.number())
    };
    assert_eq!(note(&window), (0, 960, 67));
    for (modifiers, key, after) in [
        (Modifiers::SHIFT, Key::ArrowUp, (0, 960, 68)),
        (Modifiers::NONE, Key::Minus, (0, 960, 67)),
        (Modifiers::COMMAND, Key::ArrowUp, (0, 960, 79)),
        (Modifiers::COMMAND, Key::ArrowDown, (0, 960, 67)),
        (Modifiers::SHIFT, Key::ArrowRight, (0, 1440, 67)),
        (Modifiers::SHIFT, Key::ArrowLeft, (0, 960, 67)),
        (Modifiers::ALT, Key::ArrowRight, (480, 960, 67)),
        (Modifiers::ALT, Key::ArrowLeft, (0, 960, 67)),
    ] {
        press_with(&mut window, modifiers, key);
        assert_eq!(note(&window), after, "{modifiers:?} {key:?}");
    }
    press(&mut window, &[Key::Delete]);
    assert!(tune(&window, 0).is_empty());
}

#[test]
fn a_tie_over_the_barline_is_one_note_in_two_bars() {
    let mut window = open();
    press(&mut window, &[Key::T, Key::Num1, Key::G, Key::Num2, Key::T]);
    let name = name_starting(&window, "bar 2, beat 1, tune:");
    assert_eq!(
        name,
        "bar 2, beat 1, tune: G 4, two beats, tied to the note before"
    );
    assert!(tune(&window, 1)[0].tied);
    press(&mut window, &[Key::Backspace]);
    assert!(tune(&window, 0).is_empty() && tune(&window, 1).is_empty());
}

#[test]
fn what_cannot_be_tied_says_why() {
    let mut window = open();
    press(&mut window, &[Key::T, Key::T]);
    let notices = window.state().session().notices();
    assert!(
        notices.iter().any(|n| n.text.contains("held on")),
        "{notices:?}"
    );
}

#[test]
fn arrows_reach_the_lane_from_the_fingers_and_from_the_row_above() {
    let mut window = open();
    press(&mut window, &[Key::T, Key::Num6, Key::G]);
    let place = |window: &Window| (selection(window).lane, selection(window).place);
    let at = |bar, ticks| Place {
        bar,
        at: Ticks(ticks),
    };
    assert_eq!(place(&window), (Lane::Tune, at(0, 240)));
    press(&mut window, &[Key::ArrowRight, Key::ArrowRight]);
    assert_eq!(place(&window), (Lane::Tune, at(0, 720)));
    // The other lanes have no place between the columns.
    press(&mut window, &[Key::ArrowDown]);
    assert_eq!(place(&window), (Lane::Fingers, at(0, 480)));
    press(&mut window, &[Key::ArrowDown, Key::ArrowDown]);
    assert_eq!(place(&window), (Lane::Tune, at(4, 480)));
    press(&mut window, &[Key::ArrowUp, Key::ArrowUp]);
    assert_eq!(place(&window), (Lane::Fingers, at(0, 480)));
    press(&mut window, &[Key::ArrowUp]);
    assert_eq!(place(&window), (Lane::Tune, at(0, 480)));
}

#[test]
fn letters_in_the_other_lanes_and_in_fields_write_no_tune() {
    let mut window = open();
    press(&mut window, &[Key::T, Key::ArrowDown, Key::A, Key::E]);
    press(&mut window, &[Key::ArrowDown, Key::A, Key::B]);
    assert!(!document(&window).has_tune());
    press(&mut window, &[Key::T]);
    window.get_by_label("Title").focus();
    settle(&mut window);
    press(&mut window, &[Key::A, Key::Num4, Key::R]);
    assert!(!document(&window).has_tune());
}

#[test]
fn a_click_on_the_fretboard_writes_the_note_of_the_place() {
    let mut window = open();
    press(&mut window, &[Key::T]);
    let board = name_starting(&window, "fretboard:");
    let rect = window.get_by_label(&board).rect();
    // The highest string lies in the first sixth; past the nut and before fret 1 is fret 1: F4.
    let pos = rect.min + egui::vec2(rect.width() * 0.08, rect.height() * 0.06);
    window.hover_at(pos);
    window.drag_at(pos);
    window.drop_at(pos);
    settle(&mut window);
    let cell = name_starting(&window, "bar 1, beat 1, tune:");
    assert_eq!(cell, "bar 1, beat 1, tune: F 4, one beat");
    assert_eq!(selection(&window).place.at, Ticks(960));
}

/// Drags from one point to another, in steps as a hand does.
fn drag(window: &mut Window, from: egui::Pos2, to: egui::Pos2) {
    window.hover_at(from);
    window.run();
    window.drag_at(from);
    window.run();
    for step in 1..=4u8 {
        window.hover_at(from + (to - from) * (f32::from(step) / 4.0));
        window.run();
    }
    window.drop_at(to);
    settle(window);
}

#[test]
fn a_note_is_dragged_to_another_place_and_by_its_end_to_another_length() {
    let mut window = open();
    press(&mut window, &[Key::T, Key::G]);
    let rect = |window: &Window, start: &str| {
        let name = name_starting(window, start);
        window.get_by_label(&name).rect()
    };
    let note = rect(&window, "bar 1, beat 1, tune:");
    let third = rect(&window, "bar 1, beat 3, tune:");
    let end = egui::pos2(note.right() - 2.0, note.center().y);
    drag(&mut window, end, egui::pos2(third.left(), end.y));
    assert_eq!(tune(&window, 0)[0].length, Ticks(1920));
    let second_bar = rect(&window, "bar 2, beat 1, tune:");
    let held = egui::pos2(note.left() + 6.0, note.center().y);
    drag(
        &mut window,
        held,
        egui::pos2(second_bar.left() + 6.0, held.y),
    );
    assert!(tune(&window, 0).is_empty());
    let moved = tune(&window, 1)[0];
    assert_eq!((moved.at, moved.length), (Ticks(0), Ticks(1920)));
    assert_eq!(selection(&window).place.bar, 1);
}

#[test]
fn a_click_goes_to_a_note_and_takes_its_length_in_hand() {
    let mut window = open();
    press(&mut window, &[Key::T, Key::Num8, Key::G, Key::Num2, Key::A]);
    let first = name_starting(&window, "bar 1, beat 1, tune:");
    click(&mut window, &first);
    assert_eq!(selection(&window).place.at, Ticks(0));
    press(&mut window, &[Key::B]);
    let lengths: Vec<u32> = tune(&window, 0).iter().map(|n| n.length.0).collect();
    assert_eq!(lengths, [480, 1920], "the rhythm stays");
}

#[test]
fn the_panel_writes_and_changes_the_note_as_the_keys_do() {
    let mut window = sized(1400.0, 2700.0, Some(CHART));
    click(&mut window, "Write the tune");
    for name in [
        "half note",
        "dotted",
        "note A",
        "a semitone down",
        "an octave up",
    ] {
        click(&mut window, name);
    }
    let written = |window: &Window| {
        let note = tune(window, 0)[0];
        (note.length.0, note.pitch.number(), note.spelling.pretty())
    };
    assert_eq!(written(&window), (2880, 80, "A♭".into()));
    click(&mut window, "tie to the note before");
    assert_eq!(tune(&window, 0).len(), 2, "held on to the barline");
    assert_eq!(tune(&window, 1)[0].length, Ticks(1920), "and over it");
    click(&mut window, "Rest");
    let first = name_starting(&window, "bar 1, beat 1, tune:");
    click(&mut window, &first);
    click(&mut window, "remove the note");
    assert!(!document(&window).has_tune());
}

#[test]
fn settings_of_the_whole_tune_are_steps_of_their_own() {
    let mut window = sized(1400.0, 2700.0, Some(CHART));
    press(&mut window, &[Key::T, Key::G]);
    click(&mut window, "Plucking under the tune");
    click(&mut window, "With every tune note");
    click(&mut window, "Octave of the tune");
    click(&mut window, "an octave higher");
    let settings = document(&window).tune;
    assert_eq!(settings.density, TuneDensity::EveryNote);
    assert_eq!(settings.octaves, 1);
    click(&mut window, "move the tune: octave down");
    assert_eq!(tune(&window, 0)[0].pitch.number(), 55);
    let label = window.state().session().undo_label().map(str::to_owned);
    assert_eq!(label.as_deref(), Some("Move tune an octave down"));
}

#[test]
fn keys_pressed_in_one_frame_are_taken_in_their_order() {
    let mut window = open();
    let keys = [Key::T, Key::Num8, Key::G, Key::A, Key::A, Key::Num2, Key::B];
    press_in_one_frame(&mut window, &keys);
    let notes: Vec<(u32, u8)> = tune(&window, 0)
        .iter()
        .map(|note| (note.length.0, note.pitch.number()))
        .collect();
    assert_eq!(notes, [(480, 67), (480, 69), (480, 69), (1920, 71)]);
}
