//! Degrees: a place counted from a root, such as ♭3 or ♯11. They name chord tones, thumb moves
//! and steps of a key. A degree knows its size in semitones and spells itself above any root.

use super::pitch::Letter;
use super::pitch::PitchClass;
use super::pitch::Spelling;
use std::fmt;

/// A degree above a root: number 1 to 13 and alteration from the major scale's step.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Degree {
    number: u8,
    alter: i8,
}

impl Degree {
    /// The root.
    pub const ROOT: Self = Self {
        number: 1,
        alter: 0,
    };

    /// Degree `number` (brought into 1 to 13) altered by so many semitones (−2 to 2).
    #[must_use]
    pub const fn new(number: u8, alter: i8) -> Self {
        let number = if number < 1 {
            1
        } else if number > 13 {
            13
        } else {
            number
        };
        Self { number, alter }
    }

    /// 1 to 13.
    #[must_use]
    pub const fn number(self) -> u8 {
        self.number
    }

    /// Semitones away from the major scale's step.
    #[must_use]
    pub const fn alter(self) -> i8 {
        self.alter
    }

    /// Semitones above the root; more than 11 from the ninth on.
    #[must_use]
    pub fn semitones(self) -> i32 {
        let step = i32::from(self.number) - 1;
        Letter::C.up(step).semitones() + 12 * (step / 7) + i32::from(self.alter)
    }

    /// The pitch class above `root`.
    #[must_use]
    pub fn above(self, root: PitchClass) -> PitchClass {
        root.up(self.semitones())
    }

    /// The note above `root`, spelled with the letter the degree asks for; where that would need
    /// more than two accidentals, the plainest enharmonic spelling.
    #[must_use]
    pub fn spelled_above(self, root: Spelling) -> Spelling {
        let letter = root.letter().up(i32::from(self.number) - 1);
        let pc = self.above(root.pitch_class());
        match Spelling::with_letter(letter, pc) {
            Some(spelling) if spelling.alter().abs() <= 2 => spelling,
            _ => plain_spelling(pc),
        }
    }

    /// With the signs ♭ and ♯, for screens and sheets.
    #[must_use]
    pub fn pretty(self) -> String {
        self.to_string().replace('b', "♭").replace('#', "♯")
    }
}

fn plain_spelling(pc: PitchClass) -> Spelling {
    let natural = |letter: Letter| PitchClass::new(letter.semitones()) == pc;
    if let Some(letter) = Letter::ALL.into_iter().find(|l| natural(*l)) {
        return Spelling::new(letter, 0);
    }
    let flat = Letter::ALL
        .into_iter()
        .find(|l| PitchClass::new(l.semitones() - 1) == pc);
    Spelling::new(flat.unwrap_or(Letter::C), -1)
}

/// ASCII: `b3`, `#11`, `bb7`, `5`.
impl fmt::Display for Degree {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.alter < 0 { "b" } else { "#" };
        for _ in 0..self.alter.unsigned_abs() {
            f.write_str(sign)?;
        }
        write!(f, "{}", self.number)
    }
}
