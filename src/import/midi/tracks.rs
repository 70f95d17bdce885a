//! The events of a Standard MIDI File as notes with begin and end, and what it says about tempo,
//! metre, key and sections. Reads event by event, so that a large file takes little memory; damaged
//! tracks give what can be read of them.
//!
//! Layout: "Standard MIDI Files 1.0", MIDI Manufacturers Association, 1996.

use crate::import::notices::Notices;
use crate::import::score_file::ImportError;
use crate::import::score_file::one_line;
use crate::theory::Key;
use crate::theory::Midi;
use crate::theory::Mode;
use midly::EventIter;
use midly::Format;
use midly::MetaMessage;
use midly::MidiMessage;
use midly::Timing;
use midly::TrackEventKind;

/// Notes that are read; a long piano piece has a tenth of this.
const MAX_NOTES: usize = 300_000;

/// Tracks that are looked at.
const MAX_TRACKS: usize = 1000;

/// Changes of metre and markers that are kept.
const MAX_MARKS: usize = 4000;

/// The channel of drums by General MIDI 1, from 0.
const DRUMS: usize = 9;

const CHANNELS: usize = 16;
const KEYS: usize = 128;

/// A note as it was played, in ticks of the file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Played {
    pub(super) from: u64,
    pub(super) until: u64,
    pub(super) pitch: Midi,
}

/// A track that has notes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Track {
    pub(super) name: String,
    pub(super) notes: Vec<Played>,
}

/// A file as it was read.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Song {
    pub(super) ticks_per_quarter: u32,
    pub(super) title: String,
    pub(super) copyright: String,
    pub(super) tracks: Vec<Track>,
    /// Microseconds of a quarter note, the first that is said.
    pub(super) tempo: Option<u32>,
    pub(super) key: Option<Key>,
    /// Moment, upper and lower number.
    pub(super) metres: Vec<(u64, u32, u32)>,
    pub(super) markers: Vec<(u64, String)>,
}

/// Reads a file.
///
/// # Errors
/// If it is no MIDI file, of a kind without common time, or larger than the program takes.
pub(super) fn read(bytes: &[u8], notices: &mut Notices) -> Result<Song, ImportError> {
    let bytes = without_riff(bytes);
    // Looked at here, because the parser turns its sign in too few bits.
    if bytes.get(12).is_some_and(|division| *division >= 0x80) {
        return Err(film_frames());
    }
    let (header, tracks) = midly::parse(bytes).map_err(|error| {
        ImportError::whole(format!("this is no MIDI file that can be read ({error})"))
    })?;
    let ticks_per_quarter = match header.timing {
        Timing::Metrical(ticks) if ticks.as_int() > 0 => u32::from(ticks.as_int()),
        Timing::Metrical(_) => {
            return Err(ImportError::whole(
                "this MIDI file does not say how it counts time",
            ));
        }
        Timing::Timecode(..) => return Err(film_frames()),
    };
    if header.format == Format::Sequential {
        return Err(ImportError::whole(
            "this MIDI file holds separate pieces one after the other (format 2); save the one you want as format 0 or 1",
        ));
    }
    let mut reader = Reader {
        song: Song {
            ticks_per_quarter,
            ..Song::default()
        },
        n_notes: 0,
        tempo_changes: false,
        key_changes: false,
    };
    for (number, track) in tracks.take(MAX_TRACKS).enumerate() {
        match track {
            Ok(events) => reader.track(number, events, header.format, notices)?,
            Err(_) => notices.whole("a track is damaged and left out"),
        }
    }
    if reader.tempo_changes {
        notices.whole("the tempo changes; the chart has one tempo, the first");
    }
    if reader.key_changes {
        notices.whole("the key signature changes; the chart has one key, the first");
    }
    reader.song.metres.sort_by_key(|(at, ..)| *at);
    reader.song.markers.sort_by_key(|(at, _)| *at);
    Ok(reader.song)
}

fn film_frames() -> ImportError {
    ImportError::whole("this MIDI file counts frames of a film and no beats; export it with beats")
}

/// The file inside a RIFF container, which old programs put around it.
fn without_riff(bytes: &[u8]) -> &[u8] {
    let head = bytes.windows(4).position(|word| word == b"MThd");
    head.and_then(|at| bytes.get(at..)).unwrap_or(bytes)
}

struct Reader {
    song: Song,
    n_notes: usize,
    tempo_changes: bool,
    key_changes: bool,
}

/// Notes of one track by channel, and where those that still sound began.
struct Channels {
    notes: Vec<Vec<Played>>,
    sounding: Vec<Option<u64>>,
}

impl Channels {
    fn end(&mut self, channel: usize, key: usize, now: u64) {
        let open = self
            .sounding
            .get_mut(channel * KEYS + key)
            .and_then(Option::take);
        let pitch = u8::try_from(key).ok().and_then(Midi::new);
        let Some(((from, pitch), notes)) = open.zip(pitch).zip(self.notes.get_mut(channel)) else {
            return;
        };
        notes.push(Played {
            from,
            until: now,
            pitch,
        });
    }
}

