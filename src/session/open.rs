//! Opens anything a user may call a tune: a project file, a chart as plain text, or a score of
//! another program. The one place that tells them apart, for the window and the command line alike:
//! by what the file begins with, and only then by its ending. Never changes the file.

use crate::document::Document;
use crate::files;
use crate::files::FileError;
use crate::files::Stamp;
use crate::import;
use crate::import::Choice;
use crate::import::ImportError;
use crate::import::Imported;
use crate::import::PartInfo;
use std::path::Path;

/// Endings of the files that can be opened, without the dot.
pub const OPEN_ENDINGS: [&str; 7] = [
    files::PROJECT_ENDING,
    "txt",
    "musicxml",
    "xml",
    "mxl",
    "mid",
    "midi",
];

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
    /// Parts or tracks of the file, if it is a score of another program.
    pub parts: Vec<PartInfo>,
    /// The part that was taken, from 0.
    pub taken: usize,
}

impl Opened {
    fn own(document: Document, is_project: bool, notices: Vec<String>) -> Self {
        Self {
            document,
            is_project,
            stamp: None,
            notices,
            parts: Vec::new(),
            taken: 0,
        }
    }
}

/// Opens a project, a chart or a score.
///
/// # Errors
/// In words: what, where, what to do.
pub fn open(path: &Path) -> Result<Opened, String> {
    open_with(path, Choice::default())
}

/// Opens any of them and takes of a score what was chosen.
///
/// # Errors
/// As [`open`].
pub fn open_with(path: &Path, choice: Choice) -> Result<Opened, String> {
    open_onto(path, choice, &Document::default())
}

/// Opens any of them and takes of a score what was chosen; `base` says what a chart or a score
/// leaves open.
///
/// # Errors
/// As [`open`].
pub fn open_onto(path: &Path, choice: Choice, base: &Document) -> Result<Opened, String> {
    let bytes = files::read_bytes(path).map_err(|error| error.to_string())?;
    let stamp = Stamp::of(&bytes);
    let opened = open_bytes_onto(bytes, path, choice, base)?;
    Ok(Opened {
        stamp: Some(stamp),
        ..opened
    })
}

/// The document in bytes that came from `path`.
///
/// # Errors
/// In words: what, where, what to do.
pub fn open_bytes(bytes: Vec<u8>, path: &Path, choice: Choice) -> Result<Opened, String> {
    open_bytes_onto(bytes, path, choice, &Document::default())
}

fn open_bytes_onto(
    bytes: Vec<u8>,
    path: &Path,
    choice: Choice,
    base: &Document,
) -> Result<Opened, String> {
    let imported: Result<Imported, ImportError> = if import::mxl::looks_like(&bytes) {
        import::mxl::read(&bytes, choice)
    } else if import::musicxml::looks_like(&bytes) {
        import::musicxml::read(&bytes, choice)
    } else if import::midi::looks_like(&bytes) {
        import::midi::read(&bytes, choice)
    } else {
        let text = files::text_from_bytes(bytes, path).map_err(|error| error.to_string())?;
        return read(&text, path, base);
    };
    let imported = imported
        .map_err(|error| format!("the file cannot be imported: {error}: {}", path.display()))?;
    Ok(Opened {
        document: Document {
            instrument: base.instrument.clone(),
            hand: base.hand.clone(),
            house_style: base.house_style,
            ..imported.document
        },
        is_project: false,
        stamp: None,
        notices: imported.notices.iter().map(ToString::to_string).collect(),
        parts: imported.parts,
        taken: imported.taken,
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
        return Ok(Opened::own(document, false, notices));
    }
    let read = files::project_from_text(text).map_err(|error| FileError::Project {
        error,
        path: path.into(),
    });
    let (document, notices) = read.map_err(|error| error.to_string())?;
    Ok(Opened::own(document, true, notices))
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
