//! How strikes of the fingers look wherever they are shown: a full circle rings, a half one is
//! short, a wedge over it points ahead to the next chord, a line into it slides, rising from
//! below, falling from above.

use super::theme::Palette;
use crate::theory::Articulation;
use crate::theory::Side;
use egui::Color32;
use egui::Painter;
use egui::Pos2;
use egui::Shape;
use egui::Stroke;
use egui::Vec2;

/// What is shown of a strike.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct StrikeMark {
    /// Ring or short.
    pub articulation: Articulation,
    /// Whether it takes the next chord ahead of its beat.
    pub ahead: bool,
    /// From which side it slides, if it does.
    pub slides: Option<Side>,
}

impl StrikeMark {
    /// Draws it round a centre, with an outline of this width.
    pub fn paint(self, painter: &Painter, p: &Palette, centre: Pos2, radius: f32, outline: f32) {
        slide_line(
            painter,
            self.slides,
            centre - Vec2::new(radius, 0.0),
            p.fingers_text,
        );
        let outline = Stroke::new(outline, p.fingers_text);
        match self.articulation {
            Articulation::Ring => {
                painter.circle(centre, radius, p.fingers, outline);
            }
            Articulation::Short => {
                let point = |step: u8| {
                    let angle = f32::from(step) / 16.0 * std::f32::consts::PI;
                    centre + radius * Vec2::angled(angle)
                };
                let half = (0..=16).map(point).collect();
                painter.add(Shape::convex_polygon(half, p.fingers, Stroke::NONE));
                painter.circle_stroke(centre, radius, outline);
            }
        }
        if self.ahead {
            let tip = centre + Vec2::new(radius + 2.5, -radius - 2.0);
            let wedge = vec![tip, tip + Vec2::new(-5.0, -3.0), tip + Vec2::new(-5.0, 3.0)];
            painter.add(Shape::convex_polygon(wedge, p.fingers_text, Stroke::NONE));
        }
    }
}

/// A line into a mark: rising if it slides up from below, falling from above.
pub fn slide_line(painter: &Painter, slides: Option<Side>, into: Pos2, ink: Color32) {
    let Some(side) = slides else { return };
    let from = match side {
        Side::Below => into + Vec2::new(-6.0, 10.0),
        Side::Above => into + Vec2::new(-6.0, -10.0),
    };
    painter.line_segment([from, into], Stroke::new(1.5, ink));
}
