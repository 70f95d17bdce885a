//! Using another way of the selected bar: its shapes and thumb notes become decisions. A bar that
//! is decided has no other ways any more, so those it had are remembered, and one can go on from
//! way to way until something else changes.

use super::Action;
use super::NoticeKind;
use super::Session;
use super::locks::thumb_cell;
use super::problem::thumb_slots;
use crate::arrange::BarWay;
use crate::arrange::Place;
use crate::document::Document;
use crate::document::Edit;
use crate::document::ThumbCell;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use std::sync::Arc;

/// Ways of a bar one of which is in use.
pub struct Tried {
    /// The document with that way.
    document: Arc<Document>,
    bar: usize,
    ways: Vec<BarWay>,
    number: usize,
}

impl Session {
    /// The ways of the selected bar and the number of the one in use, from 0; also after another
    /// way was used, until anything else changes. `None` while they are not known.
    #[must_use]
    pub fn ways_in_use(&self) -> Option<(&[BarWay], usize)> {
        let bar = self.selection.place.bar;
        let tried = self.tried.as_ref();
        match tried.filter(|t| t.bar == bar && Arc::ptr_eq(&t.document, self.document())) {
            Some(tried) => Some((&tried.ways, tried.number)),
            None => self.ways().map(|ways| (ways, 0)),
        }
    }

    /// Uses the way after the one in use; after the last one the first again.
    pub(super) fn next_way(&mut self) {
        let next = self
            .ways_in_use()
            .map(|(ways, number)| (number + 1) % ways.len().max(1));
        self.use_way(next.unwrap_or(0));
    }

    /// Decides the selected bar as one of its ways has it.
    pub(super) fn use_way(&mut self, number: usize) {
        let bar = self.selection.place.bar;
        let Some((ways, _)) = self.ways_in_use() else {
            let text = if self.document().line.keep_hardest_easy {
                "other ways are looked for only while the hardest change isn't eased first"
            } else {
                "the other ways of this bar are still being looked for, try again in a moment"
            };
            return self.notify(NoticeKind::Info, text.into());
        };
        if ways.len() < 2 {
            let text = "there is no other way to play this bar, unlock some of it first".into();
            return self.notify(NoticeKind::Info, text);
        }
        let ways = ways.to_vec();
        let Some(way) = ways.get(number) else {
            return;
        };
        let edits = self.edits_of(bar, way);
        let label = format!("Another way in bar {}", bar + 1);
        self.act(Action::Edit(Edit::Together { label, edits }));
        self.tried = Some(Tried {
            document: Arc::clone(self.document()),
            bar,
            ways,
            number,
        });
    }

    fn edits_of(&self, bar: usize, way: &BarWay) -> Vec<Edit> {
        let chosen = way.shapes.iter();
        let shapes = chosen.filter_map(|(chord_idx, shape)| {
            shape.map(|shape| Edit::SetShape {
                bar,
                chord_idx: *chord_idx,
                shape: Some(shape),
            })
        });
        let written = self.document().bar(bar);
        let slots = written.map(|written| thumb_slots(self.document(), written));
        let cells = slots.unwrap_or_default().into_iter().filter_map(|at| {
            // Each note goes on until another begins; one from before the bar is left alone.
            let (_, note) = way.thumb.iter().rev().find(|(begins, _)| *begins <= at)?;
            let (thumb_move, string, fret) = (*note)?;
            let kept = ThumbCell::Kept(thumb_move, string, fret);
            let cell = self.silence_at(Place { bar, at }).unwrap_or(kept);
            Some(Edit::SetThumb {
                bar,
                at,
                cell: Some(cell),
            })
        });
        shapes.chain(cells).collect()
    }

    /// What keeps a slot silent that makes no sound now; every way leaves it so.
    fn silence_at(&self, place: Place) -> Option<ThumbCell> {
        let is_silent =
            |cell: &ThumbCell| matches!(cell, ThumbCell::Move(ThumbMove::Ghost | ThumbMove::Rest));
        let decided = |(at, cell): &(Ticks, ThumbCell)| (*at == place.at).then_some(*cell);
        let bar = self.document().bar(place.bar)?;
        let decided = bar.thumb.iter().find_map(decided);
        let now = || thumb_cell(self.arrangement()?, place);
        decided.or_else(now).filter(is_silent)
    }
}
