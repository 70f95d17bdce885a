//! Reads chord symbols as jazz players type them and says in plain words what it cannot read.
//!
//! Grammar (letters in any case, but for `M`/`m` and note names; signs ♭ ♯ count as `b` `#`):
//!
//! ```text
//! symbol   = note quality { "(" | ")" | "," | change } [ "/" note ]
//! note     = "A".."G" [ "b" | "bb" | "#" | "##" | "x" ]
//! quality  = [ word ] [ ["(" | "/"] major-word ] [ number ] [ "M" after 7 ]
//! word     = maj ma M j Δ ^ | min mi m - | dim o ° | ø hdim | aug + | dom
//! number   = 5 | 6 | 69 | 7 | 9 | 11 | 13
//! change   = sus sus2 sus4 sus24 | alt | ("b"|"-") n | ("#"|"+") n | "+" | add [b|#] n
//!          | (no|omit) n | maj7 | n after "(" "," or "/"
//! ```
//!
//! An accidental right after the root belongs to the root: `Cb5` is the power chord on C flat,
//! `C(b5)` the chord with a flat fifth. `C2` and `C4` are refused with a question, because
//! players mean different chords by them. Where reference libraries disagree
//! (`tests/tables/chords.json`), the choices are:
//!
//! * `C11`: third kept but not essential (one library drops it);
//! * `C13`, `E13(b9)`: no eleventh unless it is written (one library adds it), ninth optional;
//! * `C13#11`, `Cmaj13#11`: the written alteration replaces the implied tone (one library drops
//!   alterations on thirteenths);
//! * `C7(b13)`, `C7(#11)`: the perfect fifth stays, not essential (one library drops it);
//! * `C7b9b13`: no eleventh (one library adds it);
//! * `C7b5b9`: the natural fifth goes (one library keeps it);
//! * `Calt`: 3 and ♭7 essential, ♭5 ♯5 ♭9 ♯9 optional with at least one of them
//!   ([`super::chord::Chord::one_of`]); the libraries each pick one fixed set.

use super::chord::ChordError;
use super::chord_parts::ChordParts;
use super::chord_parts::Extension;
use super::chord_parts::Family;
use super::chord_text::Cursor;
use super::chord_text::Word;
use super::pitch::Spelling;

/// What a text means: root, parts and slash bass.
pub(super) struct Parsed {
    pub(super) root: Spelling,
    pub(super) parts: ChordParts,
    pub(super) bass: Option<Spelling>,
}

/// Reads a whole symbol.
///
/// # Errors
/// Says which bytes are wrong and what was expected there.
pub(super) fn parse(text: &str) -> Result<Parsed, ChordError> {
    let mut cursor = Cursor::new(text);
    let root = cursor.root()?;
    let parts = parts(&mut cursor, false)?;
    let bass = if cursor.eat("/") {
        Some(bass(&mut cursor)?)
    } else {
        None
    };
    Ok(Parsed { root, parts, bass })
}

/// Reads what follows a root, up to a slash bass or the end. After a small Roman numeral
/// (`minor`) the triad is minor unless the text says diminished.
///
/// # Errors
/// Says which bytes are wrong and what was expected there.
pub(super) fn parts(cursor: &mut Cursor<'_>, minor: bool) -> Result<ChordParts, ChordError> {
    let mut parts = quality(cursor, minor)?;
    super::chord_changes::changes(cursor, &mut parts)?;
    if parts.tones().is_none() {
        return Err(cursor.error_from(0, "this leaves no note but the root".into()));
    }
    Ok(parts)
}

/// The text after the root.
pub(super) fn after_root(text: &str) -> &str {
    let mut cursor = Cursor::new(text);
    let _ = cursor.root();
    cursor.rest()
}

