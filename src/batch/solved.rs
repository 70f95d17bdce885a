//! A document with its solved arrangement, and the words for it and for places in it. What most jobs
//! work on.

use super::Exit;
use crate::arrange::Arrangement;
use crate::arrange::Place;
use crate::document::Document;
use crate::session::arrange_document;
use crate::theory::TICKS_PER_BEAT;

/// A document and the best arrangement of it.
pub struct Solved {
    /// The document.
    pub document: Document,
    /// Its answer.
    pub arrangement: Arrangement,
}

impl Solved {
    /// Solves a document.
    pub fn of(document: Document) -> Self {
        let arrangement = arrange_document(&document);
        Self {
            document,
            arrangement,
        }
    }

    /// How many findings are faults.
    pub fn n_faults(&self) -> usize {
        let findings = self.arrangement.findings.iter();
        findings.filter(|finding| finding.kind.is_fault()).count()
    }

    /// 1 if there are faults.
    pub fn exit(&self) -> Exit {
        if self.n_faults() == 0 {
            Exit::Fine
        } else {
            Exit::Findings
        }
    }
}

/// What a tune is called where results are told.
pub fn title_words(document: &Document) -> &str {
    if document.title.is_empty() {
        "Untitled"
    } else {
        &document.title
    }
}

/// The tempo up to which something is comfortable, which is an estimate; empty if nothing moves.
pub fn tempo_words(bpm: Option<u16>) -> String {
    bpm.map_or_else(String::new, |bpm| format!("about {bpm} bpm"))
}

/// `bar 7, beat 4`; between beats with a fraction.
pub fn place_words(place: Place) -> String {
    let beat = place.at.beat_idx() + 1;
    let within = place.at.within_beat();
    let part = match (within * 12).checked_div(TICKS_PER_BEAT) {
        Some(0) if within == 0 => "",
        Some(3) => "¼",
        Some(4) => "⅓",
        Some(6) => "½",
        Some(8) => "⅔",
        Some(9) => "¾",
        _ => "+",
    };
    format!("bar {}, beat {beat}{part}", place.bar + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::Ticks;

    #[test]
    fn places_are_named_as_players_count() {
        for (bar, at, expected) in [
            (0, 0, "bar 1, beat 1"),
            (6, 2880, "bar 7, beat 4"),
            (6, 3360, "bar 7, beat 4½"),
            (6, 640, "bar 7, beat 1⅔"),
            (6, 961, "bar 7, beat 2+"),
        ] {
            assert_eq!(place_words(Place { bar, at: Ticks(at) }), expected);
        }
    }
}
