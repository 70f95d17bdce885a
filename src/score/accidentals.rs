//! Which notes of a bar carry an accidental: those that differ from the key signature, or from what
//! the same line or space had earlier in the bar. A tie carries its sign over the bar line.

use super::rhythm::pieces::Piece;
use super::staff_pitch::Pitch;
use crate::arrange::PlayedNote;
use crate::theory::Key;
use crate::theory::Letter;
use crate::theory::Ticks;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Notes that carry a sign, as places in the arrangement's list; `true` for where one slides from.
pub type Signed = BTreeSet<(usize, bool)>;

/// Walks through the voices of a bar as they sound.
#[must_use]
pub fn of_bar(voices: &[&[Piece]], notes: &[PlayedNote], key: Key) -> Signed {
    let mut struck: Vec<(Ticks, bool, usize)> = Vec::new();
    for piece in voices.iter().copied().flatten() {
        let here = || piece.notes().iter().filter(|note| !note.from_before);
        // What a note slides from stands before it.
        let slides = |idx: usize| notes.get(idx).is_some_and(|n| n.slide_from.is_some());
        let from = here().filter(|held| slides(held.note));
        struck.extend(from.map(|held| (piece.at, false, held.note)));
        struck.extend(here().map(|held| (piece.at, true, held.note)));
    }
    struck.sort_unstable();
    let mut lines: BTreeMap<(Letter, i32), i8> = BTreeMap::new();
    let mut signed = Signed::new();
    for (_, arrived, idx) in struck {
        let Some(note) = notes.get(idx) else {
            continue;
        };
        let pitch = if arrived {
            Some(Pitch::of(note))
        } else {
            Pitch::slid_from(note, key)
        };
        let Some(pitch) = pitch else {
            continue;
        };
        let line = (pitch.spelling.letter(), pitch.octave);
        let usual = key.alter_of(line.0);
        let before = lines.insert(line, pitch.spelling.alter()).unwrap_or(usual);
        if before != pitch.spelling.alter() {
            signed.insert((idx, !arrived));
        }
    }
    signed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::Lane;
    use crate::arrange::Place;
    use crate::arrange::PluckFinger;
    use crate::instrument::StringIdx;
    use crate::score::rhythm::Written;
    use crate::score::rhythm::pieces::Sounding;
    use crate::score::rhythm::pieces::What;
    use crate::theory::Articulation;
    use crate::theory::Meter;
    use crate::theory::Midi;
    use crate::theory::Spelling;

    /// Notes as `F#4`, one a beat, of one voice; those behind a `~` are held from before. The numbers
    /// of those that carry a sign.
    fn signed(key: &str, line: &str) -> Vec<usize> {
        let mut notes = Vec::new();
        let mut pieces = Vec::new();
        for (i, word) in (0u32..).zip(line.split_whitespace()) {
            let held = word.starts_with('~');
            let word = word.trim_start_matches('~');
            let (name, octave) = word.split_at(word.len() - 1);
            let letter =
                Letter::from_char(name.chars().next().expect("a letter")).expect("a letter");
            let alter = i8::try_from(name.matches('#').count()).expect("few")
                - i8::try_from(name.matches('b').count()).expect("few");
            let octave: i32 = octave.parse().expect("an octave");
            let key_number = 12 * (octave + 1) + letter.semitones() + i32::from(alter);
            notes.push(PlayedNote {
                place: Place {
                    bar: 0,
                    at: Ticks(960 * i),
                },
                length: Ticks(960),
                string: StringIdx(0),
                fret: 0,
                finger: None,
                pluck: PluckFinger::P,
                lane: Lane::Thumb,
                pitch: Midi::clamped(key_number),
                spelling: Spelling::new(letter, alter),
                thumb_move: None,
                articulation: Articulation::Ring,
                slide_from: None,
            });
            pieces.push(Piece {
                at: Ticks(960 * i),
                length: Ticks(960),
                written: Written::fitting(Ticks(0), Ticks(960), Meter::COMMON),
                what: What::Notes(vec![Sounding {
                    note: i as usize,
                    from_before: held,
                    into_next: false,
                }]),
            });
        }
        let key = Key::parse(key).expect("a key");
        let signed = of_bar(&[&pieces], &notes, key);
        signed.into_iter().map(|(idx, _)| idx).collect()
    }

    #[test]
    fn a_sign_holds_for_its_line_until_the_bar_ends() {
        // Common practice: it holds in its own octave only, a natural takes it back, the signature
        // needs none, and a tie from the bar before says nothing about the notes after it.
        for (key, line, wanted) in [
            ("C", "F#4 F#4 F4 F4", vec![0, 2]),
            ("C", "F#4 F#5 F#4", vec![0, 1]),
            ("G", "F#4 F4 F#4", vec![1, 2]),
            ("F", "Bb3 B3 Bb3", vec![1, 2]),
            ("C", "~Eb4 Eb4 E4", vec![1, 2]),
            ("Cm", "Bb3 Ab3 A3 Cb4", vec![2, 3]),
        ] {
            assert_eq!(signed(key, line), wanted, "{key}: {line}");
        }
    }
}