/// The quality word; a small numeral stands for "minor" by itself.
fn quality_word(cursor: &mut Cursor<'_>, minor: bool) -> Result<Option<Word>, ChordError> {
    let start = cursor.at();
    let word = cursor.word();
    match word {
        Some(Word::Augmented | Word::Dominant) if minor => {
            let message = "a small numeral is a minor or diminished chord; write V+ or V7";
            Err(cursor.error_from(start, message.into()))
        }
        None | Some(Word::Major | Word::Triangle) if minor => {
            cursor.back_to(start);
            Ok(Some(Word::Minor))
        }
        _ => Ok(word),
    }
}

fn bass(cursor: &mut Cursor<'_>) -> Result<Spelling, ChordError> {
    let start = cursor.at();
    let note = cursor.note().filter(|_| cursor.at_end()).ok_or_else(|| {
        cursor.error_to_end(
            start,
            "after the slash comes one bass note, A to G with b or #, as in C/E".into(),
        )
    })?;
    Ok(note)
}

/// Family and extension. A bracket or slash before a major seventh (`Cm(maj7)`) is read here;
/// its closing bracket is left to the changes.
fn quality(cursor: &mut Cursor<'_>, minor: bool) -> Result<ChordParts, ChordError> {
    let word = quality_word(cursor, minor)?;
    let triad = match word {
        Some(Word::Minor) => Family::Minor,
        Some(Word::Diminished) => Family::Diminished,
        Some(Word::HalfDiminished) => Family::HalfDiminished,
        Some(Word::Augmented) => Family::Augmented,
        None | Some(Word::Major | Word::Triangle | Word::Dominant) => Family::Major,
    };
    if let Some(family) = with_major_seventh(triad)
        && triad != Family::Major
        && let Some(extension) = cursor.major_seventh()?
    {
        return Ok(ChordParts::plain(family, extension));
    }
    let number = cursor.extension()?;
    let family = match (word, number) {
        (None, Some(Number::Five)) => Family::Power,
        (None | Some(Word::Dominant), Some(number)) if number.is_seventh() => Family::Dominant,
        (Some(Word::Dominant), None) => Family::Dominant,
        _ => triad,
    };
    let extension = match (word, number) {
        (_, Some(number)) => number.extension(),
        (Some(Word::Triangle | Word::HalfDiminished | Word::Dominant), None) => Extension::Seventh,
        (_, None) => Extension::Triad,
    };
    let has_five = number == Some(Number::Five) && word.is_some();
    let family = match with_major_seventh(family) {
        Some(major) if extension >= Extension::Seventh && cursor.trailing_major() => major,
        _ => family,
    };
    if has_five || family.stack(extension).is_none() {
        let message = "this kind of chord does not go with that number; try 7, 9, 11 or 13";
        return Err(cursor.error_from(cursor.root_end(), message.into()));
    }
    Ok(ChordParts::plain(family, extension))
}

/// The family with the same triad and a major seventh.
pub(super) const fn with_major_seventh(family: Family) -> Option<Family> {
    match family {
        Family::Major | Family::Dominant => Some(Family::Major),
        Family::Minor => Some(Family::MinorMajor),
        Family::Diminished => Some(Family::DiminishedMajor),
        Family::Augmented => Some(Family::AugmentedMajor),
        _ => None,
    }
}

/// The number after the quality word.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Number {
    Five,
    Six,
    SixNine,
    Seven,
    Nine,
    Eleven,
    Thirteen,
}

impl Number {
    pub(super) const ALL: [(&'static str, Self); 7] = [
        ("69", Self::SixNine),
        ("13", Self::Thirteen),
        ("11", Self::Eleven),
        ("9", Self::Nine),
        ("7", Self::Seven),
        ("6", Self::Six),
        ("5", Self::Five),
    ];

    const fn is_seventh(self) -> bool {
        !matches!(self, Self::Five | Self::Six | Self::SixNine)
    }

    pub(super) const fn extension(self) -> Extension {
        match self {
            Self::Five => Extension::Triad,
            Self::Six => Extension::Sixth,
            Self::SixNine => Extension::SixNine,
            Self::Seven => Extension::Seventh,
            Self::Nine => Extension::Ninth,
            Self::Eleven => Extension::Eleventh,
            Self::Thirteen => Extension::Thirteenth,
        }
    }
}
