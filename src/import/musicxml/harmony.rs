//! Chord symbols of MusicXML: a root, one of its kinds, degrees that are added, altered or left out,
//! and a bass. What the kind and its degrees mean decides; the text that stands beside them is only
//! taken as the spelling where it means the same, or where the kind says nothing.
//!
//! Kinds and how degrees count: MusicXML 4.0, `kind-value`, `degree-alter` and `degree-type`, W3C
//! Music Notation Community Group, 2021. The eleventh of a major or dominant thirteenth, which the
//! standard counts in, is left out as players read the symbol (common practice).

use super::element::Element;
use super::element::whole_number;
use super::transpose::Transpose;
use crate::theory::Chord;
use crate::theory::ChordSymbol;
use crate::theory::Degree;
use crate::theory::Harmony;
use crate::theory::HouseStyle;
use crate::theory::Key;
use crate::theory::Letter;
use crate::theory::Spelling;
use crate::theory::roman;

/// Kinds and what a player would write behind the root.
const KINDS: &[(&str, &str)] = &[
    ("major", ""),
    ("minor", "m"),
    ("augmented", "+"),
    ("diminished", "dim"),
    ("dominant", "7"),
    ("major-seventh", "maj7"),
    ("minor-seventh", "m7"),
    ("diminished-seventh", "dim7"),
    ("augmented-seventh", "7#5"),
    ("half-diminished", "m7b5"),
    ("major-minor", "m(maj7)"),
    // Not in the standard, but in files.
    ("minor-major", "m(maj7)"),
    ("major-sixth", "6"),
    ("minor-sixth", "m6"),
    ("dominant-ninth", "9"),
    ("major-ninth", "maj9"),
    ("minor-ninth", "m9"),
    ("dominant-11th", "11"),
    ("major-11th", "maj11"),
    ("minor-11th", "m11"),
    ("dominant-13th", "13"),
    ("major-13th", "maj13"),
    ("minor-13th", "m13"),
    ("suspended-second", "sus2"),
    ("suspended-fourth", "sus4"),
    ("power", "5"),
    // The pedal point itself: nothing but its tone and the fifth that sounds with it.
    ("pedal", "5"),
    ("Tristan", "m7b5"),
];

/// Degrees of the sixth chords that the standard names, above the note it counts from.
const SIXTH_CHORDS: &[(&str, &[(u8, i8)])] = &[
    ("Neapolitan", &[(9, -1), (3, 0), (5, -1)]),
    ("Italian", &[(11, 1), (13, -1)]),
    ("French", &[(9, 0), (11, 1), (13, -1)]),
    ("German", &[(3, -1), (11, 1), (13, -1)]),
];

/// A chord symbol that was understood.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Read {
    pub(super) harmony: Harmony,
    /// What was guessed about it, as a sentence.
    pub(super) guess: Option<String>,
}

/// Reads a `harmony` element; the error says in words what is not understood.
pub(super) fn read(element: &Element, transpose: Transpose, key: Key) -> Result<Read, String> {
    let kind_element = element.child("kind");
    let kind = kind_element.map_or("", Element::text);
    let text = kind_element.and_then(|kind| kind.attribute("text"));
    if kind == "none" || text.is_some_and(is_no_chord) {
        return Ok(Read {
            harmony: Harmony::NoChord,
            guess: None,
        });
    }
    let root = root(element, key, transpose)?;
    let bass = element.child("bass").map(|bass| note(bass, "bass"));
    let bass = bass.transpose()?.map(|bass| transpose.note(bass));
    let spelled = text.and_then(|text| parsed(root, text, bass));
    let Some(mut degrees) = degrees_of(kind) else {
        return match spelled {
            Some(symbol) => {
                let guess = format!(
                    "the kind “{kind}” says nothing; the chord is read from its text, {}",
                    symbol.text()
                );
                Ok(Read {
                    harmony: Harmony::Chord(symbol),
                    guess: (kind != "other" && !kind.is_empty()).then_some(guess),
                })
            }
            None => Err(unknown(root, kind, text)),
        };
    };
    let mut guess = None;
    for change in element.all("degree") {
        apply(change, &mut degrees, &mut guess);
    }
    let bass = bass.or_else(|| inverted(element, root, &degrees));
    let meant = Chord::from_degrees(root, &degrees, bass);
    let meant = meant.ok_or_else(|| unknown(root, kind, text))?;
    let same = |symbol: &ChordSymbol| symbol.chord().pitch_classes() == meant.pitch_classes();
    let plain = || {
        let untouched = !element.has("degree");
        let suffix = suffix_of(kind).filter(|_| untouched)?;
        parsed(root, suffix, bass)
    };
    let printed = || ChordSymbol::parse(&meant.printed(HouseStyle::Letters)).ok();
    let symbol = spelled
        .filter(same)
        .or_else(plain)
        .or_else(|| printed().filter(same))
        .unwrap_or_else(|| ChordSymbol::from_chord(meant.clone(), HouseStyle::Letters));
    let rare = ["pedal", "tristan"]
        .iter()
        .any(|rare| rare.eq_ignore_ascii_case(kind));
    let named = rare || suffix_of(kind).is_none();
    if guess.is_none() && named {
        guess = Some(format!("the {kind} chord is written as {}", symbol.text()));
    }
    Ok(Read {
        harmony: Harmony::Chord(symbol),
        guess,
    })
}

fn is_no_chord(text: &str) -> bool {
    matches!(Harmony::parse(text), Ok(Harmony::NoChord))
}

