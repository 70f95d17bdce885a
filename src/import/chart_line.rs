//! One line of a chart text: where its comment begins, whether it is a header line, and how a
//! byte position becomes a column. It knows nothing of what the words mean.

use super::chart::ChartError;
use crate::theory::Key;
use crate::theory::roman;

/// Bytes of the longest word that is looked at as a degree.
const MAX_DEGREE: usize = 40;

/// A line without its line end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line<'t> {
    number: usize,
    whole: &'t str,
    /// Without comment and trailing space.
    pub(super) text: &'t str,
}

/// `Name: value` at the top of a chart.
#[derive(Clone, Copy, Debug)]
pub(super) struct Field<'t> {
    pub(super) name: &'t str,
    /// Byte position of the name.
    pub(super) at: usize,
    /// Byte position after the colon.
    pub(super) value_at: usize,
}

impl<'t> Line<'t> {
    pub(super) fn new(number: usize, whole: &'t str) -> Self {
        let text = whole.get(..comment_start(whole)).unwrap_or(whole);
        Self {
            number,
            whole,
            text: text.trim_end(),
        }
    }

    pub(super) const fn number(&self) -> usize {
        self.number
    }

    pub(super) fn is_blank(&self) -> bool {
        self.text.trim().is_empty()
    }

    /// An error at a byte of this line.
    pub(super) fn error(&self, at: usize, message: impl Into<String>) -> ChartError {
        let before = self.whole.get(..at).unwrap_or(self.whole);
        ChartError {
            line: self.number,
            column: before.chars().count() + 1,
            message: message.into(),
        }
    }

    /// The header field of this line, if it is one: words, then a colon that is no repeat sign.
    pub(super) fn field(&self) -> Option<Field<'t>> {
        let colon = self.text.find(':')?;
        let name = self.text.get(..colon)?;
        let after = self.text.get(colon + 1..)?;
        let wordy = |c: char| c.is_alphabetic() || c == ' ' || c == '\t' || c == '-';
        let starts = name.trim_start().starts_with(char::is_alphabetic);
        (starts && name.chars().all(wordy) && !after.starts_with('|')).then(|| Field {
            name: name.trim(),
            at: name.len() - name.trim_start().len(),
            value_at: colon + 1,
        })
    }

    /// Where the notes begin, if this is a tune line.
    pub(super) fn tune_at(&self) -> Option<usize> {
        let spaces = self.text.len() - self.text.trim_start().len();
        let head = self.text.get(spaces..spaces + 5)?;
        head.eq_ignore_ascii_case("tune:").then_some(spaces + 5)
    }

    /// The text from a byte on, with its `#`, trimmed.
    pub(super) fn raw_from(&self, at: usize) -> &'t str {
        self.whole.get(at..).unwrap_or("").trim()
    }

    /// The text from a byte on up to a comment, trimmed, with the byte it begins at.
    pub(super) fn value_from(&self, at: usize) -> (usize, &'t str) {
        let value = self.text.get(at..).unwrap_or("");
        let skipped = value.len() - value.trim_start().len();
        (at + skipped, value.trim())
    }
}

/// The byte where the comment begins, or the length of the line. Brackets hide a `#`: those of a
/// section name and those of a chord symbol, which end at the barline at the latest.
fn comment_start(text: &str) -> usize {
    let mut line_opens = true;
    let mut after_space = true;
    let mut closing = None;
    let degree = |at: usize| begins_degree(text.get(at..).unwrap_or(""));
    for (at, c) in text.char_indices() {
        match c {
            '[' if line_opens => closing = Some(']'),
            '(' if closing.is_none() => closing = Some(')'),
            '|' if closing == Some(')') => closing = None,
            _ if closing == Some(c) => closing = None,
            '#' if after_space && closing.is_none() && (line_opens || !degree(at)) => return at,
            _ => {}
        }
        after_space = c.is_whitespace();
        line_opens &= after_space;
    }
    text.len()
}

/// Whether the first word of a text is a degree.
fn begins_degree(text: &str) -> bool {
    let end = text.find(|c: char| c.is_whitespace() || c == '|');
    let word = text.get(..end.unwrap_or(text.len())).unwrap_or(text);
    word.len() < MAX_DEGREE && roman::parse(word, Key::C_MAJOR).is_ok()
}
