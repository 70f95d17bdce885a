//! Where everything of the grid lies: rows of cards, the lanes inside a card, a column per slot
//! with beats wider than off-beats. Pure arithmetic on points; never paints.

use super::model;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Document;
use crate::gui::theme::STEP;
use crate::theory::Meter;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;
use egui::Pos2;
use egui::Rangef;
use egui::Rect;
use egui::Vec2;
use egui::pos2;

const BEAT_WIDTH: f32 = 26.0;
const OFFBEAT_WIDTH: f32 = 17.0;
const GAP: f32 = 8.0;
const ROW_GAP: f32 = 12.0;
/// Room for the lanes' names at the left of each row.
pub const GUTTER: f32 = 48.0;
const PADDING: f32 = 4.0;
const HEADER: f32 = 18.0;
const CHORDS: f32 = 28.0;
const TUNE: f32 = 44.0;
const FINGERS: f32 = 40.0;
const THUMB: f32 = 44.0;
const STRIP: f32 = 18.0;

/// A row of cards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The first bar.
    pub first: usize,
    /// How many bars.
    pub count: usize,
    /// The name of the section that begins with this row, if one does; empty if it has none. A tune
    /// that is one section without a name is not marked.
    pub section: Option<String>,
}

/// All rows with their measures.
#[derive(Clone, Debug, Default)]
pub struct Rows {
    /// The rows, in order.
    pub rows: Vec<Row>,
    /// Points per unit of slot width, so that a full bar fills its card.
    stretch: f32,
    /// Width of a full bar's card.
    card_width: f32,
    /// Height of the tune's lane; 0 if it is not shown.
    tune: f32,
    /// How many bars a full row has.
    per_row: u8,
}

/// The parts of one card.
#[derive(Clone, Debug)]
pub struct Card {
    /// All of it.
    pub rect: Rect,
    /// Bar number and section.
    pub header: Rect,
    /// Chord symbols.
    pub chords: Rect,
    /// The tune's lane; without height if it is not shown.
    pub tune: Rect,
    /// The fingers' lane.
    pub fingers: Rect,
    /// The thumb's lane.
    pub thumb: Rect,
    /// The effort strip.
    pub strip: Rect,
    /// Columns: where in the bar, and from where to where.
    pub columns: Vec<(Ticks, Rangef)>,
}

fn units(meter: Meter, length: Ticks) -> f32 {
    model::slots(meter, length).map(unit).sum()
}

fn unit(at: Ticks) -> f32 {
    if at.within_beat() == 0 {
        BEAT_WIDTH
    } else {
        OFFBEAT_WIDTH
    }
}

impl Rows {
    /// Lays bars out in rows; each section begins a new one. The number of bars in a row is one
    /// that phrases fall into.
    #[must_use]
    pub fn new(document: &Document, width: f32, with_tune: bool) -> Self {
        let meter = document.meter;
        let full = units(meter, meter.bar());
        let room = (width - GUTTER - GAP).max(0.0);
        let fits = |n: u8| f32::from(n) * (full + 2.0 * PADDING) + f32::from(n - 1) * GAP <= room;
        let per_row = [8u8, 6, 4, 3, 2, 1]
            .into_iter()
            .find(|n| fits(*n))
            .unwrap_or(1);
        let card_width = (room - f32::from(per_row - 1) * GAP) / f32::from(per_row);
        // A single long bar gets narrower columns rather than be cut off.
        let stretch = ((card_width - 2.0 * PADDING) / full).max(0.6);
        let mut rows = Vec::new();
        let mut bar = 0;
        let marked = |name: &str| !name.is_empty() || document.sections.len() > 1;
        for section in &document.sections {
            let end = bar + section.bars.len();
            let start = bar;
            while bar < end {
                let count = usize::from(per_row).min(end - bar);
                let named = bar == start && marked(&section.name);
                rows.push(Row {
                    first: bar,
                    count,
                    section: named.then(|| section.name.clone()),
                });
                bar += count;
            }
        }
        Self {
            rows,
            stretch,
            card_width: stretch * full + 2.0 * PADDING,
            tune: if with_tune { TUNE } else { 0.0 },
            per_row,
        }
    }

