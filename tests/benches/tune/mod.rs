//! The tune that the solver is measured on: eight bars with the harmonic rhythm of a standard,
//! again and again, up to any length. Everything else is as a new document has it.

use std::sync::Arc;
use thumbwalk::arrange::Problem;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::document::TuneDensity;
use thumbwalk::document::TuneNote;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Midi;
use thumbwalk::theory::Ticks;

/// One and two chords a bar.
const EIGHT_BARS: [&[&str]; 8] = [
    &["Fmaj7"],
    &["Em7b5", "A7b9"],
    &["Dm7", "G13"],
    &["Cm9", "F7#9"],
    &["Bbmaj7"],
    &["Bbm6", "Eb9"],
    &["Am7", "D7alt"],
    &["Gm7", "C7"],
];

/// A melody over them in quarters and halves: beat, beats, key number.
const EIGHT_BARS_SUNG: [&[(u32, u32, u8)]; 8] = [
    &[(0, 2, 69), (2, 1, 72), (3, 1, 69)],
    &[(0, 2, 70), (2, 2, 67)],
    &[(0, 1, 69), (1, 1, 65), (2, 2, 71)],
    &[(0, 2, 70), (2, 1, 68), (3, 1, 69)],
    &[(0, 4, 65)],
    &[(0, 2, 67), (2, 1, 65), (3, 1, 67)],
    &[(0, 1, 72), (1, 1, 71), (2, 2, 70)],
    &[(0, 2, 70), (2, 2, 67)],
];

/// The arranger's problem for that many bars.
pub fn problem(n_bars: usize) -> Problem {
    problem_from_document(&document(n_bars))
}

/// The same with a tune on top, the chords struck with every note of it.
#[allow(dead_code, reason = "not every benchmark measures it")]
pub fn sung_problem(n_bars: usize) -> Problem {
    let mut document = document(n_bars);
    document.tune.density = TuneDensity::EveryNote;
    let key = document.key;
    let note = |(beat, beats, number): &(u32, u32, u8)| {
        let pitch = Midi::new(*number).expect("in range");
        TuneNote {
            at: Ticks::of_beat(*beat),
            length: Ticks::of_beat(*beats),
            pitch,
            spelling: key.spell(pitch.pitch_class(), false),
            tied: false,
        }
    };
    let bars = &mut Arc::make_mut(&mut document.sections[0]).bars;
    for (bar, sung) in bars.iter_mut().zip(EIGHT_BARS_SUNG.iter().cycle()) {
        bar.tune = sung.iter().map(note).collect();
    }
    problem_from_document(&document)
}

/// The tune itself.
#[allow(dead_code, reason = "not every benchmark measures it")]
pub fn document(n_bars: usize) -> Document {
    let bar = |chords: &[&str]| {
        let step = if chords.len() == 2 { 2 } else { 4 };
        let chords = (0u32..).zip(chords).map(|(i, symbol)| ChordAt {
            at: Ticks::of_beat(i * step),
            harmony: Harmony::parse(symbol).expect("a chord"),
            shape: None,
        });
        Bar {
            chords: chords.collect(),
            ..Bar::default()
        }
    };
    let bars = EIGHT_BARS
        .iter()
        .cycle()
        .take(n_bars)
        .map(|chords| bar(chords))
        .collect();
    let section = Section {
        name: "A".into(),
        bars,
    };
    Document {
        sections: vec![Arc::new(section)],
        ..Document::default()
    }
}
