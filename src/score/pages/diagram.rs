//! Chord diagrams: strings down, frets across, nut or fret number, crosses and circles above,
//! finger digits below, barres as bars (common practice). Mirrored for left-handed players.
//! Draws the grip it is given and never chooses one.

use super::mark::Anchor;
use super::mark::Ink;
use super::mark::Meaning;
use super::pen::Pen;
use super::pen::Style;
use super::sizes;
use crate::instrument::Finger;
use crate::instrument::Grip;
use crate::instrument::StringIdx;

/// Which grips of a system are shown.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Shown {
    /// Those that are new under their symbol.
    New,
    /// That of every chord.
    Chords,
    /// That of every chord, and those with which a chord is taken anew.
    All,
}

const ABOVE: f64 = 2.6;
const BELOW: f64 = 2.7;
/// From the grid to the fret number; a dot on the last string lies between.
const LABEL_GAP: f64 = 1.5;

/// The frets a diagram shows: its first one and how many.
#[must_use]
pub fn window(grip: &Grip) -> (u8, u8) {
    let fretted = || grip.shape.sounding().map(|(_, f)| f).filter(|f| *f > 0);
    let highest = fretted().max().unwrap_or(0);
    let lowest = fretted().min().unwrap_or(1);
    if highest <= 4 {
        return (1, 4);
    }
    (lowest, (highest - lowest + 1).max(4))
}

/// Height of a diagram with so many rows of a height.
#[must_use]
pub fn height(n_rows: u8, fret: f64) -> f64 {
    ABOVE + f64::from(n_rows) * fret + BELOW
}

fn grid_width(grip: &Grip) -> f64 {
    f64::from(grip.shape.n_strings().saturating_sub(1)) * sizes::DIAGRAM_STRING
}

/// Width of a diagram with its fret number set in a style.
#[must_use]
pub fn width(grip: &Grip, style: Style) -> f64 {
    let (first, _) = window(grip);
    let label = if first > 1 {
        LABEL_GAP + style.width(&fret_label(first))
    } else {
        0.0
    };
    grid_width(grip) + sizes::DIAGRAM_STRING + label
}

fn fret_label(first: u8) -> String {
    format!("{first}fr")
}

/// Where and how a diagram is drawn.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Spot {
    /// Left edge of its grid.
    pub x: f64,
    /// Its bottom, under the finger digits.
    pub bottom: f64,
    /// Rows, at least those of its [`window`].
    pub n_rows: u8,
    /// From one fret to the next.
    pub fret: f64,
    /// Whether it is mirrored.
    pub left_handed: bool,
    /// How its figures are set.
    pub style: Style,
}

/// Draws a diagram.
pub fn draw(pen: &mut Pen, grip: &Grip, spot: Spot) {
    let (first, least) = window(grip);
    let n_frets = spot.n_rows.max(least);
    let Spot {
        x,
        bottom,
        left_handed,
        style,
        ..
    } = spot;
    let top = bottom - BELOW - f64::from(n_frets) * spot.fret;
    let frame = Frame {
        grip: *grip,
        left_handed,
        style,
        x,
        top,
        row: spot.fret,
        first,
        n_frets,
    };
    frame.grid(pen);
    frame.signs(pen);
    frame.barres(pen);
    frame.dots(pen);
}

struct Frame {
    grip: Grip,
    left_handed: bool,
    style: Style,
    x: f64,
    top: f64,
    row: f64,
    first: u8,
    n_frets: u8,
}

impl Frame {
    fn string_x(&self, string: StringIdx) -> f64 {
        let last = self.grip.shape.n_strings().saturating_sub(1);
        let column = if self.left_handed {
            last.saturating_sub(string.0)
        } else {
            string.0
        };
        self.x + f64::from(column) * sizes::DIAGRAM_STRING
    }

    fn fret_y(&self, fret: u8) -> f64 {
        let row = f64::from(fret.saturating_sub(self.first));
        self.top + (row + 0.5) * self.row
    }

    fn bottom(&self) -> f64 {
        self.top + f64::from(self.n_frets) * self.row
    }

