//! Chords and chord symbols. A symbol is stored as meaning (root, tones with degrees, bass)
//! beside the text that was typed, and is shown in one of two house styles.

use super::degree::Degree;
use super::pitch::Letter;
use super::pitch::PcSet;
use super::pitch::PitchClass;
use super::pitch::Spelling;
use std::ops::Range;

/// How chord symbols are printed.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum HouseStyle {
    /// Letters: `Cmaj7`, `Cm7(b5)`, `Cdim7`.
    #[default]
    Letters,
    /// Signs: `C△7`, `Cø7`, `C°7`, `C-7`.
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

/// The meaning of a chord symbol.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Chord {
    root: Spelling,
    tones: Vec<ChordTone>,
    bass: Option<Spelling>,
}

impl Chord {
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
        self.set(|_| true).with(self.bass().pitch_class())
    }

    /// Pitch classes that every voicing must have.
    #[must_use]
    pub fn required(&self) -> PcSet {
        self.set(|tone| tone.essential)
    }

    fn set(&self, wanted: impl Fn(&ChordTone) -> bool) -> PcSet {
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
    /// Reads a chord symbol.
    ///
    /// # Errors
    /// Says which bytes are wrong and what was expected there.
    pub fn parse(text: &str) -> Result<Self, ChordError> {
        let error = |message: &str, at: Range<usize>| ChordError {
            message: message.into(),
            at,
        };
        let (head, bass) = match text.split_once('/') {
            Some((head, bass)) if !bass.starts_with('9') => (head, Some(bass)),
            _ => (text, None),
        };
        let (root, rest) = spelling_prefix(head)
            .ok_or_else(|| error("a chord starts with a letter A to G", 0..text.len().min(1)))?;
        let bass = match bass {
            Some(b) => match spelling_prefix(b) {
                Some((spelling, "")) => Some(spelling),
                _ => {
                    return Err(error(
                        "expected a note after the slash",
                        head.len() + 1..text.len(),
                    ));
                }
            },
            None => None,
        };
        let tones = KINDS
            .iter()
            .find(|(suffix, _)| *suffix == rest)
            .map(|(_, tones)| *tones);
        let tones = tones
            .ok_or_else(|| error("not a chord quality", head.len() - rest.len()..head.len()))?;
        let tones = tones
            .split(' ')
            .filter_map(|t| {
                let degree = degree_from_text(t)?;
                let essential = !matches!((degree.number(), degree.alter()), (1, _) | (5, 0));
                Some(ChordTone { degree, essential })
            })
            .collect();
        Ok(Self {
            text: text.into(),
            chord: Chord { root, tones, bass },
        })
    }

    /// As it was typed.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What it means.
    #[must_use]
    pub const fn chord(&self) -> &Chord {
        &self.chord
    }

    /// In a house style, in plain ASCII letters or with signs.
    #[must_use]
    pub fn printed(&self, style: HouseStyle) -> String {
        match style {
            HouseStyle::Letters | HouseStyle::Signs => self.text.clone(),
        }
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

const KINDS: &[(&str, &str)] = &[
    ("", "1 3 5"),
    ("m", "1 b3 5"),
    ("6", "1 3 5 6"),
    ("m6", "1 b3 5 6"),
    ("7", "1 3 5 b7"),
    ("maj7", "1 3 5 7"),
    ("m7", "1 b3 5 b7"),
    ("m7b5", "1 b3 b5 b7"),
    ("dim7", "1 b3 b5 bb7"),
    ("mMaj7", "1 b3 5 7"),
    ("9", "1 3 5 b7 9"),
    ("13", "1 3 5 b7 9 13"),
    ("7b9", "1 3 5 b7 b9"),
    ("7#9", "1 3 5 b7 #9"),
];

fn spelling_prefix(text: &str) -> Option<(Spelling, &str)> {
    let mut chars = text.chars();
    let letter = Letter::from_char(chars.next()?)?;
    let rest = chars.as_str();
    Some(match rest.as_bytes().first() {
        Some(b'b') => (Spelling::new(letter, -1), rest.get(1..)?),
        Some(b'#') => (Spelling::new(letter, 1), rest.get(1..)?),
        _ => (Spelling::new(letter, 0), rest),
    })
}

fn degree_from_text(text: &str) -> Option<Degree> {
    let number = text.trim_start_matches(['b', '#']);
    let signs = i8::try_from(text.len() - number.len()).ok()?;
    let alter = if text.starts_with('b') { -signs } else { signs };
    Some(Degree::new(number.parse().ok()?, alter))
}
