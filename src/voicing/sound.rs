//! What a voicing sounds like, as cost: tones left out, minor ninths, intervals too low to be
//! clear, holes and doublings. Tables by pitch class are made once per chord, so that judging a
//! voicing is a few additions. Knows nothing of strings and fingers.

use super::effort::Parts;
use super::family::Guides;
use super::weights;
use super::wish;
use crate::theory::Chord;
use crate::theory::Degree;
use crate::theory::PcSet;
use crate::theory::PitchClass;
use crate::theory::Spelling;

/// The most notes that can sound at once.
const MOST: usize = crate::instrument::MAX_STRINGS;

/// Sounding pitches as MIDI numbers by rising pitch, without allocating.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pitches {
    numbers: [u8; MOST],
    n: usize,
}

impl Pitches {
    pub(super) const fn new() -> Self {
        Self {
            numbers: [u8::MAX; MOST],
            n: 0,
        }
    }

    /// Puts one more pitch in its place.
    pub(super) fn insert(&mut self, number: u8) {
        let mut moving = number;
        for slot in self.numbers.iter_mut().take(self.n + 1) {
            if moving < *slot {
                std::mem::swap(&mut moving, slot);
            }
        }
        self.n = (self.n + 1).min(MOST);
    }

    pub(super) fn rising(&self) -> &[u8] {
        self.numbers.get(..self.n).unwrap_or(&self.numbers)
    }
}

/// A chord, looked up by pitch class.
#[derive(Clone, Debug)]
pub(super) struct Sound {
    pub guides: Guides,
    degrees: [Option<(Degree, Spelling)>; 12],
    /// Pitch class and cost of each tone that may go.
    may_go: Vec<(PitchClass, i32)>,
    doubled: [i32; 12],
    root: u8,
    flat_nine: Option<u8>,
}

impl Sound {
    pub(super) fn new(chord: &Chord) -> Self {
        let root = chord.root().pitch_class();
        let plain = |degree: Degree| matches!((degree.number(), degree.alter()), (1 | 5, 0));
        let class = |n: i32| PitchClass::new(n);
        let mut degrees = [None; 12];
        let mut doubled = [weights::DOUBLED_COLOUR; 12];
        for (n, (degree, double)) in (0..12).zip(degrees.iter_mut().zip(&mut doubled)) {
            *degree = chord.degree_of(class(n)).zip(chord.spell(class(n)));
            if degree.is_some_and(|(degree, _)| plain(degree)) {
                *double = weights::DOUBLED_PLAIN;
            }
        }
        // Of the colours of an altered chord one is enough, so none is missed.
        let free = chord.one_of();
        let may_go = chord
            .tones()
            .iter()
            .filter(|tone| !tone.essential && !free.contains(tone.degree.above(root)));
        let has = |number| !wish::numbered(chord, number).is_empty();
        let sixth = has(6) && !has(7);
        let may_go = may_go.map(|tone| {
            let cost = match (tone.degree.number(), tone.degree.alter()) {
                (1, _) => weights::NO_ROOT,
                (5, 0) if sixth => weights::NO_FIFTH_OF_SIXTH,
                (5, 0) => weights::NO_FIFTH,
                _ => weights::NO_OTHER,
            };
            (tone.degree.above(root), cost)
        });
        let flat_nine = chord.tones().iter().map(|tone| tone.degree);
        let flat_nine = flat_nine
            .filter(|d| matches!((d.number(), d.alter()), (9 | 2, -1)))
            .map(|d| d.above(root).number())
            .next();
        Self {
            guides: Guides::new(chord),
            degrees,
            may_go: may_go.collect(),
            doubled,
            root: root.number(),
            flat_nine,
        }
    }

    /// Degree and spelling of a sounding pitch; `None` if it is not in the chord.
    pub(super) fn tone(&self, number: u8) -> Option<(Degree, Spelling)> {
        self.degrees
            .get(usize::from(number % 12))
            .copied()
            .flatten()
    }

    /// Omission, clash and register of sounding pitches.
    pub(super) fn parts(&self, pitches: &Pitches, parts: &mut Parts) {
        let pitches = pitches.rising();
        let class = |p: &u8| PitchClass::new(i32::from(*p));
        let sounding: PcSet = pitches.iter().map(class).collect();
        let missing = self.may_go.iter().filter(|(pc, _)| !sounding.contains(*pc));
        parts.omission = missing.map(|(_, cost)| cost).sum();
        parts.clash = 0;
        parts.register = 0;
        for (i, low) in pitches.iter().enumerate() {
            for high in pitches.iter().skip(i + 1) {
                parts.clash += self.clash(*low, *high);
                if (high - low) % 12 == 0 {
                    let double = self.doubled.get(usize::from(low % 12));
                    parts.register += double.copied().unwrap_or(0);
                    if high == low {
                        parts.register += weights::UNISON;
                    }
                }
            }
        }
        if let [.., below, top] = pitches
            && top - below == 1
        {
            parts.clash += weights::SEMITONE_UNDER_TOP;
        }
        parts.register += spacing(pitches);
    }

    fn clash(&self, low: u8, high: u8) -> i32 {
        let interval = high - low;
        let limit = weights::LOWEST.get(usize::from(interval));
        let too_low = limit.map_or(0, |limit| limit.saturating_sub(low));
        let flat_nine = low % 12 == self.root && self.flat_nine == Some(high % 12);
        let ninth = match interval {
            13 if !flat_nine => weights::MINOR_NINTH,
            25 if !flat_nine => weights::WIDE_MINOR_NINTH,
            _ => 0,
        };
        ninth + weights::TOO_LOW * i32::from(too_low)
    }
}

/// Holes and crowds: bass against chord, the chord in itself, and the bass in its range.
fn spacing(pitches: &[u8]) -> i32 {
    let [bass, next, ..] = pitches else {
        return 0;
    };
    let top = pitches.last().unwrap_or(next);
    let gap = next - bass;
    let steps = [
        (weights::GAP, gap.saturating_sub(weights::WIDE_GAP)),
        (weights::CROWD, weights::NARROW_GAP.saturating_sub(gap)),
        (
            weights::FALLS_APART,
            (top - next).saturating_sub(weights::CHORD_SPAN),
        ),
        (
            weights::HIGH_BASS,
            bass.saturating_sub(weights::HIGH_BASS_FROM),
        ),
    ];
    steps.iter().map(|(cost, n)| cost * i32::from(*n)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pitches_are_kept_in_rising_order() {
        let mut pitches = Pitches::new();
        for number in [60, 43, 127, 59, 43] {
            pitches.insert(number);
        }
        assert_eq!(pitches.rising(), [43, 43, 59, 60, 127]);
    }
}
