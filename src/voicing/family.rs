//! Families of voicings by their stacking, each with a definition that a test can hold against a
//! table of textbook shapes. Looks only at sounding pitches and at the chord's own guide tones.

use super::wish;
use crate::theory::Chord;
use crate::theory::Degree;
use crate::theory::PcSet;

/// How the notes of a voicing are stacked.
///
/// The first definition that fits counts, in the order rootless, shell, quartal, close, drop 2,
/// drop 3, spread. Notes are taken by rising pitch, whatever string they lie on.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Family {
    /// Exactly the root, the third (or what stands for it) and the seventh (or sixth).
    Shell,
    /// Four or more notes: put the lowest one up an octave and they lie within an octave, it
    /// being the second-highest.
    Drop2,
    /// Four or more notes: put the lowest one up an octave and they lie within an octave, it
    /// being the third-highest.
    Drop3,
    /// All notes within less than an octave.
    Close,
    /// Three or more notes, every neighbour a perfect or augmented fourth away, none doubled.
    Quartal,
    /// The root is not sounded.
    Rootless,
    /// Any wider arrangement.
    Spread,
}

impl Family {
    /// Every family, in the order shown.
    pub const ALL: [Self; 7] = [
        Self::Shell,
        Self::Drop2,
        Self::Drop3,
        Self::Close,
        Self::Quartal,
        Self::Rootless,
        Self::Spread,
    ];

    /// For screens and JSON.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Shell => "shell",
            Self::Drop2 => "drop 2",
            Self::Drop3 => "drop 3",
            Self::Close => "close",
            Self::Quartal => "quartal",
            Self::Rootless => "rootless",
            Self::Spread => "spread",
        }
    }
}

/// What naming a voicing needs to know of its chord.
#[derive(Clone, Copy, Debug)]
pub(super) struct Guides {
    root: u8,
    thirds: PcSet,
    sevenths: PcSet,
    has_seventh: bool,
}

impl Guides {
    pub(super) fn new(chord: &Chord) -> Self {
        let root = chord.root().pitch_class();
        let classes = |degrees: Vec<Degree>| degrees.iter().map(|d| d.above(root)).collect();
        Self {
            root: root.number(),
            thirds: classes(wish::thirds(chord)),
            sevenths: classes(wish::sevenths(chord)),
            has_seventh: !wish::numbered(chord, 7).is_empty(),
        }
    }

    /// The family of sounding pitches, given by rising pitch.
    pub(super) fn family(&self, pitches: &[u8]) -> Family {
        let class = |p: &u8| crate::theory::PitchClass::new(i32::from(*p));
        let sounding: PcSet = pitches.iter().map(class).collect();
        let doubled = sounding.len() < pitches.len();
        if !pitches.iter().any(|p| p % 12 == self.root) {
            return Family::Rootless;
        }
        let above: PcSet = sounding
            .iter()
            .filter(|p| p.number() != self.root)
            .collect();
        let in_both = |set: PcSet| above.iter().filter(|pc| set.contains(*pc)).count();
        if pitches.len() == 3
            && above.len() == 2
            && in_both(self.thirds) == 1
            && in_both(self.sevenths) == 1
        {
            return Family::Shell;
        }
        let fourths = pitches
            .windows(2)
            .all(|pair| matches!(pair, [low, high] if matches!(high - low, 5 | 6)));
        if pitches.len() >= 3 && !doubled && fourths {
            return Family::Quartal;
        }
        stacking(pitches)
    }

    /// The inversion that a bass degree makes.
    pub(super) fn inversion(&self, chord: &Chord, bass: Degree) -> Option<u8> {
        match bass.number() {
            1 if bass.alter() == 0 => Some(0),
            5 => Some(2),
            7 => Some(3),
            6 if !self.has_seventh => Some(3),
            _ if wish::thirds(chord).contains(&bass) => Some(1),
            _ => None,
        }
    }
}

/// Close, drop 2, drop 3 or spread.
fn stacking(pitches: &[u8]) -> Family {
    let [bass, upper @ ..] = pitches else {
        return Family::Spread;
    };
    let (Some(first), Some(last)) = (upper.first(), upper.last()) else {
        return Family::Spread;
    };
    if last - bass < 12 {
        return Family::Close;
    }
    let raised = bass + 12;
    let above = upper.iter().filter(|p| **p > raised).count();
    let within = last.max(&raised) - first.min(&raised) < 12 && !upper.contains(&raised);
    match above {
        1 if within && upper.len() >= 3 => Family::Drop2,
        2 if within && upper.len() >= 3 => Family::Drop3,
        _ => Family::Spread,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::ChordSymbol;

    /// Families by definition; the drop-2 and drop-3 forms of all qualities are held against
    /// `tests/tables/voicings.csv` elsewhere.
    #[test]
    fn families_follow_their_definitions() {
        let rows: &[(&str, &[u8], Family)] = &[
            ("G7", &[43, 53, 59], Family::Shell),
            ("C6", &[48, 52, 57], Family::Shell),
            ("G7sus4", &[43, 53, 60], Family::Shell),
            ("G7", &[43, 53, 59, 62], Family::Drop3),
            ("G13", &[43, 53, 59, 64], Family::Drop3),
            ("Cmaj7", &[48, 55, 59, 64], Family::Drop2),
            ("Cmaj7", &[48, 52, 55, 59], Family::Close),
            ("C", &[48, 52, 55], Family::Close),
            ("C", &[48, 55, 64], Family::Spread),
            ("Dm11", &[50, 55, 60, 65], Family::Quartal),
            ("G9", &[53, 57, 59, 62], Family::Rootless),
            ("C", &[48, 55, 60, 64], Family::Spread),
            ("Cmaj7", &[48, 59, 67, 76], Family::Spread),
        ];
        for (symbol, pitches, family) in rows {
            let chord = ChordSymbol::parse(symbol).unwrap_or_else(|e| panic!("{e}"));
            let guides = Guides::new(chord.chord());
            assert_eq!(guides.family(pitches), *family, "{symbol} {pitches:?}");
        }
    }

    #[test]
    fn inversions_count_the_sixth_as_a_seventh_only_where_there_is_none() {
        let rows = [
            ("C6", 6, 0, Some(3)),
            ("C7", 7, -1, Some(3)),
            ("Cdim7", 7, -2, Some(3)),
            ("Csus4", 4, 0, Some(1)),
            ("C13", 13, 0, None),
            ("C9", 9, 0, None),
            ("C7#5", 5, 1, Some(2)),
        ];
        for (symbol, number, alter, expected) in rows {
            let chord = ChordSymbol::parse(symbol).unwrap_or_else(|e| panic!("{e}"));
            let guides = Guides::new(chord.chord());
            let got = guides.inversion(chord.chord(), Degree::new(number, alter));
            assert_eq!(got, expected, "{symbol} {number}");
        }
    }
}
