//! From what the tool has to decisions and back: the edit that keeps one part as it is arranged, the
//! one that leaves it to the tool again, and a bar in which everything is decided.

use super::parts::Part;
use super::parts::Parts;
use crate::arrange::Arrangement;
use crate::arrange::FindingKind;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Bar;
use crate::document::Document;
use crate::document::Edit;
use crate::document::ThumbCell;
use crate::session::problem::plucks_of;
use crate::theory::ThumbMove;

/// What the tool now has for one part, as a decision; `None` if it has nothing.
pub(super) fn decision(document: &Document, arrangement: &Arrangement, part: Part) -> Option<Edit> {
    match part {
        Part::Thumb(place) => Some(Edit::SetThumb {
            bar: place.bar,
            at: place.at,
            cell: Some(thumb_cell(arrangement, place)?),
        }),
        Part::Shape(bar, chord_idx) => {
            let from = arrangement.grips.partition_point(|g| g.place.bar < bar);
            let mut here = arrangement.grips.iter().skip(from);
            let grip = here
                .by_ref()
                .take_while(|g| g.place.bar == bar)
                .find(|g| g.chord_idx == chord_idx)?;
            Some(Edit::SetShape {
                bar,
                chord_idx,
                shape: Some(grip.voicing.as_ref()?.grip.shape),
            })
        }
        Part::Plucks(bar) => {
            let written = document.bar(bar)?;
            let plucks = plucks_of(document, written);
            Some(Edit::SetPlucks {
                bar,
                plucks: Some(plucks),
            })
        }
    }
}

/// A bar with everything that is played in it decided: shapes, thumb notes and strikes as arranged.
/// `None` if there is no such bar.
pub fn locked_bar(document: &Document, arrangement: &Arrangement, bar: usize) -> Option<Bar> {
    let parts = Parts::of_bars(document, (bar, bar), &[Lane::Thumb, Lane::Fingers]);
    let of_bar = |part: &&Part| match part {
        Part::Thumb(place) => place.bar == bar,
        Part::Shape(of, _) | Part::Plucks(of) => *of == bar,
    };
    let free = parts.free.iter().filter(of_bar);
    let edits = free.filter_map(|part| decision(document, arrangement, *part));
    let edits: Vec<Edit> = edits.collect();
    let locked = document.apply(&Edit::Together {
        label: String::new(),
        edits,
    });
    locked.ok()?.bar(bar).cloned()
}

/// What the thumb now has at a place, as a decision; `None` if it has nothing.
pub fn thumb_cell(arrangement: &Arrangement, place: Place) -> Option<ThumbCell> {
    // Under a chord that can't be held the thumb has nothing that could be kept.
    arrangement.grip_at(place)?.voicing.as_ref()?;
    let mut notes = arrangement.notes_in_bar(place.bar);
    let note = notes.find(|note| note.lane == Lane::Thumb && note.place == place);
    let Some(note) = note else {
        // Silent by choice, or for want of a place? Only the first is worth keeping.
        // Findings stand in the order of their places.
        let from = arrangement.findings.partition_point(|f| f.place < place);
        let here = arrangement.findings.iter().skip(from);
        let failed = here
            .take_while(|f| f.place == place)
            .any(|f| matches!(f.kind, FindingKind::OutOfRange | FindingKind::CutShort));
        return (!failed).then_some(ThumbCell::Move(ThumbMove::Rest));
    };
    Some(match note.thumb_move {
        Some(silent @ (ThumbMove::Ghost | ThumbMove::Rest)) => ThumbCell::Move(silent),
        Some(thumb_move) => ThumbCell::Kept(thumb_move, note.string, note.fret),
        None => ThumbCell::Place(note.string, note.fret),
    })
}

/// Leaves one part to the tool again.
pub(super) const fn release(part: Part) -> Edit {
    match part {
        Part::Thumb(place) => Edit::SetThumb {
            bar: place.bar,
            at: place.at,
            cell: None,
        },
        Part::Shape(bar, chord_idx) => Edit::SetShape {
            bar,
            chord_idx,
            shape: None,
        },
        Part::Plucks(bar) => Edit::SetPlucks { bar, plucks: None },
    }
}
