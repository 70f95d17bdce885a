//! The scale a bass player thinks of over a chord: which notes lie between its tones. The key
//! decides between the usual scales of a chord's kind: the one that leaves the key least wins,
//! which gives dorian on ii, phrygian on iii, lydian on IV, phrygian dominant on the V of a minor
//! key and lydian dominant on ♭VII, as jazz pedagogy teaches (common practice). Every tone of
//! the chord is always in its scale. Never looks at the chords around it.

use super::chord::Chord;
use super::degree::Degree;
use super::key::Key;
use super::pitch::Letter;
use super::pitch::PcSet;
use super::pitch::PitchClass;
use super::pitch::Spelling;
use super::scale_table::Choice;
use super::scale_table::Row;
use super::scale_table::SCALES;
use super::scale_table::USUAL;

/// A scale on a root: a name to show and to store, and its notes from the root upwards.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct ChordScale {
    /// Such as `lydian dominant`; a chord that no scale of the table holds has `… with the chord's
    /// own notes`.
    pub name: String,
    /// Notes as spelled, root first, rising within one octave.
    pub notes: Vec<Spelling>,
}

impl ChordScale {
    /// The scale of the table with this name on a root.
    #[must_use]
    pub fn named(name: &str, root: Spelling) -> Option<Self> {
        SCALES
            .iter()
            .find(|row| row.0 == name)
            .map(|row| on_root(row, root))
    }

    /// The pitch classes.
    #[must_use]
    pub fn pitch_classes(&self) -> PcSet {
        self.notes.iter().map(|note| note.pitch_class()).collect()
    }

    /// How the scale spells a pitch class; `None` if it is not in the scale.
    #[must_use]
    pub fn spell(&self, pc: PitchClass) -> Option<Spelling> {
        self.notes.iter().copied().find(|n| n.pitch_class() == pc)
    }
}

/// Kinds of chords that take the same scales.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Quality {
    /// Major triad, 6, maj7 and their tensions.
    Major,
    /// Augmented triad, maj7♯5.
    MajorSharpFifth,
    /// Minor triad, m7 and their tensions.
    Minor,
    /// m6 and mMaj7.
    MinorTonic,
    /// Dominant sevenths without altered tones, or with ♭13.
    Dominant,
    /// 7♭9.
    DominantFlatNinth,
    /// 7♯9.
    DominantSharpNinth,
    /// 7♯11.
    DominantSharpEleventh,
    /// 7♯5.
    DominantSharpFifth,
    /// 7♭5.
    DominantFlatFifth,
    /// An altered fifth with an altered ninth.
    Altered,
    /// A fourth or second in place of the third.
    Suspended,
    /// m7♭5.
    HalfDiminished,
    /// Diminished triad and seventh.
    Diminished,
    /// Neither third nor suspension.
    Open,
}

impl Quality {
    /// Every quality with a stable ASCII word for files.
    pub const WORDS: [(Self, &'static str); 15] = [
        (Self::Major, "major"),
        (Self::MajorSharpFifth, "major-sharp-fifth"),
        (Self::Minor, "minor"),
        (Self::MinorTonic, "minor-tonic"),
        (Self::Dominant, "dominant"),
        (Self::DominantFlatNinth, "dominant-flat-ninth"),
        (Self::DominantSharpNinth, "dominant-sharp-ninth"),
        (Self::DominantSharpEleventh, "dominant-sharp-eleventh"),
        (Self::DominantSharpFifth, "dominant-sharp-fifth"),
        (Self::DominantFlatFifth, "dominant-flat-fifth"),
        (Self::Altered, "altered"),
        (Self::Suspended, "suspended"),
        (Self::HalfDiminished, "half-diminished"),
        (Self::Diminished, "diminished"),
        (Self::Open, "open"),
    ];
}

/// A scale that the player prefers for one kind of chord on one degree of the key, such as
/// lydian on I. It goes with the tune into any key.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct ScaleChoice {
    /// Semitones of the chord's root above the tonic, 0 to 11.
    pub above_tonic: u8,
    /// Kind of chord.
    pub quality: Quality,
    /// Name of the scale.
    pub scale: String,
}

impl ScaleChoice {
    /// This scale for a chord in a key and for all that are like it.
    #[must_use]
    pub fn new(chord: &Chord, key: Key, scale: &str) -> Self {
        Self {
            above_tonic: above_tonic(chord, key),
            quality: quality(chord),
            scale: scale.into(),
        }
    }

