//! `thumbwalk chord`: what a chord symbol means — its notes with their degrees, what a voicing
//! must have and what may go.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::ChordWish;
use super::table;
use crate::theory::Chord;
use crate::theory::ChordSymbol;
use crate::theory::ChordTone;
use crate::theory::HouseStyle;
use crate::theory::PcSet;
use crate::theory::Spelling;
use serde::Serialize;

/// The answer as JSON; pitch classes count from C = 0.
#[derive(Serialize)]
struct ChordJson<'a> {
    format: &'static str,
    symbol: &'a str,
    root: String,
    bass: String,
    notes: Vec<String>,
    pitch_classes: Vec<u8>,
    required: Vec<u8>,
    optional: Vec<u8>,
}

/// Does the job.
pub fn run(wish: &ChordWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let symbol = read_symbol(&wish.symbol)?;
    if wish.json {
        console.print_json(&json(&symbol))
    } else {
        console.print(&text(&symbol))
    }
}

/// Reads a chord symbol, or refuses it with a line that points at the place.
pub fn read_symbol(text: &str) -> Result<ChordSymbol, Failure> {
    ChordSymbol::parse(text).map_err(|error| {
        let before = text.get(..error.at.start).unwrap_or(text);
        let wrong = text.get(error.at.clone()).unwrap_or_default();
        let indent = " ".repeat(before.chars().count());
        let marks = "^".repeat(wrong.chars().count().max(1));
        Failure::Refused(format!(
            "`{text}` is not a chord symbol: {error}\n  {text}\n  {indent}{marks}"
        ))
    })
}

fn json(symbol: &ChordSymbol) -> ChordJson<'_> {
    let chord = symbol.chord();
    let numbers = |set: PcSet| set.iter().map(crate::theory::PitchClass::number).collect();
    let required = required(chord);
    ChordJson {
        format: "thumbwalk-chord-1",
        symbol: symbol.text(),
        root: chord.root().to_string(),
        bass: chord.bass().to_string(),
        notes: chord.notes().iter().map(ToString::to_string).collect(),
        pitch_classes: numbers(chord.pitch_classes()),
        required: numbers(required),
        optional: numbers(chord.pitch_classes().minus(required)),
    }
}

/// What must sound: the essential tones, and the bass where one is written after a slash.
fn required(chord: &Chord) -> PcSet {
    let bass = chord.slash_bass().map(Spelling::pitch_class);
    bass.map_or(chord.required(), |pc| chord.required().with(pc))
}

fn text(symbol: &ChordSymbol) -> String {
    let chord = symbol.chord();
    let tones = chord.tones();
    let width = 4;
    let row = |cells: Vec<String>| {
        let cells: String = cells.iter().map(|cell| format!("{cell:<width$}")).collect();
        cells.trim_end().to_owned()
    };
    let one_of = chord.one_of();
    let is_choice = |t: &ChordTone| one_of.contains(t.degree.above(chord.root().pitch_class()));
    let degrees = |wanted: &dyn Fn(&ChordTone) -> bool| {
        let wanted = tones.iter().filter(|t| wanted(t));
        wanted
            .map(|t| t.degree.pretty())
            .collect::<Vec<_>>()
            .join(" ")
    };
    let spelled = |t: &ChordTone| t.degree.spelled_above(chord.root()).pretty();
    let mut facts = vec![
        ("notes", row(tones.iter().map(spelled).collect())),
        (
            "degrees",
            row(tones.iter().map(|t| t.degree.pretty()).collect()),
        ),
        ("needed", degrees(&|t| t.essential)),
        ("one of", degrees(&is_choice)),
        ("may go", degrees(&|t| !t.essential && !is_choice(t))),
    ];
    facts.retain(|(_, value)| !value.is_empty());
    if let Some(bass) = chord.slash_bass() {
        facts.push(("bass", bass.pretty()));
    }
    let letters = symbol.printed(HouseStyle::Letters);
    let signs = symbol.printed(HouseStyle::Signs);
    let styles = if letters == signs {
        letters
    } else {
        format!("{letters}   {signs}")
    };
    format!("{styles}\n{}", table::facts(&facts))
}
