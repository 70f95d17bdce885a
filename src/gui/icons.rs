//! Icons drawn as shapes, and the square button that carries one. No icon font, no pictures: a
//! shape is sharp at every size and can always be told by its words on hover.

use super::named;
use super::named::Named;
use super::theme;
use super::theme::Palette;
use egui::Color32;
use egui::CornerRadius;
use egui::Painter;
use egui::Pos2;
use egui::Rect;
use egui::Response;
use egui::Sense;
use egui::Shape;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;
use egui::Vec2;
use egui::pos2;

/// What is drawn.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Icon {
    /// A triangle.
    Play,
    /// A square.
    Stop,
    /// A closed path with an arrow.
    Loop,
    /// Four strokes, the first one high.
    CountIn,
    /// A pendulum.
    Click,
    /// An arrow back.
    Undo,
    /// An arrow on.
    Redo,
    /// Three lines.
    Menu,
    /// A half-filled disc.
    Theme,
    /// A question mark.
    Help,
    /// A panel at the left.
    Side,
    /// A cross.
    Close,
    /// A loudspeaker.
    Sound,
    /// Three faders.
    Lanes,
    /// Steps that rise.
    Trainer,
    /// A magnifying glass.
    Find,
}

/// Paints the mark of a finding: an upright triangle with a stem in it, filled for a fault, hollow
/// for a caution. The shape is used for nothing else.
pub fn finding_mark(painter: &Painter, p: &Palette, centre: Pos2, is_fault: bool) {
    let at = |x: f32, y: f32| centre + Vec2::new(x, y);
    let corners = vec![at(0.0, -6.0), at(6.0, 5.0), at(-6.0, 5.0)];
    let (fill, ink) = if is_fault {
        (p.warning, p.on_mark)
    } else {
        (p.card, p.warning_text)
    };
    let outline = Stroke::new(1.25, p.warning_text);
    painter.add(Shape::convex_polygon(corners, fill, outline));
    let stem = [at(0.0, -2.5), at(0.0, 1.0)];
    painter.line_segment(stem, Stroke::new(1.5, ink));
    painter.circle_filled(at(0.0, 3.0), 0.9, ink);
}

/// A square button with an icon, a name and words on hover.
pub fn button(ui: &mut Ui, icon: Icon, name: &str, hint: &str, on: Option<bool>) -> Response {
    let (id, rect) = ui.allocate_space(Vec2::splat(28.0));
    let named = on.map_or_else(|| Named::button(name), |on| Named::toggle(name, on));
    let response = named::interact(ui, rect, id, Sense::click(), &named);
    if ui.is_rect_visible(rect) {
        let p = theme::palette(ui.visuals());
        let visuals = ui.style().interact(&response);
        let on = on == Some(true);
        let fill = if on {
            p.selection
        } else if response.hovered() || response.has_focus() {
            visuals.bg_fill
        } else {
            Color32::TRANSPARENT
        };
        let outline = if on {
            Stroke::new(1.0, p.thumb_text)
        } else {
            Stroke::NONE
        };
        let radius = CornerRadius::same(theme::RADIUS);
        ui.painter()
            .rect(rect, radius, fill, outline, StrokeKind::Inside);
        let mut colour = if on { p.thumb_text } else { p.ink };
        if !ui.is_enabled() {
            colour = p.ink_soft;
        }
        paint(ui.painter(), icon, rect.center(), colour);
    }
    response.on_hover_text(hint).on_disabled_hover_text(hint)
}

