//! What stands on the strings: fret digits with the line blanked behind them, left-hand fingers,
//! slides, open ties of ringing notes, right-hand letters and codes of thumb moves. Digits are
//! centred on their line, two-digit frets as one unit. Never draws stems.

use super::mark::Anchor;
use super::mark::Ink;
use super::mark::Meaning;
use super::mark::Spot;
use super::mark::Step;
use super::measure;
use super::measure::BarPlaces;
use super::music::BarMusic;
use super::pen::Pen;
use super::sizes;
use super::system::Rows;
use super::system::Scene;
use crate::arrange::Lane;
use crate::arrange::PlayedNote;
use crate::instrument::Finger;
use crate::score::rhythm::Strike;
use crate::score::rhythm::Voice;

/// Draws the notes of a bar. The origin is the left end of the top string line.
pub fn draw(pen: &mut Pen, scene: &Scene<'_>, music: &BarMusic, places: &BarPlaces) {
    for voice in [Voice::Upper, Voice::Lower] {
        for strike in &music.voice(voice).strikes {
            let x = places.x_of(strike.at);
            for idx in &strike.notes {
                if let Some(note) = scene.arrangement.notes.get(*idx) {
                    let held = music.fingers.contains(idx);
                    one(pen, scene, *idx, note, x, held);
                }
            }
        }
    }
}

fn one(pen: &mut Pen, scene: &Scene<'_>, idx: usize, note: &PlayedNote, x: f64, held: bool) {
    let y = scene.string_y(note.string);
    let text = measure::digit_text(note);
    let style = scene.style(sizes::DIGIT);
    let width = style.width(&text);
    let (blank_w, blank_h) = (width + 0.35, 1.2);
    pen.filled(
        Meaning::Blank(idx),
        (x - blank_w / 2.0, y - blank_h / 2.0),
        (blank_w, blank_h),
        Ink::White,
    );
    let baseline = y + style.cap() / 2.0 - if text == "x" { 0.35 } else { 0.0 };
    pen.text(
        Meaning::Note(idx),
        style,
        Anchor::Middle,
        (x, baseline),
        &text,
    );
    let left = x - width / 2.0;
    if let Some(finger) = note.finger.filter(|_| held) {
        finger_digit(pen, scene, idx, finger, (left, y));
    }
    if let Some(from) = note.slide_from {
        let room = if held {
            measure::finger_width(scene.options)
        } else {
            0.0
        };
        slide(pen, scene, idx, (from, note.fret), (left - room, y));
    }
}

/// A small figure before the digit, a little above the line, which is blanked behind it too.
fn finger_digit(pen: &mut Pen, scene: &Scene<'_>, idx: usize, finger: Finger, end: (f64, f64)) {
    let small = scene.style(sizes::FINGER);
    let (left, y) = end;
    let digit = finger.digit().to_string();
    let width = small.width(&digit);
    let right = left - sizes::FINGER_GAP;
    pen.filled(
        Meaning::Blank(idx),
        (right - width, y - 0.6),
        (width + sizes::FINGER_GAP, 1.2),
        Ink::White,
    );
    let at = (right, y - sizes::FINGER_LIFT + small.cap() / 2.0);
    pen.text(Meaning::Finger(idx), small, Anchor::Right, at, &digit);
}

/// A small digit and a line that rises or falls into the note.
fn slide(pen: &mut Pen, scene: &Scene<'_>, idx: usize, frets: (u8, u8), end: (f64, f64)) {
    let (from, to) = frets;
    let (right, y) = end;
    let lean = if from < to { 0.5 } else { -0.5 };
    let stop = right - 0.15;
    let start = stop - measure::SLIDE_LENGTH + 0.4;
    pen.line(
        Meaning::Slide(idx),
        (start, y + lean),
        (stop, y - lean),
        0.28,
    );
    let style = scene.style(sizes::GRACE_DIGIT);
    let text = from.to_string();
    let width = style.width(&text);
    let x = start - 0.2 - width;
    pen.filled(
        Meaning::Slide(idx),
        (x - 0.1, y - 0.5),
        (width + 0.2, 1.0),
        Ink::White,
    );
    let at = (x, y + style.cap() / 2.0);
    pen.text(Meaning::Slide(idx), style, Anchor::Left, at, &text);
}

/// Open ties behind the notes of a strike that sounds on past its written value.
pub fn open_ties(pen: &mut Pen, scene: &Scene<'_>, strike: &Strike, x: f64) {
    for idx in &strike.notes {
        let Some(note) = scene.arrangement.notes.get(*idx) else {
            continue;
        };
        let half = scene.style(sizes::DIGIT).width(&measure::digit_text(note)) / 2.0;
        let left = x + half + 0.15;
        let y = scene.string_y(note.string) - 0.38;
        tie(pen, Meaning::Ring(*idx), left, left + 2.3, y);
    }
}

/// A lens-shaped arc, thin at its ends.
fn tie(pen: &mut Pen, meaning: Meaning, left: f64, right: f64, y: f64) {
    let third = (right - left) / 3.0;
    let (outer, inner) = (-0.95, -0.5);
    let spot = Spot::new;
    pen.path(
        meaning,
        vec![
            Step::Move(spot(left, y)),
            Step::Curve(
                spot(left + third, y + outer),
                spot(right - third, y + outer),
                spot(right, y),
            ),
            Step::Curve(
                spot(right - third, y + inner),
                spot(left + third, y + inner),
                spot(left, y),
            ),
            Step::Close,
        ],
    );
}

/// Codes of the thumb moves of a bar.
pub fn moves(pen: &mut Pen, scene: &Scene<'_>, music: &BarMusic, places: &BarPlaces, y: f64) {
    for strike in &music.lower.strikes {
        for idx in &strike.notes {
            let note = scene.arrangement.notes.get(*idx);
            if let Some(thumb_move) = note.and_then(|n| n.thumb_move) {
                pen.text(
                    Meaning::Move(*idx),
                    scene.style(sizes::MOVE),
                    Anchor::Middle,
                    (places.x_of(strike.at), y),
                    thumb_move.code(),
                );
            }
        }
    }
}

/// Right-hand letters of a system, printed where they change.
pub fn pluck_letters(
    pen: &mut Pen,
    scene: &Scene<'_>,
    bars: &[BarMusic],
    places: &[BarPlaces],
    rows: &Rows,
) {
    let mut last = String::new();
    for (music, place) in bars.iter().zip(places) {
        for strike in &music.upper.strikes {
            let letters = strike_letters(scene, strike);
            let x = place.x_of(strike.at);
            if letters != last
                && let Some(first) = strike.notes.first()
            {
                pen.text(
                    Meaning::Pluck(*first),
                    scene.style(sizes::PLUCK),
                    Anchor::Middle,
                    (x, rows.letters_y),
                    &letters,
                );
            }
            last = letters;
        }
    }
}

/// Letters from the lowest string up: `ima`.
fn strike_letters(scene: &Scene<'_>, strike: &Strike) -> String {
    let mut notes: Vec<&PlayedNote> = strike
        .notes
        .iter()
        .filter_map(|idx| scene.arrangement.notes.get(*idx))
        .filter(|note| note.lane != Lane::Thumb)
        .collect();
    notes.sort_by_key(|note| note.string);
    notes.iter().map(|note| note.pluck.letter()).collect()
}
