//! Chord symbols as they are set: the root large, what follows a little smaller, real flats and
//! sharps instead of letters. Changes only how a symbol looks, never what the house style says.

use super::mark::Anchor;
use super::mark::Meaning;
use super::pen::Pen;
use super::sizes;

/// A chord symbol in two sizes.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct SymbolRuns {
    root: String,
    tail: String,
}

impl SymbolRuns {
    /// Splits a printed symbol after its root, whose length in bytes is given.
    #[must_use]
    pub fn new(printed: &str, root_length: usize) -> Self {
        let (root, tail) = printed
            .split_at_checked(root_length)
            .unwrap_or((printed, ""));
        Self {
            root: with_signs(root),
            tail: with_signs(tail).replace(['△', '∆'], "Δ"),
        }
    }

    /// Width in millimetres.
    #[must_use]
    pub fn width(&self) -> f64 {
        sizes::SYMBOL.width(&self.root) + self.gap() + sizes::SYMBOL_TAIL.width(&self.tail)
    }

    /// All of it.
    #[must_use]
    pub fn text(&self) -> String {
        format!("{}{}", self.root, self.tail)
    }

    fn gap(&self) -> f64 {
        if self.tail.is_empty() { 0.0 } else { 0.1 }
    }

    /// Draws it with its left end on the baseline at a place.
    pub fn draw(&self, pen: &mut Pen, meaning: Meaning, x: f64, y: f64) {
        pen.text(meaning, sizes::SYMBOL, Anchor::Left, (x, y), &self.root);
        let after = x + sizes::SYMBOL.width(&self.root) + self.gap();
        let tail = sizes::SYMBOL_TAIL;
        pen.text(meaning, tail, Anchor::Left, (after, y), &self.tail);
    }
}

/// Writes `b` and `#` as ♭ and ♯ where they alter something: after a note letter or before a
/// figure.
#[must_use]
pub fn with_signs(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    for (i, letter) in letters.iter().enumerate() {
        let before = i.checked_sub(1).and_then(|p| letters.get(p)).copied();
        let after = letters.get(i + 1).copied();
        let on_note = before.is_some_and(|c| ('A'..='G').contains(&c) || matches!(c, 'b' | '#'));
        let on_figure = after.is_some_and(|c| c.is_ascii_digit());
        let sign = match letter {
            'b' if on_note || on_figure => '♭',
            '#' if on_note || on_figure => '♯',
            other => *other,
        };
        out.push(sign);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accidentals_get_their_signs_and_other_letters_stay() {
        let table = [
            ("Ebm7b5", "E♭m7♭5"),
            ("C7(b9)", "C7(♭9)"),
            ("F#dim7", "F♯dim7"),
            ("Bb/D", "B♭/D"),
            ("Absus4", "A♭sus4"),
            ("C/Bb", "C/B♭"),
            ("G7(#9,b13)", "G7(♯9,♭13)"),
            ("Dbb", "D♭♭"),
            ("N.C.", "N.C."),
        ];
        for (typed, set) in table {
            assert_eq!(with_signs(typed), set);
        }
    }

    #[test]
    fn the_root_is_split_off_with_its_accidental() {
        let runs = SymbolRuns::new("Ebm7b5", 2);
        assert_eq!((runs.root.as_str(), runs.tail.as_str()), ("E♭", "m7♭5"));
        assert!(runs.width() > 0.0);
    }
}
