//! The timeline: a performance as frames of one sample rate, with the samples of every note at
//! hand and a tick on every beat. Built on the caller's thread, then handed whole to the
//! renderer, which only reads it.

use super::bank::Bank;
use super::bank::NoteKey;
use super::sympathy;
use crate::score::Performance;
use crate::score::TimedNote;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Rows that can be turned down one by one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Row {
    /// The melody.
    Tune,
    /// The plucked chord.
    Fingers,
    /// The bass.
    Thumb,
}

impl Row {
    /// All rows, in the order of their numbers.
    pub const ALL: [Self; 3] = [Self::Tune, Self::Fingers, Self::Thumb];

    fn of(note: &TimedNote) -> Self {
        match note.lane.word() {
            "tune" => Self::Tune,
            "thumb" => Self::Thumb,
            _ => Self::Fingers,
        }
    }
}

/// Seconds for a damped note to fall by 60 dB: a stab under the lifted hand, a bass or held note
/// that is let go, and a thump (fingers stop a string within 0.06 to 0.12 s).
const SHORT_T60_S: f64 = 0.08;
const LET_GO_T60_S: f64 = 0.16;

/// How long a slide takes at most, in seconds, and how much of its note it may take.
const SLIDE_S: f64 = 0.085;
const SLIDE_PART: f64 = 0.5;

/// Width of the strings in the stereo picture: 0 is mono, 1 would be hard left to hard right.
const WIDTH: f64 = 0.22;

/// How long a note that slides takes to arrive, in seconds.
#[must_use]
pub fn glide_s(note: &TimedNote) -> f64 {
    SLIDE_S.min(SLIDE_PART * (note.end_s - note.start_s))
}

/// A note in frames.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Event {
    /// When it is struck.
    pub frame: u64,
    /// Frames until it is damped.
    pub length: u64,
    /// Index into the timeline's samples.
    pub sample: usize,
    /// String from the lowest-pitched, 0.
    pub string: u8,
    /// Its row; `None` if it is heard however the rows are set.
    pub row: Option<Row>,
    /// Levels left and right.
    pub gains: [f32; 2],
    /// Factor per frame once it is damped.
    pub damping: f32,
    /// Playing speed at the start of a slide; 1 for none.
    pub slide_from: f64,
    /// Frames a slide takes; 0 for none.
    pub slide_frames: u32,
}

/// A beat, for the click.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Beat {
    /// When.
    pub frame: u64,
    /// Whether it begins a bar.
    pub first: bool,
}

/// Everything the renderer plays.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Timeline {
    pub(super) events: Vec<Event>,
    pub(super) beats: Vec<Beat>,
    /// Frames of the slots of the grid.
    slots: Vec<u64>,
    pub(super) samples: Vec<Arc<[f32]>>,
    pub(super) tuning: sympathy::Tuning,
    total: u64,
    sample_rate: u32,
    missing: usize,
}

impl Timeline {
    /// A timeline of a performance with the notes the bank has. Notes it lacks are left out and
    /// counted in [`missing`](Self::missing).
    #[must_use]
    pub fn new(performance: &Performance, bank: &Bank) -> Self {
        let mut timeline = Self {
            sample_rate: bank.sample_rate(),
            tuning: sympathy::tuning(&performance.open, performance.capo, bank.sample_rate()),
            total: frame_of(performance.total_s, bank.sample_rate()),
            ..Self::default()
        };
        let mut index_of: BTreeMap<NoteKey, usize> = BTreeMap::new();
        for note in &performance.notes {
            let key = NoteKey::of(note, performance);
            let Some(samples) = bank.note(key) else {
                timeline.missing += 1;
                continue;
            };
            let sample = *index_of.entry(key).or_insert_with(|| {
                timeline.samples.push(samples.clone());
                timeline.samples.len() - 1
            });
            timeline.push_event(note, sample, performance.open.len());
        }
        timeline.events.sort_by_key(|event| event.frame);
        let slot = (TICKS_PER_BEAT / performance.clock.divisions.max(1)).max(1);
        for bar in &performance.bars {
            let (from, to) = (bar.phase.0, bar.phase.0.saturating_add(bar.length.0));
            let ticks = (from.next_multiple_of(slot)..to).step_by(slot as usize);
            let moment = |tick: u32| bar.second_of(Ticks(tick - from), &performance.clock);
            let frames = ticks.map(|tick| frame_of(moment(tick), bank.sample_rate()));
            timeline.slots.extend(frames);
            for (beat_idx, beat_s) in bar.beats_s.iter().enumerate() {
                timeline.beats.push(Beat {
                    frame: frame_of(*beat_s, timeline.sample_rate),
                    first: beat_idx == 0 && bar.phase.0 == 0,
                });
            }
        }
        timeline.slots.push(timeline.total);
        timeline
    }

