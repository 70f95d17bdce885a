//! A MIDI file to a document: the tune of one track on a grid, with metre, key, tempo and sections.
//! MIDI has no chord symbols, so the bars come without chords. What is guessed, rounded or left out
//! is told in notices.

mod bars;
mod grid;
mod key_guess;
mod tracks;

use super::metre::tempo_of;
use super::notices::Notices;
use super::score_file::Choice;
use super::score_file::ImportError;
use super::score_file::Imported;
use super::score_file::PartInfo;
use crate::document::Bar;
use crate::document::Document;
use crate::document::Feel;
use crate::document::Section;
use crate::document::TuneNote;
use crate::document::tune::usual_spelling;
use crate::theory::Key;
use crate::theory::Meter;
use crate::theory::Midi;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;
use bars::FileBar;
use grid::Places;
use std::sync::Arc;
use tracks::Played;
use tracks::Song;
use tracks::Track;

/// Names of tracks that hold a tune, as people write them.
const TUNE_NAMES: [&str; 7] = [
    "tune", "melody", "melodie", "vocal", "voice", "lead", "solo",
];

/// A gap before the next note shorter than this part of a grid step is filled: a player lets go a
/// little early.
const FILLED: f64 = 0.6;

/// Whether bytes begin as a MIDI file.
#[must_use]
pub fn looks_like(bytes: &[u8]) -> bool {
    let in_riff = bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"RMID");
    bytes.starts_with(b"MThd") || in_riff
}

/// Reads a MIDI file.
///
/// # Errors
/// Where it cannot be taken, why and what to do.
pub fn read(bytes: &[u8], choice: Choice) -> Result<Imported, ImportError> {
    let mut notices = Notices::default();
    let song = tracks::read(bytes, &mut notices)?;
    let taken = chosen(&song.tracks, choice, &mut notices)?;
    let Some(track) = song.tracks.get(taken) else {
        return Err(ImportError::whole("there are no notes in this MIDI file"));
    };
    let last = track
        .notes
        .iter()
        .map(|note| note.until.max(note.from + 1))
        .max();
    let (meter, bars) = bars::lay_out(&song, last.unwrap_or(0), &mut notices)?;
    let mut document = Document {
        title: song.title.clone(),
        meter,
        ..Document::default()
    };
    document.key = key(&song, track, &mut notices);
    document.tempo_bpm = tempo(&song, meter, &mut notices);
    let places = places(track, &bars, &song, meter, choice, &mut notices)?;
    document.feel = match places {
        Places::Swung(at) => swing(at),
        _ => Feel::Straight,
    };
    let tune = on_grid(track, &bars, &song, meter, places, &mut notices);
    let tune = cut_into_bars(&tune, &bars, document.key);
    document.sections = sections(&song, &bars, tune, meter);
    if !song.copyright.is_empty() {
        notices.whole(format!("the file says about rights: “{}”", song.copyright));
    }
    notices.whole("MIDI has no chord symbols; write the chords in the grid");
    let n_bars = bars.len();
    let info = |track: &Track| PartInfo {
        name: track.name.clone(),
        bars: n_bars,
        notes: track.notes.len(),
        chords: 0,
    };
    Ok(Imported {
        document,
        notices: notices.into_list(|bar| bar),
        parts: song.tracks.iter().map(info).collect(),
        taken,
    })
}

/// The track with the tune.
fn chosen(tracks: &[Track], choice: Choice, notices: &mut Notices) -> Result<usize, ImportError> {
    if let Some(track) = choice.part {
        if track < tracks.len() {
            return Ok(track);
        }
        let list = (1..)
            .zip(tracks)
            .map(|(n, track)| format!("{n} {}", track.name));
        return Err(ImportError::whole(format!(
            "there is no track {} with notes; there are: {}",
            track.saturating_add(1),
            list.collect::<Vec<_>>().join("; ")
        )));
    }
    let named = |track: &Track| {
        let name = track.name.to_lowercase();
        TUNE_NAMES.iter().any(|known| name.contains(known))
    };
    let taken = tracks.iter().position(named).unwrap_or(0);
    if tracks.len() > 1 {
        let name = tracks.get(taken).map_or("", |track| track.name.as_str());
        notices.whole(format!(
            "{} tracks have notes; the tune is taken from track {}, “{name}”",
            tracks.len(),
            taken + 1
        ));
    }
    Ok(taken)
}

