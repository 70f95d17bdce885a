//! From what people typed or other programs wrote to a document: the chart format, MusicXML and MIDI.
//! Decides what a line, a bar and a place mean; chord symbols and keys are read by `theory`. A
//! mistake is an error with its place and what was expected; what can only be guessed or must be
//! dropped is a [`Notice`]. Never drops anything without a word, and never opens a file.

pub mod chart;
mod chart_bars;
mod chart_header;
mod chart_line;
mod chart_tune;
mod chart_words;
mod metre;
pub mod midi;
pub mod musicxml;
pub mod mxl;
pub mod notice;
mod notices;
mod score_file;
mod text_bytes;
mod zip;

pub use chart::ChartError;
pub use notice::Notice;
pub use score_file::Choice;
pub use score_file::Grid;
pub use score_file::ImportError;
pub use score_file::Imported;
pub use score_file::PartInfo;