/// Paints an icon of 16 points around a centre.
pub fn paint(painter: &Painter, icon: Icon, centre: Pos2, colour: Color32) {
    let at = |x: f32, y: f32| centre + Vec2::new(x, y);
    let stroke = Stroke::new(1.75, colour);
    let line = |points: Vec<Pos2>| {
        painter.add(Shape::line(points, stroke));
    };
    let solid = |points: Vec<Pos2>| {
        painter.add(Shape::convex_polygon(points, colour, Stroke::NONE));
    };
    match icon {
        Icon::Play => solid(vec![at(-5.0, -7.0), at(7.0, 0.0), at(-5.0, 7.0)]),
        Icon::Stop => {
            let rect = Rect::from_center_size(centre, Vec2::splat(11.0));
            painter.rect_filled(rect, CornerRadius::same(1), colour);
        }
        Icon::Loop => {
            let rect = Rect::from_center_size(centre, Vec2::new(15.0, 9.0));
            painter.rect_stroke(rect, CornerRadius::same(4), stroke, StrokeKind::Middle);
            solid(vec![at(-1.0, -8.0), at(4.0, -4.5), at(-1.0, -1.0)]);
        }
        Icon::CountIn => {
            for (x, height) in [(-6.0, 7.0), (-2.0, 4.0), (2.0, 4.0), (6.0, 4.0)] {
                line(vec![at(x, 6.0), at(x, 6.0 - 1.8 * height)]);
            }
        }
        Icon::Click => {
            line(vec![
                at(-6.0, 7.0),
                at(-2.5, -7.0),
                at(2.5, -7.0),
                at(6.0, 7.0),
                at(-6.0, 7.0),
            ]);
            line(vec![at(0.0, 4.0), at(5.0, -5.0)]);
        }
        Icon::Undo | Icon::Redo => {
            let side = if icon == Icon::Undo { 1.0 } else { -1.0 };
            line(vec![
                at(-4.0 * side, 6.0),
                at(3.0 * side, 6.0),
                at(6.0 * side, 3.0),
                at(6.0 * side, -0.5),
                at(3.0 * side, -3.5),
                at(-6.0 * side, -3.5),
            ]);
            line(vec![
                at(-2.0 * side, -7.5),
                at(-6.5 * side, -3.5),
                at(-2.0 * side, 0.5),
            ]);
        }
        Icon::Menu => {
            for y in [-5.0, 0.0, 5.0] {
                line(vec![at(-7.0, y), at(7.0, y)]);
            }
        }
        Icon::Theme => {
            painter.circle_stroke(centre, 7.0, stroke);
            let half = |turn: u8| {
                let angle = (f32::from(turn) / 16.0 - 0.5) * std::f32::consts::PI;
                centre + 7.0 * Vec2::angled(angle)
            };
            solid((0..=16).map(half).collect());
        }
        Icon::Help => {
            let font = theme::bold(theme::LARGE);
            painter.text(centre, egui::Align2::CENTER_CENTER, "?", font, colour);
        }
        Icon::Side => {
            let rect = Rect::from_center_size(centre, Vec2::new(15.0, 13.0));
            painter.rect_stroke(rect, CornerRadius::same(2), stroke, StrokeKind::Middle);
            line(vec![at(-2.5, -6.5), at(-2.5, 6.5)]);
        }
        Icon::Find => {
            painter.circle_stroke(at(-1.5, -1.5), 4.75, stroke);
            line(vec![at(2.0, 2.0), at(7.0, 7.0)]);
        }
        Icon::Close => {
            line(vec![at(-5.0, -5.0), at(5.0, 5.0)]);
            line(vec![at(-5.0, 5.0), at(5.0, -5.0)]);
        }
        Icon::Lanes | Icon::Trainer => paint_practice(painter, icon, centre, stroke),
        Icon::Sound => {
            solid(vec![
                at(-7.0, -2.5),
                at(-3.5, -2.5),
                at(-3.5, 2.5),
                at(-7.0, 2.5),
            ]);
            solid(vec![
                at(-4.0, -2.5),
                at(1.0, -6.5),
                at(1.0, 6.5),
                at(-4.0, 2.5),
            ]);
            arc(painter, pos2(centre.x + 1.0, centre.y), 4.0, stroke);
            arc(painter, pos2(centre.x + 1.0, centre.y), 7.0, stroke);
        }
    }
}

/// The faders, or else the steps.
fn paint_practice(painter: &Painter, icon: Icon, centre: Pos2, stroke: Stroke) {
    let at = |x: f32, y: f32| centre + Vec2::new(x, y);
    let line = |points: Vec<Pos2>| {
        painter.add(Shape::line(points, stroke));
    };
    if icon == Icon::Lanes {
        for (x, y) in [(-5.0, 2.5), (0.0, -3.0), (5.0, 0.5)] {
            line(vec![at(x, -7.0), at(x, 7.0)]);
            line(vec![at(x - 2.5, y), at(x + 2.5, y)]);
        }
        return;
    }
    line(vec![
        at(-7.5, 6.0),
        at(-3.0, 6.0),
        at(-3.0, 2.0),
        at(1.5, 2.0),
        at(1.5, -2.0),
        at(6.0, -2.0),
        at(6.0, -6.5),
    ]);
}

fn arc(painter: &Painter, centre: Pos2, radius: f32, stroke: Stroke) {
    let point = |step: u8| {
        let angle = (f32::from(step) / 8.0 - 0.5) * std::f32::consts::FRAC_PI_2;
        centre + radius * Vec2::angled(angle)
    };
    painter.add(Shape::line((0..=8).map(point).collect(), stroke));
}
