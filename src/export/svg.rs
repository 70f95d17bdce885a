//! A page as SVG: the same marks as the PDF, text and music signs as outlines, so that the
//! picture needs no font and looks the same in every viewer. Each text carries its words as an
//! accessible name. Never lays anything out.

use crate::score::fonts;
use crate::score::fonts::FontRole;
use crate::score::fonts::OutlineSink;
use crate::score::pages::Drawn;
use crate::score::pages::Ink;
use crate::score::pages::Page;
use crate::score::pages::Spot;
use crate::score::pages::Step;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Writes a page as one SVG document, in millimetres.
#[must_use]
pub fn write(page: &Page) -> String {
    let mut body = String::new();
    let mut glyphs = Glyphs::default();
    for mark in &page.marks {
        draw(&mut body, &mut glyphs, &mark.drawn);
    }
    let (w, h) = (number(page.width), number(page.height));
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" \
         viewBox=\"0 0 {w} {h}\">\n<defs>\n{}</defs>\n\
         <rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n{body}</svg>\n",
        glyphs.defs
    )
}

/// Outlines that were used, each defined once.
#[derive(Default)]
struct Glyphs {
    known: BTreeMap<(FontRole, u16), usize>,
    defs: String,
}

impl Glyphs {
    fn id(&mut self, role: FontRole, glyph: u16) -> usize {
        let next = self.known.len();
        if let Some(id) = self.known.get(&(role, glyph)) {
            return *id;
        }
        self.known.insert((role, glyph), next);
        let mut path = PathText::default();
        fonts::outline(role, glyph, &mut path);
        let _ = writeln!(self.defs, "<path id=\"g{next}\" d=\"{}\"/>", path.text);
        next
    }
}

fn draw(out: &mut String, glyphs: &mut Glyphs, drawn: &Drawn) {
    match drawn {
        Drawn::Line {
            from,
            to,
            width,
            dash,
        } => {
            let dash = dash.map_or(String::new(), |(on, off)| {
                format!(" stroke-dasharray=\"{} {}\"", number(on), number(off))
            });
            let [x1, y1, x2, y2] = [from.x, from.y, to.x, to.y].map(number);
            let width = number(*width);
            let _ = writeln!(
                out,
                "<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\" stroke=\"#000\" \
                 stroke-width=\"{width}\"{dash}/>"
            );
        }
        Drawn::Rect {
            at,
            width,
            height,
            fill,
            outline,
        } => {
            let [x, y, w, h] = [at.x, at.y, *width, *height].map(number);
            let paint = paint(*fill, *outline);
            let _ = writeln!(
                out,
                "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"{paint}/>"
            );
        }
        Drawn::Circle {
            center,
            radius,
            fill,
            outline,
        } => {
            let [x, y, r] = [center.x, center.y, *radius].map(number);
            let paint = paint(*fill, *outline);
            let _ = writeln!(out, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"{paint}/>");
        }
        Drawn::Path { steps } => {
            let _ = writeln!(out, "<path d=\"{}\"/>", path(steps));
        }
        Drawn::Text {
            role,
            size,
            text: words,
            at,
            anchor,
        } => {
            let left = anchor.left_of(*role, *size, words, *at);
            text(out, glyphs, (*role, *size), words, left);
        }
        Drawn::Glyph { code, size, at } => {
            let id = fonts::set_line(FontRole::Music, code.encode_utf8(&mut [0; 4]))
                .map(|glyph| glyphs.id(FontRole::Music, glyph.glyph))
                .next();
            if let Some(id) = id {
                one_glyph(out, id, *size, *at);
            }
        }
    }
}

fn text(out: &mut String, glyphs: &mut Glyphs, style: (FontRole, f64), words: &str, at: Spot) {
    let (role, size) = style;
    let _ = writeln!(out, "<g role=\"img\" aria-label=\"{}\">", escaped(words));
    let mut x = at.x;
    for glyph in fonts::set_line(role, words) {
        let id = glyphs.id(role, glyph.glyph);
        one_glyph(out, id, size, Spot::new(x, at.y));
        x += glyph.advance * size;
    }
    out.push_str("</g>\n");
}

fn one_glyph(out: &mut String, id: usize, size: f64, at: Spot) {
    let [x, y, s] = [at.x, at.y, size].map(number);
    let _ = writeln!(
        out,
        "<use href=\"#g{id}\" transform=\"translate({x} {y}) scale({s} -{s})\"/>"
    );
}

fn paint(fill: Option<Ink>, outline: Option<f64>) -> String {
    let fill = match fill {
        Some(Ink::Black) => "#000",
        Some(Ink::White) => "#fff",
        None => "none",
    };
    let outline = outline.map_or(String::new(), |width| {
        format!(" stroke=\"#000\" stroke-width=\"{}\"", number(width))
    });
    format!(" fill=\"{fill}\"{outline}")
}

fn path(steps: &[Step]) -> String {
    let mut text = PathText::default();
    for step in steps {
        match step {
            Step::Move(a) => text.move_to(a.x, a.y),
            Step::Line(a) => text.line_to(a.x, a.y),
            Step::Curve(a, b, c) => text.cubic_to(a.x, a.y, b.x, b.y, c.x, c.y),
            Step::Close => text.close(),
        }
    }
    text.text
}

/// Builds the text of a path.
#[derive(Default)]
struct PathText {
    text: String,
}

impl PathText {
    fn push(&mut self, letter: char, numbers: &[f64]) {
        self.text.push(letter);
        let words: Vec<String> = numbers.iter().map(|n| number(*n)).collect();
        self.text.push_str(&words.join(" "));
    }
}

impl OutlineSink for PathText {
    fn move_to(&mut self, x: f64, y: f64) {
        self.push('M', &[x, y]);
    }
    fn line_to(&mut self, x: f64, y: f64) {
        self.push('L', &[x, y]);
    }
    fn quad_to(&mut self, x1: f64, y1: f64, x: f64, y: f64) {
        self.push('Q', &[x1, y1, x, y]);
    }
    fn cubic_to(&mut self, x1: f64, y1: f64, x2: f64, y2: f64, x: f64, y: f64) {
        self.push('C', &[x1, y1, x2, y2, x, y]);
    }
    fn close(&mut self) {
        self.text.push('Z');
    }
}

/// At most four decimals, no needless zeros.
fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".into()
    } else {
        text.into()
    }
}

fn escaped(words: &str) -> String {
    // XML 1.0 has no way to write control characters.
    let plain: String = words.chars().filter(|c| !c.is_control()).collect();
    plain
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
