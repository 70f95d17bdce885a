//! The tune while an edit of it is being made: notes by time from the start of the document, ties
//! joined, barlines out of the way. What is written over a barline is cut there and tied. At the
//! end it gives one edit for each bar that came out different. Changes no document.

use crate::arrange::Place;
use crate::document::Bar;
use crate::document::Document;
use crate::document::Edit;
use crate::document::TuneNote;
use crate::document::tune::with_note;
use crate::document::tune::without;
use crate::theory::Midi;
use crate::theory::Spelling;
use crate::theory::Ticks;
use std::collections::BTreeMap;

/// A note as it is struck, with everything that is tied to it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Struck {
    /// Where it begins, in ticks from the start of the document.
    pub from: u64,
    /// How long it is, ties joined.
    pub length: u64,
    /// What is written.
    pub pitch: Midi,
    /// How it is spelled.
    pub spelling: Spelling,
}

impl Struck {
    /// Where it ends.
    #[must_use]
    pub const fn until(&self) -> u64 {
        self.from + self.length
    }
}

/// The tune of a document while it is being changed.
pub struct TuneDraft<'a> {
    bars: Vec<&'a Bar>,
    /// Where each bar begins, and at the end where the last one ends.
    starts: Vec<u64>,
    changed: BTreeMap<usize, Vec<TuneNote>>,
}

impl<'a> TuneDraft<'a> {
    /// The tune as it is written.
    #[must_use]
    pub fn new(document: &'a Document) -> Self {
        let bars: Vec<&Bar> = document.bars().collect();
        let full = document.meter.bar();
        let mut starts = vec![0];
        let mut end = 0;
        for bar in &bars {
            end += u64::from(bar.length.unwrap_or(full).0);
            starts.push(end);
        }
        Self {
            bars,
            starts,
            changed: BTreeMap::new(),
        }
    }

    /// Ticks from the start of the document to a place.
    #[must_use]
    pub fn time(&self, place: Place) -> u64 {
        let start = self.starts.get(place.bar).copied().unwrap_or_default();
        start + u64::from(place.at.0)
    }

    /// The place at a time; `None` where the document has ended.
    #[must_use]
    pub fn place(&self, time: u64) -> Option<Place> {
        let bar = self.starts.partition_point(|start| *start <= time);
        let bar = bar.checked_sub(1).filter(|bar| *bar < self.bars.len())?;
        let at = time - self.starts.get(bar)?;
        Some(Place {
            bar,
            at: Ticks(u32::try_from(at).ok()?),
        })
    }

    /// Where the document ends.
    #[must_use]
    pub fn end(&self) -> u64 {
        self.starts.last().copied().unwrap_or_default()
    }

    /// The notes of a bar as they are now.
    #[must_use]
    pub fn notes(&self, bar: usize) -> &[TuneNote] {
        let written = || self.bars.get(bar).map(|bar| bar.tune.as_slice());
        let changed = self.changed.get(&bar).map(Vec::as_slice);
        changed.or_else(written).unwrap_or_default()
    }

    fn length(&self, bar: usize) -> Ticks {
        let start = self.starts.get(bar).copied().unwrap_or_default();
        let end = self.starts.get(bar + 1).copied().unwrap_or(start);
        Ticks(u32::try_from(end - start).unwrap_or(u32::MAX))
    }

    /// The note that sounds at a time, as it is struck.
    #[must_use]
    pub fn struck_at(&self, time: u64) -> Option<Struck> {
        let (bar, idx) = self.note_at(time)?;
        let mut first = (bar, idx);
        while let Some(before) = self.tied_to(first) {
            first = before;
        }
        let note = self.note(first)?;
        let from = self.time(Place {
            bar: first.0,
            at: note.at,
        });
        let mut last = (bar, idx);
        while let Some(next) = self.after(last).filter(|n| self.tied_to(*n) == Some(last)) {
            last = next;
        }
        let until = self.time(Place {
            bar: last.0,
            at: self.note(last)?.end(),
        });
        Some(Struck {
            from,
            length: until - from,
            pitch: note.pitch,
            spelling: note.spelling,
        })
    }

