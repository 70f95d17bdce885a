//! What a laid-out page is made of: lines, boxes, circles, curves, text and music signs at
//! places in millimetres from the top left corner. PDF, SVG and preview only walk over these
//! marks, so what is previewed is what is printed. A mark also says what it means, so that
//! tests and a preview can find the note behind it. Never knows pixels.

use crate::score::fonts;
use crate::score::fonts::FontRole;

/// A place on the page in millimetres, y growing downwards.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Spot {
    /// From the left edge.
    pub x: f64,
    /// From the top edge.
    pub y: f64,
}

impl Spot {
    /// A place.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    fn shifted(self, dx: f64, dy: f64) -> Self {
        Self::new(self.x + dx, self.y + dy)
    }
}

/// Black, or paper white to blank what lies under it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Ink {
    /// Black.
    Black,
    /// The paper.
    White,
}

/// Which point of a text its place is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Anchor {
    /// Its left end.
    Left,
    /// Its middle.
    Middle,
    /// Its right end.
    Right,
}

/// A step of a path.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Step {
    /// Begins a contour.
    Move(Spot),
    /// A straight line.
    Line(Spot),
    /// A cubic curve: two control points and the end.
    Curve(Spot, Spot, Spot),
    /// Closes the contour.
    Close,
}

/// A shape at its place. Widths and sizes are in millimetres.
#[derive(Clone, PartialEq, Debug)]
pub enum Drawn {
    /// A stroke with butt ends.
    Line {
        /// From here.
        from: Spot,
        /// To here.
        to: Spot,
        /// Thickness.
        width: f64,
        /// Dash and gap, if it is dashed.
        dash: Option<(f64, f64)>,
    },
    /// A rectangle.
    Rect {
        /// Top left corner.
        at: Spot,
        /// Width.
        width: f64,
        /// Height.
        height: f64,
        /// What fills it.
        fill: Option<Ink>,
        /// Thickness of its black outline.
        outline: Option<f64>,
    },
    /// A circle.
    Circle {
        /// Middle.
        center: Spot,
        /// Radius.
        radius: f64,
        /// What fills it.
        fill: Option<Ink>,
        /// Thickness of its black outline.
        outline: Option<f64>,
    },
    /// A filled black path.
    Path {
        /// Its contours.
        steps: Vec<Step>,
    },
    /// A line of text, its baseline at `at`.
    Text {
        /// Face.
        role: FontRole,
        /// Em.
        size: f64,
        /// Words.
        text: String,
        /// Where.
        at: Spot,
        /// Which point of the text that is.
        anchor: Anchor,
    },
    /// A music sign, its origin at `at`.
    Glyph {
        /// SMuFL code point.
        code: char,
        /// Em (four staff spaces).
        size: f64,
        /// Where.
        at: Spot,
    },
}

/// What a mark stands for. Numbers of notes are places in the arrangement's list.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Meaning {
    /// Title block.
    Title,
    /// Words for the student.
    Lesson,
    /// Name of a section.
    Section,
    /// Bar number (counted from 0).
    BarNumber(usize),
    /// Staff lines.
    Staff,
    /// Clef and time signature.
    Clef,
    /// Bar lines, repeats and endings of a bar.
    BarLine(usize),
    /// A chord symbol of a bar.
    Symbol(usize),
    /// A chord diagram.
    Diagram,
    /// The fret digit of a note.
    Note(usize),
    /// Paper behind a digit.
    Blank(usize),
    /// The left-hand finger of a note.
    Finger(usize),
    /// The right-hand letters of a strike; its first note.
    Pluck(usize),
    /// The code of a thumb move.
    Move(usize),
    /// The movement table.
    Table,
    /// The frame of a bar in the movement table.
    TableBar(usize),
    /// The slide into a note.
    Slide(usize),
    /// The open tie of a ringing note.
    Ring(usize),
    /// Stems, beams, flags and dots of a bar.
    Rhythm(usize),
    /// A rest of a bar.
    Rest(usize),
    /// Lines of the notation staff.
    Notation,
    /// The bracket before a system of two staves.
    Bracket,
    /// The head of a note on the staff, where it is struck.
    Head(usize),
    /// The head of a note that is tied over.
    HeadHeld(usize),
    /// The accidental of a note.
    Sign(usize),
    /// The small head a note slides from, with its accidental and line.
    SlideFrom(usize),
    /// The tie of a note.
    Tie(usize),
    /// Leger lines of a bar.
    Leger(usize),
    /// Stems on the staff of a bar.
    Stem(usize),
    /// Beams on the staff of a bar.
    Beam(usize),
    /// Triplets on the staff of a bar.
    Triplet(usize),
    /// Flags and dots on the staff of a bar.
    StaffRhythm(usize),
    /// A rest on the staff of a bar.
    StaffRest(usize),
    /// Legend of codes.
    Legend,
    /// Foot of the page.
    Foot,
}

/// One mark of a page.
#[derive(Clone, PartialEq, Debug)]
pub struct Mark {
    /// What it stands for.
    pub meaning: Meaning,
    /// What is drawn.
    pub drawn: Drawn,
}

/// Left, top, right and bottom in millimetres.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Bounds {
    /// Left.
    pub left: f64,
    /// Top.
    pub top: f64,
    /// Right.
    pub right: f64,
    /// Bottom.
    pub bottom: f64,
}

