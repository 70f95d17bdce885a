//! The voicing list of the selected chord: what the user filters by, and each voicing with its
//! effort from the grip before and to the grip after.

use crate::instrument::Cost;
use crate::instrument::Effort;
use crate::theory::PitchClass;
use crate::voicing::Bass;
use crate::voicing::Family;
use crate::voicing::Voicing;

/// A range of frets for the hand.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct PositionRange {
    /// Lowest fret.
    pub from: u8,
    /// Highest fret.
    pub to: u8,
}

/// What the voicing list is limited to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CandidateFilter {
    /// Bass note.
    pub bass: Bass,
    /// Pitch class of the top note.
    pub top_note: Option<PitchClass>,
    /// Family.
    pub family: Option<Family>,
    /// Frets.
    pub position: PositionRange,
    /// Whether grips with open strings are listed.
    pub open_strings: bool,
    /// Whether grips with a barre are listed.
    pub barre: bool,
    /// Number of notes, if only that many.
    pub notes: Option<u8>,
}

impl Default for CandidateFilter {
    fn default() -> Self {
        Self {
            bass: Bass::Root,
            top_note: None,
            family: None,
            position: PositionRange { from: 0, to: 20 },
            open_strings: true,
            barre: true,
            notes: None,
        }
    }
}

/// A voicing in the place of the selected chord.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Candidate {
    /// The voicing.
    pub voicing: Voicing,
    /// Effort of coming from the grip before.
    pub from_previous: Effort,
    /// Effort of going on to the grip after.
    pub to_next: Effort,
    /// Effort of the whole tune if it is used here, once known.
    pub whole_tune: Option<Cost>,
}
