//! Files: project files (RON, versioned), text of unknown origin, atomic saving, settings. The
//! only layer that opens, reads or writes anything on disk. Hands back values and sentences, and
//! never leaves a half-written file behind.

pub mod error;
pub mod project;
pub mod read;
pub mod settings;
pub mod write;

pub use error::FileError;
pub use project::PROJECT_ENDING;
pub use project::ProjectError;
pub use project::is_project_text;
pub use project::load_project;
pub use project::permille_from_text;
pub use project::project_from_text;
pub use project::save_project;
pub use project::text_from_document;
pub use read::MAX_FILE_BYTES;
pub use read::read_bytes;
pub use read::read_text;
pub use read::stream_bytes;
pub use read::text_from_bytes;
pub use settings::Settings;
pub use settings::Theme;
pub use write::make_folder;
pub use write::write_bytes_atomically;
