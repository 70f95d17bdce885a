//! The tune of a part: one voice of its first staff, one note at a time, each within its bar. What
//! the other voices play and what sounds under the top note is left out and told.

use super::measure::Measure;
use super::measure::Note;
use super::measure::Part;
use super::measure::Voice;
use super::score::Lanes;
use crate::document::TuneNote;
use crate::import::notices::Notices;
use crate::theory::Midi;
use crate::theory::Ticks;

/// From quarters to ticks, remembering whether anything had to be rounded.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub(super) ticks_per_quarter: u32,
}

impl Scale {
    /// The nearest tick, and whether the place lies between two.
    pub(super) fn tick(self, quarters: f64) -> (u32, bool) {
        let exact = (quarters * f64::from(self.ticks_per_quarter)).clamp(0.0, 1e9);
        let nearest = exact.round();
        (nearest as u32, (exact - nearest).abs() > 0.01)
    }
}

/// The voice that is the tune: on the first staff that has notes and is no tablature, voice 1, else
/// the one with the most notes; in our own files the one that they name, or none.
pub(super) fn voice(part: &Part, lanes: Option<&Lanes>) -> Option<usize> {
    let sounding = || part.voices.iter().filter(|voice| voice.n_notes > 0);
    let plain = |voice: &&Voice| !part.tab_staves.contains(&voice.staff);
    let staff = sounding().filter(plain).map(|voice| voice.staff).min();
    let staff = staff.or_else(|| sounding().map(|voice| voice.staff).min())?;
    let own = part.voices.iter().enumerate();
    let own = own.filter(|(_, voice)| voice.staff == staff && voice.n_notes > 0);
    if let Some(lanes) = lanes {
        let mut own = own;
        let tune = lanes.tune.as_deref()?;
        return own
            .find(|(_, voice)| voice.name == tune)
            .map(|(idx, _)| idx);
    }
    // Of equals the one that comes first.
    let rank = |voice: &Voice| (voice.name == "1", voice.n_notes);
    let best = own.rev().max_by_key(|(_, voice)| rank(voice));
    best.map(|(idx, _)| idx)
}

/// What went before, for ties over barlines.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Before {
    /// The last note, if it ends where the next bar begins.
    reaches_over: Option<TuneNote>,
}

/// The notes of a bar of the file.
pub(super) fn of_bar(
    measure: &Measure,
    bar: usize,
    length: Ticks,
    (voice, scale, lanes): (usize, Scale, Option<&Lanes>),
    before: &mut Before,
    notices: &mut Notices,
) -> Vec<TuneNote> {
    let mut own: Vec<&Note> = measure.notes.iter().filter(|n| n.voice == voice).collect();
    if own.len() < measure.notes.len() {
        notices.at(bar, "other voices and staves are left out of the tune");
    }
    own.sort_by(|a, b| a.at.total_cmp(&b.at).then(b.pitch.cmp(&a.pitch)));
    let mut tune: Vec<TuneNote> = Vec::with_capacity(own.len());
    for note in own {
        let (from, rounded_from) = scale.tick(note.at);
        let (until, rounded_until) = scale.tick(note.at + note.length);
        if let Some(last) = tune.last_mut() {
            if last.at.0 == from {
                notices.at(bar, "of notes struck together the top one is taken");
                continue;
            }
            if last.end().0 > from {
                last.length = Ticks(from.saturating_sub(last.at.0));
                notices.at(bar, "a note is cut where the next one begins");
            }
        }
        if rounded_from || rounded_until {
            let message = "places between two ticks (a 960th of a beat) are rounded";
            notices.at(bar, message);
        }
        if until > length.0 {
            notices.at(bar, "a note is cut where its bar ends");
        }
        let until = until.min(length.0);
        if until <= from {
            notices.at(bar, "a note without length in its bar is left out");
            continue;
        }
        tune.push(TuneNote {
            at: Ticks(from),
            length: Ticks(until - from),
            pitch: note.pitch,
            spelling: note.spelling,
            tied: note.tied,
        });
    }
    tie(&mut tune, bar, before, notices);
    if lanes.is_some() {
        join(&mut tune);
    }
    let last = tune.last().copied();
    before.reaches_over = last.filter(|note| note.end() == length);
    let down = lanes.map_or(0, |lanes| -12 * i32::from(lanes.octaves));
    for note in &mut tune {
        note.pitch = Midi::clamped(i32::from(note.pitch.number()) + down);
    }
    tune
}

/// Makes one note of those that are tied within the bar: our own files cut notes at beats.
fn join(tune: &mut Vec<TuneNote>) {
    tune.dedup_by(|note, before| {
        if note.tied {
            before.length = Ticks(before.length.0.saturating_add(note.length.0));
        }
        note.tied
    });
}

/// Keeps a tie where it joins two notes of one pitch.
fn tie(tune: &mut [TuneNote], bar: usize, before: &Before, notices: &mut Notices) {
    let mut last: Option<(TuneNote, u32)> = before.reaches_over.map(|note| (note, 0));
    for note in tune {
        let joins = last.is_some_and(|(last, end)| last.pitch == note.pitch && end == note.at.0);
        if note.tied && !joins {
            notices.at(
                bar,
                "a tie that joins nothing is left out: the note is struck",
            );
            note.tied = false;
        }
        last = Some((*note, note.end().0));
    }
}
