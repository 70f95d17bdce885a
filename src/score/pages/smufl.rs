//! Code points and thicknesses of the music font, as published: SMuFL 1.4 (W3C Community Group
//! report, 2021) for code points, the metadata of Bravura 1.392 (SIL OFL) for thicknesses and
//! boxes, all in staff spaces. A table and nothing else.

/// Tab clef for six strings, 6.05 spaces tall, centred on its origin.
pub const TAB_CLEF_6: char = '\u{E06D}';
/// Tab clef for four strings, 4.05 spaces tall.
pub const TAB_CLEF_4: char = '\u{E06E}';
/// Time signature figure 0; the others follow in order.
pub const TIME_SIG_0: u32 = 0xE080;
/// Black, half and whole note heads.
pub const HEAD_BLACK: char = '\u{E0A4}';
/// Half note head.
pub const HEAD_HALF: char = '\u{E0A3}';
/// Whole note head.
pub const HEAD_WHOLE: char = '\u{E0A2}';
/// Flags: eighth up and down, sixteenth up and down.
pub const FLAG_8_UP: char = '\u{E240}';
/// Eighth, stem down.
pub const FLAG_8_DOWN: char = '\u{E241}';
/// Sixteenth, stem up.
pub const FLAG_16_UP: char = '\u{E242}';
/// Sixteenth, stem down.
pub const FLAG_16_DOWN: char = '\u{E243}';
/// Whole rest with its own leger line, for rests outside the staff.
pub const REST_WHOLE: char = '\u{E4F4}';
/// Half rest with its own leger line.
pub const REST_HALF: char = '\u{E4F5}';
/// Quarter rest.
pub const REST_QUARTER: char = '\u{E4E5}';
/// Eighth rest.
pub const REST_8: char = '\u{E4E6}';
/// Sixteenth rest.
pub const REST_16: char = '\u{E4E7}';
/// Quarter note for a tempo mark.
pub const TEMPO_QUARTER: char = '\u{ECA5}';
/// Dot of a tempo note.
pub const TEMPO_DOT: char = '\u{ECB7}';

/// Staff line.
pub const STAFF_LINE: f64 = 0.13;
/// Stem.
pub const STEM: f64 = 0.12;
/// Beam.
pub const BEAM: f64 = 0.5;
/// Gap between two beams.
pub const BEAM_GAP: f64 = 0.25;
/// Thin bar line.
pub const THIN_BAR: f64 = 0.16;
/// Thick bar line.
pub const THICK_BAR: f64 = 0.5;
/// Gap between the two strokes of a double bar.
pub const BAR_GAP: f64 = 0.4;
/// Line of an ending.
pub const ENDING_LINE: f64 = 0.16;
/// Box around a section name.
pub const BOX_LINE: f64 = 0.16;
/// Tie in its middle.
pub const TIE_MIDDLE: f64 = 0.22;
/// Bracket of a triplet.
pub const TUPLET_LINE: f64 = 0.16;
/// Width of a black note head.
pub const HEAD_WIDTH: f64 = 1.18;
/// Width of a time signature figure with its sides.
pub const TIME_FIGURE: f64 = 1.88;

/// Treble clef with an 8 below, its origin on the line of G.
pub const CLEF_G_8VB: char = '\u{E052}';
/// Heads of ghost notes: quarter and shorter, half, whole.
pub const HEAD_X_BLACK: char = '\u{E0A9}';
/// Ghost half.
pub const HEAD_X_HALF: char = '\u{E0A8}';
/// Ghost whole.
pub const HEAD_X_WHOLE: char = '\u{E0A7}';
/// Rests on the staff: whole and half without a leger line.
pub const REST_WHOLE_BARE: char = '\u{E4E3}';
/// Half rest without a leger line.
pub const REST_HALF_BARE: char = '\u{E4E4}';
/// Augmentation dot, its left end at the origin.
pub const DOT: char = '\u{E1E7}';
/// Ends of a bracket before a system.
pub const BRACKET_TOP: char = '\u{E003}';
/// Lower end of it.
pub const BRACKET_BOTTOM: char = '\u{E004}';

/// Leger line.
pub const LEGER_LINE: f64 = 0.16;
/// How far leger lines reach beyond a head.
pub const LEGER_REACH: f64 = 0.4;
/// Bracket before a system.
pub const BRACKET: f64 = 0.5;
/// Where a stem meets a head, above its middle at the right, below it at the left.
pub const STEM_JOINS: f64 = 0.168;
/// The same for ghost notes.
pub const STEM_JOINS_X: f64 = 0.444;
/// Width of the flag of an upward stem.
pub const FLAG_WIDTH: f64 = 1.056;

/// The sign of an alteration by semitones.
#[must_use]
pub const fn sign(alter: i8) -> char {
    match alter {
        ..=-3 => '\u{E266}',
        -2 => '\u{E264}',
        -1 => '\u{E260}',
        0 => '\u{E261}',
        1 => '\u{E262}',
        2 => '\u{E263}',
        3.. => '\u{E265}',
    }
}

/// Tie at its ends.
pub const TIE_END: f64 = 0.1;
