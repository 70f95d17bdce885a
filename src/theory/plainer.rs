//! Plainer chords in place of one: the same root and family with fewer tensions. What a player does
//! who reads `C13(b9)` and has no hand for it: the highest tension goes first, guide tones stay as
//! long as there is anything else to give up, the slash bass goes last (common practice).

use super::chord::Chord;
use super::chord_parts::Change;
use super::chord_parts::ChordParts;
use super::chord_parts::Extension;
use super::chord_parts::Family;
use std::collections::HashSet;

/// The most chords that are offered in place of one.
const MOST: usize = 48;

impl Chord {
    /// Plainer chords on the same root, nearest first: those with one thing less, then those with
    /// two, and so on. Never this chord itself, and none twice.
    #[must_use]
    pub fn plainer(&self) -> Vec<Self> {
        let mut found = vec![self.clone()];
        let mut known: HashSet<Self> = found.iter().cloned().collect();
        let mut next = 0;
        while let Some(chord) = found.get(next).filter(|_| found.len() <= MOST) {
            next += 1;
            let fresh: Vec<Self> = one_less(chord)
                .into_iter()
                .filter(|chord| known.insert(chord.clone()))
                .collect();
            found.extend(fresh);
        }
        found.split_off(1)
    }
}

/// The chords with one thing less, what is heard highest first.
fn one_less(chord: &Chord) -> Vec<Chord> {
    let parts = chord.parts();
    let mut less: Vec<(u8, ChordParts)> = Vec::new();
    for (idx, change) in parts.changes.iter().enumerate() {
        if let Change::Alter(tone) | Change::Add(tone) = change {
            let mut changes = parts.changes.clone();
            changes.remove(idx);
            let plain = ChordParts {
                changes,
                ..parts.clone()
            };
            less.push((tone.degree().number(), plain));
        }
    }
    if let Some((top, family, extension)) = lowered(parts.family, parts.extension) {
        let plain = ChordParts {
            family,
            extension,
            ..parts.clone()
        };
        less.push((top, plain));
    }
    less.sort_by_key(|(number, _)| std::cmp::Reverse(*number));
    let bass = chord.slash_bass();
    let mut chords: Vec<Chord> = less
        .iter()
        .filter_map(|(_, parts)| Chord::from_parts(chord.root(), parts, bass))
        .collect();
    if bass.is_some() {
        chords.push(chord.with_root(chord.root(), None));
    }
    chords
}

/// The stack without its top, and the number of the degree that goes. A family that needs its
/// seventh becomes the one of its triad.
const fn lowered(family: Family, extension: Extension) -> Option<(u8, Family, Extension)> {
    let triad = match family {
        Family::Dominant | Family::Altered => Family::Major,
        Family::MinorMajor => Family::Minor,
        Family::HalfDiminished | Family::DiminishedMajor => Family::Diminished,
        Family::AugmentedMajor => Family::Augmented,
        own => own,
    };
    Some(match (family, extension) {
        (Family::Altered, _) => (9, Family::Dominant, Extension::Seventh),
        (_, Extension::Triad) => return None,
        (_, Extension::Thirteenth) => (13, family, Extension::Ninth),
        (_, Extension::Eleventh) => (11, family, Extension::Ninth),
        (_, Extension::Ninth) => (9, family, Extension::Seventh),
        (_, Extension::SixNine) => (9, family, Extension::Sixth),
        (_, Extension::Seventh) => (7, triad, Extension::Triad),
        (_, Extension::Sixth) => (6, triad, Extension::Triad),
    })
}

#[cfg(test)]
mod tests {
    use crate::theory::ChordSymbol;
    use crate::theory::HouseStyle;

    fn plainer(symbol: &str) -> Vec<String> {
        let symbol = ChordSymbol::parse(symbol).expect("a chord");
        let plainer = symbol.chord().plainer();
        plainer
            .iter()
            .map(|chord| chord.printed(HouseStyle::Letters))
            .collect()
    }

    /// Common practice: tensions go from the top, the seventh after them, the slash bass last.
    #[test]
    fn tensions_go_from_the_top() {
        for (symbol, expected) in [
            ("C13", &["C9", "C7", "C"][..]),
            ("Cm9", &["Cm7", "Cm"]),
            ("C6/9", &["C6", "C"]),
            ("Cmaj7/E", &["C/E", "Cmaj7", "C"]),
            ("Bm7b5", &["Bdim"]),
            ("C", &[]),
        ] {
            assert_eq!(plainer(symbol), expected, "{symbol}");
        }
        assert_eq!(plainer("G13(b9)")[..2], ["G7(b9)", "G13"]);
        assert!(plainer("C7alt").contains(&"C7".to_owned()));
    }

    #[test]
    fn every_plainer_chord_can_be_typed_again() {
        for symbol in ["G13(b9,#11)/F", "Cm11", "Ebmaj7#5", "F#7sus4(b9)", "C7alt"] {
            let chord = ChordSymbol::parse(symbol).expect("a chord");
            for plain in chord.chord().plainer() {
                let text = plain.printed(HouseStyle::Letters);
                let again = ChordSymbol::parse(&text).unwrap_or_else(|e| panic!("{text}: {e}"));
                assert_eq!(*again.chord(), plain, "{text}");
            }
        }
    }
}
