//! Reads a chart typed as plain text, the way people put chords into an e-mail:
//!
//! ```text
//! Title: Slow Bus Home
//! By: a name
//! Key: Bb
//! Meter: 4/4
//! Tempo: 112
//! Feel: swing 2:1
//!
//! [A]
//! |: Bbmaj7 G7(b9) | Cm7 F7 | Dm7 . . G7 | % |
//! |1. Cm7 | F7 :|2. F7 | Bb6 ||
//! [Bridge]
//! | ii V7 | Imaj7 | N.C. | V7/ii |      # degrees of the key work too
//! Tune: D5 _ C5 A4 | Bb4 | - | G4@2.5 _@4 |
//! ```
//!
//! # Header lines
//! All optional, in any order, once each, above the first bar:
//!
//! | line | what it takes | without it |
//! | --- | --- | --- |
//! | `Title:` `By:` | any text | empty |
//! | `Key:` | `Bb`, `F#m`, `C minor` | C major |
//! | `Meter:` | `4/4` `3/4` `2/4` `5/4` `6/8` `12/8` | 4/4 |
//! | `Tempo:` | beats per minute, 30 to 320 (dotted beats in 6/8 and 12/8) | 120 |
//! | `Feel:` | `straight`, `swing`, `swing 1.5:1`, `follow tempo` | swing 2:1 |
//! | `Lay-back:` | milliseconds by which fingers and tune come late on the beat, 0 to 40 | 0 |
//! | `Tuning:` | a name, or the open strings from the lowest: `D A D G B E` | standard |
//! | `Capo:` | a fret | 0 |
//! | `Pickup:` | beats in a short first bar: `1`, `1.5`, `2/3` | a full bar |
//! | `Lesson:` | a line of words for the student; may come several times | empty |
//!
//! # Bars
//! * Barlines are `|`, a double one `||` or `|]`. The first and the last barline of a line may
//!   be left out, and a bar never runs over the end of a line.
//! * `|:` and `:|` enclose what is played twice, `:|x3` or `:|3x` three times in all. A `:|`
//!   without a `|:` goes back to the beginning.
//! * `|1.` and `|2.` begin endings. An ending runs to the next `:|`, `|:`, `||` or section.
//! * `[Name]` at the start of a line begins a section; bars may follow on the same line.
//! * `%` repeats the chords of the bar before. In an empty bar, as in `| C | |`, the chord
//!   before goes on; so it does at `.` (or `/`) in front of the first chord.
//! * `<2>` at the start of a bar makes it two beats long, whatever the metre.
//!
//! # Beats
//! * Chords alone share the bar in whole beats, as evenly as they can, the earlier ones taking
//!   what is left over: two in 4/4 fall on 1 and 3, two in 3/4 on 1 and 3, three in 4/4 on 1, 3
//!   and 4, two in 5/4 on 1 and 4. More chords than beats share half beats (thirds in 6/8 and
//!   12/8) the same way.
//! * With dots, `C . . G7`, every chord and dot is one place and the places divide the bar
//!   evenly: as many places as beats, or a multiple or a part of that (`C . . . . . . G7` has
//!   eight in 4/4: the G7 comes on the last half beat).
//! * `G7@4.5` puts a chord at any point: beats count from 1, so this is half-way through beat
//!   4. Fractions are fine (`G7@7/3`). In such a bar all chords but the first need a place.
//! * Chords are chord symbols, `N.C.`, or degrees of the key if a `Key:` is given.
//!
//! # Tune lines
//! `Tune:` under a line of bars gives those bars their tune, bar for bar, between plain barlines
//! `|`; the first and the last may be left out, and a bar left empty is silent.
//!
//! * A note is a letter with its signs and its octave: `C5`, `Bb4`, `F#5` (C4 is the middle C).
//!   It sounds up to the next place or the end of the bar.
//! * `-` is silence, `_` lets the note before go on, over the barline too. `_D5` is a note that is
//!   tied to the one before and named.
//! * Notes alone share the bar as chords do; where they are too many for that, they divide it
//!   evenly. With `-` or `_` in it the bar is divided evenly in any case: `C5 D5 _ E5` is one place
//!   for each beat of 4/4, `C5 - D5 _ E5 _ _ _` eight half beats. `C5@2.5` puts a note at any point,
//!   as with chords.
//!
//! # Comments
//! `#` begins a comment at the start of a line or after a space, and it ends with the line. It
//! is no comment inside a word (`F#m7`) or where it begins a degree (`#ivdim7`) that does not
//! open its line. `Title:`, `By:` and `Lesson:` lines keep their `#`.
//!
//! Reading stops at the first thing that makes no sense and says where it is; nothing is skipped.

use super::chart_bars::Bars;
use super::chart_header::Header;
use super::chart_line::Line;
use super::notice::Notice;
use crate::document::Document;

/// Where and why a text is no chart. Lines and columns count from 1, columns in characters.
#[derive(Clone, PartialEq, Eq, Hash, Debug, thiserror::Error)]
#[error("line {line}, column {column}: {message}")]
pub struct ChartError {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong and what was expected.
    pub message: String,
}

/// Reads a chart.
///
/// # Errors
/// The first place that makes no sense, and what was expected there.
pub fn read(text: &str) -> Result<(Document, Vec<Notice>), ChartError> {
    read_onto(text, Document::default())
}

/// Reads a chart into a document that says what the chart leaves open.
///
/// # Errors
/// As [`read`].
pub fn read_onto(text: &str, base: Document) -> Result<(Document, Vec<Notice>), ChartError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut header = Header::onto(base);
    let mut bars = Bars::default();
    for (number, text) in (1..).zip(text.lines()) {
        let line = Line::new(number, text);
        if let Some(at) = line.tune_at() {
            bars.tune(&line, at, &header)?;
        } else if let Some(field) = line.field() {
            if bars.begun() {
                let message = format!("“{}:” must stand above the first bar", field.name);
                return Err(line.error(field.at, message));
            }
            header.read(&line, &field)?;
        } else if !line.is_blank() {
            bars.read(&line, &header)?;
        }
    }
    let mut document = header.document;
    let (sections, notices) = bars.finish();
    document.sections = sections;
    Ok((document, notices))
}
