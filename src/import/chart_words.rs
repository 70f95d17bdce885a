//! Cuts a line of bars into barlines and words. Barlines carry everything that is said at them:
//! the end and the start of repeats, how often, and the number of an ending.

/// Longer than any chord symbol.
const MAX_WORD: usize = 80;

/// What a barline says.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Barline {
    /// How often the part ending here is played; 0 if none ends.
    pub(super) end_times: u8,
    /// Whether a repeated part begins.
    pub(super) start_repeat: bool,
    /// `||` or `|]`.
    pub(super) double: bool,
    /// The ending that begins; 0 if none.
    pub(super) ending: u8,
}

impl Barline {
    /// Whether a part of the tune is over here, and with it an ending.
    pub(super) const fn closes(self) -> bool {
        self.end_times > 0 || self.double
    }
}

/// The barline at the start of a text and its length in bytes.
pub(super) fn barline(text: &str) -> Option<(Barline, usize)> {
    let mut rest = text;
    let mut found = Barline::default();
    if let Some(after) = rest.strip_prefix(':') {
        found.end_times = 2;
        rest = after;
    }
    rest = rest.strip_prefix('|')?;
    if let Some(after) = rest.strip_prefix('|').or_else(|| rest.strip_prefix(']')) {
        found.double = true;
        rest = after;
    }
    if let Some(after) = rest.strip_prefix(':') {
        found.start_repeat = true;
        rest = after;
    }
    if found.end_times > 0
        && let Some((times, after)) = times(rest.trim_start())
    {
        found.end_times = times;
        rest = after;
    }
    if let Some((number, after)) = ending(rest) {
        found.ending = number;
        rest = after;
    }
    Some((found, text.len() - rest.len()))
}

/// `x3` or `3x`.
fn times(text: &str) -> Option<(u8, &str)> {
    if let Some(after) = text.strip_prefix(['x', 'X', '×']) {
        return number(after);
    }
    let (times, after) = number(text)?;
    Some((times, after.strip_prefix(['x', 'X', '×'])?))
}

/// `1.` and so on.
fn ending(text: &str) -> Option<(u8, &str)> {
    let (number, after) = number(text)?;
    Some((number, after.strip_prefix('.')?))
}

fn number(text: &str) -> Option<(u8, &str)> {
    let len = text.bytes().take_while(u8::is_ascii_digit).count();
    let number = text.get(..len)?.parse().ok().filter(|n| *n > 0)?;
    Some((number, text.get(len..)?))
}

/// The number of an ending if a word is nothing else.
pub(super) fn ending_number(word: &str) -> Option<u8> {
    ending(word)
        .filter(|(_, rest)| rest.is_empty())
        .map(|(number, _)| number)
}

/// The word at the start of a text that begins neither with space nor with a barline. Spaces
/// inside brackets that are closed before the next barline belong to the word. A word ends after
/// [`MAX_WORD`] characters at the latest, so that no line takes long to read.
pub(super) fn word(text: &str) -> &str {
    let bar_at = |at: usize, c: char| {
        c == '|' || (c == ':' && text.get(at + 1..).is_some_and(|r| r.starts_with('|')))
    };
    let mut depth = 0_u32;
    let mut first_space = None;
    let limit = text.char_indices().nth(MAX_WORD);
    let mut end = limit.map_or(text.len(), |(at, _)| at);
    for (at, c) in text.char_indices().take(MAX_WORD) {
        if bar_at(at, c) {
            end = at;
            break;
        }
        if c.is_whitespace() {
            first_space = first_space.or(Some(at));
            if depth == 0 {
                end = at;
                break;
            }
        }
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ => {}
        }
    }
    if depth > 0 {
        end = first_space.unwrap_or(end).min(end);
    }
    // a lone colon must not stop the reader
    let first = text.chars().next().map_or(0, char::len_utf8);
    text.get(..end.max(first)).unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn barlines_say_everything_at_once() {
        let bar = |end_times, start_repeat, double, ending| Barline {
            end_times,
            start_repeat,
            double,
            ending,
        };
        for (text, expected, rest) in [
            ("| C", bar(0, false, false, 0), " C"),
            ("||", bar(0, false, true, 0), ""),
            ("|: C", bar(0, true, false, 0), " C"),
            (":| C", bar(2, false, false, 0), " C"),
            (":||", bar(2, false, true, 0), ""),
            (":|: C", bar(2, true, false, 0), " C"),
            (":|x3 C", bar(3, false, false, 0), " C"),
            (":|4x", bar(4, false, false, 0), ""),
            (":| x3 |", bar(3, false, false, 0), " |"),
            ("|1. C", bar(0, false, false, 1), " C"),
            (":|2. C", bar(2, false, false, 2), " C"),
            ("|]", bar(0, false, true, 0), ""),
            ("| 6", bar(0, false, false, 0), " 6"),
        ] {
            let (found, len) = barline(text).expect(text);
            assert_eq!((found, &text[len..]), (expected, rest), "{text}");
        }
        assert_eq!(barline("C |"), None);
        assert_eq!(barline(": |"), None);
    }

    #[test]
    fn words_keep_their_brackets_together() {
        for (text, expected) in [
            ("C7(b9, #5) F", "C7(b9, #5)"),
            ("C7(b9 F | G)", "C7(b9"),
            ("C:|", "C"),
            ("C|D", "C"),
            (": C", ":"),
            ("ø x", "ø"),
        ] {
            assert_eq!(word(text), expected, "{text}");
        }
    }
}
