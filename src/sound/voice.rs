//! One sounding note inside the renderer: where it reads, how loud, when it is damped. Counts in
//! frames and carries its own state from frame to frame, so it does not matter in how many pieces
//! it is asked for. Owns no samples.

use super::timeline::Event;

/// The most frames that are rendered in one piece inside the renderer.
pub const SPAN: usize = 64;

/// Levels of the three rows, frame by frame.
pub type RowGains = [[f32; SPAN]; 3];

/// Whose samples a voice reads.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Home {
    /// The timeline in force.
    Current,
    /// One of those before it, until its notes have faded.
    Leaving(usize),
}

/// One sounding note.
#[derive(Clone, Copy, Debug)]
pub struct Voice {
    /// Whether it sounds at all.
    pub on: bool,
    /// Whose samples it reads.
    pub home: Home,
    /// Which of them.
    pub sample: usize,
    /// Its string.
    pub string: u8,
    row: Option<usize>,
    gains: [f32; 2],
    at: f64,
    left: u64,
    envelope: f32,
    damping: f32,
    fade: f32,
    fade_step: f32,
    /// Frames until the fade begins; what comes in is silent until then.
    wait: u32,
    slide_from: f64,
    slide_frames: u32,
    slid: u32,
}

impl Voice {
    /// A place for a note.
    pub const IDLE: Self = Self {
        on: false,
        home: Home::Current,
        sample: 0,
        string: 0,
        row: None,
        gains: [0.0; 2],
        at: 0.0,
        left: 0,
        envelope: 0.0,
        damping: 0.0,
        fade: 0.0,
        fade_step: 0.0,
        wait: 0,
        slide_from: 1.0,
        slide_frames: 0,
        slid: 0,
    };

    /// A note that is struck now.
    #[must_use]
    pub fn struck(event: &Event) -> Self {
        Self {
            on: true,
            home: Home::Current,
            sample: event.sample,
            string: event.string,
            row: event.row.map(|row| row as usize),
            gains: event.gains,
            at: 0.0,
            left: event.length,
            envelope: 1.0,
            damping: event.damping,
            fade: 1.0,
            fade_step: 0.0,
            wait: 0,
            slide_from: event.slide_from,
            slide_frames: event.slide_frames,
            slid: 0,
        }
    }

    /// A note that was struck `ago` frames before, is not heard for `wait` frames more, and comes in
    /// over `fade` frames.
    #[must_use]
    pub fn joined(event: &Event, ago: u64, wait: u32, fade: u32) -> Self {
        // A slide lags behind by half of its length times the change of speed.
        let lag = 0.5 * f64::from(event.slide_frames) * (1.0 - event.slide_from);
        Self {
            at: (ago as f64 - lag).max(0.0),
            left: event.length.saturating_sub(ago),
            fade: 0.0,
            fade_step: 1.0 / fade.max(1) as f32,
            wait,
            slid: event.slide_frames,
            ..Self::struck(event)
        }
    }

    /// The same string still sounding under a new timeline: only its end is decided anew. If it was
    /// to go it stays.
    pub fn carry_over(&mut self, event: &Event, ago: u64) {
        if self.fade_step < 0.0 {
            self.fade_step = 0.0;
            self.wait = 0;
        }
        self.move_home(event.sample);
        self.left = event.length.saturating_sub(ago);
        self.damping = event.damping;
    }

    /// The same samples in the timeline now in force.
    pub const fn move_home(&mut self, sample: usize) {
        self.home = Home::Current;
        self.sample = sample;
    }

    /// Fades it out over so many frames, unless it is fading faster already.
    pub fn fade_out(&mut self, frames: u32) {
        let step = -1.0 / frames.max(1) as f32;
        if self.fade_step >= 0.0 || self.wait > 0 || step < self.fade_step {
            self.fade_step = step;
        }
        self.wait = 0;
    }

    /// The same, but not before `wait` frames have gone; what is fading already goes on doing so.
    pub fn fade_out_after(&mut self, wait: u32, frames: u32) {
        let is_fading = self.fade_step < 0.0 && self.wait == 0;
        if !is_fading {
            self.fade_out(frames);
            self.wait = wait;
        }
    }

    /// Begins what it waits for.
    pub const fn hurry(&mut self) {
        self.wait = 0;
    }

    /// Whether it is neither damped nor fading out.
    #[must_use]
    pub fn is_held(&self) -> bool {
        self.on && self.left > 0 && (self.fade_step >= 0.0 || self.wait > 0)
    }

    /// How loud it is apart from its own decay, for choosing which one to give up.
    #[must_use]
    pub fn weight(&self) -> f32 {
        self.envelope * self.fade
    }

    /// Adds its sound to interleaved stereo `out`, at most [`SPAN`] frames.
    pub fn add(&mut self, samples: &[f32], rows: &RowGains, out: &mut [f32]) {
        let row = self.row.map_or(Some(&[1.0; SPAN]), |row| rows.get(row));
        let Some(row) = row else {
            return;
        };
        for (frame, row_gain) in out.chunks_exact_mut(2).zip(row) {
            if !self.on {
                return;
            }
            let level = self.envelope * self.fade * row_gain;
            let x = self.read(samples) * level;
            if let [left, right] = frame {
                *left += x * self.gains[0];
                *right += x * self.gains[1];
            }
            self.advance(samples.len());
        }
    }

    fn read(&self, samples: &[f32]) -> f32 {
        let whole = self.at as usize;
        let part = (self.at - whole as f64) as f32;
        let near = |i: usize| samples.get(i).copied().unwrap_or(0.0);
        let b = near(whole);
        if part == 0.0 {
            return b;
        }
        // Cubic through four neighbours (Hermite form), smooth enough for a slide's length.
        let a = whole.checked_sub(1).map_or(0.0, near);
        let (c, d) = (near(whole + 1), near(whole + 2));
        let c1 = 0.5 * (c - a);
        let c2 = a - 2.5 * b + 2.0 * c - 0.5 * d;
        let c3 = 0.5 * (d - a) + 1.5 * (b - c);
        ((c3 * part + c2) * part + c1) * part + b
    }

    fn advance(&mut self, n_samples: usize) {
        if self.slid < self.slide_frames {
            let u = f64::from(self.slid) / f64::from(self.slide_frames);
            let arrived = glided(u);
            self.at += self.slide_from + (1.0 - self.slide_from) * arrived;
            self.slid += 1;
        } else {
            self.at += 1.0;
        }
        if self.left > 0 {
            self.left -= 1;
        } else {
            self.envelope *= self.damping;
        }
        if self.wait > 0 {
            self.wait -= 1;
        } else {
            self.fade = (self.fade + self.fade_step).min(1.0);
            if self.fade >= 1.0 {
                self.fade_step = self.fade_step.min(0.0);
            }
        }
        self.on = (self.fade > 0.0 || self.fade_step > 0.0 || self.wait > 0)
            && self.envelope > 1e-5
            && self.at < n_samples as f64;
    }
}

/// The part of the way that a slide has gone when `u` of its time is over, both 0 to 1: it starts
/// and arrives softly.
#[must_use]
pub fn glided(u: f64) -> f64 {
    u * u * (3.0 - 2.0 * u)
}