    /// Whether it speaks of a chord in a key.
    #[must_use]
    pub fn is_for(&self, chord: &Chord, key: Key) -> bool {
        self.above_tonic == above_tonic(chord, key) && self.quality == quality(chord)
    }
}

fn above_tonic(chord: &Chord, key: Key) -> u8 {
    let up = chord.root().pitch_class().number() + 12 - key.tonic.pitch_class().number();
    up % 12
}

/// The scale over a chord in a key: the player's choice where it holds the chord, else that of
/// [`scale_of`].
#[must_use]
pub fn chosen_scale(chord: &Chord, key: Key, choices: &[ScaleChoice]) -> ChordScale {
    let choice = choices.iter().find(|choice| choice.is_for(chord, key));
    let chosen = choice.and_then(|choice| {
        let fitting = alternatives(chord, key);
        fitting.into_iter().find(|scale| scale.name == choice.scale)
    });
    chosen.unwrap_or_else(|| scale_of(chord, key))
}

/// The scale over a chord in a key: the first of [`alternatives`].
#[must_use]
pub fn scale_of(chord: &Chord, key: Key) -> ChordScale {
    let tones = tones(chord);
    let (choice, usual) = usual(quality(chord));
    let fitting: Vec<&Row> = usual
        .iter()
        .copied()
        .filter(|row| holds(row, chord, tones))
        .collect();
    let inside = notes_of(key).contains(chord.root().pitch_class());
    let named = |name: &str| fitting.iter().copied().find(|row| row.0 == name);
    let chosen = match choice {
        Choice::First => fitting.first().copied(),
        Choice::ByKeyInside(outside) if !inside && named(outside).is_some() => named(outside),
        _ => closest(&fitting, chord, key),
    };
    let all: Vec<&Row> = SCALES
        .iter()
        .filter(|row| holds(row, chord, tones))
        .collect();
    match chosen.or_else(|| closest(&all, chord, key)) {
        Some(row) => with_chord_spelling(on_root(row, chord.root()), chord),
        None => mended(usual.first().copied(), chord),
    }
}

/// Every scale that holds the chord, the one [`scale_of`] takes first, then the other usual ones,
/// then the rest of the table: what an editor offers.
#[must_use]
pub fn alternatives(chord: &Chord, key: Key) -> Vec<ChordScale> {
    let tones = tones(chord);
    let (_, usual) = usual(quality(chord));
    let mut scales = vec![scale_of(chord, key)];
    for row in usual.into_iter().chain(SCALES) {
        let known = scales.iter().any(|scale| scale.name == row.0);
        if !known && holds(row, chord, tones) {
            scales.push(with_chord_spelling(on_root(row, chord.root()), chord));
        }
    }
    scales
}

/// The kind of a chord.
#[must_use]
pub fn quality(chord: &Chord) -> Quality {
    let has = |number: u8, alter: i8| {
        let wanted = Degree::new(number, alter);
        chord.tones().iter().any(|tone| tone.degree == wanted)
    };
    let flat_fifth = has(5, -1);
    let sharp_fifth = has(5, 1);
    if has(3, -1) {
        return match (flat_fifth, has(7, -1), has(7, 0) || has(6, 0)) {
            (true, true, _) => Quality::HalfDiminished,
            (true, false, _) => Quality::Diminished,
            (false, false, true) => Quality::MinorTonic,
            _ => Quality::Minor,
        };
    }
    if has(4, 0) || has(2, 0) {
        return Quality::Suspended;
    }
    if !has(3, 0) {
        return Quality::Open;
    }
    if !has(7, -1) {
        return if sharp_fifth {
            Quality::MajorSharpFifth
        } else {
            Quality::Major
        };
    }
    let altered_ninth = has(9, -1) || has(9, 1);
    if (flat_fifth || sharp_fifth) && altered_ninth || (has(9, -1) && has(9, 1)) {
        Quality::Altered
    } else if has(9, 1) {
        Quality::DominantSharpNinth
    } else if has(9, -1) {
        Quality::DominantFlatNinth
    } else if has(11, 1) {
        Quality::DominantSharpEleventh
    } else if sharp_fifth {
        Quality::DominantSharpFifth
    } else if flat_fifth {
        Quality::DominantFlatFifth
    } else {
        Quality::Dominant
    }
}

fn usual(quality: Quality) -> (Choice, Vec<&'static Row>) {
    let found = USUAL.iter().find(|(own, _, _)| *own == quality);
    let (choice, names) = found.map_or((Choice::ByKey, &[][..]), |(_, choice, names)| {
        (*choice, *names)
    });
    let named = |name: &&str| SCALES.iter().find(|row| row.0 == *name);
    (choice, names.iter().filter_map(named).collect())
}

