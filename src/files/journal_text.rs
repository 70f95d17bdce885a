//! What stands in a journal of unsaved work: the project as in its own file, or text that is not a
//! chart yet, and which file it belongs to. Versioned like projects; a newer one is not guessed at.

use super::project::project_from_text;
use super::project::text_from_document;
use super::stamp::Stamp;
use crate::document::Document;
use serde::Deserialize;
use serde::Serialize;
use std::path::PathBuf;
use std::sync::Arc;

const FORMAT: &str = "thumbwalk-unsaved-work";
const VERSION: u32 = 1;

const HEAD: &str = "\
// Work that was not saved when Thumbwalk ended. The next start offers it; the project in it can
// also be copied into a file of its own.
";

/// Unsaved work.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Entry {
    /// The project's file, if it has one.
    pub file: Option<PathBuf>,
    /// What that file held when it was read or written last.
    pub stamp: Option<Stamp>,
    /// The project; `None` if there is only a draft.
    pub document: Option<Arc<Document>>,
    /// Text being typed that is not a chart yet.
    pub draft: String,
}

#[derive(Serialize, Deserialize)]
#[serde(rename = "Journal")]
struct Journal {
    format: String,
    version: u32,
    #[serde(default)]
    file: Option<String>,
    #[serde(default)]
    stamp: Option<(u64, u32)>,
    #[serde(default)]
    draft: String,
    #[serde(default)]
    project: String,
}

/// An entry as text.
#[must_use]
pub fn text_from_entry(entry: &Entry) -> String {
    // A path that is not text can't be written here: the work is then restored without its file.
    let file = entry.file.as_ref().and_then(|path| path.to_str());
    let project = entry.document.as_deref().map(text_from_document);
    let journal = Journal {
        format: FORMAT.into(),
        version: VERSION,
        file: file.map(str::to_owned),
        stamp: entry.stamp.map(|stamp| (stamp.bytes, stamp.checksum)),
        draft: entry.draft.clone(),
        project: project.unwrap_or_default(),
    };
    let pretty = ron::ser::PrettyConfig::new()
        .new_line("\n")
        .indentor("  ")
        .escape_strings(false);
    // Writing plain structs into a string cannot fail.
    let body = ron::ser::to_string_pretty(&journal, pretty).unwrap_or_default();
    format!("{HEAD}{body}\n")
}

/// The entry in a text.
///
/// # Errors
/// In words, if it is no journal, a newer one, or damaged.
pub fn entry_from_text(text: &str) -> Result<Entry, String> {
    let journal: Journal = ron::from_str(text)
        .map_err(|error| format!("damaged at line {}", error.span.start.line))?;
    if journal.format != FORMAT {
        return Err("it is something else".into());
    }
    if journal.version > VERSION {
        return Err("it was written by a newer Thumbwalk".into());
    }
    let document = if journal.project.is_empty() {
        None
    } else {
        let read = project_from_text(&journal.project);
        let (document, _) = read.map_err(|error| error.to_string())?;
        Some(Arc::new(document))
    };
    Ok(Entry {
        file: journal.file.map(PathBuf::from),
        stamp: journal
            .stamp
            .map(|(bytes, checksum)| Stamp { bytes, checksum }),
        document,
        draft: journal.draft,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_entry_comes_back_as_it_was_written() {
        let document = Document {
            title: "Mill \"walk\" \\ \"# no. 1".into(),
            lesson_text: "one\ntwo\n".into(),
            ..Document::default()
        };
        for entry in [
            Entry::default(),
            Entry {
                draft: "Dm7 | G7 \"#".into(),
                ..Entry::default()
            },
            Entry {
                file: Some("/music/mill.ron".into()),
                stamp: Some(Stamp::of(b"old")),
                document: Some(Arc::new(document)),
                draft: String::new(),
            },
        ] {
            let text = text_from_entry(&entry);
            assert_eq!(entry_from_text(&text).as_ref(), Ok(&entry), "{text}");
        }
    }

    #[test]
    fn what_is_no_entry_is_refused_in_words() {
        for (text, why) in [
            ("", "damaged at line 1"),
            (
                "Journal(format: \"other\", version: 1)",
                "it is something else",
            ),
            (
                "Journal(format: \"thumbwalk-unsaved-work\", version: 2)",
                "it was written by a newer Thumbwalk",
            ),
        ] {
            assert_eq!(entry_from_text(text), Err(why.into()));
        }
    }
}
