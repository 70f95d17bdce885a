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

    /// Sharps (positive) or flats (negative) of the key signature, −8 to 9.
    #[must_use]
    pub fn fifths(self) -> i32 {
        let natural = match self.tonic.letter() {
            Letter::F => -1,
            Letter::C => 0,
            Letter::G => 1,
            Letter::D => 2,
            Letter::A => 3,
            Letter::E => 4,
            Letter::B => 5,
        };
        let minor = if self.mode == Mode::Minor { -3 } else { 0 };
        natural + minor + 7 * i32::from(self.tonic.alter())
    }

    /// The alteration the key signature gives to a letter.
    #[must_use]
    pub fn alter_of(self, letter: Letter) -> i8 {
        let order = [
            Letter::F,
            Letter::C,
            Letter::G,
            Letter::D,
            Letter::A,
            Letter::E,
            Letter::B,
        ];
        let place = order
            .iter()
            .position(|l| *l == letter)
            .and_then(|p| i32::try_from(p).ok());
        let place = place.unwrap_or(0);
        let fifths = self.fifths();
        let sharps = (fifths - place + 6).div_euclid(7);
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
