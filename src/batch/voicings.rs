//! `thumbwalk voicings`: every way the hand can play a chord, the easiest first. All of them
//! unless `--top` asks for fewer; nothing is left out silently.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::VoicingsWish;
use super::chord::read_symbol;
use super::effort::EffortJson;
use super::input;
use super::table;
use super::table::Side;
use crate::instrument::Finger;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::StringIdx;
use crate::theory::ChordSymbol;
use crate::voicing;
use crate::voicing::Voicing;
use crate::voicing::Wish;
use serde::Serialize;
use serde::Serializer;

/// The answer as JSON.
#[derive(Serialize)]
struct VoicingsJson<'a> {
    format: &'static str,
    symbol: &'a str,
    tuning: &'a str,
    /// How many follow.
    count: usize,
    voicings: Vec<VoicingJson<'a>>,
}

#[derive(Serialize)]
struct VoicingJson<'a> {
    /// One entry per string, lowest-pitched first; null is not played.
    frets: &'a [Option<u8>],
    /// One entry per string; 0 is open, null is not played.
    fingers: Vec<Option<FingerJson>>,
    /// 1 is the highest-pitched string.
    thumb_string: u8,
    /// Of the sounding notes, lowest-pitched string first.
    degrees: Vec<String>,
    /// In the same order.
    notes: Vec<String>,
    family: &'static str,
    effort: EffortJson<'a>,
}

/// A left-hand finger in JSON: 1 to 4, 0 for an open string, "T" for the thumb.
pub struct FingerJson(pub Option<Finger>);

impl Serialize for FingerJson {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self.0 {
            None => serializer.serialize_u8(0),
            Some(Finger::Thumb) => serializer.serialize_str("T"),
            Some(Finger::Index) => serializer.serialize_u8(1),
            Some(Finger::Middle) => serializer.serialize_u8(2),
            Some(Finger::Ring) => serializer.serialize_u8(3),
            Some(Finger::Little) => serializer.serialize_u8(4),
        }
    }
}

/// Does the job.
pub fn run(wish: &VoicingsWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let symbol = read_symbol(&wish.symbol)?;
    let instrument = input::instrument(wish.tuning.as_deref(), wish.capo)?;
    let asked = Wish {
        bass: wish.bass,
        ..Wish::default()
    };
    let mut found = voicing::voicings(symbol.chord(), &instrument, &Hand::default(), &asked);
    let all = found.len();
    found.truncate(wish.top.unwrap_or(all));
    if wish.json {
        return console.print_json(&json(&symbol, &instrument, &found));
    }
    if all == 0 {
        console.say(&format!(
            "no voicing of {} lies within this hand's limits on this instrument; try --bass any",
            symbol.text()
        ));
        return Ok(Exit::Findings);
    }
    console.print(&text(&symbol, &instrument, &found, all))
}

fn json<'a>(
    symbol: &'a ChordSymbol,
    instrument: &'a Instrument,
    found: &'a [Voicing],
) -> VoicingsJson<'a> {
    VoicingsJson {
        format: "thumbwalk-voicings-1",
        symbol: symbol.text(),
        tuning: instrument.tuning.name(),
        count: found.len(),
        voicings: found.iter().map(|v| voicing_json(v, instrument)).collect(),
    }
}

fn voicing_json<'a>(voicing: &'a Voicing, instrument: &Instrument) -> VoicingJson<'a> {
    let grip = &voicing.grip;
    let fingers = (0u8..).zip(grip.shape.frets()).map(|(string, fret)| {
        let finger = grip.finger(StringIdx(string));
        fret.map(|_| FingerJson(finger))
    });
    VoicingJson {
        frets: grip.shape.frets(),
        fingers: fingers.collect(),
        thumb_string: voicing.thumb_string.number(instrument.n_strings()),
        degrees: voicing.notes.iter().map(|n| n.degree.to_string()).collect(),
        notes: voicing
            .notes
            .iter()
            .map(|n| n.spelling.to_string())
            .collect(),
        family: voicing.family.words(),
        effort: EffortJson(&voicing.effort),
    }
}

fn text(symbol: &ChordSymbol, instrument: &Instrument, found: &[Voicing], all: usize) -> String {
    let heads = [
        ("effort", Side::Right),
        ("frets", Side::Left),
        ("fingers", Side::Left),
        ("degrees", Side::Left),
        ("notes", Side::Left),
        ("family", Side::Left),
    ];
    let row = |voicing: &Voicing| {
        let join = |words: Vec<String>| words.join(" ");
        vec![
            voicing.effort.total().to_string(),
            voicing.grip.shape.to_string(),
            voicing.grip.finger_text(),
            join(voicing.notes.iter().map(|n| n.degree.pretty()).collect()),
            join(voicing.notes.iter().map(|n| n.spelling.pretty()).collect()),
            voicing.family_words(),
        ]
    };
    let rows: Vec<Vec<String>> = found.iter().map(row).collect();
    let shown = if found.len() < all {
        format!("the easiest {} of {all}", found.len())
    } else {
        format!("all {all}, the easiest first")
    };
    let capo = match instrument.capo {
        0 => String::new(),
        fret => format!(", capo {fret}"),
    };
    let tuning = instrument.tuning.name();
    let table = table::columns(&heads, &rows);
    format!(
        "{} in {tuning} tuning{capo}: {shown}\n{table}",
        symbol.text()
    )
}
