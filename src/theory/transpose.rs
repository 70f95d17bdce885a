//! Moving music into another key with right spelling. The new key is the one with the fewest
//! accidentals that lies the asked number of semitones away; every note then moves by the same
//! spelled interval, so that a ♭VII stays a ♭VII. Only where a root would need two accidentals
//! is the plainest name taken instead (D♭7 from C to D♭ is D7, not E𝄫7).

use super::chord::Chord;
use super::chord::ChordSymbol;
use super::chord::Harmony;
use super::chord::HouseStyle;
use super::interval::Interval;
use super::key::Key;
use super::pitch::Letter;
use super::pitch::Spelling;

/// A move from one key to another.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Transposition {
    key: Key,
    interval: Interval,
}

impl Key {
    /// The key so many semitones higher (lower if negative), same mode, with the fewest sharps or
    /// flats; of two equals (six flats or six sharps) the flat one, as jazz charts have it. By 0
    /// or whole octaves the key stays as it is spelled.
    #[must_use]
    pub fn transposed(self, semitones: i32) -> Self {
        let pc = self.tonic.pitch_class().up(semitones);
        if pc == self.tonic.pitch_class() {
            return self;
        }
        let mut best: Option<Self> = None;
        for alter in [-1, 0, 1] {
            for letter in Letter::ALL {
                let key = Self {
                    tonic: Spelling::new(letter, alter),
                    mode: self.mode,
                };
                let better = best.is_none_or(|b| key.fifths().abs() < b.fifths().abs());
                if key.tonic.pitch_class() == pc && better {
                    best = Some(key);
                }
            }
        }
        best.unwrap_or(self)
    }
}

impl Transposition {
    /// From a key by semitones, into the key [`Key::transposed`] chooses.
    #[must_use]
    pub fn by(from: Key, semitones: i32) -> Self {
        Self::to(from, from.transposed(semitones))
    }

    /// From one key into another.
    #[must_use]
    pub fn to(from: Key, key: Key) -> Self {
        Self {
            key,
            interval: Interval::between(from.tonic, key.tonic),
        }
    }

    /// The new key.
    #[must_use]
    pub const fn key(self) -> Key {
        self.key
    }

    /// A note in the new key.
    #[must_use]
    pub fn note(self, note: Spelling) -> Spelling {
        if self.interval == Interval::UNISON {
            return note;
        }
        self.interval.above(note)
    }

    /// A chord in the new key.
    #[must_use]
    pub fn chord(self, chord: &Chord) -> Chord {
        let bass = chord.slash_bass().map(|bass| self.note(bass));
        chord.with_root(self.note(chord.root()), bass)
    }

    /// A chord symbol in the new key. What was typed between root and bass stays as it was.
    #[must_use]
    pub fn symbol(self, symbol: &ChordSymbol) -> ChordSymbol {
        let chord = self.chord(symbol.chord());
        let quality = symbol.quality_text();
        let mut text = format!("{}{quality}", chord.root());
        if let Some(bass) = chord.slash_bass() {
            text.push_str(&format!("/{bass}"));
        }
        // an accidental that opens the quality would now belong to another root
        match ChordSymbol::parse(&text) {
            Ok(read) if *read.chord() == chord => read,
            _ => ChordSymbol::from_chord(chord, HouseStyle::Letters),
        }
    }

