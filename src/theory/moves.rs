//! What a note is for: the function of a thumb note, and how the fingers pluck. The movement
//! codes of the grid, the table and its legend are defined here and nowhere else. Never says on
//! which string or fret a move is played.

use super::meter::Ticks;

/// All that is said of one move.
struct Said {
    code: &'static str,
    word: &'static str,
    article: &'static str,
    name: &'static str,
    legend: &'static str,
}

const fn said(
    code: &'static str,
    word: &'static str,
    article: &'static str,
    name: &'static str,
    legend: &'static str,
) -> Said {
    Said {
        code,
        word,
        article,
        name,
        legend,
    }
}

/// The function of one thumb note.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum ThumbMove {
    /// The chord's bass: its root, or the note after the slash.
    Root,
    /// The bass an octave away from the grip's own.
    Octave,
    /// The chord's third.
    Third,
    /// The chord's fifth.
    Fifth,
    /// The chord's seventh or sixth.
    Seventh,
    /// A semitone below the next bass note, rising into it.
    ApproachBelow,
    /// A semitone above the next bass note, falling into it.
    ApproachAbove,
    /// Two semitones below the note after the next, with the semitone between to follow.
    DoubleBelow,
    /// Two semitones above the note after the next, with the semitone between to follow.
    DoubleAbove,
    /// The fifth of the next bass note, leading home.
    ApproachDominant,
    /// A step of the scale towards the next note, rising.
    StepUp,
    /// A step of the scale towards the next note, falling.
    StepDown,
    /// A muted thump without pitch.
    Ghost,
    /// Silence.
    Rest,
}

impl ThumbMove {
    /// Every move, in the order of the legend.
    pub const ALL: [Self; 14] = [
        Self::Root,
        Self::Octave,
        Self::Third,
        Self::Fifth,
        Self::Seventh,
        Self::ApproachBelow,
        Self::ApproachAbove,
        Self::DoubleBelow,
        Self::DoubleAbove,
        Self::ApproachDominant,
        Self::StepUp,
        Self::StepDown,
        Self::Ghost,
        Self::Rest,
    ];

    // A move a line, to be read as a table.
    #[rustfmt::skip]
    const fn said(self) -> Said {
        match self {
            Self::Root => said("1", "root", "the", "root", "root (or the slash bass)"),
            Self::Octave => said("8", "octave", "the", "octave", "octave of the root"),
            Self::Third => said("3", "third", "the", "third", "third"),
            Self::Fifth => said("5", "fifth", "the", "fifth", "fifth"),
            Self::Seventh => said("7", "seventh", "the", "seventh or sixth", "seventh or sixth"),
            Self::ApproachBelow => said("↑1", "approach-below", "an", "approach from below", "arrives from a semitone below"),
            Self::ApproachAbove => said("↓1", "approach-above", "an", "approach from above", "arrives from a semitone above"),
            Self::DoubleBelow => said("↑↑1", "double-below", "a", "double approach from below", "first of two semitones rising"),
            Self::DoubleAbove => said("↓↓1", "double-above", "a", "double approach from above", "first of two semitones falling"),
            Self::ApproachDominant => said("5→1", "approach-dominant", "the", "fifth of the next root", "fifth of the next root"),
            Self::StepUp => said("/", "step-up", "a", "scale step upwards", "scale step upwards"),
            Self::StepDown => said("\\", "step-down", "a", "scale step downwards", "scale step downwards"),
            Self::Ghost => said("×", "ghost", "a", "ghost note", "ghost note, muted"),
            Self::Rest => said("–", "rest", "a", "rest", "rest"),
        }
    }

    /// The short code of the movement table.
    #[must_use]
    pub const fn code(self) -> &'static str {
        self.said().code
    }

    /// What it is called, without the article: `approach from below`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.said().name
    }

    /// What it is called in a sentence: `an approach from below`.
    #[must_use]
    pub fn with_article(self) -> String {
        format!("{} {}", self.said().article, self.said().name)
    }

    /// What the legend says.
    #[must_use]
    pub const fn words(self) -> &'static str {
        self.said().legend
    }

    /// A stable ASCII word for files and JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        self.said().word
    }

    /// The move with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.word() == word)
    }
}

/// How long a plucked note sounds.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Articulation {
    /// Until the next note on its string or the end of its written length.
    Ring,
    /// Stopped after a fraction of its written length.
    Short,
}

impl Articulation {
    /// A stable word for files and JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Ring => "ring",
            Self::Short => "short",
        }
    }
}

/// One strike of the fingers.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Pluck {
    /// Where in the bar.
    pub at: Ticks,
    /// Ring or short.
    pub articulation: Articulation,
    /// Whether it anticipates: the grip of the chord that follows is plucked before its beat. Only
    /// where the thumb does not strike between it and that chord.
    pub ahead: bool,
}

impl Pluck {
    /// A strike of the chord that sounds there.
    #[must_use]
    pub const fn new(at: Ticks, articulation: Articulation) -> Self {
        Self {
            at,
            articulation,
            ahead: false,
        }
    }
}

/// The side from which something arrives.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Side {
    /// From a lower fret or pitch.
    Below,
    /// From a higher one.
    Above,
}

/// What slides into its place.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Sliding {
    /// The bass note and the fingers' notes.
    WholeGrip,
    /// The fingers' notes; the bass note stays where it is.
    FingersOnly,
}

/// A slide: struck a semitone away, the fingers glide into the grip as one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Slide {
    /// What slides.
    pub what: Sliding,
    /// From which side.
    pub from: Side,
}

impl Slide {
    /// Every slide, in the order of the screen.
    pub const ALL: [Self; 4] = [
        Self::new(Sliding::WholeGrip, Side::Below),
        Self::new(Sliding::WholeGrip, Side::Above),
        Self::new(Sliding::FingersOnly, Side::Below),
        Self::new(Sliding::FingersOnly, Side::Above),
    ];

    const fn new(what: Sliding, from: Side) -> Self {
        Self { what, from }
    }

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match (self.what, self.from) {
            (Sliding::WholeGrip, Side::Below) => "whole grip from below",
            (Sliding::WholeGrip, Side::Above) => "whole grip from above",
            (Sliding::FingersOnly, Side::Below) => "fingers from below",
            (Sliding::FingersOnly, Side::Above) => "fingers from above",
        }
    }

    /// A stable ASCII word for files and JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match (self.what, self.from) {
            (Sliding::WholeGrip, Side::Below) => "grip-from-below",
            (Sliding::WholeGrip, Side::Above) => "grip-from-above",
            (Sliding::FingersOnly, Side::Below) => "fingers-from-below",
            (Sliding::FingersOnly, Side::Above) => "fingers-from-above",
        }
    }
}
