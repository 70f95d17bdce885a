//! From a document and its arrangement to bytes: chart text, tab text, PDF, SVG, PNG, WAVE, MIDI,
//! MusicXML and the movement table as CSV. PDF, SVG and PNG walk over the pages that `score` has
//! laid out, WAVE and MIDI render what it performs, MusicXML takes its written rhythm, the text formats
//! set their own columns; here is decided only how a format writes things down. The same document
//! gives the same bytes on every machine. Never opens a file and never chooses a note.

pub mod chart_text;
mod chart_tune;
pub mod midi;
pub mod moves_csv;
pub mod musicxml;
pub mod mxl;
pub mod pdf;
pub mod png;
pub mod svg;
pub mod tab_text;
pub mod wav;
