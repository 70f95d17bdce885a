//! `thumbwalk keys`: the tune solved in all twelve keys, with capos if wanted, the key that lies
//! best first.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::KeysWish;
use super::input;
use super::solved::place_words;
use super::solved::tempo_words;
use super::solved::title_words;
use super::table;
use super::table::Side;
use crate::document::Document;
use crate::instrument::Cost;
use crate::session::KeyLie;
use crate::session::KeyQuestion;
use crate::session::RangeFit;
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
    tuning: String,
    range: Option<RangeJson>,
    sum: i32,
    max: i32,
    comfortable_bpm: Option<u16>,
    faults: usize,
    /// Effort bar by bar.
    bars: Vec<i32>,
}

/// How the tune fits the range.
#[derive(Serialize)]
struct RangeJson {
    octaves: i8,
    below: u8,
    above: u8,
}

/// Does the job.
pub fn run(wish: &KeysWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let document = input::document(&wish.source, console)?;
    if wish.range.is_some() && !document.has_tune() {
        return Err(Failure::Refused(
            "there is no tune to hold against --range; write it under the chords (Tune: …)".into(),
        ));
    }
    let tunings = wish.tunings.iter().map(|text| input::tuning(text));
    let question = KeyQuestion {
        capos: wish.capos.clone(),
        tunings: tunings.collect::<Result<_, _>>()?,
        range: wish.range,
    };
    let mut found = best_keys(&document, &question, &|_, _| true).unwrap_or_default();
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
        tuning: lie.tuning.name().to_owned(),
        range: lie.fit.map(|fit| RangeJson {
            octaves: fit.octaves,
            below: fit.below,
            above: fit.above,
        }),
        sum: lie.sum.0,
        max: lie.max.0,
        comfortable_bpm: lie.comfortable_bpm,
        faults: lie.n_faults,
        bars: lie.by_bar.iter().map(|cost| cost.0).collect(),
    }
}

fn text(document: &Document, found: &[KeyLie]) -> String {
    let ranged = found.iter().any(|lie| lie.fit.is_some());
    let heads = [
        ("effort", Side::Right),
        ("", Side::Right),
        ("key", Side::Left),
        ("capo", Side::Left),
        ("tuning", Side::Left),
        ("hardest change", Side::Left),
        ("up to", Side::Left),
        ("faults", Side::Right),
        (if ranged { "range" } else { "" }, Side::Left),
    ];
    let least = found.first().map_or(Cost::ZERO, |lie| lie.sum);
    let rows: Vec<Vec<String>> = found.iter().map(|lie| row(lie, least)).collect();
    let title = title_words(document);
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
    vec![
        lie.sum.to_string(),
        format!("+{}", Cost(lie.sum.0 - least.0)),
        key,
        capo,
        lie.tuning.name().to_owned(),
        format!("{}{place}", lie.max),
        tempo_words(lie.comfortable_bpm),
        lie.n_faults.to_string(),
        lie.fit.map_or_else(String::new, range_words),
    ]
}

/// `sung an octave lower`, `2 semitones too high`.
fn range_words(fit: RangeFit) -> String {
    let outside = match (fit.below, fit.above) {
        (0, 0) => "in range".to_owned(),
        (below, 0) => format!("{below} too low"),
        (0, above) => format!("{above} too high"),
        (below, above) => format!("{below} too low, {above} too high"),
    };
    match fit.octaves {
        0 => outside,
        1 => format!("{outside}, sung an octave higher"),
        -1 => format!("{outside}, sung an octave lower"),
        n if n > 0 => format!("{outside}, sung {n} octaves higher"),
        n => format!("{outside}, sung {} octaves lower", -n),
    }
}
