//! A little room around the guitar: four delay lines feeding each other, quiet and short, so that
//! notes do not end in a vacuum. A feedback delay network with a Householder mix, as described by
//! Jot and Chaigne 1991 (from memory); sizes and level are our own choice.

/// Lengths of the lines in milliseconds, without common factors.
const LINES_MS: [f64; 4] = [23.7, 31.3, 37.9, 43.1];

/// Seconds for the room to fall by 60 dB.
const T60_S: f64 = 0.55;

/// How much of the guitar goes into the room.
const SEND: f32 = 0.11;

/// Loss of treble per pass: pole of a one-pole low-pass.
const DULL: f32 = 0.45;

/// Below this a line is at rest; keeps arithmetic out of the slow range of tiny numbers.
const REST: f32 = 1e-9;

#[derive(Clone, Debug)]
struct Line {
    buffer: Box<[f32]>,
    at: usize,
    gain: f32,
    dull: f32,
}

impl Line {
    fn new(sample_rate: f64, ms: f64) -> Self {
        let n = ((ms * 1e-3 * sample_rate) as usize).max(1);
        let passes_per_s = sample_rate / n as f64;
        Self {
            buffer: vec![0.0; n].into(),
            at: 0,
            gain: 10f64.powf(-3.0 / (T60_S * passes_per_s)) as f32,
            dull: 0.0,
        }
    }

    fn read(&mut self) -> f32 {
        let x = self.buffer.get(self.at).copied().unwrap_or(0.0);
        self.dull = DULL * self.dull + (1.0 - DULL) * x;
        self.gain * self.dull
    }

    fn write(&mut self, x: f32) {
        if let Some(place) = self.buffer.get_mut(self.at) {
            *place = if x.abs() < REST { 0.0 } else { x };
        }
        self.at = (self.at + 1) % self.buffer.len();
        if self.dull.abs() < REST {
            self.dull = 0.0;
        }
    }
}

/// The room.
#[derive(Clone, Debug)]
pub struct Room {
    lines: [Line; 4],
}

impl Room {
    /// A silent room.
    #[must_use]
    pub fn new(sample_rate: u32) -> Self {
        Self {
            lines: LINES_MS.map(|ms| Line::new(f64::from(sample_rate.max(1)), ms)),
        }
    }

    /// What the room answers to one frame.
    pub fn step(&mut self, left: f32, right: f32) -> [f32; 2] {
        let [a, b, c, d] = &mut self.lines;
        let out = [a.read(), b.read(), c.read(), d.read()];
        let half = 0.5 * (out[0] + out[1] + out[2] + out[3]);
        let (l, r) = (SEND * left, SEND * right);
        a.write(l + out[0] - half);
        b.write(r + out[1] - half);
        c.write(l + out[2] - half);
        d.write(r + out[3] - half);
        [out[0] + out[3], out[1] + out[2]]
    }
}
