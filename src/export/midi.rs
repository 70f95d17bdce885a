//! The performance as a Standard MIDI File of format 1: a conductor track with tempo, metre, key
//! and a marker per section, then a track for each lane that plays. Times come from the one
//! performance that playback and audio files use, so repeats are unfolded and swing is in the
//! notes. Every string has a channel of its own, so that a slide bends no other string.
//!
//! Layout: "Standard MIDI Files 1.0", MIDI Manufacturers Association, 1996; pitch-bend
//! sensitivity by registered parameter 0, "MIDI 1.0 Detailed Specification", 4.2; programs 25 and
//! 26 (nylon and steel string guitar) by General MIDI 1.

use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::document::Document;
use crate::instrument::MAX_STRINGS;
use crate::score::Performance;
use crate::score::Stringing;
use crate::score::TimedNote;
use crate::score::perform;
use crate::score::time_signature;
use crate::sound::glide_s;
use crate::sound::glided;
use crate::theory::Mode;
use midly::Format;
use midly::Header;
use midly::MetaMessage;
use midly::MidiMessage;
use midly::PitchBend;
use midly::Smf;
use midly::Timing;
use midly::TrackEvent;
use midly::TrackEventKind;
use midly::num::u4;
use midly::num::u7;
use midly::num::u14;
use midly::num::u15;
use midly::num::u24;
use midly::num::u28;

/// Ticks of the file in a quarter note.
const TICKS_PER_QUARTER: u16 = 960;

/// The least semitones that a full bend reaches: what General MIDI begins with anyway.
const BEND_RANGE: u8 = 2;

/// Steps in which a slide arrives.
const BEND_STEPS: u32 = 12;

/// Velocity with which a string is let go (the value the specification gives if none is sensed).
const RELEASE: u8 = 64;

/// Why there is no MIDI file.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum MidiError {
    /// Longer than the counters of the format reach.
    #[error("the tune is too long for a MIDI file: export it with fewer repeats")]
    TooLong,
}

/// The arrangement as a MIDI file.
///
/// # Errors
/// If it is longer than the format can count.
pub fn write(document: &Document, arrangement: &Arrangement) -> Result<Vec<u8>, MidiError> {
    let performance = perform(document, arrangement, None);
    let scale = Scale::new(document, &performance);
    let title = document.title.trim();
    let credits = document.credits.trim();
    let sections = sections(document, &performance);
    let mut tracks = vec![conductor(
        document,
        &performance,
        &scale,
        (title, credits),
        &sections,
    )?];
    for lane in [Lane::Tune, Lane::Fingers, Lane::Thumb] {
        let notes = performance.notes.iter().filter(|note| note.lane == lane);
        let notes: Vec<&TimedNote> = notes.collect();
        if !notes.is_empty() {
            tracks.push(lane_track(lane, &notes, &performance, &scale)?);
        }
    }
    let timing = Timing::Metrical(u15::from(TICKS_PER_QUARTER));
    let smf = Smf {
        header: Header::new(Format::Parallel, timing),
        tracks,
    };
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes).map_err(|_| MidiError::TooLong)?;
    Ok(bytes)
}

/// From seconds to ticks of the file.
struct Scale {
    beat_s: f64,
    ticks_per_beat: u32,
    end: u64,
}

impl Scale {
    fn new(document: &Document, performance: &Performance) -> Self {
        let quarter = u32::from(TICKS_PER_QUARTER);
        let mut scale = Self {
            beat_s: performance.clock.beat_s,
            ticks_per_beat: if document.meter.is_compound() {
                quarter * 3 / 2
            } else {
                quarter
            },
            end: 0,
        };
        scale.end = scale.tick(performance.total_s);
        scale
    }

    fn tick(&self, seconds: f64) -> u64 {
        (seconds / self.beat_s * f64::from(self.ticks_per_beat)).round() as u64
    }

    /// Microseconds of a quarter note.
    fn tempo(&self) -> u32 {
        let quarter = f64::from(TICKS_PER_QUARTER) / f64::from(self.ticks_per_beat);
        (self.beat_s * quarter * 1e6).round() as u32
    }
}

