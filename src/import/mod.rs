//! From text that people typed to a document: the chart format. Decides what a line, a bar and a
//! place mean; chords and keys are read by `theory`. A mistake is an error with line, column and
//! what was expected; what can only be guessed or must be dropped is a [`Notice`]. Never drops
//! anything without a word, and never opens a file.

pub mod chart;
mod chart_bars;
mod chart_header;
mod chart_line;
mod chart_words;
pub mod notice;

pub use chart::ChartError;
pub use notice::Notice;
