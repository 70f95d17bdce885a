//! Tests of the three voices on a bar written by hand: Gould, Behind Bars, from memory, on stems of
//! outer and inner voices and on rests of inner ones.

use super::*;
use crate::arrange::Place;
use crate::arrange::PluckFinger;
use crate::document::Bar;
use crate::document::Section;
use crate::document::TuneNote;
use crate::instrument::StringIdx;
use crate::theory::Letter;
use crate::theory::Midi;
use crate::theory::Spelling;
use std::sync::Arc;

const C: Spelling = Spelling::new(Letter::C, 0);

fn tune_note(at: u32, length: u32) -> TuneNote {
    TuneNote {
        at: Ticks(at),
        length: Ticks(length),
        pitch: Midi::clamped(72),
        spelling: C,
        tied: false,
    }
}

fn played(lane: Lane, at: u32, length: u32) -> PlayedNote {
    PlayedNote {
        place: Place {
            bar: 0,
            at: Ticks(at),
        },
        length: Ticks(length),
        string: StringIdx(3),
        fret: 5,
        finger: None,
        pluck: PluckFinger::I,
        lane,
        pitch: Midi::clamped(60),
        spelling: C,
        thumb_move: None,
        articulation: Articulation::Ring,
        slide_from: None,
    }
}

fn bar(tune: &[TuneNote], notes: Vec<PlayedNote>) -> BarVoices {
    let written = Bar {
        tune: tune.to_vec(),
        ..Bar::default()
    };
    let section = Section {
        name: String::new(),
        bars: vec![written],
    };
    let document = Document {
        sections: vec![Arc::new(section)],
        ..Document::default()
    };
    let arrangement = Arrangement {
        notes,
        ..Arrangement::default()
    };
    Writer::new(&document, &arrangement).bar(0, document.meter.bar(), false)
}

/// Places of what a voice strikes, as eighths, with the ways of its stems.
fn inner(voices: &BarVoices) -> String {
    let inner = voices.inner();
    let words = inner.iter().zip(&voices.fingers_up);
    let words = words.filter(|(piece, _)| !piece.notes().is_empty());
    let words = words.map(|(p, up)| format!("{}{}", p.at.0 / 480, if *up { '^' } else { 'v' }));
    words.collect::<Vec<String>>().join(" ")
}

#[test]
fn the_tune_keeps_its_written_length_whatever_the_fingers_strike() {
    let tune = [tune_note(0, 1920), tune_note(1920, 1920)];
    // The hand lets go of the first note early.
    let notes = vec![
        played(Lane::Tune, 0, 960),
        played(Lane::Fingers, 480, 480),
        played(Lane::Tune, 1920, 1920),
    ];
    let voices = bar(&tune, notes);
    let lengths: Vec<u32> = voices.tune.iter().map(|piece| piece.length.0).collect();
    assert_eq!(lengths, [1920, 1920]);
    assert_eq!(inner(&voices), "1^");
}

#[test]
fn what_is_as_long_as_the_tune_shares_its_stem_and_all_else_does_not() {
    let tune = [tune_note(0, 1440), tune_note(1440, 480)];
    let notes = vec![
        played(Lane::Tune, 0, 1440),
        played(Lane::Fingers, 0, 1440),
        played(Lane::Tune, 1440, 480),
        played(Lane::Fingers, 1440, 960),
    ];
    let voices = bar(&tune, notes.clone());
    // The second one rings on under the tune: tied over the beat, stems down.
    assert_eq!(inner(&voices), "3v 4v");
    let upper: Vec<usize> = voices.upper().iter().map(|p| p.notes().len()).collect();
    assert_eq!(upper[..2], [2, 1]);
    let mut short = notes;
    short[1].articulation = Articulation::Short;
    assert_eq!(inner(&bar(&tune, short)), "0v 3v 4v");
}

#[test]
fn stems_under_one_beam_go_one_way() {
    let tune = [tune_note(0, 960)];
    let notes = vec![
        played(Lane::Tune, 0, 960),
        played(Lane::Fingers, 0, 480),
        played(Lane::Fingers, 480, 480),
    ];
    assert_eq!(inner(&bar(&tune, notes)), "0v 1v");
}

#[test]
fn without_a_tune_the_fingers_are_the_upper_voice() {
    let voices = bar(&[], vec![played(Lane::Fingers, 480, 960)]);
    assert!(!voices.has_tune());
    assert!(voices.fingers_up.iter().all(|up| *up));
}
