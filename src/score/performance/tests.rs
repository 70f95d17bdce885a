//! Tables of timing: where off-beats fall, how long notes sound, what the play-head shows. Check
//! values of the swing ratio are worked out by hand from its definition, long over short.

use super::Performance;
use super::perform;
use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::arrange::PlayedNote;
use crate::arrange::PluckFinger;
use crate::document::Bar;
use crate::document::Document;
use crate::document::Feel;
use crate::document::Section;
use crate::instrument::StringIdx;
use crate::score::swing_ratio;
use crate::theory::Articulation;
use crate::theory::Letter;
use crate::theory::Meter;
use crate::theory::Midi;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use std::sync::Arc;

fn document(meter: &str, feel: Feel, tempo_bpm: u16, lengths: &[Option<u32>]) -> Document {
    let bars = (lengths.iter())
        .map(|length| Bar {
            length: length.map(Ticks),
            ..Bar::default()
        })
        .collect();
    Document {
        meter: Meter::parse(meter).unwrap_or(Meter::COMMON),
        feel,
        tempo_bpm,
        sections: vec![Arc::new(Section {
            name: String::new(),
            bars,
        })],
        ..Document::default()
    }
}

fn note(bar: usize, at: u32, length: u32, string: u8, lane: Lane) -> PlayedNote {
    PlayedNote {
        place: Place { bar, at: Ticks(at) },
        length: Ticks(length),
        string: StringIdx(string),
        fret: 2,
        finger: None,
        pluck: PluckFinger::I,
        lane,
        pitch: Midi::clamped(60),
        spelling: Spelling::new(Letter::C, 0),
        thumb_move: None,
        articulation: Articulation::Ring,
        slide_from: None,
    }
}

