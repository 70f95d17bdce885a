//! Steps of difficulty for the thumb: which moves a rung allows in which kind of slot, and which
//! rules it switches on. Each rung adds one device to the one below. Order and contents are our
//! own choice, after the usual order of lessons. Never looks at a chord.

use crate::theory::MoveSet;
use crate::theory::Rule;
use crate::theory::RuleSet;
use crate::theory::ThumbMove;

/// A step of difficulty of the thumb line.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Rung {
    /// The root on every beat.
    Roots,
    /// And a semitone approach on the last beat before a change.
    LastBeat,
    /// And approaches in the middle of the bar, the two from opposite sides.
    TwoApproaches,
    /// Scale runs from chord tone to chord tone and into the next bass note.
    Runs,
    /// Everything.
    Mixed,
}

/// What the rungs know of a slot.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct SlotKind {
    /// The first beat of a bar or of a chord.
    pub begins: bool,
    /// The last beat before a change.
    pub leads_to_change: bool,
    /// The last beat of a bar whose chord goes on in the next.
    pub leads_over_bar: bool,
    /// The second beat of a chord that has at least four in its bar: beat 2 of 4/4.
    pub second_of_four: bool,
    /// Whether the chord has only two beats in its bar.
    pub of_two: bool,
}

impl SlotKind {
    const fn leads_on(self) -> bool {
        self.leads_to_change || self.leads_over_bar || self.second_of_four
    }
}

impl Rung {
    /// Every rung, easiest first.
    pub const ALL: [Self; 5] = [
        Self::Roots,
        Self::LastBeat,
        Self::TwoApproaches,
        Self::Runs,
        Self::Mixed,
    ];

    const TONES_AND_STEPS: MoveSet = MoveSet::TONES
        .without(ThumbMove::Octave)
        .union(MoveSet::STEPS);

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Roots => "Roots",
            Self::LastBeat => "Approach on the last beat",
            Self::TwoApproaches => "Two approaches a bar",
            Self::Runs => "Runs",
            Self::Mixed => "Everything mixed",
        }
    }

    /// A stable ASCII word for files and JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Roots => "roots",
            Self::LastBeat => "last-beat",
            Self::TwoApproaches => "two-approaches",
            Self::Runs => "runs",
            Self::Mixed => "mixed",
        }
    }

    /// The rung with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|rung| rung.word() == word)
    }

    /// Its rules.
    #[must_use]
    pub const fn rules(self) -> RuleSet {
        match self {
            // Nothing but roots: they repeat and leap as the chords do, and there is nothing to
            // approach or to answer with.
            Self::Roots => Self::LastBeat.rules().without(Rule::ApproachBeforeChange),
            Self::LastBeat => RuleSet::ALL
                .without(Rule::AnswerLeaps)
                .without(Rule::FreshNotes)
                .without(Rule::FreshBars),
            Self::TwoApproaches | Self::Runs => RuleSet::ALL,
            Self::Mixed => RuleSet::ALL.without(Rule::RootOnDownbeat),
        }
    }

    /// The moves it allows in a slot.
    #[must_use]
    pub const fn allowed(self, kind: SlotKind) -> MoveSet {
        let root = MoveSet::EMPTY.with(ThumbMove::Root);
        match self {
            Self::Roots => root,
            Self::LastBeat if kind.leads_to_change => root.union(MoveSet::CHROMATIC),
            Self::LastBeat => root,
            Self::TwoApproaches if kind.begins => MoveSet::TONES,
            // With two chords to a bar there are only two ways to approach both by semitone from
            // opposite sides; so that the next bar can differ, any approach will do there.
            Self::TwoApproaches if kind.of_two && kind.leads_to_change => MoveSet::APPROACHES,
            Self::TwoApproaches if kind.leads_on() => MoveSet::CHROMATIC,
            Self::TwoApproaches => MoveSet::TONES,
            Self::Runs if kind.leads_to_change || kind.leads_over_bar => {
                Self::TONES_AND_STEPS.union(MoveSet::CHROMATIC)
            }
            Self::Runs => Self::TONES_AND_STEPS,
            Self::Mixed => MoveSet::ALL.without(ThumbMove::Rest),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rungs_have_words_and_every_kind_of_slot_has_a_move() {
        for rung in Rung::ALL {
            assert_eq!(Rung::from_word(rung.word()), Some(rung));
            for bits in 0..32u8 {
                let kind = SlotKind {
                    begins: bits & 1 != 0,
                    leads_to_change: bits & 2 != 0,
                    leads_over_bar: bits & 4 != 0,
                    second_of_four: bits & 8 != 0,
                    of_two: bits & 16 != 0,
                };
                assert!(!rung.allowed(kind).is_empty(), "{rung:?} {kind:?}");
            }
        }
    }
}
