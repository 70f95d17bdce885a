//! The tune that the solver is measured on: eight bars with the harmonic rhythm of a standard,
//! again and again, up to any length. Everything else is as a new document has it.

use std::sync::Arc;
use thumbwalk::arrange::Problem;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Harmony;
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

/// The arranger's problem for that many bars.
pub fn problem(n_bars: usize) -> Problem {
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
    problem_from_document(&Document {
        sections: vec![Arc::new(section)],
        ..Document::default()
    })
}
