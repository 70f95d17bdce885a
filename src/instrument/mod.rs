//! The guitar and the hand on it: tunings, fretboard geometry in millimetres, hand profiles,
//! and grips (which finger holds which string at which fret), with the cost type that every
//! search adds up. Knows nothing of chords' names or of time.

pub mod effort;
pub mod fingerings;
pub mod fretboard;
pub mod grip;
pub mod hand;
pub mod playable;
pub mod reach;
pub mod tuning;

pub use effort::Cost;
pub use effort::Effort;
pub use effort::Term;
pub use fingerings::Fingering;
pub use fingerings::HandOnBoard;
pub use fingerings::fingerings;
pub use fretboard::Fretboard;
pub use grip::Finger;
pub use grip::Grip;
pub use grip::MAX_STRINGS;
pub use grip::Shape;
pub use grip::StringIdx;
pub use hand::Hand;
pub use hand::REACH_PERMILLE;
pub use playable::Refusal;
pub use playable::why_not;
pub use reach::Reach;
pub use reach::reach_of_span;
pub use tuning::Instrument;
pub use tuning::InstrumentError;
pub use tuning::StringSet;
pub use tuning::Tuning;
pub use tuning::TuningError;
