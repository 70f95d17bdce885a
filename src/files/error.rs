//! What can go wrong with a file, as sentences for a guitarist: what was tried, why it failed,
//! what to do, and the path last. System error numbers are put into words here and nowhere else.

use super::project::ProjectError;
use std::io;
use std::path::Path;
use std::path::PathBuf;

/// Why a file could not be read or written.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum FileError {
    /// The system refused.
    #[error("cannot {doing}: {reason}: {}", path.display())]
    System {
        /// What was being attempted, such as "save the file".
        doing: &'static str,
        /// Why, in words, with what to do where that helps.
        reason: String,
        /// The file.
        path: PathBuf,
    },
    /// More bytes than the program takes.
    #[error("the file is larger than {} MiB, more than a chart or a project can be: {}", limit / (1024 * 1024), path.display())]
    TooLarge {
        /// The most bytes taken.
        limit: u64,
        /// The file.
        path: PathBuf,
    },
    /// Not UTF-8 text.
    #[error("line {line} is not UTF-8 text; save the file as UTF-8 plain text and try again: {}", path.display())]
    NotText {
        /// The first line, from 1, that cannot be read.
        line: usize,
        /// The file.
        path: PathBuf,
    },
    /// The project in it cannot be understood.
    #[error("{error}: {}", path.display())]
    Project {
        /// What is wrong, and where.
        error: ProjectError,
        /// The file.
        path: PathBuf,
    },
}

impl FileError {
    /// A system error in words.
    #[must_use]
    pub fn from_system(doing: &'static str, error: &io::Error, path: &Path) -> Self {
        Self::System {
            doing,
            reason: reason_in_words(error),
            path: path.into(),
        }
    }
}

fn reason_in_words(error: &io::Error) -> String {
    use io::ErrorKind as Kind;
    match error.kind() {
        Kind::NotFound => "there is no such file or folder".into(),
        Kind::PermissionDenied => {
            "it may not be read or changed by you; choose another place or change its permissions"
                .into()
        }
        Kind::IsADirectory => "this is a folder, not a file".into(),
        Kind::NotADirectory => "a part of its path is a file, not a folder".into(),
        Kind::StorageFull | Kind::QuotaExceeded => {
            "the disk is full; make room or choose another place".into()
        }
        Kind::ReadOnlyFilesystem => "the disk is read-only; choose another place".into(),
        Kind::AlreadyExists => "something of that name is there already".into(),
        Kind::InvalidFilename => "the name is not allowed here; choose another name".into(),
        Kind::ResourceBusy | Kind::ExecutableFileBusy => {
            "another program is using it; close it there and try again".into()
        }
        _ => error.to_string(),
    }
}
