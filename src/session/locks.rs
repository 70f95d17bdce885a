//! Locks. What is decided in a document is kept by every rewrite, what is not is the tool's to
//! choose; so locking copies what the tool now has into decisions, and unlocking takes decisions
//! away. A lock holds the thumb's move, string and fret, the shape of a chord and a bar's strikes.

use super::Action;
use super::NoticeKind;
use super::Session;
use super::candidates::chord_at;
use super::problem::plucks_of;
use super::problem::thumb_slots;
use super::status::Selection;
use crate::arrange::Arrangement;
use crate::arrange::FindingKind;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Bar;
use crate::document::Document;
use crate::document::Edit;
use crate::document::ThumbCell;
use crate::theory::ThumbMove;
use crate::theory::Ticks;

/// How much is locked or unlocked, seen from the selection.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Extent {
    /// The selected cell. Of the fingers: the shape of the chord in force there and the strikes
    /// of the bar.
    Cell,
    /// The selected lane in the selected bars.
    Lane,
    /// The selected bars, both lanes.
    Bars,
    /// The sections that the selected bars belong to.
    Section,
    /// The thumb in the whole tune.
    ThumbLane,
    /// The fingers in the whole tune.
    FingersLane,
    /// Everything.
    Tune,
}

impl Extent {
    /// Every extent, smallest first.
    pub const ALL: [Self; 7] = [
        Self::Cell,
        Self::Lane,
        Self::Bars,
        Self::Section,
        Self::ThumbLane,
        Self::FingersLane,
        Self::Tune,
    ];

    /// What `l` locks: the selected run of bars if there is one, else the cell.
    #[must_use]
    pub const fn of_selection(selection: &Selection) -> Self {
        match selection.to_bar {
            Some(_) => Self::Bars,
            None => Self::Cell,
        }
    }

    /// What it is called for a selection, as it goes on after *Lock*: `bar 5`, `thumb lane`.
    #[must_use]
    pub fn words(self, document: &Document, selection: &Selection) -> String {
        let bars = bars_words(selection.bars());
        let lane = lane_of(selection).word();
        match self {
            Self::Cell => format!("{lane} cell in bar {}", selection.place.bar + 1),
            Self::Lane => format!("{lane} in {bars}"),
            Self::Bars => bars,
            Self::Section => section_words(document, selection),
            Self::ThumbLane => "thumb lane".into(),
            Self::FingersLane => "fingers lane".into(),
            Self::Tune => "whole tune".into(),
        }
    }
}

/// `bar 3`, `bars 3 to 6`; bars are counted from 0 here.
#[must_use]
pub fn bars_words((first, last): (usize, usize)) -> String {
    if first == last {
        format!("bar {}", first + 1)
    } else {
        format!("bars {} to {}", first + 1, last + 1)
    }
}

fn section_words(document: &Document, selection: &Selection) -> String {
    let bars = section_bars(document, selection);
    let names = |bar| document.section_of(bar).map(|(section, _)| &section.name);
    match (names(bars.0), document.section_of(bars.1)) {
        (Some(name), Some((last, _))) if last.name == *name && !name.is_empty() => {
            format!("section {name}")
        }
        _ => bars_words(bars),
    }
}

/// From the first bar of the first section touched to the last bar of the last one.
fn section_bars(document: &Document, selection: &Selection) -> (usize, usize) {
    let (first, last) = selection.bars();
    let (mut start, mut bars) = (0, (first, last));
    for section in &document.sections {
        let end = start + section.bars.len();
        if (start..end).contains(&first) {
            bars.0 = start;
        }
        if (start..end).contains(&last) {
            bars.1 = end.saturating_sub(1);
        }
        start = end;
    }
    bars
}

/// The tune is decided by whoever wrote it; in its lane the fingers under it are meant.
const fn lane_of(selection: &Selection) -> Lane {
    match selection.lane {
        Lane::Thumb => Lane::Thumb,
        Lane::Fingers | Lane::Tune => Lane::Fingers,
    }
}

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

/// One thing that can be locked.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Part {
    /// A thumb slot.
    Thumb(Place),
    /// The shape of a written chord, by bar and number in the bar.
    Shape(usize, usize),
    /// The strikes of a bar.
    Plucks(usize),
}

/// Everything in an extent that can be locked: what is free and what is locked.
#[derive(Default)]
struct Parts {
    free: Vec<Part>,
    locked: Vec<Part>,
}

impl Parts {
    fn put(&mut self, part: Part, is_locked: bool) {
        if is_locked {
            self.locked.push(part);
        } else {
            self.free.push(part);
        }
    }

