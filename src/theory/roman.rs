//! Degrees of a key as chords: `ii V I`, `bVII7`, `V7/ii`, `viiø7`, `#ivdim7` become chord
//! symbols. After the numeral everything reads as in a chord symbol, and nothing is assumed that
//! is not written.
//!
//! * The case of the numeral is the triad: `II` major, `ii` minor (`iidim`, `iio`, `iiø`
//!   diminished). Sevenths are never added by the key: `V` is a triad, `V7` has a minor seventh,
//!   `I7` and `IV7` are dominant sevenths, `Imaj7` is the major one, `ii7` and `iim7` are the same.
//! * Major keys: a numeral is a step of the major scale; ♭ and ♯ before it move it by a semitone.
//! * Minor keys: flats count from the major scale on the same tonic, as jazz players do, so
//!   `bIII`, `bVI`, `bVII` are E♭, A♭, B♭ in C minor. Bare `III`, `VI`, `VII` are the key's own
//!   steps (again E♭, A♭, B♭), bare small `vi` and `vii` are the raised steps (`viø7` on A,
//!   `viio7` on B). Sharps count from the key's own step.
//! * `V7/ii` is the V7 of the key whose tonic is the ii: minor if that numeral is small. Chains
//!   such as `V7/V/ii` are read from the right.
//! * `subV7` is the dominant a tritone away: `bII7`.
//!
//! Differs from one reference library (music21 10.5.1) in minor keys only where an accidental
//! stands before 3, 6 or 7: it lowers the key's own step once more (`bVII` in C minor as B𝄫).

use super::chord::Chord;
use super::chord::ChordError;
use super::chord::ChordSymbol;
use super::chord::HouseStyle;
use super::chord_parse;
use super::chord_text::Cursor;
use super::degree::Degree;
use super::interval;
use super::key::Key;
use super::key::Mode;
use super::pitch::Spelling;

/// How many `/` a degree may have.
const MAX_CHAIN: usize = 4;

/// Numerals, longer before shorter where one begins with the other.
const NUMERALS: [(&str, u8); 7] = [
    ("III", 3),
    ("II", 2),
    ("IV", 4),
    ("VII", 7),
    ("VI", 6),
    ("V", 5),
    ("I", 1),
];

/// A numeral with its accidentals.
#[derive(Clone, Copy, Debug)]
struct Numeral {
    number: u8,
    alter: i8,
    minor: bool,
}

/// Whether a text begins like a degree and not like a chord symbol.
#[must_use]
pub fn is_degree(text: &str) -> bool {
    numeral(&mut Cursor::new(text)).is_some()
}

/// Reads a degree as a chord in a key. The symbol's text is the chord in letters.
///
/// # Errors
/// Says which bytes are wrong and what was expected there.
pub fn parse(text: &str, key: Key) -> Result<ChordSymbol, ChordError> {
    let (own, key) = applied(text, key)?;
    let mut cursor = Cursor::new(own);
    let Some(numeral) = numeral(&mut cursor) else {
        let message = "expected a degree: a Roman numeral from I to VII, as in ii or bVII7";
        return Err(cursor.error_to_end(0, message.into()));
    };
    cursor.mark_root();
    let parts = chord_parse::parts(&mut cursor, numeral.minor)?;
    let root = root(numeral, key);
    match Chord::from_parts(root, &parts, None) {
        Some(chord) if cursor.at_end() => Ok(ChordSymbol::from_chord(chord, HouseStyle::Letters)),
        _ => {
            let message = "after the slash of a degree comes another degree, as in V7/ii";
            Err(cursor.error_to_end(cursor.at(), message.into()))
        }
    }
}

/// Splits `V7/ii` into its own part and the key it is heard in.
fn applied(text: &str, key: Key) -> Result<(&str, Key), ChordError> {
    let mut own = text;
    let mut key = key;
    for _ in 0..MAX_CHAIN {
        let Some((before, target)) = own.rsplit_once('/') else {
            return Ok((own, key));
        };
        let mut cursor = Cursor::new(target);
        let Some(numeral) = numeral(&mut cursor).filter(|_| cursor.at_end()) else {
            return Ok((own, key));
        };
        key = Key {
            tonic: root(numeral, key),
            mode: if numeral.minor {
                Mode::Minor
            } else {
                Mode::Major
            },
        };
        own = before;
    }
    match own.find('/') {
        None => Ok((own, key)),
        Some(slash) => Err(ChordError {
            message: "too many degrees of degrees".into(),
            at: slash..text.len(),
        }),
    }
}

