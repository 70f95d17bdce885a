//! From other people's text and files to documents, with notices for everything dropped or guessed.
//!
//! See the layer table in DEVELOPERS.md for what this layer may use and what it must never do.

pub mod chart;
mod chart_bars;
mod chart_header;
mod chart_line;
mod chart_words;
pub mod notice;

pub use chart::ChartError;
pub use notice::Notice;
