//! Timed events: the one mapping from the arrangement's ticks to seconds, shared by playback,
//! audio files, MIDI and the play-head. Swing moves only the off-beat eighth: at ratio r it lies
//! at r/(1+r) of the beat. Lay-back moves fingers and tune on the beat. Everything follows from the
//! document; no chance, no clock.

use super::feel::Clock;
use super::feel::bpm_at;
use super::feel::swing_ratio_at;
use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::arrange::PlayedNote;
use crate::arrange::PluckFinger;
use crate::document::Document;
use crate::instrument::Instrument;
use crate::instrument::StringIdx;
use crate::instrument::StringSet;
use crate::theory::Articulation;
use crate::theory::Meter;
use crate::theory::Midi;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use std::ops::Range;

/// How much of an eighth a short note sounds (own choice within the 40 to 55 % that players
/// give a stab; the damping that follows adds its own tail).
const SHORT_OF_EIGHTH: f64 = 0.48;

/// How much of its written length a thumb note sounds: 90 to 95 % makes the walk breathe
/// without gaps (own choice).
const THUMB_LEGATO: f64 = 0.93;

/// Seconds by which a place may lie before a column and still count as on it: rounding of
/// sums of beats.
const SLACK_S: f64 = 1e-6;

/// A note in seconds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TimedNote {
    /// Index into the notes of its chorus.
    pub note_idx: usize,
    /// The chorus it is played in, from 0; after the first they are the arrangement's further ones.
    pub chorus: usize,
    /// The written place.
    pub place: Place,
    /// Which of the performance's bars, counted from 0.
    pub played_bar: usize,
    /// Start in seconds from the beginning of the performance.
    pub start_s: f64,
    /// End of its sounding in seconds.
    pub end_s: f64,
    /// Which string it is played on.
    pub string: StringIdx,
    /// What sounds.
    pub pitch: Midi,
    /// Which row.
    pub lane: Lane,
    /// Ring or short.
    pub articulation: Articulation,
    /// Whether the right thumb strikes it.
    pub by_thumb: bool,
    /// A ghost note: a damped thump with hardly any pitch.
    pub muted: bool,
    /// Semitones below (negative: above) the pitch from which it slides; 0 is none.
    pub slide_semitones: i8,
    /// Strength, 0 to 127.
    pub velocity: u8,
}

/// What the strings are made of, as the sound needs to know it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Stringing {
    /// Nylon.
    #[default]
    Nylon,
    /// Steel.
    Steel,
}

/// A whole performance.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Performance {
    /// Notes by start.
    pub notes: Vec<TimedNote>,
    /// For every played bar: its written number, its start in seconds and its beats' starts.
    pub bars: Vec<PlayedBar>,
    /// End of the last bar in seconds.
    pub total_s: f64,
    /// The swing ratio in force, long to short.
    pub swing_ratio: f64,
    /// How time runs inside a bar.
    pub clock: Clock,
    /// What the strings are made of.
    pub stringing: Stringing,
    /// Open strings without the capo, lowest-pitched first.
    pub open: Vec<Midi>,
    /// The fret of the capo, which raises all of them; 0 is none.
    pub capo: u8,
}

/// One bar as it is played.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PlayedBar {
    /// Its number in written order, from 0.
    pub written_bar: usize,
    /// Start in seconds.
    pub start_s: f64,
    /// End in seconds.
    pub end_s: f64,
    /// Its written length.
    pub length: Ticks,
    /// Ticks of its first beat that are missing: a pick-up ends on a beat but may begin inside one.
    pub phase: Ticks,
    /// Starts of its beats in seconds.
    pub beats_s: Vec<f64>,
}

impl PlayedBar {
    /// Seconds from the beginning of the performance to a place in this bar.
    #[must_use]
    pub fn second_of(&self, at: Ticks, clock: &Clock) -> f64 {
        let from = clock.beats_from_ticks(self.phase.0);
        let to = clock.beats_from_ticks(self.phase.0.saturating_add(at.0));
        self.start_s + (to - from) * clock.beat_s
    }

    /// The same for a note of a lane, which lay-back may hold back.
    fn second_in(&self, lane: Lane, at: Ticks, clock: &Clock) -> f64 {
        let ticks = self.phase.0.saturating_add(at.0);
        self.second_of(at, clock) + clock.late_s(lane, ticks)
    }

    fn laid_out(
        written_bar: usize,
        start_s: f64,
        length: Ticks,
        phase: Ticks,
        clock: &Clock,
    ) -> Self {
        let mut bar = Self {
            written_bar,
            start_s,
            length,
            phase,
            ..Self::default()
        };
        bar.end_s = bar.second_of(length, clock);
        let end = phase.0 + length.0;
        let mut tick = phase.0.next_multiple_of(TICKS_PER_BEAT);
        while tick < end {
            bar.beats_s
                .push(bar.second_of(Ticks(tick - phase.0), clock));
            tick += TICKS_PER_BEAT;
        }
        bar
    }
}

