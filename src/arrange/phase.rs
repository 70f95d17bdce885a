//! Spans and phases: the tune as the search sees it. A span is the time of one grip: of a written
//! chord or, under a tune, of as much of it as has one tune note on top; a phase is a stretch of it
//! through which the left hand keeps one state. Plain data; `plan` makes it and nothing here decides
//! anything.

use super::result::Place;
use crate::instrument::Cost;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::theory::Articulation;
use crate::theory::Chord;
use crate::theory::Midi;
use crate::theory::Slide;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use std::ops::Range;
use std::sync::Arc;

/// The time of one grip.
#[derive(Clone, Debug)]
pub struct Span {
    /// Where the chord is written.
    pub place: Place,
    /// Which chord of its bar.
    pub chord_idx: usize,
    /// The chord; `None` is N.C.
    pub chord: Option<Arc<Chord>>,
    /// The shape the user chose.
    pub shape: Option<Shape>,
    /// The bass note its grip must have, if the line asks for one.
    pub bass: Option<Midi>,
    /// The note of the tune that its grip must have on top.
    pub top: Option<(Midi, Spelling)>,
    /// Whether the tune sounds in it.
    pub sings: bool,
    /// Whether the tune has the hand take the chord anew here, after its beginning.
    pub again: bool,
    /// Its phases.
    pub phases: Range<usize>,
}

impl Span {
    /// Whether a chord of the chart begins with it; before the first chord there is a span without,
    /// and a chord that is taken anew under the tune begins earlier.
    #[must_use]
    pub const fn is_written(&self) -> bool {
        self.chord_idx != usize::MAX && !self.again
    }
}

/// What the thumb is to play at the start of a phase.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Task {
    /// The grip's own bass note, or nothing: the whole grip is held.
    Grip,
    /// One of these moves, each with what it costs beyond its playing.
    Moves(Vec<(ThumbMove, Cost)>),
    /// This move at exactly this pitch, wherever it lies best.
    Pitched(ThumbMove, Midi),
    /// Exactly this place, for this move as long as the note there makes it.
    Exactly(Option<ThumbMove>, StringIdx, u8),
    /// Nothing new: the bass note before sounds on. Only under a tune.
    Hold,
    /// Nothing, and no bass note sounds. Only under a tune.
    Nothing,
}

/// A note of the tune that sounds through a phase.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct TuneSound {
    /// What sounds.
    pub pitch: Midi,
    /// Whether it has been struck before the phase begins.
    pub holds: bool,
    /// Whether it is the note that the span's grips have on top.
    pub own: bool,
}

/// Whether the finger notes must stay held through a phase.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Need {
    /// Nothing of the chord is wanted: the hand is free for the thumb note.
    Free,
    /// The chord still rings; cutting it has a price.
    Ring,
    /// The fingers strike while the thumb note sounds.
    Strike,
}

/// A slide within a phase.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct PhaseSlide {
    /// What slides, from which side.
    pub slide: Slide,
    /// The time there is to get to where it begins, in microseconds since the strike before;
    /// `None` if the hand can wait there from the start of the phase.
    pub time_us: Option<u64>,
}

/// One note or chord that is struck within a phase.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Strike {
    /// The thumb plays the phase's bass note, or the move that needs no place (ghost, rest).
    Thumb {
        /// When.
        place: Place,
        /// Written length.
        length: Ticks,
        /// A move that needs no place of its own; `None` is the phase's note.
        silent: Option<ThumbMove>,
        /// How it slides into its place.
        slide: Option<Slide>,
    },
    /// A finger strikes a note of the tune: that of the phase.
    Tune {
        /// When.
        place: Place,
        /// Written length.
        length: Ticks,
        /// How it is spelled.
        spelling: Spelling,
        /// How it slides into its place.
        slide: Option<Slide>,
    },
    /// The fingers pluck the chord.
    Fingers {
        /// When.
        place: Place,
        /// Written length, if nothing cuts it.
        length: Ticks,
        /// Ring or short.
        articulation: Articulation,
        /// How the fingers slide into their places.
        slide: Option<Slide>,
    },
}

impl Strike {
    /// When it is struck.
    #[must_use]
    pub const fn place(&self) -> Place {
        match self {
            Self::Thumb { place, .. } | Self::Tune { place, .. } | Self::Fingers { place, .. } => {
                *place
            }
        }
    }

    /// Where something is to slide into its place, if it is.
    #[must_use]
    pub const fn slides(&self) -> Option<Place> {
        match self {
            Self::Thumb {
                place,
                slide: Some(_),
                ..
            }
            | Self::Fingers {
                place,
                slide: Some(_),
                ..
            }
            | Self::Tune {
                place,
                slide: Some(_),
                ..
            } => Some(*place),
            _ => None,
        }
    }
}

/// A stretch with one left-hand state.
#[derive(Clone, Debug)]
pub struct Phase {
    /// The span it belongs to.
    pub span: usize,
    /// Where it begins.
    pub place: Place,
    /// When it begins, in microseconds from the start of the tune.
    pub begins_us: u64,
    /// When its last note is struck.
    pub last_strike_us: u64,
    /// When its first pluck comes, if one does.
    pub first_pluck_us: Option<u64>,
    /// What the thumb plays.
    pub task: Task,
    /// Whether the tool chose the task.
    pub automatic: bool,
    /// The note of the tune that sounds in it.
    pub tune: Option<TuneSound>,
    /// Whether the chord must stay held.
    pub need: Need,
    /// Whether this phase or a later one of its span needs the chord.
    pub carried: bool,
    /// Whether a chord that was struck before it still rings when it begins.
    pub rings_in: bool,
    /// Slides in it, in order.
    pub slides: Vec<PhaseSlide>,
    /// What is struck.
    pub strikes: Vec<Strike>,
}

/// The tune as spans and phases, both in order.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// Spans.
    pub spans: Vec<Span>,
    /// Phases.
    pub phases: Vec<Phase>,
}
