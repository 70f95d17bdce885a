//! What stands at the left of a row of the beat grid: the names of the lanes, and the mark of the
//! section that begins there. A long name goes into the first card, as far as there is room.

use super::layout::Card;
use super::layout::GUTTER;
use super::paint;
use crate::gui::theme;
use crate::gui::theme::Palette;
use egui::Align2;
use egui::CornerRadius;
use egui::Painter;
use egui::Rect;
use egui::Stroke;
use egui::StrokeKind;
use egui::Vec2;
use egui::pos2;

/// Room for the name of a lane at the right end of a header.
const LANE_NAME: f32 = 52.0;

/// Paints the names of the lanes and the section mark at the left of a row; says where the mark is.
pub fn show(
    painter: &Painter,
    p: &Palette,
    row: Rect,
    card: &Card,
    section: Option<&str>,
) -> Option<Rect> {
    let right = row.left() + GUTTER - 8.0;
    let lanes = [
        (card.tune, "tune", p.tune_text),
        (card.fingers, "fingers", p.fingers_text),
        (card.thumb, "thumb", p.thumb_text),
        (card.strip, "effort", p.ink_soft),
    ];
    for (rect, name, colour) in lanes.into_iter().filter(|(rect, ..)| rect.is_positive()) {
        painter.text(
            pos2(right, rect.center().y),
            Align2::RIGHT_CENTER,
            name,
            theme::text(theme::SMALL),
            colour,
        );
    }
    let section = section?;
    // A letter stands in the gutter, or an empty frame if there is no name; a longer name in the
    // card, beside the bar's number.
    let in_gutter = section.chars().count() <= 2;
    let size = if in_gutter { theme::BODY } else { theme::SMALL };
    let room = card.header.width() - 36.0 - 12.0 - LANE_NAME;
    let galley = paint::shortened(painter, section, theme::bold(size), room.max(24.0), p.ink);
    let height = if in_gutter {
        24.0
    } else {
        card.header.height()
    };
    let size = Vec2::new((galley.size().x + 12.0).max(height), height);
    let left = if in_gutter {
        right - size.x
    } else {
        card.header.left() + 36.0
    };
    let frame = Rect::from_min_size(pos2(left, card.header.top()), size);
    let stroke = if section.is_empty() {
        Stroke::new(1.0, p.outline)
    } else {
        Stroke::new(1.5, p.ink)
    };
    painter.rect_stroke(frame, CornerRadius::ZERO, stroke, StrokeKind::Inside);
    // The face has more room above its capitals than below.
    let middle = frame.center() - Vec2::new(0.0, 1.0);
    painter.galley(middle - galley.size() / 2.0, galley, p.ink);
    Some(frame)
}
