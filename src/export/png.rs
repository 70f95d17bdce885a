//! A page as pixels: the same marks as PDF and SVG, filled by tiny-skia with smooth edges, written
//! as shades of grey with their density, so that the picture prints at its true size.
//!
//! Layout: "Portable Network Graphics (PNG) Specification (Third Edition)", W3C, 2025: chunks
//! IHDR, pHYs, IDAT, IEND; zlib stream with filter type 0.

use crate::score::fonts;
use crate::score::fonts::FontRole;
use crate::score::fonts::OutlineSink;
use crate::score::pages::Drawn;
use crate::score::pages::Ink;
use crate::score::pages::Page;
use crate::score::pages::Spot;
use crate::score::pages::Step;
use std::ops::RangeInclusive;
use tiny_skia::Color;
use tiny_skia::FillRule;
use tiny_skia::Paint;
use tiny_skia::Path;
use tiny_skia::PathBuilder;
use tiny_skia::Pixmap;
use tiny_skia::Rect;
use tiny_skia::Stroke;
use tiny_skia::StrokeDash;
use tiny_skia::Transform;

/// Densities offered, in dots per inch.
pub const DPI: RangeInclusive<u16> = 36..=600;

/// The density of screens and of everyday printing.
pub const USUAL_DPI: u16 = 150;

const MM_PER_INCH: f64 = 25.4;
const LEVEL: u8 = 6;

/// Why there is no picture.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[error("a page of this size is too large for a picture: choose fewer dots per inch")]
pub struct TooLarge;

/// Draws a page with so many dots per inch (brought into [`DPI`]).
///
/// # Errors
/// If the picture would be too large.
pub fn write(page: &Page, dpi: u16) -> Result<Vec<u8>, TooLarge> {
    let dpi = dpi.clamp(*DPI.start(), *DPI.end());
    let scale = f64::from(dpi) / MM_PER_INCH;
    let pixels = |mm: f64| (mm * scale).round().max(1.0) as u32;
    let pixmap = Pixmap::new(pixels(page.width), pixels(page.height)).ok_or(TooLarge)?;
    let mut canvas = Canvas {
        pixmap,
        to_pixels: Transform::from_scale(scale as f32, scale as f32),
    };
    canvas.pixmap.fill(Color::WHITE);
    for mark in &page.marks {
        canvas.draw(&mark.drawn);
    }
    Ok(encode(&canvas.pixmap, dpi))
}

struct Canvas {
    pixmap: Pixmap,
    to_pixels: Transform,
}

impl Canvas {
    fn draw(&mut self, drawn: &Drawn) {
        match drawn {
            Drawn::Line {
                from,
                to,
                width,
                dash,
            } => {
                let mut path = PathBuilder::new();
                path.move_to(from.x as f32, from.y as f32);
                path.line_to(to.x as f32, to.y as f32);
                self.stroke(path.finish(), *width, *dash);
            }
            Drawn::Rect {
                at,
                width,
                height,
                fill,
                outline,
            } => {
                let [x, y, w, h] = [at.x, at.y, *width, *height].map(|mm| mm as f32);
                let path = Rect::from_xywh(x, y, w, h).map(PathBuilder::from_rect);
                self.fill_and_outline(path, *fill, *outline);
            }
            Drawn::Circle {
                center,
                radius,
                fill,
                outline,
            } => {
                let [x, y, r] = [center.x, center.y, *radius].map(|mm| mm as f32);
                self.fill_and_outline(PathBuilder::from_circle(x, y, r), *fill, *outline);
            }
            Drawn::Path { steps } => self.fill(path_of(steps), Ink::Black, Transform::identity()),
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
                self.text(FontRole::Music, *size, code.encode_utf8(&mut [0; 4]), *at);
            }
        }
    }

    fn text(&mut self, role: FontRole, size: f64, text: &str, at: Spot) {
        let mut x = at.x;
        for glyph in fonts::set_line(role, text) {
            let mut outline = Outline::default();
            fonts::outline(role, glyph.glyph, &mut outline);
            let s = size as f32;
            let place = Transform::from_row(s, 0.0, 0.0, -s, x as f32, at.y as f32);
            self.fill(outline.0.finish(), Ink::Black, place);
            x += glyph.advance * size;
        }
    }

    fn fill_and_outline(&mut self, path: Option<Path>, fill: Option<Ink>, outline: Option<f64>) {
        if let Some(ink) = fill {
            self.fill(path.clone(), ink, Transform::identity());
        }
        if let Some(width) = outline {
            self.stroke(path, width, None);
        }
    }

    fn fill(&mut self, path: Option<Path>, ink: Ink, place: Transform) {
        if let Some(path) = path {
            let transform = place.post_concat(self.to_pixels);
            let rule = FillRule::Winding;
            self.pixmap
                .fill_path(&path, &paint(ink), rule, transform, None);
        }
    }

    fn stroke(&mut self, path: Option<Path>, width: f64, dash: Option<(f64, f64)>) {
        let dash = dash.and_then(|(on, off)| StrokeDash::new(vec![on as f32, off as f32], 0.0));
        let stroke = Stroke {
            width: width as f32,
            dash,
            ..Stroke::default()
        };
        if let Some(path) = path {
            let paint = paint(Ink::Black);
            self.pixmap
                .stroke_path(&path, &paint, &stroke, self.to_pixels, None);
        }
    }
}