    /// The last note that is struck before a time; it may sound on into it.
    #[must_use]
    pub fn struck_before(&self, time: u64) -> Option<Struck> {
        let bar = self.place(time.checked_sub(1)?)?.bar;
        let last = (0..=bar).rev().find_map(|bar| {
            let start = self.starts.get(bar)?;
            let before = |note: &&TuneNote| start + u64::from(note.at.0) < time;
            let note = self.notes(bar).iter().rfind(before)?;
            Some(start + u64::from(note.at.0))
        });
        self.struck_at(last?)
    }

    /// The first note that is struck at a time or after it.
    #[must_use]
    pub fn struck_from(&self, time: u64) -> Option<Struck> {
        let bar = self.place(time)?.bar;
        let first = (bar..self.bars.len()).find_map(|bar| {
            let start = self.starts.get(bar)?;
            let after = |note: &&TuneNote| start + u64::from(note.at.0) >= time;
            let note = self.notes(bar).iter().find(after)?;
            Some(start + u64::from(note.at.0))
        });
        self.struck_at(first?)
    }

    /// Takes away what begins in a stretch of time; a note within its bar that sounds into it ends
    /// where it begins.
    fn erase(&mut self, from: u64, until: u64) {
        for bar in self.bars_in(from, until) {
            let start = self.starts.get(bar).copied().unwrap_or_default();
            let length = u64::from(self.length(bar).0);
            let local = |time: u64| Ticks(ticks(time.saturating_sub(start).min(length)));
            let kept = without(self.notes(bar), local(from), local(until));
            self.changed.insert(bar, kept);
        }
    }

    /// Takes a note away, with all that is tied to it.
    pub fn remove(&mut self, struck: Struck) {
        self.erase(struck.from, struck.until());
    }

    /// Writes a note, cut and tied at barlines and cut off where the document ends. A note that
    /// sounds into it ends where it begins; one that begins under it begins where it ends, if
    /// anything of it is left.
    pub fn write(&mut self, note: Struck, tied: bool) {
        let until = note.until().min(self.end());
        self.clear(note.from, until);
        for bar in self.bars_in(note.from, until) {
            let start = self.starts.get(bar).copied().unwrap_or_default();
            let bar_length = self.length(bar);
            let from = note.from.max(start);
            let end = until.min(start + u64::from(bar_length.0));
            let piece = TuneNote {
                at: Ticks(ticks(from - start)),
                length: Ticks(ticks(end.saturating_sub(from))),
                pitch: note.pitch,
                spelling: note.spelling,
                tied: tied || from > note.from,
            };
            let notes = with_note(self.notes(bar), piece, bar_length);
            self.changed.insert(bar, notes);
        }
    }

    /// Gives a note another pitch, with all that is tied to it.
    pub fn repitch(&mut self, struck: Struck, pitch: Midi, spelling: Spelling) {
        for bar in self.bars_in(struck.from, struck.until()) {
            let start = self.starts.get(bar).copied().unwrap_or_default();
            let range = struck.from..struck.until();
            let mut notes = self.notes(bar).to_vec();
            let begins = |note: &TuneNote| start + u64::from(note.at.0);
            for note in notes.iter_mut().filter(|n| range.contains(&begins(n))) {
                note.pitch = pitch;
                note.spelling = spelling;
            }
            self.changed.insert(bar, notes);
        }
    }

    /// Leaves a stretch of time empty: a note that sounds into it ends where it begins, one that
    /// begins in it and sounds on begins where it ends.
    pub fn clear(&mut self, from: u64, until: u64) {
        let into = self.struck_at(from).filter(|struck| struck.from < from);
        if let Some(struck) = into {
            self.erase(from, struck.until());
        }
        let over = until.checked_sub(1).and_then(|last| self.struck_at(last));
        let over = over.filter(|struck| struck.from >= from && struck.until() > until);
        self.erase(from, until);
        if let Some(struck) = over {
            self.remove(struck);
            let rest = Struck {
                from: until,
                length: struck.until() - until,
                ..struck
            };
            self.write(rest, false);
        }
    }

    /// Has the note that begins or sounds at a time be tied to the one before it, or no longer.
    /// Whether the two have one pitch is not asked here.
    pub fn set_tied(&mut self, time: u64, tied: bool) {
        if let Some((bar, idx)) = self.note_at(time) {
            let mut notes = self.notes(bar).to_vec();
            if let Some(note) = notes.get_mut(idx) {
                note.tied = tied;
            }
            self.changed.insert(bar, notes);
        }
    }

