//! The faces that sheets are set in, and how wide and tall their letters are. The fonts are part
//! of the program, so layout, PDF, SVG and preview measure the same outlines on every machine.
//! Letters are set at their own widths without kerning, which keeps every walk over the marks
//! identical. Never opens a file and never falls back to a font of the system.

use crate::document::SheetFont;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::LazyLock;
use ttf_parser::Face;
use ttf_parser::GlyphId;
use ttf_parser::OutlineBuilder;
use ttf_parser::Rect;

// Statics, so that each file is in the program once.
static ANDIKA: &[u8] = include_bytes!("../../assets/fonts/Andika-Regular.ttf");
static ANDIKA_BOLD: &[u8] = include_bytes!("../../assets/fonts/Andika-Bold.ttf");
static ANDIKA_ITALIC: &[u8] = include_bytes!("../../assets/fonts/Andika-Italic.ttf");
static CHARIS: &[u8] = include_bytes!("../../assets/fonts/CharisSIL-Regular.ttf");
static CHARIS_BOLD: &[u8] = include_bytes!("../../assets/fonts/CharisSIL-Bold.ttf");
static CHARIS_ITALIC: &[u8] = include_bytes!("../../assets/fonts/CharisSIL-Italic.ttf");
static BRAVURA: &[u8] = include_bytes!("../../assets/fonts/Bravura.otf");

/// A cut of a text face.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Cut {
    /// Running text, figures of fingers.
    Regular,
    /// Titles, chord symbols, section names and fret digits.
    Bold,
    /// Right-hand letters, bar numbers and credits.
    Italic,
}

impl Cut {
    /// Every cut.
    pub const ALL: [Self; 3] = [Self::Regular, Self::Bold, Self::Italic];
}

/// A font of the sheet.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum FontRole {
    /// Letters and figures.
    Text(SheetFont, Cut),
    /// Music signs (SMuFL code points; em = 4 staff spaces).
    Music,
}

impl FontRole {
    /// Every font.
    pub const ALL: [Self; 7] = {
        use Cut::Bold;
        use Cut::Italic;
        use Cut::Regular;
        use SheetFont::Sans;
        use SheetFont::Serif;
        [
            Self::Text(Sans, Regular),
            Self::Text(Sans, Bold),
            Self::Text(Sans, Italic),
            Self::Text(Serif, Regular),
            Self::Text(Serif, Bold),
            Self::Text(Serif, Italic),
            Self::Music,
        ]
    };

    /// The font file as it is embedded.
    #[must_use]
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Self::Text(SheetFont::Sans, Cut::Regular) => ANDIKA,
            Self::Text(SheetFont::Sans, Cut::Bold) => ANDIKA_BOLD,
            Self::Text(SheetFont::Sans, Cut::Italic) => ANDIKA_ITALIC,
            Self::Text(SheetFont::Serif, Cut::Regular) => CHARIS,
            Self::Text(SheetFont::Serif, Cut::Bold) => CHARIS_BOLD,
            Self::Text(SheetFont::Serif, Cut::Italic) => CHARIS_ITALIC,
            Self::Music => BRAVURA,
        }
    }

    const fn idx(self) -> usize {
        match self {
            Self::Text(face, cut) => 3 * (face as usize) + cut as usize,
            Self::Music => 6,
        }
    }
}

static FACES: LazyLock<[Option<Face<'static>>; 7]> =
    LazyLock::new(|| FontRole::ALL.map(|role| Face::parse(role.bytes(), 0).ok()));

fn face(role: FontRole) -> Option<&'static Face<'static>> {
    FACES.get(role.idx()).and_then(Option::as_ref)
}

/// One letter of a line of text: which glyph, and how far it moves the pen, in ems.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct SetGlyph {
    /// The font's glyph number; 0 where the face lacks the letter.
    pub glyph: u16,
    /// Byte of the text where its letter begins.
    pub byte: usize,
    /// Bytes of the letter.
    pub n_bytes: usize,
    /// Width in ems.
    pub advance: f64,
}

