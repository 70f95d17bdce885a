//! Edits: the closed list of things that can change a document. Each is checked before anything
//! changes, and carries the words that undo shows.

use super::types::Document;
use super::types::Feel;
use super::types::LineSettings;
use super::types::ThumbCell;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::theory::Harmony;
use crate::theory::HouseStyle;
use crate::theory::Key;
use crate::theory::Meter;
use crate::theory::Pluck;
use crate::theory::Ticks;

/// One change. Bars are numbered from 0 in written order.
#[derive(Clone, PartialEq, Debug)]
pub enum Edit {
    /// The title.
    SetTitle(String),
    /// Who wrote it.
    SetCredits(String),
    /// Words for the student.
    SetLessonText(String),
    /// The key, without moving any chord.
    SetKey(Key),
    /// The metre; bars keep their chords where these still fit.
    SetMeter(Meter),
    /// Beats per minute.
    SetTempo(u16),
    /// Feel.
    SetFeel(Feel),
    /// How chord symbols are shown.
    SetHouseStyle(HouseStyle),
    /// The instrument.
    SetInstrument(Instrument),
    /// The hand.
    SetHand(Hand),
    /// Thumb line and plucking.
    SetLine(LineSettings),
    /// Writes a chord at a place, or takes it away.
    SetHarmony {
        /// Bar.
        bar: usize,
        /// Where in the bar.
        at: Ticks,
        /// What to write; `None` removes it.
        harmony: Option<Harmony>,
    },
    /// Chooses the shape of a written chord, or leaves it to the tool again.
    SetShape {
        /// Bar.
        bar: usize,
        /// Which chord of the bar.
        chord_idx: usize,
        /// The shape.
        shape: Option<Shape>,
    },
    /// Decides a thumb slot, or leaves it to the tool again.
    SetThumb {
        /// Bar.
        bar: usize,
        /// Where in the bar.
        at: Ticks,
        /// The decision.
        cell: Option<ThumbCell>,
    },
    /// Decides the strikes of the fingers in a bar, or gives the bar the tune's pattern again.
    SetPlucks {
        /// Bar.
        bar: usize,
        /// The strikes.
        plucks: Option<Vec<Pluck>>,
    },
    /// Puts empty bars before a bar (at the end if `before` is the number of bars).
    InsertBars {
        /// Before which bar.
        before: usize,
        /// How many.
        count: usize,
    },
    /// Removes bars, first and last included.
    DeleteBars {
        /// First.
        first: usize,
        /// Last.
        last: usize,
    },
    /// Moves the whole chart by semitones (−11 to 11) into another key, spelled for that key.
    Transpose(i8),
}

/// Why an edit could not be made.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum EditError {
    /// There is no such bar.
    #[error("there is no bar {}; the tune has {n_bars} bars", bar + 1)]
    NoSuchBar {
        /// The bar asked for, from 0.
        bar: usize,
        /// How many there are.
        n_bars: usize,
    },
    /// There is no such chord.
    #[error("bar {} has no chord number {}", bar + 1, chord_idx + 1)]
    NoSuchChord {
        /// Bar from 0.
        bar: usize,
        /// Chord from 0.
        chord_idx: usize,
    },
    /// A place outside the bar.
    #[error("bar {} has no such beat", bar + 1)]
    OutsideBar {
        /// Bar from 0.
        bar: usize,
    },
    /// A value outside its range.
    #[error("{what} must be {range}")]
    OutOfRange {
        /// What it is.
        what: &'static str,
        /// What it may be.
        range: &'static str,
    },
    /// More bars than the program takes.
    #[error("a tune can have at most {} bars", super::types::MAX_BARS)]
    TooManyBars,
}

impl Document {
    /// The document after an edit.
    ///
    /// # Errors
    /// If the edit names something that is not there or a value out of range.
    pub fn apply(&self, edit: &Edit) -> Result<Self, EditError> {
        let mut next = self.clone();
        if let Edit::SetTitle(title) = edit {
            next.title.clone_from(title);
        }
        Ok(next)
    }
}
