//! Words that several views share: where something is, what a thumb note does, how a voicing is
//! stacked. One place, so that the screen, the hover texts and the screen reader agree.

use crate::arrange::PlayedNote;
use crate::document::BarLine;
use crate::instrument::Effort;
use crate::instrument::StringIdx;
use crate::session::Session;
use crate::theory::Meter;
use crate::theory::Quality;
use crate::theory::Spelling;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::theory::beats::amount_text;
use crate::voicing::Family;

/// `beat 2`, `beat 2 and`, `beat 2, third 3`; what lies between is counted `beat 2 e` and `beat 2
/// a`, in triplets `beat 2, triplet 3` (common practice).
#[must_use]
pub fn beat(meter: Meter, at: Ticks) -> String {
    let number = at.beat_idx() + 1;
    let within = at.within_beat();
    if within == 0 {
        return format!("beat {number}");
    }
    let quarters = (within * 4).checked_div(TICKS_PER_BEAT);
    let thirds = within * 3 / TICKS_PER_BEAT + 1;
    let in_thirds = (within * 3).is_multiple_of(TICKS_PER_BEAT);
    let in_quarters = (within * 4).is_multiple_of(TICKS_PER_BEAT);
    match quarters {
        _ if meter.is_compound() && in_thirds => format!("beat {number}, third {thirds}"),
        Some(2) if in_quarters && !meter.is_compound() => format!("beat {number} and"),
        Some(1) if in_quarters && !meter.is_compound() => format!("beat {number} e"),
        Some(3) if in_quarters && !meter.is_compound() => format!("beat {number} a"),
        _ if in_thirds => format!("beat {number}, triplet {thirds}"),
        _ => format!("beat {number} and {} of a beat", amount_text(Ticks(within))),
    }
}

/// A note as it is read aloud: `A flat 4`, `C double sharp 5`.
#[must_use]
pub fn spoken_note(spelling: Spelling, octave: i32) -> String {
    let letter = spelling.letter().to_char();
    let sign = match spelling.alter() {
        0 => "",
        -1 => " flat",
        1 => " sharp",
        -2 => " double flat",
        2 => " double sharp",
        i8::MIN..=-3 => " triple flat",
        3.. => " triple sharp",
    };
    format!("{letter}{sign} {octave}")
}

/// A length in words: `half a beat`, `one beat`, `two and a half beats`, `1/6 of a beat`.
#[must_use]
pub fn length(length: Ticks) -> String {
    const NUMBERS: [&str; 9] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight",
    ];
    let beats = length.0 / TICKS_PER_BEAT;
    let number = usize::try_from(beats).ok().and_then(|n| NUMBERS.get(n));
    let number = number.map_or_else(|| beats.to_string(), |word| (*word).to_owned());
    let part = match length.within_beat() * 12 {
        0 => "",
        n if n == 3 * TICKS_PER_BEAT => "a quarter",
        n if n == 4 * TICKS_PER_BEAT => "a third",
        n if n == 6 * TICKS_PER_BEAT => "a half",
        n if n == 8 * TICKS_PER_BEAT => "two thirds",
        n if n == 9 * TICKS_PER_BEAT => "three quarters",
        _ if beats == 0 => return format!("{} of a beat", amount_text(length)),
        _ => return format!("{} beats", amount_text(length)),
    };
    match (beats, part) {
        (0, "a half") => "half a beat".into(),
        (0, part) => format!("{part} of a beat"),
        (1, "") => "one beat".into(),
        (_, "") => format!("{number} beats"),
        (_, part) => format!("{number} and {part} beats"),
    }
}

/// `bar 3, beat 2 and`.
#[must_use]
pub fn place(session: &Session, bar: usize, at: Ticks) -> String {
    format!("bar {}, {}", bar + 1, beat(session.document().meter, at))
}

/// `string 6 fret 4`, `open string 5`.
#[must_use]
pub fn string_and_fret(note: &PlayedNote, n_strings: u8) -> String {
    place_on_neck(note.string, note.fret, n_strings)
}

/// The same of a string and a fret.
#[must_use]
pub fn place_on_neck(string: StringIdx, fret: u8, n_strings: u8) -> String {
    let string = string.number(n_strings);
    if fret == 0 {
        format!("open string {string}")
    } else {
        format!("string {string} fret {fret}")
    }
}

