//! The user's work as plain data: chart, choices, instrument, hand and settings of one project.
//! A clone is cheap (sections are shared), and the only way to change anything is
//! [`Document::apply`], which is pure. Knows neither files nor solved arrangements.

mod apply;
pub mod choruses;
pub mod edit;
pub mod history;
pub mod practice;
mod sections;
pub mod sheet;
pub mod tune;
pub mod types;
pub mod versions;

pub use choruses::Choruses;
pub use choruses::MAX_CHORUSES;
pub use edit::BarPlace;
pub use edit::Edit;
pub use edit::EditError;
pub use history::History;
pub use practice::LadderRung;
pub use practice::MAX_RUNGS;
pub use practice::usual_ladder;
pub use sections::SectionPlace;
pub use sheet::BARS_PER_SYSTEM;
pub use sheet::MusicSize;
pub use sheet::Paper;
pub use sheet::SheetFont;
pub use sheet::SheetPreset;
pub use sheet::SheetSettings;
pub use tune::SungNote;
pub use tune::TUNE_OCTAVES;
pub use tune::TuneDensity;
pub use tune::TuneNote;
pub use tune::TuneSettings;
pub use types::Approach;
pub use types::Bar;
pub use types::BarLine;
pub use types::ChordAt;
pub use types::Document;
pub use types::Feel;
pub use types::LAY_BACK_MS;
pub use types::LineSettings;
pub use types::MAX_BARS;
pub use types::SWING_PERMILLE;
pub use types::Section;
pub use types::TEMPO_BPM;
pub use types::ThumbCell;
pub use types::Walk;
pub use versions::KeptVersion;
pub use versions::MAX_VERSIONS;
