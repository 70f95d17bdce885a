//! Chord symbols as they are set: the root large, what follows a little smaller, real flats and
//! sharps instead of letters. Changes only how a symbol looks, never what the house style says.

use super::mark::Anchor;
use super::mark::Meaning;
use super::pen::Pen;
use super::pen::Style;
use super::sizes;
use crate::document::SheetFont;
use crate::score::fonts::FontRole;

/// A stretch of a symbol that is set in one style.
#[derive(Clone, PartialEq, Debug)]
struct Piece {
    text: String,
    style: Style,
    /// How far its baseline lies above the symbol's.
    lift: f64,
    /// White before and after it.
    pad: f64,
}

/// A chord symbol ready to be set.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct SymbolRuns {
    pieces: Vec<Piece>,
}

impl SymbolRuns {
    /// Splits a printed symbol after its root, whose length in bytes is given, and at its
    /// accidentals, which are set from the music face: there they are as black as the letters.
    #[must_use]
    pub fn new(printed: &str, root_length: usize, face: SheetFont) -> Self {
        let (root, tail) = printed
            .split_at_checked(root_length)
            .unwrap_or((printed, ""));
        let mut pieces = Vec::new();
        add_pieces(&mut pieces, &with_signs(root), sizes::SYMBOL.in_face(face));
        let tail = with_signs(tail).replace(['△', '∆'], "Δ");
        add_pieces(&mut pieces, &tail, sizes::SYMBOL_TAIL.in_face(face));
        Self { pieces }
    }

    /// Width in millimetres.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.pieces.iter().map(Piece::width).sum()
    }

    /// All of it.
    #[must_use]
    pub fn text(&self) -> String {
        self.pieces.iter().map(|p| p.text.as_str()).collect()
    }

    /// Draws it with its left end on the baseline at a place.
    pub fn draw(&self, pen: &mut Pen, meaning: Meaning, x: f64, y: f64) {
        let mut x = x;
        for piece in &self.pieces {
            let at = (x + piece.pad, y - piece.lift);
            pen.text(meaning, piece.style, Anchor::Left, at, &piece.text);
            x += piece.width();
        }
    }
}

impl Piece {
    fn width(&self) -> f64 {
        self.style.width(&self.text) + 2.0 * self.pad
    }
}

fn add_pieces(pieces: &mut Vec<Piece>, text: &str, letters: Style) {
    let is_sign = |c: char| matches!(c, '♭' | '♯');
    let mut plain = String::new();
    for letter in text.chars() {
        if !is_sign(letter) {
            plain.push(letter);
            continue;
        }
        add_plain(pieces, std::mem::take(&mut plain), letters);
        // In the music face a flat hangs 0.7 spaces below its line; a sharp is centred on it. Both
        // stand a little taller than the letters.
        let (size, lift) = if letter == '♭' {
            let size = 1.45 * letters.size;
            (size, 0.6 * size / 4.0)
        } else {
            (1.3 * letters.size, letters.cap() / 2.0)
        };
        pieces.push(Piece {
            text: letter.to_string(),
            style: Style::new(FontRole::Music, size),
            lift,
            pad: 0.12,
        });
    }
    add_plain(pieces, plain, letters);
}

fn add_plain(pieces: &mut Vec<Piece>, text: String, style: Style) {
    if !text.is_empty() {
        pieces.push(Piece {
            text,
            style,
            lift: 0.0,
            pad: 0.04,
        });
    }
}

/// Writes `b` and `#` as ♭ and ♯ where they alter something: after a note letter or before a
/// figure.
fn with_signs(text: &str) -> String {
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
    use crate::score::fonts::Cut;

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
    fn roots_are_larger_and_accidentals_come_from_the_music_face() {
        let runs = SymbolRuns::new("Ebm7b5", 2, SheetFont::Sans);
        let set: Vec<(&str, FontRole)> = runs
            .pieces
            .iter()
            .map(|p| (p.text.as_str(), p.style.role))
            .collect();
        let bold = FontRole::Text(SheetFont::Sans, Cut::Bold);
        let music = FontRole::Music;
        assert_eq!(
            set,
            [
                ("E", bold),
                ("♭", music),
                ("m7", bold),
                ("♭", music),
                ("5", bold)
            ]
        );
        let sizes: Vec<f64> = runs.pieces.iter().map(|p| p.style.size).collect();
        assert!(sizes[0] > sizes[2] && sizes[1] > sizes[3]);
        assert_eq!(runs.text(), "E♭m7♭5");
    }
}