    fn grid(&self, pen: &mut Pen) {
        let thin = 0.18;
        let right = self.x + grid_width(&self.grip);
        for row in 0..=self.n_frets {
            let y = self.top + f64::from(row) * self.row;
            pen.line(
                Meaning::Diagram,
                (self.x - thin / 2.0, y),
                (right + thin / 2.0, y),
                thin,
            );
        }
        for s in 0..self.grip.shape.n_strings() {
            let x = self.x + f64::from(s) * sizes::DIAGRAM_STRING;
            pen.line(Meaning::Diagram, (x, self.top), (x, self.bottom()), thin);
        }
        if self.first == 1 {
            let nut = (right - self.x + thin, 0.75);
            let at = (self.x - thin / 2.0, self.top - 0.65);
            pen.filled(Meaning::Diagram, at, nut, Ink::Black);
        } else {
            let style = self.style;
            let y = self.fret_y(self.first) + style.cap() / 2.0;
            let label = fret_label(self.first);
            pen.text(
                Meaning::Diagram,
                style,
                Anchor::Left,
                (right + LABEL_GAP, y),
                &label,
            );
        }
    }

    /// Crosses and circles above, finger digits below.
    fn signs(&self, pen: &mut Pen) {
        let style = self.style;
        for s in 0..self.grip.shape.n_strings() {
            let string = StringIdx(s);
            let x = self.string_x(string);
            let y = self.top - 1.75;
            match self.grip.shape.fret(string) {
                None => cross(pen, x, y),
                Some(0) => pen.ring(Meaning::Diagram, (x, y), 0.58, 0.2),
                Some(_) => {
                    if let Some(finger) = self.grip.finger(string) {
                        let at = (x, self.bottom() + 0.75 + style.cap());
                        let digit = finger.digit().to_string();
                        pen.text(Meaning::Diagram, style, Anchor::Middle, at, &digit);
                    }
                }
            }
        }
    }

    fn barres(&self, pen: &mut Pen) {
        for finger in Finger::FOUR {
            let Some((fret, from, to)) = self.grip.place_of(finger) else {
                continue;
            };
            if from == to {
                continue;
            }
            let (a, b) = (self.string_x(from), self.string_x(to));
            let half = 0.45;
            let at = (a.min(b), self.fret_y(fret) - half);
            let size = ((a - b).abs(), 2.0 * half);
            pen.filled(Meaning::Diagram, at, size, Ink::Black);
        }
    }

    fn dots(&self, pen: &mut Pen) {
        for (string, fret) in self.grip.shape.sounding() {
            if fret > 0 {
                let center = (self.string_x(string), self.fret_y(fret));
                pen.disc(Meaning::Diagram, center, sizes::DIAGRAM_DOT);
            }
        }
    }
}

fn cross(pen: &mut Pen, x: f64, y: f64) {
    let r = 0.55;
    for dy in [-r, r] {
        pen.line(Meaning::Diagram, (x - r, y - dy), (x + r, y + dy), 0.2);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::SheetFont;
    use crate::instrument::Shape;

    #[test]
    fn four_rows_by_default_from_the_nut_or_from_the_lowest_fret() {
        let table = [
            ("x3545x", (3, 4)),
            ("x02210", (1, 4)),
            ("320003", (1, 4)),
            ("5x565x", (5, 4)),
            ("x5x9x8", (5, 5)),
            ("000000", (1, 4)),
            ("10-x-9-9-11-x", (9, 4)),
        ];
        for (shape, expected) in table {
            let grip = Grip::unfingered(Shape::parse(shape).unwrap());
            assert_eq!(window(&grip), expected, "{shape}");
        }
    }

    #[test]
    fn a_left_handed_diagram_is_the_mirror_image() {
        let grip = Grip::unfingered(Shape::parse("x02210").unwrap());
        let dots = |left_handed| {
            let mut pen = Pen::default();
            let spot = Spot {
                x: 0.0,
                bottom: 20.0,
                n_rows: 4,
                fret: sizes::DIAGRAM_FRET,
                left_handed,
                style: sizes::DIAGRAM_TEXT.in_face(SheetFont::Sans),
            };
            draw(&mut pen, &grip, spot);
            let mut xs: Vec<i64> = pen
                .marks
                .iter()
                .filter_map(|m| match m.drawn {
                    crate::score::pages::mark::Drawn::Circle {
                        center,
                        fill: Some(_),
                        ..
                    } => Some((center.x * 100.0).round() as i64),
                    _ => None,
                })
                .collect();
            xs.sort_unstable();
            xs
        };
        let width = (grid_width(&grip) * 100.0).round() as i64;
        let mirrored: Vec<i64> = dots(true).into_iter().rev().map(|x| width - x).collect();
        assert_eq!(dots(false), mirrored);
    }
}
