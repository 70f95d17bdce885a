//! How much is locked or unlocked at once, seen from the selection, from a cell to the whole tune,
//! and what that is called.

use crate::arrange::Lane;
use crate::document::Document;
use crate::session::status::Selection;
use crate::session::status::bars_words;

/// How much is locked or unlocked, seen from the selection.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Extent {
    /// The selected cell. Of the fingers: the shape of the chord in force there and the strikes
    /// of the bar.
    Cell,
    /// The selected lane in the selected bars.
    Lane,
    /// The selected bars, both lanes.
    Bars,
    /// The sections that the selected bars belong to.
    Section,
    /// The thumb in the whole tune.
    ThumbLane,
    /// The fingers in the whole tune.
    FingersLane,
    /// Everything.
    Tune,
}

impl Extent {
    /// Every extent, smallest first.
    pub const ALL: [Self; 7] = [
        Self::Cell,
        Self::Lane,
        Self::Bars,
        Self::Section,
        Self::ThumbLane,
        Self::FingersLane,
        Self::Tune,
    ];

    /// What `l` locks: the selected run of bars if there is one, else the cell.
    #[must_use]
    pub const fn of_selection(selection: &Selection) -> Self {
        match selection.to_bar {
            Some(_) => Self::Bars,
            None => Self::Cell,
        }
    }

    /// What it is called for a selection, as it goes on after *Lock*: `bar 5`, `thumb lane`.
    #[must_use]
    pub fn words(self, document: &Document, selection: &Selection) -> String {
        let bars = bars_words(selection.bars());
        let lane = lane_of(selection).word();
        match self {
            Self::Cell => format!("{lane} cell in bar {}", selection.place.bar + 1),
            Self::Lane => format!("{lane} in {bars}"),
            Self::Bars => bars,
            Self::Section => section_words(document, selection),
            Self::ThumbLane => "thumb lane".into(),
            Self::FingersLane => "fingers lane".into(),
            Self::Tune => "whole tune".into(),
        }
    }
}

fn section_words(document: &Document, selection: &Selection) -> String {
    let bars = section_bars(document, selection);
    let names = |bar| document.section_of(bar).map(|(section, _)| &section.name);
    match (names(bars.0), document.section_of(bars.1)) {
        (Some(name), Some((last, _))) if last.name == *name && !name.is_empty() => {
            format!("section {name}")
        }
        _ => bars_words(bars),
    }
}

/// From the first bar of the first section touched to the last bar of the last one.
pub(super) fn section_bars(document: &Document, selection: &Selection) -> (usize, usize) {
    let (first, last) = selection.bars();
    let (mut start, mut bars) = (0, (first, last));
    for section in &document.sections {
        let end = start + section.bars.len();
        if (start..end).contains(&first) {
            bars.0 = start;
        }
        if (start..end).contains(&last) {
            bars.1 = end.saturating_sub(1);
        }
        start = end;
    }
    bars
}

/// The tune is decided by whoever wrote it; in its lane the fingers under it are meant.
pub(super) const fn lane_of(selection: &Selection) -> Lane {
    match selection.lane {
        Lane::Thumb => Lane::Thumb,
        Lane::Fingers | Lane::Tune => Lane::Fingers,
    }
}
