//! Reads what follows the quality of a chord symbol: suspensions, alterations, added and omitted
//! tones, with or without brackets and commas, in any order. It stops before the slash of a bass
//! note.

use super::chord::ChordError;
use super::chord_parse::with_major_seventh;
use super::chord_parts::Change;
use super::chord_parts::ChordParts;
use super::chord_parts::Extension;
use super::chord_parts::Family;
use super::chord_parts::Suspension;
use super::chord_text::Cursor;
use super::chord_text::Word;
use super::degree::Degree;
use super::tone_set::Tone;
use super::tone_set::ToneSet;

/// Reads all changes into `parts`.
///
/// # Errors
/// Says which bytes are wrong and what was expected there.
pub(super) fn changes(cursor: &mut Cursor<'_>, parts: &mut ChordParts) -> Result<(), ChordError> {
    let mut opened_at = cursor.at();
    let mut after_separator = false;
    while !cursor.at_end() && !at_bass(cursor) {
        let start = cursor.at();
        if cursor.eat("(") {
            opened_at = start;
            cursor.depth += 1;
            after_separator = true;
        } else if cursor.peek() == Some(')') {
            close(cursor)?;
            after_separator = false;
        } else if cursor.eat(",") || cursor.eat("/") {
            after_separator = true;
        } else if cursor.depth > 0 && cursor.eat(" ") {
            after_separator = true; // a space inside brackets parts words as a comma does
        } else {
            change(cursor, parts, after_separator)?;
            after_separator = false;
        }
    }
    if cursor.depth > 0 {
        return Err(cursor.error_to_end(opened_at, "this bracket is never closed".into()));
    }
    parts.changes.sort_unstable();
    parts.changes.dedup();
    Ok(())
}

fn close(cursor: &mut Cursor<'_>) -> Result<(), ChordError> {
    if cursor.depth == 0 {
        return Err(cursor.error_from(cursor.at(), "this bracket was never opened".into()));
    }
    cursor.depth -= 1;
    cursor.eat(")");
    Ok(())
}

/// A slash begins the bass unless a tension follows it, as in `C7/b9` or `C6/9`.
fn at_bass(cursor: &Cursor<'_>) -> bool {
    let mut chars = cursor.rest().chars();
    chars.next() == Some('/') && !matches!(chars.next(), Some('b' | '♭' | '#' | '♯' | '0'..='9'))
}

fn change(
    cursor: &mut Cursor<'_>,
    parts: &mut ChordParts,
    after_separator: bool,
) -> Result<(), ChordError> {
    let start = cursor.at();
    if cursor.eat_word("sus") {
        suspend(cursor, parts);
        return Ok(());
    }
    if cursor.eat_word("altered") || cursor.eat_word("alt") {
        return alter_all(cursor, parts, start);
    }
    if cursor.eat_word("add") {
        return add(cursor, parts, start);
    }
    if cursor.eat_word("omit") || cursor.eat_word("no") {
        return omit(cursor, parts, start);
    }
    if let Some(alter) = cursor.accidental() {
        return tension(cursor, parts, start, alter);
    }
    let bare_number_fits = after_separator || parts.suspension.is_some();
    if bare_number_fits && !cursor.digits().is_empty() {
        return bare_number(cursor, parts, start);
    }
    if matches!(cursor.word(), Some(Word::Major | Word::Triangle)) {
        return major_seventh(cursor, parts, start);
    }
    cursor.back_to(start);
    Err(unknown(cursor, start))
}

fn unknown(cursor: &Cursor<'_>, start: usize) -> ChordError {
    let rest = cursor.rest();
    let len = rest.find([',', ')', '(', '/']).unwrap_or(rest.len()).max(1);
    let word = rest.get(..len).unwrap_or(rest);
    let message = if word.starts_with(char::is_whitespace) {
        "a chord symbol has no spaces outside brackets".into()
    } else {
        format!("“{word}” is no chord ending I know; try m, 7, maj7, dim, sus4, b9, #11 or add9")
    };
    ChordError {
        message,
        at: start..start + word.len(),
    }
}

fn suspend(cursor: &mut Cursor<'_>, parts: &mut ChordParts) {
    let read = if cursor.eat("24") || cursor.eat("42") || cursor.eat("2/4") {
        Suspension::Both
    } else if cursor.eat("2") {
        Suspension::Second
    } else {
        cursor.eat("4");
        Suspension::Fourth
    };
    parts.suspension = match parts.suspension {
        Some(before) if before != read => Some(Suspension::Both),
        _ => Some(read),
    };
    // nothing of the third is left, so that `Cm7sus4` is `C7sus4`
    if parts.family == Family::Minor && parts.extension >= Extension::Seventh {
        parts.family = Family::Dominant;
    }
}

fn alter_all(cursor: &Cursor<'_>, parts: &mut ChordParts, start: usize) -> Result<(), ChordError> {
    let fits = matches!(
        (parts.family, parts.extension),
        (Family::Major, Extension::Triad) | (Family::Dominant, Extension::Seventh)
    );
    if !fits || parts.suspension.is_some() {
        let message = "“alt” belongs to a dominant seventh chord: write C7alt or Calt";
        return Err(cursor.error_from(start, message.into()));
    }
    parts.family = Family::Altered;
    parts.extension = Extension::Seventh;
    Ok(())
}

