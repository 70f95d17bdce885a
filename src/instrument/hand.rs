//! The left and right hand of one player: how far the fingers reach, what they are willing to do,
//! and how many fingers pluck. Every search obeys this profile.

use std::ops::RangeInclusive;

/// Reaches offered, in thousandths of the adult default.
pub const REACH_PERMILLE: RangeInclusive<u16> = 800..=1150;

/// A hand profile.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Hand {
    /// A name, such as a student's.
    pub name: String,
    /// Reach in thousandths of the adult default: 1000 is the default, 800 to 1150 are offered.
    pub reach_permille: u16,
    /// Whether the left thumb may fret the lowest string from over the neck's edge.
    pub thumb_over: bool,
    /// Whether one finger may hold several strings.
    pub barre: bool,
    /// Fingers that pluck beside the thumb: 3 (i m a) or 4 (with the little finger c).
    pub plucking_fingers: u8,
}

impl Default for Hand {
    fn default() -> Self {
        Self {
            name: "Adult".into(),
            reach_permille: 1000,
            thumb_over: false,
            barre: true,
            plucking_fingers: 3,
        }
    }
}
