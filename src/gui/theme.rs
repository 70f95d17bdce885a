//! Colours, sizes and type of the window, in one place: a light paper theme and a dark one, roles
//! in the Okabe–Ito colours (published for colour-blind safety), text at 12, 14, 18 and 24 points
//! on a raster of 4. No other file of the window names a colour or a font.

mod fonts;
mod high_contrast;
mod style;

pub use high_contrast::DARK_HIGH;
pub use high_contrast::LIGHT_HIGH;
pub use style::install_look;
pub use style::show;

use crate::document::SheetFont;
use crate::score::fonts::Cut;
use crate::score::fonts::FontRole;
use egui::Color32;
use egui::FontFamily;
use egui::FontId;

/// Small text: captions, note names.
pub const SMALL: f32 = 12.0;
/// Text.
pub const BODY: f32 = 14.0;
/// Headings, chord symbols, move codes.
pub const LARGE: f32 = 18.0;
/// Titles.
pub const TITLE: f32 = 24.0;
/// The raster that all spacing is a multiple of.
pub const STEP: f32 = 4.0;
/// Corner radius.
pub const RADIUS: u8 = 4;

/// The colours of one theme.
#[derive(Clone, Copy, Debug)]
pub struct Palette {
    /// Ground of the window.
    pub paper: Color32,
    /// Ground of cards and fields.
    pub card: Color32,
    /// Ground of bars and side panels.
    pub sunk: Color32,
    /// Ground of off-beat columns.
    pub offbeat: Color32,
    /// Ground under the pointer.
    pub hover: Color32,
    /// Ground while pressed, and of off-beat columns that are struck.
    pub pressed: Color32,
    /// Text and strong lines.
    pub ink: Color32,
    /// Secondary text.
    pub ink_soft: Color32,
    /// Hairlines.
    pub lines: Color32,
    /// Outlines of things that can be used (3 : 1 against the grounds).
    pub outline: Color32,
    /// Ground of what is selected.
    pub selection: Color32,
    /// Thumb marks.
    pub thumb: Color32,
    /// Thumb words.
    pub thumb_text: Color32,
    /// Finger marks.
    pub fingers: Color32,
    /// Finger words, and the outline of finger marks.
    pub fingers_text: Color32,
    /// Tune marks.
    pub tune: Color32,
    /// Tune words.
    pub tune_text: Color32,
    /// Warning marks.
    pub warning: Color32,
    /// Warning words.
    pub warning_text: Color32,
    /// Text on thumb marks.
    pub on_thumb: Color32,
    /// Text on finger, tune and warning marks.
    pub on_mark: Color32,
    /// Least effort in the strip.
    pub effort_low: Color32,
    /// Most effort in the strip.
    pub effort_high: Color32,
    /// Wood of the fretboard.
    pub board: Color32,
    /// Strings.
    pub metal: Color32,
    /// Frets and position dots (3 : 1 against the wood).
    pub fret: Color32,
}

impl Palette {
    /// Edge of the zone that the thumb reaches on the fretboard (3 : 1 against the wood).
    #[must_use]
    pub fn zone_edge(&self) -> Color32 {
        between(self.board, self.thumb_text, 0.7)
    }
}

/// A sheet's ink, in either theme.
pub const SHEET_INK: Color32 = Color32::BLACK;
/// A sheet's paper, in either theme.
pub const SHEET_PAPER: Color32 = Color32::WHITE;

const fn hex(rgb: u32) -> Color32 {
    let [_, r, g, b] = rgb.to_be_bytes();
    Color32::from_rgb(r, g, b)
}

/// The light theme.
pub const LIGHT: Palette = Palette {
    paper: hex(0x00FB_FAF7),
    card: hex(0x00FF_FFFF),
    sunk: hex(0x00F4_F2EC),
    offbeat: hex(0x00F6_F4EF),
    hover: hex(0x00EC_E9E0),
    pressed: hex(0x00E4_E0D5),
    ink: hex(0x001F_2328),
    ink_soft: hex(0x0055_5A60),
    lines: hex(0x00D9_D6CF),
    outline: hex(0x008B_8880),
    selection: hex(0x00DC_EBF5),
    thumb: hex(0x0000_72B2),
    thumb_text: hex(0x0000_5585),
    fingers: hex(0x00E6_9F00),
    fingers_text: hex(0x0070_4C00),
    tune: hex(0x0000_9E73),
    tune_text: hex(0x0000_6247),
    warning: hex(0x00D5_5E00),
    warning_text: hex(0x0098_4300),
    on_thumb: hex(0x00FF_FFFF),
    on_mark: hex(0x0015_181C),
    effort_low: hex(0x0084_8D94),
    effort_high: hex(0x003C_4751),
    board: hex(0x00EF_E9DC),
    metal: hex(0x006B_6A66),
    fret: hex(0x0083_807A),
};

/// The dark theme.
pub const DARK: Palette = Palette {
    paper: hex(0x001B_1D20),
    card: hex(0x0023_262A),
    sunk: hex(0x0017_191B),
    offbeat: hex(0x001E_2124),
    hover: hex(0x002D_3136),
    pressed: hex(0x0036_3A40),
    ink: hex(0x00E8_E6E1),
    ink_soft: hex(0x00B0_B1B2),
    lines: hex(0x003A_3D42),
    outline: hex(0x0081_8489),
    selection: hex(0x0021_3B4C),
    thumb: hex(0x0000_72B2),
    thumb_text: hex(0x007D_C3EC),
    fingers: hex(0x00E6_9F00),
    fingers_text: hex(0x00F2_BF55),
    tune: hex(0x0000_9E73),
    tune_text: hex(0x0058_D1A9),
    warning: hex(0x00D5_5E00),
    warning_text: hex(0x00F7_9D5E),
    on_thumb: hex(0x00FF_FFFF),
    on_mark: hex(0x0015_181C),
    effort_low: hex(0x006B_747B),
    effort_high: hex(0x00C8_D1D7),
    board: hex(0x0029_2723),
    metal: hex(0x0096_9590),
    fret: hex(0x0077_7672),
};