fn played(document: &Document, notes: Vec<PlayedNote>) -> Performance {
    let arrangement = Arrangement {
        notes,
        ..Arrangement::default()
    };
    perform(document, &arrangement, None)
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn off_beats_lie_at_r_over_one_plus_r_of_the_beat() {
    // Ratio in thousandths, tempo, milliseconds from the beat to its off-beat.
    const ROWS: [(u16, u16, f64); 8] = [
        (1000, 120, 250.0),
        (1300, 120, 282.608_695_652),
        (1500, 120, 300.0),
        (2000, 120, 333.333_333_333),
        (2500, 120, 357.142_857_143),
        (3000, 120, 375.0),
        (3500, 120, 388.888_888_889),
        (2000, 60, 666.666_666_667),
    ];
    for (permille, tempo_bpm, expected_ms) in ROWS {
        let document = document("4/4", Feel::Swing(permille), tempo_bpm, &[None]);
        let beat_s = 60.0 / f64::from(tempo_bpm);
        for beat in 0..4u32 {
            let performance = played(
                &document,
                vec![note(0, beat * 960 + 480, 480, 3, Lane::Fingers)],
            );
            let start_s = performance.notes.first().map_or(-1.0, |n| n.start_s);
            let expected_s = f64::from(beat) * beat_s + expected_ms / 1000.0;
            assert!((start_s - expected_s).abs() < 1e-9, "{permille}: {start_s}");
        }
    }
}

#[test]
fn following_the_tempo_keeps_the_short_note_at_a_tenth_of_a_second() {
    const ROWS: [(u16, f64); 7] = [
        (60, 2.5),
        (120, 2.5),
        (171, 2.5),
        (200, 2.0),
        (240, 1.5),
        (300, 1.0),
        (320, 1.0),
    ];
    for (tempo_bpm, expected) in ROWS {
        let ratio = swing_ratio(Feel::FollowTempo, tempo_bpm, Meter::COMMON);
        assert!((ratio - expected).abs() < 0.01, "{tempo_bpm}: {ratio}");
    }
}

#[test]
fn compound_metres_and_thirds_of_a_beat_are_not_swung() {
    let compound = document("12/8", Feel::Swing(3000), 60, &[None]);
    for (at, expected_s) in [(320, 1.0 / 3.0), (640, 2.0 / 3.0), (960, 1.0)] {
        let performance = played(&compound, vec![note(0, at, 320, 3, Lane::Fingers)]);
        assert!(
            performance
                .notes
                .iter()
                .all(|n| close(n.start_s, expected_s))
        );
    }
    let simple = document("4/4", Feel::Swing(3000), 60, &[None]);
    for (at, expected_s) in [
        (320, 1.0 / 3.0),
        (640, 2.0 / 3.0),
        (240, 0.375),
        (720, 0.875),
    ] {
        let performance = played(&simple, vec![note(0, at, 240, 3, Lane::Fingers)]);
        assert!(
            performance
                .notes
                .iter()
                .all(|n| close(n.start_s, expected_s))
        );
    }
}

#[test]
fn bars_follow_each_other_at_their_lengths() {
    // Metre, tempo, seconds of a bar.
    for (meter, tempo_bpm, bar_s) in [
        ("4/4", 120, 2.0),
        ("3/4", 90, 2.0),
        ("5/4", 100, 3.0),
        ("6/8", 60, 2.0),
        ("12/8", 80, 3.0),
    ] {
        let document = document(meter, Feel::Swing(2000), tempo_bpm, &[None, None, None]);
        let performance = played(&document, vec![note(2, 0, 960, 0, Lane::Thumb)]);
        assert!(close(performance.total_s, 3.0 * bar_s), "{meter}");
        assert!(
            performance
                .notes
                .iter()
                .all(|n| close(n.start_s, 2.0 * bar_s))
        );
        let beats = performance.bars.first().map_or(0, |b| b.beats_s.len());
        assert_eq!(beats, document.meter.beats() as usize, "{meter}");
    }
}

#[test]
fn a_pick_up_ends_on_the_bar_line_and_swings_as_the_end_of_a_bar() {
    // An eighth before the bar: it lasts from 2/3 of a beat to its end.
    let document = document("4/4", Feel::Swing(2000), 60, &[Some(480), None]);
    let performance = played(
        &document,
        vec![
            note(0, 0, 480, 4, Lane::Tune),
            note(1, 480, 480, 4, Lane::Tune),
        ],
    );
    let starts: Vec<f64> = performance.notes.iter().map(|n| n.start_s).collect();
    let third = 1.0 / 3.0;
    assert!(
        close(starts[0], 0.0) && close(starts[1], third + 2.0 * third),
        "{starts:?}"
    );
    assert!(close(performance.bars[1].start_s, third));
}

#[test]
fn notes_sound_as_long_as_their_articulation_says() {
    let document = document("4/4", Feel::Straight, 60, &[None]);
    let mut short = note(0, 480, 480, 3, Lane::Fingers);
    short.articulation = Articulation::Short;
    let mut ghost = note(0, 0, 960, 1, Lane::Thumb);
    ghost.thumb_move = Some(ThumbMove::Ghost);
    let mut rest = note(0, 0, 960, 2, Lane::Thumb);
    rest.thumb_move = Some(ThumbMove::Rest);
    // Each with the seconds it should sound.
    for (note, expected_s) in [
        (note(0, 0, 960, 0, Lane::Thumb), 0.93),
        (note(0, 0, 1920, 3, Lane::Fingers), 2.0),
        (note(0, 0, 960, 4, Lane::Tune), 1.0),
        (short, 0.24),
        (ghost, 0.24),
    ] {
        let performance = played(&document, vec![note]);
        let timed = performance.notes[0];
        assert!(close(timed.end_s - timed.start_s, expected_s), "{timed:?}");
        assert_eq!(timed.muted, note.thumb_move == Some(ThumbMove::Ghost));
    }
    assert!(played(&document, vec![rest]).notes.is_empty());
}

#[test]
fn a_string_sounds_one_note_at_a_time() {
    let document = document("4/4", Feel::Straight, 60, &[None, None]);
    let performance = played(
        &document,
        vec![
            note(0, 0, 3840, 3, Lane::Fingers),
            note(0, 960, 3840, 2, Lane::Fingers),
            note(0, 1920, 480, 3, Lane::Fingers),
        ],
    );
    let ends: Vec<f64> = performance.notes.iter().map(|n| n.end_s).collect();
    assert!(
        close(ends[0], 2.0) && close(ends[1], 5.0) && close(ends[2], 2.5),
        "{ends:?}"
    );
    assert_eq!(performance.sounding_at(1.5).count(), 2);
    assert_eq!(performance.sounding_at(3.0).count(), 1);
}

#[test]
fn slides_know_where_they_come_from() {
    let document = document("4/4", Feel::Straight, 60, &[None]);
    for (from, expected) in [(Some(1), 1), (Some(3), -1), (Some(0), 2), (None, 0)] {
        let mut slid = note(0, 0, 960, 3, Lane::Fingers);
        slid.slide_from = from;
        let performance = played(&document, vec![slid]);
        assert_eq!(performance.notes[0].slide_semitones, expected);
    }
}

#[test]
fn the_play_head_is_over_a_slot_exactly_when_it_sounds() {
    let document = document("4/4", Feel::Swing(2000), 60, &[None, None]);
    let performance = played(&document, Vec::new());
    // Seconds, bar, slot in ticks, way through the bar.
    for (seconds, bar, at, fraction) in [
        (0.0, 0, 0, 0.0),
        (0.6, 0, 0, 0.1125),
        (2.0 / 3.0, 0, 480, 0.125),
        (1.0, 0, 960, 0.25),
        (5.0 + 2.0 / 3.0, 1, 1440, 0.375),
    ] {
        let place = Place { bar, at: Ticks(at) };
        let found = performance.place_at(seconds);
        assert!(
            found.is_some_and(|(p, f)| p == place && (f - fraction).abs() < 1e-5),
            "{seconds}: {found:?}"
        );
    }
    assert_eq!(performance.place_at(8.0), None);
    assert_eq!(performance.place_at(-0.1), None);
}

#[test]
fn a_range_of_bars_begins_at_zero() {
    let document = document("4/4", Feel::Straight, 120, &[None; 4]);
    let arrangement = Arrangement {
        notes: (0..4)
            .map(|bar| note(bar, 960, 960, 0, Lane::Thumb))
            .collect(),
        ..Arrangement::default()
    };
    let part = perform(&document, &arrangement, Some(2..3));
    assert_eq!(part.notes.len(), 1);
    assert_eq!((part.notes[0].note_idx, part.notes[0].played_bar), (2, 0));
    assert!(close(part.notes[0].start_s, 0.5) && close(part.total_s, 2.0));
    assert_eq!(part.place_at(0.1).map(|(place, _)| place.bar), Some(2));
    let (from, to) = (9, 12);
    assert_eq!(
        perform(&document, &arrangement, Some(from..to)),
        perform(&document, &arrangement, Some(4..4))
    );
}

#[test]
fn the_same_place_is_found_in_another_tempo_and_feel() {
    let slow = played(
        &document("4/4", Feel::Swing(2000), 60, &[None; 3]),
        Vec::new(),
    );
    let fast = played(
        &document("4/4", Feel::Straight, 120, &[None; 3]),
        Vec::new(),
    );
    for (seconds, expected) in [(0.0, 0.0), (2.0 / 3.0, 0.25), (4.5, 2.1875), (11.0, 5.5)] {
        let there = slow.same_place_in(&fast, seconds);
        assert!((there - expected).abs() < 1e-6, "{seconds}: {there}");
        let back = fast.same_place_in(&slow, there);
        assert!((back - seconds).abs() < 1e-6, "{seconds}: {back}");
    }
}

/// Nelias and others (2022), Communications Physics 5: downbeats late, off-beats together.
#[test]
fn lay_back_holds_fingers_and_tune_back_on_the_beat_and_nothing_else() {
    let mut document = document("4/4", Feel::Swing(2000), 120, &[None]);
    document.lay_back_ms = 30;
    let notes = vec![
        note(0, 0, 960, 0, Lane::Thumb),
        note(0, 0, 480, 3, Lane::Fingers),
        note(0, 480, 480, 4, Lane::Fingers),
        note(0, 960, 960, 1, Lane::Thumb),
        note(0, 960, 480, 5, Lane::Tune),
        note(0, 1280, 640, 2, Lane::Tune),
        note(0, 1920, 1920, 3, Lane::Fingers),
    ];
    let late = perform(
        &document,
        &Arrangement {
            notes: notes.clone(),
            ..Arrangement::default()
        },
        None,
    );
    document.lay_back_ms = 0;
    let plain = perform(
        &document,
        &Arrangement {
            notes,
            ..Arrangement::default()
        },
        None,
    );
    // By note: how much later it begins and ends, in milliseconds.
    let expected = [(0, 0), (30, 0), (0, 30), (0, 0), (30, 0), (0, 30), (30, 0)];
    for (note_idx, (start_ms, end_ms)) in expected.into_iter().enumerate() {
        let of = |performance: &Performance| {
            let found = performance.notes.iter().find(|n| n.note_idx == note_idx);
            found.map(|n| (n.start_s, n.end_s))
        };
        let ((a, b), (c, d)) = of(&plain).zip(of(&late)).expect("the note");
        assert!(
            (c - a - f64::from(start_ms) / 1000.0).abs() < 1e-9,
            "{note_idx}"
        );
        assert!(
            (d - b - f64::from(end_ms) / 1000.0).abs() < 1e-9,
            "{note_idx}"
        );
    }
    assert_eq!(plain.bars, late.bars, "beats and play-head stay");
    assert!(late.notes.is_sorted_by(|a, b| a.start_s <= b.start_s));
}

#[test]
fn lay_back_never_changes_the_order_of_notes() {
    // The shortest division: an eighth of a dotted beat at 320.
    let mut document = document("12/8", Feel::Straight, 320, &[None]);
    document.lay_back_ms = 40;
    let notes = (0..12)
        .map(|k| note(0, 320 * k, 320, 4, Lane::Tune))
        .collect();
    let arrangement = Arrangement {
        notes,
        ..Arrangement::default()
    };
    let performance = perform(&document, &arrangement, None);
    assert!(
        performance
            .notes
            .is_sorted_by(|a, b| a.note_idx < b.note_idx && a.end_s <= b.start_s)
    );
}
