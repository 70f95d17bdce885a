//! The words chord symbols are made of: a cursor over the text that recognises notes, quality
//! words, numbers and accidentals in all their usual spellings. It knows positions and nothing
//! about what the words mean together.

use super::chord::ChordError;
use super::chord_parse::Number;
use super::chord_parts::Extension;
use super::pitch::Letter;
use super::pitch::Spelling;

/// What a quality word says.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Word {
    Major,
    /// A sign that means the major seventh even without a number.
    Triangle,
    Minor,
    Diminished,
    HalfDiminished,
    Augmented,
    Dominant,
}

/// Spellings of quality words: longer before shorter where one begins with the other. Letters of
/// two or more are read in any case.
const WORDS: &[(&str, Word)] = &[
    ("major", Word::Major),
    ("maj", Word::Major),
    ("ma", Word::Major),
    ("minor", Word::Minor),
    ("min", Word::Minor),
    ("mi", Word::Minor),
    ("halfdim", Word::HalfDiminished),
    ("half-dim", Word::HalfDiminished),
    ("hdim", Word::HalfDiminished),
    ("diminished", Word::Diminished),
    ("dim", Word::Diminished),
    ("augmented", Word::Augmented),
    ("aug", Word::Augmented),
    ("dominant", Word::Dominant),
    ("dom", Word::Dominant),
];

/// One-character words, in exactly this case.
const SIGNS: &[(char, Word)] = &[
    ('M', Word::Major),
    ('j', Word::Major),
    ('m', Word::Minor),
    ('-', Word::Minor),
    ('−', Word::Minor),
    ('–', Word::Minor),
    ('Δ', Word::Triangle),
    ('∆', Word::Triangle),
    ('△', Word::Triangle),
    ('▵', Word::Triangle),
    ('^', Word::Triangle),
    ('°', Word::Diminished),
    ('º', Word::Diminished),
    ('˚', Word::Diminished),
    ('o', Word::Diminished),
    ('ø', Word::HalfDiminished),
    ('Ø', Word::HalfDiminished),
    ('⌀', Word::HalfDiminished),
    ('∅', Word::HalfDiminished),
    ('+', Word::Augmented),
];

const FLATS: &[char] = &['b', '♭'];
const SHARPS: &[char] = &['#', '♯'];
const MINUSES: &[char] = &['-', '−', '–'];

/// A place in the text of a chord symbol.
pub(super) struct Cursor<'t> {
    text: &'t str,
    at: usize,
    end: usize,
    root_end: usize,
    /// Brackets that are open.
    pub(super) depth: u32,
}

impl<'t> Cursor<'t> {
    pub(super) fn new(text: &'t str) -> Self {
        let end = text.trim_end().len();
        let at = end - text.trim().len();
        Self {
            text,
            at,
            end,
            root_end: at,
            depth: 0,
        }
    }

    pub(super) const fn at(&self) -> usize {
        self.at
    }

    /// Where the root ended.
    pub(super) const fn root_end(&self) -> usize {
        self.root_end
    }

    /// What was read so far counts as the root.
    pub(super) const fn mark_root(&mut self) {
        self.root_end = self.at;
    }

    pub(super) const fn at_end(&self) -> bool {
        self.at >= self.end
    }

    pub(super) fn rest(&self) -> &'t str {
        self.text.get(self.at..self.end).unwrap_or("")
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// Goes back to an earlier place.
    pub(super) const fn back_to(&mut self, at: usize) {
        self.at = at;
    }

    pub(super) fn eat(&mut self, prefix: &str) -> bool {
        let fits = self.rest().starts_with(prefix);
        if fits {
            self.at += prefix.len();
        }
        fits
    }

    /// Eats letters in any case.
    pub(super) fn eat_word(&mut self, word: &str) -> bool {
        let fits = self
            .rest()
            .get(..word.len())
            .is_some_and(|head| head.eq_ignore_ascii_case(word));
        if fits {
            self.at += word.len();
        }
        fits
    }

    fn eat_one_of(&mut self, signs: &[char]) -> bool {
        match self.peek() {
            Some(c) if signs.contains(&c) => {
                self.at += c.len_utf8();
                true
            }
            _ => false,
        }
    }

    /// An error about the text from `start` to here, or to one character further.
    pub(super) fn error_from(&self, start: usize, message: String) -> ChordError {
        let next = self.peek().map_or(self.at, |c| self.at + c.len_utf8());
        let end = if self.at > start { self.at } else { next };
        ChordError {
            message,
            at: start.min(end)..end,
        }
    }

    /// An error about the text from `start` to its end.
    pub(super) fn error_to_end(&self, start: usize, message: String) -> ChordError {
        ChordError {
            message,
            at: start.min(self.end)..self.end,
        }
    }

