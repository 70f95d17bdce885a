//! From a document and its arrangement to bytes: chart text, tab text, PDF, SVG, WAVE, MIDI. PDF
//! and SVG walk over the pages that `score` has laid out, WAVE and MIDI render what it performs,
//! the text formats set their own columns; here is decided only how a format writes things down. The same
//! document gives the same bytes on every machine. Never opens a file and never chooses a note.

pub mod chart_text;
pub mod midi;
pub mod pdf;
pub mod svg;
pub mod tab_text;
pub mod wav;
