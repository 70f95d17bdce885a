//! The speed trainer: while bars are looped, the tempo rises from pass to pass until it reaches its
//! target. Pure arithmetic; the player carries it out.

use std::ops::RangeInclusive;

/// Percentages of the tempo that can be asked for.
pub const TRAINER_PERCENT: RangeInclusive<u16> = 30..=150;

/// Percentage points of one step.
pub const TRAINER_STEP: RangeInclusive<u16> = 1..=25;

/// Passes at one tempo.
pub const TRAINER_EVERY: RangeInclusive<u16> = 1..=16;

/// How the tempo rises.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Trainer {
    /// Whether it is on. It acts only while bars are looped.
    pub on: bool,
    /// The first passes, in per cent of the tempo.
    pub start: u16,
    /// Percentage points from one tempo to the next.
    pub step: u16,
    /// Passes at each tempo.
    pub every: u16,
    /// The tempo at which it stays, in per cent.
    pub target: u16,
}

impl Default for Trainer {
    /// Off; three quarters of the tempo up to all of it, 5 points every other pass (own choice).
    fn default() -> Self {
        Self {
            on: false,
            start: 75,
            step: 5,
            every: 2,
            target: 100,
        }
    }
}

impl Trainer {
    /// The same with every number in its range, and the target not below the start.
    #[must_use]
    pub fn in_range(self) -> Self {
        let within = |x: u16, range: RangeInclusive<u16>| x.clamp(*range.start(), *range.end());
        let start = within(self.start, TRAINER_PERCENT);
        Self {
            on: self.on,
            start,
            step: within(self.step, TRAINER_STEP),
            every: within(self.every, TRAINER_EVERY),
            target: within(self.target, TRAINER_PERCENT).max(start),
        }
    }

    /// The tempo after so many steps, in per cent.
    #[must_use]
    pub fn percent(&self, steps: u32) -> u16 {
        let risen = u32::from(self.step).saturating_mul(steps);
        let risen = risen.saturating_add(u32::from(self.start));
        u16::try_from(risen).map_or(self.target, |percent| percent.min(self.target))
    }

    /// Steps until the target is reached.
    #[must_use]
    pub fn n_steps(&self) -> u32 {
        let way = u32::from(self.target.saturating_sub(self.start));
        way.div_ceil(u32::from(self.step.max(1)))
    }
}

/// Where the trainer is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Training {
    /// The tempo now, in per cent of the tune's.
    pub percent: u16,
    /// The pass being played, from 1.
    pub pass: u64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tempo_rises_by_steps_and_stays_at_the_target() {
        let trainer = Trainer {
            on: true,
            start: 70,
            step: 12,
            every: 2,
            target: 100,
        };
        let percents: Vec<u16> = (0..5).map(|steps| trainer.percent(steps)).collect();
        assert_eq!(percents, [70, 82, 94, 100, 100]);
        assert_eq!(trainer.n_steps(), 3);
        assert_eq!(trainer.percent(u32::MAX), 100);
    }

    #[test]
    fn numbers_out_of_range_are_brought_into_it() {
        let wild = Trainer {
            on: true,
            start: 200,
            step: 0,
            every: 0,
            target: 10,
        };
        let tame = wild.in_range();
        assert_eq!(
            (tame.start, tame.step, tame.every, tame.target),
            (150, 1, 1, 150)
        );
        assert_eq!(tame.n_steps(), 0);
        assert_eq!(Trainer::default().in_range(), Trainer::default());
    }
}
