//! The bank: every note that a tune needs, computed once and shared from then on. It can be
//! filled on any thread, little by little and cancelled in between; whoever plays takes what is
//! there. Never computes anything while sound is running.

use super::pluck::LONGEST_S;
use super::pluck::NoteSpec;
use super::pluck::Stroke;
use super::pluck::VARIANTS;
use super::pluck::render_note;
use crate::score::Performance;
use crate::score::Stringing;
use crate::score::TimedNote;
use crate::theory::TICKS_PER_BEAT;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Strengths are rounded to a multiple of this, so that few notes serve many.
const STRENGTH_STEP: u8 = 12;

/// How much of a note is kept. One that is soon damped needs only its beginning, with room for the
/// damping after it: nothing of it is heard any more where it is cut off.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Kept {
    /// A second, of a note that is held for 0.6 s at most: a beat at 100 to the minute.
    Short,
    /// One and a half, of a note that is held for 1.1 s at most.
    Brief,
    /// As long as it can be heard.
    Whole,
}

impl Kept {
    /// What is needed of a note that is held for so many seconds.
    #[must_use]
    pub fn of(held_s: f64) -> Self {
        if held_s <= 0.6 {
            Self::Short
        } else if held_s <= 1.1 {
            Self::Brief
        } else {
            Self::Whole
        }
    }

    /// At most so many seconds.
    #[must_use]
    pub const fn longest_s(self) -> f64 {
        match self {
            Self::Short => 1.0,
            Self::Brief => 1.5,
            Self::Whole => LONGEST_S,
        }
    }
}

/// A note of the bank: string, pitch, what strikes it and how.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct NoteKey {
    /// MIDI key of the open string.
    pub open: u8,
    /// MIDI key that sounds.
    pub pitch: u8,
    /// What strikes it.
    pub stroke: Stroke,
    /// How hard, rounded; decides brightness, not loudness.
    pub strength: u8,
    /// Which of several strokes that are not quite alike.
    pub variant: u8,
    /// How much of it is kept.
    pub kept: Kept,
}

impl NoteKey {
    /// The bank's note for a note of a performance.
    #[must_use]
    pub fn of(note: &TimedNote, performance: &Performance) -> Self {
        let pitch = note.pitch.number();
        let open = performance.open.get(note.string.idx());
        Self {
            open: open.map_or(pitch, |open| open.number()),
            pitch,
            stroke: if note.muted {
                Stroke::Muted
            } else if note.by_thumb {
                Stroke::Thumb
            } else {
                Stroke::Finger
            },
            strength: (note.velocity.min(127) + STRENGTH_STEP / 2) / STRENGTH_STEP * STRENGTH_STEP,
            variant: variant_of(note),
            kept: Kept::of(note.end_s - note.start_s),
        }
    }
}

/// Goes round with every eighth and every bar, so that a note struck again does not sound
/// stamped. It follows from the place alone: an edit elsewhere in the bar changes no sound here.
fn variant_of(note: &TimedNote) -> u8 {
    let eighths = note.place.at.0 / (TICKS_PER_BEAT / 2);
    let turn = (note.played_bar + eighths as usize) % usize::from(VARIANTS);
    turn as u8
}

/// Notes ready to be played at one sample rate on one kind of strings. Cloning is cheap: the
/// samples are shared.
#[derive(Clone, Debug)]
pub struct Bank {
    sample_rate: u32,
    stringing: Stringing,
    notes: BTreeMap<NoteKey, Arc<[f32]>>,
    /// The turn in which a note was last needed, as [`trim`](Self::trim) counts them.
    needed: BTreeMap<NoteKey, u64>,
    turn: u64,
}

impl Bank {
    /// An empty bank.
    #[must_use]
    pub const fn new(sample_rate: u32, stringing: Stringing) -> Self {
        Self {
            sample_rate,
            stringing,
            notes: BTreeMap::new(),
            needed: BTreeMap::new(),
            turn: 0,
        }
    }

    /// Frames per second.
    #[must_use]
    pub const fn sample_rate(&self) -> u32 {
        self.sample_rate
    }

    /// What its strings are made of. A performance on other strings needs another bank.
    #[must_use]
    pub const fn stringing(&self) -> Stringing {
        self.stringing
    }

    /// How many notes are ready.
    #[must_use]
    pub fn len(&self) -> usize {
        self.notes.len()
    }

