//! How often each move is chosen where the rules leave a choice. All figures are our own start
//! values, not counts from a corpus: shares of a thousand, to be weighed anew among the moves that
//! are possible in a slot. Never decides what is allowed.

use super::problem::Slot;
use super::rung::Rung;
use crate::theory::MoveSet;
use crate::theory::ThumbMove;

/// Where a slot lies, as far as weights go.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Spot {
    /// The first beat of a bar or a chord.
    Begin,
    /// In the middle.
    Middle,
    /// The last beat before a change.
    Change,
}

/// Shares of a move at the beginning, in the middle and before a change.
///
/// Beginning: the root far ahead of third and fifth. Before a change: half a step from either
/// side alike, then the scale step, then the dominant. Middle: chord tones before passing notes,
/// so that a bar is heard as its chord; ghosts are a spice.
const fn shares(thumb_move: ThumbMove) -> [u64; 3] {
    match thumb_move {
        ThumbMove::Root => [850, 60, 20],
        ThumbMove::Octave => [30, 70, 10],
        ThumbMove::Third => [70, 150, 10],
        ThumbMove::Fifth => [50, 170, 10],
        ThumbMove::Seventh => [20, 100, 10],
        ThumbMove::ApproachBelow | ThumbMove::ApproachAbove => [5, 80, 300],
        ThumbMove::DoubleBelow | ThumbMove::DoubleAbove => [5, 60, 5],
        ThumbMove::ApproachDominant => [5, 10, 150],
        ThumbMove::StepUp | ThumbMove::StepDown => [5, 120, 100],
        ThumbMove::Ghost => [1, 20, 5],
        ThumbMove::Rest => [1, 5, 5],
    }
}

/// How much the rung of runs favours steps.
const RUN_FAVOUR: u64 = 8;

/// How much a riff favours the move of its model: so much that only rules can part them.
const RIFF_FAVOUR: u64 = 1_000_000;

/// The weight of a move in a slot.
pub fn weight(thumb_move: ThumbMove, slot: &Slot, model: Option<ThumbMove>) -> u64 {
    let spot = if slot.last_before_change && !slot.first_of_chord {
        Spot::Change
    } else if slot.first_of_bar || slot.first_of_chord {
        Spot::Begin
    } else {
        Spot::Middle
    };
    let [begin, middle, change] = shares(thumb_move);
    let share = match spot {
        Spot::Begin => begin,
        Spot::Middle => middle,
        Spot::Change => change,
    };
    let run = MoveSet::STEPS.has(thumb_move) && slot.rung == Rung::Runs;
    let favour = if run { RUN_FAVOUR } else { 1 };
    let riff = if model == Some(thumb_move) {
        RIFF_FAVOUR
    } else {
        1
    };
    share * favour * riff
}

/// How much a move is favoured that does not strike the note before it again.
pub const FRESH_FAVOUR: u64 = 4;

/// The weight of a pitch among those a move can have: near the note before it; without one, in
/// the lower half of the range, where a bass is heard as a bass. A chromatic approach a semitone
/// from the note before would only turn back to it, so one further away is preferred.
pub fn nearness(
    thumb_move: ThumbMove,
    pitch: u8,
    before: Option<u8>,
    (lowest, highest): (u8, u8),
) -> u64 {
    let Some(before) = before else {
        let upper_half = u32::from(pitch) * 2 > u32::from(lowest) + u32::from(highest);
        return if upper_half { 1 } else { 4 };
    };
    let turns_back = MoveSet::CHROMATIC.has(thumb_move);
    match pitch.abs_diff(before) {
        0 => 2,
        1 if turns_back => 3,
        1..=2 => 8,
        3..=4 => 5,
        5..=7 => 3,
        _ => 1,
    }
}
