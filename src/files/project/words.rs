//! The words that stand for values in project files, both ways, side by side, so that writing and
//! reading cannot drift apart. Nothing here touches serde, a document or a file.

use crate::document::Feel;
use crate::document::MusicSize;
use crate::document::Paper;
use crate::document::SheetFont;
use crate::document::ThumbCell;
use crate::document::TuneDensity;
use crate::document::TuneNote;
use crate::document::Walk;
use crate::document::types::Approach;
use crate::instrument::StringIdx;
use crate::instrument::StringSet;
use crate::theory::Articulation;
use crate::theory::HouseStyle;
use crate::theory::Letter;
use crate::theory::Midi;
use crate::theory::MoveSet;
use crate::theory::Pluck;
use crate::theory::Rule;
use crate::theory::RuleSet;
use crate::theory::Slide;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use crate::theory::Ticks;

/// A closed list of values with their words.
type Words<T, const N: usize> = [(T, &'static str); N];

pub const STYLES: Words<HouseStyle, 2> = [
    (HouseStyle::Letters, "letters"),
    (HouseStyle::Signs, "signs"),
];

pub const STRING_SETS: Words<StringSet, 2> =
    [(StringSet::Nylon, "nylon"), (StringSet::Steel, "steel")];

pub const APPROACHES: Words<Approach, 4> = [
    (Approach::Below, "below"),
    (Approach::Above, "above"),
    (Approach::Alternate, "alternate"),
    (Approach::Easiest, "easiest"),
];

pub const WALKS: Words<Walk, 5> = [
    (Walk::Roots, Walk::Roots.word()),
    (Walk::Plain, Walk::Plain.word()),
    (Walk::TwoApproaches, Walk::TwoApproaches.word()),
    (Walk::Runs, Walk::Runs.word()),
    (Walk::Mixed, Walk::Mixed.word()),
];

pub const PAPERS: Words<Paper, 2> = [
    (Paper::A4, Paper::A4.word()),
    (Paper::Letter, Paper::Letter.word()),
];

pub const SHEET_FONTS: Words<SheetFont, 2> = {
    let [a, b] = SheetFont::ALL;
    [(a, a.word()), (b, b.word())]
};

pub const MUSIC_SIZES: Words<MusicSize, 3> = {
    let [a, b, c] = MusicSize::ALL;
    [(a, a.word()), (b, b.word()), (c, c.word())]
};

const ARTICULATIONS: Words<Articulation, 2> = [
    (Articulation::Ring, Articulation::Ring.word()),
    (Articulation::Short, Articulation::Short.word()),
];

pub const SLIDES: Words<Slide, 4> = {
    let [a, b, c, d] = Slide::ALL;
    [(a, a.word()), (b, b.word()), (c, c.word()), (d, d.word())]
};

pub const DENSITIES: Words<TuneDensity, 4> = {
    let [a, b, c, d] = TuneDensity::ALL;
    [(a, a.word()), (b, b.word()), (c, c.word()), (d, d.word())]
};

/// What follows the articulation of a strike that anticipates.
const AHEAD: &str = " ahead";

/// The word of a value.
pub fn word_of<T: PartialEq>(list: &[(T, &'static str)], value: &T) -> String {
    let found = list.iter().find(|(v, _)| v == value);
    found.map_or("", |(_, word)| word).into()
}

/// The value of a word, or which words were expected.
pub fn value_of<T: Copy>(list: &[(T, &'static str)], text: &str) -> Result<T, String> {
    let found = list.iter().find(|(_, word)| *word == text.trim());
    found.map(|(value, _)| *value).ok_or_else(|| {
        let words: Vec<&str> = list.iter().map(|(_, word)| *word).collect();
        format!("`{text}` should be one of: {}", words.join(", "))
    })
}

/// `ring`, `short`, and with ` ahead` if it anticipates the next chord.
pub fn text_from_pluck(pluck: Pluck) -> String {
    let ahead = if pluck.ahead { AHEAD } else { "" };
    format!("{}{ahead}", pluck.articulation.word())
}

/// The strike in such a text.
pub fn pluck_from_text(at: Ticks, text: &str) -> Result<Pluck, String> {
    let text = text.trim();
    let (word, ahead) = match text.strip_suffix(AHEAD) {
        Some(word) => (word, true),
        None => (text, false),
    };
    let articulation = value_of(&ARTICULATIONS, word)?;
    Ok(Pluck {
        at,
        articulation,
        ahead,
    })
}

/// The moves that these words stand for.
pub fn moves_from_words(words: &[String]) -> Result<MoveSet, String> {
    let all: Vec<_> = ThumbMove::ALL.iter().map(|m| (*m, m.word())).collect();
    words.iter().map(|word| value_of(&all, word)).collect()
}

/// The rules that these words stand for.
pub fn rules_from_words(words: &[String]) -> Result<RuleSet, String> {
    let all: Vec<_> = Rule::ALL.iter().map(|rule| (*rule, rule.word())).collect();
    words.iter().try_fold(RuleSet::EMPTY, |set, word| {
        Ok(set.with(value_of(&all, word)?))
    })
}

/// `straight`, `follow tempo`, `swing 2:1`, `swing 1.667:1`.
pub fn text_from_feel(feel: Feel) -> String {
    match feel {
        Feel::Straight => "straight".into(),
        Feel::FollowTempo => "follow tempo".into(),
        Feel::Swing(permille) => {
            let whole = permille / 1000;
            let rest = format!("{:03}", permille % 1000);
            let rest = rest.trim_end_matches('0');
            let point = if rest.is_empty() { "" } else { "." };
            format!("swing {whole}{point}{rest}:1")
        }
    }
}

/// The feel in such a text.
pub fn feel_from_text(text: &str) -> Result<Feel, String> {
    let expected = || {
        format!("feel `{text}` should be `straight`, `follow tempo` or a ratio such as `swing 2:1`")
    };
    match text.trim() {
        "straight" => Ok(Feel::Straight),
        "follow tempo" => Ok(Feel::FollowTempo),
        other => other
            .strip_prefix("swing")
            .and_then(permille_from_text)
            .map(Feel::Swing)
            .ok_or_else(expected),
    }
}

/// Thousandths from `2:1`, `2.5:1` or `2.5`, exactly: no floats.
pub fn permille_from_text(text: &str) -> Option<u16> {
    let ratio = text.trim();
    let ratio = ratio
        .strip_suffix('1')
        .and_then(|r| r.trim_end().strip_suffix(':'))
        .unwrap_or(ratio)
        .trim();
    let (whole, rest) = ratio.split_once('.').unwrap_or((ratio, ""));
    let digits = |t: &str| t.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || rest.len() > 3 || !digits(whole) || !digits(rest) {
        return None;
    }
    let whole: u16 = whole.parse().ok()?;
    let thousandths: u16 = format!("{rest:0<3}").parse().ok()?;
    whole.checked_mul(1000)?.checked_add(thousandths)
}

/// A thumb slot: the word of a move, `string 6 fret 3`, or both, as in
/// `third on string 6 fret 4`.
pub fn text_from_cell(cell: ThumbCell, n_strings: u8) -> String {
    match cell {
        ThumbCell::Move(thumb_move) => thumb_move.word().into(),
        ThumbCell::Place(string, fret) => {
            format!("string {} fret {fret}", string.number(n_strings))
        }
        ThumbCell::Kept(thumb_move, string, fret) => {
            let place = text_from_cell(ThumbCell::Place(string, fret), n_strings);
            format!("{}{KEPT}{place}", thumb_move.word())
        }
    }
}

/// What stands between the move and the place of a note that is kept.
const KEPT: &str = " on ";

/// The thumb slot in such a text.
pub fn cell_from_text(text: &str, n_strings: u8) -> Result<ThumbCell, String> {
    if let Some(thumb_move) = ThumbMove::from_word(text.trim()) {
        return Ok(ThumbCell::Move(thumb_move));
    }
    let place = |text: &str| {
        let rest = text.trim().strip_prefix("string ")?;
        let (string, fret) = rest.split_once(" fret ")?;
        let string = StringIdx::from_number(string.trim().parse().ok()?, n_strings)?;
        Some((string, fret.trim().parse().ok()?))
    };
    let kept = || {
        let (word, rest) = text.split_once(KEPT)?;
        let (string, fret) = place(rest)?;
        let thumb_move = ThumbMove::from_word(word.trim())?;
        Some(ThumbCell::Kept(thumb_move, string, fret))
    };
    let placed = || place(text).map(|(string, fret)| ThumbCell::Place(string, fret));
    placed().or_else(kept).ok_or_else(|| {
        let moves: Vec<&str> = ThumbMove::ALL.iter().map(|m| m.word()).collect();
        format!(
            "`{text}` should be a place such as `string 6 fret 3` or one of: {}",
            moves.join(", ")
        )
    })
}

/// A note of the tune: `Bb4`, or `Bb4 tied`.
pub fn text_from_tune_note(note: &TuneNote) -> String {
    let octave = note.spelling.octave_of(note.pitch);
    let tied = if note.tied { " tied" } else { "" };
    format!("{}{octave}{tied}", note.spelling)
}

/// Pitch and spelling of a note of the tune, and whether it is tied to the one before.
pub fn tune_note_from_text(text: &str) -> Result<(Midi, Spelling, bool), String> {
    let trimmed = text.trim();
    let name = trimmed.strip_suffix("tied").map(str::trim_end);
    let (pitch, spelling) = spelled_pitch(name.unwrap_or(trimmed))
        .ok_or_else(|| format!("`{text}` should be a note with its octave, such as `Bb4`"))?;
    Ok((pitch, spelling, name.is_some()))
}

fn spelled_pitch(text: &str) -> Option<(Midi, Spelling)> {
    let mut chars = text.chars();
    let letter = Letter::from_char(chars.next()?)?;
    let rest = chars.as_str();
    let signs = rest.len() - rest.trim_start_matches(['#', 'b']).len();
    let (signs, octave) = rest.split_at_checked(signs)?;
    let sharps = signs.chars().all(|sign| sign == '#');
    let flats = signs.chars().all(|sign| sign == 'b');
    let alter = i8::try_from(signs.len()).ok().filter(|n| *n <= 3)?;
    if !sharps && !flats {
        return None;
    }
    let spelling = Spelling::new(letter, if sharps { alter } else { -alter });
    // B# below the lowest octave is the lowest C.
    let octave = octave.parse().ok().filter(|o| (-2..=9).contains(o))?;
    Some((spelling.in_octave(octave)?, spelling))
}

/// A pitch as a note with its octave, as [`Midi::text`].
pub fn text_from_pitch(pitch: Midi) -> String {
    pitch.text()
}

/// The pitch of a note with its octave, as [`Midi::from_text`].
pub fn pitch_from_text(text: &str) -> Option<Midi> {
    Midi::from_text(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_of_the_tune_come_back_with_their_spelling() {
        // Scientific pitch notation: the octave is that of the letter, so B#3 sounds as C4.
        for (text, number) in [
            ("C4", 60),
            ("Bb4", 70),
            ("B#3", 60),
            ("Cb4", 59),
            ("F##5 tied", 79),
            ("Abb2", 43),
        ] {
            let (pitch, spelling, tied) = tune_note_from_text(text).expect("a note");
            assert_eq!(pitch.number(), number, "{text}");
            let note = TuneNote {
                at: Ticks(0),
                length: Ticks(1),
                pitch,
                spelling,
                tied,
            };
            assert_eq!(text_from_tune_note(&note), text);
        }
        for wrong in [
            "", "4", "H4", "C", "C#b4", "C####4", "C99", "C4 tide", "tied",
        ] {
            assert!(tune_note_from_text(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn every_pitch_of_the_tune_comes_back_in_every_spelling() {
        let mut n_spelled = 0;
        for pitch in (0..128).filter_map(Midi::new) {
            for letter in Letter::ALL {
                let Some(spelling) = Spelling::with_letter(letter, pitch.pitch_class()) else {
                    continue;
                };
                let note = TuneNote {
                    at: Ticks(0),
                    length: Ticks(1),
                    pitch,
                    spelling,
                    tied: false,
                };
                let text = text_from_tune_note(&note);
                assert_eq!(tune_note_from_text(&text), Ok((pitch, spelling, false)));
                n_spelled += 1;
            }
        }
        assert!(n_spelled > 128 * 3, "{n_spelled}");
    }

    #[test]
    fn every_swing_ratio_comes_back_exactly() {
        for permille in 1000..=3500 {
            let text = text_from_feel(Feel::Swing(permille));
            assert_eq!(feel_from_text(&text), Ok(Feel::Swing(permille)), "{text}");
        }
    }

    #[test]
    fn ratios_are_read_as_people_write_them() {
        for (text, expected) in [
            ("2:1", Some(2000)),
            ("2", Some(2000)),
            (" 1.5 : 1", Some(1500)),
            ("1.5", Some(1500)),
            ("1:1", Some(1000)),
            ("1", Some(1000)),
            ("11", Some(11000)),
            ("", None),
            ("2:3", None),
            ("1.2345", None),
            ("-2", None),
            ("99999", None),
        ] {
            assert_eq!(permille_from_text(text), expected, "{text}");
        }
    }

    #[test]
    fn every_pitch_comes_back() {
        for number in 0..128 {
            let pitch = Midi::new(number).expect("in range");
            assert_eq!(pitch_from_text(&text_from_pitch(pitch)), Some(pitch));
        }
        // Scientific pitch notation: A4 is MIDI 69, middle C is C4 = 60; E2 is the low string.
        for (text, number) in [("A4", 69), ("C4", 60), ("E2", 40), ("Bb1", 34), ("Cb4", 59)] {
            assert_eq!(pitch_from_text(text).map(Midi::number), Some(number));
        }
        for wrong in ["", "H2", "E", "E2x", "G9.", "G#9999"] {
            assert_eq!(pitch_from_text(wrong), None, "{wrong}");
        }
    }
}
