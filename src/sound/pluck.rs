//! One plucked note from beginning to end: the finger's push, two planes of vibration, the box.
//! Every note is computed from its numbers alone, so the same note is always the same samples.
//! Never plays anything: it fills a buffer that the bank keeps.

use super::body::Body;
use super::string_loop::Decay;
use super::string_loop::LoopDesign;
use super::string_loop::StringLoop;
use super::string_set;
use crate::score::Stringing;

/// What strikes the string.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Stroke {
    /// The right thumb: rounder, further from the bridge.
    Thumb,
    /// A finger: clearer.
    Finger,
    /// A damped thump.
    Muted,
}

/// Everything that decides how a note sounds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct NoteSpec {
    /// Frames per second.
    pub sample_rate: u32,
    /// MIDI key of the note.
    pub pitch: u8,
    /// MIDI key of the open string it is played on.
    pub open: u8,
    /// What the string is made of.
    pub stringing: Stringing,
    /// What strikes it.
    pub stroke: Stroke,
    /// How hard, 0 to 127: harder is brighter. Loudness is for whoever plays the note.
    pub strength: u8,
    /// Which of [`VARIANTS`] strokes of the same kind: none falls on quite the same place.
    pub variant: u8,
    /// Seconds that are kept at most; it fades out over its last part if it still rings.
    pub longest_s: f64,
}

/// The longest note kept, in seconds.
pub const LONGEST_S: f64 = 6.0;

/// How many strokes of one kind differ.
pub const VARIANTS: u8 = 3;

/// Fade at the end of a note, in seconds.
const FADE_S: f64 = 0.25;

/// Below this part of its peak a note is over (−66 dB).
const SILENCE: f64 = 5e-4;

/// Loudness every note is brought to over its first [`LOUDNESS_S`]: players even out their
/// strings, and six notes at full strength must stay within reach of the limiter.
const LOUDNESS: f64 = 0.11;
const LOUDNESS_S: f64 = 0.3;

/// Basses need more than trebles to be heard alike: the thumb gets this much on top.
const THUMB_MORE: f64 = 1.4;

/// The same for a damped thump, which is over sooner.
const MUTED_LOUDNESS: f64 = 0.07;
const MUTED_S: f64 = 0.06;

/// A note as mono samples, starting with the strike.
#[must_use]
pub fn render_note(spec: &NoteSpec) -> Vec<f32> {
    let rate = f64::from(spec.sample_rate.max(1));
    let f0_hz = 440.0 * 2f64.powf((f64::from(spec.pitch) - 69.0) / 12.0);
    let decay = decay_of(spec);
    let touch = Touch::of(spec, f0_hz);
    let push = touch.push(rate, rate / f0_hz, seed_of(spec));
    let longest = (spec.longest_s.clamp(0.0, LONGEST_S).min(1.15 * decay.t60_s) * rate) as usize;
    let frets = spec.pitch.saturating_sub(spec.open);
    let b = string_set::inharmonicity(spec.stringing, spec.open, frets);
    let knock = touch.knock(rate, &push);
    let mut notes = vibrate(rate, (f0_hz, b), decay, (&push, &knock), longest.max(1));
    let (loudness, over_s) = match spec.stroke {
        Stroke::Muted => (MUTED_LOUDNESS, MUTED_S),
        Stroke::Thumb => (THUMB_MORE * LOUDNESS, LOUDNESS_S),
        Stroke::Finger => (LOUDNESS, LOUDNESS_S),
    };
    level(&mut notes, loudness, (over_s * rate) as usize);
    trim(&mut notes, rate);
    notes.iter().map(|x| *x as f32).collect()
}

/// Two planes of vibration: across the top, which the body drains faster, and along it, weaker,
/// longer, a trace sharper; together they give the quick bloom and slow tail of a real string.
fn vibrate(
    rate: f64,
    (f0_hz, b): (f64, f64),
    decay: Decay,
    (push, knock): (&[f64], &[f64]),
    frames: usize,
) -> Vec<f64> {
    let plane = |cents: f64, factor: f64| {
        let decay = Decay {
            t60_s: decay.t60_s * factor,
            ..decay
        };
        let f0_hz = f0_hz * 2f64.powf(cents / 1200.0);
        StringLoop::new(LoopDesign::new(rate, f0_hz, decay, b))
    };
    let mut across = plane(-0.1, 0.7);
    let mut along = plane(0.3, 1.1);
    let mut body = Body::new(rate);
    (0..frames)
        .map(|n| {
            let x = push.get(n).copied().unwrap_or(0.0);
            let bridge = 0.7 * across.step(x) + 0.3 * along.step(x);
            body.step(bridge, knock.get(n).copied().unwrap_or(0.0))
        })
        .collect()
}

fn decay_of(spec: &NoteSpec) -> Decay {
    let frets = spec.pitch.saturating_sub(spec.open);
    let decay = string_set::decay(spec.stringing, spec.open, frets);
    if spec.stroke == Stroke::Muted {
        return Decay {
            t60_s: 0.11,
            high_t60_s: 0.02,
            ..decay
        };
    }
    decay
}

/// The strength at which the corners below hold, and how much more of it doubles them: from
/// very soft to very loud a fingertip's corner rises by about two octaves (own choice).
const PLAIN_STRENGTH: f64 = 84.0;
const BRIGHTER_BY_OCTAVE: f64 = 42.0;

/// By how much of itself the place of the stroke differs between variants: 3 to 5 mm.
const SPREAD: f64 = 0.03;

