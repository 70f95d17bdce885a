//! Chords and chord symbols. A symbol is stored as meaning (root, tones with degrees, bass)
//! beside the text that was typed, and is shown in one of two house styles. What the symbols
//! mean, and where reference books and libraries differ, is written in `chord_parse`.

use super::chord_parse;
use super::chord_parts::ChordParts;
use super::chord_parts::Extension;
use super::chord_parts::Family;
use super::chord_print;
use super::degree::Degree;
use super::pitch::PcSet;
use super::pitch::PitchClass;
use super::pitch::Spelling;
use super::tone_set::Tone;
use super::tone_set::ToneSet;
use std::ops::Range;

/// How chord symbols are printed.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum HouseStyle {
    /// Letters: `Cmaj7`, `Cm7(b5)`, `Cdim7`.
    #[default]
    Letters,
    /// Signs: `CΔ7`, `Cø7`, `C°7`, `C-7`.
    Signs,
}

/// One tone of a chord.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct ChordTone {
    /// Its degree above the chord's root.
    pub degree: Degree,
    /// Whether a voicing without it is no longer this chord. A perfect fifth and the root may
    /// go; guide tones, named tensions and altered fifths may not (common practice).
    pub essential: bool,
}

/// The meaning of a chord symbol. Two chords are equal if they ask for the same tones above the
/// same root over the same bass, however they were spelled.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Chord {
    root: Spelling,
    set: ToneSet,
    tones: Vec<ChordTone>,
    bass: Option<Spelling>,
}

impl Chord {
    /// A chord from its parts; `None` if they make no chord.
    #[must_use]
    pub fn from_parts(root: Spelling, parts: &ChordParts, bass: Option<Spelling>) -> Option<Self> {
        Some(Self::from_set(root, parts.tones()?, bass))
    }

    /// A chord from the degrees above its root (which need not be among them), for importers.
    /// `None` if a degree is no chord tone, if there are two sevenths or nothing but the root.
    #[must_use]
    pub fn from_degrees(
        root: Spelling,
        degrees: &[Degree],
        bass: Option<Spelling>,
    ) -> Option<Self> {
        let mut set = ToneSet::ROOT;
        for degree in degrees {
            set = set.with(Tone::from_degree(*degree)?);
        }
        let set = set.settled();
        ChordParts::of(set)?;
        Some(Self::from_set(root, set, bass))
    }

    fn from_set(root: Spelling, set: ToneSet, bass: Option<Spelling>) -> Self {
        let tone = |tone: Tone| ChordTone {
            degree: tone.degree(),
            essential: set.needs(tone),
        };
        Self {
            root,
            set,
            tones: set.iter().map(tone).collect(),
            bass,
        }
    }

    /// The same quality over another root and slash bass.
    #[must_use]
    pub fn with_root(&self, root: Spelling, bass: Option<Spelling>) -> Self {
        Self::from_set(root, self.set, bass)
    }

    /// The same chord with one tone that may now be left out: for hands that pluck fewer notes
    /// than the symbol names.
    #[must_use]
    pub fn with_optional(&self, degree: Degree) -> Self {
        let mut chord = self.clone();
        for tone in &mut chord.tones {
            tone.essential &= tone.degree != degree;
        }
        chord
    }

    /// The parts a symbol for this chord is made of, in the shortest way.
    #[must_use]
    pub fn parts(&self) -> ChordParts {
        let fallback = ChordParts::plain(Family::Major, Extension::Triad);
        ChordParts::of(self.set).unwrap_or(fallback)
    }

    /// In a house style.
    #[must_use]
    pub fn printed(&self, style: HouseStyle) -> String {
        let mut text = chord_print::note(self.root, style);
        text.push_str(&chord_print::quality(&self.parts(), style));
        if let Some(bass) = self.bass {
            text.push('/');
            text.push_str(&chord_print::note(bass, style));
        }
        text
    }

    /// In words, for screen readers: `C half-diminished seventh over E♭`.
    #[must_use]
    pub fn describe(&self) -> String {
        let words = chord_print::words(&self.parts());
        let over = self.bass.map(|bass| format!(" over {}", bass.pretty()));
        let over = over.unwrap_or_default();
        format!("{} {words}{over}", self.root.pretty())
    }

    /// The root.
    #[must_use]
    pub const fn root(&self) -> Spelling {
        self.root
    }

    /// The bass after a slash, if one is written.
    #[must_use]
    pub const fn slash_bass(&self) -> Option<Spelling> {
        self.bass
    }

    /// What the thumb takes for "the root": the slash bass, else the root.
    #[must_use]
    pub fn bass(&self) -> Spelling {
        self.bass.unwrap_or(self.root)
    }

    /// Tones, root first, then by degree number.
    #[must_use]
    pub fn tones(&self) -> &[ChordTone] {
        &self.tones
    }

    /// All pitch classes, the slash bass included.
    #[must_use]
    pub fn pitch_classes(&self) -> PcSet {
        self.pcs(|_| true).with(self.bass().pitch_class())
    }

    /// Pitch classes that every voicing must have among thumb and fingers together. A slash bass
    /// that is no chord tone is not listed: it is the thumb's.
    #[must_use]
    pub fn required(&self) -> PcSet {
        self.pcs(|tone| tone.essential)
    }

    /// Pitch classes that a voicing may have or leave out, the slash bass included.
    #[must_use]
    pub fn optional(&self) -> PcSet {
        self.pitch_classes().minus(self.required())
    }

