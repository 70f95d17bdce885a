//! The arranger's answer: a grip per chord, every note with string, fret, fingers and function,
//! and the effort with its hardest place. Plain data that sheets, sound and screens read.

use super::change::HandState;
use super::finding::Finding;
use super::nodes::ThumbNote;
use crate::instrument::Cost;
use crate::instrument::Effort;
use crate::instrument::Finger;
use crate::instrument::StringIdx;
use crate::theory::Articulation;
use crate::theory::Midi;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::voicing::Voicing;

/// A moment of the tune in written order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Place {
    /// Bar, counted from 0.
    pub bar: usize,
    /// Where in the bar.
    pub at: Ticks,
}

/// A row of the grid.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Lane {
    /// The melody.
    Tune,
    /// The plucked chord.
    Fingers,
    /// The bass.
    Thumb,
}

impl Lane {
    /// A stable word for files, JSON and names.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Tune => "tune",
            Self::Fingers => "fingers",
            Self::Thumb => "thumb",
        }
    }
}

/// A right-hand finger.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum PluckFinger {
    /// Thumb (pulgar).
    P,
    /// Index.
    I,
    /// Middle.
    M,
    /// Ring (anular).
    A,
    /// Little finger.
    C,
}

impl PluckFinger {
    /// The letter.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            Self::P => 'p',
            Self::I => 'i',
            Self::M => 'm',
            Self::A => 'a',
            Self::C => 'c',
        }
    }
}

/// One note of the arrangement.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PlayedNote {
    /// When it starts.
    pub place: Place,
    /// Written length.
    pub length: Ticks,
    /// Which string.
    pub string: StringIdx,
    /// Fret, counted from the capo.
    pub fret: u8,
    /// The left-hand finger; `None` on an open string.
    pub finger: Option<Finger>,
    /// The right-hand finger.
    pub pluck: PluckFinger,
    /// Which row it belongs to.
    pub lane: Lane,
    /// What sounds.
    pub pitch: Midi,
    /// How it is spelled.
    pub spelling: Spelling,
    /// The function of a thumb note.
    pub thumb_move: Option<ThumbMove>,
    /// Ring or short.
    pub articulation: Articulation,
    /// The fret it slides from, on the same string.
    pub slide_from: Option<u8>,
}

/// The grip chosen for one chord of the chart.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ChosenGrip {
    /// Where the chord is written.
    pub place: Place,
    /// Where the hand takes it: there, or where a pluck anticipates it.
    pub held_from: Place,
    /// Which chord of the bar, counted from 0.
    pub chord_idx: usize,
    /// The grip; `None` for N.C. or where nothing is playable (see the findings).
    pub voicing: Option<Voicing>,
    /// Effort of coming here from the previous grip.
    pub change: Effort,
}

/// Effort at one moment, for the strip under the grid.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SlotEffort {
    /// When.
    pub place: Place,
    /// Holding and changing, term by term.
    pub effort: Effort,
}

/// How the hands come out of a tune: what another chorus goes on from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct HandAtEnd {
    /// What the left hand holds last, and where it is.
    pub hand: HandState,
    /// The last bass note.
    pub(super) thumb: Option<ThumbNote>,
    /// The last top note of a chord.
    pub(super) top: Option<Midi>,
    /// The time from the last strike to the end, in microseconds.
    pub time_us: u64,
}

/// A solved arrangement.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Arrangement {
    /// One entry per chord of the chart, in order.
    pub grips: Vec<ChosenGrip>,
    /// Grips with which a chord is taken anew under the tune, in order.
    pub retaken: Vec<ChosenGrip>,
    /// Every note, by place; at one place the thumb first, then from low to high strings.
    pub notes: Vec<PlayedNote>,
    /// Effort by moment, in order.
    pub slots: Vec<SlotEffort>,
    /// The sum that was minimised.
    pub sum: Cost,
    /// The largest single change.
    pub max: Cost,
    /// Where that change arrives.
    pub hardest: Option<Place>,
    /// About the tempo in beats per minute up to which every change is comfortable, and where the
    /// change arrives that limits it. An estimate.
    pub comfortable: Option<(u16, Place)>,
    /// What is wrong or could not be done.
    pub findings: Vec<Finding>,
    /// How the hands come out of it; `None` if there is nothing to play.
    pub end: Option<HandAtEnd>,
    /// The choruses after this one, over the same chart; put there by whoever had them arranged.
    /// They have none themselves, and sum and hardest change are this one's alone. Theirs count the
    /// change from the chorus before.
    pub further: Vec<Self>,
}

impl Arrangement {
    /// A chorus by its number from 1; this one if there is no such chorus.
    #[must_use]
    pub fn chorus(&self, number: u8) -> &Self {
        let further = usize::from(number).checked_sub(2);
        further.and_then(|i| self.further.get(i)).unwrap_or(self)
    }

    /// Notes that start in a bar.
    pub fn notes_in_bar(&self, bar: usize) -> impl Iterator<Item = &PlayedNote> {
        let from = self.notes.partition_point(|n| n.place.bar < bar);
        self.notes
            .iter()
            .skip(from)
            .take_while(move |n| n.place.bar == bar)
    }

    /// The grip that the hand has at a place: the last one taken at or before it.
    #[must_use]
    pub fn grip_at(&self, place: Place) -> Option<&ChosenGrip> {
        self.last_grip(|taken| taken <= place)
    }

    /// The grip that the hand has until it comes to a place: the last one taken before it.
    #[must_use]
    pub fn grip_before(&self, place: Place) -> Option<&ChosenGrip> {
        self.last_grip(|taken| taken < place)
    }

    fn last_grip<'a>(&'a self, is_taken: impl Fn(Place) -> bool) -> Option<&'a ChosenGrip> {
        let last = |grips: &'a [ChosenGrip]| {
            let after = grips.partition_point(|g| is_taken(g.held_from));
            after.checked_sub(1).and_then(|i| grips.get(i))
        };
        let (chord, again) = (last(&self.grips), last(&self.retaken));
        let newer = again.filter(|again| chord.is_none_or(|c| c.held_from < again.held_from));
        newer.or(chord)
    }
}
