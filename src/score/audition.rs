//! A single grip as something to hear: its notes from the lowest string up, slightly rolled as a
//! hand would, and left to ring; or a single note. Same sound as in the tune; belongs to no bar.

use super::feel::Clock;
use super::performance::Performance;
use super::performance::TimedNote;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::theory::Articulation;
use crate::theory::Midi;

/// Seconds between two strings of a rolled chord: heard as one strike, not as an arpeggio
/// (own choice).
const ROLL_S: f64 = 0.012;

/// How long a grip is left to ring, in seconds.
const RING_S: f64 = 2.0;

/// How long a single note sounds, in seconds: long enough to hear it, short enough for the next
/// (own choice).
const NOTE_S: f64 = 0.9;

/// A note of the tune, struck once where its fret is lowest on the neck; nothing if the instrument
/// has no such note.
#[must_use]
pub fn perform_note(instrument: &Instrument, pitch: Midi) -> Performance {
    let mut performance = Performance::silent(instrument, Clock::default());
    let strings = (0..instrument.n_strings()).map(StringIdx);
    let frets = strings.filter_map(|string| {
        let fret = (0..=instrument.last_fret())
            .find(|fret| instrument.pitch(string, *fret) == Some(pitch))?;
        Some((fret, string))
    });
    if let Some((_, string)) = frets.min() {
        performance.notes.push(TimedNote {
            note_idx: 0,
            chorus: 0,
            place: Place::default(),
            played_bar: 0,
            start_s: 0.0,
            end_s: NOTE_S,
            string,
            pitch,
            lane: Lane::Tune,
            articulation: Articulation::Ring,
            by_thumb: false,
            muted: false,
            slide_semitones: 0,
            velocity: 94,
        });
        performance.total_s = NOTE_S;
    }
    performance
}

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
            chorus: 0,
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_of_the_tune_is_heard_where_its_fret_is_lowest() {
        let guitar = Instrument::default();
        // Standard tuning E2 A2 D3 G3 B3 E4 (common practice): MIDI 40 45 50 55 59 64.
        for (pitch, string) in [
            (64, Some(5)),
            (63, Some(4)),
            (57, Some(3)),
            (40, Some(0)),
            (30, None),
        ] {
            let performance = perform_note(&guitar, Midi::clamped(pitch));
            let strings: Vec<u8> = performance.notes.iter().map(|n| n.string.0).collect();
            assert_eq!(strings.first().copied(), string, "{pitch}");
            assert!(strings.len() < 2);
        }
    }
}
