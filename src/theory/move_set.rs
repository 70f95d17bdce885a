//! Sets of thumb moves as bits: what is allowed in a slot, and the families of moves that the
//! rules speak of. Never knows a chord.

use super::moves::ThumbMove;

/// A set of thumb moves.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct MoveSet(u16);

impl MoveSet {
    /// No move.
    pub const EMPTY: Self = Self(0);

    /// Every move.
    pub const ALL: Self = Self::of(&ThumbMove::ALL);

    /// The root, here or an octave away.
    pub const ROOTS: Self = Self::of(&[ThumbMove::Root, ThumbMove::Octave]);

    /// Tones of the chord.
    pub const TONES: Self = Self::of(&[
        ThumbMove::Root,
        ThumbMove::Octave,
        ThumbMove::Third,
        ThumbMove::Fifth,
        ThumbMove::Seventh,
    ]);

    /// The semitone below or above the next note.
    pub const CHROMATIC: Self = Self::of(&[ThumbMove::ApproachBelow, ThumbMove::ApproachAbove]);

    /// The first of two semitones towards the note after the next.
    pub const DOUBLES: Self = Self::of(&[ThumbMove::DoubleBelow, ThumbMove::DoubleAbove]);

    /// Steps of the scale.
    pub const STEPS: Self = Self::of(&[ThumbMove::StepUp, ThumbMove::StepDown]);

    /// What may stand on the last beat before a change: a semitone, a scale step or the fifth
    /// of the next bass note (common practice).
    pub const APPROACHES: Self = Self::CHROMATIC
        .union(Self::STEPS)
        .union(Self::of(&[ThumbMove::ApproachDominant]));

    /// Moves without pitch.
    pub const SILENT: Self = Self::of(&[ThumbMove::Ghost, ThumbMove::Rest]);

    /// These moves.
    #[must_use]
    pub const fn of(moves: &[ThumbMove]) -> Self {
        let mut bits = 0;
        let mut rest = moves;
        while let [first, others @ ..] = rest {
            bits |= 1 << *first as u16;
            rest = others;
        }
        Self(bits)
    }

    /// With one more.
    #[must_use]
    pub const fn with(self, thumb_move: ThumbMove) -> Self {
        Self(self.0 | 1 << thumb_move as u16)
    }

    /// Without one.
    #[must_use]
    pub const fn without(self, thumb_move: ThumbMove) -> Self {
        Self(self.0 & !(1 << thumb_move as u16))
    }

    /// Members of either set.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Members of both sets.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// Members that are not in the other set.
    #[must_use]
    pub const fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether the move is a member.
    #[must_use]
    pub const fn has(self, thumb_move: ThumbMove) -> bool {
        self.0 & (1 << thumb_move as u16) != 0
    }

    /// Whether there is no member.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// How many members.
    #[must_use]
    pub const fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Members in the order of the legend.
    pub fn iter(self) -> impl Iterator<Item = ThumbMove> {
        ThumbMove::ALL.into_iter().filter(move |m| self.has(*m))
    }
}

impl FromIterator<ThumbMove> for MoveSet {
    fn from_iter<I: IntoIterator<Item = ThumbMove>>(items: I) -> Self {
        items.into_iter().fold(Self::EMPTY, Self::with)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_hold_what_was_put_in() {
        assert_eq!(MoveSet::ALL.len(), ThumbMove::ALL.len());
        for thumb_move in ThumbMove::ALL {
            let one = MoveSet::EMPTY.with(thumb_move);
            assert!(one.has(thumb_move) && one.len() == 1);
            assert!(one.without(thumb_move).is_empty());
            assert_eq!(one.iter().collect::<Vec<_>>(), [thumb_move]);
        }
        let families = [MoveSet::TONES, MoveSet::CHROMATIC, MoveSet::DOUBLES];
        let rest = [MoveSet::STEPS, MoveSet::SILENT];
        let n: usize = families.iter().chain(&rest).map(|set| set.len()).sum();
        assert_eq!(n + 1, ThumbMove::ALL.len(), "and the dominant approach");
    }
}
