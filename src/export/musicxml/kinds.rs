//! Chords as MusicXML says them: one of its kinds, and degrees that are altered, added or left
//! out. The kind with the fewest changes is taken, of equal ones the first of the table. All tones
//! of the symbol are said, those that a voicing may leave out as well.
//!
//! Kinds and how degrees count: MusicXML 4.0, `kind-value` and `degree-alter`, W3C Music Notation
//! Community Group, 2021.

use crate::theory::Chord;

/// A change to a kind.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct DegreeChange {
    /// Degree, 1 to 13.
    pub number: u8,
    /// Semitones: of an added degree from the dominant chord's own, else from the kind's.
    pub alter: i8,
    /// `add`, `alter` or `subtract`.
    pub kind: &'static str,
}

type Tones = &'static [(u8, i8)];

/// Kinds with their degrees and alterations from the major scale. Every eleventh of a thirteenth
/// over a major third is left out, as players read the symbol (common practice); the standard
/// counts it in.
const KINDS: &[(&str, Tones)] = &[
    ("major", &[(1, 0), (3, 0), (5, 0)]),
    ("minor", &[(1, 0), (3, -1), (5, 0)]),
    ("augmented", &[(1, 0), (3, 0), (5, 1)]),
    ("diminished", &[(1, 0), (3, -1), (5, -1)]),
    ("dominant", &[(1, 0), (3, 0), (5, 0), (7, -1)]),
    ("major-seventh", &[(1, 0), (3, 0), (5, 0), (7, 0)]),
    ("minor-seventh", &[(1, 0), (3, -1), (5, 0), (7, -1)]),
    ("diminished-seventh", &[(1, 0), (3, -1), (5, -1), (7, -2)]),
    ("augmented-seventh", &[(1, 0), (3, 0), (5, 1), (7, -1)]),
    ("half-diminished", &[(1, 0), (3, -1), (5, -1), (7, -1)]),
    ("major-minor", &[(1, 0), (3, -1), (5, 0), (7, 0)]),
    ("major-sixth", &[(1, 0), (3, 0), (5, 0), (6, 0)]),
    ("minor-sixth", &[(1, 0), (3, -1), (5, 0), (6, 0)]),
    ("dominant-ninth", &[(1, 0), (3, 0), (5, 0), (7, -1), (9, 0)]),
    ("major-ninth", &[(1, 0), (3, 0), (5, 0), (7, 0), (9, 0)]),
    ("minor-ninth", &[(1, 0), (3, -1), (5, 0), (7, -1), (9, 0)]),
    (
        "dominant-11th",
        &[(1, 0), (3, 0), (5, 0), (7, -1), (9, 0), (11, 0)],
    ),
    (
        "major-11th",
        &[(1, 0), (3, 0), (5, 0), (7, 0), (9, 0), (11, 0)],
    ),
    (
        "minor-11th",
        &[(1, 0), (3, -1), (5, 0), (7, -1), (9, 0), (11, 0)],
    ),
    (
        "dominant-13th",
        &[(1, 0), (3, 0), (5, 0), (7, -1), (9, 0), (13, 0)],
    ),
    (
        "major-13th",
        &[(1, 0), (3, 0), (5, 0), (7, 0), (9, 0), (13, 0)],
    ),
    (
        "minor-13th",
        &[(1, 0), (3, -1), (5, 0), (7, -1), (9, 0), (11, 0), (13, 0)],
    ),
    ("suspended-second", &[(1, 0), (2, 0), (5, 0)]),
    ("suspended-fourth", &[(1, 0), (4, 0), (5, 0)]),
    ("power", &[(1, 0), (5, 0)]),
];

/// The kind of a chord and its changes.
#[must_use]
pub fn of(chord: &Chord) -> (&'static str, Vec<DegreeChange>) {
    let tones = chord.tones().iter();
    let tones: Vec<(u8, i8)> = tones
        .map(|t| (t.degree.number(), t.degree.alter()))
        .collect();
    let named = KINDS
        .iter()
        .map(|(name, kind)| (*name, changes(kind, &tones)));
    let best = named.min_by_key(|(_, changes)| changes.iter().map(weight).sum::<u32>());
    best.unwrap_or(("other", Vec::new()))
}

/// What is left out is the rarest word of a symbol.
fn weight(change: &DegreeChange) -> u32 {
    if change.kind == "subtract" { 3 } else { 2 }
}

fn changes(kind: Tones, tones: &[(u8, i8)]) -> Vec<DegreeChange> {
    let mut changes = Vec::new();
    for (number, own) in kind {
        let same_number = || tones.iter().filter(|(n, _)| n == number);
        let altered = same_number().next();
        if tones.contains(&(*number, *own)) {
            continue;
        }
        changes.push(match altered {
            Some((_, alter)) => DegreeChange {
                number: *number,
                alter: alter - own,
                kind: "alter",
            },
            None => DegreeChange {
                number: *number,
                alter: 0,
                kind: "subtract",
            },
        });
    }
    for (number, alter) in tones {
        let own = kind.contains(&(*number, *alter));
        let reached = changes.iter().any(|change| {
            let from = kind.iter().find(|(n, _)| *n == change.number);
            change.kind == "alter"
                && change.number == *number
                && from.is_some_and(|(_, from)| from + change.alter == *alter)
        });
        if !own && !reached {
            let dominant = if *number == 7 { -1 } else { 0 };
            changes.push(DegreeChange {
                number: *number,
                alter: alter - dominant,
                kind: "add",
            });
        }
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::ChordSymbol;

    fn said(symbol: &str) -> String {
        let symbol = ChordSymbol::parse(symbol).expect("a chord");
        let (kind, changes) = of(symbol.chord());
        let changes = changes.iter();
        let words: Vec<String> = changes
            .map(|c| format!(" {} {} {}", c.kind, c.number, c.alter))
            .collect();
        format!("{kind}{}", words.concat())
    }

    #[test]
    fn chords_are_said_with_the_fewest_changes() {
        // Kinds: MusicXML 4.0, kind-value; added sevenths count from the minor one (degree-alter).
        for (symbol, wanted) in [
            ("C", "major"),
            ("Cm7b5", "half-diminished"),
            ("Cm(maj7)", "major-minor"),
            ("C13", "dominant-13th"),
            ("C7b9", "dominant add 9 -1"),
            ("C13b9", "dominant-13th alter 9 -1"),
            ("C6/9", "major-sixth add 9 0"),
            ("C7sus4", "suspended-fourth add 7 0"),
            ("Cmaj7sus4", "suspended-fourth add 7 1"),
            ("C7#5", "augmented-seventh"),
            ("Cmaj7#11", "major-seventh add 11 1"),
            ("C7b5", "dominant alter 5 -1"),
            ("C5", "power"),
        ] {
            assert_eq!(said(symbol), wanted, "{symbol}");
        }
    }
}
