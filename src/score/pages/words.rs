//! Running text: breaking words into lines of a width. A word wider than the line stands on a
//! line of its own, broken between letters. Never hyphenates.

use super::pen::Style;

/// Breaks a text into lines; line breaks of the text are kept.
#[must_use]
pub fn wrap(style: Style, text: &str, width: f64) -> Vec<String> {
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        for word in paragraph.split_whitespace() {
            let longer = if line.is_empty() {
                word.to_owned()
            } else {
                format!("{line} {word}")
            };
            if style.width(&longer) <= width {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line = break_word(style, word, width, &mut lines);
        }
        lines.push(line);
    }
    lines
}

/// Puts full lines of a long word aside and gives its rest.
fn break_word(style: Style, word: &str, width: f64, lines: &mut Vec<String>) -> String {
    let mut rest = String::new();
    for letter in word.chars() {
        rest.push(letter);
        if style.width(&rest) > width && rest.chars().count() > 1 {
            rest.pop();
            lines.push(std::mem::replace(&mut rest, letter.to_string()));
        }
    }
    rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::SheetFont;
    use crate::score::fonts::Cut;
    use crate::score::fonts::FontRole;

    #[test]
    fn no_line_is_wider_than_asked_and_no_word_is_lost() {
        let style = Style::new(FontRole::Text(SheetFont::Serif, Cut::Regular), 3.6);
        let text = "Keep the thumb even.\n\nIncomprehensibilities-and-more breathe out";
        let lines = wrap(style, text, 30.0);
        assert!(lines.iter().all(|line| style.width(line) <= 30.0));
        let squeeze = |s: &str| s.split_whitespace().collect::<String>();
        assert_eq!(squeeze(&lines.concat()), squeeze(text));
        assert!(lines.contains(&String::new()), "the empty line stays");
    }
}
