//! Files: project files (RON, versioned), text of unknown origin, atomic saving, unsaved work,
//! earlier versions, settings. The only layer that opens, reads or writes anything on disk. Hands
//! back values and sentences, and never leaves a half-written file behind.

pub mod backups;
pub mod error;
pub mod folders;
pub mod journal;
mod journal_text;
pub mod project;
pub mod read;
pub mod settings;
pub mod stamp;
pub mod write;

pub use backups::Backup;
pub use error::FileError;
pub use folders::name_of;
pub use journal::Left;
pub use journal::OwnJournal;
pub use journal_text::Entry;
pub use journal_text::entry_from_text;
pub use project::PROJECT_ENDING;
pub use project::ProjectError;
pub use project::is_project_text;
pub use project::load_project;
pub use project::permille_from_text;
pub use project::project_from_text;
pub use project::save_project;
pub use project::text_from_document;
pub use read::read_bytes;
pub use read::stream_bytes;
pub use read::text_from_bytes;
pub use settings::NewProject;
pub use settings::SavedInstrument;
pub use settings::Settings;
pub use settings::Theme;
pub use stamp::OnDisk;
pub use stamp::Stamp;
pub use write::make_folder;
pub use write::write_bytes_atomically;
