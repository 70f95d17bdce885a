//! The click: a short wooden knock computed by us, a little higher on the first beat of a bar,
//! never louder than a guitar note. Knows nothing of when it is due.

use super::voice::SPAN;
use std::f64::consts::TAU;

/// Pitch of the knock on a first beat and on the others, hertz (own choice).
const FIRST_HZ: f64 = 1560.0;
const OTHER_HZ: f64 = 1170.0;

/// Its peak.
const LEVEL: f64 = 0.16;

/// Its length in seconds.
const LENGTH_S: f64 = 0.05;

/// Plays knocks.
#[derive(Clone, Debug)]
pub struct Click {
    knocks: [Box<[f32]>; 2],
    playing: Option<(usize, usize)>,
}

impl Click {
    /// Computes the two knocks for a sample rate.
    #[must_use]
    pub fn new(sample_rate: u32) -> Self {
        Self {
            knocks: [FIRST_HZ, OTHER_HZ].map(|hz| knock(hz, f64::from(sample_rate.max(1)))),
            playing: None,
        }
    }

    /// Begins a knock.
    pub fn strike(&mut self, first: bool) {
        self.playing = Some((usize::from(!first), 0));
    }

    /// Ends what is knocking. A knock is so short that it is left to itself when stopping.
    #[must_use]
    pub const fn is_silent(&self) -> bool {
        self.playing.is_none()
    }

    /// Adds its sound to interleaved stereo, at most [`SPAN`] frames.
    pub fn add(&mut self, out: &mut [f32]) {
        debug_assert!(out.len() <= 2 * SPAN);
        let Some((which, at)) = self.playing else {
            return;
        };
        let knock = self
            .knocks
            .get(which)
            .map_or(&[][..], |k| k.get(at..).unwrap_or(&[]));
        for (frame, x) in out.chunks_exact_mut(2).zip(knock) {
            frame.iter_mut().for_each(|side| *side += x);
        }
        let n = out.len() / 2;
        self.playing = (n < knock.len()).then_some((which, at + n));
    }
}

fn knock(hz: f64, rate: f64) -> Box<[f32]> {
    let frames = (LENGTH_S * rate) as usize;
    (0..frames)
        .map(|n| {
            let t = n as f64 / rate;
            let attack = (t / 0.0008).min(1.0);
            let decay = (-t / 0.009).exp() * (1.0 - t / LENGTH_S).max(0.0);
            let wave = (TAU * hz * t).sin() + 0.4 * (TAU * 2.63 * hz * t).sin();
            (LEVEL / 1.2 * attack * decay * wave) as f32
        })
        .collect()
}
