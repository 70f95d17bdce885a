//! Tune lines of a chart text: what stands between two barlines as notes of a bar. Places fall as
//! those of chords do; what is written is a note, silence, or the note before going on.

use super::chart::ChartError;
use super::chart_line::Line;
use super::chart_words::word;
use crate::document::TuneNote;
use crate::theory::Letter;
use crate::theory::Meter;
use crate::theory::Midi;
use crate::theory::Spelling;
use crate::theory::Ticks;
use crate::theory::beats;

/// What one word asks for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum What {
    Note(Spelling, Midi),
    /// A note that is named and goes on from the one before it.
    Tied(Spelling, Midi),
    /// `_`: the note before goes on.
    Hold,
    /// `-`
    Rest,
}

struct Item<'t> {
    at: usize,
    what: What,
    /// The beat after `@`.
    place: Option<&'t str>,
}

/// Where the words of each bar of a tune line stand, as bytes of the line; without the barlines
/// that may be left out.
pub(super) fn bars_of(line: &Line<'_>, from: usize) -> Result<Vec<(usize, usize)>, ChartError> {
    let (at, text) = line.value_from(from);
    let mut ends: Vec<usize> = text.match_indices('|').map(|(i, _)| at + i).collect();
    let mut starts: Vec<usize> = vec![at];
    starts.extend(ends.iter().map(|end| end + 1));
    ends.push(at + text.len());
    let mut bars: Vec<(usize, usize)> = starts.into_iter().zip(ends).collect();
    if text.starts_with('|') {
        bars.remove(0);
    }
    if text.ends_with('|') {
        bars.pop();
    }
    for (from, until) in &bars {
        let inside = line.text.get(*from..*until).unwrap_or("");
        if let Some(colon) = inside.find([':', ']']) {
            let message =
                "a tune line has plain barlines | only; repeats and endings stand with the chords";
            return Err(line.error(from + colon, message));
        }
    }
    Ok(bars)
}

/// The notes between two bytes of a line.
///
/// `before` is the note that sounds up to the beginning of the bar, if one does.
pub(super) fn notes(
    line: &Line<'_>,
    (from, until): (usize, usize),
    length: Ticks,
    meter: Meter,
    before: Option<TuneNote>,
) -> Result<Vec<TuneNote>, ChartError> {
    let items = items(line, from, until)?;
    let places = places(line, &items, length, meter)?;
    let ends = places.iter().skip(1).copied().chain([length]);
    let mut notes: Vec<TuneNote> = Vec::new();
    let begins_later = places.first().is_some_and(|first| first.0 > 0);
    let mut sounding = before.filter(|_| !begins_later);
    for ((item, at), end) in items.iter().zip(&places).zip(ends) {
        let own = |pitch, spelling, tied| TuneNote {
            at: *at,
            length: Ticks(end.0 - at.0),
            pitch,
            spelling,
            tied,
        };
        let note = match item.what {
            What::Rest => {
                sounding = None;
                continue;
            }
            What::Hold => {
                let Some(held) = sounding else {
                    let message =
                        "_ holds the note before it, and there is none; write - for silence";
                    return Err(line.error(item.at, message));
                };
                if at.0 > 0 {
                    if let Some(last) = notes.last_mut() {
                        last.length = Ticks(end.0 - last.at.0);
                    }
                    continue;
                }
                own(held.pitch, held.spelling, true)
            }
            What::Note(spelling, pitch) => own(pitch, spelling, false),
            What::Tied(spelling, pitch) => own(pitch, spelling, true),
        };
        notes.push(note);
        sounding = Some(note);
    }
    Ok(notes)
}

