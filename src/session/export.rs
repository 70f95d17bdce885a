//! Writes an arrangement to a file; the format follows from the ending.

use crate::arrange::Arrangement;
use crate::document::Document;
use std::path::Path;

/// Writes one export.
///
/// # Errors
/// In words.
pub fn export(_document: &Document, _arrangement: &Arrangement, path: &Path) -> Result<(), String> {
    Err(format!("no writer for {}", path.display()))
}
