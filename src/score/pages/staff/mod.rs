//! The notation staff above the tab: sounding pitches under a treble clef with an 8 below, the voices
//! of `score::voices`. A bar is first written out as voices of tied
//! values, then its moments as clusters of heads, signs and dots that do not touch; stems, beams and
//! ties follow when the columns have their places. Lengths are staff spaces, heights are steps
//! above the bottom line. Never decides where a column stands.

pub mod beams;
pub mod cluster;
pub mod draw;
pub mod lead;
pub mod rests;
pub mod signs;
pub mod slides;
pub mod stems;
pub mod ties;

use crate::arrange::Arrangement;
use crate::document::Document;
use crate::score::accidentals;
use crate::score::fonts;
use crate::score::fonts::FontRole;
use crate::score::rhythm::groups;
use crate::score::rhythm::pieces::Piece;
use crate::score::staff_pitch::Pitch;
use crate::score::voices;
use crate::score::voices::BarVoices;
use cluster::Cluster;
use std::ops::Range;

/// Steps of the middle line above the bottom line.
pub const MIDDLE: i32 = 4;

/// Steps of the top line above the bottom line.
pub const TOP_LINE: i32 = 8;

/// One voice of one bar.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct StaffVoice {
    /// Whether it is the upper of two voices.
    pub up: bool,
    /// By piece, whether its stem goes up.
    pub stems_up: Vec<bool>,
    /// Whether its rests are written.
    pub rests: bool,
    /// Its values and rests, filling the bar.
    pub pieces: Vec<Piece>,
    /// Pieces under one beam.
    pub beams: Vec<Range<usize>>,
    /// Pieces of one triplet.
    pub triplets: Vec<Range<usize>>,
}

impl StaffVoice {
    fn new(pieces: Vec<Piece>, up: bool) -> Self {
        Self {
            up,
            stems_up: vec![up; pieces.len()],
            rests: true,
            beams: groups::beams(&pieces),
            triplets: groups::triplets(&pieces),
            pieces,
        }
    }

    /// Whether anything is struck or held in it.
    #[must_use]
    pub fn has_notes(&self) -> bool {
        voices::sounds(&self.pieces)
    }

    /// Whether the stem of a piece goes up.
    #[must_use]
    pub fn is_up(&self, piece: usize) -> bool {
        self.stems_up.get(piece).copied().unwrap_or(self.up)
    }

    /// Whether a piece stands under a beam.
    #[must_use]
    pub fn is_beamed(&self, piece: usize) -> bool {
        self.beams.iter().any(|group| group.contains(&piece))
    }
}

/// One bar of the staff.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct StaffBar {
    /// From the top, but an inner voice last: it makes room for the outer ones.
    pub voices: Vec<StaffVoice>,
    /// What stands at each of its moments.
    pub clusters: Vec<Cluster>,
}

/// Writes out one bar.
#[must_use]
pub fn bar(document: &Document, arrangement: &Arrangement, written: BarVoices) -> StaffBar {
    let mut voices = Vec::with_capacity(3);
    if written.has_tune() {
        voices.push(StaffVoice::new(written.upper(), true));
        let inner = StaffVoice {
            stems_up: written.fingers_up.clone(),
            rests: false,
            ..StaffVoice::new(written.inner(), true)
        };
        voices.push(StaffVoice::new(written.thumb, false));
        voices.extend(Some(inner).filter(StaffVoice::has_notes));
    } else {
        voices.push(StaffVoice::new(written.fingers, true));
        voices.push(StaffVoice::new(written.thumb, false));
    }
    let pieces: Vec<&[Piece]> = voices.iter().map(|v| v.pieces.as_slice()).collect();
    let signed = accidentals::of_bar(&pieces, &arrangement.notes, document.key);
    let clusters = cluster::all(&voices, &arrangement.notes, &signed, document.key);
    StaffBar { voices, clusters }
}

/// Steps of a pitch above the bottom line, which is E4 as written and E3 as it sounds.
#[must_use]
pub const fn step_of(pitch: Pitch) -> i32 {
    const BOTTOM_LINE: i32 = 7 * 3 + 2;
    pitch.step() - BOTTOM_LINE
}

/// A box in staff spaces from the column's middle and the bottom line, y growing upwards.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Area {
    /// Left.
    pub left: f64,
    /// Right.
    pub right: f64,
    /// Bottom.
    pub bottom: f64,
    /// Top.
    pub top: f64,
}

impl Area {
    /// A sign of the music font at a place, at a part of its full size.
    #[must_use]
    pub fn of_glyph(code: char, x: f64, step: i32, size: f64) -> Self {
        let text = &mut [0; 4];
        let ink = fonts::ink_box(FontRole::Music, 4.0 * size, code.encode_utf8(text));
        let [left, top, right, bottom] = ink.unwrap_or([0.0; 4]);
        let y = f64::from(step) / 2.0;
        Self {
            left: x + left,
            right: x + right,
            bottom: y - bottom,
            top: y - top,
        }
    }

    /// Whether another box is within a gap beside it at the same height.
    #[must_use]
    pub fn is_near(&self, other: &Self, gap: f64) -> bool {
        const TOUCH: f64 = 0.02;
        self.left < other.right + gap
            && other.left < self.right + gap
            && self.bottom < other.top - TOUCH
            && other.bottom < self.top - TOUCH
    }
}
