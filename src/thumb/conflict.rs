//! What is said when locks and rules leave no line: where, what stands against what, and the
//! nearest ways out, in words for a musician and as edits that can be taken. Never decides which
//! way is taken.

use super::problem::LineProblem;
use crate::theory::MoveSet;
use crate::theory::Rule;
use crate::theory::RuleSet;
use crate::theory::Ticks;
use std::fmt;

/// Why there is no line.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("bar {}, {}: {message}", .bar + 1, Beat(*.at))]
pub struct Conflict {
    /// The bar, counted from 0.
    pub bar: usize,
    /// Where in the bar.
    pub at: Ticks,
    /// What stands against what, and what to do.
    pub message: String,
    /// Each of these makes a line possible up to here and beyond; nearest first.
    pub ways: Vec<WayOut>,
}

/// An edit that resolves a conflict.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum WayOut {
    /// Unlock a slot.
    Unlock {
        /// Its place in [`LineProblem::slots`].
        slot: usize,
    },
    /// Let a rule not hold in a slot (or switch it off).
    Excuse {
        /// The rule.
        rule: Rule,
        /// The slot's place in [`LineProblem::slots`].
        slot: usize,
    },
    /// Allow all moves in a slot.
    Allow {
        /// Its place in [`LineProblem::slots`].
        slot: usize,
    },
    /// Unlock a bar and let no rule hold in it.
    FreeBar {
        /// The bar, counted from 0.
        bar: usize,
    },
}

impl WayOut {
    /// Whether it allows more moves in a bar whose moves the player chose.
    #[must_use]
    pub fn is_for_own_moves(self, problem: &LineProblem) -> bool {
        match self {
            Self::Allow { slot } => problem.slot(slot).is_some_and(|slot| slot.own_moves),
            _ => false,
        }
    }

    /// Makes the edit.
    pub fn take(self, problem: &mut LineProblem) {
        let n_slots = problem.slots.len();
        let slot_at = |problem: &mut LineProblem, index: usize, edit: &dyn Fn(&mut super::Slot)| {
            if index == n_slots {
                problem.after.as_mut().into_iter().for_each(edit);
            }
            problem.slots.get_mut(index).into_iter().for_each(edit);
        };
        match self {
            Self::Unlock { slot } => slot_at(problem, slot, &|slot| slot.locked = None),
            Self::Excuse { rule, slot } => slot_at(problem, slot, &|slot| {
                slot.excused = slot.excused.with(rule);
            }),
            Self::Allow { slot } => slot_at(problem, slot, &allow_all),
            Self::FreeBar { bar } => {
                let all = problem.slots.iter_mut().chain(problem.after.as_mut());
                // The neighbours too: rules between two notes are held by the second of them.
                for slot in all.filter(|slot| slot.bar.abs_diff(bar) <= 1) {
                    slot.excused = RuleSet::ALL;
                    allow_all(slot);
                    if slot.bar == bar {
                        slot.locked = None;
                    }
                }
            }
        }
    }
}

/// Over no chord there is nothing to allow: the thumb rests.
const fn allow_all(slot: &mut super::Slot) {
    if slot.span.is_some() {
        slot.allowed = MoveSet::ALL;
        slot.own_moves = false;
    }
}

/// `beat 4`, `after beat 2`.
struct Beat(Ticks);

impl fmt::Display for Beat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let after = if self.0.within_beat() > 0 {
            "after "
        } else {
            ""
        };
        write!(f, "{after}beat {}", self.0.beat_idx() + 1)
    }
}
