//! The strip of the drill: a big count, the bar being played and the next two, each with its chords
//! and the thumb's moves beat by beat, large enough to be read from a music stand.

use crate::gui::actions::Actions;
use crate::gui::named;
use crate::gui::named::Named;
use crate::gui::theme;
use crate::gui::theme::Palette;
use crate::gui::words;
use crate::session::Action;
use crate::session::DrillStatus;
use crate::session::StripBar;
use egui::Align2;
use egui::Color32;
use egui::CornerRadius;
use egui::Painter;
use egui::Pos2;
use egui::Rect;
use egui::Sense;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;
use egui::Vec2;
use egui::pos2;
use egui::vec2;

const HEIGHT: f32 = 148.0;
const COUNT_WIDTH: f32 = 84.0;
const GAP: f32 = 8.0;
const COUNT_SIZE: f32 = 72.0;
const CODE_SIZE: f32 = 28.0;

/// Shows the strip.
pub fn strip_ui(ui: &mut Ui, status: &DrillStatus, actions: &mut Actions) {
    let (_, rect) = ui.allocate_space(Vec2::new(ui.available_width(), HEIGHT));
    let p = theme::palette(ui.visuals());
    let count = Rect::from_min_size(rect.min, vec2(COUNT_WIDTH, HEIGHT));
    count_ui(ui, p, count, status);
    let n = status.strip.len().max(1) as f32;
    let width = (rect.width() - COUNT_WIDTH - GAP * n) / n;
    for (number, bar) in status.strip.iter().enumerate() {
        let left = count.right() + GAP + number as f32 * (width + GAP);
        let card = Rect::from_min_size(pos2(left, rect.top()), vec2(width, HEIGHT));
        let is_present = number == 0;
        bar_ui(ui, p, card, bar, number, actions);
        let beat = status.beat.filter(|_| is_present && !status.counts_in);
        let painter = ui.painter().with_clip_rect(card);
        paint_bar(&painter, p, card, bar, is_present, beat);
    }
}

/// The beat being played, or counted in.
fn count_ui(ui: &Ui, p: &Palette, rect: Rect, status: &DrillStatus) {
    let number = status.beat.map(|beat| (beat + 1).to_string());
    let name = match &number {
        Some(number) if status.counts_in => format!("count-in, beat {number}"),
        Some(number) => format!("beat {number}"),
        None => "no beat yet".into(),
    };
    let id = ui.scope_id().with("count of the drill");
    named::interact(ui, rect, id, Sense::hover(), &Named::picture(name));
    let ink = if status.counts_in { p.ink_soft } else { p.ink };
    let text = number.unwrap_or_else(|| "·".into());
    let font = theme::bold(COUNT_SIZE);
    ui.painter()
        .text(rect.center(), Align2::CENTER_CENTER, text, font, ink);
    if status.counts_in {
        let at = rect.center_bottom() - vec2(0.0, 8.0);
        let font = theme::text(theme::SMALL);
        ui.painter()
            .text(at, Align2::CENTER_BOTTOM, "count-in", font, p.ink_soft);
    }
}

/// Lets a bar be read aloud, and uncovered if it is covered and being played.
fn bar_ui(ui: &Ui, p: &Palette, rect: Rect, bar: &StripBar, number: usize, actions: &mut Actions) {
    let is_present = number == 0;
    let id = ui.scope_id().with(("bar of the drill", number));
    let name = spoken(bar, is_present);
    if bar.is_covered && is_present {
        let response = named::interact(ui, rect, id, Sense::click(), &Named::button(name));
        if response.clicked() {
            actions.act(Action::Peek);
        }
        if response.hovered() {
            let edge = Stroke::new(2.0, p.thumb);
            let corners = CornerRadius::same(theme::RADIUS);
            ui.painter()
                .rect_stroke(rect, corners, edge, StrokeKind::Outside);
        }
    } else {
        named::interact(ui, rect, id, Sense::hover(), &Named::picture(name));
    }
}

/// "now, bar 5: F7; root, third, fifth, arrives from a semitone below"
fn spoken(bar: &StripBar, is_present: bool) -> String {
    let when = if is_present { "now" } else { "then" };
    let chords: Vec<&str> = bar.chords.iter().map(|(_, text)| text.as_str()).collect();
    let moves: Vec<&str> = (bar.beats.iter().flatten())
        .map(|thumb_move| thumb_move.words())
        .collect();
    let what = if bar.is_covered {
        "covered, uncover".into()
    } else {
        moves.join(", ")
    };
    let line = if bar.is_of_next {
        " of the next line"
    } else {
        ""
    };
    let number = bar.written_bar + 1;
    let chords = chords.join(" ");
    format!("{when}, bar {number}{line}: {chords}; {what}")
}