fn items<'t>(line: &Line<'t>, from: usize, until: usize) -> Result<Vec<Item<'t>>, ChartError> {
    let mut items = Vec::new();
    let mut at = from;
    loop {
        let rest = line.text.get(at..until).unwrap_or("");
        at += rest.len() - rest.trim_start().len();
        let rest = rest.trim_start();
        if rest.is_empty() {
            return Ok(items);
        }
        let text = word(rest);
        let (name, place) = match text.split_once('@') {
            Some((name, place)) => (name, Some(place)),
            None => (text, None),
        };
        let what = what(name).ok_or_else(|| {
            let short: String = name.chars().take(20).collect();
            let message = format!(
                "“{short}” is no note; write notes with their octave (C5, Bb4, F#5), - for silence, _ to hold"
            );
            line.error(at, message)
        })?;
        items.push(Item { at, what, place });
        at += text.len();
    }
}

fn what(name: &str) -> Option<What> {
    match name {
        "-" => Some(What::Rest),
        "_" => Some(What::Hold),
        _ => match name.strip_prefix('_') {
            Some(name) => note(name).map(|(spelling, pitch)| What::Tied(spelling, pitch)),
            None => note(name).map(|(spelling, pitch)| What::Note(spelling, pitch)),
        },
    }
}

/// `Bb4`: a letter, up to three signs, and the octave, C4 being the middle C.
fn note(name: &str) -> Option<(Spelling, Midi)> {
    let letter = Letter::from_char(name.chars().next()?.to_ascii_uppercase())?;
    let rest = name.get(1..)?;
    let octave_at = rest.find(|c: char| c.is_ascii_digit() || c == '-')?;
    let (signs, octave) = rest.split_at(octave_at);
    let mut alter = 0_i8;
    for sign in signs.chars() {
        alter += match sign {
            'b' | '♭' => -1,
            '#' | '♯' => 1,
            'x' => 2,
            _ => return None,
        };
        if alter.abs() > 3 {
            return None;
        }
    }
    let octave: i32 = octave.parse().ok().filter(|o| (-2..=10).contains(o))?;
    let spelling = Spelling::new(letter, alter);
    Some((spelling, spelling.in_octave(octave)?))
}

/// Where each item falls.
fn places(
    line: &Line<'_>,
    items: &[Item<'_>],
    length: Ticks,
    meter: Meter,
) -> Result<Vec<Ticks>, ChartError> {
    if items.iter().any(|item| item.place.is_some()) {
        return explicit(line, items, length);
    }
    let n = items.len();
    let index = 0..u32::try_from(n).unwrap_or(0);
    let even = || {
        let each = beats::place_length(n, length)?;
        Some(index.map(|i| Ticks(i * each.0)).collect())
    };
    if n <= 1 {
        return Ok(vec![Ticks(0); n]);
    }
    let all_named = |item: &Item<'_>| matches!(item.what, What::Note(..) | What::Tied(..));
    let places: Option<Vec<Ticks>> = if items.iter().all(all_named) {
        beats::shared(n, length, meter).or_else(even)
    } else {
        even()
    };
    places.ok_or_else(|| {
        let n_beats = beats::amount_text(length);
        let message = format!(
            "{n} places do not divide {n_beats} beats; write one for each beat or part of a beat, or place the notes, as in C5@2.5"
        );
        line.error(items.first().map_or(0, |item| item.at), message)
    })
}

fn explicit(line: &Line<'_>, items: &[Item<'_>], length: Ticks) -> Result<Vec<Ticks>, ChartError> {
    let mut places: Vec<Ticks> = Vec::new();
    for (index, item) in items.iter().enumerate() {
        let place = match item.place {
            None if index == 0 => Ticks(0),
            None => {
                let message = "where one note has an @ place, everything but the first needs one";
                return Err(line.error(item.at, message));
            }
            Some(beat) => beats::place(beat).ok_or_else(|| {
                let short: String = beat.chars().take(20).collect();
                let message = format!("“{short}” is no beat; beats count from 1, as in C5@2.5");
                line.error(item.at, message)
            })?,
        };
        let in_order = places.last().is_none_or(|last| *last < place);
        if place >= length || !in_order {
            let message = "this beat is not in the bar, or not after what stands before it";
            return Err(line.error(item.at, message));
        }
        places.push(place);
    }
    Ok(places)
}
