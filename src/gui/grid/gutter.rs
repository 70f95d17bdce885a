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

/// Room for a name in the gutter, without its frame.
const IN_GUTTER: f32 = GUTTER - 8.0 - 6.0;

/// With less room in the card a name is better in the gutter.
const LEAST_NAME: f32 = 48.0;

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
    // A letter or a short word stands in the gutter, or an empty frame if there is no name; a longer
    // name in the card, beside the bar's number, unless that is a short one.
    let room = card.header.width() - 36.0 - 12.0 - LANE_NAME;
    let is_letter = section.chars().count() <= 2;
    let size = if is_letter { theme::BODY } else { theme::SMALL };
    let layout = |room: f32| paint::shortened(painter, section, theme::bold(size), room, p.ink);
    let whole = layout(f32::INFINITY).size().x;
    let in_gutter = whole <= IN_GUTTER || room < LEAST_NAME;
    let galley = layout(if in_gutter { IN_GUTTER } else { room });
    let height = if is_letter {
        24.0
    } else {
        card.header.height()
    };
    let around = if in_gutter && !is_letter { 6.0 } else { 12.0 };
    let size = Vec2::new((galley.size().x + around).max(height), height);
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
