//! Paints the fretboard: wood, frets, strings by weight, position dots, capo, and on it the grip.
//! The thumb is a rounded square, fingers are circles with their number, the tune is a diamond, the
//! next thumb note is an outline at the end of a thin arrow. Never reacts.

use super::layout::Board;
use super::model::BoardView;
use super::model::Mark;
use super::model::Role;
use crate::gui::grid;
use crate::gui::theme;
use crate::gui::theme::Palette;
use crate::instrument::Instrument;
use crate::instrument::StringIdx;
use egui::Align2;
use egui::CornerRadius;
use egui::Painter;
use egui::Pos2;
use egui::Rangef;
use egui::Rect;
use egui::Stroke;
use egui::StrokeKind;
use egui::Vec2;
use egui::pos2;

/// Frets that carry a dot, and whether it is a double one (common practice).
const DOTS: [(u8, bool); 8] = [
    (3, false),
    (5, false),
    (7, false),
    (9, false),
    (12, true),
    (15, false),
    (17, false),
    (19, false),
];

/// Paints the empty board.
pub fn board(painter: &Painter, p: &Palette, board: &Board, instrument: &Instrument) {
    painter.rect_filled(board.rect, CornerRadius::same(2), p.board);
    let y = board.rect.y_range();
    dots(painter, p, board);
    for fret in 1..=board.last_fret {
        let x = painter.round_to_pixel_center(board.fret_x(fret));
        painter.vline(x, y, Stroke::new(1.5, p.fret));
    }
    painter.vline(board.fret_x(0), y, Stroke::new(5.0, p.ink_soft));
    let ends = Rangef::new(board.fret_x(0), board.fret_x(board.last_fret));
    let ends = Rangef::new(ends.min.min(ends.max), ends.min.max(ends.max));
    let lowest = board.string_y(StringIdx(0));
    for (string, open) in (0u8..).map(StringIdx).zip(instrument.tuning.open()) {
        let y = board.string_y(string);
        let weight = 0.8 + 1.8 * f32::from(88u8.saturating_sub(open.number()).min(48)) / 48.0;
        painter.hline(ends, y, Stroke::new(weight, p.metal));
    }
    if instrument.capo > 0 {
        let x = board.fret_x(instrument.capo);
        let top = board.string_y(StringIdx(instrument.n_strings().saturating_sub(1)));
        let bar = Rect::from_x_y_ranges(
            Rangef::new(x - 5.0, x + 5.0),
            Rangef::new(top - 6.0, lowest + 6.0),
        );
        painter.rect_filled(bar, CornerRadius::same(theme::RADIUS), p.ink_soft);
    }
}

fn dots(painter: &Painter, p: &Palette, board: &Board) {
    for (fret, double) in DOTS.into_iter().filter(|(f, _)| *f <= board.last_fret) {
        let x = board.fret_x(fret - 1).midpoint(board.fret_x(fret));
        let centre = board.rect.center().y;
        let offset = if double {
            board.rect.height() / 3.0
        } else {
            0.0
        };
        for y in [centre - offset, centre + offset] {
            painter.circle_filled(pos2(x, y), 4.0, p.fret);
        }
        let under = pos2(x, board.rect.bottom() + 9.0);
        let font = theme::text(theme::SMALL);
        painter.text(
            under,
            Align2::CENTER_CENTER,
            fret.to_string(),
            font,
            p.ink_soft,
        );
    }
}

/// Shades where the thumb's notes can be held while the chord rings, with a thin edge: the shade
/// alone would be lost on dark wood.
pub fn zone(painter: &Painter, p: &Palette, board: &Board, places: &[(StringIdx, u8)]) {
    for (string, fret) in places {
        let field = board.field(*string, *fret).intersect(board.rect);
        painter.rect_filled(field, CornerRadius::ZERO, p.thumb.gamma_multiply(0.13));
    }
    let edge = Stroke::new(1.0, p.zone_edge());
    for (string, fret) in places {
        let field = board.field(*string, *fret).intersect(board.rect);
        let beside = [
            (string.0.checked_sub(1).map(StringIdx), Some(*fret)),
            (string.0.checked_add(1).map(StringIdx), Some(*fret)),
            (Some(*string), fret.checked_sub(1)),
            (Some(*string), fret.checked_add(1)),
        ];
        for (place, side) in beside.into_iter().zip(sides(field, board)) {
            let is_inside = place
                .0
                .zip(place.1)
                .is_some_and(|place| places.contains(&place));
            if !is_inside {
                let sharp = |x| painter.round_to_pixel_center(x);
                painter.line_segment(side.map(|at| pos2(sharp(at.x), sharp(at.y))), edge);
            }
        }
    }
}

/// The sides of a field: to the string below, to the one above, to the fret before, to the next.
fn sides(field: Rect, board: &Board) -> [[Pos2; 2]; 4] {
    let upper = [field.left_top(), field.right_top()];
    let lower = [field.left_bottom(), field.right_bottom()];
    let left = [field.left_top(), field.left_bottom()];
    let right = [field.right_top(), field.right_bottom()];
    let is_mirrored = board.fret_x(1) < board.fret_x(0);
    if is_mirrored {
        [lower, upper, right, left]
    } else {
        [lower, upper, left, right]
    }
}