    fn of(document: &Document, selection: &Selection, extent: Extent) -> Self {
        let all = (0, document.n_bars().saturating_sub(1));
        let (bars, lanes): (_, &[Lane]) = match (extent, lane_of(selection)) {
            (Extent::Cell, _) => return Self::of_cell(document, selection),
            (Extent::Lane, Lane::Thumb) => (selection.bars(), &[Lane::Thumb]),
            (Extent::Lane, _) => (selection.bars(), &[Lane::Fingers]),
            (Extent::Bars, _) => (selection.bars(), &[Lane::Thumb, Lane::Fingers]),
            (Extent::Section, _) => (
                section_bars(document, selection),
                &[Lane::Thumb, Lane::Fingers],
            ),
            (Extent::ThumbLane, _) => (all, &[Lane::Thumb]),
            (Extent::FingersLane, _) => (all, &[Lane::Fingers]),
            (Extent::Tune, _) => (all, &[Lane::Thumb, Lane::Fingers]),
        };
        Self::of_bars(document, bars, lanes)
    }

    fn of_cell(document: &Document, selection: &Selection) -> Self {
        let (mut parts, place) = (Self::default(), selection.place);
        let Some(bar) = document.bar(place.bar) else {
            return parts;
        };
        let chord = chord_at(document, place);
        if lane_of(selection) == Lane::Thumb {
            let decided = is_decided(bar, place.at);
            if decided || chord.is_some() && slots(document, bar).contains(&place.at) {
                parts.put(Part::Thumb(place), decided);
            }
            return parts;
        }
        parts.chord(document, chord.map(|(bar, idx, _)| (bar, idx)));
        if chord.is_some() || bar.plucks.is_some() {
            parts.put(Part::Plucks(place.bar), bar.plucks.is_some());
        }
        parts
    }

    fn chord(&mut self, document: &Document, chord: Option<(usize, usize)>) {
        if let Some((bar, idx)) = chord {
            let shaped = document.bar(bar).is_some_and(|bar| is_shaped(bar, idx));
            self.put(Part::Shape(bar, idx), shaped);
        }
    }

    fn of_bars(document: &Document, (first, last): (usize, usize), lanes: &[Lane]) -> Self {
        let mut parts = Self::default();
        let start = Place {
            bar: first,
            at: Ticks(0),
        };
        // A chord may be held over into the first bar: its grip sounds there as well.
        let over = chord_at(document, start).map(|(bar, idx, _)| (bar, idx));
        if lanes.contains(&Lane::Fingers) {
            parts.chord(document, over.filter(|(bar, _)| *bar < first));
        }
        let mut sounds = over.is_some();
        let bars = document.bars().enumerate().skip(first);
        for (idx, bar) in bars.take(last.saturating_sub(first) + 1) {
            for lane in lanes {
                match lane {
                    Lane::Thumb => parts.thumb_of_bar(document, (idx, bar), sounds),
                    Lane::Fingers | Lane::Tune => parts.fingers_of_bar((idx, bar), sounds),
                }
            }
            if let Some(chord) = bar.chords.last() {
                sounds = chord.harmony.chord().is_some();
            }
        }
        parts
    }

    fn thumb_of_bar(&mut self, document: &Document, (idx, bar): (usize, &Bar), mut sounds: bool) {
        let mut chords = bar.chords.iter().peekable();
        for at in slots(document, bar) {
            while let Some(chord) = chords.next_if(|chord| chord.at <= at) {
                sounds = chord.harmony.chord().is_some();
            }
            let decided = is_decided(bar, at);
            if sounds || decided {
                self.put(Part::Thumb(Place { bar: idx, at }), decided);
            }
        }
    }

    fn fingers_of_bar(&mut self, (idx, bar): (usize, &Bar), held_over: bool) {
        for (chord_idx, chord) in bar.chords.iter().enumerate() {
            if chord.harmony.chord().is_some() {
                self.put(Part::Shape(idx, chord_idx), chord.shape.is_some());
            }
        }
        let over = held_over && bar.chords.first().is_none_or(|chord| chord.at.0 > 0);
        let sounds = over || bar.chords.iter().any(|c| c.harmony.chord().is_some());
        if sounds || bar.plucks.is_some() {
            self.put(Part::Plucks(idx), bar.plucks.is_some());
        }
    }
}

fn length_of(document: &Document, bar: &Bar) -> Ticks {
    bar.length.unwrap_or_else(|| document.meter.bar())
}

/// The thumb's slots in a bar.
pub(super) fn slots(document: &Document, bar: &Bar) -> Vec<Ticks> {
    let starts: Vec<Ticks> = bar.chords.iter().map(|chord| chord.at).collect();
    thumb_slots(bar, length_of(document, bar), &starts)
}

/// What the tool now has for one part, as a decision; `None` if it has nothing.
fn decision(document: &Document, arrangement: &Arrangement, part: Part) -> Option<Edit> {
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
            let plucks = plucks_of(document, written, length_of(document, written));
            Some(Edit::SetPlucks {
                bar,
                plucks: Some(plucks),
            })
        }
    }
}

/// A bar with everything that is played in it decided: shapes, thumb notes and strikes as arranged.
/// `None` if there is no such bar.
pub(super) fn locked_bar(
    document: &Document,
    arrangement: &Arrangement,
    bar: usize,
) -> Option<Bar> {
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
pub(super) fn thumb_cell(arrangement: &Arrangement, place: Place) -> Option<ThumbCell> {
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
const fn release(part: Part) -> Edit {
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
