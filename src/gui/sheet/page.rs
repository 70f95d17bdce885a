//! Paints a laid-out page into a rectangle: a walk over the same marks that become PDF and SVG,
//! so that the preview cannot show another page. Black on white in either theme, like paper.

use super::fill;
use crate::gui::theme;
use crate::score::fonts;
use crate::score::fonts::FontRole;
use crate::score::pages::Drawn;
use crate::score::pages::Ink;
use crate::score::pages::Page;
use crate::score::pages::Spot;
use crate::score::pages::Step;
use egui::Color32;
use egui::CornerRadius;
use egui::FontId;
use egui::Painter;
use egui::Pos2;
use egui::Rect;
use egui::Shape;
use egui::Stroke;
use egui::StrokeKind;
use egui::Vec2;
use egui::epaint::CubicBezierShape;

/// Text smaller than this on the screen is left out: nobody can read it.
const SMALLEST_TEXT: f32 = 2.5;

/// A page on the screen.
struct Sheet<'a> {
    painter: &'a Painter,
    origin: Pos2,
    /// Points per millimetre.
    scale: f32,
}

/// Paints a page; its width fills the rectangle.
pub fn paint(painter: &Painter, rect: Rect, page: &Page) {
    let painter = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
    painter.rect_filled(rect, CornerRadius::ZERO, theme::SHEET_PAPER);
    let sheet = Sheet {
        painter: &painter,
        origin: rect.min,
        scale: rect.width() / points(page.width),
    };
    for mark in &page.marks {
        sheet.draw(&mark.drawn);
    }
}

/// Millimetres of a page as points of the screen's own number type.
#[expect(
    clippy::cast_possible_truncation,
    reason = "pages are a few hundred millimetres"
)]
fn points(mm: f64) -> f32 {
    mm as f32
}

const fn ink(ink: Ink) -> Color32 {
    match ink {
        Ink::Black => theme::SHEET_INK,
        Ink::White => theme::SHEET_PAPER,
    }
}

impl Sheet<'_> {
    fn at(&self, spot: Spot) -> Pos2 {
        self.origin + self.scale * Vec2::new(points(spot.x), points(spot.y))
    }

    fn long(&self, mm: f64) -> f32 {
        self.scale * points(mm)
    }

    /// A stroke never gets thinner than the eye can see.
    fn stroke(&self, width: f64) -> Stroke {
        Stroke::new(self.long(width).max(0.6), theme::SHEET_INK)
    }

    fn draw(&self, drawn: &Drawn) {
        match drawn {
            Drawn::Line {
                from,
                to,
                width,
                dash,
            } => {
                let ends = [self.at(*from), self.at(*to)];
                let stroke = self.stroke(*width);
                if let Some((on, off)) = dash {
                    let (on, off) = (self.long(*on), self.long(*off));
                    self.painter
                        .extend(Shape::dashed_line(&ends, stroke, on, off));
                } else {
                    self.painter.line_segment(ends, stroke);
                }
            }
            Drawn::Rect {
                at,
                width,
                height,
                fill,
                outline,
            } => {
                let size = Vec2::new(self.long(*width), self.long(*height));
                let rect = Rect::from_min_size(self.at(*at), size);
                let fill = fill.map_or(Color32::TRANSPARENT, ink);
                let stroke = outline.map_or(Stroke::NONE, |w| self.stroke(w));
                let middle = StrokeKind::Middle;
                self.painter
                    .rect(rect, CornerRadius::ZERO, fill, stroke, middle);
            }
            Drawn::Circle {
                center,
                radius,
                fill,
                outline,
            } => {
                let fill = fill.map_or(Color32::TRANSPARENT, ink);
                let stroke = outline.map_or(Stroke::NONE, |w| self.stroke(w));
                self.painter
                    .circle(self.at(*center), self.long(*radius), fill, stroke);
            }
            Drawn::Path { steps } => self.path(steps),
            Drawn::Text {
                role,
                size,
                text,
                at,
                anchor,
            } => {
                let left = anchor.left_of(*role, *size, text, *at);
                self.text(*role, *size, text, left);
            }
            Drawn::Glyph { code, size, at } => {
                self.text(FontRole::Music, *size, &code.to_string(), *at);
            }
        }
    }

    /// Text by its baseline. Every letter stands where the layout measured it.
    fn text(&self, role: FontRole, size: f64, text: &str, at: Spot) {
        let em = self.long(size);
        if em < SMALLEST_TEXT {
            return;
        }
        let font = FontId::new(em, theme::sheet_family(role));
        let mut x = at.x;
        for set in fonts::set_line(role, text) {
            let letter = text
                .get(set.byte..set.byte + set.n_bytes)
                .unwrap_or_default();
            let galley =
                self.painter
                    .layout_no_wrap(letter.to_owned(), font.clone(), theme::SHEET_INK);
            let row = galley.rows.first();
            let baseline = row.and_then(|row| {
                let glyph = row.row.glyphs.first()?;
                Some(row.pos.y + glyph.pos.y)
            });
            let place = self.at(Spot::new(x, at.y)) - Vec2::new(0.0, baseline.unwrap_or(0.0));
            self.painter.galley(place, galley, theme::SHEET_INK);
            x += set.advance * size;
        }
    }

    fn path(&self, steps: &[Step]) {
        let mut contour: Vec<Pos2> = Vec::new();
        for step in steps {
            match step {
                Step::Move(to) => {
                    self.fill(&contour);
                    contour = vec![self.at(*to)];
                }
                Step::Line(to) => contour.push(self.at(*to)),
                Step::Curve(a, b, to) => {
                    let from = contour.last().copied().unwrap_or_default();
                    let points = [from, self.at(*a), self.at(*b), self.at(*to)];
                    let none = Stroke::NONE;
                    let curve = CubicBezierShape::from_points_stroke(
                        points,
                        false,
                        Color32::TRANSPARENT,
                        none,
                    );
                    contour.extend(curve.flatten(Some(0.2)).into_iter().skip(1));
                }
                Step::Close => {
                    self.fill(&contour);
                    contour.clear();
                }
            }
        }
        self.fill(&contour);
    }

    fn fill(&self, contour: &[Pos2]) {
        if contour.len() >= 3 {
            self.painter.add(fill::polygon(contour, theme::SHEET_INK));
        }
    }
}
