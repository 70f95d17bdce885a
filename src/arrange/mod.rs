//! From chords to a playable arrangement: picks one grip per chord and a place for every thumb
//! note by exact dynamic programming over the whole tune. The problem and its answer are plain
//! data; this layer never sees a document, a file or a thread.

mod built;
pub mod change;
pub mod compare;
pub mod finding;
mod grip_remedies;
mod heads;
mod holds;
mod judge;
mod jumps;
mod kept_nodes;
mod layer_cache;
mod layers;
mod leads;
mod moments;
mod moves;
mod nodes;
mod notes;
mod options;
mod phase;
mod pieces;
mod plan;
pub mod problem;
pub mod result;
mod right_hand;
mod rows;
mod sliding;
pub mod solve;
mod sources;
mod tables;
pub mod trellis;
mod tune_nodes;
pub mod ways;

pub use change::Changes;
pub use change::HandState;

pub use compare::Comparison;
pub use compare::Version;
pub use compare::compare;

pub use finding::Finding;
pub use finding::FindingKind;
pub use finding::Fix;
pub use finding::Remedy;
pub use options::Options;
pub use problem::ApproachFrom;
pub use problem::BarPlan;
pub use problem::ChordPlan;
pub use problem::Problem;
pub use problem::ThumbPlan;
pub use problem::ThumbWish;
pub use problem::TunePlan;
pub use result::Arrangement;
pub use result::ChosenGrip;
pub use result::HandAtEnd;
pub use result::Lane;
pub use result::Place;
pub use result::PlayedNote;
pub use result::PluckFinger;
pub use result::SlotEffort;
pub use solve::Arranger;
pub use solve::Progress;
pub use solve::solve;
pub use solve::trellis_of;
pub use ways::BarWay;
pub use ways::ThumbPlace;
