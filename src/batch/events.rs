//! `thumbwalk events`: every note as it is played, repeats unfolded, with its time in seconds and
//! where the hands are. Times come from the one performance that playback and audio files use.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::FileWish;
use super::input;
use super::solved::Solved;
use super::table;
use super::table::Side;
use super::voicings::FingerJson;
use crate::arrange::PlayedNote;
use crate::score;
use crate::score::Performance;
use crate::score::TimedNote;
use crate::theory::TICKS_PER_BEAT;
use serde::Serialize;

/// The answer as JSON.
#[derive(Serialize)]
struct EventsJson {
    format: &'static str,
    meter: String,
    tempo: u16,
    swing: f64,
    notes: Vec<NoteJson>,
}

#[derive(Serialize)]
struct NoteJson {
    /// From 1.
    chorus: usize,
    bar: usize,
    tick: u32,
    ticks_per_beat: u32,
    start_s: f64,
    end_s: f64,
    string: u8,
    fret: u8,
    finger: FingerJson,
    hand: char,
    lane: &'static str,
    pitch: u8,
    #[serde(rename = "move", skip_serializing_if = "Option::is_none")]
    thumb_move: Option<&'static str>,
    articulation: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    slide_from: Option<u8>,
}

/// Does the job.
pub fn run(wish: &FileWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let solved = Solved::of(input::document(&wish.source, console)?);
    let performance = score::perform(&solved.document, &solved.arrangement, None);
    if wish.json {
        console.print_json(&json(&solved, &performance))
    } else {
        console.print(&text(&solved, &performance))
    }
}

/// Notes in time with the notes they come from.
fn pairs<'a>(
    solved: &'a Solved,
    performance: &'a Performance,
) -> impl Iterator<Item = (&'a TimedNote, &'a PlayedNote)> {
    performance.notes.iter().filter_map(|timed| {
        let chorus = u8::try_from(timed.chorus + 1).ok()?;
        let arranged = solved.arrangement.chorus(chorus);
        let note = arranged.notes.get(timed.note_idx)?;
        Some((timed, note))
    })
}

/// Whole microseconds, which is finer than any ear and keeps the numbers short.
fn seconds(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

fn json(solved: &Solved, performance: &Performance) -> EventsJson {
    let n_strings = solved.document.instrument.n_strings();
    let note = |(timed, note): (&TimedNote, &PlayedNote)| NoteJson {
        chorus: timed.chorus + 1,
        bar: note.place.bar + 1,
        tick: note.place.at.0,
        ticks_per_beat: TICKS_PER_BEAT,
        start_s: seconds(timed.start_s),
        end_s: seconds(timed.end_s),
        string: note.string.number(n_strings),
        fret: note.fret,
        finger: FingerJson(note.finger),
        hand: note.pluck.letter(),
        lane: note.lane.word(),
        pitch: note.pitch.number(),
        thumb_move: note.thumb_move.map(crate::theory::ThumbMove::word),
        articulation: note.articulation.word(),
        slide_from: note.slide_from,
    };
    EventsJson {
        format: "thumbwalk-events-1",
        meter: solved.document.meter.to_string(),
        tempo: solved.document.tempo_bpm,
        swing: performance.swing_ratio,
        notes: pairs(solved, performance).map(note).collect(),
    }
}

fn text(solved: &Solved, performance: &Performance) -> String {
    let heads = [
        ("bar", Side::Right),
        ("beat", Side::Right),
        ("from s", Side::Right),
        ("to s", Side::Right),
        ("lane", Side::Left),
        ("note", Side::Left),
        ("string", Side::Right),
        ("fret", Side::Right),
        ("finger", Side::Left),
        ("hand", Side::Left),
        ("move", Side::Left),
    ];
    let n_strings = solved.document.instrument.n_strings();
    let row = |(timed, note): (&TimedNote, &PlayedNote)| {
        let beat = f64::from(note.place.at.0) / f64::from(TICKS_PER_BEAT) + 1.0;
        vec![
            (note.place.bar + 1).to_string(),
            format!("{beat:.2}"),
            format!("{:.3}", timed.start_s),
            format!("{:.3}", timed.end_s),
            note.lane.word().into(),
            note.spelling.pretty(),
            note.string.number(n_strings).to_string(),
            note.fret.to_string(),
            note.finger
                .map_or_else(|| "0".into(), |f| f.digit().to_string()),
            note.pluck.letter().to_string(),
            note.thumb_move
                .map_or("", crate::theory::ThumbMove::word)
                .into(),
        ]
    };
    let rows: Vec<Vec<String>> = pairs(solved, performance).map(row).collect();
    table::columns(&heads, &rows)
}
