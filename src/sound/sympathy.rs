//! Open strings that nobody strikes: they answer faintly to what the others play and go on for a
//! moment. One loop per open string, fed by the sum of all notes and never by each other, so
//! nothing can build up. Allocates when made; never while running.
//!
//! Feed-forward coupling as in Karjalainen, Välimäki and Tolonen 1998, Computer Music Journal
//! 22(3) (from memory); level and decay are our own choice.

use super::string_loop::Decay;
use super::string_loop::LoopDesign;
use super::string_loop::StringLoop;
use super::voice::SPAN;
use crate::theory::Midi;

/// The most open strings that answer.
pub const MOST: usize = 8;

/// Loudness of the answer to a lasting tone of exactly a string's own pitch: −35 dB.
const LEVEL: f64 = 0.018;

/// Shorter than a plucked string rings: the hand is never far.
const DECAY: Decay = Decay {
    t60_s: 1.4,
    high_t60_s: 0.3,
    high_hz: 4000.0,
};

/// The lowest string that is made room for, in hertz: that of MIDI key 23.
const LOWEST_HZ: f64 = 30.0;

/// The loops of an instrument's open strings, designed beforehand; `None` where there is none.
pub type Tuning = [Option<LoopDesign>; MOST];

/// The loops of open strings, a capo on this fret. Strings too low to have room are left out, and
/// such as lie beyond what the rate can carry.
#[must_use]
pub fn tuning(open: &[Midi], capo: u8, sample_rate: u32) -> Tuning {
    let rate = f64::from(sample_rate.max(1));
    let mut designs = Tuning::default();
    for (design, key) in designs.iter_mut().zip(open) {
        let hz = 440.0 * 2f64.powf((f64::from(key.number()) + f64::from(capo) - 69.0) / 12.0);
        *design = (LOWEST_HZ..0.2 * rate)
            .contains(&hz)
            .then(|| LoopDesign::new(rate, hz, DECAY, 0.0));
    }
    designs
}

/// The answering strings.
#[derive(Clone, Debug)]
pub struct Sympathy {
    tuning: Tuning,
    strings: [StringLoop; MOST],
}

impl Sympathy {
    /// Strings at rest, not tuned yet.
    #[must_use]
    pub fn new(sample_rate: u32) -> Self {
        let room = (f64::from(sample_rate.max(1)) / LOWEST_HZ) as usize + 1;
        Self {
            tuning: Tuning::default(),
            strings: std::array::from_fn(|_| StringLoop::with_room(room)),
        }
    }

    /// Tunes them. Strings whose pitch stays ring on, others come to rest.
    pub fn tune(&mut self, tuning: &Tuning) {
        let strings = self.strings.iter_mut().zip(&mut self.tuning);
        for ((string, now), design) in strings.zip(tuning) {
            if now != design {
                *now = *design;
                if let Some(design) = design {
                    string.retune(*design);
                }
            }
        }
    }

    /// Adds their answer to interleaved stereo, at most [`SPAN`] frames.
    pub fn add(&mut self, span: &mut [f32]) {
        let mut played = [0.0f64; SPAN];
        for (x, frame) in played.iter_mut().zip(span.chunks_exact(2)) {
            *x = 0.5 * frame.iter().map(|x| f64::from(*x)).sum::<f64>();
        }
        let mut answer = [0.0f64; SPAN];
        let frames = (span.len() / 2).min(SPAN);
        let strings = self.strings.iter_mut().zip(&self.tuning);
        for (string, design) in strings.filter_map(|(s, d)| Some((s, d.as_ref()?))) {
            // A loop of gain g answers a lasting tone 1/(1 − g) times as loud.
            let feed = LEVEL * (1.0 - design.gain);
            for (x, sum) in played.iter().zip(&mut answer).take(frames) {
                *sum += string.step(feed * x);
            }
        }
        for (frame, x) in span.chunks_exact_mut(2).zip(answer) {
            frame.iter_mut().for_each(|side| *side += x as f32);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::LEVEL;
    use super::SPAN;
    use super::Sympathy;
    use super::tuning;
    use crate::theory::Midi;

    const RATE: u32 = 48_000;

    /// The largest answer to two seconds of a tone at full scale, after it has ended.
    fn answer_to(hz: f64) -> f64 {
        let mut strings = Sympathy::new(RATE);
        let open = [40, 45, 50, 55, 59, 64].map(Midi::clamped);
        strings.tune(&tuning(&open, 0, RATE));
        let mut loudest = 0.0f32;
        for block in 0..1600 {
            let mut span = [0.0f32; 2 * SPAN];
            for n in 0..SPAN {
                let t = (block * SPAN + n) as f64 / f64::from(RATE);
                let x = if t < 2.0 {
                    (std::f64::consts::TAU * hz * t).sin() as f32
                } else {
                    0.0
                };
                span[2 * n] = x;
                span[2 * n + 1] = x;
            }
            strings.add(&mut span);
            if block == 1599 {
                loudest = span.iter().fold(0.0, |m, x| m.max(x.abs()));
            }
        }
        f64::from(loudest)
    }

    #[test]
    fn a_string_answers_its_own_pitch_and_its_partials_and_hardly_anything_else() {
        // 0.13 s after the tone has ended: 6 dB less than while it lasted.
        let own = answer_to(110.0);
        assert!((0.4 * LEVEL..0.6 * LEVEL).contains(&own), "{own}");
        let octave = answer_to(220.0);
        assert!((0.25 * LEVEL..0.6 * LEVEL).contains(&octave), "{octave}");
        assert!(answer_to(116.54) < 0.1 * LEVEL);
    }
}
