//! What the arranger is asked: bars with chords, thumb slots and plucks, the instrument, the hand
//! and the choices that are already made. Built from a document by the session layer.

use super::finding::Finding;
use super::result::HandAtEnd;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::theory::Chord;
use crate::theory::Form;
use crate::theory::Key;
use crate::theory::Meter;
use crate::theory::Midi;
use crate::theory::Pluck;
use crate::theory::Slide;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::voicing::Wish;
use std::sync::Arc;

/// Where chromatic approaches come from.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum ApproachFrom {
    /// Always from a semitone below.
    #[default]
    Below,
    /// Always from a semitone above.
    Above,
    /// In turn, from below first.
    Alternate,
    /// Whichever costs the hand less.
    Easiest,
}

/// What is asked of one thumb slot.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ThumbWish {
    /// The tool chooses.
    Auto,
    /// This move, wherever the hand finds it easiest.
    Move(ThumbMove),
    /// This move at exactly this pitch, as a written line has it.
    Note(ThumbMove, Midi),
    /// Exactly this string and fret.
    Place(StringIdx, u8),
    /// Exactly this string and fret, for this move as long as the note still makes it.
    Kept(ThumbMove, StringIdx, u8),
}

/// One thumb slot of a bar.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct ThumbPlan {
    /// Where in the bar.
    pub at: Ticks,
    /// How long it sounds.
    pub length: Ticks,
    /// What is asked.
    pub wish: ThumbWish,
    /// Whether the user asked for it, rather than a written line.
    pub decided: bool,
}

/// One chord of a bar; it lasts until the next chord of the bar or the bar's end.
#[derive(Clone, PartialEq, Debug)]
pub struct ChordPlan {
    /// Where in the bar.
    pub at: Ticks,
    /// The chord; `None` is N.C.
    pub chord: Option<Arc<Chord>>,
    /// A shape the user has chosen, if any.
    pub shape: Option<Shape>,
}

/// A note of the tune.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct TunePlan {
    /// Where in the bar it is struck.
    pub at: Ticks,
    /// How long it sounds, over barlines too.
    pub length: Ticks,
    /// What sounds.
    pub pitch: Midi,
    /// How it is spelled.
    pub spelling: Spelling,
}

/// One bar.
#[derive(Clone, PartialEq, Debug)]
pub struct BarPlan {
    /// Length of this bar (shorter for a pick-up).
    pub length: Ticks,
    /// Chords, by place. The first is at 0 unless the previous bar's chord goes on.
    pub chords: Vec<ChordPlan>,
    /// Thumb slots, by place.
    pub thumb: Vec<ThumbPlan>,
    /// Strikes of the fingers, by place.
    pub plucks: Vec<Pluck>,
    /// Slides, by place.
    pub slides: Vec<(Ticks, Slide)>,
    /// Notes of the tune struck in it, by place; no two sound at once.
    pub tune: Vec<TunePlan>,
}

impl BarPlan {
    /// What slides into its place at a moment.
    #[must_use]
    pub fn slide_at(&self, at: Ticks) -> Option<Slide> {
        let found = self.slides.iter().find(|(place, _)| *place == at);
        found.map(|(_, slide)| *slide)
    }
}

/// Everything the arranger needs to know.
#[derive(Clone, PartialEq, Debug)]
pub struct Problem {
    /// Key, for spelling notes outside the chords.
    pub key: Key,
    /// Metre.
    pub meter: Meter,
    /// Beats per minute, for effort that depends on the time there is.
    pub tempo_bpm: u16,
    /// The instrument.
    pub instrument: Instrument,
    /// The hand.
    pub hand: Hand,
    /// What is asked of every voicing.
    pub wish: Wish,
    /// Where approaches come from.
    pub approach: ApproachFrom,
    /// Whether the largest single change is made as small as it can be before the sum is.
    pub keep_hardest_easy: bool,
    /// What is known to be wrong before anything is solved, such as decisions and rules of the
    /// thumb line that are at odds.
    pub findings: Vec<Finding>,
    /// Bars in written order.
    pub bars: Vec<BarPlan>,
    /// Which of them are heard one after the other where they are not written so.
    pub form: Form,
    /// How the hands come out of the chorus before, if there is one.
    pub before: Option<HandAtEnd>,
}