/// How flesh meets string.
struct Touch {
    /// Part of the string between bridge and finger.
    place: f64,
    /// Corner of the soft fingertip's low-pass, hertz.
    soft_hz: f64,
    /// Corner below which the ideal pluck's 1/k slope begins, hertz.
    slope_hz: f64,
    /// Level of the skin's brush over the string.
    brush: f64,
    /// The jolt that the box gets beside the string's wave, as a part of the push.
    knock: f64,
}

/// How long the jolt lasts, in seconds.
const KNOCK_S: f64 = 0.006;

impl Touch {
    fn of(spec: &NoteSpec, f0_hz: f64) -> Self {
        let bright = match spec.stringing {
            Stringing::Nylon => 1.0,
            Stringing::Steel => 2.0,
        };
        let (place, soft_hz, brush, knock) = match spec.stroke {
            Stroke::Thumb => (0.235, 1050.0, 0.03, 0.35),
            Stroke::Finger => (0.185, 1900.0, 0.04, 0.25),
            Stroke::Muted => (0.235, 900.0, 0.25, 0.6),
        };
        // The finger stays where it is while the left hand shortens the string.
        let shortening = f64::from(spec.pitch.saturating_sub(spec.open)) / 12.0;
        let aside = SPREAD * (f64::from(spec.variant % VARIANTS) - 1.0);
        let harder = f64::from(spec.strength.min(127)) - PLAIN_STRENGTH;
        let bright = bright * 2f64.powf(harder / BRIGHTER_BY_OCTAVE) * (1.0 - aside);
        Self {
            place: (place * (1.0 + aside) * 2f64.powf(shortening)).min(0.45),
            soft_hz: bright * soft_hz + 1.2 * f0_hz,
            slope_hz: 1.2 * f0_hz,
            brush,
            knock,
        }
    }

    /// The jolt over time: half a sine wave.
    fn knock(&self, rate: f64, push: &[f64]) -> Vec<f64> {
        let frames = (KNOCK_S * rate).max(1.0);
        let peak = push.iter().fold(0.0, |most: f64, x| most.max(x.abs()));
        (0..frames as usize)
            .map(|n| self.knock * peak * (std::f64::consts::PI * n as f64 / frames).sin())
            .collect()
    }

    /// The push over time: an impulse and a breath of noise through the slope and the soft tip,
    /// then the same again, negative, when the wave comes back from the bridge: the comb that
    /// takes out the partials with a node under the finger.
    fn push(&self, rate: f64, period: f64, seed: u32) -> Vec<f64> {
        let comb = (self.place * period).max(1.0);
        let frames = (0.02 * rate + 4.0 * period) as usize;
        let keep = |hz: f64| (-std::f64::consts::TAU * hz / rate).exp();
        let (slope, soft) = (keep(self.slope_hz), keep(self.soft_hz));
        let mut noise = Noise(seed);
        let (mut a, mut b, mut c) = (0.0, 0.0, 0.0);
        let brush_frames = 0.006 * rate;
        let mut plain: Vec<f64> = Vec::with_capacity(frames);
        for n in 0..frames {
            let strike = if n == 0 { 1.0 } else { 0.0 };
            let left = (1.0 - n as f64 / brush_frames).max(0.0);
            let x = strike + self.brush * left * left * noise.next();
            a = slope * a + (1.0 - slope) * x;
            b = soft * b + (1.0 - soft) * a;
            c = soft * c + (1.0 - soft) * b;
            plain.push(c);
        }
        let whole = comb as usize;
        let part = comb - comb.floor();
        (0..frames)
            .map(|n| {
                let back = |k: usize| {
                    n.checked_sub(k)
                        .and_then(|i| plain.get(i))
                        .copied()
                        .unwrap_or(0.0)
                };
                let returned = (1.0 - part) * back(whole) + part * back(whole + 1);
                plain.get(n).copied().unwrap_or(0.0) - returned
            })
            .collect()
    }
}

/// Steady noise between −1 and 1 (xorshift, Marsaglia 2003).
struct Noise(u32);

impl Noise {
    fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        f64::from(self.0) / f64::from(u32::MAX) * 2.0 - 1.0
    }
}

fn seed_of(spec: &NoteSpec) -> u32 {
    let stroke = spec.stroke as u32 + 1 + 4 * u32::from(spec.variant % VARIANTS);
    0x9E37_79B9 ^ (u32::from(spec.pitch) << 16 | u32::from(spec.open) << 8 | stroke)
}

/// Brings the first frames of a note to a loudness.
fn level(note: &mut [f64], loudness: f64, frames: usize) {
    let heard = note.iter().take(frames);
    let n = heard.len().max(1) as f64;
    let rms = (heard.map(|x| x * x).sum::<f64>() / n).sqrt();
    if rms > 0.0 {
        note.iter_mut().for_each(|x| *x *= loudness / rms);
    }
}

/// Cuts the inaudible end off and fades what is left to exact silence.
fn trim(note: &mut Vec<f64>, rate: f64) {
    let peak = note.iter().fold(0.0, |most: f64, x| most.max(x.abs()));
    let last = note.iter().rposition(|x| x.abs() > SILENCE * peak);
    note.truncate(last.map_or(0, |i| i + 1));
    let fade = ((FADE_S * rate) as usize).min(note.len() / 2).max(1);
    let from = note.len().saturating_sub(fade);
    for (n, x) in note.iter_mut().skip(from).enumerate() {
        let left = 1.0 - (n + 1) as f64 / fade as f64;
        *x *= left * left * (3.0 - 2.0 * left);
    }
}
