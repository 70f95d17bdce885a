//! How one note leads to the next in the two outer lines of the chord: where a leading move of the
//! thumb arrives, and what it costs when the bass or the top note leaps. Knows no hand.

use super::nodes::ThumbNote;
use crate::instrument::Cost;
use crate::theory::Midi;

/// Semitones a bass line may leap without a price: a fifth (teaching practice: larger leaps are
/// the exception and want an answer by step).
const FREE_LEAP: u8 = 7;
/// Price of every semitone beyond that.
const LEAP: i32 = 200;

/// Semitones that the top note may leap from chord to chord without a price: a major third (common
/// practice: a top line moves by step or stays, a third is still a line).
const FREE_TOP_LEAP: u8 = 4;
/// Price of every semitone beyond that.
const TOP_LEAP: i32 = 150;

/// Pitches that a leading move asks of the note after it; `None` if it asks nothing.
#[inline]
#[must_use]
pub fn targets(thumb: &ThumbNote) -> Option<[Option<Midi>; 2]> {
    if !thumb.bound {
        return None;
    }
    let up = |semitones: i8| thumb.pitch.up(i32::from(semitones));
    match *thumb.thumb_move.leads_by() {
        [] => None,
        [only] => Some([up(only), None]),
        [first, second, ..] => Some([up(first), up(second)]),
    }
}

/// Whether a bass note is where the one before it leads, if it leads anywhere.
#[inline]
#[must_use]
pub fn arrives(from: Option<ThumbNote>, to: Option<ThumbNote>) -> bool {
    let (Some(from), Some(to)) = (from, to) else {
        return true;
    };
    targets(&from).is_none_or(|pitches| pitches.contains(&Some(to.pitch)))
}

/// The price of a leap of the top note.
#[inline]
#[must_use]
pub fn top_leap(from: Option<Midi>, to: Option<Midi>) -> Cost {
    let (Some(from), Some(to)) = (from, to) else {
        return Cost::ZERO;
    };
    let size = from.number().abs_diff(to.number());
    Cost(TOP_LEAP * i32::from(size.saturating_sub(FREE_TOP_LEAP)))
}

/// The price of a leap of the bass.
#[inline]
#[must_use]
pub fn leap(from: Option<ThumbNote>, to: Option<ThumbNote>) -> Cost {
    to.map_or(Cost::ZERO, |to| leap_to(from, to.pitch))
}

/// The price of a leap of the bass to a pitch.
#[inline]
#[must_use]
pub fn leap_to(from: Option<ThumbNote>, to: Midi) -> Cost {
    let Some(from) = from else {
        return Cost::ZERO;
    };
    let size = from.pitch.number().abs_diff(to.number());
    Cost(LEAP * i32::from(size.saturating_sub(FREE_LEAP)))
}
