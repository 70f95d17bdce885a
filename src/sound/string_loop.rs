//! One vibrating string as a loop: a delay line, a one-pole low-pass that takes energy away at
//! two prescribed rates, and a first-order allpass that makes up the fraction of a sample, so
//! that the loop is exactly one period of the wanted pitch. Knows nothing of fingers or wood.
//!
//! Extended Karplus–Strong: Jaffe and Smith 1983, Computer Music Journal 7(2); loop filter and
//! tuning as in J. O. Smith, Physical Audio Signal Processing (the allpass with the sign that
//! fits its stated range).

use std::f64::consts::PI;

/// How fast a string loses energy.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Decay {
    /// Seconds for the fundamental to fall by 60 dB.
    pub t60_s: f64,
    /// Seconds for a partial at `high_hz` to fall by 60 dB; shorter than `t60_s`.
    pub high_t60_s: f64,
    /// Where the second rate is prescribed, in hertz.
    pub high_hz: f64,
}

/// The numbers of a loop for one pitch.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LoopDesign {
    /// Gain at 0 Hz, below 1.
    pub gain: f64,
    /// Pole of the low-pass, −1 to 0: H(z) = g (1 + a)/(1 + a z⁻¹).
    pub pole: f64,
    /// Whole samples of delay.
    pub whole: usize,
    /// Samples of delay left to the allpass, 0.3 to 1.3.
    pub fraction: f64,
    /// Coefficient C of the allpass (C + z⁻¹)/(1 + C z⁻¹).
    pub allpass: f64,
}

impl LoopDesign {
    /// Designs the loop for a fundamental. The low-pass follows from the two decay times; its
    /// own delay at the fundamental is part of the budget fs/f₀ = whole + low-pass + fraction,
    /// and C makes the allpass delay exact at the fundamental rather than at 0 Hz:
    /// C = sin((1 − d) ω/2) / sin((1 + d) ω/2).
    #[must_use]
    pub fn new(sample_rate: f64, f0_hz: f64, decay: Decay) -> Self {
        let loss = |t60_s: f64| 10f64.powf(-3.0 / (f0_hz * t60_s));
        let gain = loss(decay.t60_s).min(1.0 - 1e-6);
        let high_hz = decay.high_hz.clamp(1.5 * f0_hz, 0.45 * sample_rate);
        let r = (loss(decay.high_t60_s.min(0.99 * decay.t60_s)) / gain).powi(2);
        let c = (2.0 * PI * high_hz / sample_rate).cos();
        let b = 1.0 - r * c;
        let pole = ((b * b - (1.0 - r).powi(2)).max(0.0).sqrt() - b) / (1.0 - r);
        let w = 2.0 * PI * f0_hz / sample_rate;
        let low_pass = -(pole * w.sin()).atan2(1.0 + pole * w.cos()) / w;
        // The phase of 1/(1 + a z^-1) is +atan2(a sin w, 1 + a cos w): a delay for a < 0.
        let budget = sample_rate / f0_hz - low_pass;
        let whole = (budget - 0.3).floor().max(1.0);
        let fraction = budget - whole;
        let allpass = (0.5 * (1.0 - fraction) * w).sin() / (0.5 * (1.0 + fraction) * w).sin();
        Self {
            gain,
            pole,
            whole: whole as usize,
            fraction,
            allpass,
        }
    }
}

/// A string in motion.
#[derive(Clone, Debug)]
pub struct StringLoop {
    design: LoopDesign,
    line: Vec<f64>,
    at: usize,
    low_pass: f64,
    allpass_in: f64,
    allpass_out: f64,
}

impl StringLoop {
    /// A string at rest.
    #[must_use]
    pub fn new(design: LoopDesign) -> Self {
        Self {
            design,
            line: vec![0.0; design.whole.max(1)],
            at: 0,
            low_pass: 0.0,
            allpass_in: 0.0,
            allpass_out: 0.0,
        }
    }

    /// One sample on, with `push` from the finger; returns the wave at the bridge.
    pub fn step(&mut self, push: f64) -> f64 {
        let Some(place) = self.line.get_mut(self.at) else {
            return 0.0;
        };
        let d = &self.design;
        self.low_pass = d.gain * (1.0 + d.pole) * *place - d.pole * self.low_pass;
        let tuned = d.allpass * (self.low_pass - self.allpass_out) + self.allpass_in;
        self.allpass_in = self.low_pass;
        self.allpass_out = tuned;
        let wave = push + tuned;
        *place = wave;
        self.at += 1;
        if self.at == self.line.len() {
            self.at = 0;
        }
        wave
    }
}

#[cfg(test)]
mod tests {
    use super::Decay;
    use super::LoopDesign;

    /// f0, t60, high Hz, high t60 -> gain, pole, whole delay, fraction.
    type Row = (f64, f64, f64, f64, f64, f64, usize, f64);

    /// Computed beforehand from the formulas of the sources named above, at 48 kHz.
    const ROWS: [Row; 3] = [
        (110.0, 4.0, 5000.0, 0.5, 0.984_423, -0.295_337, 435, 0.9446),
        (196.0, 3.0, 5000.0, 0.5, 0.988_321, -0.195_308, 244, 0.6553),
        (
            329.628, 2.5, 5000.0, 0.5, 0.991_653, -0.127_697, 145, 0.4724,
        ),
    ];

    #[test]
    fn the_loop_has_the_gain_pole_and_delay_of_the_worked_examples() {
        for (f0_hz, t60_s, high_hz, high_t60_s, gain, pole, whole, fraction) in ROWS {
            let decay = Decay {
                t60_s,
                high_t60_s,
                high_hz,
            };
            let d = LoopDesign::new(48_000.0, f0_hz, decay);
            assert!((d.gain - gain).abs() < 2e-6, "{f0_hz}: {d:?}");
            assert!((d.pole - pole).abs() < 2e-6, "{f0_hz}: {d:?}");
            assert_eq!(d.whole, whole, "{f0_hz}");
            assert!((d.fraction - fraction).abs() < 2e-4, "{f0_hz}: {d:?}");
        }
    }

    #[test]
    fn the_allpass_stays_in_its_good_range_and_the_loop_is_stable_everywhere() {
        for rate in [44_100.0, 48_000.0, 96_000.0] {
            for midi in 28..=96 {
                let f0_hz = 440.0 * 2f64.powf((f64::from(midi) - 69.0) / 12.0);
                for (t60_s, high_t60_s) in [(6.0, 0.5), (0.08, 0.03)] {
                    let decay = Decay {
                        t60_s,
                        high_t60_s,
                        high_hz: 4000.0,
                    };
                    let d = LoopDesign::new(rate, f0_hz, decay);
                    assert!((0.29..=1.31).contains(&d.fraction), "{midi}: {d:?}");
                    assert!(d.allpass.abs() < 0.6, "{midi}: {d:?}");
                    assert!(d.gain < 1.0 && (-1.0..=0.0).contains(&d.pole), "{d:?}");
                }
            }
        }
    }
}