fn paint(ink: Ink) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color(match ink {
        Ink::Black => Color::BLACK,
        Ink::White => Color::WHITE,
    });
    paint.anti_alias = true;
    paint
}

fn path_of(steps: &[Step]) -> Option<Path> {
    let mut outline = Outline::default();
    for step in steps {
        match step {
            Step::Move(a) => outline.move_to(a.x, a.y),
            Step::Line(a) => outline.line_to(a.x, a.y),
            Step::Curve(a, b, c) => outline.cubic_to(a.x, a.y, b.x, b.y, c.x, c.y),
            Step::Close => outline.close(),
        }
    }
    outline.0.finish()
}

/// An outline on its way into a path.
#[derive(Default)]
struct Outline(PathBuilder);

impl OutlineSink for Outline {
    fn move_to(&mut self, x: f64, y: f64) {
        self.0.move_to(x as f32, y as f32);
    }
    fn line_to(&mut self, x: f64, y: f64) {
        self.0.line_to(x as f32, y as f32);
    }
    fn quad_to(&mut self, x1: f64, y1: f64, x: f64, y: f64) {
        self.0.quad_to(x1 as f32, y1 as f32, x as f32, y as f32);
    }
    fn cubic_to(&mut self, x1: f64, y1: f64, x2: f64, y2: f64, x: f64, y: f64) {
        let [x1, y1, x2, y2, x, y] = [x1, y1, x2, y2, x, y].map(|v| v as f32);
        self.0.cubic_to(x1, y1, x2, y2, x, y);
    }
    fn close(&mut self) {
        self.0.close();
    }
}

fn encode(pixmap: &Pixmap, dpi: u16) -> Vec<u8> {
    const GREY: u8 = 0;
    let width = pixmap.width() as usize;
    let mut rows = Vec::with_capacity((width + 1) * pixmap.height() as usize);
    for row in pixmap.pixels().chunks(width.max(1)) {
        rows.push(0);
        // The paper is white and the ink black, so every channel is the shade.
        rows.extend(row.iter().map(|pixel| pixel.red()));
    }
    let mut head = Vec::new();
    head.extend(pixmap.width().to_be_bytes());
    head.extend(pixmap.height().to_be_bytes());
    head.extend([8, GREY, 0, 0, 0]);
    let per_metre = (f64::from(dpi) * 1000.0 / MM_PER_INCH).round() as u32;
    let mut density = Vec::new();
    density.extend(per_metre.to_be_bytes());
    density.extend(per_metre.to_be_bytes());
    density.push(1);
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    chunk(&mut file, b"IHDR", &head);
    chunk(&mut file, b"pHYs", &density);
    let packed = miniz_oxide::deflate::compress_to_vec_zlib(&rows, LEVEL);
    chunk(&mut file, b"IDAT", &packed);
    chunk(&mut file, b"IEND", &[]);
    file
}

fn chunk(file: &mut Vec<u8>, name: &[u8; 4], data: &[u8]) {
    let length = u32::try_from(data.len()).unwrap_or(u32::MAX);
    file.extend(length.to_be_bytes());
    let mut crc = crc32fast::Hasher::new();
    crc.update(name);
    crc.update(data);
    file.extend(name);
    file.extend(data);
    file.extend(crc.finalize().to_be_bytes());
}