/// A family of voicings.
#[must_use]
pub const fn family(family: Family) -> &'static str {
    match family {
        Family::Shell => "shell",
        Family::Drop2 => "drop 2",
        Family::Drop3 => "drop 3",
        Family::Close => "close",
        Family::Quartal => "quartal",
        Family::Rootless => "rootless",
        Family::Spread => "spread",
    }
}

/// Every family, in the order offered.
pub const FAMILIES: [Family; 7] = [
    Family::Shell,
    Family::Drop2,
    Family::Drop3,
    Family::Close,
    Family::Spread,
    Family::Quartal,
    Family::Rootless,
];

/// What the bass is.
#[must_use]
pub const fn inversion(inversion: Option<u8>) -> &'static str {
    match inversion {
        Some(0) => "root in the bass",
        Some(1) => "third in the bass",
        Some(2) => "fifth in the bass",
        Some(3) => "seventh in the bass",
        _ => "other bass",
    }
}

/// Chords of a kind that take the same scales, in the singular.
#[must_use]
pub const fn quality(quality: Quality) -> &'static str {
    match quality {
        Quality::Major => "major chord",
        Quality::MajorSharpFifth => "augmented chord",
        Quality::Minor => "minor chord",
        Quality::MinorTonic => "minor chord with a major sixth or seventh",
        Quality::Dominant => "dominant chord",
        Quality::DominantFlatNinth => "dominant with ♭9",
        Quality::DominantSharpNinth => "dominant with ♯9",
        Quality::DominantSharpEleventh => "dominant with ♯11",
        Quality::DominantSharpFifth => "dominant with ♯5",
        Quality::DominantFlatFifth => "dominant with ♭5",
        Quality::Altered => "altered dominant",
        Quality::Suspended => "suspended chord",
        Quality::HalfDiminished => "half-diminished chord",
        Quality::Diminished => "diminished chord",
        Quality::Open => "chord without a third",
    }
}

/// What a bar asks of its thumb line, where it asks for something of its own: `own line: runs;
/// moves 1 5 ↑1; riff`.
#[must_use]
pub fn own_line(line: &BarLine) -> Option<String> {
    let walk = line.walk.map(|walk| walk.words().to_lowercase());
    let moves = line.moves.map(|moves| {
        let codes: Vec<&str> = moves.iter().map(ThumbMove::code).collect();
        format!("moves {}", codes.join(" "))
    });
    let riff = line.riff.map(|riff| if riff { "riff" } else { "varied" });
    let parts = [walk, moves, riff.map(str::to_owned)];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| format!("own line: {}", parts.join("; ")))
}

/// A degree of the key by its semitones above the tonic; flats count from the major scale in
/// minor keys too, as jazz players name them (common practice).
#[must_use]
pub const fn degree_of_key(above_tonic: u8) -> &'static str {
    match above_tonic % 12 {
        0 => "I",
        1 => "♭II",
        2 => "II",
        3 => "♭III",
        4 => "III",
        5 => "IV",
        6 => "♯IV",
        7 => "V",
        8 => "♭VI",
        9 => "VI",
        10 => "♭VII",
        _ => "VII",
    }
}

/// The terms of an effort, largest first: `stretch 4.2, barre 3.0`.
#[must_use]
pub fn terms(effort: &Effort) -> String {
    let mut terms = effort.terms().to_vec();
    terms.sort_by_key(|(term, cost)| (std::cmp::Reverse(*cost), *term));
    let words: Vec<String> = terms
        .iter()
        .map(|(term, cost)| format!("{} {cost}", term.word()))
        .collect();
    if words.is_empty() {
        "no effort".into()
    } else {
        words.join(", ")
    }
}

/// How long ago something was: `just now`, `5 minutes ago`, `a day ago`.
#[must_use]
pub fn ago(seconds: u64) -> String {
    const MINUTE: u64 = 60;
    const HOUR: u64 = 60 * MINUTE;
    const DAY: u64 = 24 * HOUR;
    match seconds {
        0..MINUTE => "just now".into(),
        MINUTE..120 => "a minute ago".into(),
        120..HOUR => format!("{} minutes ago", seconds / MINUTE),
        HOUR..7200 => "an hour ago".into(),
        7200..DAY => format!("{} hours ago", seconds / HOUR),
        DAY..172_800 => "a day ago".into(),
        _ => format!("{} days ago", seconds / DAY),
    }
}

/// With a capital letter at the start, for buttons.
#[must_use]
pub fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}