/// Sets a line of text letter by letter.
pub fn set_line(role: FontRole, text: &str) -> impl Iterator<Item = SetGlyph> + '_ {
    text.char_indices().map(move |(byte, letter)| {
        let glyph = face(role)
            .and_then(|f| f.glyph_index(letter))
            .unwrap_or(GlyphId(0));
        let advance = face(role).map_or(0.5, |f| {
            f64::from(f.glyph_hor_advance(glyph).unwrap_or(0)) / f64::from(f.units_per_em())
        });
        SetGlyph {
            glyph: glyph.0,
            byte,
            n_bytes: letter.len_utf8(),
            advance,
        }
    })
}

/// Whether the face has every letter of a text.
#[must_use]
pub fn covers(role: FontRole, text: &str) -> bool {
    face(role).is_some_and(|f| text.chars().all(|c| f.glyph_index(c).is_some()))
}

/// Width of a line of text in the unit of `size` (the em).
#[must_use]
pub fn text_width(role: FontRole, size: f64, text: &str) -> f64 {
    set_line(role, text).map(|glyph| glyph.advance).sum::<f64>() * size
}

/// Height of capitals and figures in ems.
#[must_use]
pub fn cap_height(role: FontRole) -> f64 {
    face(role).map_or(0.7, |f| {
        f64::from(f.capital_height().unwrap_or(0)) / f64::from(f.units_per_em())
    })
}

/// Ink of a line of text at the origin: left, top, right, bottom in the unit of `size`, with y
/// growing downwards from the baseline. `None` if nothing is inked.
#[must_use]
pub fn ink_box(role: FontRole, size: f64, text: &str) -> Option<[f64; 4]> {
    let face = face(role)?;
    let unit = size / f64::from(face.units_per_em());
    let mut pen = 0.0;
    let mut ink: Option<[f64; 4]> = None;
    for glyph in set_line(role, text) {
        if let Some(b) = glyph_box(face, role, glyph.glyph) {
            let own = [
                pen + f64::from(b.x_min) * unit,
                -f64::from(b.y_max) * unit,
                pen + f64::from(b.x_max) * unit,
                -f64::from(b.y_min) * unit,
            ];
            ink = Some(ink.map_or(own, |sum| union(sum, own)));
        }
        pen += glyph.advance * size;
    }
    ink
}

thread_local! {
    /// Boxes of glyphs that were asked for: the music face makes them from outlines, which takes
    /// longer than laying out a bar.
    static BOXES: RefCell<BTreeMap<(FontRole, u16), Option<Rect>>> = const { RefCell::new(BTreeMap::new()) };
}

fn glyph_box(face: &Face<'_>, role: FontRole, glyph: u16) -> Option<Rect> {
    BOXES.with_borrow_mut(|boxes| {
        let measured = || face.glyph_bounding_box(GlyphId(glyph));
        *boxes.entry((role, glyph)).or_insert_with(measured)
    })
}

fn union(a: [f64; 4], b: [f64; 4]) -> [f64; 4] {
    let [al, at, ar, ab] = a;
    let [bl, bt, br, bb] = b;
    [al.min(bl), at.min(bt), ar.max(br), ab.max(bb)]
}

/// Receives an outline in ems, y growing upwards.
pub trait OutlineSink {
    /// A new contour begins.
    fn move_to(&mut self, x: f64, y: f64);
    /// A straight line.
    fn line_to(&mut self, x: f64, y: f64);
    /// A quadratic curve.
    fn quad_to(&mut self, x1: f64, y1: f64, x: f64, y: f64);
    /// A cubic curve.
    fn cubic_to(&mut self, x1: f64, y1: f64, x2: f64, y2: f64, x: f64, y: f64);
    /// The contour ends.
    fn close(&mut self);
}

struct Scaled<'a, S: OutlineSink> {
    sink: &'a mut S,
    unit: f64,
}

