//! One vibrating string as a loop: a delay line, a one-pole low-pass that takes energy away at
//! two prescribed rates, a chain of allpasses that lets high partials run ahead as stiffness
//! does, and a first-order allpass that makes up the fraction of a sample, so that the loop is
//! exactly one period of the wanted pitch. Knows nothing of fingers or wood.
//!
//! Extended Karplus–Strong: Jaffe and Smith 1983, Computer Music Journal 7(2); loop filter and
//! tuning as in J. O. Smith, Physical Audio Signal Processing (the allpass with the sign that
//! fits its stated range). Partials of a stiff string: fₖ = k f₀ √(1 + B k²), Fletcher 1964,
//! Journal of the Acoustical Society of America 36(1).

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
    /// Minus the coefficient of each of the [`STIFF_SECTIONS`] allpasses that stand for
    /// stiffness, 0 to 0.9; 0 leaves them out.
    pub stiff: f64,
}

/// Allpasses in the chain that stands for stiffness: with six, the first twelve partials, up to
/// 2 kHz, lie within 4 cents of the formula; above, the string is less stiff than it should be.
const STIFF_SECTIONS: usize = 6;

/// Below this a string is at rest; keeps arithmetic out of the slow range of tiny numbers.
const REST: f64 = 1e-12;

/// The largest coefficient of such an allpass.
const STIFFEST: f64 = 0.9;

/// Up to which partial, and to how many hertz, stiffness is matched: there exactly.
const STIFF_PARTIALS: f64 = 12.0;
const STIFF_HZ: f64 = 2200.0;

/// Delay in samples of the allpass (−c + z⁻¹)/(1 − c z⁻¹) at the angular frequency `w`.
fn stiff_delay(c: f64, w: f64) -> f64 {
    1.0 + 2.0 / w * (c * w.sin()).atan2(1.0 - c * w.cos())
}

/// Delay in samples of the one-pole low-pass.
fn low_pass_delay(pole: f64, w: f64) -> f64 {
    // The phase of 1/(1 + a z⁻¹) is +atan2(a sin w, 1 + a cos w): a delay for a < 0.
    -(pole * w.sin()).atan2(1.0 + pole * w.cos()) / w
}

impl LoopDesign {
    /// Designs the loop for a fundamental. The low-pass has the prescribed losses at the
    /// fundamental and at the high frequency; its own delay at the fundamental and that of
    /// stiffness are part of the budget fs/f₀ = whole + low-pass + stiffness + fraction, and C
    /// makes the allpass delay exact at the fundamental rather than at 0 Hz:
    /// C = sin((1 − d) ω/2) / sin((1 + d) ω/2). `b` is the inharmonicity B, 0 for none.
    #[must_use]
    pub fn new(sample_rate: f64, f0_hz: f64, decay: Decay, b: f64) -> Self {
        let loss = |t60_s: f64| 10f64.powf(-3.0 / (f0_hz * t60_s));
        let (low, high) = (
            loss(decay.t60_s),
            loss(decay.high_t60_s.min(0.99 * decay.t60_s)),
        );
        let high_hz = decay.high_hz.clamp(1.5 * f0_hz, 0.45 * sample_rate);
        let w = 2.0 * PI * f0_hz / sample_rate;
        let r = (high / low).powi(2);
        let half = w.cos() - r * (2.0 * PI * high_hz / sample_rate).cos();
        let pole = ((half * half - (1.0 - r).powi(2)).max(0.0).sqrt() - half) / (1.0 - r);
        let through = (1.0 + 2.0 * pole * w.cos() + pole * pole).sqrt() / (1.0 + pole);
        let gain = (low * through).min(1.0 - 1e-6);
        let stiff = stiffness(sample_rate, f0_hz, pole, b);
        let chain = if stiff > 0.0 {
            STIFF_SECTIONS as f64 * stiff_delay(stiff, w)
        } else {
            0.0
        };
        let budget = sample_rate / f0_hz - low_pass_delay(pole, w) - chain;
        let whole = (budget - 0.3).floor().max(1.0);
        let fraction = budget - whole;
        let allpass = (0.5 * (1.0 - fraction) * w).sin() / (0.5 * (1.0 + fraction) * w).sin();
        Self {
            gain,
            pole,
            whole: whole as usize,
            fraction,
            allpass,
            stiff,
        }
    }
}

