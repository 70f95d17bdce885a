//! The movement table for spreadsheets: a row per bar with its section, form, chords and a column
//! per beat for the codes of the thumb, then the legend. Codes and meanings come from `theory` and
//! are written nowhere else.
//!
//! Layout: RFC 4180 (commas, quotation marks doubled, CRLF), in UTF-8 with a mark at the start, by
//! which spreadsheets know the arrows for what they are.

use crate::arrange::Arrangement;
use crate::document::Bar;
use crate::document::ChordAt;
use crate::document::Document;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::theory::beats;

/// Columns before the beats.
const HEADS: [&str; 4] = ["bar", "section", "form", "chords"];

/// The table.
#[must_use]
pub fn write(document: &Document, arrangement: &Arrangement) -> String {
    let full = document.meter.bar();
    let lengths = document.bars().map(|bar| bar.length.unwrap_or(full));
    let n_beats = lengths.map(n_beats).max().unwrap_or(0).max(n_beats(full));
    let mut rows = vec![heads(n_beats)];
    let mut number = 0;
    for section in &document.sections {
        for bar in &section.bars {
            rows.push(row(
                document,
                arrangement,
                (number, bar),
                &section.name,
                n_beats,
            ));
            number += 1;
        }
    }
    rows.push(Vec::new());
    rows.push(vec!["code".into(), "meaning".into()]);
    let legend = ThumbMove::ALL.iter();
    rows.extend(legend.map(|m| vec![m.code().into(), m.words().into()]));
    let width = HEADS.len() + n_beats as usize;
    let mut text = String::from('\u{FEFF}');
    for mut row in rows {
        row.resize(width, String::new());
        let fields: Vec<String> = row.iter().map(|field| quoted(field)).collect();
        text.push_str(&fields.join(","));
        text.push_str("\r\n");
    }
    text
}

const fn n_beats(length: Ticks) -> u32 {
    length.0.div_ceil(TICKS_PER_BEAT)
}

fn heads(n_beats: u32) -> Vec<String> {
    let beats = (1..=n_beats).map(|beat| format!("beat {beat}"));
    HEADS
        .iter()
        .map(|head| (*head).into())
        .chain(beats)
        .collect()
}

fn row(
    document: &Document,
    arrangement: &Arrangement,
    (number, bar): (usize, &Bar),
    section: &str,
    n_beats: u32,
) -> Vec<String> {
    let chords = bar.chords.iter().map(|chord| chord_text(document, chord));
    let chords: Vec<String> = chords.collect();
    let codes = (0..n_beats).map(|beat| {
        let here = arrangement.notes_in_bar(number);
        let here = here.filter(|note| note.place.at.beat_idx() == beat);
        let codes = here.filter_map(|note| note.thumb_move).map(ThumbMove::code);
        codes.collect::<Vec<&str>>().join(" ")
    });
    let first = [
        (number + 1).to_string(),
        section.trim().into(),
        form(document, number, bar),
        chords.join(" "),
    ];
    first.into_iter().chain(codes).collect()
}

/// The symbol in the house style, with its beat behind an `@` unless it begins the bar, as in a
/// chart.
fn chord_text(document: &Document, chord: &ChordAt) -> String {
    let printed = chord.harmony.printed(document.house_style);
    if chord.at.0 == 0 {
        return printed;
    }
    let beat = beats::amount_text(Ticks(chord.at.0 + TICKS_PER_BEAT));
    format!("{printed}@{beat}")
}

/// Pick-up, repeats and endings in words.
fn form(document: &Document, number: usize, bar: &Bar) -> String {
    let full = document.meter.bar();
    let mut words: Vec<String> = Vec::new();
    if let Some(length) = bar.length.filter(|length| *length != full) {
        let beats = beats::amount_text(length);
        words.push(if number == 0 && length < full {
            "pick-up".into()
        } else {
            format!("{beats} beats long")
        });
    }
    if bar.repeat_start {
        words.push("repeat begins".into());
    }
    if bar.ending > 0 {
        words.push(format!("ending {}", bar.ending));
    }
    match bar.repeat_times {
        0 => {}
        2 => words.push("repeat ends".into()),
        times => words.push(format!("repeat ends, {times} times in all")),
    }
    words.join("; ")
}

fn quoted(field: &str) -> String {
    let plain = field.replace(['\r', '\n'], " ");
    if plain.contains([',', '"']) {
        format!("\"{}\"", plain.replace('"', "\"\""))
    } else {
        plain
    }
}