fn unknown(root: Spelling, kind: &str, text: Option<&str>) -> String {
    let shown: String = text
        .filter(|t| !t.is_empty())
        .unwrap_or(kind)
        .chars()
        .take(40)
        .collect();
    format!("the chord “{root} {shown}” is not understood and left out; write it in the grid")
}

/// A text behind a root as a chord, if players read it as one.
fn parsed(root: Spelling, text: &str, bass: Option<Spelling>) -> Option<ChordSymbol> {
    let bass = bass.map_or_else(String::new, |bass| format!("/{bass}"));
    let text = text.trim();
    // An accidental at once behind the root would belong to it.
    let joined = !text.starts_with(['b', '#', '♭', '♯', 'x']);
    let symbol = ChordSymbol::parse(&format!("{root}{text}{bass}")).ok();
    symbol.filter(|symbol| joined && symbol.chord().root() == root)
}

fn suffix_of(kind: &str) -> Option<&'static str> {
    let known = KINDS
        .iter()
        .find(|(name, _)| name.eq_ignore_ascii_case(kind));
    known.map(|(_, suffix)| *suffix)
}

fn degrees_of(kind: &str) -> Option<Vec<Degree>> {
    if let Some((_, degrees)) = SIXTH_CHORDS
        .iter()
        .find(|(name, _)| name.eq_ignore_ascii_case(kind))
    {
        let above = degrees
            .iter()
            .map(|(number, alter)| Degree::new(*number, *alter));
        return Some(std::iter::once(Degree::ROOT).chain(above).collect());
    }
    let symbol = ChordSymbol::parse(&format!("C{}", suffix_of(kind)?)).ok()?;
    Some(
        symbol
            .chord()
            .tones()
            .iter()
            .map(|tone| tone.degree)
            .collect(),
    )
}

/// Takes a change over. An added degree counts from the dominant chord's own, so that a seventh is
/// minor; another from the degree that is there.
fn apply(change: &Element, degrees: &mut Vec<Degree>, guess: &mut Option<String>) {
    let number = whole_number(change.text_of("degree-value")).and_then(|n| u8::try_from(n).ok());
    let number = number.filter(|n| (1..=13).contains(n));
    let alter = whole_number(change.text_of("degree-alter")).unwrap_or(0);
    let alter = i8::try_from(alter).ok().filter(|alter| alter.abs() <= 2);
    let (Some(number), Some(alter)) = (number, alter) else {
        *guess = Some("a degree of a chord is damaged and left out".into());
        return;
    };
    let place = degrees.iter().position(|degree| degree.number() == number);
    let own = place.and_then(|place| degrees.get(place)).copied();
    let dominant = if number == 7 { -1 } else { 0 };
    match (change.text_of("degree-type"), place, own) {
        ("subtract", Some(place), _) => {
            degrees.remove(place);
        }
        ("subtract", None, _) => {
            *guess = Some("a degree that the chord does not have is to be left out of it".into());
        }
        ("alter", Some(place), Some(own)) => {
            if let Some(degree) = degrees.get_mut(place) {
                *degree = Degree::new(number, own.alter().saturating_add(alter));
            }
        }
        _ => degrees.push(Degree::new(number, dominant + alter)),
    }
}

/// The bass that an inversion without a written bass asks for.
fn inverted(element: &Element, root: Spelling, degrees: &[Degree]) -> Option<Spelling> {
    let inversion = whole_number(element.text_of("inversion"))?;
    let inversion = usize::try_from(inversion).ok().filter(|n| *n > 0)?;
    let mut sorted = degrees.to_vec();
    sorted.sort();
    sorted
        .get(inversion)
        .map(|degree| degree.spelled_above(root))
}

fn root(element: &Element, key: Key, transpose: Transpose) -> Result<Spelling, String> {
    if let Some(root) = element.child("root") {
        return note(root, "root").map(|note| transpose.note(note));
    }
    if let Some(numeral) = element.child("numeral") {
        let number = whole_number(numeral.text_of("numeral-root"));
        let number = number
            .and_then(|n| u8::try_from(n).ok())
            .filter(|n| (1..=7).contains(n));
        let number = number.ok_or("a chord without a root is left out; write it in the grid")?;
        let alter = whole_number(numeral.text_of("numeral-alter")).unwrap_or(0);
        let letter = key.tonic.letter().up(i32::from(number) - 1);
        let own = i32::from(key.alter_of(letter));
        let alter = i8::try_from((own + alter).clamp(-3, 3)).unwrap_or(0);
        return Ok(Spelling::new(letter, alter));
    }
    let function = element.text_of("function");
    let read = roman::parse(function, key).ok();
    read.map(|symbol| symbol.chord().root()).ok_or_else(|| {
        let function: String = function.chars().take(20).collect();
        format!("the chord “{function}” has no root that is understood and is left out")
    })
}

/// `root-step` and `root-alter`, or the same of the bass.
fn note(element: &Element, name: &str) -> Result<Spelling, String> {
    let letter = element.text_of(&format!("{name}-step"));
    let letter = letter.chars().next().and_then(Letter::from_char);
    let alter = whole_number(element.text_of(&format!("{name}-alter"))).unwrap_or(0);
    let alter = i8::try_from(alter).ok().filter(|alter| alter.abs() <= 2);
    match (letter, alter) {
        (Some(letter), Some(alter)) => Ok(Spelling::new(letter, alter)),
        _ => Err(format!("a chord whose {name} is damaged is left out")),
    }
}

#[cfg(test)]
mod tests;
