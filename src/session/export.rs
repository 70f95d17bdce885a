//! Writes an arrangement to a file; the format follows from the ending. The one list of formats,
//! for the window and the command line alike. Never leaves half a file behind.

use crate::arrange::Arrangement;
use crate::document::Document;
use crate::export::wav;
use crate::files;
use std::path::Path;

/// Turns an arrangement into the bytes of a file, or says why that cannot be.
type Writer = fn(&Document, &Arrangement) -> Result<Vec<u8>, String>;

/// A format that can be written.
pub struct Format {
    /// The ending, without a dot.
    pub ending: &'static str,
    /// What it is, for lists and file dialogs.
    pub words: &'static str,
    writer: Writer,
}

/// Every format that can be written, in the order offered.
pub const FORMATS: &[Format] = &[Format {
    ending: "wav",
    words: "sound",
    writer: |document, arrangement| {
        Ok(wav::write(
            document,
            arrangement,
            &wav::WavOptions::default(),
        ))
    },
}];

/// Writes one export.
///
/// # Errors
/// In words: if there is no such format, or the file cannot be written.
pub fn export(document: &Document, arrangement: &Arrangement, path: &Path) -> Result<(), String> {
    let ending = path.extension().map(|e| e.to_ascii_lowercase());
    let format = FORMATS
        .iter()
        .find(|format| ending.as_ref().is_some_and(|e| e == format.ending))
        .ok_or_else(|| unknown(path))?;
    let bytes = (format.writer)(document, arrangement)?;
    files::write_bytes_atomically(path, &bytes).map_err(|error| error.to_string())
}

fn unknown(path: &Path) -> String {
    let formats = FORMATS
        .iter()
        .map(|f| format!(".{} ({})", f.ending, f.words));
    let formats: Vec<String> = formats.collect();
    format!(
        "the ending of the name decides the format; there are {}: {}",
        formats.join(", "),
        path.display()
    )
}
