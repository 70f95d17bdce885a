//! A pen that collects marks in a block with its own origin; blocks are stacked on pages later.
//! Short calls keep the layout code readable. Never decides where anything goes.

use super::mark::Anchor;
use super::mark::Drawn;
use super::mark::Ink;
use super::mark::Mark;
use super::mark::Meaning;
use super::mark::Spot;
use super::mark::Step;
use crate::document::SheetFont;
use crate::score::fonts;
use crate::score::fonts::Cut;
use crate::score::fonts::FontRole;

/// How a text is set in whichever face the sheet has. Sizes are those of the sans face; another
/// face is scaled so that its capitals and figures are as tall, and everything that is centred on
/// them stays so.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Lettering {
    cut: Cut,
    size: f64,
}

impl Lettering {
    /// A cut at an em in millimetres.
    #[must_use]
    pub const fn new(cut: Cut, size: f64) -> Self {
        Self { cut, size }
    }

    /// The same size in another cut.
    #[must_use]
    pub const fn cut(self, cut: Cut) -> Self {
        Self { cut, ..self }
    }

    /// The same cut at another size.
    #[must_use]
    pub fn scaled(self, by: f64) -> Self {
        Self {
            size: self.size * by,
            ..self
        }
    }

    /// The style in a face.
    #[must_use]
    pub fn in_face(self, face: SheetFont) -> Style {
        let cap = |face| fonts::cap_height(FontRole::Text(face, self.cut));
        let by = cap(SheetFont::Sans) / cap(face).max(0.1);
        Style::new(FontRole::Text(face, self.cut), self.size * by)
    }
}

/// How a text is set.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Style {
    /// Face.
    pub role: FontRole,
    /// Em in millimetres.
    pub size: f64,
}

impl Style {
    /// A style.
    #[must_use]
    pub const fn new(role: FontRole, size: f64) -> Self {
        Self { role, size }
    }

    /// Width of a text in millimetres.
    #[must_use]
    pub fn width(self, text: &str) -> f64 {
        fonts::text_width(self.role, self.size, text)
    }

    /// Height of capitals and figures in millimetres.
    #[must_use]
    pub fn cap(self) -> f64 {
        fonts::cap_height(self.role) * self.size
    }
}

/// Collects marks.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Pen {
    /// What was drawn.
    pub marks: Vec<Mark>,
}

impl Pen {
    fn push(&mut self, meaning: Meaning, drawn: Drawn) {
        self.marks.push(Mark { meaning, drawn });
    }

    /// A straight stroke.
    pub fn line(&mut self, meaning: Meaning, from: (f64, f64), to: (f64, f64), width: f64) {
        self.push(
            meaning,
            Drawn::Line {
                from: Spot::new(from.0, from.1),
                to: Spot::new(to.0, to.1),
                width,
                dash: None,
            },
        );
    }

    /// A filled box from its top left corner.
    pub fn filled(&mut self, meaning: Meaning, at: (f64, f64), size: (f64, f64), ink: Ink) {
        self.push(
            meaning,
            Drawn::Rect {
                at: Spot::new(at.0, at.1),
                width: size.0,
                height: size.1,
                fill: Some(ink),
                outline: None,
            },
        );
    }

    /// An outlined box from its top left corner.
    pub fn boxed(&mut self, meaning: Meaning, at: (f64, f64), size: (f64, f64), thickness: f64) {
        self.push(
            meaning,
            Drawn::Rect {
                at: Spot::new(at.0, at.1),
                width: size.0,
                height: size.1,
                fill: None,
                outline: Some(thickness),
            },
        );
    }

    /// A black disc.
    pub fn disc(&mut self, meaning: Meaning, center: (f64, f64), radius: f64) {
        self.push(
            meaning,
            Drawn::Circle {
                center: Spot::new(center.0, center.1),
                radius,
                fill: Some(Ink::Black),
                outline: None,
            },
        );
    }

    /// A circle.
    pub fn ring(&mut self, meaning: Meaning, center: (f64, f64), radius: f64, thickness: f64) {
        self.push(
            meaning,
            Drawn::Circle {
                center: Spot::new(center.0, center.1),
                radius,
                fill: None,
                outline: Some(thickness),
            },
        );
    }

    /// A filled path.
    pub fn path(&mut self, meaning: Meaning, steps: Vec<Step>) {
        self.push(meaning, Drawn::Path { steps });
    }

    /// A line of text with its baseline at a place. Empty text draws nothing.
    pub fn text(
        &mut self,
        meaning: Meaning,
        style: Style,
        anchor: Anchor,
        at: (f64, f64),
        text: &str,
    ) {
        if text.trim().is_empty() {
            return;
        }
        self.push(
            meaning,
            Drawn::Text {
                role: style.role,
                size: style.size,
                text: text.into(),
                at: Spot::new(at.0, at.1),
                anchor,
            },
        );
    }

    /// A music sign at a staff space of so many millimetres.
    pub fn glyph(&mut self, meaning: Meaning, code: char, space: f64, at: (f64, f64)) {
        self.push(
            meaning,
            Drawn::Glyph {
                code,
                size: 4.0 * space,
                at: Spot::new(at.0, at.1),
            },
        );
    }

    /// Top and bottom of all ink; 0 without any.
    #[must_use]
    pub fn reach(&self) -> (f64, f64) {
        let boxes = self.marks.iter().map(Mark::bounds);
        boxes.fold((0.0, 0.0), |(top, bottom), b| {
            (b.top.min(top), b.bottom.max(bottom))
        })
    }

    /// Makes everything larger or smaller, seen from the origin.
    pub fn scale(&mut self, by: f64) {
        for mark in &mut self.marks {
            mark.scale(by);
        }
    }

    /// Takes over the marks of another block, moved.
    pub fn place(&mut self, mut block: Self, dx: f64, dy: f64) {
        for mark in &mut block.marks {
            mark.shift(dx, dy);
        }
        if self.marks.is_empty() {
            self.marks = block.marks;
        } else {
            self.marks.append(&mut block.marks);
        }
    }
}
