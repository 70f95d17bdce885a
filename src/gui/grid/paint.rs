//! Paints one card of the beat grid: chords, finger marks, thumb codes, effort strip, repeats,
//! findings, the selection and the play-head. Roles show by shape as well as by colour: the thumb is a
//! rounded square, the fingers a circle. Never reacts to anything.

use super::layout::Card;
use super::model::BarView;
use super::model::FingersView;
use super::model::SlotView;
use super::model::ThumbView;
use crate::arrange::Lane;
use crate::gui::icons;
use crate::gui::strike_mark::slide_line;
use crate::gui::theme;
use crate::gui::theme::Palette;
use crate::instrument::Cost;
use crate::session::Hold;
use egui::Align2;
use egui::Color32;
use egui::CornerRadius;
use egui::FontId;
use egui::Galley;
use egui::Painter;
use egui::Rangef;
use egui::Rect;
use egui::Shape;
use egui::Stroke;
use egui::StrokeKind;
use egui::Vec2;
use egui::pos2;
use egui::text::LayoutJob;
use egui::text::TextWrapping;
use std::sync::Arc;

/// Chord symbols that stand close together get no smaller than this.
const SMALLEST: f32 = 10.0;

/// How a card stands in the selection.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Standing {
    /// Whether the bar is in a selected run of bars.
    pub in_run: bool,
    /// Whether the keyboard is in the grid.
    pub focused: bool,
    /// The most effort of any slot of the tune, which is the full height of the strip.
    pub most: Cost,
}

/// Paints a card.
pub fn card(painter: &Painter, p: &Palette, card: &Card, view: &BarView, standing: Standing) {
    let fill = if standing.in_run { p.selection } else { p.card };
    let outline = if standing.in_run {
        Stroke::new(1.5, p.thumb_text)
    } else {
        Stroke::new(1.0, p.lines)
    };
    let radius = CornerRadius::same(theme::RADIUS);
    painter.rect(card.rect, radius, fill, outline, StrokeKind::Inside);
    columns(painter, p, card);
    header(painter, p, card, view);
    chords(painter, p, card, view);
    for slot in &view.slots {
        if let Some(cell) = card.cell(Lane::Thumb, slot.at) {
            if let Some(thumb) = &slot.thumb {
                thumb_cell(painter, p, cell, thumb);
            }
            lock_bar(painter, p.thumb_text, cell, slot.thumb_hold);
        }
        if let (Some(fingers), Some(cell)) = (&slot.fingers, card.cell(Lane::Fingers, slot.at)) {
            fingers_cell(painter, p, cell, fingers);
            lock_bar(painter, p.fingers_text, cell, slot.fingers_hold);
        }
        strip_column(painter, p, card, slot, standing.most);
        if let (Some(finding), Some(rect)) = (&slot.finding, card.finding(slot.at)) {
            icons::finding_mark(painter, p, rect.center(), finding.is_fault);
        }
    }
}

/// Marks a place that was found: a line under it.
pub fn found(painter: &Painter, p: &Palette, rect: Rect) {
    let line = Stroke::new(2.0, p.thumb_text);
    let x = Rangef::new(rect.left() + 2.0, rect.right() - 2.0);
    painter.hline(x, rect.bottom() - 2.0, line);
}

/// Outlines what would get something that is held over it.
pub fn dropped(painter: &Painter, p: &Palette, rect: Rect) {
    let outline = Stroke::new(2.0, p.thumb_text);
    let radius = CornerRadius::same(theme::RADIUS);
    painter.rect_stroke(rect, radius, outline, StrokeKind::Inside);
}

fn columns(painter: &Painter, p: &Palette, card: &Card) {
    let line = Stroke::new(1.0, p.lines);
    let lanes = card.lanes();
    for (at, x) in &card.columns {
        let is_beat = at.within_beat() == 0;
        if !is_beat {
            let ground = Rect::from_x_y_ranges(*x, lanes);
            painter.rect_filled(ground, CornerRadius::ZERO, p.offbeat);
        } else if at.0 > 0 {
            let x = painter.round_to_pixel_center(x.min);
            painter.vline(x, Rangef::new(lanes.min, card.strip.bottom()), line);
        }
    }
    for y in [
        card.tune.top(),
        card.fingers.top(),
        card.thumb.top(),
        card.thumb.bottom(),
    ] {
        let y = painter.round_to_pixel_center(y);
        painter.hline(card.rect.x_range(), y, line);
    }
    // The card's own outline lies over the ends of these lines.
}

