//! From a document and its arrangement to bytes: chart text, tab text, SVG, PDF. Never opens a file.
//!
//! See the layer table in DEVELOPERS.md for what this layer may use and what it must never do.

pub mod chart_text;
pub mod pdf;
pub mod svg;
pub mod tab_text;
pub mod wav;
