//! What the player plays when it plays the tune: the document with its arrangement, at any share
//! of its tempo.

use crate::arrange::Arrangement;
use crate::document::Document;
use crate::score::Performance;
use crate::score::perform_at;
use std::sync::Arc;

/// A document and the arrangement that belongs to it.
#[derive(Clone)]
pub struct Tune {
    /// The chart and its settings.
    pub document: Arc<Document>,
    /// Its notes.
    pub arrangement: Arc<Arrangement>,
}

impl Tune {
    /// All of it, at so many per cent of its tempo.
    pub fn at(&self, percent: u16) -> Arc<Performance> {
        let whole = perform_at(&self.document, &self.arrangement, None, percent);
        Arc::new(whole)
    }
}

/// The seconds between which written bars are first played, for a loop.
pub fn seconds_of_bars(
    performance: &Performance,
    (first, last): (usize, usize),
) -> Option<(f64, f64)> {
    let bars = &performance.bars;
    // All bars are all choruses.
    if first == 0 && bars.iter().all(|bar| bar.written_bar <= last) {
        return Some((0.0, performance.total_s));
    }
    let from = bars.iter().find(|bar| bar.written_bar == first)?.start_s;
    let to = (bars.iter())
        .find(|bar| bar.written_bar == last && bar.start_s >= from)
        .map_or(performance.total_s, |bar| bar.end_s);
    Some((from, to))
}
