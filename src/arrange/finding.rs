//! What an arrangement reports: what could not be done as asked, or should be looked at, where it
//! is, and what would help: as words, and where one click can do it as a [`Fix`] of plain values.
//! Never says that something is wrong without saying what to do.

use super::result::Place;
use crate::instrument::Shape;
use crate::theory::Rule;

/// Kinds of findings.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum FindingKind {
    /// No playable grip, or no place for a thumb note.
    Unreachable,
    /// A thumb note that no string has.
    OutOfRange,
    /// A ringing chord or a bass note had to be cut.
    CutShort,
    /// A rule of the thumb line is broken.
    BrokenRule,
    /// A chord names more tones than the hand plucks; some are left out.
    Thinned,
    /// A slide that has nothing to slide from or into.
    NoSlide,
    /// A wide stretch: playable, with a caution.
    WideStretch,
}

impl FindingKind {
    /// A stable word for JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Unreachable => "unreachable",
            Self::OutOfRange => "out-of-range",
            Self::CutShort => "cut-short",
            Self::BrokenRule => "broken-rule",
            Self::Thinned => "thinned",
            Self::NoSlide => "no-slide",
            Self::WideStretch => "wide-stretch",
        }
    }

    /// Whether it makes `check` exit with 1; cautions do not.
    #[must_use]
    pub const fn is_fault(self) -> bool {
        match self {
            Self::Unreachable | Self::OutOfRange | Self::BrokenRule | Self::NoSlide => true,
            Self::CutShort | Self::Thinned | Self::WideStretch => false,
        }
    }
}

/// A change of what is asked that makes a finding go away or milder. Bars count from 0 in written
/// order.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Fix {
    /// Leave a thumb slot that was decided to the tool again.
    LeaveThumb(Place),
    /// Let the thumb rest in a slot.
    RestThumb(Place),
    /// Leave the shape of a chord to the tool again.
    LeaveShape {
        /// Bar.
        bar: usize,
        /// Which chord of the bar.
        chord_idx: usize,
    },
    /// Choose a shape for a chord.
    UseShape {
        /// Bar.
        bar: usize,
        /// Which chord of the bar.
        chord_idx: usize,
        /// The shape.
        shape: Shape,
    },
    /// Make a ringing pluck short.
    ShortenPluck(Place),
    /// Take a pluck away.
    RemovePluck(Place),
    /// Allow this hand barres.
    AllowBarre,
    /// Allow open strings.
    AllowOpenStrings,
    /// Pluck with four fingers instead of three.
    PluckWithFour,
    /// Switch a rule of the thumb line off, for the whole tune.
    SwitchRuleOff(Rule),
    /// Allow the thumb line every move in a bar.
    AllowAllMoves {
        /// Bar.
        bar: usize,
    },
    /// Leave all thumb slots of a bar to the tool again.
    UnlockBar {
        /// Bar.
        bar: usize,
    },
    /// Write a plainer chord instead.
    PlainerChord {
        /// Bar.
        bar: usize,
        /// Which chord of the bar.
        chord_idx: usize,
        /// The chord symbol to write.
        text: String,
    },
    /// Take a slide away.
    RemoveSlide(Place),
}

/// Something that would help.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Remedy {
    /// What to do, as an order in lower case without its place: `pluck with four fingers`.
    pub words: String,
    /// The change that does it; `None` for advice that only a person can take.
    pub fix: Option<Fix>,
}

impl Remedy {
    /// A remedy that one click takes.
    #[must_use]
    pub fn click(words: impl Into<String>, fix: Fix) -> Self {
        Self {
            words: words.into(),
            fix: Some(fix),
        }
    }

    /// A remedy that is up to the player.
    #[must_use]
    pub fn advice(words: impl Into<String>) -> Self {
        Self {
            words: words.into(),
            fix: None,
        }
    }
}

/// One finding.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Finding {
    /// What kind.
    pub kind: FindingKind,
    /// Where.
    pub place: Place,
    /// What is wrong, one sentence without its place.
    pub message: String,
    /// What would help, the nearest first; never empty.
    pub remedies: Vec<Remedy>,
}
