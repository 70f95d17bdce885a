//! Writing the tune: what a letter, a length, a rest or a click becomes at a place. Pure functions
//! of a document, of the length in hand and of the cursor; each gives one edit and the cursor's
//! next place. A letter stands for the note of the key nearest to the note before.

use super::tune_draft::Struck;
use super::tune_draft::TuneDraft;
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

/// What an entry does at the cursor.
///
/// # Errors
/// If it can't be done here; why, in words for the user.
pub fn enter(
    document: &Document,
    pen: TunePen,
    cursor: Place,
    entry: TuneEntry,
) -> Result<Entered, String> {
    let draft = TuneDraft::new(document);
    let now = draft.time(cursor);
    let desk = Desk {
        document,
        draft,
        pen,
        cursor,
        now,
    };
    match entry {
        TuneEntry::Letter(letter) => desk.letter(letter),
        TuneEntry::Pitch(pitch) => desk.pitch(pitch),
        TuneEntry::Rest => Ok(desk.rest()),
        TuneEntry::Remove => Ok(desk.remove()),
        TuneEntry::RemoveBefore => Ok(desk.remove_before()),
        TuneEntry::Tie => desk.tie(),
        TuneEntry::Semitones(by) => desk.shifted(i32::from(by), true),
        TuneEntry::Octaves(by) => desk.shifted(12 * i32::from(by), false),
        TuneEntry::Longer(longer) => Ok(desk.longer(longer)),
        TuneEntry::Later(later) => Ok(desk.later(later)),
        TuneEntry::Value(_) | TuneEntry::Dot | TuneEntry::Triplet => desk.take_length(entry),
        TuneEntry::Until(note, until) => Ok(desk.until(note, until)),
        TuneEntry::Move(note, to) => Ok(desk.moved(note, to)),
    }
}

/// Everything at hand while one entry is made.
struct Desk<'a> {
    document: &'a Document,
    draft: TuneDraft<'a>,
    pen: TunePen,
    cursor: Place,
    now: u64,
}