    /// Whether no note is ready.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.notes.is_empty()
    }

    /// The samples of a note, if they are ready.
    #[must_use]
    pub fn note(&self, key: NoteKey) -> Option<&Arc<[f32]>> {
        self.notes.get(&key)
    }

    /// Notes that a performance needs and the bank has not yet, in a fixed order.
    #[must_use]
    pub fn missing(&self, performance: &Performance) -> Vec<NoteKey> {
        let needed: BTreeSet<NoteKey> = (performance.notes.iter())
            .map(|note| NoteKey::of(note, performance))
            .collect();
        (needed.into_iter())
            .filter(|key| !self.notes.contains_key(key))
            .collect()
    }

    /// The same in the order in which they are needed when playing begins at a moment, each with
    /// the seconds until then; what lies before that moment comes last, as if it were come back to.
    #[must_use]
    pub fn missing_from(&self, performance: &Performance, from_s: f64) -> Vec<(NoteKey, f64)> {
        let mut due: BTreeMap<NoteKey, f64> = BTreeMap::new();
        for note in &performance.notes {
            let after = note.start_s - from_s;
            let after = if after < 0.0 {
                after + performance.total_s
            } else {
                after
            };
            let first = due.entry(NoteKey::of(note, performance)).or_insert(after);
            *first = first.min(after);
        }
        due.retain(|key, _| !self.notes.contains_key(key));
        let mut due: Vec<(NoteKey, f64)> = due.into_iter().collect();
        due.sort_by(|a, b| a.1.total_cmp(&b.1));
        due
    }

    /// Computes one note (some milliseconds) without adding it: for filling a bank from another
    /// thread, see [`insert`](Self::insert).
    #[must_use]
    pub fn compute(&self, key: NoteKey) -> Arc<[f32]> {
        let samples = render_note(&NoteSpec {
            sample_rate: self.sample_rate,
            pitch: key.pitch,
            open: key.open,
            stringing: self.stringing,
            stroke: key.stroke,
            strength: key.strength,
            variant: key.variant,
            longest_s: key.kept.longest_s(),
        });
        samples.into()
    }

    /// Adds a computed note.
    pub fn insert(&mut self, key: NoteKey, samples: Arc<[f32]>) {
        self.notes.insert(key, samples);
    }

    /// Computes everything a performance needs. After each note `go_on(done, of_all)` is asked;
    /// `false` stops, and what is done stays. Returns whether the bank is complete for it.
    pub fn prepare(
        &mut self,
        performance: &Performance,
        go_on: &mut dyn FnMut(usize, usize) -> bool,
    ) -> bool {
        let missing = self.missing(performance);
        for (done, key) in missing.iter().enumerate() {
            let samples = self.compute(*key);
            self.insert(*key, samples);
            if !go_on(done + 1, missing.len()) {
                return done + 1 == missing.len();
            }
        }
        true
    }

    /// Gives memory back where more than so many bytes are held: forgets notes that this
    /// performance does not need, those first that were needed longest ago, until the rest fits.
    /// What the performance needs always stays.
    pub fn trim(&mut self, performance: &Performance, most_bytes: usize) {
        self.turn += 1;
        for note in &performance.notes {
            let key = NoteKey::of(note, performance);
            if self.notes.contains_key(&key) {
                self.needed.insert(key, self.turn);
            }
        }
        let mut held = self.bytes();
        if held <= most_bytes {
            return;
        }
        let last_needed = |key: &NoteKey| self.needed.get(key).copied().unwrap_or(0);
        let mut idle: Vec<(u64, NoteKey)> = (self.notes.keys())
            .map(|key| (last_needed(key), *key))
            .filter(|(turn, _)| *turn < self.turn)
            .collect();
        idle.sort_unstable();
        for (_, key) in idle {
            if held <= most_bytes {
                break;
            }
            self.needed.remove(&key);
            let forgotten = self.notes.remove(&key);
            held -= forgotten.map_or(0, |samples| size_of_val::<[f32]>(&samples));
        }
    }

    /// The same before what a performance needs is computed, so that there is room for it, too.
    pub fn make_room(&mut self, performance: &Performance, most_bytes: usize) {
        let frames = |key: &NoteKey| key.kept.longest_s() * f64::from(self.sample_rate);
        let missing = self.missing(performance);
        let frames: f64 = missing.iter().map(frames).sum();
        let needed = frames as usize * size_of::<f32>();
        self.trim(performance, most_bytes.saturating_sub(needed));
    }

    /// Bytes of samples held.
    #[must_use]
    pub fn bytes(&self) -> usize {
        self.notes.values().map(|n| size_of_val::<[f32]>(n)).sum()
    }
}
