//! Keys: a tonic and a mode. A key spells the notes that chords leave open (approach notes,
//! scale steps) and turns degrees such as `bVII7` into chords.

use super::pitch::Letter;
use super::pitch::PitchClass;
use super::pitch::Spelling;
use std::fmt;

/// Major or minor.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Mode {
    /// Major.
    Major,
    /// Minor.
    Minor,
}

/// A key, such as B♭ major.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Key {
    /// The tonic as spelled in the key signature.
    pub tonic: Spelling,
    /// Major or minor.
    pub mode: Mode,
}

impl Key {
    /// C major.
    pub const C_MAJOR: Self = Self {
        tonic: Spelling::new(Letter::C, 0),
        mode: Mode::Major,
    };

    /// Reads `Bb`, `F#m`, `C minor`, `Eb major`; `None` if it is no key.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim().replace('♭', "b").replace('♯', "#");
        let mut chars = text.chars();
        let letter = Letter::from_char(chars.next()?.to_ascii_uppercase())?;
        let rest = chars.as_str();
        let signs = rest.len() - rest.trim_start_matches(['b', '#']).len();
        let (sign_text, mode_text) = rest.split_at(signs);
        let flats = sign_text.matches('b').count();
        let sharps = sign_text.matches('#').count();
        let alter = i8::try_from(sharps).ok()? - i8::try_from(flats).ok()?;
        let mode = match mode_text.trim().to_ascii_lowercase().as_str() {
            "" | "maj" | "major" => Mode::Major,
            "m" | "min" | "minor" | "-" => Mode::Minor,
            _ => return None,
        };
        (alter.abs() <= 1).then(|| Self {
            tonic: Spelling::new(letter, alter),
            mode,
        })
    }

    /// The key with so many sharps (flats, if negative); `None` beyond seven.
    #[must_use]
    pub fn with_fifths(fifths: i32, mode: Mode) -> Option<Self> {
        let place = fifths + if mode == Mode::Minor { 4 } else { 1 };
        let letter = Letter::BY_FIFTHS.get(usize::try_from(place.rem_euclid(7)).ok()?)?;
        let tonic = Spelling::new(*letter, i8::try_from(place.div_euclid(7)).ok()?);
        (fifths.abs() <= 7).then_some(Self { tonic, mode })
    }

    /// Sharps (positive) or flats (negative) of the key signature, −8 to 9.
    #[must_use]
    pub fn fifths(self) -> i32 {
        let natural = self.tonic.letter().fifths() - 1;
        let minor = if self.mode == Mode::Minor { -3 } else { 0 };
        natural + minor + 7 * i32::from(self.tonic.alter())
    }

    /// The alteration the key signature gives to a letter.
    #[must_use]
    pub fn alter_of(self, letter: Letter) -> i8 {
        let sharps = (self.fifths() - letter.fifths() + 6).div_euclid(7);
        i8::try_from(sharps).unwrap_or(0)
    }

    /// Spells a pitch class for this key: the key's own note if it has one, else a flat when the
    /// line falls and a sharp when it rises (`rising`).
    #[must_use]
    pub fn spell(self, pc: PitchClass, rising: bool) -> Spelling {
        for letter in Letter::ALL {
            let own = Spelling::new(letter, self.alter_of(letter));
            if own.pitch_class() == pc {
                return own;
            }
        }
        let wanted: [i8; 3] = if rising { [0, 1, -1] } else { [0, -1, 1] };
        for alter in wanted {
            for letter in Letter::ALL {
                let spelling = Spelling::new(letter, alter);
                if spelling.pitch_class() == pc {
                    return spelling;
                }
            }
        }
        self.tonic
    }
}

/// `Bb major`, `F# minor`.
impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mode = if self.mode == Mode::Major {
            "major"
        } else {
            "minor"
        };
        write!(f, "{} {mode}", self.tonic)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_have_the_signatures_that_every_primer_lists() {
        // Circle of fifths: common practice.
        for (fifths, major, minor) in [
            (0, "C", "Am"),
            (1, "G", "Em"),
            (-1, "F", "Dm"),
            (-2, "Bb", "Gm"),
            (7, "C#", "A#m"),
            (-7, "Cb", "Abm"),
            (6, "F#", "D#m"),
        ] {
            assert_eq!(Key::with_fifths(fifths, Mode::Major), Key::parse(major));
            assert_eq!(Key::with_fifths(fifths, Mode::Minor), Key::parse(minor));
            assert_eq!(
                Key::with_fifths(fifths, Mode::Minor).map(Key::fifths),
                Some(fifths)
            );
        }
        assert_eq!(Key::with_fifths(8, Mode::Major), None);
    }
}