/// Paints the moment on the board.
pub fn moment(painter: &Painter, p: &Palette, board: &Board, view: &BoardView) {
    let held = |string, fret| {
        let mut marks = view.marks.iter();
        marks.any(|m| m.string == string && m.fret == fret)
    };
    for (string, fret, degree) in &view.degrees {
        if !held(*string, *fret) {
            let at = board.place(*string, *fret);
            let ground = Rect::from_center_size(at, Vec2::new(18.0, 14.0));
            painter.rect_filled(ground, CornerRadius::same(theme::RADIUS), p.board);
            let font = theme::text(theme::SMALL);
            painter.text(at, Align2::CENTER_CENTER, degree, font, p.ink_soft);
        }
    }
    for (fret, first, last) in &view.barres {
        let ends = [board.place(*first, *fret), board.place(*last, *fret)];
        painter.line_segment(ends, Stroke::new(8.0, p.fingers_text));
    }
    if let Some((string, fret, note)) = &view.next {
        next_thumb(painter, p, board, view, (*string, *fret), note);
    }
    for mark in &view.marks {
        paint_mark(painter, p, board, mark);
    }
}

fn next_thumb(
    painter: &Painter,
    p: &Palette,
    board: &Board,
    view: &BoardView,
    (string, fret): (StringIdx, u8),
    note: &str,
) {
    let to = board.place(string, fret);
    let from = view.marks.iter().find(|m| m.role == Role::Thumb);
    if let Some(from) = from {
        let from = board.place(from.string, from.fret);
        let way = to - from;
        if way.length() > 30.0 {
            let unit = way.normalized();
            let stroke = Stroke::new(1.5, p.thumb_text);
            arrow(painter, from + 13.0 * unit, to - 13.0 * unit, stroke);
        }
        if way.length() < 1.0 {
            return;
        }
    }
    let rect = Rect::from_center_size(to, size(board));
    let radius = CornerRadius::same(theme::RADIUS);
    let stroke = Stroke::new(1.5, p.thumb_text);
    painter.rect(rect, radius, p.board, stroke, StrokeKind::Inside);
    text(painter, to, note, p.thumb_text);
}

/// A thin arrow with a head of one size, however long it is.
fn arrow(painter: &Painter, from: Pos2, to: Pos2, stroke: Stroke) {
    let back = (from - to).normalized() * 7.0;
    painter.line_segment([from, to], stroke);
    for side in [-0.5, 0.5] {
        painter.line_segment([to, to + back + side * back.rot90()], stroke);
    }
}

fn size(board: &Board) -> Vec2 {
    Vec2::splat((2.0 * board.half_string() - 1.0).clamp(14.0, 22.0))
}

fn paint_mark(painter: &Painter, p: &Palette, board: &Board, mark: &Mark) {
    let at = board.place(mark.string, mark.fret);
    let size = size(board);
    let radius = CornerRadius::same(theme::RADIUS);
    let label = if mark.finger.is_empty() {
        "0"
    } else {
        &mark.finger
    };
    if mark.sounding {
        painter.circle_filled(at, size.x * 0.72, p.ink.gamma_multiply(0.25));
    }
    match mark.role {
        Role::Thumb => {
            let rect = Rect::from_center_size(at, size);
            let stroke = Stroke::new(1.0, p.thumb_text);
            painter.rect(rect, radius, p.thumb, stroke, StrokeKind::Inside);
            text(painter, at, label, p.on_thumb);
        }
        Role::Bass => {
            let rect = Rect::from_center_size(at, size);
            let stroke = Stroke::new(2.0, p.thumb);
            painter.rect(rect, radius, p.selection, stroke, StrokeKind::Inside);
            text(painter, at, label, p.thumb_text);
        }
        Role::Finger => {
            let stroke = Stroke::new(1.0, p.fingers_text);
            painter.circle(at, size.x / 2.0, p.fingers, stroke);
            text(painter, at, label, p.on_mark);
        }
        Role::Tune => {
            let stroke = Stroke::new(1.0, p.tune_text);
            grid::diamond(painter, at, size.x * 0.66, p.tune, stroke);
            text(painter, at, label, p.on_mark);
        }
    }
}

fn text(painter: &Painter, at: Pos2, text: &str, colour: egui::Color32) {
    let font = theme::bold(theme::SMALL);
    painter.text(at, Align2::CENTER_CENTER, text, font, colour);
}

/// Paints the names of the open strings beside the nut.
pub fn string_names(painter: &Painter, p: &Palette, board: &Board, names: &[String]) {
    let mirrored = board.fret_x(1) < board.fret_x(0);
    let (x, align) = if mirrored {
        (board.fret_x(0) + board.open_room, Align2::RIGHT_CENTER)
    } else {
        (board.fret_x(0) - board.open_room, Align2::LEFT_CENTER)
    };
    for (string, name) in (0u8..).map(StringIdx).zip(names) {
        let at = pos2(x, board.string_y(string));
        painter.text(at, align, name, theme::text(theme::SMALL), p.ink_soft);
    }
}

/// Outlines the place under the pointer.
pub fn hover(painter: &Painter, p: &Palette, board: &Board, (string, fret): (StringIdx, u8)) {
    let at = board.place(string, fret);
    let rect = Rect::from_center_size(at, size(board) + Vec2::splat(6.0));
    let radius = CornerRadius::same(theme::RADIUS);
    let stroke = Stroke::new(1.5, p.ink);
    painter.rect_stroke(rect, radius, stroke, StrokeKind::Inside);
}
