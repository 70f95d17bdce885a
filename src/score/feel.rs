//! Feel: where a written tick falls inside its beat. Swing moves the off-beat eighth of simple
//! metres to r/(1+r) of the beat and stretches what lies between evenly; thirds of a beat stay
//! where they are. Compound metres are never swung, and no chance is involved anywhere. Lay-back
//! holds fingers and tune back on the beat, against a thumb in time.

use crate::arrange::Lane;
use crate::document::Document;
use crate::document::Feel;
use crate::theory::Meter;
use crate::theory::TICKS_PER_BEAT;

/// The steepest ratio that [`Feel::FollowTempo`] reaches: a solo guitar is its own rhythm section
/// and stays milder than a ride cymbal (own choice; published ride ratios go up to 3.5).
pub const FOLLOW_CAP: f64 = 2.5;

/// Length of the short off-beat note in milliseconds that [`Feel::FollowTempo`] holds constant
/// (Friberg and Sundström 2002, Music Perception 19(3): the short note stays near 100 ms at
/// medium and fast tempi).
const SHORT_NOTE_MS: f64 = 100.0;

/// The ratio of long to short for a tempo: 1 is even.
///
/// Following the tempo, the short note lasts 100 ms, so r = (T − 100)/100 for a beat of T ms,
/// between 1 and [`FOLLOW_CAP`]: 2.5 up to about 171 beats a minute, 2 at 200, 1.5 at 240, even
/// from 300.
#[must_use]
pub fn swing_ratio(feel: Feel, tempo_bpm: u16, meter: Meter) -> f64 {
    swing_ratio_at(feel, f64::from(tempo_bpm), meter)
}

/// The same for a tempo between whole numbers.
pub(super) fn swing_ratio_at(feel: Feel, bpm: f64, meter: Meter) -> f64 {
    if meter.is_compound() {
        return 1.0;
    }
    match feel {
        Feel::Straight => 1.0,
        Feel::Swing(permille) => f64::from(permille.clamp(1000, 3500)) / 1000.0,
        Feel::FollowTempo => {
            let beat_ms = 60_000.0 / bpm.max(1.0);
            ((beat_ms - SHORT_NOTE_MS) / SHORT_NOTE_MS).clamp(1.0, FOLLOW_CAP)
        }
    }
}

/// So many per cent of a document's tempo, at least 1, in beats per minute.
pub(super) fn bpm_at(document: &Document, percent: u16) -> f64 {
    f64::from(document.tempo_bpm.max(1)) * f64::from(percent.max(1)) / 100.0
}

/// The running of time inside a bar: length of a beat, place of its off-beat, parts of a beat.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Clock {
    /// Length of the felt beat in seconds.
    pub beat_s: f64,
    /// Where the written half of a beat sounds, 0.5 when even.
    pub offbeat: f64,
    /// Parts a beat has on the grid: 2, or 3 in compound metres.
    pub divisions: u32,
    /// Seconds by which fingers and tune come late on the beat.
    pub lay_back_s: f64,
}

impl Default for Clock {
    fn default() -> Self {
        Self {
            beat_s: 0.5,
            offbeat: 0.5,
            divisions: 2,
            lay_back_s: 0.0,
        }
    }
}

impl Clock {
    /// The clock of a document.
    #[must_use]
    pub fn of(document: &Document) -> Self {
        Self::at(document, 100)
    }

    /// The clock of a document at so many per cent of its tempo, at least 1. Swing that follows the
    /// tempo follows this one.
    #[must_use]
    pub fn at(document: &Document, percent: u16) -> Self {
        let bpm = bpm_at(document, percent);
        let ratio = swing_ratio_at(document.feel, bpm, document.meter);
        Self {
            beat_s: 60.0 / bpm,
            offbeat: ratio / (1.0 + ratio),
            divisions: document.meter.divisions(),
            lay_back_s: f64::from(document.lay_back_ms) / 1000.0,
        }
    }

    /// Length of one grid division as written evenly, in seconds: an eighth.
    #[must_use]
    pub fn division_s(&self) -> f64 {
        self.beat_s / f64::from(self.divisions)
    }

    /// Seconds by which a note of a lane comes late, `ticks` from the start of a beat-aligned span.
    ///
    /// A soloist's notes on the beat some 30 ms behind the rhythm section, with the off-beats
    /// together, are what makes listeners hear swing (Nelias and others 2022, Communications
    /// Physics 5; the delays in recorded solos are of that order as well). Here the thumb is the
    /// rhythm section, and fingers and tune play to it. Never more than half a division, so that
    /// the order of notes stays.
    #[must_use]
    pub fn late_s(&self, lane: Lane, ticks: u32) -> f64 {
        let on_beat = ticks.is_multiple_of(TICKS_PER_BEAT);
        if lane == Lane::Thumb || !on_beat {
            0.0
        } else {
            self.lay_back_s.min(0.5 * self.division_s())
        }
    }

    /// Beats from the start of a beat-aligned span to a note written at `ticks`.
    #[must_use]
    pub fn beats_from_ticks(&self, ticks: u32) -> f64 {
        let beat = f64::from(ticks / TICKS_PER_BEAT);
        let within = ticks % TICKS_PER_BEAT;
        let written = f64::from(within) / f64::from(TICKS_PER_BEAT);
        if within.is_multiple_of(TICKS_PER_BEAT / 3) {
            beat + written
        } else {
            beat + self.swung(written)
        }
    }

    /// Ticks, with fractions, that have gone by after so many beats: the way back, for a
    /// play-head that moves evenly from column to column of the grid.
    #[must_use]
    pub fn ticks_from_beats(&self, beats: f64) -> f64 {
        let beat = beats.floor();
        let within = beats - beat;
        let written = if within < self.offbeat {
            within * 0.5 / self.offbeat
        } else {
            0.5 + (within - self.offbeat) * 0.5 / (1.0 - self.offbeat)
        };
        (beat + written) * f64::from(TICKS_PER_BEAT)
    }

    fn swung(&self, written: f64) -> f64 {
        if written < 0.5 {
            written * 2.0 * self.offbeat
        } else {
            self.offbeat + (written - 0.5) * 2.0 * (1.0 - self.offbeat)
        }
    }
}