    /// Lets every note be heard, however the rows are set: for a grip or a bar that is tried by
    /// ear while the tune plays without one of its lanes.
    pub fn hear_every_row(&mut self) {
        for event in &mut self.events {
            event.row = None;
        }
    }

    fn push_event(&mut self, note: &TimedNote, sample: usize, n_strings: usize) {
        let rate = self.sample_rate;
        let frame = frame_of(note.start_s, rate);
        let length = frame_of(note.end_s, rate).saturating_sub(frame);
        let t60_s = if note.muted || note.articulation.word() == "short" {
            SHORT_T60_S
        } else {
            LET_GO_T60_S
        };
        let slide_s = glide_s(note);
        let slides = note.slide_semitones != 0 && !note.muted;
        let level = (f64::from(note.velocity.min(127)) / 127.0).powf(1.5);
        self.events.push(Event {
            frame,
            length,
            sample,
            string: note.string.0,
            row: Some(Row::of(note)),
            gains: stereo(level, note.string.idx(), n_strings),
            damping: 10f64.powf(-3.0 / (t60_s * f64::from(rate.max(1)))) as f32,
            slide_from: if slides {
                2f64.powf(-f64::from(note.slide_semitones) / 12.0)
            } else {
                1.0
            },
            slide_frames: if slides {
                (slide_s * f64::from(rate)) as u32
            } else {
                0
            },
        });
    }

    /// Frames from the beginning to the end of the last bar.
    #[must_use]
    pub const fn total(&self) -> u64 {
        self.total
    }

    /// The first slot of the grid at or after a frame, or that frame if there is none.
    #[must_use]
    pub fn slot_from(&self, frame: u64) -> u64 {
        let next = self.slots.partition_point(|slot| *slot < frame);
        self.slots.get(next).copied().unwrap_or(frame)
    }

    /// Frames per second.
    #[must_use]
    pub const fn sample_rate(&self) -> u32 {
        self.sample_rate
    }

    /// Notes left out because the bank did not have them yet.
    #[must_use]
    pub const fn missing(&self) -> usize {
        self.missing
    }

    /// The frame nearest to a moment.
    #[must_use]
    pub fn frame_at(&self, seconds: f64) -> u64 {
        frame_of(seconds, self.sample_rate)
    }
}

fn frame_of(seconds: f64, sample_rate: u32) -> u64 {
    (seconds.max(0.0) * f64::from(sample_rate)).round() as u64
}

/// Equal-power places of the strings, bass a little to the left as it lies under the player's eye.
fn stereo(level: f64, string: usize, n_strings: usize) -> [f32; 2] {
    let across = string as f64 / n_strings.saturating_sub(1).max(1) as f64;
    let angle = std::f64::consts::FRAC_PI_4 * (1.0 + WIDTH * (2.0 * across.min(1.0) - 1.0));
    let unity = std::f64::consts::SQRT_2 * level;
    [(unity * angle.cos()) as f32, (unity * angle.sin()) as f32]
}
