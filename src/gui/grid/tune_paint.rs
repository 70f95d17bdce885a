//! Paints the tune's lane of a card: each note as a diamond with a bar as long as the note, higher
//! or lower with its pitch, its name below; a tie as a line over the barline. Never reacts.

use super::layout::Card;
use super::tune_model::TuneCell;
use super::tune_model::TuneNoteView;
use crate::gui::theme;
use crate::gui::theme::Palette;
use crate::theory::Midi;
use egui::Align2;
use egui::CornerRadius;
use egui::Painter;
use egui::Pos2;
use egui::Rangef;
use egui::Rect;
use egui::Shape;
use egui::Stroke;
use egui::StrokeKind;
use egui::pos2;

/// Half of a diamond.
const HALF: f32 = 5.5;
/// Thickness of a note's bar.
const BAR: f32 = 7.0;
/// How far a tie reaches out of its card: half of the gap between two cards.
const OUT: f32 = 4.0;

/// Paints the notes of a bar; `range` are the lowest and the highest pitch of the tune.
pub fn notes(
    painter: &Painter,
    p: &Palette,
    card: &Card,
    cells: &[TuneCell],
    range: Option<(Midi, Midi)>,
) {
    for cell in cells {
        if let Some(view) = &cell.note {
            let rect = card.tune_cell(cell.at, cell.until);
            let y = card.tune.top() + 8.0 + 15.0 * (1.0 - height(view.pitch, range));
            note(painter, p, card, (rect, y), view);
        }
    }
}

/// How high a pitch lies in the tune, 0 to 1; in the middle if there is only one.
fn height(pitch: Midi, range: Option<(Midi, Midi)>) -> f32 {
    let number = |pitch: Midi| f32::from(pitch.number());
    match range {
        Some((low, high)) if low < high => {
            (number(pitch) - number(low)) / (number(high) - number(low))
        }
        _ => 0.5,
    }
}

fn note(painter: &Painter, p: &Palette, card: &Card, (rect, y): (Rect, f32), view: &TuneNoteView) {
    let tie = Stroke::new(2.0, p.tune_text);
    let left = if view.tied {
        let edge = (rect.left() - card.tune.left()).abs() < 1.0;
        let from = if edge {
            card.rect.left() - OUT
        } else {
            rect.left() - 3.0
        };
        painter.hline(Rangef::new(from, rect.left() + 3.0), y, tie);
        rect.left() + 2.0
    } else {
        rect.left() + 1.0 + HALF
    };
    let right = (rect.right() - 2.0).max(left + 1.0);
    if view.goes_on && (rect.right() - card.tune.right()).abs() < 1.0 {
        painter.hline(Rangef::new(right - 2.0, card.rect.right() + OUT), y, tie);
    }
    let x = Rangef::new(left, right);
    let bar = Rect::from_x_y_ranges(x, Rangef::new(y - BAR / 2.0, y + BAR / 2.0));
    let outline = Stroke::new(1.0, p.tune_text);
    let fill = if view.sounding {
        p.tune
    } else {
        p.card.lerp_to_gamma(p.tune, 0.28)
    };
    painter.rect(
        bar,
        CornerRadius::same(2),
        fill,
        outline,
        StrokeKind::Inside,
    );
    if !view.tied {
        diamond(painter, pos2(left, y), HALF, p.tune, outline);
    }
    name(painter, p, rect, view);
}

/// The tune's shape, wherever it is shown.
pub fn diamond(painter: &Painter, at: Pos2, half: f32, fill: egui::Color32, outline: Stroke) {
    let corners = [(0.0, -half), (half, 0.0), (0.0, half), (-half, 0.0)];
    let corners = corners.map(|(x, y)| at + egui::vec2(x, y)).to_vec();
    painter.add(Shape::convex_polygon(corners, fill, outline));
}

/// The note's name below it, if there is room before the next one.
fn name(painter: &Painter, p: &Palette, rect: Rect, view: &TuneNoteView) {
    let colour = if view.tied { p.ink_soft } else { p.ink };
    let font = theme::text(theme::SMALL);
    let galley = painter.layout_no_wrap(view.name.clone(), font, colour);
    if galley.size().x < rect.width() {
        let at = pos2(rect.left() + 4.0, rect.bottom() - 8.0);
        let at = Align2::LEFT_CENTER.anchor_size(at, galley.size()).min;
        painter.galley(at, galley, colour);
    }
}

/// Marks the note that was just written and is still in hand.
pub fn in_hand(painter: &Painter, p: &Palette, cell: Rect) {
    let y = cell.bottom() - 1.0;
    painter.hline(cell.x_range().shrink(2.0), y, Stroke::new(2.0, p.tune_text));
}
