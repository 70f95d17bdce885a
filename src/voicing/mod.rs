//! All playable voicings of a chord on an instrument under a hand: complete enumeration by
//! strings, left-hand fingers, families and effort. Never looks at the song: the same chord
//! gives the same list everywhere.

use crate::instrument::Effort;
use crate::instrument::Grip;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::StringIdx;
use crate::theory::Chord;
use crate::theory::Degree;
use crate::theory::Midi;
use crate::theory::PitchClass;
use crate::theory::Spelling;

/// How the notes of a voicing are stacked.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Family {
    /// Bass and guide tones only, three notes.
    Shell,
    /// Second-highest note of a close position an octave lower.
    Drop2,
    /// Third-highest note of a close position an octave lower.
    Drop3,
    /// All notes within an octave, next to each other.
    Close,
    /// Stacked in fourths.
    Quartal,
    /// The root is not sounded.
    Rootless,
    /// Any wider arrangement.
    Spread,
}

/// Which degree the thumb takes.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Bass {
    /// The root, or the slash bass where one is written.
    #[default]
    Root,
    /// Any chord tone.
    Any,
    /// The third (or what stands for it).
    Third,
    /// The fifth.
    Fifth,
    /// The seventh or sixth.
    Seventh,
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
    /// The sounding top note, if it is given (a tune note).
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

/// One sounding note of a voicing.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct VoicedNote {
    /// Where.
    pub string: StringIdx,
    /// What sounds.
    pub pitch: Midi,
    /// Its degree in the chord.
    pub degree: Degree,
    /// How the chord spells it.
    pub spelling: Spelling,
}

/// One playable voicing with a fingering and its static effort.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Voicing {
    /// Strings, frets and fingers.
    pub grip: Grip,
    /// The string the right thumb plucks.
    pub thumb_string: StringIdx,
    /// Sounding notes, lowest-pitched string first.
    pub notes: Vec<VoicedNote>,
    /// How it is stacked.
    pub family: Family,
    /// 0 = bass is the root, 1 = third, 2 = fifth, 3 = seventh or sixth; `None` for another bass.
    pub inversion: Option<u8>,
    /// Static and musical effort.
    pub effort: Effort,
}

/// All playable voicings of a chord, each with its best fingering, by rising effort; ties in the
/// order of the shapes' frets.
#[must_use]
pub fn voicings(
    _chord: &Chord,
    _instrument: &Instrument,
    _hand: &Hand,
    _wish: &Wish,
) -> Vec<Voicing> {
    Vec::new()
}

/// All playable voicings with up to `most` fingerings for each, by rising effort.
#[must_use]
pub fn fingered_voicings(
    _chord: &Chord,
    _instrument: &Instrument,
    _hand: &Hand,
    _wish: &Wish,
    _most: usize,
) -> Vec<Voicing> {
    Vec::new()
}
