//! For tests of what is done to bars and sections: documents from chart text, and their bars as chart
//! text again, which is easier to read in a test than the bars themselves.

use crate::document::Document;
use crate::export::chart_text;
use crate::import::chart;

/// The document of a chart.
pub fn read(text: &str) -> Document {
    chart::read(text).expect("a chart").0
}

/// The bars with their section names and repeats, without the header.
pub fn bars(document: &Document) -> String {
    let text = chart_text::write(document);
    let body = text.split_once("\n\n").map_or("", |(_, body)| body);
    let words: Vec<&str> = body.split_whitespace().collect();
    // Where a line ends, its last barline stands before the first of the next.
    words.join(" ").replace("| |", "|")
}
