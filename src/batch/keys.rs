//! `thumbwalk keys`: the tune solved in all twelve keys, with capos if wanted, the key that lies
//! best first.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::KeysWish;
use super::input;
use super::solved::place_words;
use super::table;
use super::table::Side;
use crate::document::Document;
use crate::instrument::Cost;
use crate::session::KeyLie;
use crate::session::best_keys;
use crate::theory::Transposition;
use serde::Serialize;

/// The answer as JSON.
#[derive(Serialize)]
struct KeysJson<'a> {
    format: &'static str,
    title: &'a str,
    /// The key of the chart.
    key: String,
    keys: Vec<KeyJson>,
}

#[derive(Serialize)]
struct KeyJson {
    key: String,
    semitones: i8,
    capo: u8,
    sum: i32,
    max: i32,
    comfortable_bpm: Option<u16>,
    faults: usize,
    /// Effort bar by bar.
    bars: Vec<i32>,
}

/// Does the job.
pub fn run(wish: &KeysWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let document = input::document(&wish.source, console)?;
    let capos: Vec<u8> = match wish.most_capo {
        Some(most) => (0..=most).collect(),
        None => vec![document.instrument.capo],
    };
    let mut found = best_keys(&document, &capos, &|_, _| true).unwrap_or_default();
    found.truncate(wish.top.unwrap_or(usize::MAX));
    if wish.json {
        console.print_json(&KeysJson {
            format: "thumbwalk-keys-1",
            title: &document.title,
            key: document.key.to_string(),
            keys: found.iter().map(json).collect(),
        })
    } else {
        console.print(&text(&document, &found))
    }
}

fn json(lie: &KeyLie) -> KeyJson {
    KeyJson {
        key: lie.key.to_string(),
        semitones: lie.semitones,
        capo: lie.capo,
        sum: lie.sum.0,
        max: lie.max.0,
        comfortable_bpm: lie.comfortable_bpm,
        faults: lie.n_faults,
        bars: lie.by_bar.iter().map(|cost| cost.0).collect(),
    }
}

fn text(document: &Document, found: &[KeyLie]) -> String {
    let heads = [
        ("effort", Side::Right),
        ("", Side::Right),
        ("key", Side::Left),
        ("capo", Side::Left),
        ("hardest change", Side::Left),
        ("up to", Side::Left),
        ("faults", Side::Right),
    ];
    let least = found.first().map_or(Cost::ZERO, |lie| lie.sum);
    let rows: Vec<Vec<String>> = found.iter().map(|lie| row(lie, least)).collect();
    let title = if document.title.is_empty() {
        "Untitled"
    } else {
        &document.title
    };
    format!(
        "{title}, written in {}: how it lies in other keys, best first\n{}",
        document.key,
        table::columns(&heads, &rows)
    )
}

fn row(lie: &KeyLie, least: Cost) -> Vec<String> {
    let mut key = lie.key.to_string();
    if lie.semitones == 0 {
        key.push_str(" (as written)");
    }
    let capo = match lie.capo {
        0 => "none".into(),
        fret => {
            // What the left hand does is that of the key so much lower.
            let shapes = Transposition::by(lie.key, -i32::from(fret)).key();
            format!("{fret}, fingered in {shapes}")
        }
    };
    let place = lie.hardest.map(place_words);
    let place = place.map_or_else(String::new, |place| format!(" into {place}"));
    let bpm = lie.comfortable_bpm;
    vec![
        lie.sum.to_string(),
        format!("+{}", Cost(lie.sum.0 - least.0)),
        key,
        capo,
        format!("{}{place}", lie.max),
        bpm.map_or_else(String::new, |bpm| format!("about {bpm} bpm")),
        lie.n_faults.to_string(),
    ]
}