    /// The piece of a note, within its bar, that sounds at a time: from when, and the piece.
    #[must_use]
    pub fn piece_at(&self, time: u64) -> Option<(u64, TuneNote)> {
        let (bar, idx) = self.note_at(time)?;
        let note = *self.note((bar, idx))?;
        Some((self.time(Place { bar, at: note.at }), note))
    }

    /// Looks at the ties of a bar although nothing was written in it.
    pub fn touch(&mut self, bar: usize) {
        let notes = self.notes(bar).to_vec();
        self.changed.insert(bar, notes);
    }

    /// The edits that write what became of it. Ties that join nothing any more are taken away.
    #[must_use]
    pub fn into_edits(mut self) -> Vec<Edit> {
        let touched: Vec<usize> = self.changed.keys().flat_map(|b| [*b, b + 1]).collect();
        for bar in touched {
            let mut notes = self.notes(bar).to_vec();
            for (idx, note) in notes.iter_mut().enumerate() {
                note.tied = note.tied && self.tied_to((bar, idx)).is_some();
            }
            if notes != self.notes(bar) {
                self.changed.insert(bar, notes);
            }
        }
        let differs = |(bar, notes): &(usize, Vec<TuneNote>)| {
            self.bars.get(*bar).is_some_and(|bar| bar.tune != *notes)
        };
        let edit = |(bar, notes)| Edit::SetTune { bar, notes };
        let changed = self.changed.into_iter().filter(differs);
        changed.map(edit).collect()
    }

    fn bars_in(&self, from: u64, until: u64) -> std::ops::Range<usize> {
        let first = self.starts.partition_point(|start| *start <= from);
        let end = self.starts.partition_point(|start| *start < until);
        let first = first.saturating_sub(1);
        if from >= until {
            return first..first;
        }
        first..end.min(self.bars.len())
    }

    fn note(&self, (bar, idx): (usize, usize)) -> Option<&TuneNote> {
        self.notes(bar).get(idx)
    }

    fn note_at(&self, time: u64) -> Option<(usize, usize)> {
        let place = self.place(time)?;
        let sounds = |note: &TuneNote| note.at <= place.at && place.at < note.end();
        let idx = self.notes(place.bar).iter().position(sounds)?;
        Some((place.bar, idx))
    }

    fn after(&self, (bar, idx): (usize, usize)) -> Option<(usize, usize)> {
        if idx + 1 < self.notes(bar).len() {
            return Some((bar, idx + 1));
        }
        (!self.notes(bar + 1).is_empty()).then_some((bar + 1, 0))
    }

    /// The note that a note is tied to: it has the same pitch and ends where this one begins.
    fn tied_to(&self, (bar, idx): (usize, usize)) -> Option<(usize, usize)> {
        let note = self.note((bar, idx)).filter(|note| note.tied)?;
        let before = match (idx.checked_sub(1), bar.checked_sub(1)) {
            (Some(idx), _) => (bar, idx),
            (None, Some(bar)) => (bar, self.notes(bar).len().checked_sub(1)?),
            (None, None) => return None,
        };
        let other = self.note(before)?;
        let ends = self.time(Place {
            bar: before.0,
            at: other.end(),
        });
        let begins = self.time(Place { bar, at: note.at });
        (other.pitch == note.pitch && ends == begins).then_some(before)
    }
}

