//! Writing the tune: what a letter, a length, a rest or a click becomes at a place. Pure functions
//! of a document, of the length in hand and of the cursor; each gives one edit and the cursor's
//! next place. A letter stands for the note of the key nearest to the note before.

mod desk;

pub use desk::enter;

use crate::arrange::Place;
use crate::document::Document;
use crate::document::Edit;
use crate::score::rhythm::Value;
use crate::score::rhythm::Written;
use crate::theory::Harmony;
use crate::theory::Letter;
use crate::theory::Meter;
use crate::theory::Midi;
use crate::theory::Spelling;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;

/// What a first letter is near to if no note of the tune comes before it: G4, on the highest
/// string of a guitar (own choice).
const FIRST: Midi = Midi::clamped(67);

/// Lengths that can be written, longest first.
pub const VALUES: [Value; 5] = [
    Value::Whole,
    Value::Half,
    Value::Quarter,
    Value::Eighth,
    Value::Sixteenth,
];

/// What is in hand while the tune is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TunePen {
    /// How long the next note is.
    pub length: Written,
    /// Where the note that was just written begins, until the cursor is moved by hand: what
    /// raises, lowers and lengthens means this one.
    pub entered: Option<Place>,
}

impl Default for TunePen {
    fn default() -> Self {
        Self {
            length: plain(Value::Quarter),
            entered: None,
        }
    }
}

/// One thing done to the tune at the cursor.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TuneEntry {
    /// Write the note with this letter.
    Letter(Letter),
    /// Give the note here this sounding pitch, or write it where none sounds.
    Pitch(Midi),
    /// Be silent for the length in hand.
    Rest,
    /// Take the note away.
    Remove,
    /// Go back by a note and take it away, or back over silence.
    RemoveBefore,
    /// Tie the note to the one before, or no longer; where there is none, hold the one before on.
    Tie,
    /// Raise (or lower) the note by semitones.
    Semitones(i8),
    /// Raise (or lower) the note by octaves.
    Octaves(i8),
    /// Make the note a step longer, or shorter.
    Longer(bool),
    /// Move the note a step later, or earlier.
    Later(bool),
    /// Take this length in hand, and give it to the note that begins here.
    Value(Value),
    /// Lengthen that by half, or no longer.
    Dot,
    /// Put three of that in the time of two, or no longer.
    Triplet,
    /// Have the note at a place end at another.
    Until(Place, Place),
    /// Have the note at a place begin at another.
    Move(Place, Place),
}

/// What came of an entry.
#[derive(Clone, PartialEq, Debug)]
pub struct Entered {
    /// The change of the document, if there is one.
    pub edit: Option<Edit>,
    /// Where the cursor goes.
    pub cursor: Place,
    /// What is in hand afterwards.
    pub pen: TunePen,
    /// The written pitch that is to be heard.
    pub heard: Option<Midi>,
}

const fn plain(value: Value) -> Written {
    Written {
        value,
        dotted: false,
        triplet: false,
    }
}

/// The length in ticks of a written value.
#[must_use]
pub fn ticks_of(length: Written, meter: Meter) -> Ticks {
    length.ticks(meter)
}

/// The written value that lasts so long, if one does.
#[must_use]
pub fn value_of(length: Ticks, meter: Meter) -> Option<Written> {
    let forms = [(false, false), (true, false), (false, true)];
    let all = VALUES.iter().flat_map(|value| {
        forms.map(|(dotted, triplet)| Written {
            value: *value,
            dotted,
            triplet,
        })
    });
    let mut fitting = all.filter(|written| !(written.triplet && meter.is_compound()));
    fitting.find(|written| has_form(*written) && written.ticks(meter) == length)
}

/// Sixteenths are the shortest that can be counted, so they take no dot.
fn has_form(written: Written) -> bool {
    !(written.dotted && written.value == Value::Sixteenth)
}

/// The step by which notes are moved and lengthened: a column of the grid, or less if the length
/// in hand is shorter.
#[must_use]
pub fn step_of(pen: &TunePen, meter: Meter) -> u32 {
    let column = TICKS_PER_BEAT / meter.divisions();
    pen.length.ticks(meter).0.clamp(1, column)
}

