//! The wooden box: a handful of its lowest resonances as two-pole filters beside the direct sound
//! of the strings, and a broad lift where the top radiates well. Small on purpose: it gives the
//! warmth and the knock of a pluck, not the portrait of one instrument.
//!
//! Frequencies and sharpness lie in the ranges of the literature on guitar bodies (air resonance
//! near 100 Hz, top near 190 to 200 Hz, further plate modes at 270, 390, 550 Hz; Q 10 to 50; from
//! memory, see e.g. Christensen and Vistisen 1980, JASA 68; levels are our own choice).

use std::f64::consts::PI;

/// One resonance: centre in hertz, Q, level.
type Mode = (f64, f64, f64);

const MODES: [Mode; 6] = [
    (98.0, 9.0, 0.50),
    (194.0, 12.0, 0.45),
    (276.0, 18.0, 0.32),
    (392.0, 22.0, 0.26),
    (553.0, 24.0, 0.22),
    (2100.0, 0.8, 0.32),
];

/// How much of the strings is heard directly.
const DIRECT: f64 = 0.55;

/// A two-pole resonator with gain 1 at its centre and none at 0 Hz:
/// y = b (x − x₋₂) + 2 r cos ω y₋₁ − r² y₋₂ with b = (1 − r²)/2.
#[derive(Clone, Debug)]
struct Resonator {
    b: f64,
    c1: f64,
    c2: f64,
    x: [f64; 2],
    y: [f64; 2],
}

impl Resonator {
    fn new(sample_rate: f64, (centre_hz, q, level): Mode) -> Self {
        let r = (-PI * centre_hz / (q * sample_rate)).exp();
        let w = 2.0 * PI * centre_hz / sample_rate;
        Self {
            b: level * 0.5 * (1.0 - r * r),
            c1: 2.0 * r * w.cos(),
            c2: -r * r,
            x: [0.0; 2],
            y: [0.0; 2],
        }
    }

    fn step(&mut self, x: f64) -> f64 {
        let [x1, x2] = self.x;
        let [y1, y2] = self.y;
        let y = self.b * (x - x2) + self.c1 * y1 + self.c2 * y2;
        self.x = [x, x1];
        self.y = [y, y1];
        y
    }
}

/// The box of the guitar.
#[derive(Clone, Debug)]
pub struct Body {
    modes: [Resonator; 6],
}

impl Body {
    /// A box at rest.
    #[must_use]
    pub fn new(sample_rate: f64) -> Self {
        Self {
            modes: MODES.map(|mode| Resonator::new(sample_rate, mode)),
        }
    }

    /// One sample on: what is heard when the bridge moves by `x` and the box gets a `knock` that
    /// is not heard directly.
    pub fn step(&mut self, x: f64, knock: f64) -> f64 {
        let mut heard = DIRECT * x;
        for mode in &mut self.modes {
            heard += mode.step(x + knock);
        }
        heard
    }
}
