//! The limiter: keeps true peaks below −1 dB of full scale by looking a little ahead and turning
//! down gently, both sides alike. Below the ceiling it changes nothing but the time: everything
//! leaves [`LATENCY`] frames later.
//!
//! True peaks are estimated at four times the sample rate as ITU-R BS.1770 (annex 2) asks; its
//! four-fold estimate may read up to 0.55 dB low near the top of the band, where a guitar has
//! nothing, and the ceiling keeps a further 0.3 dB in hand.

use std::f64::consts::PI;

/// −1.3 dB of full scale.
const CEILING: f32 = 0.861;

/// Frames over which the gain moves down before a peak.
const AHEAD: usize = 96;

/// Samples on either side of a point between samples that its estimate uses.
const SIDE: usize = 8;

/// Frames by which sound leaves later than it enters.
pub const LATENCY: usize = AHEAD + SIDE - 1;

/// Seconds in which the gain comes back by two thirds.
const RELEASE_S: f64 = 0.08;

/// No peak between samples can reach the ceiling while the samples around stay below this part
/// of it.
const QUIET: f32 = 0.4 * CEILING;

/// The limiter of a stereo stream.
#[derive(Clone, Debug)]
pub struct Limiter {
    between: [[f32; 2 * SIDE]; 3],
    recent: [[f32; 2 * SIDE]; 2],
    quiet_for: usize,
    delay: Box<[[f32; 2]]>,
    delay_at: usize,
    gains: Box<[f32]>,
    gains_at: usize,
    gains_sum: f64,
    gain: f32,
    hold: usize,
    release: f32,
}

impl Limiter {
    /// A limiter with silence inside.
    #[must_use]
    pub fn new(sample_rate: u32) -> Self {
        let rate = f64::from(sample_rate.max(1));
        Self {
            between: [0.25, 0.5, 0.75].map(interpolator),
            recent: [[0.0; 2 * SIDE]; 2],
            quiet_for: 2 * SIDE,
            delay: vec![[0.0; 2]; LATENCY].into(),
            delay_at: 0,
            gains: vec![1.0; AHEAD].into(),
            gains_at: 0,
            gains_sum: AHEAD as f64,
            gain: 1.0,
            hold: 0,
            release: (1.0 - (-1.0 / (RELEASE_S * rate)).exp()) as f32,
        }
    }

    /// One frame in, the frame of [`LATENCY`] frames ago out.
    pub fn step(&mut self, frame: [f32; 2]) -> [f32; 2] {
        let peak = self.peak_with(frame);
        if peak > CEILING {
            self.gain = self.gain.min(CEILING / peak);
            self.hold = AHEAD;
        } else if self.hold > 0 {
            self.hold -= 1;
        } else if self.gain < 1.0 {
            self.gain += (1.0 - self.gain) * self.release;
            if self.gain > 0.9999 {
                self.gain = 1.0;
            }
        }
        let smooth = self.averaged(self.gain);
        let Some(place) = self.delay.get_mut(self.delay_at) else {
            return [0.0; 2];
        };
        let out = std::mem::replace(place, frame);
        self.delay_at = (self.delay_at + 1) % self.delay.len();
        out.map(|x| x * smooth)
    }

    /// The mean of the last gains: reaches a new lower gain exactly when its peak comes out.
    fn averaged(&mut self, gain: f32) -> f32 {
        if let Some(place) = self.gains.get_mut(self.gains_at) {
            self.gains_sum += f64::from(gain) - f64::from(*place);
            *place = gain;
        }
        self.gains_at = (self.gains_at + 1) % self.gains.len();
        (self.gains_sum / AHEAD as f64) as f32
    }

    /// The true peak around the frame that lies [`SIDE`] frames back.
    fn peak_with(&mut self, frame: [f32; 2]) -> f32 {
        let loudest = frame[0].abs().max(frame[1].abs());
        self.quiet_for = if loudest < QUIET {
            (self.quiet_for + 1).min(2 * SIDE)
        } else {
            0
        };
        for (recent, x) in self.recent.iter_mut().zip(frame) {
            recent.copy_within(1.., 0);
            if let Some(last) = recent.last_mut() {
                *last = x;
            }
        }
        if self.quiet_for >= 2 * SIDE {
            return 0.0;
        }
        let mut peak = 0.0f32;
        for recent in &self.recent {
            peak = peak.max(recent.get(SIDE - 1).map_or(0.0, |x| x.abs()));
            for taps in &self.between {
                let x: f32 = taps.iter().zip(recent).map(|(h, x)| h * x).sum();
                peak = peak.max(x.abs());
            }
        }
        peak
    }
}

/// A windowed sinc that reads a signal `part` of a sample after the newer of its middle two.
fn interpolator(part: f64) -> [f32; 2 * SIDE] {
    let mut taps = [0.0; 2 * SIDE];
    for (n, tap) in taps.iter_mut().enumerate() {
        let x = n as f64 - (SIDE as f64 - 1.0) - part;
        let sinc = (PI * x).sin() / (PI * x);
        let window = (0.5 * PI * x / SIDE as f64).cos().powi(2);
        *tap = (sinc * window) as f32;
    }
    taps
}