fn numeral(cursor: &mut Cursor<'_>) -> Option<Numeral> {
    if cursor.eat_word("subV") {
        return Some(Numeral {
            number: 2,
            alter: -1,
            minor: false,
        });
    }
    let mut eat = |flat: &str, sharp: &str| cursor.eat(flat) || cursor.eat(sharp);
    let alter = match (eat("b", "♭"), eat("#", "♯")) {
        (true, _) => -1,
        (_, true) => 1,
        _ => 0,
    };
    for (text, number) in NUMERALS {
        let minor = cursor.eat(&text.to_ascii_lowercase());
        if minor || cursor.eat(text) {
            return Some(Numeral {
                number,
                alter,
                minor,
            });
        }
    }
    None
}

fn root(numeral: Numeral, key: Key) -> Spelling {
    let lowered_by_key = key.mode == Mode::Minor && matches!(numeral.number, 3 | 6 | 7);
    let raised_by_case = numeral.minor && numeral.number != 3;
    let alter = match numeral.alter {
        0 if lowered_by_key && !raised_by_case => -1,
        1.. if lowered_by_key => numeral.alter - 1,
        alter => alter,
    };
    let spelled = Degree::new(numeral.number, alter).spelled_above(key.tonic);
    if spelled.alter().abs() <= 1 {
        spelled
    } else {
        interval::plain(spelled.pitch_class(), spelled.alter() > 0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(degree: &str, key: &str) -> String {
        let key = Key::parse(key).expect("a key");
        match parse(degree, key) {
            Ok(symbol) => symbol.text().to_owned(),
            Err(error) => format!("{:?} {error}", error.at),
        }
    }

    /// Progressions as harmony courses for jazz write them out (common practice).
    #[test]
    fn degrees_are_chords_of_the_key() {
        for (key, degrees, chords) in [
            ("C", "ii V I", "Dm G C"),
            ("C", "iim7 V7 Imaj7", "Dm7 G7 Cmaj7"),
            ("Bb", "ii7 V7 Imaj7 vi-7", "Cm7 F7 Bbmaj7 Gm7"),
            ("F", "I7 IV7 #ivdim7 I7 V7/ii", "F7 Bb7 Bdim7 F7 D7"),
            ("Eb", "bVII7 bIII bVImaj7 bII7", "Db7 Gb Cbmaj7 Fb7"),
            ("G", "V7/V V7/vi viio7/ii ii/IV V7/IV", "A7 B7 G#dim7 Dm G7"),
            ("D", "viiø7 iii7 vi7b5 IV6/9", "C#m7(b5) F#m7 Bm7(b5) G6/9"),
            ("A", "subV7 I+ Isus4 iv6", "Bb7 Aaug Asus4 Dm6"),
            ("C", "V7alt V9sus4 imMaj7 ii11", "G7alt G9sus4 CmMaj7 Dm11"),
            ("Am", "i iv V7 iiø7 bVII bIII bVI", "Am Dm E7 Bm7(b5) G C F"),
            ("Am", "VII III VI viio7 viø7", "G C F G#dim7 F#m7(b5)"),
            ("Cm", "i imaj7 i7 #vi #viio", "Cm CmMaj7 Cm7 Am Bdim"),
            ("C", "V7/V/ii II7 IIm7 iidim", "E7 D7 Dm7 Ddim"),
            ("Gb", "iv bVI", "Cbm D"),
        ] {
            let ours: Vec<String> = degrees.split(' ').map(|d| read(d, key)).collect();
            assert_eq!(ours.join(" "), chords, "{degrees} in {key}");
        }
    }

    #[test]
    fn errors_say_where_and_what() {
        for (text, at, words) in [
            ("Dm7", "0..3", "expected a degree"),
            ("ii+", "2..3", "a small numeral"),
            ("iiq", "2..3", "“q”"),
            ("V7/C", "2..4", "after the slash"),
            ("V7/3", "3..4", "expected a tension"),
            ("V/V/V/V/V/V", "1..11", "too many"),
        ] {
            let ours = read(text, "C");
            assert!(
                ours.starts_with(at) && ours.contains(words),
                "{text}: {ours}"
            );
        }
    }

    #[test]
    fn chord_symbols_are_not_taken_for_degrees() {
        for text in ["C", "Bb7", "F#m", "A", "", "%", "b", "#", "bb", "N.C."] {
            assert!(!is_degree(text), "{text}");
        }
        for text in ["I", "bVII7", "#ivo7", "V7/ii", "♭II", "subV7"] {
            assert!(is_degree(text), "{text}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn no_text_makes_the_reader_panic(text in "[ivIVb#/7m°ø()9,+ ]{0,14}|\\PC{0,20}") {
            match parse(&text, Key::C_MAJOR) {
                Ok(symbol) => {
                    let again = ChordSymbol::parse(symbol.text());
                    prop_assert_eq!(again.map(|s| s.chord().clone()), Ok(symbol.chord().clone()));
                }
                Err(error) => prop_assert!(text.get(error.at).is_some()),
            }
        }
    }
}
