//! Metre and musical time. A *beat* is the felt pulse the thumb walks on: the written unit in
//! simple metres (4/4: four beats), the dotted unit in compound ones (12/8: four beats of three
//! eighths). Time inside a bar is counted in ticks, 960 to the beat, so that halves, thirds and
//! quarters of a beat are exact.

use std::fmt;

/// Ticks in one beat of any metre.
pub const TICKS_PER_BEAT: u32 = 960;

/// A length or a place in a bar, in ticks (960 to the beat).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Ticks(pub u32);

impl Ticks {
    /// The start of a beat, counted from 0.
    #[must_use]
    pub const fn of_beat(beat_idx: u32) -> Self {
        Self(beat_idx * TICKS_PER_BEAT)
    }

    /// The beat this place lies in, counted from 0.
    #[must_use]
    pub const fn beat_idx(self) -> u32 {
        self.0 / TICKS_PER_BEAT
    }

    /// Ticks since the beat began.
    #[must_use]
    pub const fn within_beat(self) -> u32 {
        self.0 % TICKS_PER_BEAT
    }
}

/// A time signature that the program understands.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Meter {
    count: u8,
    unit: u8,
}

impl Meter {
    /// 4/4.
    pub const COMMON: Self = Self { count: 4, unit: 4 };

    /// Every metre offered.
    pub const ALL: [Self; 6] = [
        Self { count: 4, unit: 4 },
        Self { count: 3, unit: 4 },
        Self { count: 2, unit: 4 },
        Self { count: 5, unit: 4 },
        Self { count: 6, unit: 8 },
        Self { count: 12, unit: 8 },
    ];

    /// Reads `4/4`, `3/4`, `2/4`, `5/4`, `6/8` or `12/8`; `None` for anything else.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|meter| meter.to_string() == text.trim())
    }

    /// The upper number as written.
    #[must_use]
    pub const fn count(self) -> u8 {
        self.count
    }

    /// The lower number as written.
    #[must_use]
    pub const fn unit(self) -> u8 {
        self.unit
    }

    /// Whether the beat falls into three parts (6/8, 12/8).
    #[must_use]
    pub const fn is_compound(self) -> bool {
        self.unit == 8
    }

    /// Felt beats in a bar.
    #[must_use]
    pub const fn beats(self) -> u32 {
        if self.is_compound() {
            self.count as u32 / 3
        } else {
            self.count as u32
        }
    }

    /// Parts a beat falls into on the grid: 2, or 3 in compound metres.
    #[must_use]
    pub const fn divisions(self) -> u32 {
        if self.is_compound() { 3 } else { 2 }
    }

    /// Length of a full bar.
    #[must_use]
    pub const fn bar(self) -> Ticks {
        Ticks::of_beat(self.beats())
    }

    /// Ticks in a quarter note: a beat, or two thirds of one where it has a dot.
    #[must_use]
    pub const fn ticks_per_quarter(self) -> u32 {
        if self.is_compound() {
            TICKS_PER_BEAT * 2 / 3
        } else {
            TICKS_PER_BEAT
        }
    }

    /// Where the off-beat of a beat lies: the half, or the last third in compound metres.
    #[must_use]
    pub const fn offbeat(self, beat_idx: u32) -> Ticks {
        let part = TICKS_PER_BEAT / self.divisions();
        Ticks(beat_idx * TICKS_PER_BEAT + TICKS_PER_BEAT - part)
    }
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.count, self.unit)
    }
}