fn header(painter: &Painter, p: &Palette, card: &Card, view: &BarView) {
    let left = card.header.left_center() + Vec2::new(2.0, 0.0);
    let mut words = format!("{}", view.bar + 1);
    if view.ending > 0 {
        words.push_str(&format!("  ending {}", view.ending));
    }
    let number = painter.text(
        left,
        Align2::LEFT_CENTER,
        words,
        theme::text(theme::SMALL),
        p.ink_soft,
    );
    if view.own_line.is_some() {
        own_line_mark(painter, p, number.right_center() + Vec2::new(4.0, 0.0));
    }
    let lanes = card.lanes();
    // Clear of the thumb's codes.
    let dots = card.lane(Lane::Fingers).center().y;
    if view.repeat_start {
        repeat_sign(painter, p, card.rect.left() + 2.0, (lanes, dots), 1.0);
    }
    if view.repeat_times > 0 {
        repeat_sign(painter, p, card.rect.right() - 2.0, (lanes, dots), -1.0);
        painter.text(
            card.header.right_center(),
            Align2::RIGHT_CENTER,
            format!("play {}×", view.repeat_times),
            theme::text(theme::SMALL),
            p.ink_soft,
        );
    }
}

/// A small zigzag, like a line that goes its own way.
fn own_line_mark(painter: &Painter, p: &Palette, left: egui::Pos2) {
    let corner = |i: u8| {
        let y = if i.is_multiple_of(2) { 3.0 } else { -3.0 };
        left + Vec2::new(4.0 * f32::from(i), y)
    };
    let zigzag = (0..4).map(corner).collect();
    painter.add(Shape::line(zigzag, Stroke::new(1.5, p.thumb_text)));
}

fn repeat_sign(painter: &Painter, p: &Palette, x: f32, (y, dots): (Rangef, f32), inward: f32) {
    painter.vline(x, y, Stroke::new(3.0, p.ink));
    painter.vline(x + inward * 3.5, y, Stroke::new(1.0, p.ink));
    for offset in [-7.0, 7.0] {
        painter.circle_filled(pos2(x + inward * 7.5, dots + offset), 2.0, p.ink);
    }
}

fn chords(painter: &Painter, p: &Palette, card: &Card, view: &BarView) {
    let places: Vec<Rect> = view
        .chords
        .iter()
        .enumerate()
        .map(|(i, chord)| card.chord(chord.at, view.chords.get(i + 1).map(|c| c.at)))
        .collect();
    // All chords of a bar in one size: the largest in which each has room.
    let sizes = view.chords.iter().zip(&places);
    let size = sizes
        .map(|(chord, rect)| fitting_size(painter, &chord.text, rect.width() - 6.0))
        .fold(theme::LARGE, f32::min);
    for (chord, rect) in view.chords.iter().zip(places) {
        let colour = if chord.unplayable {
            p.warning_text
        } else {
            p.ink
        };
        let start = rect.left_center() + Vec2::new(5.0, -2.0);
        let font = theme::bold(size);
        let room = (rect.width() - 6.0).max(8.0);
        let galley = shortened(painter, &chord.text, font, room, colour);
        let shown = Align2::LEFT_CENTER.anchor_size(start, galley.size());
        painter.galley(shown.min, galley, colour);
        if chord.decided {
            let rect = rect.shrink2(Vec2::new(0.0, 5.0));
            lock_bar(painter, p.fingers_text, rect, Hold::Whole);
        }
        if chord.unplayable {
            let y = shown.bottom() - 2.0;
            painter.hline(shown.x_range(), y, Stroke::new(1.5, p.warning));
        }
    }
}

/// Words in one line, with … at the end where there is no room for more.
pub fn shortened(
    painter: &Painter,
    text: &str,
    font: FontId,
    room: f32,
    ink: Color32,
) -> Arc<Galley> {
    let mut job = LayoutJob::simple_singleline(text.to_owned(), font, ink);
    job.wrap = TextWrapping::truncate_at_width(room);
    painter.layout_job(job)
}

/// The largest size in which bold text fits.
fn fitting_size(painter: &Painter, text: &str, room: f32) -> f32 {
    let width = |size: f32| {
        painter
            .layout_no_wrap(text.to_owned(), theme::bold(size), Color32::PLACEHOLDER)
            .size()
            .x
    };
    [theme::LARGE, theme::BODY]
        .into_iter()
        .chain([theme::SMALL, 11.0])
        .find(|size| width(*size) <= room)
        .unwrap_or(SMALLEST)
}

/// The bar along the left edge of what is locked; broken in the middle if only part of it is.
fn lock_bar(painter: &Painter, colour: Color32, cell: Rect, hold: Hold) {
    let bar = Rect::from_min_size(
        cell.left_top() + Vec2::new(1.0, 2.0),
        Vec2::new(3.0, cell.height() - 4.0),
    );
    let end = Vec2::new(bar.width(), bar.height() / 3.0);
    let pieces: &[Rect] = match hold {
        Hold::Free => &[],
        Hold::Part => &[
            Rect::from_min_size(bar.min, end),
            Rect::from_min_size(bar.max - end, end),
        ],
        Hold::Whole => &[bar],
    };
    for piece in pieces {
        painter.rect_filled(*piece, CornerRadius::same(1), colour);
    }
}