    /// A note name with up to two accidentals.
    pub(super) fn note(&mut self) -> Option<Spelling> {
        let letter = Letter::from_char(self.peek()?)?;
        self.at += 1;
        let alter = if self.eat("𝄫") {
            -2
        } else if self.eat("𝄪") || self.eat("x") {
            2
        } else if self.eat_one_of(FLATS) {
            if self.eat_one_of(FLATS) { -2 } else { -1 }
        } else if self.eat_one_of(SHARPS) {
            if self.eat_one_of(SHARPS) { 2 } else { 1 }
        } else {
            0
        };
        Some(Spelling::new(letter, alter))
    }

    /// The root, or a word on what is wrong with it.
    pub(super) fn root(&mut self) -> Result<Spelling, ChordError> {
        let start = self.at;
        let note = self.note();
        self.root_end = self.at;
        note.ok_or_else(|| {
            let message = match self.peek() {
                None => "expected a chord, such as Cm7".into(),
                Some(c @ 'a'..='g') => {
                    let big = c.to_ascii_uppercase();
                    format!("a chord begins with a capital letter: {big}, not {c}")
                }
                Some('H' | 'h') => "the note H is written B here".into(),
                Some(c) => format!("a chord begins with a note name from A to G, not with “{c}”"),
            };
            self.error_from(start, message)
        })
    }

    /// A quality word.
    pub(super) fn word(&mut self) -> Option<Word> {
        let rest = self.rest();
        let starts = |word: &str| {
            rest.get(..word.len())
                .is_some_and(|head| head.eq_ignore_ascii_case(word))
        };
        // `Cmadd9` is m + add9, `Comit3` is C + omit3
        if !starts("madd") {
            for (word, meaning) in WORDS {
                if self.eat_word(word) {
                    return Some(*meaning);
                }
            }
        }
        let (sign, meaning) = SIGNS.iter().find(|(sign, _)| rest.starts_with(*sign))?;
        if starts("omit") {
            return None;
        }
        self.at += sign.len_utf8();
        Some(*meaning)
    }

    /// A major-seventh part after a minor, diminished or augmented word: `maj7`, `(M9)`, `Δ`.
    pub(super) fn major_seventh(&mut self) -> Result<Option<Extension>, ChordError> {
        let start = self.at;
        let bracket = self.eat("(");
        let _ = !bracket && self.eat("/");
        let word_at = self.at;
        let word = self.word();
        if !matches!(word, Some(Word::Major | Word::Triangle)) {
            self.at = start;
            return Ok(None);
        }
        let extension = match self.extension()? {
            Some(number) => number.extension(),
            None if word == Some(Word::Triangle) => Extension::Seventh,
            None => Extension::Triad,
        };
        if extension < Extension::Seventh {
            let message = "expected 7, 9, 11 or 13 after the word for major, as in CmMaj7";
            return Err(self.error_from(word_at, message.into()));
        }
        self.depth += u32::from(bracket);
        Ok(Some(extension))
    }

    /// The number after the quality.
    pub(super) fn extension(&mut self) -> Result<Option<Number>, ChordError> {
        let digits = self.digits();
        if digits.is_empty() {
            return Ok(None);
        }
        let found = Number::ALL.iter().find(|(text, _)| *text == digits);
        if let Some((text, number)) = found {
            self.at += text.len();
            return Ok(Some(*number));
        }
        let message = match digits {
            "2" => "2 can mean two chords: write sus2 (no third) or add9 (with third)".into(),
            "4" => "4 can mean two chords: write sus4 (no third) or add11 (with third)".into(),
            _ => format!("there is no chord with {digits}; expected 5, 6, 69, 7, 9, 11 or 13"),
        };
        let end = self.at + digits.len();
        Err(ChordError {
            message,
            at: self.at..end,
        })
    }

    /// The digits here, not eaten.
    pub(super) fn digits(&self) -> &'t str {
        let rest = self.rest();
        let len = rest.bytes().take_while(u8::is_ascii_digit).count();
        rest.get(..len).unwrap_or("")
    }

    /// `M` or `maj` after the number: `C7M` is `Cmaj7`.
    pub(super) fn trailing_major(&mut self) -> bool {
        self.eat_word("maj") || self.eat("M")
    }

    /// A flat or sharp before a number: −1 or 1. Minus and plus count too (`7-9`, `7+9`).
    pub(super) fn accidental(&mut self) -> Option<i8> {
        if self.eat_one_of(FLATS) || self.eat_one_of(MINUSES) {
            Some(-1)
        } else if self.eat_one_of(SHARPS) || self.eat("+") || self.eat_word("aug") {
            Some(1)
        } else {
            None
        }
    }
}