/// The colours in force. Each palette is known by its paper.
#[must_use]
pub fn palette(visuals: &egui::Visuals) -> &'static Palette {
    let (usual, high) = if visuals.dark_mode {
        (&DARK, &DARK_HIGH)
    } else {
        (&LIGHT, &LIGHT_HIGH)
    };
    if visuals.panel_fill == high.paper {
        high
    } else {
        usual
    }
}

/// The text face at a size.
#[must_use]
pub const fn text(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// The bold text face at a size.
#[must_use]
pub fn bold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(fonts::BOLD.into()))
}

/// The music face at a size.
#[must_use]
pub fn music(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(fonts::MUSIC.into()))
}

/// The family that shows a face of the sheet.
#[must_use]
pub fn sheet_family(role: FontRole) -> FontFamily {
    match role {
        FontRole::Text(SheetFont::Sans, Cut::Regular) => FontFamily::Proportional,
        FontRole::Text(SheetFont::Sans, Cut::Bold) => FontFamily::Name(fonts::BOLD.into()),
        FontRole::Text(SheetFont::Sans, Cut::Italic) => FontFamily::Name(fonts::ITALIC.into()),
        FontRole::Text(SheetFont::Serif, cut) => FontFamily::Name(fonts::serif(cut).into()),
        FontRole::Music => FontFamily::Name(fonts::MUSIC.into()),
    }
}

/// A colour between two, `share` from 0 to 1.
#[must_use]
pub fn between(from: Color32, to: Color32, share: f32) -> Color32 {
    from.lerp_to_gamma(to, share.clamp(0.0, 1.0))
}

/// Contrast of two colours from 1 to 21, as WCAG 2.2 defines relative luminance and contrast ratio.
#[must_use]
pub fn contrast(a: Color32, b: Color32) -> f64 {
    let channel = |c: u8| {
        let c = f64::from(c) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    };
    let luminance =
        |c: Color32| 0.2126 * channel(c.r()) + 0.7152 * channel(c.g()) + 0.0722 * channel(c.b());
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every palette with the least contrast of its words: 4.5 (success criterion 1.4.3), with
    /// high contrast 7 (1.4.6).
    const ALL: [(&str, Palette, f64); 4] = [
        ("light", LIGHT, 4.5),
        ("dark", DARK, 4.5),
        ("light, high contrast", LIGHT_HIGH, 7.0),
        ("dark, high contrast", DARK_HIGH, 7.0),
    ];

    #[test]
    fn text_has_the_contrast_that_is_asked_of_it() {
        for (theme, p, least) in ALL {
            let grounds = [
                p.paper,
                p.card,
                p.sunk,
                p.offbeat,
                p.hover,
                p.pressed,
                p.selection,
            ];
            let words = [
                p.ink,
                p.ink_soft,
                p.thumb_text,
                p.fingers_text,
                p.tune_text,
                p.warning_text,
            ];
            for ground in grounds {
                for word in words {
                    let ratio = contrast(ground, word);
                    assert!(
                        ratio >= least,
                        "{theme}: {word:?} on {ground:?} is {ratio:.2}"
                    );
                }
            }
            let marks = [
                (p.on_thumb, p.thumb),
                (p.on_mark, p.fingers),
                (p.on_mark, p.tune),
                (p.on_mark, p.warning),
                (p.ink, p.board),
                (p.ink_soft, p.board),
            ];
            for (word, ground) in marks {
                let ratio = contrast(ground, word);
                assert!(
                    ratio >= 4.5,
                    "{theme}: {word:?} on {ground:?} is {ratio:.2}"
                );
            }
        }
    }

    #[test]
    fn marks_or_their_outlines_have_a_contrast_of_at_least_three() {
        for (theme, p, _) in ALL {
            for ground in [p.paper, p.card, p.sunk] {
                let text = [p.thumb_text, p.fingers_text];
                let marks = [p.outline, p.tune, p.warning, p.effort_low];
                for mark in text.into_iter().chain(marks) {
                    let ratio = contrast(ground, mark);
                    assert!(
                        ratio >= 3.0,
                        "{theme}: {mark:?} on {ground:?} is {ratio:.2}"
                    );
                }
            }
            for (part, colour) in [
                ("strings", p.metal),
                ("frets", p.fret),
                ("zone", p.zone_edge()),
            ] {
                let ratio = contrast(p.board, colour);
                assert!(ratio >= 3.0, "{theme}: {part} are {ratio:.2}");
            }
        }
    }

    #[test]
    fn roles_are_the_published_colours() {
        // Okabe & Ito, Color Universal Design palette: blue, orange, bluish green, vermilion.
        for (_, p, _) in ALL {
            let roles = [p.thumb, p.fingers, p.tune, p.warning];
            let published = [0x0000_72B2, 0x00E6_9F00, 0x0000_9E73, 0x00D5_5E00].map(hex);
            assert_eq!(roles, published);
        }
    }
}