fn key(song: &Song, track: &Track, notices: &mut Notices) -> Key {
    if let Some(key) = song.key {
        return key;
    }
    let mut durations = [0.0; 12];
    // As in the tune, a note is over where the next one begins: one that never ends would else
    // outweigh all others.
    let (mut next, mut here) = (u64::MAX, u64::MAX);
    for note in track.notes.iter().rev() {
        if note.from < here {
            (next, here) = (here, note.from);
        }
        let pc = usize::from(note.pitch.pitch_class().number());
        if let Some(sum) = durations.get_mut(pc) {
            *sum += note.until.min(next).saturating_sub(note.from) as f64;
        }
    }
    match key_guess::guess(durations) {
        Some(key) => {
            notices.whole(format!(
                "the file names no key; by its notes it is taken as {key}"
            ));
            key
        }
        None => {
            notices.whole("the file names no key; C major is taken");
            Key::C_MAJOR
        }
    }
}

fn tempo(song: &Song, meter: Meter, notices: &mut Notices) -> u16 {
    let Some(micros) = song.tempo else {
        notices.whole("the file names no tempo; 120 beats a minute are taken");
        return 120;
    };
    let quarters = 60e6 / f64::from(micros.max(1));
    tempo_of(quarters, meter, notices)
}

/// The bar of a moment of the file, and how many beats into it that is.
fn place(at: u64, bars: &[FileBar], song: &Song, meter: Meter) -> (usize, f64) {
    let bar = bars.partition_point(|bar| bar.from <= at).saturating_sub(1);
    let from = bars.get(bar).map_or(0, |bar| bar.from);
    let quarters = at.saturating_sub(from) as f64 / f64::from(song.ticks_per_quarter);
    let per_beat = f64::from(TICKS_PER_BEAT) / f64::from(meter.ticks_per_quarter());
    (bar, quarters / per_beat)
}

/// The grid that was asked for or fits best.
fn places(
    track: &Track,
    bars: &[FileBar],
    song: &Song,
    meter: Meter,
    choice: Choice,
    notices: &mut Notices,
) -> Result<Places, ImportError> {
    let compound = meter.is_compound();
    let onsets = track
        .notes
        .iter()
        .map(|note| place(note.from, bars, song, meter).1);
    let played: Vec<f64> = onsets.collect();
    let places = match choice.grid {
        Some(grid) => {
            let places = Places::of(grid, compound).ok_or_else(|| {
                ImportError::whole(format!(
                    "the beats of {meter} have three parts, so there is no grid of triplets; take 8 or 16"
                ))
            })?;
            let swung = grid::swung(&played).filter(|_| places == Places::Parts(2));
            swung.unwrap_or(places)
        }
        None => grid::fitting(&played, compound),
    };
    let far = played.iter().map(|beats| places.nearest(*beats).1);
    let moved = far.clone().filter(|far| *far > 0.001).count();
    let most = far.fold(0.0, f64::max);
    let why = if choice.grid.is_some() {
        "as asked"
    } else {
        "which fit best"
    };
    let words = places.words(compound);
    let mut message = format!("the notes are brought to {words}, {why}");
    if moved > 0 {
        let n = played.len();
        message.push_str(&format!(
            ": {moved} of {n} are moved, by up to {most:.2} beats"
        ));
    }
    notices.whole(message);
    Ok(places)
}

fn swing(at: f64) -> Feel {
    let permille = (at / (1.0 - at) * 1000.0).round().clamp(1000.0, 3500.0);
    Feel::Swing(permille as u16)
}

/// A note on the grid, in our ticks from the beginning of the tune.
#[derive(Clone, Copy, Debug)]
struct Note {
    from: u64,
    until: u64,
    pitch: Midi,
}