fn paint_bar(
    painter: &Painter,
    p: &Palette,
    rect: Rect,
    bar: &StripBar,
    is_present: bool,
    beat: Option<u32>,
) {
    let corners = CornerRadius::same(theme::RADIUS);
    let edge = if is_present {
        Stroke::new(2.0, p.ink)
    } else {
        Stroke::new(1.0, p.lines)
    };
    painter.rect(rect, corners, p.card, edge, StrokeKind::Inside);
    let inner = rect.shrink2(vec2(10.0, 8.0));
    let small = theme::text(theme::SMALL);
    let head = format!("bar {}", bar.written_bar + 1);
    painter.text(inner.min, Align2::LEFT_TOP, head, small.clone(), p.ink_soft);
    if bar.is_of_next {
        let at = inner.right_top();
        painter.text(at, Align2::RIGHT_TOP, "new line", small, p.thumb_text);
        let line = [rect.left_top(), rect.left_bottom()];
        painter.line_segment(line, Stroke::new(4.0, p.thumb));
    }
    let column = inner.width() / bar.beats.len().max(1) as f32;
    let x_of = |beat: u32| inner.left() + beat as f32 * column;
    let ends = bar.chords.iter().skip(1).map(|(beat, _)| x_of(*beat));
    let ends = ends.chain([inner.right()]);
    for ((beat, text), end) in bar.chords.iter().zip(ends) {
        let at = pos2(x_of(*beat), inner.top() + 18.0);
        chord(painter, p, at, end - at.x - 4.0, &words::pretty(text));
    }
    let middle = inner.bottom() - 34.0;
    for (idx, moves) in (0u32..).zip(&bar.beats) {
        let centre = pos2(x_of(idx) + column / 2.0, middle);
        let is_now = beat == Some(idx);
        let cell = Rect::from_center_size(centre, vec2(column - 4.0, 52.0));
        if is_now {
            painter.rect_filled(cell, CornerRadius::same(8), p.thumb);
        }
        let ink = if is_now { p.on_thumb } else { p.thumb_text };
        if bar.is_covered {
            cover(painter, p, cell, is_now);
        } else {
            let codes: Vec<&str> = moves.iter().map(|thumb_move| thumb_move.code()).collect();
            fitted(painter, ink, centre, column - 8.0, &codes.join(" "));
        }
    }
    if bar.is_covered && is_present {
        let at = inner.right_top();
        let font = theme::text(theme::SMALL);
        painter.text(at, Align2::RIGHT_TOP, "show", font, p.thumb_text);
    }
}

/// A chord symbol, smaller where it is wider than its room.
fn chord(painter: &Painter, p: &Palette, at: Pos2, room: f32, text: &str) {
    for size in [20.0, 16.0, 13.0, 10.0] {
        let font = theme::bold(size);
        let galley = painter.layout_no_wrap(text.to_owned(), font, p.ink);
        if galley.size().x <= room || size <= 10.0 {
            painter.galley(at, galley, p.ink);
            return;
        }
    }
}

/// Codes in the middle of their beat, smaller where they are wider than it.
fn fitted(painter: &Painter, ink: Color32, centre: Pos2, room: f32, text: &str) {
    let font = theme::bold(CODE_SIZE);
    let width = painter.layout_no_wrap(text.to_owned(), font, ink).size().x;
    let size = CODE_SIZE * (room / width.max(1.0)).min(1.0);
    let font = theme::bold(size);
    painter.text(centre, Align2::CENTER_CENTER, text, font, ink);
}

/// What covers a beat: a slanted hatching, as no code looks.
fn cover(painter: &Painter, p: &Palette, cell: Rect, is_now: bool) {
    let ink = if is_now { p.on_thumb } else { p.ink_soft };
    let inside = cell.shrink2(vec2(4.0, 10.0));
    let painter = painter.with_clip_rect(inside.intersect(painter.clip_rect()));
    let mut x = inside.left() - inside.height();
    while x < inside.right() {
        let from = pos2(x, inside.bottom());
        let to = pos2(x + inside.height(), inside.top());
        painter.line_segment([from, to], Stroke::new(1.0, ink));
        x += 7.0;
    }
}