    /// Whether bars stand in other rows because there is more or less room than there was.
    #[must_use]
    pub const fn are_broken_otherwise(&self, before: &Self) -> bool {
        before.per_row > 0 && self.per_row != before.per_row
    }

    /// Height of a row of cards without the gap below.
    const fn card_height(&self) -> f32 {
        HEADER + CHORDS + self.tune + FINGERS + THUMB + STRIP + 3.0 * PADDING
    }

    const fn pitch(&self) -> f32 {
        self.card_height() + ROW_GAP
    }

    /// Height of everything.
    #[must_use]
    pub fn height(&self) -> f32 {
        self.rows.iter().map(|_| self.pitch()).sum::<f32>() + ROW_GAP
    }

    /// The row a bar is in.
    #[must_use]
    pub fn row_of(&self, bar: usize) -> usize {
        self.rows
            .partition_point(|row| row.first <= bar)
            .saturating_sub(1)
    }

    /// Rows that reach into a vertical range (from the top of the grid).
    pub fn visible(&self, range: Rangef) -> impl Iterator<Item = (usize, &Row)> {
        self.rows.iter().enumerate().filter(move |(idx, _)| {
            let top = self.row_top(*idx);
            top <= range.max && top + self.card_height() >= range.min
        })
    }

    fn row_top(&self, row: usize) -> f32 {
        let row = u16::try_from(row).unwrap_or(u16::MAX);
        ROW_GAP + f32::from(row) * self.pitch()
    }

    /// The place of a row (its gutter included), from the grid's top left.
    #[must_use]
    pub fn row_rect(&self, origin: Pos2, row: usize, width: f32) -> Rect {
        let min = origin + Vec2::new(0.0, self.row_top(row));
        Rect::from_min_size(min, Vec2::new(width, self.card_height()))
    }

    /// The card of a bar.
    #[must_use]
    pub fn card(&self, document: &Document, origin: Pos2, bar: usize) -> Card {
        let row_idx = self.row_of(bar);
        let column = self
            .rows
            .get(row_idx)
            .map_or(0, |row| bar.saturating_sub(row.first));
        let column = f32::from(u8::try_from(column).unwrap_or(u8::MAX));
        let x = origin.x + GUTTER + column * (self.card_width + GAP);
        let y = origin.y + self.row_top(row_idx);
        let length = document.bar_length(bar);
        let inner = self.stretch * units(document.meter, length).max(BEAT_WIDTH);
        let size = Vec2::new(inner + 2.0 * PADDING, self.card_height());
        self.parts(
            Rect::from_min_size(pos2(x, y), size),
            document.meter,
            length,
        )
    }

    /// The place at a point of the grid, to the tick; beside the cards, the nearest one.
    #[must_use]
    pub fn place_at(&self, document: &Document, origin: Pos2, point: Pos2) -> Option<Place> {
        let below = (self.rows.iter().enumerate().skip(1))
            .take_while(|(idx, _)| origin.y + self.row_top(*idx) <= point.y);
        let row = self.rows.get(below.last().map_or(0, |(idx, _)| idx))?;
        let cards = (row.first..row.first + row.count).map(|bar| {
            let card = self.card(document, origin, bar);
            (bar, card)
        });
        let apart = |card: &Card| (card.rect.x_range().clamp(point.x) - point.x).abs();
        let (bar, card) = cards.min_by(|(_, a), (_, b)| apart(a).total_cmp(&apart(b)))?;
        let at = card.tick_at(point.x);
        Some(Place { bar, at })
    }

