//! Documents from bare chords, bar by bar, in 4/4; everything else is as a new document has it. For
//! tests that ask what becomes of chords, whatever file they came from.

use std::sync::Arc;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Ticks;

/// A document with one bar per item; chords of a bar are spread evenly.
pub fn document_of(bars: &[Vec<&str>]) -> Document {
    let bar = |symbols: &Vec<&str>| {
        let step = 4 / u32::try_from(symbols.len().max(1)).expect("few chords");
        let chords = (0u32..).zip(symbols).map(|(i, symbol)| ChordAt {
            at: Ticks::of_beat(i * step),
            harmony: Harmony::parse(symbol).expect("a chord"),
            shape: None,
        });
        Bar {
            chords: chords.collect(),
            ..Bar::default()
        }
    };
    let section = Section {
        name: "A".into(),
        bars: bars.iter().map(bar).collect(),
    };
    Document {
        sections: vec![Arc::new(section)],
        ..Document::default()
    }
}