fn ticks(time: u64) -> u32 {
    u32::try_from(time).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Section;
    use crate::document::tune::usual_spelling;
    use crate::theory::Key;
    use std::sync::Arc;

    const BAR: u64 = 3840;

    fn three_bars() -> Document {
        let section = Section {
            name: String::new(),
            bars: vec![Bar::default(); 3],
        };
        Document {
            sections: vec![Arc::new(section)],
            ..Document::default()
        }
    }

    fn note(from: u64, length: u64, pitch: u8) -> Struck {
        let pitch = Midi::new(pitch).expect("in range");
        Struck {
            from,
            length,
            pitch,
            spelling: usual_spelling(pitch, Key::C_MAJOR),
        }
    }

    fn written(document: &Document, notes: &[Struck]) -> Document {
        let mut draft = TuneDraft::new(document);
        for note in notes {
            draft.write(*note, false);
        }
        made(document, draft)
    }

    fn made(document: &Document, draft: TuneDraft<'_>) -> Document {
        let edits = draft.into_edits();
        let edit = |document: Document, edit: &Edit| document.apply(edit).expect("fits");
        edits.iter().fold(document.clone(), edit)
    }

    /// Bar, place, length, pitch and tie of every note.
    fn rows(document: &Document) -> Vec<(usize, u32, u32, u8, bool)> {
        let bars = document.bars().enumerate();
        let row = |(bar, n): (usize, &TuneNote)| {
            let (at, length) = (n.at.0, n.length.0);
            (bar, at, length, n.pitch.number(), n.tied)
        };
        bars.flat_map(|(bar, b)| b.tune.iter().map(move |n| (bar, n)))
            .map(row)
            .collect()
    }

    #[test]
    fn a_note_over_barlines_is_cut_and_tied_there_and_ends_with_the_document() {
        let document = written(&three_bars(), &[note(2880, 2 * BAR, 67)]);
        let expected = [
            (0, 2880, 960, 67, false),
            (1, 0, 3840, 67, true),
            (2, 0, 2880, 67, true),
        ];
        assert_eq!(rows(&document), expected);
        let draft = TuneDraft::new(&document);
        for time in [2880, 4000, 3 * BAR - 961] {
            assert_eq!(draft.struck_at(time), Some(note(2880, 2 * BAR, 67)));
        }
        assert_eq!(draft.struck_at(2879), None);
        let late = written(&document, &[note(2 * BAR + 1920, 9 * BAR, 60)]);
        assert_eq!(rows(&late).last(), Some(&(2, 1920, 1920, 60, false)));
    }

    #[test]
    fn what_is_written_over_is_cut_on_both_sides() {
        let start = [note(0, 1920, 60), note(1920, 1920, 62), note(BAR, 960, 64)];
        let document = written(&three_bars(), &start);
        let over = written(&document, &[note(960, 1440, 70)]);
        let expected = [
            (0, 0, 960, 60, false),
            (0, 960, 1440, 70, false),
            (0, 2400, 1440, 62, false),
            (1, 0, 960, 64, false),
        ];
        assert_eq!(rows(&over), expected);
    }

    #[test]
    fn a_tie_that_joins_nothing_any_more_goes() {
        let document = written(&three_bars(), &[note(2880, 1920, 67)]);
        let mut draft = TuneDraft::new(&document);
        draft.clear(3360, 3600);
        assert_eq!(rows(&made(&document, draft)), [(0, 2880, 480, 67, false)]);
        let mut draft = TuneDraft::new(&document);
        draft.write(note(2880, 960, 65), false);
        assert_eq!(
            rows(&made(&document, draft)),
            [(0, 2880, 960, 65, false), (1, 0, 960, 67, false)]
        );
        let mut draft = TuneDraft::new(&document);
        let struck = draft.struck_at(BAR).expect("a note");
        draft.remove(struck);
        assert!(rows(&made(&document, draft)).is_empty());
    }

    #[test]
    fn notes_before_and_after_a_time_are_found_over_empty_bars() {
        let document = written(&three_bars(), &[note(0, 960, 60), note(2 * BAR, 960, 72)]);
        let draft = TuneDraft::new(&document);
        let pitch = |struck: Option<Struck>| struck.map(|s| s.pitch.number());
        assert_eq!(pitch(draft.struck_before(0)), None);
        assert_eq!(pitch(draft.struck_before(2 * BAR)), Some(60));
        assert_eq!(pitch(draft.struck_before(3 * BAR)), Some(72));
        assert_eq!(pitch(draft.struck_from(1)), Some(72));
        assert_eq!(pitch(draft.struck_from(2 * BAR + 1)), None);
        assert_eq!(draft.place(3 * BAR), None);
    }

    #[test]
    fn what_comes_out_as_it_was_makes_no_edit() {
        let document = written(&three_bars(), &[note(0, 960, 60)]);
        let mut draft = TuneDraft::new(&document);
        draft.write(note(0, 960, 60), false);
        assert_eq!(draft.into_edits(), []);
    }
}