impl<S: OutlineSink> OutlineBuilder for Scaled<'_, S> {
    fn move_to(&mut self, x: f32, y: f32) {
        let u = self.unit;
        self.sink.move_to(f64::from(x) * u, f64::from(y) * u);
    }
    fn line_to(&mut self, x: f32, y: f32) {
        let u = self.unit;
        self.sink.line_to(f64::from(x) * u, f64::from(y) * u);
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let u = self.unit;
        let [x1, y1, x, y] = [x1, y1, x, y].map(|v| f64::from(v) * u);
        self.sink.quad_to(x1, y1, x, y);
    }
    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let u = self.unit;
        let [x1, y1, x2, y2, x, y] = [x1, y1, x2, y2, x, y].map(|v| f64::from(v) * u);
        self.sink.cubic_to(x1, y1, x2, y2, x, y);
    }
    fn close(&mut self) {
        self.sink.close();
    }
}

/// Walks the outline of a glyph of a face.
pub fn outline(role: FontRole, glyph: u16, sink: &mut impl OutlineSink) {
    if let Some(face) = face(role) {
        let unit = 1.0 / f64::from(face.units_per_em());
        face.outline_glyph(GlyphId(glyph), &mut Scaled { sink, unit });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text_fonts() -> impl Iterator<Item = FontRole> {
        let fonts = FontRole::ALL.into_iter();
        fonts.filter(|role| *role != FontRole::Music)
    }

    #[test]
    fn every_face_can_be_read() {
        for (i, role) in FontRole::ALL.into_iter().enumerate() {
            assert!(face(role).is_some(), "{role:?}");
            assert_eq!(role.idx(), i);
        }
    }

    #[test]
    fn the_faces_are_those_that_their_licences_name() {
        // Name tables of the fonts (OpenType, name ID 1).
        let family = |role: FontRole| {
            let names = face(role).unwrap().names();
            let mut families = names.into_iter().filter(|name| name.name_id == 1);
            families.find_map(|name| name.to_string()).unwrap()
        };
        for role in FontRole::ALL {
            let (expected, licence) = match role {
                FontRole::Text(SheetFont::Sans, _) => (
                    "Andika",
                    include_str!("../../assets/fonts/ANDIKA-LICENSE.txt"),
                ),
                FontRole::Text(SheetFont::Serif, _) => (
                    "Charis SIL",
                    include_str!("../../assets/fonts/CHARIS-LICENSE.txt"),
                ),
                FontRole::Music => (
                    "Bravura",
                    include_str!("../../assets/fonts/BRAVURA-LICENSE.txt"),
                ),
            };
            assert_eq!(family(role), expected);
            assert!(licence.contains(expected) && licence.contains("SIL OPEN FONT LICENSE"));
        }
    }

    #[test]
    fn figures_have_one_width_so_that_columns_line_up() {
        for role in text_fonts() {
            let zero = text_width(role, 10.0, "0");
            for digit in "123456789".chars() {
                let width = text_width(role, 10.0, &digit.to_string());
                assert!((width - zero).abs() < 1e-9, "{role:?} {digit}");
            }
        }
    }

    #[test]
    fn text_faces_have_the_signs_that_sheets_use() {
        for role in text_fonts() {
            assert!(covers(role, "♭♯↑↓→×–°øΔ·…"), "{role:?}");
        }
        assert!(covers(FontRole::Music, "♭♯"));
    }

    #[test]
    fn the_music_face_keeps_the_boxes_that_smufl_metadata_publish() {
        // Bravura 1.392 metadata, glyphBBoxes in staff spaces (em = 4 spaces).
        let table = [
            ('\u{E0A3}', [0.0, -0.5, 1.18, 0.5]),
            ('\u{E4E5}', [0.004, -1.492, 1.08, 1.5]),
            ('\u{E06D}', [-0.012, -3.056, 1.632, 2.992]),
        ];
        for (code, expected) in table {
            let ink = ink_box(FontRole::Music, 4.0, &code.to_string()).unwrap();
            for (got, want) in ink.into_iter().zip(expected) {
                assert!((got - want).abs() < 0.02, "{code:?}: {ink:?}");
            }
        }
    }
}