/// Events of a track with the moments they come at.
#[derive(Default)]
struct Timed<'a>(Vec<(u64, Rank, TrackEventKind<'a>)>);

/// What comes first at one moment: strings are let go before they are struck again, and bent
/// before they are struck.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Rank {
    Off,
    SetUp,
    On,
    Glide,
}

impl<'a> Timed<'a> {
    fn meta(&mut self, at: u64, message: MetaMessage<'a>) {
        self.0
            .push((at, Rank::SetUp, TrackEventKind::Meta(message)));
    }

    fn midi(&mut self, at: u64, rank: Rank, channel: u8, message: MidiMessage) {
        let channel = u4::from_int_lossy(channel);
        let kind = TrackEventKind::Midi { channel, message };
        self.0.push((at, rank, kind));
    }

    fn controller(&mut self, channel: u8, controller: u8, value: u8) {
        let message = MidiMessage::Controller {
            controller: u7::from_int_lossy(controller),
            value: u7::from_int_lossy(value),
        };
        self.midi(0, Rank::SetUp, channel, message);
    }

    fn bend(&mut self, at: u64, rank: Rank, channel: u8, part: f64) {
        let value = (8192.0 + part * 8192.0).round().clamp(0.0, 16_383.0);
        let bend = PitchBend(u14::from_int_lossy(value as u16));
        self.midi(at, rank, channel, MidiMessage::PitchBend { bend });
    }

    /// The track with times between events instead of moments, and its end.
    fn finish(mut self, end: u64) -> Result<Vec<TrackEvent<'a>>, MidiError> {
        self.0.sort_by_key(|(at, rank, _)| (*at, *rank));
        let end = self.0.last().map_or(end, |(at, ..)| end.max(*at));
        let over = TrackEventKind::Meta(MetaMessage::EndOfTrack);
        self.0.push((end, Rank::Glide, over));
        let mut now = 0;
        let mut events = Vec::with_capacity(self.0.len());
        for (at, _, kind) in self.0 {
            let delta = u32::try_from(at - now).ok().and_then(u28::try_from);
            let delta = delta.ok_or(MidiError::TooLong)?;
            events.push(TrackEvent { delta, kind });
            now = at;
        }
        Ok(events)
    }
}

/// Names of the sections with the moments they begin at, as played.
fn sections(document: &Document, performance: &Performance) -> Vec<(f64, String)> {
    let named = performance.bars.iter().filter_map(|bar| {
        let (section, is_first) = document.section_of(bar.written_bar)?;
        let name = section.name.trim();
        (is_first && !name.is_empty()).then(|| (bar.start_s, name.to_owned()))
    });
    named.collect()
}

fn conductor<'a>(
    document: &Document,
    performance: &Performance,
    scale: &Scale,
    (title, credits): (&'a str, &'a str),
    sections: &'a [(f64, String)],
) -> Result<Vec<TrackEvent<'a>>, MidiError> {
    let mut track = Timed::default();
    if !title.is_empty() {
        track.meta(0, MetaMessage::TrackName(title.as_bytes()));
    }
    if !credits.is_empty() {
        track.meta(0, MetaMessage::Text(credits.as_bytes()));
    }
    let tempo = u24::from_int_lossy(scale.tempo());
    track.meta(0, MetaMessage::Tempo(tempo));
    // The format counts up to seven signs; keys beyond are written as their twins.
    let fifths = match document.key.fifths() {
        sharps @ 8.. => sharps - 12,
        flats @ ..=-8 => flats + 12,
        plain => plain,
    };
    let minor = document.key.mode == Mode::Minor;
    let fifths = i8::try_from(fifths).unwrap_or(0);
    track.meta(0, MetaMessage::KeySignature(fifths, minor));
    let mut metre = None;
    for bar in &performance.bars {
        // A length that no signature can say keeps the tune's.
        let own = time_signature::of(bar.length, document.meter);
        let now = own.or_else(|| time_signature::of(document.meter.bar(), document.meter));
        if metre != now {
            let (count, unit_log2) = now.unwrap_or((4, 2));
            let clocks = if document.meter.is_compound() { 36 } else { 24 };
            let message = MetaMessage::TimeSignature(count, unit_log2, clocks, 8);
            track.meta(scale.tick(bar.start_s), message);
            metre = now;
        }
    }
    for (start_s, name) in sections {
        track.meta(scale.tick(*start_s), MetaMessage::Marker(name.as_bytes()));
    }
    track.finish(scale.end)
}

