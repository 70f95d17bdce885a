//! Opens anything a user may call a tune: a project file or a chart as plain text. The one place
//! that tells them apart, for the window and the command line alike: by what the text begins with,
//! and only then by the file's ending. Never changes the file.

use crate::document::Document;
use crate::files;
use crate::files::FileError;
use crate::files::Stamp;
use crate::import;
use std::path::Path;

/// A document that was opened.
#[derive(Clone, PartialEq, Debug)]
pub struct Opened {
    /// The document.
    pub document: Document,
    /// Whether it came from a project file, so that it can be saved where it was.
    pub is_project: bool,
    /// What that file holds, if it came from a file.
    pub stamp: Option<Stamp>,
    /// A sentence for everything that was dropped, guessed or changed.
    pub notices: Vec<String>,
}

/// Opens a project or a chart.
///
/// # Errors
/// In words: what, where, what to do.
pub fn open(path: &Path) -> Result<Opened, String> {
    open_onto(path, &Document::default())
}

/// Opens a project or a chart; `base` says what a chart leaves open.
///
/// # Errors
/// As [`open`].
pub fn open_onto(path: &Path, base: &Document) -> Result<Opened, String> {
    let bytes = files::read_bytes(path).map_err(|error| error.to_string())?;
    let stamp = Stamp::of(&bytes);
    let text = files::text_from_bytes(bytes, path).map_err(|error| error.to_string())?;
    let opened = read(&text, path, base)?;
    Ok(Opened {
        stamp: Some(stamp),
        ..opened
    })
}

/// The document in a text that came from `path`.
///
/// # Errors
/// In words: what, where, what to do.
pub fn open_text(text: &str, path: &Path) -> Result<Opened, String> {
    read(text, path, &Document::default())
}

fn read(text: &str, path: &Path, base: &Document) -> Result<Opened, String> {
    let ending = path.extension().map(|e| e.to_ascii_lowercase());
    let called_project = ending.is_some_and(|e| e == files::PROJECT_ENDING);
    if !called_project && !files::is_project_text(text) {
        let read = document_from_text(text, base);
        let (document, notices) = read.map_err(|error| format!("{error}: {}", path.display()))?;
        return Ok(Opened {
            document,
            is_project: false,
            stamp: None,
            notices,
        });
    }
    let read = files::project_from_text(text).map_err(|error| FileError::Project {
        error,
        path: path.into(),
    });
    let (document, notices) = read.map_err(|error| error.to_string())?;
    Ok(Opened {
        document,
        is_project: true,
        stamp: None,
        notices,
    })
}

/// Reads a chart text; `base` says what it leaves open.
///
/// # Errors
/// In words, with line and column.
pub fn document_from_text(text: &str, base: &Document) -> Result<(Document, Vec<String>), String> {
    let read = import::chart::read_onto(text, base.clone());
    let (document, notices) = read.map_err(|error| error.to_string())?;
    let sentence = |notice: &import::Notice| notice.to_string();
    Ok((document, notices.iter().map(sentence).collect()))
}
