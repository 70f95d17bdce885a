//! Intervals between spelled notes: so many letters and so many semitones, which together give
//! the textbook names (a diminished fifth is no augmented fourth). Moving a note by an interval
//! is what keeps spelling right when a chart changes key. Never measures sound: no octaves.

use super::pitch::Letter;
use super::pitch::PitchClass;
use super::pitch::Spelling;
use std::fmt;

/// An interval within one octave, upwards.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Interval {
    steps: u8,
    semitones: i8,
}

impl Interval {
    /// The perfect unison: nothing moves.
    pub const UNISON: Self = Self {
        steps: 0,
        semitones: 0,
    };

    /// The interval upwards from one spelled note to the next above it of the other name.
    #[must_use]
    pub fn between(from: Spelling, to: Spelling) -> Self {
        let steps = (to.letter() as i32 - from.letter() as i32).rem_euclid(7);
        let natural = from.letter().semitones();
        let above = (from.letter().up(steps).semitones() - natural).rem_euclid(12);
        let semitones = above + i32::from(to.alter()) - i32::from(from.alter());
        Self {
            steps: u8::try_from(steps).unwrap_or(0),
            semitones: i8::try_from(semitones).unwrap_or(0),
        }
    }

    /// Letters upwards, 0 to 6.
    #[must_use]
    pub const fn steps(self) -> u8 {
        self.steps
    }

    /// Semitones upwards; below 0 or above 11 only for doubly altered seconds and sevenths.
    #[must_use]
    pub const fn semitones(self) -> i8 {
        self.semitones
    }

    /// The note this far above another, with the letter the interval asks for; where that would
    /// need more than one accidental, the plainest spelling of the same sound.
    #[must_use]
    pub fn above(self, note: Spelling) -> Spelling {
        let letter = note.letter().up(i32::from(self.steps));
        let pc = note.pitch_class().up(i32::from(self.semitones));
        match Spelling::with_letter(letter, pc) {
            Some(spelling) if spelling.alter().abs() <= 1 => spelling,
            _ => plain(pc, note.alter() > 0),
        }
    }

    /// The interval that completes this one to the octave.
    #[must_use]
    pub const fn inverted(self) -> Self {
        if self.steps == 0 {
            return Self {
                steps: 0,
                semitones: -self.semitones,
            };
        }
        Self {
            steps: 7 - self.steps,
            semitones: 12 - self.semitones,
        }
    }

    /// Semitones wider (or narrower, if negative) than the perfect or major interval of its
    /// number.
    fn excess(self) -> i32 {
        let plain = Letter::C.up(i32::from(self.steps)).semitones();
        i32::from(self.semitones) - plain
    }
}

/// A natural note, else a flat, or a sharp if asked for.
pub(super) fn plain(pc: PitchClass, sharp: bool) -> Spelling {
    let alters: [i8; 2] = if sharp { [0, 1] } else { [0, -1] };
    for alter in alters {
        for letter in Letter::ALL {
            let spelling = Spelling::new(letter, alter);
            if spelling.pitch_class() == pc {
                return spelling;
            }
        }
    }
    Spelling::new(Letter::C, 0)
}

/// `minor third`, `augmented fourth`, `perfect fifth`.
impl fmt::Display for Interval {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let perfect = matches!(self.steps, 0 | 3 | 4);
        let quality = match (self.excess(), perfect) {
            (0, true) => "perfect",
            (0, false) => "major",
            (-1, false) => "minor",
            (-1, true) | (-2, false) => "diminished",
            (1, _) => "augmented",
            (2.., _) => "doubly augmented",
            _ => "doubly diminished",
        };
        let number = match self.steps {
            0 => "unison",
            1 => "second",
            2 => "third",
            3 => "fourth",
            4 => "fifth",
            5 => "sixth",
            _ => "seventh",
        };
        write!(f, "{quality} {number}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::Key;

    fn note(text: &str) -> Spelling {
        Key::parse(text).map(|key| key.tonic).expect("a note")
    }

    /// Names as every theory primer lists them (common practice).
    #[test]
    fn intervals_have_their_textbook_names() {
        for (from, to, name, semitones) in [
            ("C", "C", "perfect unison", 0),
            ("C", "Db", "minor second", 1),
            ("C", "D", "major second", 2),
            ("C", "D#", "augmented second", 3),
            ("C", "Eb", "minor third", 3),
            ("E", "G#", "major third", 4),
            ("F", "B", "augmented fourth", 6),
            ("B", "F", "diminished fifth", 6),
            ("Bb", "F", "perfect fifth", 7),
            ("C", "G#", "augmented fifth", 8),
            ("F#", "D", "minor sixth", 8),
            ("D", "C", "minor seventh", 10),
            ("B", "Ab", "diminished seventh", 9),
            ("Ab", "G", "major seventh", 11),
        ] {
            let interval = Interval::between(note(from), note(to));
            assert_eq!(interval.to_string(), name, "{from} to {to}");
            assert_eq!(interval.semitones(), semitones, "{from} to {to}");
            assert_eq!(interval.above(note(from)), note(to), "{from} to {to}");
            assert_eq!(
                interval.inverted().above(note(to)),
                note(from),
                "{from} to {to}"
            );
        }
    }
}
