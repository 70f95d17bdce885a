//! A single grip as something to hear: its notes from the lowest string up, slightly rolled as a
//! hand would, and left to ring. Same sound as in the tune; belongs to no bar.

use super::feel::Clock;
use super::performance::Performance;
use super::performance::TimedNote;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::theory::Articulation;

/// Seconds between two strings of a rolled chord: heard as one strike, not as an arpeggio
/// (own choice).
const ROLL_S: f64 = 0.012;

/// How long a grip is left to ring, in seconds.
const RING_S: f64 = 2.0;

/// A grip, struck once: the thumb takes `thumb_string` (the lowest sounding one if `None`), the
/// fingers the rest. Strings that do not exist and frets off the neck are left out.
#[must_use]
pub fn perform_shape(
    instrument: &Instrument,
    shape: &Shape,
    thumb_string: Option<StringIdx>,
) -> Performance {
    let mut performance = Performance::silent(instrument, Clock::default());
    let thumb = thumb_string.or_else(|| shape.sounding().next().map(|(string, _)| string));
    let mut start_s = 0.0;
    for (note_idx, (string, fret)) in shape.sounding().enumerate() {
        let Some(pitch) = instrument.pitch(string, fret) else {
            continue;
        };
        let by_thumb = thumb == Some(string);
        performance.notes.push(TimedNote {
            note_idx,
            place: Place::default(),
            played_bar: 0,
            start_s,
            end_s: RING_S,
            string,
            pitch,
            lane: if by_thumb { Lane::Thumb } else { Lane::Fingers },
            articulation: Articulation::Ring,
            by_thumb,
            muted: false,
            slide_semitones: 0,
            velocity: if by_thumb { 88 } else { 80 },
        });
        start_s += ROLL_S;
    }
    performance.total_s = RING_S;
    performance
}