/// The place nearest to one that lies on a step of its bar.
#[must_use]
pub fn snap(document: &Document, pen: &TunePen, place: Place) -> Place {
    let step = step_of(pen, document.meter);
    let at = (place.at.0 + step / 2) / step * step;
    let at = Ticks(at.min(document.bar_length(place.bar).0));
    Place { at, ..place }
}

/// The cursor one step on or back: by the length in hand, at most a beat, and never past the begin
/// or the end of a note.
#[must_use]
pub fn cursor_step(document: &Document, pen: &TunePen, from: Place, on: bool) -> Place {
    let points = |bar: usize| {
        let length = document.bar_length(bar).0;
        let step = pen.length.ticks(document.meter).0.clamp(1, TICKS_PER_BEAT);
        let steps = (0..).map(move |i| i * step);
        let mut points: Vec<u32> = steps.take_while(|at| *at < length).collect();
        let notes = document.bar(bar).map(|bar| bar.tune.as_slice());
        let ends = notes.unwrap_or_default().iter();
        points.extend(ends.flat_map(|note| [note.at.0, note.end().0]));
        points.retain(|at| *at < length);
        points.sort_unstable();
        points
    };
    let here = points(from.bar);
    if on {
        if let Some(at) = here.iter().find(|at| **at > from.at.0) {
            return Place {
                at: Ticks(*at),
                ..from
            };
        }
        let next = from.bar + 1;
        return if next < document.n_bars() {
            Place {
                bar: next,
                at: Ticks(0),
            }
        } else {
            from
        };
    }
    if let Some(at) = here.iter().rev().find(|at| **at < from.at.0) {
        return Place {
            at: Ticks(*at),
            ..from
        };
    }
    let Some(bar) = from.bar.checked_sub(1) else {
        return from;
    };
    let at = points(bar).last().copied().unwrap_or_default();
    Place { bar, at: Ticks(at) }
}

/// The note of a key with this letter that lies nearest to a pitch; of two that are equally near,
/// the one with fewer letters between (B to F: down a fourth).
#[must_use]
pub fn nearest(spelling: Spelling, to: Midi, to_spelling: Spelling) -> Option<Midi> {
    let staff = |spelling: Spelling, octave: i32| 7 * octave + spelling.letter() as i32;
    let home = to_spelling.octave_of(to);
    let octaves = (home - 1)..=(home + 1);
    let pitches = octaves.filter_map(|octave| Some((octave, spelling.in_octave(octave)?)));
    let distance = |(octave, pitch): &(i32, Midi)| {
        let semitones = i32::from(pitch.number()) - i32::from(to.number());
        let letters = staff(spelling, *octave) - staff(to_spelling, home);
        (semitones.abs(), letters.abs())
    };
    pitches.min_by_key(distance).map(|(_, pitch)| pitch)
}

/// How a pitch is spelled at a place: as the chord in force has it, else as the key does.
#[must_use]
pub fn spelling_at(document: &Document, place: Place, pitch: Midi, rising: bool) -> Spelling {
    let class = pitch.pitch_class();
    let chord = document.harmony_at(place.bar, place.at);
    let of_chord = chord.and_then(Harmony::chord).and_then(|c| c.spell(class));
    of_chord.unwrap_or_else(|| document.key.spell(class, rising))
}

/// Writes every note of the tune an octave higher or lower; `None` if there are none, or if one of
/// them can't go there.
#[must_use]
pub fn moved_by_octave(document: &Document, up: bool) -> Option<Edit> {
    let (by, direction) = if up { (12, "up") } else { (-12, "down") };
    let mut edits = Vec::new();
    for (bar, written) in document.bars().enumerate() {
        let mut notes = written.tune.clone();
        for note in &mut notes {
            note.pitch = note.pitch.up(by)?;
        }
        if !notes.is_empty() {
            edits.push(Edit::SetTune { bar, notes });
        }
    }
    let label = format!("Move tune an octave {direction}");
    (!edits.is_empty()).then_some(Edit::Together { label, edits })
}

#[cfg(test)]
mod tests;
