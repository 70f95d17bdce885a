//! From what a transposing instrument reads to what sounds: notes with their octaves, roots of
//! chords and keys move by the same spelled interval, so that a written D7 of a clarinet in B♭
//! becomes C7 and not B♯7.

use super::element::Element;
use super::element::whole_number;
use crate::theory::Key;
use crate::theory::Midi;
use crate::theory::Spelling;

/// What is added to what is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Transpose {
    semitones: i32,
    steps: i32,
}

impl Transpose {
    /// From a `transpose` element; numbers out of all proportion count as none.
    pub(super) fn read(element: &Element) -> Self {
        let part = |name: &str, most: i32| {
            let number = whole_number(element.text_of(name));
            number.filter(|n| n.abs() <= most)
        };
        let chromatic = part("chromatic", 48).unwrap_or(0);
        let octaves = part("octave-change", 5).unwrap_or(0);
        let doubled = i32::from(element.has("double"));
        let octaves = octaves - doubled;
        let diatonic = part("diatonic", 28).unwrap_or_else(|| usual_steps(chromatic));
        Self {
            semitones: chromatic + 12 * octaves,
            steps: diatonic + 7 * octaves,
        }
    }

    pub(super) fn is_none(self) -> bool {
        self == Self::default()
    }

    /// A note of an octave; `None` for a pitch beyond the range of MIDI.
    pub(super) fn pitch(self, written: Spelling, octave: i32) -> Option<(Midi, Spelling)> {
        let natural = (octave + 1) * 12 + written.letter().semitones();
        let number = natural + i32::from(written.alter()) + self.semitones;
        let pitch = u8::try_from(number).ok().and_then(Midi::new)?;
        Some((pitch, self.note(written)))
    }

    /// A note without an octave.
    pub(super) fn note(self, written: Spelling) -> Spelling {
        if self.is_none() {
            return written;
        }
        let pc = written.pitch_class().up(self.semitones);
        let letter = written.letter().up(self.steps);
        let plain = |spelling: &Spelling| spelling.alter().abs() <= 2;
        let spelled = Spelling::with_letter(letter, pc).filter(plain);
        spelled.unwrap_or_else(|| Key::C_MAJOR.spell(pc, self.semitones > 0))
    }

    /// A key with so many sharps (flats, if negative).
    pub(super) fn fifths(self, written: i32) -> i32 {
        let fifths = written + 7 * self.semitones - 12 * self.steps;
        match fifths {
            8.. => fifths - 12,
            ..=-8 => fifths + 12,
            _ => fifths,
        }
    }
}

/// Steps of an interval of so many semitones as it is usually spelled.
fn usual_steps(semitones: i32) -> i32 {
    const STEPS: [i32; 12] = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];
    let up = semitones.unsigned_abs();
    let within = usize::try_from(up % 12).unwrap_or(0);
    let steps = STEPS.get(within).copied().unwrap_or(0);
    let octaves = i32::try_from(up / 12).unwrap_or(0);
    semitones.signum() * (steps + 7 * octaves)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::Letter;

    fn transpose(semitones: i32, steps: i32) -> Transpose {
        Transpose { semitones, steps }
    }

    #[test]
    fn notes_keys_and_roots_move_by_one_interval() {
        // A clarinet in B flat sounds a major second lower, an alto saxophone a major sixth, a
        // guitar an octave (common practice).
        let clarinet = transpose(-2, -1);
        let d = Spelling::new(Letter::D, 0);
        let c4 = clarinet.pitch(d, 4).expect("in range");
        assert_eq!((c4.0.number(), c4.1), (60, Spelling::new(Letter::C, 0)));
        assert_eq!(clarinet.fifths(2), 0);
        let f_sharp = Spelling::new(Letter::F, 1);
        assert_eq!(clarinet.note(f_sharp), Spelling::new(Letter::E, 0));
        let alto = transpose(-9, -5);
        assert_eq!(alto.fifths(0), -3);
        assert_eq!(alto.note(d), Spelling::new(Letter::F, 0));
        let guitar = transpose(-12, -7);
        assert_eq!(guitar.pitch(d, 4).map(|p| p.0.number()), Some(50));
        assert_eq!((guitar.note(d), guitar.fifths(3)), (d, 3));
        assert_eq!(usual_steps(-14), -8);
        assert_eq!(Transpose::default().pitch(d, 12), None);
    }
}