fn thumb_cell(painter: &Painter, p: &Palette, cell: Rect, thumb: &ThumbView) {
    let chip_size = Vec2::new((cell.width() - 6.0).min(30.0), 24.0);
    let chip = Rect::from_center_size(pos2(cell.center().x, cell.top() + 16.0), chip_size);
    let radius = CornerRadius::same(theme::RADIUS);
    let (fill, outline, ink) = if thumb.sounding {
        (p.thumb, p.thumb_text, p.on_thumb)
    } else {
        (p.selection, p.thumb_text, p.thumb_text)
    };
    painter.rect(
        chip,
        radius,
        fill,
        Stroke::new(1.0, outline),
        StrokeKind::Inside,
    );
    let size = fitting_size(painter, &thumb.code, chip.width() - 3.0);
    let centre = Align2::CENTER_CENTER;
    painter.text(chip.center(), centre, &thumb.code, theme::bold(size), ink);
    slide_line(painter, thumb.slides, chip.left_center(), p.thumb_text);
    painter.text(
        pos2(cell.center().x, cell.bottom() - 8.0),
        Align2::CENTER_CENTER,
        &thumb.note,
        theme::text(theme::SMALL),
        p.ink,
    );
}

fn fingers_cell(painter: &Painter, p: &Palette, cell: Rect, fingers: &FingersView) {
    let centre = pos2(cell.center().x, cell.top() + 13.0);
    let outline = if fingers.sounding { 2.5 } else { 1.0 };
    fingers.mark.paint(painter, p, centre, 7.0, outline);
    painter.text(
        pos2(cell.center().x, cell.bottom() - 9.0),
        Align2::CENTER_CENTER,
        &fingers.top,
        theme::text(theme::SMALL),
        p.ink,
    );
}

fn strip_column(painter: &Painter, p: &Palette, card: &Card, slot: &SlotView, most: Cost) {
    let Some((cost, _)) = &slot.effort else {
        return;
    };
    let Some((_, x)) = card.columns.iter().find(|(at, _)| *at == slot.at) else {
        return;
    };
    let share = share_of(*cost, most);
    let height = (card.strip.height() * share).max(1.0);
    let x = x.shrink(2.0);
    let column = Rect::from_x_y_ranges(
        x,
        Rangef::new(card.strip.bottom() - height, card.strip.bottom()),
    );
    let colour = if slot.hardest {
        p.warning
    } else {
        theme::between(p.effort_low, p.effort_high, share)
    };
    painter.rect_filled(column, CornerRadius::same(1), colour);
    if slot.hardest {
        // A shape beside the colour: a notch that points at the column.
        let tip = pos2(x.center(), column.top() - 1.0);
        let left = tip + Vec2::new(-4.0, -5.0);
        let right = tip + Vec2::new(4.0, -5.0);
        let notch = vec![tip, left, right];
        painter.add(Shape::convex_polygon(notch, p.warning, Stroke::NONE));
    }
}

/// A cost as a share of the largest, 0 to 1.
#[must_use]
pub fn share_of(cost: Cost, most: Cost) -> f32 {
    if most <= Cost::ZERO {
        return 0.0;
    }
    let permille = i64::from(cost.0.max(0)) * 1000 / i64::from(most.0);
    f32::from(u16::try_from(permille.min(1000)).unwrap_or(1000)) / 1000.0
}

/// Headers from this width on have room for the bar's number and the name of a lane.
pub const LANE_NAME_FROM: f32 = 88.0;

/// Paints the outline of the selected cell.
pub fn selection(painter: &Painter, p: &Palette, cell: Rect, on: bool) {
    let colour = if on { p.ink } else { p.ink_soft };
    let stroke = Stroke::new(if on { 2.0 } else { 1.5 }, colour);
    painter.rect_stroke(
        cell.shrink(0.5),
        CornerRadius::same(theme::RADIUS),
        stroke,
        StrokeKind::Inside,
    );
}

/// Paints the name of the selected lane where no repeat sign's words stand.
pub fn lane_name(painter: &Painter, p: &Palette, card: &Card, lane: Lane, on: bool) {
    let colour = if on { p.ink } else { p.ink_soft };
    painter.text(
        card.header.right_center() - Vec2::new(2.0, 0.0),
        Align2::RIGHT_CENTER,
        lane.word(),
        theme::text(theme::SMALL),
        colour,
    );
}

/// Paints the play-head.
pub fn playhead(painter: &Painter, p: &Palette, card: &Card, x: f32) {
    let y = Rangef::new(card.chords.top(), card.strip.bottom());
    painter.vline(x, y, Stroke::new(2.0, p.warning));
    let top = pos2(x, y.min);
    let head = vec![top + Vec2::new(-5.0, -6.0), top + Vec2::new(5.0, -6.0), top];
    painter.add(Shape::convex_polygon(head, p.warning, Stroke::NONE));
}
