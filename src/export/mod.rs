//! From a document and its arrangement to bytes: chart text, tab text, PDF, SVG, WAVE. Each format
//! is a walk over what `score` has laid out or performed, so that paper, preview and sound tell the
//! same; here is decided only how a format writes it. The same document gives the same bytes on
//! every machine. Never opens a file, lays anything out or chooses a note.

pub mod chart_text;
pub mod pdf;
pub mod svg;
pub mod tab_text;
pub mod wav;
