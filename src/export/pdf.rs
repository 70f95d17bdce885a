//! Pages as PDF: a walk over the marks with krilla, fonts embedded as subsets, text as text,
//! bookmarks. The
//! same pages give the same bytes on every machine: no date, no name of a machine. Never lays
//! anything out.

pub mod outline;

use crate::score::fonts;
use crate::score::fonts::FontRole;
use crate::score::pages::Drawn;
use crate::score::pages::Ink;
use crate::score::pages::Page;
use crate::score::pages::Spot;
use crate::score::pages::Step;
use crate::score::pages::smufl;
use krilla::Document;
use krilla::color::luma;
use krilla::geom::Path;
use krilla::geom::PathBuilder;
use krilla::geom::Point;
use krilla::geom::Rect;
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla::paint::Fill;
use krilla::paint::Stroke;
use krilla::paint::StrokeDash;
use krilla::surface::Surface;
use krilla::text::Font;
use krilla::text::GlyphId;
use krilla::text::KrillaGlyph;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// What the file says about itself.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct PdfMeta {
    /// Title of the tune.
    pub title: String,
    /// Who wrote it.
    pub credits: String,
}

/// Why no PDF could be made.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum PdfError {
    /// A font that is part of the program could not be read.
    #[error("the sheet's fonts could not be read; please install the program again")]
    Fonts,
    /// A page without a sensible size.
    #[error("page {0} has no usable size")]
    PageSize(usize),
    /// The PDF library refused.
    #[error("the PDF could not be written: {0}")]
    Library(String),
}

/// Writes pages as one PDF.
///
/// # Errors
/// If a page has no size or the PDF library refuses a font.
pub fn write(pages: &[Page], meta: &PdfMeta) -> Result<Vec<u8>, PdfError> {
    let bytes = write_while(pages, meta, &mut |_| true)?;
    Ok(bytes.unwrap_or_default())
}

/// As [`write()`]; `go_on` is asked before each page with its number from 0, and `None` is returned if
/// it says `false`.
///
/// # Errors
/// As [`write()`].
pub fn write_while(
    pages: &[Page],
    meta: &PdfMeta,
    go_on: &mut dyn FnMut(usize) -> bool,
) -> Result<Option<Vec<u8>>, PdfError> {
    let walker = Walker {
        fonts: load_fonts(pages)?,
    };
    let mut document = Document::new();
    let authors = Some(meta.credits.trim().to_owned()).filter(|c| !c.is_empty());
    let mut about = Metadata::new()
        .title(meta.title.clone())
        .creator("Thumbwalk".into())
        .producer("Thumbwalk".into())
        .language("en".into());
    if let Some(author) = authors {
        about = about.authors(vec![author]);
    }
    document.set_metadata(about);
    for (i, page) in pages.iter().enumerate() {
        if !go_on(i) {
            return Ok(None);
        }
        let settings = PageSettings::from_wh(pt(page.width), pt(page.height))
            .ok_or(PdfError::PageSize(i + 1))?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        for mark in &page.marks {
            walker.draw(&mut surface, &mark.drawn);
        }
        surface.finish();
        sheet.finish();
    }
    let bookmarks = outline::bookmarks(pages);
    if !bookmarks.is_empty() {
        document.set_outline(outline::outline(bookmarks));
    }
    let bytes = document.finish();
    let bytes = bytes.map_err(|error| PdfError::Library(error.to_string()))?;
    Ok(Some(bytes))
}

/// Millimetres to points of 1/72 inch.
fn pt(mm: f64) -> f32 {
    (mm * 72.0 / 25.4) as f32
}

fn point(spot: Spot) -> Point {
    Point::from_xy(pt(spot.x), pt(spot.y))
}

/// The fonts that pages use.
fn load_fonts(pages: &[Page]) -> Result<BTreeMap<FontRole, Font>, PdfError> {
    let marks = pages.iter().flat_map(|page| &page.marks);
    let roles: BTreeSet<FontRole> = marks
        .filter_map(|mark| match &mark.drawn {
            Drawn::Text { role, .. } => Some(*role),
            Drawn::Glyph { .. } => Some(FontRole::Music),
            _ => None,
        })
        .collect();
    let load = |role: FontRole| {
        let font = Font::new(role.bytes().into(), 0).ok_or(PdfError::Fonts)?;
        Ok((role, font))
    };
    roles.into_iter().map(load).collect()
}

struct Walker {
    fonts: BTreeMap<FontRole, Font>,
}

