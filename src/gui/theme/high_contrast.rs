//! The two themes again for eyes that need more: words at 7 : 1 or better, lines as strong as
//! outlines, and papers that are white and black. Roles keep their colours and shapes.

use super::DARK;
use super::LIGHT;
use super::Palette;
use super::hex;

/// The light theme with high contrast.
pub const LIGHT_HIGH: Palette = Palette {
    paper: hex(0x00FF_FFFF),
    card: hex(0x00FF_FFFF),
    sunk: hex(0x00F5_F5F5),
    offbeat: hex(0x00F0_F0F0),
    hover: hex(0x00E6_E6E6),
    pressed: hex(0x00DA_DADA),
    ink: hex(0x0000_0000),
    ink_soft: hex(0x002B_2B2B),
    lines: hex(0x006B_6B6B),
    outline: hex(0x003A_3A3A),
    selection: hex(0x00CF_E6F6),
    thumb_text: hex(0x0000_3A5C),
    fingers_text: hex(0x004A_3200),
    tune_text: hex(0x0000_402E),
    warning_text: hex(0x006B_2F00),
    effort_low: hex(0x0080_8990),
    effort_high: hex(0x001A_2127),
    board: hex(0x00F2_EEE4),
    metal: hex(0x0045_4441),
    fret: hex(0x0058_5753),
    ..LIGHT
};

/// The dark theme with high contrast.
pub const DARK_HIGH: Palette = Palette {
    paper: hex(0x0000_0000),
    card: hex(0x000B_0B0B),
    sunk: hex(0x0005_0505),
    offbeat: hex(0x0012_1212),
    hover: hex(0x001F_1F1F),
    pressed: hex(0x002A_2A2A),
    ink: hex(0x00FF_FFFF),
    ink_soft: hex(0x00DA_DADA),
    lines: hex(0x008A_8A8A),
    outline: hex(0x00B8_B8B8),
    selection: hex(0x0000_2B45),
    thumb_text: hex(0x009B_D3F5),
    fingers_text: hex(0x00FF_D27A),
    tune_text: hex(0x007B_E3C0),
    warning_text: hex(0x00FF_B98A),
    effort_low: hex(0x006B_747B),
    effort_high: hex(0x00F0_F4F7),
    board: hex(0x0014_120E),
    metal: hex(0x00C9_C8C2),
    fret: hex(0x00A9_A8A3),
    ..DARK
};
