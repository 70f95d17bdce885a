//! Findings: what cannot be played or breaks a rule of the craft, where, and what would help.

use super::result::Place;

/// What kind of finding it is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum FindingKind {
    /// No grip within the limits.
    Unreachable,
    /// A note or fret outside the instrument or the range.
    OutOfRange,
    /// A chord or a bass note is let go before its time.
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
        !matches!(self, Self::WideStretch | Self::CutShort | Self::Thinned)
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
    /// What would help.
    pub remedy: String,
}