/// The top notes of what was played, one after the other.
fn on_grid(
    track: &Track,
    bars: &[FileBar],
    song: &Song,
    meter: Meter,
    places: Places,
    notices: &mut Notices,
) -> Vec<Note> {
    let quantised = |at: u64| {
        let (bar, beats) = place(at, bars, song, meter);
        let (ticks, _) = places.nearest(beats);
        let own = bars.get(bar);
        let ticks = ticks.min(own.map_or(ticks, |bar| bar.length.0));
        own.map_or(0, |bar| bar.starts) + u64::from(ticks)
    };
    let mut onsets: Vec<(u64, Played)> = track
        .notes
        .iter()
        .map(|note| (quantised(note.from), *note))
        .collect();
    onsets.sort_by_key(|(from, note)| (*from, std::cmp::Reverse(note.pitch)));
    let end = bars
        .last()
        .map_or(0, |bar| bar.starts + u64::from(bar.length.0));
    let mut tune: Vec<Note> = Vec::with_capacity(onsets.len());
    let mut idx = 0;
    while let Some((from, top)) = onsets.get(idx).copied() {
        let together = onsets
            .iter()
            .skip(idx)
            .take_while(|(other, _)| *other == from);
        let n_together = together.count();
        idx += n_together.max(1);
        let next = onsets.get(idx).copied();
        if from >= end {
            continue;
        }
        let bar = bars
            .partition_point(|bar| bar.starts <= from)
            .saturating_sub(1);
        if n_together > 1 {
            notices.at(bar, "of notes struck together the top one is taken");
        }
        let quarters = |ticks: u64| ticks as f64 / f64::from(song.ticks_per_quarter);
        let step = places.step() * f64::from(TICKS_PER_BEAT) / f64::from(meter.ticks_per_quarter());
        let gap = next.map(|(_, next)| quarters(next.from.saturating_sub(top.until)));
        let mut until = quantised(top.until).max(from);
        if until == from {
            until = from + (places.step() * f64::from(TICKS_PER_BEAT)) as u64;
        }
        if let Some((next, _)) = next {
            let fills = gap.is_some_and(|gap| gap < FILLED * step);
            // Players bind notes a little; more than a step is another voice.
            if until > next + (places.step() * f64::from(TICKS_PER_BEAT)) as u64 {
                notices.at(bar, "a note is cut where the next one begins");
            }
            until = if fills { next } else { until.min(next) };
        }
        tune.push(Note {
            from,
            until: until.min(end),
            pitch: top.pitch,
        });
    }
    tune
}

/// The notes of every bar; what sounds over a barline is tied there.
fn cut_into_bars(tune: &[Note], bars: &[FileBar], key: Key) -> Vec<Vec<TuneNote>> {
    let mut cut: Vec<Vec<TuneNote>> = vec![Vec::new(); bars.len()];
    for note in tune {
        let mut from = note.from;
        let mut bar = bars
            .partition_point(|bar| bar.starts <= from)
            .saturating_sub(1);
        while let Some((own, notes)) = bars.get(bar).zip(cut.get_mut(bar)) {
            let end = own.starts + u64::from(own.length.0);
            let until = note.until.min(end);
            let at = u32::try_from(from.saturating_sub(own.starts)).unwrap_or(0);
            let length = u32::try_from(until.saturating_sub(from)).unwrap_or(0);
            if length == 0 {
                break;
            }
            notes.push(TuneNote {
                at: Ticks(at),
                length: Ticks(length),
                pitch: note.pitch,
                spelling: usual_spelling(note.pitch, key),
                tied: from > note.from,
            });
            if note.until <= end {
                break;
            }
            from = end;
            bar += 1;
        }
    }
    cut
}

fn sections(
    song: &Song,
    bars: &[FileBar],
    tune: Vec<Vec<TuneNote>>,
    meter: Meter,
) -> Vec<Arc<Section>> {
    let mut sections: Vec<Section> = vec![Section::default()];
    for (idx, (own, tune)) in bars.iter().zip(tune).enumerate() {
        let next = bars.get(idx + 1).map_or(u64::MAX, |next| next.from);
        let here = song
            .markers
            .iter()
            .find(|(at, name)| (own.from..next).contains(at) && !name.is_empty());
        if let Some((_, name)) = here {
            sections.push(Section {
                name: name.clone(),
                bars: Vec::new(),
            });
        }
        if let Some(section) = sections.last_mut() {
            section.bars.push(Bar {
                tune,
                length: Some(own.length).filter(|length| *length != meter.bar()),
                ..Bar::default()
            });
        }
    }
    sections.retain(|section| !section.bars.is_empty());
    sections.into_iter().map(Arc::new).collect()
}

#[cfg(test)]
mod tests;
