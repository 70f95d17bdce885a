//! Carries out one entry into the tune on a draft of it: finds the note that is meant, writes,
//! removes, ties, resizes or moves it, and says where the cursor goes.

use super::Entered;
use super::FIRST;
use super::TuneEntry;
use super::TunePen;
use super::cursor_step;
use super::has_form;
use super::nearest;
use super::plain;
use super::spelling_at;
use super::step_of;
use crate::arrange::Place;
use crate::document::Document;
use crate::document::Edit;
use crate::session::tune_draft::Struck;
use crate::session::tune_draft::TuneDraft;
use crate::theory::Letter;
use crate::theory::Midi;
use crate::theory::Spelling;

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
