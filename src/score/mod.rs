//! From document and arrangement to what is performed and what is printed: events in time, and
//! pages of positioned marks. Pure; knows neither pixels nor files nor a sound card.

pub mod performance;

pub use performance::Performance;
pub use performance::TimedNote;
pub use performance::perform;
