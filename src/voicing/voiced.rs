//! One playable voicing: its grip, what sounds on every string, how it is stacked and what it
//! costs. A plain value for lists, diagrams and the arranger; built only by the search.

use super::family::Family;
use crate::instrument::Effort;
use crate::instrument::Grip;
use crate::instrument::StringIdx;
use crate::theory::Degree;
use crate::theory::Midi;
use crate::theory::Spelling;

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

impl Voicing {
    /// Whether any string sounds open.
    fn has_open_strings(&self) -> bool {
        self.grip.shape.sounding().any(|(_, fret)| fret == 0)
    }

    /// The note the thumb plucks.
    #[must_use]
    pub fn bass(&self) -> Option<&VoicedNote> {
        self.notes.iter().find(|n| n.string == self.thumb_string)
    }

    /// The highest sounding note.
    #[must_use]
    pub fn top(&self) -> Option<&VoicedNote> {
        self.notes.iter().max_by_key(|note| note.pitch)
    }

    /// The family in words, with open strings named: `drop 3, open strings`.
    #[must_use]
    pub fn family_words(&self) -> String {
        let open = if self.has_open_strings() {
            ", open strings"
        } else {
            ""
        };
        format!("{}{open}", self.family.words())
    }
}
