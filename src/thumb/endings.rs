//! How a bar can end, for the rule that no bar repeats the one before it. Carrying whole bars in
//! the states of the search would multiply them; but to avoid one forbidden bar it is enough to
//! know two different ways on. So each state keeps a handful of endings that stand for all of
//! them: whatever was played so far and whatever bar is forbidden, one of the kept endings is
//! possible if any is. Never knows pitches.

use crate::theory::ThumbMove;

/// The moves of a bar or a part of it, four bits each, the first move highest. Bars of more than
/// [`MAX_MOVES`] are compared by their first ones.
pub type Pattern = u64;

/// Moves that a pattern holds.
pub const MAX_MOVES: usize = 15;

/// The pattern of one move; never 0, so that lengths differ too.
pub const fn pattern_of(thumb_move: ThumbMove) -> Pattern {
    thumb_move as Pattern + 1
}

/// A pattern before another of `n` moves.
pub const fn joined(before: Pattern, after: Pattern, n: usize) -> Pattern {
    before << (4 * n) | after
}

/// One way to end a bar: the moves to come, and the one beginning with which it is not possible,
/// because the whole bar would then be the only one that the next bar can be.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Ending {
    /// The moves to come.
    pub moves: Pattern,
    /// The beginning it does not go with; 0 if it goes with all.
    pub not_after: Pattern,
}

/// Enough endings to stand for all.
#[derive(Clone, Copy, Debug, Default)]
pub struct Endings {
    kept: [Ending; 7],
    n: usize,
}

impl Endings {
    /// The endings kept.
    pub fn iter(&self) -> impl Iterator<Item = &Ending> {
        self.kept.iter().take(self.n)
    }

    /// Whether any further ending would tell nothing new: two go with every beginning, and one
    /// forbidden bar can only rule out one of them.
    pub fn is_enough(&self) -> bool {
        self.iter().filter(|ending| ending.not_after == 0).count() >= 2
    }

    /// Takes an ending in, unless those kept already stand for it. Two per forbidden beginning
    /// and three different beginnings are enough: any one beginning leaves two of them.
    pub fn add(&mut self, ending: Ending) {
        if self.is_enough() {
            return;
        }
        let kept = self.kept.iter_mut().take(self.n);
        if let Some(same) = kept.into_iter().find(|known| known.moves == ending.moves) {
            // The same moves after two beginnings that differ: at most one is ruled out, and
            // then by the other note the line can be on.
            if same.not_after != ending.not_after {
                same.not_after = 0;
            }
            return;
        }
        if ending.not_after != 0 && self.stands_for(ending.not_after) {
            return;
        }
        if let Some(free) = self.kept.get_mut(self.n) {
            *free = ending;
            self.n += 1;
        } else if ending.not_after == 0 {
            // Full, and the second that goes with all: with the first it is enough.
            self.kept.sort_by_key(|known| known.not_after);
            if let Some(second) = self.kept.get_mut(1) {
                *second = ending;
            }
        }
    }

    fn stands_for(&self, not_after: Pattern) -> bool {
        let same = self
            .iter()
            .filter(|known| known.not_after == not_after)
            .count();
        let mut others: Vec<Pattern> = self
            .iter()
            .map(|known| known.not_after)
            .filter(|other| *other != 0 && *other != not_after)
            .collect();
        others.sort_unstable();
        others.dedup();
        same >= 2 || (same == 0 && others.len() >= 3)
    }

    /// Whether one of them goes with a beginning and does not make the bar a forbidden one. `n`
    /// moves are to come; a `forbidden` of 0 forbids nothing.
    pub fn possible(&self, beginning: Pattern, n: usize, forbidden: Pattern) -> bool {
        self.iter().any(|ending| {
            let goes = ending.not_after == 0 || ending.not_after != beginning;
            goes && joined(beginning, ending.moves, n) != forbidden
        })
    }
}

/// Which bars can follow a state at the end of a bar.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Onward {
    /// None.
    Dead,
    /// Only bars with these moves.
    One(Pattern),
    /// At least two different ones, or it does not matter.
    Many,
}

impl Onward {
    /// With one more bar that can follow.
    #[must_use]
    pub fn with(self, pattern: Pattern) -> Self {
        match self {
            Self::Dead => Self::One(pattern),
            Self::One(known) if known == pattern => self,
            _ => Self::Many,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thumb::random::SplitMix64;

    /// Kept endings answer every question as the whole list does.
    #[test]
    fn kept_endings_stand_for_all_of_them() {
        let mut dice = SplitMix64::new(1);
        for _ in 0..20_000 {
            let n = dice.below(12);
            let all: Vec<Ending> = (0..n)
                .map(|_| Ending {
                    moves: 1 + dice.below(5),
                    not_after: dice.below(5),
                })
                .collect();
            let mut kept = Endings::default();
            for ending in &all {
                kept.add(*ending);
            }
            for beginning in 1..6 {
                for forbidden in 0..6u64 {
                    let bar = if forbidden == 0 {
                        0
                    } else {
                        joined(beginning, forbidden, 1)
                    };
                    let goes =
                        |ending: &&Ending| ending.not_after == 0 || ending.not_after != beginning;
                    let expected = all
                        .iter()
                        .filter(goes)
                        .any(|ending| joined(beginning, ending.moves, 1) != bar);
                    let found = kept.possible(beginning, 1, bar);
                    assert_eq!(found, expected, "{all:?} after {beginning}, not {bar}");
                }
            }
        }
    }

    #[test]
    fn two_different_bars_are_many() {
        assert_eq!(Onward::Dead.with(5), Onward::One(5));
        assert_eq!(Onward::One(5).with(5), Onward::One(5));
        assert_eq!(Onward::One(5).with(6), Onward::Many);
    }
}
