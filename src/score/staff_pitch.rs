//! Pitches as they are written: a spelled note with its octave, C4 being the middle C. Sounding
//! pitches throughout; the clef says that they are read an octave higher.

use crate::arrange::PlayedNote;
use crate::theory::Key;
use crate::theory::Midi;
use crate::theory::Spelling;

/// A spelled note in its octave.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Pitch {
    /// Letter and signs.
    pub spelling: Spelling,
    /// Octave of the letter; 4 begins at the middle C.
    pub octave: i32,
}

impl Pitch {
    /// A key number as it is spelled.
    #[must_use]
    pub fn new(midi: Midi, spelling: Spelling) -> Self {
        Self {
            spelling,
            octave: spelling.octave_of(midi),
        }
    }

    /// What a note sounds.
    #[must_use]
    pub fn of(note: &PlayedNote) -> Self {
        Self::new(note.pitch, note.spelling)
    }

    /// What a note slides from, spelled for a line that moves towards it.
    #[must_use]
    pub fn slid_from(note: &PlayedNote, key: Key) -> Option<Self> {
        let up = i32::from(note.slide_from?) - i32::from(note.fret);
        let midi = note.pitch.up(up)?;
        Some(Self::new(midi, key.spell(midi.pitch_class(), up < 0)))
    }

    /// Steps of the staff above the C of octave 0, whatever the signs: C4 is 28, the B below it 27.
    #[must_use]
    pub const fn step(self) -> i32 {
        7 * self.octave + self.spelling.letter() as i32
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::Letter;

    #[test]
    fn the_octave_is_that_of_the_letter() {
        // ISO 16: A4 is 440 Hz, key 69; B sharp 3 sounds as C4, C flat 4 as B3.
        for (key, letter, alter, octave) in [
            (69, Letter::A, 0, 4),
            (60, Letter::C, 0, 4),
            (60, Letter::B, 1, 3),
            (59, Letter::C, -1, 4),
            (40, Letter::E, 0, 2),
        ] {
            let pitch = Pitch::new(Midi::clamped(key), Spelling::new(letter, alter));
            assert_eq!(pitch.octave, octave, "{key} {letter:?}");
        }
    }
}
