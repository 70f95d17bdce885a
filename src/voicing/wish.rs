//! What is asked of the voicings of a chord: the bass, how many notes, where on the neck, the top
//! note, open strings, barres. Plain values; the search obeys every one of them as a rule, none as
//! a preference.

use crate::theory::Chord;
use crate::theory::Degree;
use crate::theory::Midi;
use crate::theory::PcSet;
use crate::theory::PitchClass;

/// Which degree the thumb takes.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Bass {
    /// The root, or the slash bass where one is written.
    #[default]
    Root,
    /// Any chord tone, or the slash bass.
    Any,
    /// The third (or what stands for it).
    Third,
    /// The fifth.
    Fifth,
    /// The seventh or sixth.
    Seventh,
}

impl Bass {
    /// The pitch classes the thumb may play.
    #[must_use]
    pub fn classes(self, chord: &Chord) -> PcSet {
        let root = chord.root().pitch_class();
        let degrees = match self {
            Self::Root => return PcSet::EMPTY.with(chord.bass().pitch_class()),
            Self::Any => return chord.pitch_classes(),
            Self::Third => thirds(chord),
            Self::Fifth => numbered(chord, 5),
            Self::Seventh => sevenths(chord),
        };
        degrees.iter().map(|degree| degree.above(root)).collect()
    }
}

/// The third of a chord, or the fourth or second that stands for it.
#[must_use]
pub fn thirds(chord: &Chord) -> Vec<Degree> {
    let thirds = [3, 4, 2].map(|number| numbered(chord, number));
    thirds
        .into_iter()
        .find(|d| !d.is_empty())
        .unwrap_or_default()
}

/// The seventh of a chord, or else its sixth.
#[must_use]
pub fn sevenths(chord: &Chord) -> Vec<Degree> {
    let sevenths = [7, 6].map(|number| numbered(chord, number));
    sevenths
        .into_iter()
        .find(|d| !d.is_empty())
        .unwrap_or_default()
}

/// The tones of a chord with this degree number, whatever their alteration.
#[must_use]
pub fn numbered(chord: &Chord, number: u8) -> Vec<Degree> {
    let degrees = chord.tones().iter().map(|tone| tone.degree);
    degrees.filter(|degree| degree.number() == number).collect()
}

/// What is asked of the voicings of a chord.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wish {
    /// What the thumb plays.
    pub bass: Bass,
    /// Whether the thumb may also take string 3.
    pub thumb_on_third_string: bool,
    /// Notes in all, fewest and most. The fingers also limit the most.
    pub notes: (u8, u8),
    /// Frets (counted from the capo) that fretted notes must lie in, lowest and highest.
    pub frets: (u8, u8),
    /// The sounding top note, if it is given (a tune note). It may be foreign to the chord; the
    /// other notes may not.
    pub top: Option<Midi>,
    /// The pitch class of the top note, if only that is given.
    pub top_class: Option<PitchClass>,
    /// Whether open strings are welcome.
    pub open_strings: bool,
    /// Whether barres are welcome (the hand must allow them too).
    pub barre: bool,
}

impl Default for Wish {
    fn default() -> Self {
        Self {
            bass: Bass::Root,
            thumb_on_third_string: false,
            notes: (3, 5),
            frets: (0, 36),
            top: None,
            top_class: None,
            open_strings: true,
            barre: true,
        }
    }
}
