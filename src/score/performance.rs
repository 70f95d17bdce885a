//! Timed events: the one mapping from the arrangement's ticks to seconds, shared by playback,
//! audio files, MIDI and the play-head. Swing moves only the off-beat eighth: at ratio r it lies
//! at r/(1+r) of the beat.

use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Document;
use crate::instrument::StringIdx;
use crate::theory::Articulation;
use crate::theory::Midi;
use std::ops::Range;

/// A note in seconds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TimedNote {
    /// Index into the arrangement's notes.
    pub note_idx: usize,
    /// The written place.
    pub place: Place,
    /// Which bar of the played order, counted from 0.
    pub played_bar: usize,
    /// Start in seconds from the beginning of the performance.
    pub start_s: f64,
    /// End of its sounding in seconds.
    pub end_s: f64,
    /// Which string it is played on.
    pub string: StringIdx,
    /// What sounds.
    pub pitch: Midi,
    /// Which row.
    pub lane: Lane,
    /// Ring or short.
    pub articulation: Articulation,
    /// Semitones below (negative: above) the pitch from which it slides; 0 is none.
    pub slide_semitones: i8,
    /// Strength, 0 to 127.
    pub velocity: u8,
}

/// A whole performance.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Performance {
    /// Notes by start.
    pub notes: Vec<TimedNote>,
    /// For every played bar: its written number, its start in seconds and its beats' starts.
    pub bars: Vec<PlayedBar>,
    /// End of the last bar in seconds.
    pub total_s: f64,
    /// The swing ratio in force, long to short.
    pub swing_ratio: f64,
}

/// One bar as it is played.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PlayedBar {
    /// Its number in written order, from 0.
    pub written_bar: usize,
    /// Start in seconds.
    pub start_s: f64,
    /// End in seconds.
    pub end_s: f64,
}

/// Turns an arrangement into timed notes. `bars` limits it to a range of the played order.
#[must_use]
pub fn perform(
    _document: &Document,
    _arrangement: &Arrangement,
    _bars: Option<Range<usize>>,
) -> Performance {
    Performance::default()
}
