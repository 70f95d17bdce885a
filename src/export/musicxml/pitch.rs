//! Pitches as MusicXML says them: step, alteration and octave, and the names of the signs.

use super::xml::Xml;
use crate::score::staff_pitch::Pitch;

/// Writes `step`, `alter` and `octave`, each with a word before it: none in a pitch, `tuning-` in a
/// tuning.
pub fn write(xml: &mut Xml, pitch: Pitch, before: &str) {
    let step = pitch.spelling.letter().to_char();
    xml.leaf(&format!("{before}step"), step);
    if pitch.spelling.alter() != 0 {
        xml.leaf(&format!("{before}alter"), pitch.spelling.alter());
    }
    xml.leaf(&format!("{before}octave"), pitch.octave);
}

/// The name of the sign a pitch would carry.
#[must_use]
pub const fn sign(pitch: Pitch) -> &'static str {
    match pitch.spelling.alter() {
        -3 => "triple-flat",
        -2 => "flat-flat",
        -1 => "flat",
        1 => "sharp",
        2 => "double-sharp",
        3 => "triple-sharp",
        _ => "natural",
    }
}
