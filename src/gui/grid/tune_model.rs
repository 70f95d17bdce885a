//! What the tune's lane shows of a bar, as plain data: every note from where it begins to where it
//! ends, and the silence between, cut where columns begin. Knows no rectangle and no colour.

use super::model;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::arrange::PlayedNote;
use crate::document::Document;
use crate::document::TuneNote;
use crate::gui::words;
use crate::session::Session;
use crate::theory::Midi;
use crate::theory::Ticks;

/// A note or a stretch of silence.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TuneCell {
    /// Where it begins in the bar.
    pub at: Ticks,
    /// Where it ends in the bar.
    pub until: Ticks,
    /// The note; `None` is silence.
    pub note: Option<TuneNoteView>,
}

/// A note of the tune.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TuneNoteView {
    /// Its name, without the octave.
    pub name: String,
    /// In words, with octave and length.
    pub words: String,
    /// What is written.
    pub pitch: Midi,
    /// Whether it goes on from the note before.
    pub tied: bool,
    /// Whether the note after goes on from it.
    pub goes_on: bool,
    /// Whether it sounds now.
    pub sounding: bool,
}

/// The cells of a bar, in order and without gaps.
#[must_use]
pub fn cells(session: &Session, document: &Document, bar: usize) -> Vec<TuneCell> {
    let Some(written) = document.bar(bar) else {
        return Vec::new();
    };
    let length = document.bar_length(bar);
    let columns: Vec<Ticks> = model::slots(document.meter, length).collect();
    let mut cells = Vec::new();
    let mut end = Ticks(0);
    for (idx, note) in written.tune.iter().enumerate() {
        silence(&mut cells, &columns, end, note.at);
        let view = note_view(session, document, (bar, idx), note);
        cells.push(TuneCell {
            at: note.at,
            until: note.end(),
            note: Some(view),
        });
        end = note.end();
    }
    silence(&mut cells, &columns, end, length);
    cells
}

/// Silence between two places, cut where columns begin.
fn silence(cells: &mut Vec<TuneCell>, columns: &[Ticks], from: Ticks, until: Ticks) {
    let inside = columns.iter().filter(|at| from < **at && **at < until);
    let mut at = from;
    for next in inside.chain([&until]) {
        if at < *next {
            cells.push(TuneCell {
                at,
                until: *next,
                note: None,
            });
        }
        at = *next;
    }
}

fn note_view(
    session: &Session,
    document: &Document,
    (bar, idx): (usize, usize),
    note: &TuneNote,
) -> TuneNoteView {
    let tied = is_joined(before(document, (bar, idx)), note);
    let goes_on = after(document, (bar, idx)).is_some_and(|next| is_joined(Some(*note), &next));
    let octave = note.spelling.octave_of(note.pitch);
    let name = words::spoken_note(note.spelling, octave);
    let length = words::length(note.length);
    let tie = if tied {
        ", tied to the note before"
    } else {
        ""
    };
    TuneNoteView {
        name: note.spelling.pretty(),
        words: format!("{name}, {length}{tie}"),
        pitch: note.pitch,
        tied,
        goes_on,
        sounding: sounds(session, document, Place { bar, at: note.at }),
    }
}

/// The note that ends where this one begins.
fn before(document: &Document, (bar, idx): (usize, usize)) -> Option<TuneNote> {
    let here = &document.bar(bar)?.tune;
    let note = here.get(idx)?;
    if let Some(before) = idx.checked_sub(1) {
        return here.get(before).filter(|b| b.end() == note.at).copied();
    }
    let bar = bar.checked_sub(1)?;
    let length = document.bar_length(bar);
    let last = document.bar(bar)?.tune.last();
    last.filter(|last| last.end() == length && note.at == Ticks(0))
        .copied()
}

/// The note that begins where this one ends.
fn after(document: &Document, (bar, idx): (usize, usize)) -> Option<TuneNote> {
    let here = &document.bar(bar)?.tune;
    let end = here.get(idx)?.end();
    if let Some(next) = here.get(idx + 1) {
        return (next.at == end).then_some(*next);
    }
    let first = document.bar(bar + 1)?.tune.first();
    first
        .filter(|first| first.at == Ticks(0) && end == document.bar_length(bar))
        .copied()
}

fn is_joined(before: Option<TuneNote>, note: &TuneNote) -> bool {
    note.tied && before.is_some_and(|before| before.pitch == note.pitch)
}

/// Whether a note of the tune that sounds now has reached a place.
fn sounds(session: &Session, document: &Document, place: Place) -> bool {
    let Some(arrangement) = session.arrangement() else {
        return false;
    };
    let sounding = session.play().sounding.iter();
    let mut notes = sounding.filter_map(|idx| arrangement.notes.get(*idx));
    notes.any(|note| note.lane == Lane::Tune && reaches(document, note, place))
}

/// Whether a played note has begun at a place and not ended, as it is written.
#[must_use]
pub fn reaches(document: &Document, note: &PlayedNote, place: Place) -> bool {
    let bars = note.place.bar..place.bar;
    let bars: u32 = bars.map(|bar| document.bar_length(bar).0).sum();
    note.place <= place && bars + place.at.0 < note.place.at.0 + note.length.0
}

/// The lowest and the highest pitch of the tune, for its contour; `None` without notes.
#[must_use]
pub fn range(document: &Document) -> Option<(Midi, Midi)> {
    let notes = document.bars().flat_map(|bar| &bar.tune);
    notes.map(|note| note.pitch).fold(None, |range, pitch| {
        let (low, high) = range.unwrap_or((pitch, pitch));
        Some((low.min(pitch), high.max(pitch)))
    })
}

/// What a cell is called: `bar 3, beat 2, tune: A flat 4, two beats`.
#[must_use]
pub fn cell_name(document: &Document, bar: usize, cell: &TuneCell) -> String {
    let place = words::beat(document.meter, cell.at);
    let what = cell.note.as_ref().map_or("rest", |note| &note.words);
    format!("bar {}, {place}, tune: {what}", bar + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn silence_is_cut_where_columns_begin() {
        let columns = [0, 480, 960, 1440].map(Ticks);
        let mut cells = Vec::new();
        silence(&mut cells, &columns, Ticks(240), Ticks(1280));
        let places: Vec<(u32, u32)> = cells.iter().map(|c| (c.at.0, c.until.0)).collect();
        assert_eq!(places, [(240, 480), (480, 960), (960, 1280)]);
        cells.clear();
        silence(&mut cells, &columns, Ticks(480), Ticks(480));
        assert!(cells.is_empty());
    }
}