impl Reader {
    fn track(
        &mut self,
        number: usize,
        events: EventIter<'_>,
        format: Format,
        notices: &mut Notices,
    ) -> Result<(), ImportError> {
        let mut name = String::new();
        let mut now = 0_u64;
        let mut channels = Channels {
            notes: vec![Vec::new(); CHANNELS],
            sounding: vec![None; CHANNELS * KEYS],
        };
        for event in events {
            let Ok(event) = event else {
                notices.whole("a track is damaged; what stands before the damage is taken");
                break;
            };
            now = now.saturating_add(u64::from(event.delta.as_int()));
            match event.kind {
                TrackEventKind::Midi { channel, message } => {
                    self.note(usize::from(channel.as_int()), message, now, &mut channels)?;
                }
                TrackEventKind::Meta(MetaMessage::TrackName(text)) if name.is_empty() => {
                    name = words(text);
                }
                TrackEventKind::Meta(message) => self.meta(message, now),
                _ => {}
            }
        }
        for channel in 0..CHANNELS {
            for key in 0..KEYS {
                let sounds = channels.sounding.get(channel * KEYS + key);
                if sounds.is_some_and(Option::is_some) {
                    notices.whole("notes that never end are ended with their track");
                    channels.end(channel, key, now);
                }
            }
        }
        self.add(number, name, channels.notes, format, notices);
        Ok(())
    }

    fn note(
        &mut self,
        channel: usize,
        message: MidiMessage,
        now: u64,
        channels: &mut Channels,
    ) -> Result<(), ImportError> {
        let (key, begins) = match message {
            MidiMessage::NoteOn { key, vel } => (key, vel.as_int() > 0),
            MidiMessage::NoteOff { key, .. } => (key, false),
            _ => return Ok(()),
        };
        let key = usize::from(key.as_int());
        channels.end(channel, key, now);
        if begins {
            self.n_notes += 1;
            if self.n_notes > MAX_NOTES {
                return Err(ImportError::whole(format!(
                    "this MIDI file has more than {MAX_NOTES} notes; export fewer tracks"
                )));
            }
            if let Some(open) = channels.sounding.get_mut(channel * KEYS + key) {
                *open = Some(now);
            }
        }
        Ok(())
    }

    fn meta(&mut self, message: MetaMessage<'_>, now: u64) {
        let song = &mut self.song;
        match message {
            MetaMessage::Tempo(tempo) if tempo.as_int() > 0 => match song.tempo {
                None => song.tempo = Some(tempo.as_int()),
                Some(first) => self.tempo_changes |= first != tempo.as_int(),
            },
            MetaMessage::KeySignature(fifths, minor) => {
                let mode = if minor { Mode::Minor } else { Mode::Major };
                let key = Key::with_fifths(i32::from(fifths), mode);
                self.key_changes |= song.key.is_some_and(|first| Some(first) != key);
                song.key = song.key.or(key);
            }
            MetaMessage::TimeSignature(count, unit_log2, ..) => {
                let known = count > 0 && unit_log2 <= 6 && song.metres.len() < MAX_MARKS;
                if known {
                    song.metres.push((now, u32::from(count), 1 << unit_log2));
                }
            }
            MetaMessage::Marker(text) if song.markers.len() < MAX_MARKS => {
                song.markers.push((now, words(text)));
            }
            MetaMessage::Copyright(text) if song.copyright.is_empty() => {
                song.copyright = words(text);
            }
            _ => {}
        }
    }

    /// Adds what a track plays: as a whole, or in a file of one track by channels.
    fn add(
        &mut self,
        number: usize,
        name: String,
        mut channels: Vec<Vec<Played>>,
        format: Format,
        notices: &mut Notices,
    ) {
        if let Some(drums) = channels.get_mut(DRUMS)
            && !drums.is_empty()
        {
            drums.clear();
            notices.whole("drums (channel 10) are left out");
        }
        let n_used = channels.iter().filter(|notes| !notes.is_empty()).count();
        let is_title = format == Format::SingleTrack || (number == 0 && n_used == 0);
        if is_title {
            self.song.title.clone_from(&name);
        }
        if format == Format::SingleTrack && n_used > 1 {
            for (channel, notes) in channels.into_iter().enumerate() {
                self.push(format!("channel {}", channel + 1), notes);
            }
            return;
        }
        let name = match name.as_str() {
            "" => format!("track {}", number + 1),
            name => name.into(),
        };
        self.push(name, channels.concat());
    }

    fn push(&mut self, name: String, mut notes: Vec<Played>) {
        if !notes.is_empty() {
            notes.sort_by_key(|note| (note.from, std::cmp::Reverse(note.pitch)));
            self.song.tracks.push(Track { name, notes });
        }
    }
}

/// A text of the file: UTF-8 or, as older files have it, one byte for each character.
fn words(bytes: &[u8]) -> String {
    let bytes = bytes.get(..bytes.len().min(1000)).unwrap_or_default();
    match str::from_utf8(bytes) {
        Ok(text) => one_line(text),
        Err(_) => one_line(&bytes.iter().map(|b| char::from(*b)).collect::<String>()),
    }
}
