//! From document and arrangement to what is performed and what is printed: events in time, and
//! pages of positioned marks. Pure; knows neither pixels nor files nor a sound card.

pub mod accidentals;
pub mod audition;
pub mod feel;
pub mod fonts;
pub mod pages;
pub mod performance;
pub mod rhythm;
pub mod staff_pitch;
pub mod time_signature;
pub mod voices;

pub use audition::perform_note;
pub use audition::perform_shape;
pub use feel::Clock;
pub use feel::swing_ratio;
pub use performance::Performance;
pub use performance::PlayedBar;
pub use performance::Stringing;
pub use performance::TimedNote;
pub use performance::perform;
pub use performance::perform_at;
