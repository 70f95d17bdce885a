//! What there is to lock in an extent, part by part: thumb slots, shapes of chords and strikes of
//! bars, each free or locked. What is not played is no part.

use super::extent::Extent;
use super::extent::lane_of;
use super::extent::section_bars;
use super::is_decided;
use super::is_shaped;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Bar;
use crate::document::Document;
use crate::session::candidates::chord_at;
use crate::session::problem::thumb_slots;
use crate::session::status::Selection;
use crate::theory::Ticks;

/// One thing that can be locked.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Part {
    /// A thumb slot.
    Thumb(Place),
    /// The shape of a written chord, by bar and number in the bar.
    Shape(usize, usize),
    /// The strikes of a bar.
    Plucks(usize),
}

/// Everything in an extent that can be locked: what is free and what is locked.
#[derive(Default)]
pub struct Parts {
    /// Left to the tool.
    pub free: Vec<Part>,
    /// Decided.
    pub locked: Vec<Part>,
}

impl Parts {
    fn put(&mut self, part: Part, is_locked: bool) {
        if is_locked {
            self.locked.push(part);
        } else {
            self.free.push(part);
        }
    }

    /// Those of an extent.
    pub fn of(document: &Document, selection: &Selection, extent: Extent) -> Self {
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
            if decided || chord.is_some() && thumb_slots(document, bar).contains(&place.at) {
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

    /// Those of some lanes in some bars, with the chord that is held over into the first.
    pub fn of_bars(document: &Document, (first, last): (usize, usize), lanes: &[Lane]) -> Self {
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
        for at in thumb_slots(document, bar) {
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