impl Walker {
    fn draw(&self, surface: &mut Surface<'_>, drawn: &Drawn) {
        match drawn {
            Drawn::Line {
                from,
                to,
                width,
                dash,
            } => {
                let mut path = PathBuilder::new();
                path.move_to(pt(from.x), pt(from.y));
                path.line_to(pt(to.x), pt(to.y));
                paint(surface, path.finish(), None, Some(stroke(*width, *dash)));
            }
            Drawn::Rect {
                at,
                width,
                height,
                fill,
                outline,
            } => {
                let mut path = PathBuilder::new();
                if let Some(rect) = Rect::from_xywh(pt(at.x), pt(at.y), pt(*width), pt(*height)) {
                    path.push_rect(rect);
                }
                let outline = outline.map(|thickness| stroke(thickness, None));
                paint(surface, path.finish(), fill.map(ink), outline);
            }
            Drawn::Circle {
                center,
                radius,
                fill,
                outline,
            } => {
                let outline = outline.map(|thickness| stroke(thickness, None));
                paint(surface, circle(*center, *radius), fill.map(ink), outline);
            }
            Drawn::Path { steps } => {
                paint(surface, path(steps), Some(ink(Ink::Black)), None);
            }
            Drawn::Text {
                role,
                size,
                text,
                at,
                anchor,
            } => {
                let left = anchor.left_of(*role, *size, text, *at);
                self.text(surface, *role, *size, text, left);
            }
            Drawn::Glyph { code, size, at } => {
                let glyph = fonts::set_line(FontRole::Music, code.encode_utf8(&mut [0; 4])).next();
                if let Some(glyph) = glyph {
                    self.sign(surface, glyph.glyph, *size, copied(*code), *at);
                }
            }
        }
    }

    /// A music sign that is copied and searched as other text than its own code point.
    fn sign(&self, surface: &mut Surface<'_>, glyph: u16, size: f64, text: &str, at: Spot) {
        let id = GlyphId::new(u32::from(glyph));
        let glyph = KrillaGlyph::new(id, 0.0, 0.0, 0.0, 0.0, 0..text.len(), None);
        self.glyphs(surface, FontRole::Music, &[glyph], text, (size, at));
    }

    fn text(&self, surface: &mut Surface<'_>, role: FontRole, size: f64, text: &str, at: Spot) {
        let glyphs: Vec<KrillaGlyph> = fonts::set_line(role, text)
            .map(|glyph| {
                KrillaGlyph::new(
                    GlyphId::new(u32::from(glyph.glyph)),
                    glyph.advance as f32,
                    0.0,
                    0.0,
                    0.0,
                    glyph.byte..glyph.byte + glyph.n_bytes,
                    None,
                )
            })
            .collect();
        self.glyphs(surface, role, &glyphs, text, (size, at));
    }

    fn glyphs(
        &self,
        surface: &mut Surface<'_>,
        role: FontRole,
        glyphs: &[KrillaGlyph],
        text: &str,
        (size, at): (f64, Spot),
    ) {
        if let Some(font) = self.fonts.get(&role) {
            surface.set_fill(Some(ink(Ink::Black)));
            surface.set_stroke(None);
            surface.draw_glyphs(point(at), glyphs, font.clone(), text, pt(size), false);
        }
    }
}

/// What a music sign is when text is copied from the page: private code points mean nothing
/// elsewhere.
fn copied(code: char) -> &'static str {
    const DIGITS: [&str; 10] = ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9"];
    if code == smufl::TEMPO_QUARTER {
        return "♩";
    }
    let digit = u32::from(code).wrapping_sub(smufl::TIME_SIG_0);
    usize::try_from(digit)
        .ok()
        .and_then(|d| DIGITS.get(d))
        .copied()
        .unwrap_or(" ")
}

fn ink(ink: Ink) -> Fill {
    let color = match ink {
        Ink::Black => luma::Color::black(),
        Ink::White => luma::Color::white(),
    };
    Fill {
        paint: color.into(),
        ..Fill::default()
    }
}

fn stroke(width: f64, dash: Option<(f64, f64)>) -> Stroke {
    Stroke {
        width: pt(width),
        dash: dash.map(|(on, off)| StrokeDash {
            array: vec![pt(on), pt(off)],
            offset: 0.0,
        }),
        ..Stroke::default()
    }
}

fn paint(
    surface: &mut Surface<'_>,
    path: Option<Path>,
    fill: Option<Fill>,
    stroke: Option<Stroke>,
) {
    let Some(path) = path else {
        return;
    };
    surface.set_fill(fill);
    surface.set_stroke(stroke);
    surface.draw_path(&path);
}

fn path(steps: &[Step]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for step in steps {
        match step {
            Step::Move(a) => path.move_to(pt(a.x), pt(a.y)),
            Step::Line(a) => path.line_to(pt(a.x), pt(a.y)),
            Step::Curve(a, b, c) => {
                path.cubic_to(pt(a.x), pt(a.y), pt(b.x), pt(b.y), pt(c.x), pt(c.y));
            }
            Step::Close => path.close(),
        }
    }
    path.finish()
}

/// A circle from four cubic curves; 0.5523 is the usual length of their handles.
fn circle(center: Spot, radius: f64) -> Option<Path> {
    let handle = 0.552_284_75 * radius;
    let at = |x: f64, y: f64| Spot::new(center.x + x, center.y + y);
    let (r, h) = (radius, handle);
    path(&[
        Step::Move(at(r, 0.0)),
        Step::Curve(at(r, h), at(h, r), at(0.0, r)),
        Step::Curve(at(-h, r), at(-r, h), at(-r, 0.0)),
        Step::Curve(at(-r, -h), at(-h, -r), at(0.0, -r)),
        Step::Curve(at(h, -r), at(r, -h), at(r, 0.0)),
        Step::Close,
    ])
}
