//! The selected bars as the panel speaks of them: their numbers, what they have in common, and one
//! edit for all of them. Never draws.

use crate::document::Bar;
use crate::document::Document;
use crate::document::Edit;
use crate::gui::grid::fingers;
use crate::session::Session;
use crate::session::bars_words;
use std::ops::RangeInclusive;

/// What a control shows when the selected bars do not agree.
pub const VARIOUS: &str = "various";

/// A run of bars, numbered from 0.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Bars {
    first: usize,
    last: usize,
}

impl Bars {
    /// The selected ones; `None` if the selection lies outside the tune.
    pub fn of(session: &Session) -> Option<Self> {
        let (first, last) = session.selection().bars();
        let end = session.document().n_bars().checked_sub(1)?;
        (first <= end).then_some(Self {
            first,
            last: last.min(end),
        })
    }

    /// The first bar.
    pub const fn first(self) -> usize {
        self.first
    }

    /// How many.
    pub const fn count(self) -> usize {
        self.last - self.first + 1
    }

    /// Their numbers.
    pub const fn range(self) -> RangeInclusive<usize> {
        self.first..=self.last
    }

    /// `bar 5`, `bars 5 to 8`.
    pub fn words(self) -> String {
        bars_words((self.first, self.last))
    }

    /// `Bar 5`, `Bars 5 to 8`.
    pub fn title(self) -> String {
        self.words().replacen('b', "B", 1)
    }

    /// The bars themselves, with their numbers.
    pub fn each(self, document: &Document) -> impl Iterator<Item = (usize, &Bar)> {
        document
            .bars()
            .enumerate()
            .skip(self.first)
            .take(self.count())
    }

    /// The value that all of them have; `None` if they differ.
    pub fn common<T: PartialEq>(self, document: &Document, of: impl Fn(&Bar) -> T) -> Option<T> {
        let mut values = self.each(document).map(|(_, bar)| of(bar));
        let first = values.next()?;
        values.all(|value| value == first).then_some(first)
    }

    /// An edit of each bar, as one step.
    pub fn edit(
        self,
        document: &Document,
        what: &str,
        change: impl Fn(usize, &Bar) -> Vec<Edit>,
    ) -> Edit {
        let edits = self.each(document).flat_map(|(idx, bar)| change(idx, bar));
        fingers::one_step(
            format!("Change {what} in {}", self.words()),
            edits.collect(),
        )
    }
}
