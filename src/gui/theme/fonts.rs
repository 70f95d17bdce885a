//! The faces that come with the program: Andika for text (it has ♭ and ♯, and figures of one
//! width), Bravura for music signs, Charis SIL for sheets that are set with serifs. System fonts are
//! never asked, so that the window looks the same everywhere.

use crate::document::SheetFont;
use crate::score::fonts::Cut;
use crate::score::fonts::FontRole;
use egui::Context;
use egui::FontData;
use egui::FontDefinitions;
use egui::FontFamily;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Family of bold text.
pub(super) const BOLD: &str = "bold";
/// Family of italic text.
pub(super) const ITALIC: &str = "italic";
/// Family of music signs.
pub(super) const MUSIC: &str = "music";

const REGULAR_FACE: FontRole = FontRole::Text(SheetFont::Sans, Cut::Regular);
const BOLD_FACE: FontRole = FontRole::Text(SheetFont::Sans, Cut::Bold);
const ITALIC_FACE: FontRole = FontRole::Text(SheetFont::Sans, Cut::Italic);
const MUSIC_FACE: FontRole = FontRole::Music;

/// Family of a cut with serifs, for sheets that are set in it.
pub(super) const fn serif(cut: Cut) -> &'static str {
    match cut {
        Cut::Regular => "serif",
        Cut::Bold => "serif-bold",
        Cut::Italic => "serif-italic",
    }
}

/// Installs the faces.
pub(super) fn install(ctx: &Context) {
    let data = |bytes: &'static [u8]| Arc::new(FontData::from_static(bytes));
    let mut font_data = BTreeMap::from([
        ("andika".to_owned(), data(REGULAR_FACE.bytes())),
        ("andika-bold".to_owned(), data(BOLD_FACE.bytes())),
        ("andika-italic".to_owned(), data(ITALIC_FACE.bytes())),
        ("bravura".to_owned(), data(MUSIC_FACE.bytes())),
    ]);
    let stack = |first: &str| vec![first.to_owned(), "bravura".to_owned()];
    let mut families = BTreeMap::from([
        (FontFamily::Proportional, stack("andika")),
        (FontFamily::Monospace, stack("andika")),
        (FontFamily::Name(BOLD.into()), stack("andika-bold")),
        (FontFamily::Name(ITALIC.into()), stack("andika-italic")),
        (FontFamily::Name(MUSIC.into()), vec!["bravura".to_owned()]),
    ]);
    for cut in Cut::ALL {
        let bytes = FontRole::Text(SheetFont::Serif, cut).bytes();
        font_data.insert(serif(cut).to_owned(), data(bytes));
        families.insert(FontFamily::Name(serif(cut).into()), stack(serif(cut)));
    }
    ctx.set_fonts(FontDefinitions {
        font_data,
        families,
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::ThumbMove;

    fn face(bytes: &'static [u8]) -> ttf_parser::Face<'static> {
        ttf_parser::Face::parse(bytes, 0).unwrap()
    }

    #[test]
    fn the_text_face_has_every_sign_that_the_window_writes() {
        let codes: String = ThumbMove::ALL.iter().map(|m| m.code()).collect();
        let signs = "♭♯°ø−–…·×→↑↓±½≤".chars().chain(codes.chars());
        for bytes in [REGULAR_FACE.bytes(), BOLD_FACE.bytes()] {
            let text = face(bytes);
            let music = face(MUSIC_FACE.bytes());
            for sign in signs.clone() {
                let known = text.glyph_index(sign).is_some() || music.glyph_index(sign).is_some();
                assert!(known, "{sign:?} is in neither face");
            }
        }
    }

    #[test]
    fn figures_have_one_width() {
        for bytes in [REGULAR_FACE.bytes(), BOLD_FACE.bytes()] {
            let face = face(bytes);
            let width = |c| {
                face.glyph_hor_advance(face.glyph_index(c).unwrap())
                    .unwrap()
            };
            let widths: Vec<u16> = ('0'..='9').map(width).collect();
            assert!(widths.windows(2).all(|w| w[0] == w[1]), "{widths:?}");
        }
    }
}