impl Desk<'_> {
    fn pen_ticks(&self) -> u64 {
        u64::from(self.pen.length.ticks(self.document.meter).0)
    }

    fn step(&self) -> u64 {
        u64::from(step_of(&self.pen, self.document.meter))
    }

    /// The note that raising and lengthening mean: the one just written, else the one here, else
    /// the one that ends here.
    fn meant(&self) -> Option<Struck> {
        let begins = |time: &u64| self.draft.struck_at(*time).filter(|s| s.from == *time);
        let entered = self.pen.entered.map(|place| self.draft.time(place));
        let before = || {
            let before = self.draft.struck_before(self.now);
            before.filter(|struck| struck.until() == self.now)
        };
        let entered = entered.as_ref().and_then(begins);
        entered
            .or_else(|| self.draft.struck_at(self.now))
            .or_else(before)
    }

    fn done(self, cursor: u64, pen: TunePen, heard: Option<Midi>) -> Entered {
        let place = self.draft.place(cursor);
        let label = format!("Change tune in bar {}", self.cursor.bar + 1);
        let mut edits = self.draft.into_edits();
        let edit = match edits.len() {
            0 => None,
            1 => edits.pop(),
            _ => Some(Edit::Together { label, edits }),
        };
        Entered {
            edit,
            cursor: place.unwrap_or(self.cursor),
            pen,
            heard,
        }
    }

    /// Nothing changes but what is in hand.
    fn stay(self) -> Entered {
        let (now, pen) = (self.now, self.pen);
        self.done(now, pen, None)
    }

    /// Writes a note of the length in hand at the cursor and goes on to its end.
    fn put(mut self, pitch: Midi, spelling: Spelling, tied: bool) -> Entered {
        let note = Struck {
            from: self.now,
            length: self.pen_ticks(),
            pitch,
            spelling,
        };
        self.draft.write(note, tied);
        let pen = TunePen {
            entered: Some(self.cursor),
            ..self.pen
        };
        self.done(note.until(), pen, Some(pitch))
    }

    fn letter(self, letter: Letter) -> Result<Entered, String> {
        let key = self.document.key;
        let spelling = Spelling::new(letter, key.alter_of(letter));
        let before = self.draft.struck_before(self.now);
        let near = before.or_else(|| self.draft.struck_from(self.now));
        let (to, to_spelling) = near.map_or((FIRST, Spelling::new(Letter::G, 0)), |s| {
            (s.pitch, s.spelling)
        });
        let pitch = nearest(spelling, to, to_spelling).ok_or_else(out_of_range)?;
        Ok(self.put(pitch, spelling, false))
    }

    fn pitch(mut self, sounding: Midi) -> Result<Entered, String> {
        let down = -12 * i32::from(self.document.tune.octaves);
        let pitch = sounding.up(down).ok_or_else(out_of_range)?;
        let before = self.draft.struck_before(self.now);
        let rising = before.is_none_or(|before| before.pitch <= pitch);
        let spelling = spelling_at(self.document, self.cursor, pitch, rising);
        let Some(struck) = self.draft.struck_at(self.now) else {
            return Ok(self.put(pitch, spelling, false));
        };
        self.draft.repitch(struck, pitch, spelling);
        let (now, pen) = (self.now, self.pen);
        Ok(self.done(now, pen, Some(pitch)))
    }

    fn rest(mut self) -> Entered {
        let until = self.now + self.pen_ticks();
        self.draft.clear(self.now, until);
        let pen = TunePen {
            entered: None,
            ..self.pen
        };
        self.done(until, pen, None)
    }

    fn remove(mut self) -> Entered {
        let struck = self.draft.struck_at(self.now);
        if let Some(struck) = struck {
            self.draft.remove(struck);
        }
        let pen = TunePen {
            entered: None,
            ..self.pen
        };
        let cursor = struck.map_or(self.now, |struck| struck.from);
        self.done(cursor, pen, None)
    }

    fn remove_before(mut self) -> Entered {
        let pen = TunePen {
            entered: None,
            ..self.pen
        };
        // At the end of the document the cursor could not go on from the note it wrote.
        let entered = self.pen.entered == Some(self.cursor);
        let before = self.draft.struck_before(self.now + u64::from(entered));
        let reaches = before.filter(|struck| struck.until() >= self.now);
        let Some(struck) = reaches else {
            let back = cursor_step(self.document, &pen, self.cursor, false);
            let back = self.draft.time(back);
            return self.done(back, pen, None);
        };
        self.draft.remove(struck);
        self.done(struck.from, pen, None)
    }

    fn tie(mut self) -> Result<Entered, String> {
        let piece = self.draft.piece_at(self.now);
        let Some((begins, note)) = piece else {
            let before = self.draft.struck_before(self.now);
            let before = before.filter(|struck| struck.until() == self.now);
            let before = before.ok_or("no note ends here that could be held on")?;
            return Ok(self.put(before.pitch, before.spelling, true));
        };
        let before = self.draft.struck_before(begins);
        let before = before.filter(|struck| struck.until() >= begins);
        if !note.tied {
            let before = before.ok_or("no note ends here that this one could be tied to")?;
            if before.pitch != note.pitch {
                return Err(
                    "a tie joins two notes of one pitch; the note before has another".into(),
                );
            }
        }
        self.draft.set_tied(begins, !note.tied);
        Ok(self.stay())
    }

    fn shifted(mut self, semitones: i32, respell: bool) -> Result<Entered, String> {
        let Some(struck) = self.meant() else {
            return Err("there is no note here to raise or lower".into());
        };
        let pitch = struck.pitch.up(semitones).ok_or_else(out_of_range)?;
        let place = self.draft.place(struck.from).unwrap_or(self.cursor);
        let spelling = if respell {
            spelling_at(self.document, place, pitch, semitones > 0)
        } else {
            struck.spelling
        };
        self.draft.repitch(struck, pitch, spelling);
        let (now, pen) = (self.now, self.pen);
        Ok(self.done(now, pen, Some(pitch)))
    }

    fn longer(mut self, longer: bool) -> Entered {
        let Some(struck) = self.meant() else {
            return self.stay();
        };
        let step = self.step();
        let length = if longer {
            struck.length + step
        } else {
            struck.length.saturating_sub(step)
        };
        if length == 0 {
            return self.stay();
        }
        self.resize(struck, length);
        let moves_on = self.now == struck.until();
        let cursor = if moves_on {
            struck.from + length
        } else {
            self.now.min(struck.from + length - 1)
        };
        let pen = self.pen;
        self.done(cursor, pen, None)
    }

    /// Gives a note another length; what begins under it gives way, what is left over is silent.
    fn resize(&mut self, struck: Struck, length: u64) {
        let resized = Struck { length, ..struck };
        if length < struck.length {
            self.draft.remove(struck);
        }
        self.draft.write(resized, false);
    }

    fn later(self, later: bool) -> Entered {
        let Some(struck) = self.meant() else {
            return self.stay();
        };
        let step = self.step();
        let from = if later {
            struck.from + step
        } else {
            struck.from.saturating_sub(step)
        };
        self.carried(struck, from)
    }

    fn carried(mut self, struck: Struck, from: u64) -> Entered {
        if from >= self.draft.end() {
            return self.stay();
        }
        self.draft.remove(struck);
        self.draft.write(Struck { from, ..struck }, false);
        let pen = TunePen {
            entered: None,
            ..self.pen
        };
        self.done(from, pen, None)
    }

    fn take_length(mut self, entry: TuneEntry) -> Result<Entered, String> {
        let mut length = self.pen.length;
        let meter = self.document.meter;
        match entry {
            TuneEntry::Value(value) => length = plain(value),
            TuneEntry::Dot => {
                length.dotted = !length.dotted;
                length.triplet = false;
            }
            _ => {
                length.triplet = !length.triplet;
                length.dotted = false;
            }
        }
        if length.triplet && meter.is_compound() {
            return Err(format!(
                "a beat of {meter} falls into three without triplets"
            ));
        }
        if !has_form(length) {
            return Err("a sixteenth takes no dot; shorter notes are not counted here".into());
        }
        let just_written = self.pen.entered.is_some();
        self.pen.length = length;
        let here = self.draft.struck_at(self.now);
        if let Some(struck) = here.filter(|s| s.from == self.now && !just_written) {
            let length = self.pen_ticks();
            self.resize(struck, length);
        }
        Ok(self.stay())
    }

    fn until(mut self, note: Place, until: Place) -> Entered {
        let Some(struck) = self.draft.struck_at(self.draft.time(note)) else {
            return self.stay();
        };
        let until = self.draft.time(until).max(struck.from + self.step());
        self.resize(struck, until - struck.from);
        self.pen.entered = None;
        let pen = self.pen;
        self.done(struck.from, pen, None)
    }

    fn moved(self, note: Place, to: Place) -> Entered {
        let Some(struck) = self.draft.struck_at(self.draft.time(note)) else {
            return self.stay();
        };
        let from = self.draft.time(to);
        self.carried(struck, from)
    }
}

fn out_of_range() -> String {
    "that note lies beyond what can be written".into()
}

#[cfg(test)]
mod tests;
