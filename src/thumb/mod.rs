//! The thumb line: which slots there are, and which note the thumb plays in each, as a melody of
//! exact pitches that follows the craft's rules. Pure rules on chords and beats; never chooses
//! strings, frets or fingers.

mod bars;
mod candidates;
mod conflict;
mod draw;
mod endings;
mod layers;
pub mod line;
mod link;
mod obstacle;
pub mod patterns;
pub mod problem;
pub mod random;
pub mod rung;
pub mod slots;
mod step;
mod weights;
mod write;

pub use candidates::tone_classes;
pub use conflict::Conflict;
pub use conflict::WayOut;
pub use line::Line;
pub use line::LineNote;
pub use line::Variety;
pub use patterns::PluckPattern;
pub use problem::LineBar;
pub use problem::LineProblem;
pub use problem::Lock;
pub use problem::Slot;
pub use problem::Span;
pub use rung::Rung;
pub use slots::beats;
pub use slots::usual_plucks;
pub use write::write;
pub use write::write_anyway;