fn notes_of(key: Key) -> PcSet {
    let note = |letter| Spelling::new(letter, key.alter_of(letter)).pitch_class();
    Letter::ALL.into_iter().map(note).collect()
}

/// The chord's own tones, without a slash bass.
fn tones(chord: &Chord) -> PcSet {
    let root = chord.root().pitch_class();
    chord
        .tones()
        .iter()
        .map(|tone| tone.degree.above(root))
        .collect()
}

fn holds(row: &Row, chord: &Chord, tones: PcSet) -> bool {
    tones.is_subset_of(classes(row, chord.root().pitch_class()))
}

fn classes(row: &Row, root: PitchClass) -> PcSet {
    row.1.iter().map(|degree| degree.above(root)).collect()
}

/// The scale with most notes of the key and the slash bass; the earlier of equals.
fn closest<'a>(rows: &[&'a Row], chord: &Chord, key: Key) -> Option<&'a Row> {
    let in_key = notes_of(key);
    let claim = |row: &Row| {
        let own = classes(row, chord.root().pitch_class());
        let shared = own.iter().filter(|pc| in_key.contains(*pc)).count();
        let holds_bass = own.contains(chord.bass().pitch_class());
        usize::from(holds_bass) * 12 + shared
    };
    let mut best: Option<(&Row, usize)> = None;
    for row in rows {
        if best.is_none_or(|(_, most)| claim(row) > most) {
            best = Some((*row, claim(row)));
        }
    }
    best.map(|(row, _)| row)
}

fn on_root(row: &Row, root: Spelling) -> ChordScale {
    ChordScale {
        name: row.0.into(),
        notes: row
            .1
            .iter()
            .map(|degree| degree.spelled_above(root))
            .collect(),
    }
}

/// Notes of the chord keep the chord's spelling.
fn with_chord_spelling(mut scale: ChordScale, chord: &Chord) -> ChordScale {
    let own = tones(chord);
    for note in &mut scale.notes {
        let pc = note.pitch_class();
        if own.contains(pc) {
            *note = chord
                .degree_of(pc)
                .map_or(*note, |d| d.spelled_above(chord.root()));
        }
    }
    scale
}