fn add(cursor: &mut Cursor<'_>, parts: &mut ChordParts, start: usize) -> Result<(), ChordError> {
    while cursor.eat(" ") || cursor.eat(".") {}
    let alter = cursor.accidental().unwrap_or(0);
    let tone = number(cursor).and_then(|number| {
        let tone = Tone::from_degree(Degree::new(number, alter))?;
        let seventh = matches!(
            tone,
            Tone::Root | Tone::DimSeventh | Tone::MinorSeventh | Tone::MajorSeventh
        );
        (!seventh).then_some(tone)
    });
    let Some(tone) = tone else {
        let message = "expected a tone after “add”: add9, add11, add13, addb9, add#11 …";
        return Err(cursor.error_from(start, message.into()));
    };
    let third = matches!(tone, Tone::Third | Tone::MinorThird);
    if third && parts.tones().is_some_and(ToneSet::has_third) {
        let message = "this chord already has a third";
        return Err(cursor.error_from(start, message.into()));
    }
    let tone = match tone {
        Tone::Second => Tone::Ninth,
        Tone::Fourth => Tone::Eleventh,
        other => other,
    };
    parts.changes.push(Change::Add(tone));
    Ok(())
}

fn omit(cursor: &mut Cursor<'_>, parts: &mut ChordParts, start: usize) -> Result<(), ChordError> {
    while cursor.eat(" ") || cursor.eat(".") {}
    match number(cursor) {
        Some(number @ (3 | 5 | 9 | 11 | 13)) => {
            let _ = cursor.eat_word("rd") || cursor.eat_word("th") || cursor.eat_word("d");
            parts.changes.push(Change::Omit(number));
            Ok(())
        }
        _ => {
            let message = "expected 3, 5, 9 or 11 after “no” or “omit”, as in C7no5";
            Err(cursor.error_from(start, message.into()))
        }
    }
}

fn tension(
    cursor: &mut Cursor<'_>,
    parts: &mut ChordParts,
    start: usize,
    alter: i8,
) -> Result<(), ChordError> {
    let number = match number(cursor) {
        None if alter > 0 => Some(5),
        other => other,
    };
    let tone = number
        .and_then(|number| Tone::from_degree(Degree::new(number, alter)))
        .filter(|tone| tone.natural().is_some());
    let Some(tone) = tone else {
        let message = "expected an altered tone: b5, #5, b9, #9, #11 or b13";
        return Err(cursor.error_from(start, message.into()));
    };
    parts.changes.push(Change::Alter(tone));
    Ok(())
}

/// A number after a bracket or comma (`C7(13)`), or after sus (`Csus9`).
fn bare_number(
    cursor: &mut Cursor<'_>,
    parts: &mut ChordParts,
    start: usize,
) -> Result<(), ChordError> {
    let triad = parts.extension == Extension::Triad;
    let read = number(cursor);
    let suspended_extension = match read {
        Some(7) => Some(Extension::Seventh),
        Some(9) => Some(Extension::Ninth),
        Some(13) => Some(Extension::Thirteenth),
        _ => None,
    };
    let stacks = parts.suspension.is_some() || read == Some(7);
    if let Some(extension) = suspended_extension.filter(|_| triad && stacks) {
        if parts.family == Family::Major {
            parts.family = Family::Dominant;
        }
        parts.extension = extension;
        return Ok(());
    }
    let tone = match read {
        Some(2 | 9) => Tone::Ninth,
        Some(4 | 11) => Tone::Eleventh,
        Some(6) => Tone::Sixth,
        Some(13) => Tone::Thirteenth,
        _ => {
            let message = "expected a tension here: 9, 11, 13, b9, #9, #11 or b13";
            return Err(cursor.error_from(start, message.into()));
        }
    };
    parts.changes.push(Change::Add(tone));
    Ok(())
}

/// `maj7` behind something else: `Csus4(maj7)`, `C(maj7)`.
fn major_seventh(
    cursor: &mut Cursor<'_>,
    parts: &mut ChordParts,
    start: usize,
) -> Result<(), ChordError> {
    let extension = cursor
        .extension()?
        .map_or(Extension::Seventh, |n| n.extension());
    let family = with_major_seventh(parts.family)
        .filter(|_| parts.extension == Extension::Triad && extension >= Extension::Seventh);
    let Some(family) = family else {
        let message = "this chord cannot take a major seventh as well";
        return Err(cursor.error_from(start, message.into()));
    };
    parts.family = family;
    parts.extension = extension;
    Ok(())
}

fn number(cursor: &mut Cursor<'_>) -> Option<u8> {
    let digits = cursor.digits();
    let number = digits.parse().ok().filter(|n| (1..=13).contains(n))?;
    cursor.eat(digits);
    Some(number)
}
