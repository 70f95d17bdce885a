//! A loudness that follows its control smoothly, so that turning it is never heard as a click.
//! Moves by frames; knows nothing of what it makes louder.

/// Loudness follows its knob with this time constant, in seconds.
const GAIN_S: f64 = 0.02;

/// A loudness on its way to a new value.
#[derive(Clone, Copy, Debug)]
pub struct Knob {
    now: f32,
    target: f32,
    part: f32,
}

impl Knob {
    /// A knob on its way from one loudness to another.
    #[must_use]
    pub fn new(now: f32, target: f32, sample_rate: u32) -> Self {
        let frames = GAIN_S * f64::from(sample_rate.max(1));
        Self {
            now,
            target,
            part: (1.0 - (-1.0 / frames).exp()) as f32,
        }
    }

    /// Turns it: 0 to 1, anything else is brought there.
    pub fn set(&mut self, target: f32) {
        self.target = if target.is_finite() {
            target.clamp(0.0, 1.0)
        } else {
            0.0
        };
    }

    /// One frame on; the loudness now.
    pub fn step(&mut self) -> f32 {
        let way = self.target - self.now;
        let next = self.now + way * self.part;
        // Near the end a step is too small to be added: without this it would stop just short.
        self.now = if way.abs() < 1e-6 || next.to_bits() == self.now.to_bits() {
            self.target
        } else {
            next
        };
        self.now
    }

    /// Arrives at once.
    pub const fn settle(&mut self) {
        self.now = self.target;
    }
}
