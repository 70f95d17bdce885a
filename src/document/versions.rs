//! Versions of a tune that were kept beside it, each a whole document under a name, to be compared
//! with and gone back to. They travel in the project. A kept version keeps none itself.

use super::edit::EditError;
use super::types::Document;
use std::sync::Arc;

/// The most versions a project keeps.
pub const MAX_VERSIONS: usize = 24;

/// A document that was kept.
#[derive(Clone, PartialEq, Debug)]
pub struct KeptVersion {
    /// What it is called; no other version of the project is called so.
    pub name: String,
    /// The tune as it was; without versions of its own.
    pub document: Arc<Document>,
}

impl Document {
    /// The name a version gets that is kept under this one: the same, with a number if it is taken;
    /// `Version 1` and so on without a name.
    #[must_use]
    pub fn free_version_name(&self, wanted: &str) -> String {
        let wanted = wanted.trim();
        let is_free = |name: &str| self.versions.iter().all(|kept| kept.name != name);
        if !wanted.is_empty() && is_free(wanted) {
            return wanted.to_owned();
        }
        let (stem, from) = if wanted.is_empty() {
            ("Version", 1)
        } else {
            (wanted, 2)
        };
        // One number more than there are versions is enough to find a free one.
        let numbers = from..=from + self.versions.len();
        let mut names = numbers.map(|number| format!("{stem} {number}"));
        names.find(|name| is_free(name)).unwrap_or_default()
    }

    pub(super) fn keep_version(&mut self, wanted: &str) -> Result<(), EditError> {
        if self.versions.len() >= MAX_VERSIONS {
            return Err(EditError::TooManyVersions);
        }
        let name = self.free_version_name(wanted);
        let document = Self {
            versions: Vec::new(),
            ..self.clone()
        };
        self.versions.push(KeptVersion {
            name,
            document: Arc::new(document),
        });
        Ok(())
    }

    pub(super) fn drop_version(&mut self, number: usize) -> Result<(), EditError> {
        if number >= self.versions.len() {
            return Err(EditError::NoSuchVersion);
        }
        self.versions.remove(number);
        Ok(())
    }

    /// Becomes another document; what was kept stays.
    pub(super) fn become_document(&mut self, other: &Self) {
        *self = Self {
            versions: std::mem::take(&mut self.versions),
            ..other.clone()
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Edit;

    fn after(document: &Document, edit: &Edit) -> Document {
        document.apply(edit).expect("it fits")
    }

    #[test]
    fn versions_are_kept_under_names_of_their_own_and_taken_back() {
        let first = Document {
            title: "First".into(),
            ..Document::default()
        };
        let mut tune = first.clone();
        for wanted in ["", "", "With Ann", "With Ann", "  "] {
            tune = after(&tune, &Edit::KeepVersion(wanted.into()));
        }
        let names: Vec<&str> = tune.versions.iter().map(|v| v.name.as_str()).collect();
        let expected = [
            "Version 1",
            "Version 2",
            "With Ann",
            "With Ann 2",
            "Version 3",
        ];
        assert_eq!(names, expected);
        assert!(tune.versions.iter().all(|v| *v.document == first));
        tune = after(&tune, &Edit::SetTitle("Second".into()));
        tune = after(&tune, &Edit::DropVersion(0));
        let back = Edit::TakeDocument {
            document: Arc::clone(&tune.versions[0].document),
            label: "Take Version 2".into(),
        };
        let taken = after(&tune, &back);
        assert_eq!(taken.title, "First");
        assert_eq!(taken.versions, tune.versions, "what was kept stays");
    }

    #[test]
    fn there_is_an_end_to_keeping_and_no_version_beyond_the_last() {
        let mut tune = Document::default();
        for _ in 0..MAX_VERSIONS {
            tune = after(&tune, &Edit::KeepVersion(String::new()));
        }
        let more = tune.apply(&Edit::KeepVersion(String::new()));
        assert_eq!(more, Err(EditError::TooManyVersions));
        let missing = tune.apply(&Edit::DropVersion(MAX_VERSIONS));
        assert_eq!(missing, Err(EditError::NoSuchVersion));
    }
}