    fn parts(&self, rect: Rect, meter: Meter, length: Ticks) -> Card {
        let inner = rect.x_range().shrink(PADDING);
        let mut top = rect.top() + PADDING;
        let mut lane = |height: f32| {
            let lane = Rect::from_x_y_ranges(inner, Rangef::new(top, top + height));
            top += height;
            lane
        };
        let header = lane(HEADER);
        let chords = lane(CHORDS);
        let tune = lane(self.tune);
        let fingers = lane(FINGERS);
        let thumb = lane(THUMB);
        top_gap(&mut lane);
        let strip = lane(STRIP);
        let mut x = inner.min;
        let columns = model::slots(meter, length).map(|at| {
            let from = x;
            x += self.stretch * unit(at);
            (at, Rangef::new(from, x))
        });
        Card {
            rect,
            header,
            chords,
            tune,
            fingers,
            thumb,
            strip,
            columns: columns.collect(),
        }
    }
}

fn top_gap(lane: &mut impl FnMut(f32) -> Rect) {
    lane(STEP);
}

impl Card {
    /// The rectangle of a lane.
    #[must_use]
    pub const fn lane(&self, lane: Lane) -> Rect {
        match lane {
            Lane::Thumb => self.thumb,
            Lane::Fingers => self.fingers,
            Lane::Tune => self.tune,
        }
    }

    /// From the top of the highest lane to the bottom of the lowest.
    #[must_use]
    pub fn lanes(&self) -> Rangef {
        Rangef::new(self.tune.top(), self.thumb.bottom())
    }

    /// The rectangle of a cell.
    #[must_use]
    pub fn cell(&self, lane: Lane, at: Ticks) -> Option<Rect> {
        let (_, x) = self.columns.iter().find(|(t, _)| *t == at)?;
        Some(Rect::from_x_y_ranges(*x, self.lane(lane).y_range()))
    }

    /// Where the mark of a finding stands: at the right end of its column, on the line above the
    /// lanes, where it covers neither a chord symbol nor a mark of the fingers.
    #[must_use]
    pub fn finding(&self, at: Ticks) -> Option<Rect> {
        let (_, x) = self.columns.iter().find(|(t, _)| *t == at)?;
        let centre = pos2(x.max - 7.0, self.lanes().min + 3.0);
        Some(Rect::from_center_size(centre, Vec2::splat(16.0)))
    }

    /// The room above a whole beat, where a chord can be written.
    #[must_use]
    pub fn beat(&self, at: Ticks) -> Rect {
        let next = Ticks(at.0 + TICKS_PER_BEAT);
        let is_last = self.columns.last().is_none_or(|(last, _)| *last < next);
        self.chord(at, (!is_last).then_some(next))
    }

    /// Where a chord symbol stands: from its beat to the next chord or the card's end.
    #[must_use]
    pub fn chord(&self, at: Ticks, next: Option<Ticks>) -> Rect {
        let left = self.x_of(at);
        let right = next.map_or(self.chords.right(), |next| self.x_of(next));
        Rect::from_x_y_ranges(Rangef::new(left, right), self.chords.y_range())
    }

    /// The left edge of the column a place falls into, moved on by its share of the column.
    #[must_use]
    pub fn x_of(&self, at: Ticks) -> f32 {
        let column = self.columns.iter().rposition(|(t, _)| *t <= at);
        let Some((idx, (start, x))) = column.and_then(|i| Some((i, self.columns.get(i)?))) else {
            return self.chords.left();
        };
        let share = ticks_f32(at.0 - start.0) / ticks_f32(self.span(idx));
        x.min + share.min(1.0) * x.span()
    }

    /// How long a column is; the last one is as long as the one before.
    fn span(&self, idx: usize) -> u32 {
        let start = |idx: usize| self.columns.get(idx).map(|(at, _)| at.0);
        let between = |a: usize, b: usize| Some(start(b)? - start(a)?);
        let before = || between(idx.checked_sub(1)?, idx);
        between(idx, idx + 1)
            .or_else(before)
            .unwrap_or(TICKS_PER_BEAT / 2)
    }