impl Bounds {
    fn around(spots: &[Spot], margin: f64) -> Self {
        let mut all = Self {
            left: f64::INFINITY,
            top: f64::INFINITY,
            right: f64::NEG_INFINITY,
            bottom: f64::NEG_INFINITY,
        };
        for spot in spots {
            all.left = all.left.min(spot.x - margin);
            all.top = all.top.min(spot.y - margin);
            all.right = all.right.max(spot.x + margin);
            all.bottom = all.bottom.max(spot.y + margin);
        }
        all
    }

    /// Whether two boxes share more than `slack` millimetres in both directions.
    #[must_use]
    pub fn overlaps(&self, other: &Self, slack: f64) -> bool {
        self.right.min(other.right) - self.left.max(other.left) > slack
            && self.bottom.min(other.bottom) - self.top.max(other.top) > slack
    }
}

impl Mark {
    /// The box around its ink.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        match &self.drawn {
            Drawn::Line {
                from, to, width, ..
            } => Bounds::around(&[*from, *to], width / 2.0),
            Drawn::Rect {
                at,
                width,
                height,
                outline,
                ..
            } => Bounds::around(
                &[*at, at.shifted(*width, *height)],
                outline.unwrap_or(0.0) / 2.0,
            ),
            Drawn::Circle {
                center,
                radius,
                outline,
                ..
            } => Bounds::around(&[*center], radius + outline.unwrap_or(0.0) / 2.0),
            Drawn::Path { steps } => Bounds::around(&path_spots(steps), 0.0),
            Drawn::Text {
                role,
                size,
                text,
                at,
                anchor,
            } => {
                let left = anchor.left_of(*role, *size, text, *at);
                ink_bounds(*role, *size, text, left)
            }
            Drawn::Glyph { code, size, at } => {
                ink_bounds(FontRole::Music, *size, code.encode_utf8(&mut [0; 4]), *at)
            }
        }
    }

    /// Makes the mark larger or smaller, seen from the origin.
    pub fn scale(&mut self, by: f64) {
        let spot = |spot: &mut Spot| *spot = Spot::new(spot.x * by, spot.y * by);
        match &mut self.drawn {
            Drawn::Line {
                from,
                to,
                width,
                dash,
            } => {
                spot(from);
                spot(to);
                *width *= by;
                *dash = dash.map(|(on, off)| (on * by, off * by));
            }
            Drawn::Rect {
                at,
                width,
                height,
                outline,
                ..
            } => {
                spot(at);
                *width *= by;
                *height *= by;
                *outline = outline.map(|w| w * by);
            }
            Drawn::Circle {
                center,
                radius,
                outline,
                ..
            } => {
                spot(center);
                *radius *= by;
                *outline = outline.map(|w| w * by);
            }
            Drawn::Path { steps } => {
                for step in steps {
                    match step {
                        Step::Move(a) | Step::Line(a) => spot(a),
                        Step::Curve(a, b, c) => [a, b, c].into_iter().for_each(spot),
                        Step::Close => {}
                    }
                }
            }
            Drawn::Text { size, at, .. } | Drawn::Glyph { size, at, .. } => {
                spot(at);
                *size *= by;
            }
        }
    }

    /// Moves the mark.
    pub fn shift(&mut self, dx: f64, dy: f64) {
        match &mut self.drawn {
            Drawn::Line { from, to, .. } => {
                *from = from.shifted(dx, dy);
                *to = to.shifted(dx, dy);
            }
            Drawn::Rect { at, .. } | Drawn::Text { at, .. } | Drawn::Glyph { at, .. } => {
                *at = at.shifted(dx, dy);
            }
            Drawn::Circle { center, .. } => *center = center.shifted(dx, dy),
            Drawn::Path { steps } => {
                for step in steps {
                    *step = match *step {
                        Step::Move(a) => Step::Move(a.shifted(dx, dy)),
                        Step::Line(a) => Step::Line(a.shifted(dx, dy)),
                        Step::Curve(a, b, c) => {
                            Step::Curve(a.shifted(dx, dy), b.shifted(dx, dy), c.shifted(dx, dy))
                        }
                        Step::Close => Step::Close,
                    };
                }
            }
        }
    }
}

impl Anchor {
    /// How much of the width lies left of the place.
    const fn share(self) -> f64 {
        match self {
            Self::Left => 0.0,
            Self::Middle => 0.5,
            Self::Right => 1.0,
        }
    }

    /// Where a text begins whose anchor is at a place.
    #[must_use]
    pub fn left_of(self, role: FontRole, size: f64, text: &str, at: Spot) -> Spot {
        Spot::new(
            at.x - self.share() * fonts::text_width(role, size, text),
            at.y,
        )
    }
}

fn path_spots(steps: &[Step]) -> Vec<Spot> {
    let mut spots = Vec::new();
    for step in steps {
        match step {
            Step::Move(a) | Step::Line(a) => spots.push(*a),
            Step::Curve(a, b, c) => spots.extend([*a, *b, *c]),
            Step::Close => {}
        }
    }
    spots
}

fn ink_bounds(role: FontRole, size: f64, text: &str, at: Spot) -> Bounds {
    let [left, top, right, bottom] = fonts::ink_box(role, size, text).unwrap_or([0.0; 4]);
    Bounds {
        left: at.x + left,
        top: at.y + top,
        right: at.x + right,
        bottom: at.y + bottom,
    }
}

/// A finished page.
#[derive(Clone, PartialEq, Debug)]
pub struct Page {
    /// Width in millimetres.
    pub width: f64,
    /// Height in millimetres.
    pub height: f64,
    /// Marks in reading order; later ones lie on top.
    pub marks: Vec<Mark>,
}
