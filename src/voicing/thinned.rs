//! Voicings of chords that name more tones than a hand plucks at once. `G13(b9)` over its root
//! needs five notes; with thumb and three fingers one of them must stay out. Guide tones never do:
//! only named tensions and altered fifths may, as few as possible, and every choice of them is
//! offered. Never thins a chord that has a full voicing.

use super::search::fingered_voicings;
use super::voiced::Voicing;
use super::wish::Wish;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::theory::Chord;
use crate::theory::Degree;
use std::collections::BTreeMap;

/// The most tones that are left out.
const MOST_LEFT_OUT: usize = 3;

/// As [`fingered_voicings`]; where these are none, those of the chord without as few of its
/// tensions as possible. A chord without tensions has no other.
#[must_use]
pub fn thinned_voicings(
    chord: &Chord,
    instrument: &Instrument,
    hand: &Hand,
    wish: &Wish,
    most: usize,
) -> Vec<Voicing> {
    let full = fingered_voicings(chord, instrument, hand, wish, most);
    if !full.is_empty() {
        return full;
    }
    let mut chords = vec![chord.clone()];
    for _ in 0..MOST_LEFT_OUT {
        chords = chords
            .iter()
            .flat_map(|chord| tensions(chord).map(|degree| chord.with_optional(degree)))
            .collect();
        // The same voicing may come from several choices; it is listed once.
        let mut found = BTreeMap::new();
        for chord in &chords {
            for voicing in fingered_voicings(chord, instrument, hand, wish, most) {
                found.insert((voicing.effort.total(), voicing.grip), voicing);
            }
        }
        if !found.is_empty() {
            return found.into_values().collect();
        }
    }
    Vec::new()
}

/// Essential tones that may stay out if they must: tensions and altered fifths.
fn tensions(chord: &Chord) -> impl Iterator<Item = Degree> {
    let tones = chord.tones().iter().filter(|tone| tone.essential);
    let degrees = tones.map(|tone| tone.degree);
    degrees.filter(|degree| matches!(degree.number(), 5 | 9..))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::ChordSymbol;

    fn list(symbol: &str, plucking_fingers: u8) -> (Vec<Voicing>, Vec<Voicing>) {
        let symbol = ChordSymbol::parse(symbol).expect("a chord");
        let hand = Hand {
            plucking_fingers,
            ..Hand::default()
        };
        let (instrument, wish) = (Instrument::default(), Wish::default());
        let full = fingered_voicings(symbol.chord(), &instrument, &hand, &wish, 1);
        let thinned = thinned_voicings(symbol.chord(), &instrument, &hand, &wish, 1);
        (full, thinned)
    }

    #[test]
    fn a_chord_with_full_voicings_is_not_thinned() {
        for symbol in ["C7", "G13", "Am7b5", "E7#9"] {
            let (full, thinned) = list(symbol, 3);
            assert_eq!(full, thinned, "{symbol}");
        }
        let (full, thinned) = list("G13(b9)", 4);
        assert!(!full.is_empty() && full == thinned);
    }

    #[test]
    fn five_tones_under_three_fingers_lose_a_tension_and_keep_their_guide_tones() {
        let (full, thinned) = list("G13(b9)", 3);
        assert!(full.is_empty() && thinned.len() > 20, "{}", thinned.len());
        for voicing in &thinned {
            let has = |number| voicing.notes.iter().any(|n| n.degree.number() == number);
            assert!(has(1) && has(3) && has(7), "{}", voicing.grip.shape);
            assert!(
                has(9) != has(13),
                "one of the two stays: {}",
                voicing.grip.shape
            );
        }
    }
}
