//! A chord diagram: strings upright, the thumb's note as a rounded square, the fingers' as circles
//! with finger numbers, open strings as rings above the nut. Painted into any rectangle.

use crate::gui::theme;
use crate::gui::theme::Palette;
use crate::instrument::Cost;
use crate::instrument::Finger;
use crate::instrument::StringIdx;
use crate::instrument::Term;
use crate::voicing::Voicing;
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

/// The largest mark.
const MARK: f32 = 14.0;

/// Where strings and frets of a diagram lie.
struct Frame {
    rect: Rect,
    first_fret: u8,
    n_frets: u8,
    n_strings: u8,
    mirrored: bool,
}

impl Frame {
    fn new(area: Rect, voicing: &Voicing, mirrored: bool) -> Self {
        let shape = voicing.grip.shape;
        let held = || shape.sounding().map(|(_, f)| f).filter(|f| *f > 0);
        let (low, high) = (held().min().unwrap_or(1), held().max().unwrap_or(1));
        let first_fret = if high <= 4 { 1 } else { low };
        let n_frets = (high - first_fret + 1).max(4);
        let rect = Rect::from_min_max(
            area.left_top() + Vec2::new(22.0, 14.0),
            area.right_bottom() - Vec2::new(9.0, 2.0),
        );
        Self {
            rect,
            first_fret,
            n_frets,
            n_strings: shape.n_strings(),
            mirrored,
        }
    }

    fn x(&self, string: StringIdx) -> f32 {
        let last = f32::from(self.n_strings.saturating_sub(1).max(1));
        let share = f32::from(string.0) / last;
        let share = if self.mirrored { 1.0 - share } else { share };
        self.rect.left() + share * self.rect.width()
    }

    /// Marks shrink with the room between strings.
    fn mark(&self) -> f32 {
        let gaps = f32::from(self.n_strings.saturating_sub(1).max(1));
        (1.25 * self.rect.width() / gaps).clamp(10.0, MARK)
    }

    fn line_y(&self, line: u8) -> f32 {
        self.rect.top() + self.rect.height() * f32::from(line) / f32::from(self.n_frets)
    }

    fn place(&self, string: StringIdx, fret: u8) -> Pos2 {
        if fret == 0 {
            return pos2(self.x(string), self.rect.top() - 7.0);
        }
        let row = fret.saturating_sub(self.first_fret);
        pos2(
            self.x(string),
            self.line_y(row).midpoint(self.line_y(row + 1)),
        )
    }
}

/// Paints the diagram of a voicing.
pub fn paint(painter: &Painter, p: &Palette, area: Rect, voicing: &Voicing, mirrored: bool) {
    let frame = Frame::new(area, voicing, mirrored);
    ground(painter, p, &frame, voicing);
    barres(painter, p, &frame, voicing);
    for (string, fret) in voicing.grip.shape.sounding() {
        let at = frame.place(string, fret);
        let is_thumb = string == voicing.thumb_string;
        if fret == 0 {
            open(painter, p, at, is_thumb);
            continue;
        }
        let digit = voicing.grip.finger(string).map(|f| f.digit().to_string());
        let font = theme::bold(theme::SMALL);
        let ink = if is_thumb {
            let square = Rect::from_center_size(at, Vec2::splat(frame.mark()));
            let outline = Stroke::new(1.0, p.thumb_text);
            let corners = CornerRadius::same(3);
            painter.rect(square, corners, p.thumb, outline, StrokeKind::Inside);
            p.on_thumb
        } else {
            let outline = Stroke::new(1.0, p.fingers_text);
            painter.circle(at, frame.mark() / 2.0, p.fingers, outline);
            p.on_mark
        };
        let digit = digit.unwrap_or_default();
        painter.text(at, Align2::CENTER_CENTER, digit, font, ink);
    }
}

/// A finger on several strings is a bar behind its marks.
fn barres(painter: &Painter, p: &Palette, frame: &Frame, voicing: &Voicing) {
    for finger in Finger::FOUR {
        let Some((fret, first, last)) = voicing.grip.place_of(finger) else {
            continue;
        };
        if first != last {
            let ends = [frame.place(first, fret), frame.place(last, fret)];
            painter.line_segment(ends, Stroke::new(frame.mark() / 2.0, p.fingers_text));
        }
    }
}

fn ground(painter: &Painter, p: &Palette, frame: &Frame, voicing: &Voicing) {
    let line = Stroke::new(1.0, p.outline);
    for row in 0..=frame.n_frets {
        let y = painter.round_to_pixel_center(frame.line_y(row));
        let nut = row == 0 && frame.first_fret == 1;
        let stroke = if nut { Stroke::new(3.0, p.ink) } else { line };
        painter.hline(frame.rect.x_range(), y, stroke);
    }
    for string in (0..frame.n_strings).map(StringIdx) {
        let x = painter.round_to_pixel_center(frame.x(string));
        painter.vline(x, frame.rect.y_range(), line);
        if voicing.grip.shape.fret(string).is_none() {
            let at = pos2(x, frame.rect.top() - 7.0);
            for side in [-1.0, 1.0] {
                let arm = Vec2::new(3.0 * side, 3.0);
                painter.line_segment([at - arm, at + arm], Stroke::new(1.0, p.ink_soft));
            }
        }
    }
    if frame.first_fret > 1 {
        let at = frame.place(StringIdx(0), frame.first_fret);
        let at = pos2(frame.rect.left() - 10.0, at.y);
        let font = theme::text(theme::SMALL);
        painter.text(
            at,
            Align2::RIGHT_CENTER,
            frame.first_fret.to_string(),
            font,
            p.ink_soft,
        );
    }
}

fn open(painter: &Painter, p: &Palette, at: Pos2, is_thumb: bool) {
    if is_thumb {
        let square = Rect::from_center_size(at, Vec2::splat(8.0));
        let stroke = Stroke::new(1.5, p.thumb_text);
        painter.rect_stroke(square, CornerRadius::same(2), stroke, StrokeKind::Inside);
    } else {
        painter.circle_stroke(at, 4.0, Stroke::new(1.5, p.fingers_text));
    }
}

/// A stacked bar of effort terms: one block per term, light and dark in turn, as wide as its cost,
/// with a gap between two.
pub fn effort_bar(painter: &Painter, p: &Palette, area: Rect, terms: &[(Term, Cost)], most: Cost) {
    painter.rect_filled(area, CornerRadius::same(2), p.pressed);
    let mut left = area.left();
    for (i, (_, cost)) in terms.iter().enumerate() {
        let share = crate::gui::grid::share_of(*cost, most);
        let right = (left + share * area.width()).min(area.right());
        let gap = if right - left > 2.0 { 1.0 } else { 0.0 };
        let block = Rect::from_x_y_ranges(Rangef::new(left, right - gap), area.y_range());
        let tint = if i % 2 == 0 { 0.9 } else { 0.1 };
        let colour = theme::between(p.effort_low, p.effort_high, tint);
        painter.rect_filled(block, CornerRadius::ZERO, colour);
        left = right;
    }
}
