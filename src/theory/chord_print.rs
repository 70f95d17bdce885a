//! Prints chord qualities in the two house styles, and in words for screen readers. All spellings
//! are in the tables below; every printed symbol can be read back to the same meaning, which a
//! property test holds. Changes always stand in brackets, so that an accidental next to the root
//! is never taken for the root's own.

use super::chord::HouseStyle;
use super::chord_parts::Change;
use super::chord_parts::ChordParts;
use super::chord_parts::Extension;
use super::chord_parts::Family;
use super::chord_parts::Suspension;
use super::pitch::Spelling;
use super::tone_set::Tone;

/// How a family is written: before the number, and an alteration that has to be spelled out.
struct Stem {
    family: Family,
    letters: (&'static str, Option<Tone>),
    signs: (&'static str, Option<Tone>),
    words: &'static str,
}

const fn stem(
    family: Family,
    letters: (&'static str, Option<Tone>),
    signs: (&'static str, Option<Tone>),
    words: &'static str,
) -> Stem {
    Stem {
        family,
        letters,
        signs,
        words,
    }
}

/// With a seventh.
const SEVENTHS: [Stem; 11] = [
    stem(Family::Major, ("maj", None), ("Δ", None), "major"),
    stem(Family::Dominant, ("", None), ("", None), "dominant"),
    stem(Family::Minor, ("m", None), ("-", None), "minor"),
    stem(
        Family::MinorMajor,
        ("mMaj", None),
        ("-Δ", None),
        "minor with major",
    ),
    stem(Family::Diminished, ("dim", None), ("°", None), "diminished"),
    stem(
        Family::HalfDiminished,
        ("m", Some(Tone::FlatFifth)),
        ("ø", None),
        "half-diminished",
    ),
    stem(
        Family::DiminishedMajor,
        ("dimMaj", None),
        ("°Δ", None),
        "diminished with major",
    ),
    stem(
        Family::Augmented,
        ("", Some(Tone::SharpFifth)),
        ("+", None),
        "augmented",
    ),
    stem(
        Family::AugmentedMajor,
        ("maj", Some(Tone::SharpFifth)),
        ("Δ", Some(Tone::SharpFifth)),
        "augmented with major",
    ),
    stem(Family::Altered, ("", None), ("", None), "altered dominant"),
    stem(Family::Power, ("", None), ("", None), "power chord"),
];

/// Triads and sixths.
const TRIADS: [Stem; 5] = [
    stem(Family::Major, ("", None), ("", None), "major"),
    stem(Family::Minor, ("m", None), ("-", None), "minor"),
    stem(Family::Diminished, ("dim", None), ("°", None), "diminished"),
    stem(Family::Augmented, ("aug", None), ("+", None), "augmented"),
    stem(Family::Power, ("5", None), ("5", None), "power chord"),
];

const fn number(extension: Extension) -> &'static str {
    match extension {
        Extension::Triad => "",
        Extension::Sixth => "6",
        Extension::SixNine => "6/9",
        Extension::Seventh => "7",
        Extension::Ninth => "9",
        Extension::Eleventh => "11",
        Extension::Thirteenth => "13",
    }
}

const fn number_words(extension: Extension) -> &'static str {
    match extension {
        Extension::Triad => "",
        Extension::Sixth => " sixth",
        Extension::SixNine => " six nine",
        Extension::Seventh => " seventh",
        Extension::Ninth => " ninth",
        Extension::Eleventh => " eleventh",
        Extension::Thirteenth => " thirteenth",
    }
}

fn stem_of(parts: &ChordParts) -> Option<&'static Stem> {
    let table: &'static [Stem] = if parts.extension >= Extension::Seventh {
        &SEVENTHS
    } else {
        &TRIADS
    };
    table.iter().find(|row| row.family == parts.family)
}

/// A note in a house style.
pub(super) fn note(spelling: Spelling, style: HouseStyle) -> String {
    match style {
        HouseStyle::Letters => spelling.to_string(),
        HouseStyle::Signs => spelling.pretty(),
    }
}

/// What follows the root in a house style, without the slash bass.
pub(super) fn quality(parts: &ChordParts, style: HouseStyle) -> String {
    let (word, alteration) = stem_of(parts).map_or(("", None), |row| match style {
        HouseStyle::Letters => row.letters,
        HouseStyle::Signs => row.signs,
    });
    let mut text = format!("{word}{}", number(parts.extension));
    if parts.family == Family::Altered {
        text.push_str("alt");
    }
    text.push_str(match parts.suspension {
        None => "",
        Some(Suspension::Fourth) => "sus4",
        Some(Suspension::Second) => "sus2",
        Some(Suspension::Both) => "sus24",
    });
    let spelled_out = alteration.map(Change::Alter);
    let mut changes: Vec<Change> = spelled_out.into_iter().collect();
    changes.extend(parts.changes.iter().copied());
    changes.sort_unstable();
    if !changes.is_empty() {
        let words: Vec<String> = changes.iter().map(|c| change(*c, style)).collect();
        text.push_str(&format!("({})", words.join(",")));
    }
    text
}

fn change(change: Change, style: HouseStyle) -> String {
    let tone = |tone: Tone| match style {
        HouseStyle::Letters => tone.degree().to_string(),
        HouseStyle::Signs => tone.degree().pretty(),
    };
    match change {
        Change::Alter(altered) => tone(altered),
        Change::Add(added) => format!("add{}", tone(added)),
        Change::Omit(degree_number) => format!("no{degree_number}"),
    }
}

/// The quality in words: `minor seventh, flat fifth`.
pub(super) fn words(parts: &ChordParts) -> String {
    let family = stem_of(parts).map_or("", |row| row.words);
    let mut text = match (parts.family, parts.suspension) {
        (Family::Major, Some(_)) if parts.extension == Extension::Triad => String::new(),
        (Family::Altered, _) => family.into(),
        _ => format!("{family}{}", number_words(parts.extension)),
    };
    let suspended = match parts.suspension {
        None => "",
        Some(Suspension::Fourth) => "suspended fourth",
        Some(Suspension::Second) => "suspended second",
        Some(Suspension::Both) => "suspended second and fourth",
    };
    let changes = parts.changes.iter().map(|c| change_words(*c));
    for part in std::iter::once(suspended.to_owned()).chain(changes) {
        if !text.is_empty() && !part.is_empty() {
            text.push_str(", ");
        }
        text.push_str(&part);
    }
    text
}

fn change_words(change: Change) -> String {
    let named = |tone: Tone| {
        let degree = tone.degree();
        let sign = match degree.alter() {
            i8::MIN..=-1 => "flat ",
            0 => "",
            1.. => "sharp ",
        };
        format!("{sign}{}", ordinal(degree.number()))
    };
    match change {
        Change::Alter(tone) => named(tone),
        Change::Add(tone) => format!("added {}", named(tone)),
        Change::Omit(degree_number) => format!("without {}", ordinal(degree_number)),
    }
}

const fn ordinal(degree_number: u8) -> &'static str {
    match degree_number {
        2 => "second",
        3 => "third",
        4 => "fourth",
        5 => "fifth",
        6 => "sixth",
        7 => "seventh",
        9 => "ninth",
        11 => "eleventh",
        13 => "thirteenth",
        _ => "root",
    }
}