    /// A harmony in the new key.
    #[must_use]
    pub fn harmony(self, harmony: &Harmony) -> Harmony {
        match harmony {
            Harmony::Chord(symbol) => Harmony::Chord(self.symbol(symbol)),
            Harmony::NoChord => Harmony::NoChord,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::Mode;

    fn key(text: &str) -> Key {
        Key::parse(text).expect("a key")
    }

    fn moved(chord: &str, from: &str, semitones: i32) -> String {
        let symbol = ChordSymbol::parse(chord).expect("a chord");
        let moved = Transposition::by(key(from), semitones).symbol(&symbol);
        moved.text().to_owned()
    }

    /// The twelve keys of the circle of fifths (common practice; six flats before six sharps).
    #[test]
    fn keys_are_spelled_with_the_fewest_accidentals() {
        let major = "C Db D Eb E F Gb G Ab A Bb B";
        let minor = "C C# D Eb E F F# G G# A Bb B";
        for (names, mode) in [(major, Mode::Major), (minor, Mode::Minor)] {
            for (semitones, name) in (0..).zip(names.split(' ')) {
                let from = Key { mode, ..key("C") };
                let expected = Key { mode, ..key(name) };
                assert_eq!(from.transposed(semitones), expected, "{name}");
                assert_eq!(from.transposed(semitones - 12), expected, "{name}");
            }
        }
        assert_eq!(
            key("F#").transposed(12),
            key("F#"),
            "an octave keeps the name"
        );
    }

    /// ii V I in all keys, as practice books for jazz list them.
    #[test]
    fn two_five_one_is_spelled_right_in_all_twelve_keys() {
        for (semitones, line) in (0..).zip([
            "Dm7 G7 Cmaj7",
            "Ebm7 Ab7 Dbmaj7",
            "Em7 A7 Dmaj7",
            "Fm7 Bb7 Ebmaj7",
            "F#m7 B7 Emaj7",
            "Gm7 C7 Fmaj7",
            "Abm7 Db7 Gbmaj7",
            "Am7 D7 Gmaj7",
            "Bbm7 Eb7 Abmaj7",
            "Bm7 E7 Amaj7",
            "Cm7 F7 Bbmaj7",
            "C#m7 F#7 Bmaj7",
        ]) {
            let chords = "Dm7 G7 Cmaj7".split(' ');
            let line_here: Vec<String> = chords.map(|c| moved(c, "C", semitones)).collect();
            assert_eq!(line_here.join(" "), line);
        }
    }

    #[test]
    fn chromatic_chords_keep_their_degree_and_what_was_typed_stays() {
        for (chord, from, semitones, expected) in [
            ("Bb7", "C", 5, "Eb7"),
            ("Bb7", "C", 2, "C7"),
            ("Bb7", "C", 4, "D7"),
            ("F#dim7", "C", 2, "G#dim7"),
            ("F#o7", "C", -3, "D#o7"),
            ("Db7", "C", 1, "D7"),
            ("Eb7", "D", -2, "Db7"),
            ("C-7♭5/Bb", "Bb", 2, "D-7♭5/C"),
            ("C/E", "C", 3, "Eb/G"),
            ("E7(#9)", "A", 1, "F7(#9)"),
            ("Cb#5", "Gb", 6, "Faug"),
            ("C#9", "B", 1, "D9"),
            ("Am7", "Am", 3, "Cm7"),
            ("F#7", "F#", 0, "F#7"),
        ] {
            assert_eq!(
                moved(chord, from, semitones),
                expected,
                "{chord} {from} {semitones}"
            );
        }
    }

    #[test]
    fn there_and_back_is_the_same_chord_wherever_one_accidental_is_enough() {
        for from in ["C", "F", "Bb", "Eb", "G", "D", "A", "Am", "Dm", "Em"] {
            for chord in ["Cmaj7", "F7", "G7b9", "Am7/G", "D7", "Bbmaj7"] {
                let symbol = ChordSymbol::parse(chord).expect("a chord");
                for semitones in -11..=11 {
                    let there = Transposition::by(key(from), semitones);
                    let back = Transposition::to(there.key(), key(from));
                    let moved = there.symbol(&symbol);
                    let again = back.symbol(&moved);
                    let sounds = |s: &ChordSymbol| s.chord().pitch_classes();
                    assert_eq!(
                        sounds(&again),
                        sounds(&symbol),
                        "{chord} {from} {semitones}"
                    );
                }
            }
        }
    }
}