    /// The part of the tune's lane between two places.
    #[must_use]
    pub fn tune_cell(&self, from: Ticks, until: Ticks) -> Rect {
        let x = Rangef::new(self.x_of(from), self.x_of(until));
        Rect::from_x_y_ranges(x, self.tune.y_range())
    }

    /// The place in the bar at a point across the card, to the tick: where [`x_of`](Self::x_of)
    /// lies nearest to it.
    #[must_use]
    pub fn tick_at(&self, x: f32) -> Ticks {
        let column = self.columns.iter().rposition(|(_, range)| range.min <= x);
        let idx = column.unwrap_or_default();
        let Some((start, range)) = self.columns.get(idx) else {
            return Ticks(0);
        };
        let span = self.span(idx);
        let share = ((x - range.min) / range.span().max(1.0)).clamp(0.0, 1.0);
        let within = (0..=span).find(|t| ticks_f32(*t) >= share * ticks_f32(span));
        Ticks(start.0 + within.unwrap_or(span))
    }
}

fn ticks_f32(ticks: u32) -> f32 {
    f32::from(u16::try_from(ticks).unwrap_or(u16::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Bar;
    use crate::document::Section;
    use std::sync::Arc;

    fn tune(lengths: &[usize]) -> Document {
        let section = |n: &usize| {
            Arc::new(Section {
                name: "A".into(),
                bars: vec![Bar::default(); *n],
            })
        };
        Document {
            sections: lengths.iter().map(section).collect(),
            ..Document::default()
        }
    }

    #[test]
    fn four_bars_stand_in_a_row_of_the_usual_window_and_two_in_a_small_one() {
        for (width, first_row) in [(812.0, 4), (540.0, 2), (200.0, 1)] {
            let rows = Rows::new(&tune(&[12]), width, false);
            assert_eq!(rows.rows[0].count, first_row, "{width}");
        }
    }

    #[test]
    fn a_section_begins_a_new_row() {
        let rows = Rows::new(&tune(&[5, 4]), 812.0, false);
        let firsts: Vec<usize> = rows.rows.iter().map(|r| r.first).collect();
        assert_eq!(firsts, [0, 4, 5]);
        assert_eq!(rows.row_of(4), 1);
        assert_eq!(rows.row_of(8), 2);
    }

    #[test]
    fn columns_fill_the_card_without_gaps() {
        let document = tune(&[4]);
        let rows = Rows::new(&document, 832.0, true);
        let card = rows.card(&document, Pos2::ZERO, 2);
        assert_eq!(card.columns.len(), 8);
        for pair in card.columns.windows(2) {
            assert!((pair[0].1.max - pair[1].1.min).abs() < 0.01);
        }
        let last = card.columns.last().unwrap().1;
        assert!((last.max - card.thumb.right()).abs() < 0.5);
    }

    #[test]
    fn the_lane_of_the_tune_lies_above_the_fingers_and_takes_no_room_if_it_is_not_shown() {
        let document = tune(&[4]);
        let card = |with| Rows::new(&document, 832.0, with).card(&document, Pos2::ZERO, 0);
        let (with, without) = (card(true), card(false));
        assert!((without.tune.height()).abs() < 0.01);
        assert!((with.tune.bottom() - with.fingers.top()).abs() < 0.01);
        assert!(with.rect.height() > without.rect.height());
        assert!(with.chords.bottom() <= with.tune.top());
    }

    #[test]
    fn places_between_columns_lie_at_their_share_and_are_found_there() {
        let document = tune(&[4]);
        let rows = Rows::new(&document, 832.0, true);
        let card = rows.card(&document, Pos2::ZERO, 1);
        // A sixteenth, two triplets, a beat and the end of the bar.
        let places = [0, 240, 320, 640, 960, 3600, 3840];
        for pair in places.windows(2) {
            assert!(card.x_of(Ticks(pair[0])) < card.x_of(Ticks(pair[1])));
        }
        for at in places {
            let found = card.tick_at(card.x_of(Ticks(at)));
            assert!(found.0.abs_diff(at) <= 8, "{at}: {found:?}");
        }
    }
}
