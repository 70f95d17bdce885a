//! How much of its time the sound takes to compute: written by the audio thread with plain atomic
//! operations, read by whoever shows it. Never waits and never allocates.

use std::sync::atomic::AtomicU32;
use std::sync::atomic::Ordering;
use std::time::Duration;

/// How quickly the average follows: the part that a new block has in it. At 256 frames a block and
/// 48 kHz it forgets within about a third of a second.
const NEWEST: f32 = 1.0 / 64.0;

/// Steps of the histogram in each doubling: a rank is told to within 4.5 per cent of itself.
const STEPS: usize = 8;

/// Doublings below and above the time that a block lasts.
const BELOW: usize = 14;
const ABOVE: usize = 4;

/// Its columns.
const COLUMNS: usize = STEPS * (BELOW + ABOVE);

/// Computing time as parts of the time that the sound lasts: 1 is all of it.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Load {
    /// Of late.
    pub average: f32,
    /// Of the worst block since playing began.
    pub peak: f32,
    /// What half of the blocks since then stay below.
    pub median: f32,
    /// What 999 of 1000 of them stay below.
    pub p999: f32,
    /// How many there were.
    pub blocks: u32,
}

/// The meter that the audio thread writes.
#[derive(Debug)]
pub struct LoadMeter {
    average_bits: AtomicU32,
    peak_bits: AtomicU32,
    columns: [AtomicU32; COLUMNS],
}

impl Default for LoadMeter {
    fn default() -> Self {
        Self {
            average_bits: AtomicU32::new(0),
            peak_bits: AtomicU32::new(0),
            columns: [const { AtomicU32::new(0) }; COLUMNS],
        }
    }
}

impl LoadMeter {
    /// A block that lasts `period` took `took` to compute. For the audio thread, the only writer
    /// beside [`forget`](Self::forget).
    pub fn note(&self, took: Duration, period: Duration) {
        let share = took.as_secs_f32() / period.as_secs_f32().max(1e-6);
        let average = f32::from_bits(self.average_bits.load(Ordering::Relaxed));
        let average = average + NEWEST * (share - average);
        self.average_bits
            .store(average.to_bits(), Ordering::Relaxed);
        // Not below zero, and then bits are in the order of their numbers.
        self.peak_bits.fetch_max(share.to_bits(), Ordering::Relaxed);
        if let Some(column) = self.columns.get(column_of(share)) {
            column.fetch_add(1, Ordering::Relaxed);
        }
    }

    /// What has been measured.
    pub fn read(&self) -> Load {
        let mut counts = [0u32; COLUMNS];
        for (count, column) in counts.iter_mut().zip(&self.columns) {
            *count = column.load(Ordering::Relaxed);
        }
        let peak = f32::from_bits(self.peak_bits.load(Ordering::Relaxed));
        Load {
            average: f32::from_bits(self.average_bits.load(Ordering::Relaxed)),
            peak,
            median: rank(&counts, 0.5).min(peak),
            p999: rank(&counts, 0.999).min(peak),
            blocks: counts.iter().fold(0, |sum, n| sum.saturating_add(*n)),
        }
    }

    /// Forgets all blocks but their average. A block that is noted meanwhile may be forgotten or
    /// stay.
    pub fn forget(&self) {
        self.peak_bits.store(0, Ordering::Relaxed);
        for column in &self.columns {
            column.store(0, Ordering::Relaxed);
        }
    }
}

/// The column of a share: equal steps of its logarithm, everything beyond in the outer ones.
fn column_of(share: f32) -> usize {
    let step = (share.max(f32::MIN_POSITIVE).log2() + BELOW as f32) * STEPS as f32;
    (step.max(0.0) as usize).min(COLUMNS - 1)
}

/// The upper edge of the column up to which at least this part of the blocks lies; 0 of none.
fn rank(counts: &[u32; COLUMNS], part: f64) -> f32 {
    let all: u64 = counts.iter().map(|n| u64::from(*n)).sum();
    let wanted = (part * all as f64).ceil() as u64;
    let mut sum = 0;
    for (column, count) in counts.iter().enumerate() {
        sum += u64::from(*count);
        if sum >= wanted && sum > 0 {
            return ((column + 1) as f32 / STEPS as f32 - BELOW as f32).exp2();
        }
    }
    0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_average_follows_and_the_worst_block_stays_until_it_is_forgotten() {
        let meter = LoadMeter::default();
        assert_eq!(meter.read(), Load::default());
        let period = Duration::from_micros(2_000);
        for took in [1_500].into_iter().chain([200; 2_000]) {
            meter.note(Duration::from_micros(took), period);
        }
        let load = meter.read();
        assert!((load.average - 0.1).abs() < 1e-3, "{load:?}");
        assert!((load.peak - 0.75).abs() < 1e-6, "{load:?}");
        meter.forget();
        meter.note(Duration::from_micros(600), period);
        assert!((meter.read().peak - 0.3).abs() < 1e-6);
        assert_eq!(meter.read().blocks, 1);
    }

    #[test]
    fn ranks_are_those_of_the_sorted_blocks_to_within_a_column() {
        let meter = LoadMeter::default();
        let period = Duration::from_micros(5_333);
        // 10 to 10,009 microseconds, in an order that is not theirs.
        let mut all: Vec<u64> = (0..10_000).map(|k| 10 + k * 7_919 % 10_000).collect();
        for took in &all {
            meter.note(Duration::from_micros(*took), period);
        }
        all.sort_unstable();
        let load = meter.read();
        for (told, at) in [(load.median, 4_999), (load.p999, 9_989)] {
            let exact = all[at] as f32 / 5_333.0;
            let off = told / exact;
            assert!((0.999..1.092).contains(&off), "{told} for {exact}");
        }
        assert_eq!(load.blocks, 10_000);
    }

    #[test]
    fn what_lies_beyond_the_columns_is_counted_in_the_outer_ones() {
        let meter = LoadMeter::default();
        let period = Duration::from_millis(5);
        meter.note(Duration::ZERO, period);
        assert_eq!(meter.read().blocks, 1);
        meter.note(Duration::from_secs(500), period);
        meter.note(Duration::from_secs(500), period);
        let load = meter.read();
        assert!(load.p999 >= 16.0 && load.peak > 99_000.0, "{load:?}");
    }
}
