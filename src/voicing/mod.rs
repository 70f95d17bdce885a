//! All playable voicings of a chord on an instrument under a hand: complete enumeration by
//! strings, left-hand fingers, families and effort. Never looks at the song: the same chord
//! gives the same list everywhere.

pub mod dead_end;
pub mod effort;
pub mod family;
pub mod search;
mod shapes;
pub mod sound;
pub mod thinned;
pub mod under_tune;
pub mod voiced;
pub mod weights;
pub mod wish;

pub use dead_end::DeadEnd;
pub use dead_end::Limit;
pub use dead_end::WayOut;
pub use dead_end::dead_end;
pub use family::Family;
pub use search::fingered_voicings;
pub use search::shape_voicings;
pub use search::voicings;
pub use thinned::thinned_voicings;
pub use under_tune::voicings_under;
pub use voiced::VoicedNote;
pub use voiced::Voicing;
pub use wish::Bass;
pub use wish::Wish;
