//! Locks. What is decided in a document is kept by every rewrite, what is not is the tool's to
//! choose; so locking copies what the tool now has into decisions, and unlocking takes decisions
//! away. A lock holds the thumb's move, string and fret, the shape of a chord and a bar's strikes.

mod decisions;
mod extent;
mod parts;

pub use decisions::locked_bar;
pub use decisions::thumb_cell;
pub use extent::Extent;

use super::Action;
use super::NoticeKind;
use super::Session;
use super::candidates::chord_at;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Bar;
use crate::document::Document;
use crate::document::Edit;
use crate::theory::Ticks;
use decisions::decision;
use decisions::release;
use parts::Part;
use parts::Parts;

/// How firmly a cell is held.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Hold {
    /// All of it is left to the tool.
    Free,
    /// Of the fingers: either the shape or the strikes are decided.
    Part,
    /// All of it is decided.
    Whole,
}

/// What is locked in one bar.
#[derive(Clone, Debug)]
pub struct BarLocks<'a> {
    bar: &'a Bar,
    /// Whether the shape of the chord held over from before is decided; `None` without a chord.
    held_over: Option<bool>,
}

impl<'a> BarLocks<'a> {
    /// The locks of a bar; `None` if there is no such bar.
    #[must_use]
    pub fn of(document: &'a Document, bar: usize) -> Option<Self> {
        let here = document.bar(bar)?;
        let place = Place { bar, at: Ticks(0) };
        Some(Self {
            bar: here,
            held_over: chord_at(document, place)
                .and_then(|(bar, idx, _)| Some(is_shaped(document.bar(bar)?, idx))),
        })
    }

    /// How firmly the cell at a place of the bar is held.
    #[must_use]
    pub fn hold(&self, lane: Lane, at: Ticks) -> Hold {
        match lane {
            Lane::Thumb if is_decided(self.bar, at) => Hold::Whole,
            Lane::Thumb => Hold::Free,
            Lane::Fingers | Lane::Tune => {
                let strikes = self.bar.plucks.is_some();
                match (self.shaped(at), strikes) {
                    (Some(true) | None, true) => Hold::Whole,
                    (Some(false) | None, false) => Hold::Free,
                    (Some(false), true) | (Some(true), false) => Hold::Part,
                }
            }
        }
    }

    fn shaped(&self, at: Ticks) -> Option<bool> {
        let here = self.bar.chords.iter().rev().find(|chord| chord.at <= at);
        here.map_or(self.held_over, |chord| {
            chord.harmony.chord().map(|_| chord.shape.is_some())
        })
    }
}

fn is_shaped(bar: &Bar, chord_idx: usize) -> bool {
    bar.chords
        .get(chord_idx)
        .is_some_and(|chord| chord.shape.is_some())
}

fn is_decided(bar: &Bar, at: Ticks) -> bool {
    bar.thumb.iter().any(|(place, _)| *place == at)
}

impl Session {
    /// What is locked in a bar; `None` if there is no such bar.
    #[must_use]
    pub fn locks(&self, bar: usize) -> Option<BarLocks<'_>> {
        BarLocks::of(self.document(), bar)
    }

    /// Whether all of a cell is decided, so that every rewrite keeps it.
    #[must_use]
    pub fn is_locked(&self, place: Place, lane: Lane) -> bool {
        self.locks(place.bar)
            .is_some_and(|locks| locks.hold(lane, place.at) == Hold::Whole)
    }

    /// Keeps what the tool now has in an extent.
    pub(super) fn lock(&mut self, extent: Extent) {
        let parts = Parts::of(self.document(), &self.selection, extent);
        self.lock_parts(&parts, extent);
    }

    /// Leaves an extent to the tool again.
    pub(super) fn unlock(&mut self, extent: Extent) {
        let parts = Parts::of(self.document(), &self.selection, extent);
        self.unlock_parts(&parts, extent);
    }

    /// Locks what is selected if anything in it can still be locked, else unlocks it.
    pub(super) fn toggle_lock(&mut self) {
        let extent = Extent::of_selection(&self.selection);
        let parts = Parts::of(self.document(), &self.selection, extent);
        let rest_is_empty = || self.copies(&parts.free).is_some_and(|c| c.is_empty());
        let is_locked = !parts.locked.is_empty() && (parts.free.is_empty() || rest_is_empty());
        if is_locked {
            self.unlock_parts(&parts, extent);
        } else {
            self.lock_parts(&parts, extent);
        }
    }

    /// What the tool now has for some parts, as decisions; `None` while it is being worked out.
    fn copies(&self, parts: &[Part]) -> Option<Vec<Edit>> {
        let fresh = self.solved.as_ref().filter(|(of, _)| *of == self.revision);
        let (document, (_, arrangement)) = (self.document(), fresh?);
        let copy = |part: &Part| decision(document, arrangement, *part);
        Some(parts.iter().filter_map(copy).collect())
    }

    fn lock_parts(&mut self, parts: &Parts, extent: Extent) {
        if parts.free.is_empty() {
            let text = if parts.locked.is_empty() {
                "there is nothing to lock here, choose a cell that is played"
            } else {
                "everything here is locked already"
            };
            return self.notify(NoticeKind::Info, text.into());
        }
        let Some(edits) = self.copies(&parts.free) else {
            let text = "wait until the arrangement is solved, then lock again".into();
            return self.notify(NoticeKind::Warning, text);
        };
        if edits.is_empty() {
            let text = "the tool has found nothing playable here that could be locked".into();
            return self.notify(NoticeKind::Info, text);
        }
        self.edit_together("Lock", extent, edits);
    }

    fn unlock_parts(&mut self, parts: &Parts, extent: Extent) {
        if parts.locked.is_empty() {
            let text = "nothing here is locked".into();
            return self.notify(NoticeKind::Info, text);
        }
        let edits = parts.locked.iter().map(|part| release(*part)).collect();
        self.edit_together("Unlock", extent, edits);
    }

    fn edit_together(&mut self, verb: &str, extent: Extent, edits: Vec<Edit>) {
        let words = extent.words(self.document(), &self.selection);
        let label = format!("{verb} {words}");
        self.act(Action::Edit(Edit::Together { label, edits }));
    }
}
