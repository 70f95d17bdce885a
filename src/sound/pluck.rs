//! One plucked note from beginning to end: the finger's push, two planes of vibration, the box.
//! Every note is computed from its numbers alone, so the same note is always the same samples.
//! Never plays anything: it fills a buffer that the bank keeps.

use super::body::Body;
use super::string_loop::Decay;
use super::string_loop::LoopDesign;
use super::string_loop::StringLoop;
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
}

/// The longest note kept, in seconds; it fades out over its last part if it still rings.
pub const LONGEST_S: f64 = 6.0;

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

/// Decay of open strings by MIDI key: fundamental, high partials (seconds). Nylon as heard with
/// the body's losses: treble 2 to 5 s, bass 4 to 8 s (from memory); steel about 1.5 times as long
/// and brighter. High partials are prescribed at [`HIGH_HZ`].
const NYLON: [(u8, f64, f64); 6] = [
    (40, 6.5, 0.80),
    (45, 6.0, 0.75),
    (50, 5.2, 0.70),
    (55, 3.8, 0.38),
    (59, 3.4, 0.38),
    (64, 3.0, 0.38),
];
const STEEL: [(u8, f64, f64); 6] = [
    (40, 7.5, 1.20),
    (45, 7.0, 1.15),
    (50, 6.4, 1.10),
    (55, 5.6, 1.00),
    (59, 5.0, 0.95),
    (64, 4.4, 0.90),
];
const HIGH_HZ: f64 = 4000.0;

/// A fretted string dies faster than an open one: per fret, this part of the decay is left.
const DECAY_PER_FRET: f64 = 0.97;

/// A note as mono samples, starting with the strike.
#[must_use]
pub fn render_note(spec: &NoteSpec) -> Vec<f32> {
    let rate = f64::from(spec.sample_rate.max(1));
    let f0_hz = 440.0 * 2f64.powf((f64::from(spec.pitch) - 69.0) / 12.0);
    let decay = decay_of(spec);
    let touch = Touch::of(spec, f0_hz);
    let push = touch.push(rate, rate / f0_hz, seed_of(spec));
    let longest = (LONGEST_S.min(1.15 * decay.t60_s) * rate) as usize;
    let mut notes = vibrate(rate, f0_hz, decay, &push, longest.max(1));
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
fn vibrate(rate: f64, f0_hz: f64, decay: Decay, push: &[f64], frames: usize) -> Vec<f64> {
    let plane = |cents: f64, factor: f64| {
        let decay = Decay {
            t60_s: decay.t60_s * factor,
            ..decay
        };
        let f0_hz = f0_hz * 2f64.powf(cents / 1200.0);
        StringLoop::new(LoopDesign::new(rate, f0_hz, decay))
    };
    let mut across = plane(-0.1, 0.7);
    let mut along = plane(0.3, 1.1);
    let mut body = Body::new(rate);
    let mut pushes = push.iter();
    (0..frames)
        .map(|_| {
            let x = pushes.next().copied().unwrap_or(0.0);
            let bridge = 0.7 * across.step(x) + 0.3 * along.step(x);
            body.step(bridge)
        })
        .collect()
}

fn decay_of(spec: &NoteSpec) -> Decay {
    let table = match spec.stringing {
        Stringing::Nylon => &NYLON,
        Stringing::Steel => &STEEL,
    };
    let (t60_s, high_t60_s) = between(table, spec.open);
    let frets = i32::from(spec.pitch.saturating_sub(spec.open));
    let left = DECAY_PER_FRET.powi(frets);
    let muted = spec.stroke == Stroke::Muted;
    Decay {
        t60_s: if muted { 0.11 } else { t60_s * left },
        high_t60_s: if muted { 0.02 } else { high_t60_s * left },
        high_hz: HIGH_HZ,
    }
}

/// Straight lines between the rows of a table, level outside it.
fn between(table: &[(u8, f64, f64); 6], open: u8) -> (f64, f64) {
    let x = f64::from(open);
    let (mut t60_s, mut high_t60_s) = table.first().map_or((1.0, 0.5), |row| (row.1, row.2));
    for (low, high) in table.iter().zip(table.iter().skip(1)) {
        let (from, to) = (f64::from(low.0), f64::from(high.0));
        let part = ((x - from) / (to - from)).clamp(0.0, 1.0);
        if x >= from {
            t60_s = low.1 + part * (high.1 - low.1);
            high_t60_s = low.2 + part * (high.2 - low.2);
        }
    }
    (t60_s, high_t60_s)
}

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
}

impl Touch {
    fn of(spec: &NoteSpec, f0_hz: f64) -> Self {
        let bright = match spec.stringing {
            Stringing::Nylon => 1.0,
            Stringing::Steel => 1.35,
        };
        let (place, soft_hz, brush) = match spec.stroke {
            Stroke::Thumb => (0.235, 1050.0, 0.03),
            Stroke::Finger => (0.185, 1900.0, 0.04),
            Stroke::Muted => (0.235, 900.0, 0.25),
        };
        // The finger stays where it is while the left hand shortens the string.
        let shortening = f64::from(spec.pitch.saturating_sub(spec.open)) / 12.0;
        Self {
            place: (place * 2f64.powf(shortening)).min(0.45),
            soft_hz: bright * soft_hz + 1.2 * f0_hz,
            slope_hz: 1.2 * f0_hz,
            brush,
        }
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
    let stroke = spec.stroke as u32;
    0x9E37_79B9 ^ (u32::from(spec.pitch) << 16 | u32::from(spec.open) << 8 | (stroke + 1))
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