/// Turns an arrangement with all its choruses into timed notes. `bars` limits it to a range of the
/// played order, which then begins at 0 seconds.
#[must_use]
pub fn perform(
    document: &Document,
    arrangement: &Arrangement,
    bars: Option<Range<usize>>,
) -> Performance {
    perform_at(document, arrangement, bars, 100)
}

/// The same at so many per cent of the document's tempo, for practising.
#[must_use]
pub fn perform_at(
    document: &Document,
    arrangement: &Arrangement,
    bars: Option<Range<usize>>,
    percent: u16,
) -> Performance {
    let clock = Clock::at(document, percent);
    let written = document.played_order();
    let choruses = std::iter::once(arrangement).chain(&arrangement.further);
    let order: Vec<(usize, &Arrangement, usize)> = choruses
        .enumerate()
        .flat_map(|(chorus, arranged)| written.iter().map(move |bar| (chorus, arranged, *bar)))
        .collect();
    let range = bars.unwrap_or(0..order.len());
    let end = range.end.min(order.len());
    let order = order.get(range.start.min(end)..end).unwrap_or_default();
    let mut performance = Performance {
        swing_ratio: swing_ratio_at(document.feel, bpm_at(document, percent), document.meter),
        ..Performance::silent(&document.instrument, clock)
    };
    let lengths: Vec<Ticks> = (document.bars())
        .map(|bar| bar.length_in(document.meter))
        .collect();
    let mut start_s = 0.0;
    for (played_bar, (chorus, arrangement, written)) in order.iter().copied().enumerate() {
        let length = lengths.get(written).copied().unwrap_or_default();
        let phase = pickup_phase(written, length, document.meter);
        let bar = PlayedBar::laid_out(written, start_s, length, phase, &clock);
        start_s = bar.end_s;
        let first = (arrangement.notes).partition_point(|n| n.place.bar < written);
        let notes = arrangement.notes_in_bar(written).enumerate();
        performance.notes.extend(notes.filter_map(|(i, note)| {
            let timed = timed_note(note, &bar, &clock, document.meter)?;
            Some(TimedNote {
                note_idx: first + i,
                chorus,
                played_bar,
                ..timed
            })
        }));
        performance.bars.push(bar);
    }
    performance.total_s = start_s;
    performance
        .notes
        .sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
    stop_at_next_note_of_string(&mut performance.notes, start_s);
    performance
}

impl Performance {
    /// No note yet, on an instrument, in a time.
    #[must_use]
    pub fn silent(instrument: &Instrument, clock: Clock) -> Self {
        Self {
            swing_ratio: 1.0,
            clock,
            stringing: match instrument.strings {
                StringSet::Nylon => Stringing::Nylon,
                StringSet::Steel => Stringing::Steel,
            },
            open: instrument.tuning.open().to_vec(),
            capo: instrument.capo,
            ..Self::default()
        }
    }

    /// The bar that is played at a moment, as an index into [`bars`](Self::bars).
    #[must_use]
    pub fn bar_at(&self, seconds: f64) -> Option<usize> {
        let after = self
            .bars
            .partition_point(|b| b.start_s <= seconds + SLACK_S);
        let bar_idx = after.checked_sub(1)?;
        (seconds < self.total_s).then_some(bar_idx)
    }

    /// The slot of the grid that is reached at a moment, and how far into its bar the play-head
    /// is: 0 to 1 in written time, so that it is over a column exactly when that column sounds.
    /// `None` before the beginning and from the end on.
    #[must_use]
    pub fn place_at(&self, seconds: f64) -> Option<(Place, f64)> {
        let bar = self.bars.get(self.bar_at(seconds)?)?;
        let from = self.clock.beats_from_ticks(bar.phase.0);
        let gone = (seconds - bar.start_s + SLACK_S).max(0.0) / self.clock.beat_s;
        let ticks = self.clock.ticks_from_beats(from + gone);
        let slot = TICKS_PER_BEAT / self.clock.divisions.max(1);
        let slot_start = (ticks / f64::from(slot)).floor() * f64::from(slot);
        let written = |t: f64| (t - f64::from(bar.phase.0)).clamp(0.0, f64::from(bar.length.0));
        let place = Place {
            bar: bar.written_bar,
            at: Ticks(written(slot_start) as u32),
        };
        Some((place, written(ticks) / f64::from(bar.length.0.max(1))))
    }

    /// Notes that sound at a moment, by start.
    pub fn sounding_at(&self, seconds: f64) -> impl Iterator<Item = &TimedNote> {
        let begun = self.notes.partition_point(|n| n.start_s <= seconds);
        (self.notes.iter().take(begun)).filter(move |n| seconds < n.end_s)
    }

