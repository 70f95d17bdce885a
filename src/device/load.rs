//! How much of its time the sound takes to compute: written by the audio thread with plain atomic
//! stores, read by whoever shows it. Never waits and never allocates.

use std::sync::atomic::AtomicU32;
use std::sync::atomic::Ordering;
use std::time::Duration;

/// How quickly the average follows: the part that a new block has in it. At 128 frames a block and
/// 48 kHz it forgets within about a third of a second.
const NEWEST: f32 = 1.0 / 128.0;

/// Computing time as parts of the time that the sound lasts: 1 is all of it.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Load {
    /// Of late.
    pub average: f32,
    /// Of the worst block since playing began.
    pub peak: f32,
}

/// The meter that the audio thread writes.
#[derive(Debug, Default)]
pub struct LoadMeter {
    average_bits: AtomicU32,
    peak_bits: AtomicU32,
}

impl LoadMeter {
    /// A block that lasts `period` took `took` to compute. For the audio thread, the only writer.
    pub fn note(&self, took: Duration, period: Duration) {
        let share = took.as_secs_f32() / period.as_secs_f32().max(1e-6);
        let average = f32::from_bits(self.average_bits.load(Ordering::Relaxed));
        let average = average + NEWEST * (share - average);
        self.average_bits
            .store(average.to_bits(), Ordering::Relaxed);
        // Not below zero, and then bits are in the order of their numbers.
        self.peak_bits.fetch_max(share.to_bits(), Ordering::Relaxed);
    }

    /// What has been measured.
    pub fn read(&self) -> Load {
        Load {
            average: f32::from_bits(self.average_bits.load(Ordering::Relaxed)),
            peak: f32::from_bits(self.peak_bits.load(Ordering::Relaxed)),
        }
    }

    /// Forgets the worst block.
    pub fn forget_peak(&self) {
        self.peak_bits.store(0, Ordering::Relaxed);
    }
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
        meter.forget_peak();
        meter.note(Duration::from_micros(600), period);
        assert!((meter.read().peak - 0.3).abs() < 1e-6);
    }
}