    /// Pitch classes of which a voicing must have at least one: the altered fifths and ninths
    /// of an `alt` chord that names none of them. Empty for every other chord.
    #[must_use]
    pub fn one_of(&self) -> PcSet {
        let colour =
            |tone: &ChordTone| tone.degree.alter() != 0 && matches!(tone.degree.number(), 5 | 9);
        if self.tones.iter().any(|t| colour(t) && t.essential) {
            return PcSet::EMPTY;
        }
        self.pcs(colour)
    }

    /// The chord's notes as spelled: a slash bass that is no chord tone, then the tones.
    #[must_use]
    pub fn notes(&self) -> Vec<Spelling> {
        let own = self.pcs(|_| true);
        let foreign = self.bass.filter(|b| !own.contains(b.pitch_class()));
        let tones = self.tones.iter();
        let tones = tones.map(|t| t.degree.spelled_above(self.root));
        foreign.into_iter().chain(tones).collect()
    }

    fn pcs(&self, wanted: impl Fn(&ChordTone) -> bool) -> PcSet {
        let root = self.root.pitch_class();
        self.tones
            .iter()
            .filter(|t| wanted(t))
            .map(|t| t.degree.above(root))
            .collect()
    }

    /// The degree that a pitch class has in this chord. A slash bass that is no chord tone gets
    /// the plain degree it would have above the root.
    #[must_use]
    pub fn degree_of(&self, pc: PitchClass) -> Option<Degree> {
        let root = self.root.pitch_class();
        let own = self
            .tones
            .iter()
            .map(|t| t.degree)
            .find(|d| d.above(root) == pc);
        let foreign = || {
            let bass = self.bass.filter(|b| b.pitch_class() == pc)?;
            let steps = (bass.letter() as i32 - self.root.letter() as i32).rem_euclid(7);
            let natural = Degree::new(u8::try_from(steps).ok()? + 1, 0);
            let off = i32::from(natural.above(root).semitones_up_to(pc));
            let off = if off > 6 { off - 12 } else { off };
            Some(Degree::new(natural.number(), i8::try_from(off).ok()?))
        };
        own.or_else(foreign)
    }

    /// How this chord spells a pitch class; `None` if it is not in the chord.
    #[must_use]
    pub fn spell(&self, pc: PitchClass) -> Option<Spelling> {
        if let Some(bass) = self.bass.filter(|b| b.pitch_class() == pc) {
            return Some(bass);
        }
        self.degree_of(pc)
            .map(|degree| degree.spelled_above(self.root))
    }
}

/// Why a text is no chord symbol.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{message}")]
pub struct ChordError {
    /// What is wrong and what was expected, for a person.
    pub message: String,
    /// The bytes of the text that are wrong.
    pub at: Range<usize>,
}

/// A chord symbol: what was typed, and what it means.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct ChordSymbol {
    text: String,
    chord: Chord,
}

impl ChordSymbol {
    /// Reads a chord symbol; spaces around it do not matter.
    ///
    /// # Errors
    /// Says which bytes are wrong and what was expected there.
    pub fn parse(text: &str) -> Result<Self, ChordError> {
        let parsed = chord_parse::parse(text)?;
        let chord = Chord::from_parts(parsed.root, &parsed.parts, parsed.bass);
        let chord = chord.ok_or_else(|| ChordError {
            message: "this leaves no note but the root".into(),
            at: 0..text.len(),
        })?;
        Ok(Self {
            text: text.trim().into(),
            chord,
        })
    }

    /// A symbol for a chord that nobody typed, written in a house style.
    #[must_use]
    pub fn from_chord(chord: Chord, style: HouseStyle) -> Self {
        Self {
            text: chord.printed(style),
            chord,
        }
    }

    /// As it was typed.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What was typed between the root and the slash bass.
    #[must_use]
    pub fn quality_text(&self) -> &str {
        let rest = chord_parse::after_root(&self.text);
        match (self.chord.bass, rest.rfind('/')) {
            (Some(_), Some(slash)) => rest.get(..slash).unwrap_or(rest),
            _ => rest,
        }
    }

    /// What it means.
    #[must_use]
    pub const fn chord(&self) -> &Chord {
        &self.chord
    }

    /// In a house style, in plain ASCII letters or with signs.
    #[must_use]
    pub fn printed(&self, style: HouseStyle) -> String {
        self.chord.printed(style)
    }
}

/// What stands over a beat: a chord, or `N.C.`.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Harmony {
    /// A chord.
    Chord(ChordSymbol),
    /// No chord: thumb and fingers rest.
    NoChord,
}

impl Harmony {
    /// Reads a chord symbol, or `N.C.` (also `NC`, in any case) for no chord.
    ///
    /// # Errors
    /// As [`ChordSymbol::parse`].
    pub fn parse(text: &str) -> Result<Self, ChordError> {
        let bare: String = text.trim().chars().filter(|c| *c != '.').collect();
        if bare.eq_ignore_ascii_case("nc") {
            return Ok(Self::NoChord);
        }
        ChordSymbol::parse(text).map(Self::Chord)
    }

    /// The chord, if there is one.
    #[must_use]
    pub const fn chord(&self) -> Option<&Chord> {
        match self {
            Self::Chord(symbol) => Some(symbol.chord()),
            Self::NoChord => None,
        }
    }

    /// In a house style, or `N.C.`.
    #[must_use]
    pub fn printed(&self, style: HouseStyle) -> String {
        match self {
            Self::Chord(symbol) => symbol.printed(style),
            Self::NoChord => "N.C.".into(),
        }
    }
}

#[cfg(test)]
mod tests;