/// For chords that no scale of the table holds: the chord's tones, and of the usual scale the
/// degrees that the chord leaves open.
fn mended(row: Option<&Row>, chord: &Chord) -> ChordScale {
    let folded = |degree: &Degree| (degree.number() - 1) % 7;
    let taken: Vec<u8> = chord.tones().iter().map(|t| folded(&t.degree)).collect();
    let own = tones(chord);
    let root = chord.root();
    let (name, degrees) = row.map_or(("the chord", &[][..]), |row| (row.0, row.1));
    let open = degrees.iter().filter(|degree| {
        !taken.contains(&folded(degree)) && !own.contains(degree.above(root.pitch_class()))
    });
    let degrees = chord.tones().iter().map(|t| t.degree).chain(open.copied());
    let mut notes: Vec<Spelling> = Vec::new();
    for note in degrees.map(|degree| degree.spelled_above(root)) {
        if notes.iter().all(|n| n.pitch_class() != note.pitch_class()) {
            notes.push(note);
        }
    }
    notes.sort_by_key(|note| root.pitch_class().semitones_up_to(note.pitch_class()));
    ChordScale {
        name: format!("{name} with the chord's own notes"),
        notes,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::ChordSymbol;

    fn scale(symbol: &str, key: &str) -> ChordScale {
        let symbol = ChordSymbol::parse(symbol).expect("a chord");
        scale_of(symbol.chord(), Key::parse(key).expect("a key"))
    }

    /// Choices as college jazz harmony teaches them (common practice).
    #[test]
    fn the_key_decides_between_the_scales_of_a_chord() {
        for (symbol, key, name) in [
            ("Cmaj7", "C", "ionian"),
            ("Fmaj7", "C", "lydian"),
            ("Dbmaj7", "C", "lydian"),
            ("Abmaj7", "C", "lydian"),
            ("Dm7", "C", "dorian"),
            ("Em7", "C", "phrygian"),
            ("Am7", "C", "aeolian"),
            ("Cm7", "F", "dorian"),
            ("Bbm7", "C", "dorian"),
            ("G7", "C", "mixolydian"),
            ("D7", "C", "mixolydian"),
            ("A7", "C", "mixolydian b13"),
            ("E7", "C", "phrygian dominant"),
            ("B7", "C", "phrygian dominant"),
            ("Bb7", "C", "lydian dominant"),
            ("Db7", "C", "lydian dominant"),
            ("F#7", "C", "lydian dominant"),
            ("F#m7b5", "C", "locrian"),
            ("Ab7", "C", "lydian dominant"),
            ("G7", "Cm", "phrygian dominant"),
            ("G7b9", "Cm", "phrygian dominant"),
            ("G13b9", "C", "half-whole diminished"),
            ("G7alt", "C", "altered"),
            ("G7#9", "C", "half-whole diminished"),
            ("G7#11", "C", "lydian dominant"),
            ("G7#5", "C", "whole tone"),
            ("Bm7b5", "C", "locrian"),
            ("Dm7b5", "Cm", "locrian"),
            ("Bdim7", "C", "whole-half diminished"),
            ("Cm6", "Cm", "melodic minor"),
            ("CmMaj7", "Cm", "melodic minor"),
            ("Cmaj7#5", "C", "lydian augmented"),
            ("G7sus4", "C", "mixolydian"),
            ("Cm7", "Cm", "aeolian"),
            ("Fm7", "Cm", "dorian"),
        ] {
            assert_eq!(scale(symbol, key).name, name, "{symbol} in {key}");
        }
    }

    /// Lydian on I, as many players prefer it (common practice), goes with the tune into any key;
    /// a choice that does not hold the chord, or speaks of another, is passed over.
    #[test]
    fn a_choice_is_taken_where_it_holds_the_chord() {
        let chord = |text: &str| ChordSymbol::parse(text).expect("a chord").chord().clone();
        let choice = |above_tonic, quality, scale: &str| ScaleChoice {
            above_tonic,
            quality,
            scale: scale.into(),
        };
        let choices = [
            choice(0, Quality::Major, "lydian"),
            choice(7, Quality::Dominant, "ionian"),
            choice(2, Quality::Minor, "no such scale"),
            choice(9, Quality::Dominant, "altered"),
        ];
        for (symbol, key, name, notes) in [
            ("Cmaj7", "C", "lydian", "C D E F# G A B"),
            ("Ebmaj7", "Eb", "lydian", "Eb F G A Bb C D"),
            ("Ebmaj7", "C", "lydian", "Eb F G A Bb C D"),
            ("Gmaj7", "C", "ionian", "G A B C D E F#"),
            ("Cm7", "C", "dorian", "C D Eb F G A Bb"),
            ("G7", "C", "mixolydian", "G A B C D E F"),
            ("Dm7", "C", "dorian", "D E F G A B C"),
            ("A7", "C", "mixolydian b13", "A B C# D E F G"),
        ] {
            let key = Key::parse(key).expect("a key");
            let scale = chosen_scale(&chord(symbol), key, &choices);
            let written: Vec<String> = scale.notes.iter().map(ToString::to_string).collect();
            assert_eq!(
                (scale.name.as_str(), written.join(" ").as_str()),
                (name, notes),
                "{symbol}"
            );
        }
        let made = ScaleChoice::new(&chord("Cmaj7"), Key::C_MAJOR, "lydian");
        assert_eq!(made, choice(0, Quality::Major, "lydian"));
        assert!(made.is_for(&chord("F6"), Key::parse("F").expect("a key")));
        assert!(!made.is_for(&chord("F6"), Key::C_MAJOR));
    }

    #[test]
    fn scales_are_spelled_from_the_chord() {
        for (symbol, key, notes) in [
            ("Ebm7", "Db", "Eb F Gb Ab Bb C Db"),
            ("F#m7b5", "Em", "F# G A B C D E"),
            ("Bb7", "C", "Bb C D E F G Ab"),
            ("G7b9", "C", "G Ab B C D Eb F"),
        ] {
            let scale = scale(symbol, key);
            let written: Vec<String> = scale.notes.iter().map(ToString::to_string).collect();
            assert_eq!(written.join(" "), notes, "{symbol}");
        }
    }

    #[test]
    fn the_choice_comes_first_among_the_alternatives_and_none_comes_twice() {
        let symbol = ChordSymbol::parse("G7").expect("a chord");
        let all = alternatives(symbol.chord(), Key::C_MAJOR);
        let names: Vec<&str> = all.iter().map(|scale| scale.name.as_str()).collect();
        assert_eq!(names.first(), Some(&"mixolydian"));
        let mut once = names.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), names.len());
        assert!(names.contains(&"lydian dominant"));
        assert!(!names.contains(&"ionian"), "G7 has no major seventh");
    }
}
