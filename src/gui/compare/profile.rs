//! The effort of both versions along the tune: A as columns, B as a stepped line with rings, so that
//! they are told apart without colour; below them a mark for every bar that differs. A press selects
//! the bar.

use super::differing;
use crate::arrange::Comparison;
use crate::arrange::Place;
use crate::arrange::Version;
use crate::arrange::compare::ComparedBar;
use crate::gui::actions::Actions;
use crate::gui::frame::status;
use crate::gui::named;
use crate::gui::named::Named;
use crate::gui::theme;
use crate::gui::theme::Palette;
use crate::instrument::Cost;
use crate::session::Session;
use crate::theory::Ticks;
use egui::CornerRadius;
use egui::Painter;
use egui::Rect;
use egui::Sense;
use egui::Stroke;
use egui::Ui;
use egui::Vec2;
use egui::pos2;

/// Height of the row of marks below.
const MARKS: f32 = 10.0;
/// Bars narrower than this have no ring: they would run into each other.
const RINGS: f32 = 9.0;

/// A small picture of how a version is drawn.
pub fn sample(ui: &mut Ui, version: Version) {
    let (_, rect) = ui.allocate_space(Vec2::new(18.0, 14.0));
    let p = theme::palette(ui.visuals());
    let painter = ui.painter();
    match version {
        Version::A => {
            let column =
                Rect::from_min_max(pos2(rect.left() + 4.0, rect.top()), rect.right_bottom());
            painter.rect_filled(column, CornerRadius::ZERO, column_colour(p));
        }
        Version::B => {
            let y = rect.center().y;
            painter.hline(rect.x_range(), y, line_stroke(p));
            painter.circle(rect.center(), 3.0, p.card, line_stroke(p));
        }
    }
}

const fn column_colour(p: &Palette) -> egui::Color32 {
    p.outline
}

fn line_stroke(p: &Palette) -> Stroke {
    Stroke::new(2.0, p.thumb_text)
}

/// Shows both profiles.
pub fn profile_ui(
    ui: &mut Ui,
    session: &Session,
    found: &Comparison,
    height: f32,
    actions: &mut Actions,
) {
    let (id, rect) = ui.allocate_space(Vec2::new(ui.available_width(), height));
    let n = found.bars.iter().filter(|bar| bar.differs()).count();
    let name = format!(
        "effort of {} bars in both versions, {n} of them differ",
        found.bars.len()
    );
    let response = named::interact(ui, rect, id, Sense::click(), &Named::button(name));
    paint(ui, session, found, rect);
    let bar_at = |x: f32| {
        let share = ((x - rect.left()) / rect.width()).clamp(0.0, 0.999_9);
        found.bars.get((share * found.bars.len() as f32) as usize)
    };
    let pointed = response.hover_pos().and_then(|at| bar_at(at.x));
    if response.clicked()
        && let Some(bar) = response.interact_pointer_pos().and_then(|at| bar_at(at.x))
    {
        go_to(bar, session, actions);
    }
    if let Some(bar) = pointed {
        let words = differing::words_of(bar);
        response.on_hover_text_at_pointer(words);
    }
}

/// Selects a bar, if the tune has it.
pub fn go_to(bar: &ComparedBar, session: &Session, actions: &mut Actions) {
    if bar.effort.a.is_some() {
        let place = Place {
            bar: bar.bar,
            at: Ticks(0),
        };
        status::select(place, session, actions);
    }
}

fn paint(ui: &Ui, session: &Session, found: &Comparison, rect: Rect) {
    let p = theme::palette(ui.visuals());
    let painter = ui.painter();
    painter.rect_filled(rect, CornerRadius::same(theme::RADIUS), p.card);
    let costs = |bar: &ComparedBar| bar.effort.a.max(bar.effort.b).unwrap_or(Cost::ZERO);
    let most = found.bars.iter().map(costs).max().unwrap_or(Cost::ZERO);
    let plot = Rect::from_min_max(
        rect.min + Vec2::new(0.0, 6.0),
        rect.max - Vec2::new(0.0, MARKS),
    );
    let width = plot.width() / found.bars.len().max(1) as f32;
    let y = |cost: Cost| {
        let share = cost.0.max(0) as f32 / most.0.max(1) as f32;
        plot.bottom() - (plot.height() - 4.0) * share
    };
    let (first, last) = session.selection().bars();
    for bar in &found.bars {
        let left = plot.left() + width * bar.bar as f32;
        if (first..=last).contains(&bar.bar) {
            let ground =
                Rect::from_min_max(pos2(left, rect.top()), pos2(left + width, rect.bottom()));
            painter.rect_filled(ground, CornerRadius::ZERO, p.selection);
        }
        if let Some(cost) = bar.effort.a {
            let gap = (width * 0.2).min(4.0);
            let column = Rect::from_min_max(
                pos2(left + gap / 2.0, y(cost).min(plot.bottom() - 1.0)),
                pos2(left + width - gap / 2.0, plot.bottom()),
            );
            painter.rect_filled(column, CornerRadius::ZERO, column_colour(p));
        }
        if bar.differs() {
            let half = (width / 2.0).clamp(1.0, 4.0);
            let centre = pos2(left + width / 2.0, rect.bottom() - MARKS / 2.0);
            mark(painter, centre, half, p);
        }
    }
    line_of_b(painter, found, (plot, width), y, p);
    painter.hline(plot.x_range(), plot.bottom(), Stroke::new(1.0, p.outline));
}

/// A small diamond, or an upright line where bars are narrow.
fn mark(painter: &Painter, centre: egui::Pos2, half: f32, p: &Palette) {
    let corners = vec![
        centre - Vec2::new(0.0, 4.0),
        centre + Vec2::new(half, 0.0),
        centre + Vec2::new(0.0, 4.0),
        centre - Vec2::new(half, 0.0),
    ];
    let shape = egui::Shape::convex_polygon(corners, p.warning_text, Stroke::NONE);
    painter.add(shape);
}

fn line_of_b(
    painter: &Painter,
    found: &Comparison,
    (plot, width): (Rect, f32),
    y: impl Fn(Cost) -> f32,
    p: &Palette,
) {
    let mut points = Vec::new();
    for bar in &found.bars {
        if let Some(cost) = bar.effort.b {
            let left = plot.left() + width * bar.bar as f32;
            points.push(pos2(left, y(cost)));
            points.push(pos2(left + width, y(cost)));
        }
    }
    painter.add(egui::Shape::line(points, line_stroke(p)));
    if width < RINGS {
        return;
    }
    for bar in &found.bars {
        if let Some(cost) = bar.effort.b {
            let middle = plot.left() + width * (bar.bar as f32 + 0.5);
            painter.circle(pos2(middle, y(cost)), 3.0, p.card, line_stroke(p));
        }
    }
}
