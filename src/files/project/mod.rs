//! The project file: readable RON with a format name and a version number that are looked at
//! before anything else. A file from a newer version is refused and stays as it is; a damaged one
//! is refused with line and column. Never guesses at a format and never repairs without a word.

mod from_document;
mod into_document;
mod v1;
pub(super) mod words;

pub use words::permille_from_text;

use super::error::FileError;
use super::read::read_text;
use super::stamp::Stamp;
use super::write::write_bytes_atomically;
use crate::document::Document;
use ron::extensions::Extensions;
use serde::Deserialize;
use std::path::Path;

/// The name in the header of every project file.
pub const FORMAT: &str = "thumbwalk-project";

/// The version this program writes, and the newest it reads.
pub const VERSION: u32 = 1;

/// The ending of project files.
pub const PROJECT_ENDING: &str = "ron";

/// Why a text is not a project that can be opened.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum ProjectError {
    /// Another kind of file.
    #[error(
        "this is not a Thumbwalk project: its header should say format: \"{FORMAT}\", and says \"{found}\""
    )]
    OtherFormat {
        /// What the header says.
        found: String,
    },
    /// Written by a later version of the program.
    #[error(
        "this project was written by a newer Thumbwalk (project version {found}; this program reads up to version {VERSION}). The file has not been changed; open it with the newer program"
    )]
    Newer {
        /// The version in the header.
        found: u32,
    },
    /// Not readable as a project.
    #[error(
        "the project is damaged at line {line}, column {column}: {message}. Correct that place in a text editor or use an earlier copy; the file has not been changed"
    )]
    Damaged {
        /// Line from 1.
        line: usize,
        /// Column from 1.
        column: usize,
        /// What is wrong there.
        message: String,
    },
    /// Readable, but a value in it makes no sense.
    #[error(
        "the project says something that cannot be used, {place}: {message}. Correct it in a text editor; the file has not been changed"
    )]
    Value {
        /// Where: "in the header", "in bar 5".
        place: String,
        /// What is wrong and what was expected.
        message: String,
    },
}

#[derive(Deserialize)]
#[serde(rename = "Project")]
struct Header {
    format: String,
    version: u32,
}

fn options() -> ron::Options {
    ron::Options::default().with_default_extension(Extensions::IMPLICIT_SOME)
}

fn damaged(error: &ron::error::SpannedError) -> ProjectError {
    ProjectError::Damaged {
        line: error.span.start.line,
        column: error.span.start.col,
        message: error.code.to_string(),
    }
}

/// Whether a text wants to be a project file rather than a chart: apart from comments it begins
/// like RON, which no chart does.
#[must_use]
pub fn is_project_text(text: &str) -> bool {
    let code = text
        .lines()
        .map(str::trim)
        .find(|line| !line.is_empty() && !line.starts_with("//"));
    code.is_some_and(|line| {
        ["(", "#![", "Project("]
            .iter()
            .any(|start| line.starts_with(start))
    })
}

/// The document in the text of a project file, with a sentence for everything that had to be
/// changed to make it fit.
///
/// # Errors
/// If it is no project, from a newer version, damaged, or says something that makes no sense.
pub fn project_from_text(text: &str) -> Result<(Document, Vec<String>), ProjectError> {
    let header: Header = options().from_str(text).map_err(|e| damaged(&e))?;
    if header.format != FORMAT {
        return Err(ProjectError::OtherFormat {
            found: header.format,
        });
    }
    match header.version {
        1 => {
            let project: v1::ProjectV1 = options().from_str(text).map_err(|e| damaged(&e))?;
            into_document::document_from_v1(project)
        }
        0 => Err(ProjectError::Value {
            place: "in the header".into(),
            message: "version must be 1 or more".into(),
        }),
        found => Err(ProjectError::Newer { found }),
    }
}

/// A document as the text of a project file.
#[must_use]
pub fn text_from_document(document: &Document) -> String {
    let project = from_document::v1_from_document(document);
    // One bar a line: deep enough to read, shallow enough to see the form of the tune.
    let pretty = ron::ser::PrettyConfig::new()
        .depth_limit(4)
        .new_line("\n")
        .indentor("  ");
    let body = options().to_string_pretty(&project, pretty);
    // Writing plain structs into a string cannot fail; an empty text would at least not parse.
    format!("{HEAD}{}\n", body.unwrap_or_default())
}

const HEAD: &str = "\
// A Thumbwalk project. You may edit it in any text editor.
// Places and lengths count in ticks, 960 to the beat. Shapes name the lowest string first.
";

/// Reads a project file.
///
/// # Errors
/// If the file cannot be read or is no project; see [`project_from_text`].
pub fn load_project(path: &Path) -> Result<(Document, Vec<String>), FileError> {
    let text = read_text(path)?;
    project_from_text(&text).map_err(|error| FileError::Project {
        error,
        path: path.into(),
    })
}

/// Writes a project file as a whole or not at all; what it holds then.
///
/// # Errors
/// If the system refuses; the old file is then unchanged.
pub fn save_project(path: &Path, document: &Document) -> Result<Stamp, FileError> {
    let text = text_from_document(document);
    write_bytes_atomically(path, text.as_bytes())?;
    Ok(Stamp::of(text.as_bytes()))
}
