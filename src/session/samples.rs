//! The sample tunes that come with the program, carried inside it so that they open anywhere.

use super::open;
use crate::document::Document;

/// Title and chart text of every sample.
pub const SAMPLES: &[(&str, &str)] = &[
    (
        "Ferry Queue Blues",
        include_str!("../../sample-projects/ferry-queue-blues.chart.txt"),
    ),
    (
        "Lamp on the Stairs",
        include_str!("../../sample-projects/lamp-on-the-stairs.chart.txt"),
    ),
    (
        "New Britain",
        include_str!("../../sample-projects/new-britain.chart.txt"),
    ),
    (
        "Kiosk by the Water",
        include_str!("../../sample-projects/kiosk-by-the-water.chart.txt"),
    ),
];

/// A sample as a document, with what a chart leaves open taken from `base`; `None` if there is no
/// such number.
#[must_use]
pub fn document(number: usize, base: &Document) -> Option<Result<Document, String>> {
    let (_, text) = SAMPLES.get(number)?;
    Some(open::document_from_text(text, base).map(|(document, _)| document))
}