/// The coefficient with which one partial, the twelfth or one near 2.2 kHz, comes out exactly where
/// k f₀ √((1 + B k²)/(1 + B)) has it; the low-pass does a part of it. Found by halving.
fn stiffness(sample_rate: f64, f0_hz: f64, pole: f64, b: f64) -> f64 {
    let k = (STIFF_HZ / f0_hz).floor().clamp(4.0, STIFF_PARTIALS);
    let partial_hz = f0_hz * k * ((1.0 + b * k * k) / (1.0 + b)).sqrt();
    if b <= 0.0 || partial_hz > 0.35 * sample_rate {
        return 0.0;
    }
    let w = 2.0 * PI * f0_hz / sample_rate;
    let w_k = 2.0 * PI * partial_hz / sample_rate;
    let wanted = sample_rate / f0_hz - k * sample_rate / partial_hz;
    let by_low_pass = low_pass_delay(pole, w) - low_pass_delay(pole, w_k);
    let short_of = |c: f64| {
        let chain = STIFF_SECTIONS as f64 * (stiff_delay(c, w) - stiff_delay(c, w_k));
        wanted - by_low_pass - chain
    };
    if short_of(0.0) <= 0.0 {
        return 0.0;
    }
    let (mut less, mut more) = (0.0, STIFFEST);
    for _ in 0..50 {
        let middle = 0.5 * (less + more);
        if short_of(middle) > 0.0 {
            less = middle;
        } else {
            more = middle;
        }
    }
    less
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
    chain: [f64; STIFF_SECTIONS + 1],
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
            chain: [0.0; STIFF_SECTIONS + 1],
        }
    }

    /// A string with room for a loop of so many whole samples, at rest and not tuned yet.
    #[must_use]
    pub fn with_room(samples: usize) -> Self {
        let mut string = Self::new(LoopDesign {
            gain: 0.0,
            pole: 0.0,
            whole: samples,
            fraction: 1.0,
            allpass: 0.0,
            stiff: 0.0,
        });
        string.line.clear();
        string
    }

    /// Brings it to rest at another pitch. Allocates only if it has too little room.
    pub fn retune(&mut self, design: LoopDesign) {
        self.design = design;
        self.line.clear();
        self.line.resize(design.whole.max(1), 0.0);
        self.at = 0;
        (self.low_pass, self.allpass_in, self.allpass_out) = (0.0, 0.0, 0.0);
        self.chain = [0.0; STIFF_SECTIONS + 1];
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
        let wave = push + stiffened(&mut self.chain, d.stiff, tuned);
        let wave = if wave.abs() < REST { 0.0 } else { wave };
        *place = wave;
        self.at += 1;
        if self.at == self.line.len() {
            self.at = 0;
        }
        wave
    }
}

/// Through the chain of allpasses; each keeps its last input, which is the output of the one
/// before it.
fn stiffened(chain: &mut [f64; STIFF_SECTIONS + 1], c: f64, x: f64) -> f64 {
    if c <= 0.0 {
        return x;
    }
    let mut x = x;
    let mut before = std::mem::replace(&mut chain[0], x);
    for last in chain.iter_mut().skip(1) {
        let out = before - c * (x - *last);
        before = std::mem::replace(last, out);
        x = out;
    }
    x
}

#[cfg(test)]
mod tests {
    use super::Decay;
    use super::LoopDesign;

    /// f0, t60, high Hz, high t60 -> gain, pole, whole delay, fraction.
    type Row = (f64, f64, f64, f64, f64, f64, usize, f64);

    /// Computed beforehand at 48 kHz: both losses solved for gain and pole by SciPy's `fsolve`,
    /// the delays from the phase of H(z) as defined above.
    const ROWS: [Row; 4] = [
        (110.0, 4.0, 5000.0, 0.5, 0.984_484, -0.295_437, 435, 0.9444),
        (196.0, 3.0, 5000.0, 0.5, 0.988_419, -0.195_544, 244, 0.6549),
        (
            329.628, 2.5, 5000.0, 0.5, 0.991_808, -0.128_175, 145, 0.4717,
        ),
        (1046.5, 1.6, 4000.0, 0.2, 0.998_116, -0.166_494, 45, 0.6685),
    ];

    #[test]
    fn the_loop_has_the_gain_pole_and_delay_of_the_worked_examples() {
        for (f0_hz, t60_s, high_hz, high_t60_s, gain, pole, whole, fraction) in ROWS {
            let decay = Decay {
                t60_s,
                high_t60_s,
                high_hz,
            };
            let d = LoopDesign::new(48_000.0, f0_hz, decay, 0.0);
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
                    let d = LoopDesign::new(rate, f0_hz, decay, 1e-4);
                    assert!((0.0..0.9).contains(&d.stiff), "{midi}: {d:?}");
                    assert!((0.29..=1.31).contains(&d.fraction), "{midi}: {d:?}");
                    assert!(d.allpass.abs() < 0.6, "{midi}: {d:?}");
                    assert!(d.gain < 1.0 && (-1.0..=0.0).contains(&d.pole), "{d:?}");
                }
            }
        }
    }
}