/// The channel of a string: the player's first string has the first one. Never the tenth, which
/// General MIDI keeps for drums: there are at most eight strings.
fn channel(note: &TimedNote, performance: &Performance) -> u8 {
    let n_strings = performance.open.len().clamp(1, MAX_STRINGS);
    u8::try_from(n_strings.saturating_sub(1 + note.string.idx())).unwrap_or(0)
}

fn lane_track<'a>(
    lane: Lane,
    notes: &[&TimedNote],
    performance: &Performance,
    scale: &Scale,
) -> Result<Vec<TrackEvent<'a>>, MidiError> {
    let mut track = Timed::default();
    let name = match lane {
        Lane::Tune => "Tune",
        Lane::Fingers => "Fingers",
        Lane::Thumb => "Thumb",
    };
    track.meta(0, MetaMessage::TrackName(name.as_bytes()));
    let widest = performance
        .notes
        .iter()
        .map(|n| n.slide_semitones.unsigned_abs());
    let range = widest.max().unwrap_or(0).max(BEND_RANGE);
    let mut channels: Vec<u8> = notes.iter().map(|n| channel(n, performance)).collect();
    channels.sort_unstable();
    channels.dedup();
    for channel in channels {
        set_up(&mut track, channel, performance.stringing, range);
    }
    for note in notes {
        one_note(&mut track, note, channel(note, performance), scale, range);
    }
    track.finish(scale.end)
}

/// Program and range of the bend; then the parameter is left, so that a stray controller changes
/// nothing.
fn set_up(track: &mut Timed<'_>, channel: u8, stringing: Stringing, range: u8) {
    let program = u7::from_int_lossy(match stringing {
        Stringing::Nylon => 24,
        Stringing::Steel => 25,
    });
    let change = MidiMessage::ProgramChange { program };
    track.midi(0, Rank::SetUp, channel, change);
    for (controller, value) in [
        (101, 0),
        (100, 0),
        (6, range),
        (38, 0),
        (101, 127),
        (100, 127),
    ] {
        track.controller(channel, controller, value);
    }
}

fn one_note(track: &mut Timed<'_>, note: &TimedNote, channel: u8, scale: &Scale, range: u8) {
    let start = scale.tick(note.start_s);
    let end = scale.tick(note.end_s).max(start + 1);
    let key = u7::from_int_lossy(note.pitch.number());
    let velocity = |value: u8| u7::from_int_lossy(value);
    let on = MidiMessage::NoteOn {
        key,
        vel: velocity(note.velocity.max(1)),
    };
    let off = MidiMessage::NoteOff {
        key,
        vel: velocity(RELEASE),
    };
    if note.slide_semitones != 0 && !note.muted && end > start + 1 {
        let from = -f64::from(note.slide_semitones) / f64::from(range);
        track.bend(start, Rank::SetUp, channel, from);
        let glide = glide_s(note);
        // Back in the middle before the note ends, so that the next one on this string is in tune
        // in whichever track it stands.
        let arrives = scale.tick(note.start_s + glide).clamp(start + 1, end - 1);
        let mut last = start;
        for step in 1..=BEND_STEPS {
            let u = f64::from(step) / f64::from(BEND_STEPS);
            let at = start + (u * (arrives - start) as f64).round() as u64;
            if at > last {
                let left = if at == arrives { 0.0 } else { 1.0 - glided(u) };
                track.bend(at, Rank::Glide, channel, from * left);
                last = at;
            }
        }
    }
    track.midi(start, Rank::On, channel, on);
    track.midi(end, Rank::Off, channel, off);
}
