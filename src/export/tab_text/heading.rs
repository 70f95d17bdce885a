//! What stands before and after the tab: title, facts, words for the student, the names of the
//! strings and the legend of the codes that were used.

use super::columns::BarText;
use crate::arrange::Arrangement;
use crate::document::Document;
use crate::document::Feel;
use crate::instrument::Instrument;
use crate::instrument::Tuning;
use crate::theory::Articulation;
use crate::theory::Key;
use crate::theory::Midi;
use crate::theory::ThumbMove;

/// Title, credits, facts and lesson text, with an empty line after each part.
pub fn title(document: &Document, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let title = wrap(document.title.trim(), width);
    let longest = title.iter().map(|line| line.chars().count()).max();
    lines.extend(title);
    lines.extend(longest.map(|n| "=".repeat(n)));
    lines.extend(wrap(document.credits.trim(), width));
    let beat = if document.meter.is_compound() {
        "dotted quarter"
    } else {
        "quarter"
    };
    let mut facts = vec![
        format!("Key: {}", document.key),
        format!("Meter: {}", document.meter),
        format!("Tempo: {beat} = {}", document.tempo_bpm),
    ];
    if !document.meter.is_compound() {
        facts.push(feel_words(document.feel));
    }
    let choruses = document.choruses;
    if choruses.count > 1 {
        facts.push(format!("Chorus {} of {}", choruses.shown(), choruses.count));
    }
    lines.extend(wrap(&facts.join("   "), width));
    lines.extend(tuning(&document.instrument));
    lines.push(String::new());
    if !document.lesson_text.trim().is_empty() {
        lines.extend(wrap(document.lesson_text.trim(), width));
        lines.push(String::new());
    }
    lines
}

fn feel_words(feel: Feel) -> String {
    match feel {
        Feel::Straight => "Straight eighths".into(),
        Feel::Swing(ratio) => {
            let ratio = format!("{}.{:03}", ratio / 1000, ratio % 1000);
            let ratio = ratio.trim_end_matches('0').trim_end_matches('.');
            format!("Swing {ratio} : 1")
        }
        Feel::FollowTempo => "Swing, lighter as it gets faster".into(),
    }
}

fn tuning(instrument: &Instrument) -> Vec<String> {
    let mut lines = Vec::new();
    if instrument.tuning.open() != Tuning::standard().open() {
        let notes: Vec<String> = instrument
            .tuning
            .open()
            .iter()
            .map(|m| open_name(*m))
            .collect();
        lines.push(format!(
            "Tuning: {} ({}), lowest first",
            instrument.tuning.name(),
            notes.join(" ")
        ));
    }
    if instrument.capo > 0 {
        lines.push(format!(
            "Capo at fret {}; frets are counted from it",
            instrument.capo
        ));
    }
    lines
}

fn open_name(pitch: Midi) -> String {
    Key::C_MAJOR.spell(pitch.pitch_class(), false).to_string()
}

/// Names of the open strings, highest string first; the highest is in small letters where the
/// lowest has the same name, as players write it.
pub fn string_names(instrument: &Instrument) -> Vec<String> {
    let mut names: Vec<String> = instrument
        .tuning
        .open()
        .iter()
        .rev()
        .map(|m| open_name(*m))
        .collect();
    let lowest = names.last().cloned();
    if names.len() > 1
        && let Some(first) = names.first_mut()
        && Some(&*first) == lowest.as_ref()
    {
        *first = first.to_lowercase();
    }
    names
}

/// The codes and marks that were used, with their meanings.
pub fn legend(arrangement: &Arrangement, bars: &[BarText], width: usize) -> Vec<String> {
    let mut items: Vec<String> = ThumbMove::ALL
        .into_iter()
        .filter(|m| arrangement.notes.iter().any(|n| n.thumb_move == Some(*m)))
        .map(|m| format!("{} {}", m.code(), m.words()))
        .collect();
    if let Some(first) = items.first_mut() {
        *first = format!("Thumb: {first}");
    }
    let mut lines = wrap(&items.join("; "), width);
    let short = arrangement
        .notes
        .iter()
        .any(|n| n.articulation == Articulation::Short);
    let mut signs = Vec::new();
    if short {
        signs.push("' after a fret: stop it short");
    }
    if bars.iter().any(BarText::has_slide) {
        signs.push("3/4 slide up, 4\\3 slide down");
    }
    lines.extend(wrap(&signs.join("; "), width));
    lines
}

/// Words in lines of at most `width` characters (but never a broken word); line breaks are kept.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        for word in paragraph.split(' ') {
            let long = line.chars().count() + 1 + word.chars().count();
            if !line.is_empty() && long > width {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        lines.push(line);
    }
    lines
}
