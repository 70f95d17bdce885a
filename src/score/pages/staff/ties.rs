//! Ties between heads that sound on: lens-shaped arcs on the voice's own side, thin at their ends
//! (Gould, Behind Bars, from memory: in two voices they curve as the stems go). A tie that leaves
//! its system ends at the bar line and begins again in the next one.

use crate::score::pages::mark::Meaning;
use crate::score::pages::mark::Spot;
use crate::score::pages::mark::Step;
use crate::score::pages::pen::Pen;
use crate::score::pages::sizes::SPACE;
use crate::score::pages::smufl;

/// White between a head and the end of its tie.
pub const GAP: f64 = 0.2;

/// Draws a tie from one place to another, in millimetres, curved upwards or downwards.
pub fn draw(pen: &mut Pen, meaning: Meaning, from: f64, to: f64, y: f64, up: bool) {
    let width = (to - from).max(0.5);
    let sign = if up { -1.0 } else { 1.0 };
    let y = y + sign * 0.35 * SPACE;
    let height = (0.14 * width).clamp(0.38 * SPACE, 0.85 * SPACE);
    let end = smufl::TIE_END * SPACE;
    let middle = smufl::TIE_MIDDLE * SPACE;
    // A cubic curve reaches three quarters of the way to its handles.
    let outer = sign * (height + middle / 2.0) / 0.75;
    let inner = sign * (height - middle / 2.0) / 0.75;
    let third = width / 3.2;
    let spot = Spot::new;
    let half = sign * end / 2.0;
    pen.path(
        meaning,
        vec![
            Step::Move(spot(from, y + half)),
            Step::Curve(
                spot(from + third, y + outer),
                spot(to - third, y + outer),
                spot(to, y + half),
            ),
            Step::Line(spot(to, y - half)),
            Step::Curve(
                spot(to - third, y + inner),
                spot(from + third, y + inner),
                spot(from, y - half),
            ),
            Step::Close,
        ],
    );
}