    /// The moment in `other` that is the same musical place as `seconds` here: same bar of the
    /// played order, same written place in it. For keeping the place when tempo or feel change
    /// while playing. Past the end of `other`, its end.
    #[must_use]
    pub fn same_place_in(&self, other: &Self, seconds: f64) -> f64 {
        let Some(bar_idx) = self.bar_at(seconds) else {
            return other.total_s;
        };
        let (Some(here), Some(there)) = (self.bars.get(bar_idx), other.bars.get(bar_idx)) else {
            return other.total_s;
        };
        let from = self.clock.beats_from_ticks(here.phase.0);
        let gone = (seconds - here.start_s).max(0.0) / self.clock.beat_s;
        let ticks = self.clock.ticks_from_beats(from + gone) - f64::from(here.phase.0);
        let whole = Ticks(ticks.max(0.0) as u32);
        let (a, b) = (Ticks(whole.0), Ticks(whole.0.saturating_add(1)));
        let (a_s, b_s) = (
            there.second_of(a, &other.clock),
            there.second_of(b, &other.clock),
        );
        (a_s + (b_s - a_s) * (ticks - f64::from(whole.0)).clamp(0.0, 1.0)).min(there.end_s)
    }
}

/// A pick-up is the end of a bar: its missing part lies before it, so the off-beats stay where
/// they belong. Other short bars count from their start.
fn pickup_phase(written: usize, length: Ticks, meter: Meter) -> Ticks {
    let full = meter.bar().0;
    if written == 0 && length.0 < full {
        Ticks((full - length.0) % TICKS_PER_BEAT)
    } else {
        Ticks(0)
    }
}

fn timed_note(
    note: &PlayedNote,
    bar: &PlayedBar,
    clock: &Clock,
    meter: Meter,
) -> Option<TimedNote> {
    if note.thumb_move == Some(ThumbMove::Rest) {
        return None;
    }
    let muted = note.thumb_move == Some(ThumbMove::Ghost);
    let start_s = bar.second_in(note.lane, note.place.at, clock);
    let until = Ticks(note.place.at.0.saturating_add(note.length.0));
    let written_s = (bar.second_in(note.lane, until, clock) - start_s).max(0.01);
    let sounding_s = match (note.articulation, note.lane) {
        (Articulation::Short, _) => written_s.min(SHORT_OF_EIGHTH * clock.division_s()),
        _ if muted => written_s.min(SHORT_OF_EIGHTH * clock.division_s()),
        (Articulation::Ring, Lane::Thumb) => THUMB_LEGATO * written_s,
        (Articulation::Ring, _) => written_s,
    };
    let slide = note
        .slide_from
        .map_or(0, |from| i16::from(note.fret) - i16::from(from));
    Some(TimedNote {
        note_idx: 0,
        chorus: 0,
        place: note.place,
        played_bar: 0,
        start_s,
        end_s: start_s + sounding_s,
        string: note.string,
        pitch: note.pitch,
        lane: note.lane,
        articulation: note.articulation,
        by_thumb: note.pluck == PluckFinger::P,
        muted,
        slide_semitones: slide.clamp(-12, 12) as i8,
        velocity: velocity(
            note.lane,
            muted,
            Ticks(bar.phase.0 + note.place.at.0),
            meter,
        ),
    })
}

/// Strength by row and place (own choice, small on purpose): a walking bass leans on beats 2 and
/// 4 of four (common practice), stabs on the off-beat speak up, the tune stays on top, ghosts
/// are felt more than heard.
fn velocity(lane: Lane, muted: bool, at: Ticks, meter: Meter) -> u8 {
    if muted {
        return 54;
    }
    let on_beat = at.within_beat() == 0;
    let backbeat = on_beat && meter.beats() == 4 && at.beat_idx() % 2 == 1;
    match lane {
        Lane::Thumb if backbeat => 92,
        Lane::Thumb if on_beat => 87,
        Lane::Thumb => 80,
        Lane::Fingers if on_beat => 68,
        Lane::Fingers => 72,
        Lane::Tune if on_beat => 98,
        Lane::Tune => 94,
    }
}

/// One string sounds one note: whatever still rings ends where the next note on it begins, or the
/// tune ends. Expects the notes by start.
fn stop_at_next_note_of_string(notes: &mut [TimedNote], total_s: f64) {
    let mut next = [total_s; crate::instrument::MAX_STRINGS];
    for note in notes.iter_mut().rev() {
        if let Some(next_s) = next.get_mut(note.string.idx()) {
            note.end_s = note.end_s.min(*next_s).max(note.start_s);
            *next_s = note.start_s;
        }
    }
}

#[cfg(test)]
mod tests;
