//! The range of a voice or an instrument that sings the tune, and how a tune fits into it. A voice
//! takes the tune in the octave that suits it, so only what sticks out in the best octave counts.

use crate::document::Document;
use crate::theory::Midi;

/// Octaves in which a tune is tried, up or down from where it is written.
const OCTAVES: std::ops::RangeInclusive<i8> = -3..=3;

/// The lowest and the highest note that can be sung, both included.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct VoiceRange {
    low: Midi,
    high: Midi,
}

/// How a tune fits a range, in the octave that fits best (of two alike the nearer, then the lower).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct RangeFit {
    /// Octaves by which it is sung higher than written.
    pub octaves: i8,
    /// Semitones by which its lowest note lies below the range.
    pub below: u8,
    /// Semitones by which its highest note lies above the range.
    pub above: u8,
}

impl RangeFit {
    /// Semitones outside, below and above together.
    #[must_use]
    pub const fn outside(self) -> u16 {
        self.below as u16 + self.above as u16
    }
}

impl VoiceRange {
    /// A range; `None` if the lowest note is higher than the highest.
    #[must_use]
    pub fn new(low: Midi, high: Midi) -> Option<Self> {
        (low <= high).then_some(Self { low, high })
    }

    /// A range as text: `D3-E5`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (low, high) = text.split_once(['-', '–'])?;
        Self::new(Midi::from_text(low)?, Midi::from_text(high)?)
    }

    /// From the lowest to the highest note of a tune, as it sounds; `None` without one.
    #[must_use]
    pub fn of_tune(document: &Document) -> Option<Self> {
        let notes = document.sung();
        let pitches = || notes.iter().map(|note| note.pitch);
        Self::new(pitches().min()?, pitches().max()?)
    }

    /// The lowest note.
    #[must_use]
    pub const fn low(self) -> Midi {
        self.low
    }

    /// The highest note.
    #[must_use]
    pub const fn high(self) -> Midi {
        self.high
    }

    /// How a tune fits; `None` without one.
    #[must_use]
    pub fn fit(self, document: &Document) -> Option<RangeFit> {
        let tune = Self::of_tune(document)?;
        let number = |pitch: Midi| i32::from(pitch.number());
        let fits = OCTAVES.map(|octaves| {
            let up = 12 * i32::from(octaves);
            let sticks_out = |by: i32| u8::try_from(by.max(0)).unwrap_or(u8::MAX);
            RangeFit {
                octaves,
                below: sticks_out(number(self.low) - number(tune.low) - up),
                above: sticks_out(number(tune.high) + up - number(self.high)),
            }
        });
        fits.min_by_key(|fit| (fit.outside(), fit.octaves.unsigned_abs(), fit.octaves))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_two_notes_the_lower_first() {
        let range = VoiceRange::parse("D3-E5").expect("a range");
        assert_eq!((range.low().number(), range.high().number()), (50, 76));
        assert!(VoiceRange::parse(" Bb2 - F4 ").is_some());
        for wrong in ["", "D3", "E5-D3", "D-E", "D3-H5", "D3-E5-F5"] {
            assert_eq!(VoiceRange::parse(wrong), None, "{wrong}");
        }
    }
}