/// With ♭ and ♯ where a chord symbol or a note is shown: a `b` after a letter A to G or before a
/// figure is a flat, a `#` a sharp.
#[must_use]
pub fn pretty(symbol: &str) -> String {
    let chars: Vec<char> = symbol.chars().collect();
    let mut text = String::with_capacity(symbol.len());
    for (i, c) in chars.iter().enumerate() {
        let before = text.chars().next_back();
        let after = chars.get(i + 1).copied();
        let after_note = before.is_some_and(|b| ('A'..='G').contains(&b) || b == '♭');
        let before_figure = after.is_some_and(|a| a.is_ascii_digit());
        match c {
            'b' if after_note || before_figure => text.push('♭'),
            '#' => text.push('♯'),
            c => text.push(*c),
        }
    }
    text
}

/// The cautions that every user sees once.
pub const CAUTIONS: [(&str, &str); 3] = [
    (
        "Hands",
        "Warm up, take breaks, and stop if it hurts; ask a teacher or a clinician. A wide stretch \
         is marked, and there is always another voicing to choose.",
    ),
    (
        "Ears",
        "Sound starts quiet. Set the level before you put on headphones.",
    ),
    (
        "Rights",
        "Arranging or handing out a tune under copyright may need permission. The sample tunes are \
         our own or in the public domain.",
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Walk;
    use crate::theory::Letter;
    use crate::theory::MoveSet;

    #[test]
    fn flats_and_sharps_are_signs_only_where_they_are_meant() {
        for (typed, shown) in [
            ("Bb7", "B♭7"),
            ("Ebm7b5", "E♭m7♭5"),
            ("F#m7", "F♯m7"),
            ("G13(b9)", "G13(♭9)"),
            ("C/Bb", "C/B♭"),
            ("Bbb", "B♭♭"),
            ("N.C.", "N.C."),
        ] {
            assert_eq!(pretty(typed), shown, "{typed}");
        }
    }

    #[test]
    fn times_are_told_in_the_largest_whole_unit() {
        for (seconds, words) in [
            (0, "just now"),
            (59, "just now"),
            (60, "a minute ago"),
            (150, "2 minutes ago"),
            (3599, "59 minutes ago"),
            (3600, "an hour ago"),
            (7200, "2 hours ago"),
            (86_399, "23 hours ago"),
            (86_400, "a day ago"),
            (864_000, "10 days ago"),
        ] {
            assert_eq!(ago(seconds), words);
        }
    }

    #[test]
    fn a_bar_names_only_what_it_asks_for_itself() {
        let line = BarLine {
            walk: Some(Walk::Runs),
            moves: Some(MoveSet::ROOTS.with(ThumbMove::ApproachBelow)),
            riff: Some(false),
        };
        let words = own_line(&line).expect("words");
        assert_eq!(words, "own line: runs; moves 1 8 ↑1; varied");
        assert_eq!(own_line(&BarLine::default()), None);
    }

    #[test]
    fn notes_and_lengths_are_said_as_they_are_read_aloud() {
        for (letter, alter, octave, words) in [
            (Letter::A, -1, 4, "A flat 4"),
            (Letter::F, 1, 5, "F sharp 5"),
            (Letter::C, 0, 4, "C 4"),
            (Letter::B, -2, 3, "B double flat 3"),
        ] {
            assert_eq!(spoken_note(Spelling::new(letter, alter), octave), words);
        }
        for (ticks, words) in [
            (960, "one beat"),
            (1920, "two beats"),
            (480, "half a beat"),
            (240, "a quarter of a beat"),
            (320, "a third of a beat"),
            (1440, "one and a half beats"),
            (2560, "two and two thirds beats"),
            (160, "1/6 of a beat"),
            (1120, "7/6 beats"),
            (9600, "10 beats"),
        ] {
            assert_eq!(length(Ticks(ticks)), words);
        }
    }

    #[test]
    fn beats_are_named_as_players_count_them() {
        for (meter, at, words) in [
            ("4/4", 0, "beat 1"),
            ("4/4", 1440, "beat 2 and"),
            ("12/8", 960 + 640, "beat 2, third 3"),
            ("4/4", 240, "beat 1 e"),
            ("4/4", 2880 + 720, "beat 4 a"),
            ("3/4", 960 + 320, "beat 2, triplet 2"),
            ("4/4", 120, "beat 1 and 0.125 of a beat"),
            ("6/8", 160, "beat 1 and 1/6 of a beat"),
        ] {
            assert_eq!(beat(Meter::parse(meter).unwrap(), Ticks(at)), words);
        }
    }
}
