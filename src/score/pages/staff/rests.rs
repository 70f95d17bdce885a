//! Rests of the staff. In two voices the upper one's move up and the lower one's down by whole
//! spaces, as far as the other voice's notes at that moment ask; rests that both voices have alike
//! are written once, in the middle; a voice that is silent all the bar writes none if the other one
//! plays (Gould, Behind Bars, from memory; usual in guitar music).

use super::Area;
use super::MIDDLE;
use super::StaffVoice;
use super::cluster::Chord;
use super::cluster::Cluster;
use super::slides::SMALL;
use super::step_of;
use crate::arrange::PlayedNote;
use crate::score::pages::smufl;
use crate::score::rhythm::Value;
use crate::score::rhythm::Written;
use crate::score::rhythm::pieces::Piece;
use crate::score::rhythm::pieces::What;
use crate::score::staff_pitch::Pitch;
use crate::theory::Ticks;

/// A rest in its place.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct RestAt {
    /// The sign.
    pub code: char,
    /// Height of its origin in steps.
    pub step: i32,
    /// Half its width, to either side of the column's middle.
    pub half_width: f64,
    /// Whether it has a dot.
    pub dotted: bool,
    /// Whether it fills the bar, and stands in its middle.
    pub fills_bar: bool,
}

/// How far rests of two voices stand from the middle line at least, in steps.
const APART: i32 = 4;

/// The rests at a moment.
#[must_use]
pub fn at(
    at: Ticks,
    voices: &[StaffVoice],
    notes: &[PlayedNote],
    cluster: &Cluster,
) -> Vec<RestAt> {
    let n_playing = voices.iter().filter(|voice| voice.has_notes()).count();
    if n_playing == 0 {
        let fills = at.0 == 0 && !voices.is_empty();
        return fills.then(bar_rest).into_iter().collect();
    }
    let mut here: Vec<(bool, Written)> = Vec::new();
    let writes = |voice: &&StaffVoice| voice.rests && voice.has_notes();
    for voice in voices.iter().filter(writes) {
        let piece = voice.pieces.iter().find(|piece| piece.at == at);
        if let Some(Piece {
            what: What::Rest | What::BarRest,
            written,
            ..
        }) = piece
        {
            here.push((voice.up, *written));
        }
    }
    let alike = here
        .windows(2)
        .all(|pair| matches!(pair, [a, b] if a.1 == b.1));
    if n_playing == 1 || (here.len() == n_playing && alike) {
        return here
            .first()
            .map(|(_, w)| single(*w, MIDDLE))
            .into_iter()
            .collect();
    }
    let taken = taken(voices, notes, cluster);
    // From the lowest head and the lowest rest so far downwards, or from the highest head up.
    let mut lowest_rest = None;
    let mut placed = Vec::new();
    for (up, written) in here {
        let height = height(up, written, taken, lowest_rest);
        lowest_rest = Some(height - reach(written.value).1);
        placed.push(single(written, height));
    }
    placed
}

/// Steps that a rest reaches above and below its height.
const fn reach(value: Value) -> (i32, i32) {
    match value {
        Value::Whole => (2, 0),
        Value::Half => (2, 0),
        Value::Quarter => (3, 3),
        Value::Eighth => (2, 2),
        Value::Sixteenth => (2, 4),
    }
}

/// Half the width of the widest rest, one with a line of its own, and some white.
const WIDEST: f64 = 1.3;

/// Lowest and highest step that a moment takes up: heads, accidentals, small notes and stems.
fn taken(voices: &[StaffVoice], notes: &[PlayedNote], cluster: &Cluster) -> Option<(i32, i32)> {
    let mut steps: Vec<i32> = Vec::new();
    for head in &cluster.heads {
        steps.extend([head.step - 1, head.step + 1]);
    }
    // Beside a head that was moved aside an accidental can stand straight over the rest.
    let signs = cluster
        .signs
        .iter()
        .map(|sign| (sign.code, sign.x, sign.step, sign.size));
    let small = cluster
        .slides
        .iter()
        .map(|slid| (smufl::HEAD_BLACK, slid.x, slid.step, SMALL));
    let areas = signs
        .chain(small)
        .map(|(code, x, step, size)| Area::of_glyph(code, x, step, size));
    for area in areas.filter(|area| area.right > -WIDEST) {
        steps.extend([
            (2.0 * area.bottom).floor() as i32,
            (2.0 * area.top).ceil() as i32,
        ]);
    }
    let with_stems = cluster.chords.iter().filter(|chord| chord.has_stem());
    steps.extend(with_stems.map(|chord| stem_end(chord, voices, notes)));
    Some((*steps.iter().min()?, *steps.iter().max()?))
}

/// Where a stem ends at most, in steps, with the dot of what is stopped short beyond it. Under a
/// beam the outermost head decides.
fn stem_end(chord: &Chord, voices: &[StaffVoice], notes: &[PlayedNote]) -> i32 {
    const LONGEST: i32 = 9;
    let dot = if chord.short { 2 } else { 0 };
    let group = voices.get(chord.voice).and_then(|voice| {
        let group = voice
            .beams
            .iter()
            .find(|group| group.contains(&chord.piece))?;
        voice.pieces.get(group.clone())
    });
    let beamed = group.unwrap_or_default().iter().flat_map(Piece::notes);
    let beamed = beamed.filter_map(|held| Some(step_of(Pitch::of(notes.get(held.note)?))));
    if chord.up {
        let high = beamed.fold(chord.high, i32::max);
        (high + LONGEST).max(MIDDLE + 1) + dot
    } else {
        let low = beamed.fold(chord.low, i32::min);
        (low - LONGEST).min(MIDDLE - 1) - dot
    }
}

fn height(up: bool, written: Written, taken: Option<(i32, i32)>, lowest_rest: Option<i32>) -> i32 {
    let (above, below) = reach(written.value);
    let even = |step: i32| step.div_euclid(2) * 2;
    if up {
        let highest = taken.map(|(_, high)| high + 1 + below);
        even(highest.unwrap_or(MIDDLE).max(MIDDLE + APART - 2) + 1)
    } else {
        let notes = taken.map(|(low, _)| low - 1 - above);
        let rest = lowest_rest.map(|step| step - 1 - above);
        let lowest = notes.into_iter().chain(rest).min();
        even(lowest.unwrap_or(MIDDLE).min(MIDDLE - APART + 2))
    }
}

fn single(written: Written, height: i32) -> RestAt {
    // Outside the staff wholes and halves bring a line of their own.
    let line = if written.value == Value::Whole {
        height + 2
    } else {
        height
    };
    let on_line = (0..=super::TOP_LINE).contains(&line);
    let (code, width) = match written.value {
        Value::Whole if on_line => (smufl::REST_WHOLE_BARE, 1.13),
        Value::Half if on_line => (smufl::REST_HALF_BARE, 1.13),
        Value::Whole => (smufl::REST_WHOLE, 1.6),
        Value::Half => (smufl::REST_HALF, 1.6),
        Value::Quarter => (smufl::REST_QUARTER, 1.08),
        Value::Eighth => (smufl::REST_8, 1.0),
        Value::Sixteenth => (smufl::REST_16, 1.28),
    };
    RestAt {
        code,
        step: line,
        half_width: width / 2.0,
        dotted: written.dotted,
        fills_bar: false,
    }
}

/// A whole rest, whatever the metre (common practice).
fn bar_rest() -> RestAt {
    let whole = Written {
        value: Value::Whole,
        dotted: false,
        triplet: false,
    };
    RestAt {
        fills_bar: true,
        ..single(whole, MIDDLE)
    }
}
