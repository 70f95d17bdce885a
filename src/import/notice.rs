//! Notices of importers: a place and a sentence for each thing that was dropped, rounded or
//! guessed. Importers collect them and go on; they are shown, never logged away.

use std::fmt;

/// One thing an importer could not take over as it was.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Notice {
    /// Where in the source: `line 3`, `bar 12`; may be empty.
    pub place: String,
    /// What happened, as a sentence without a full stop.
    pub message: String,
}

impl Notice {
    /// A notice about a place.
    #[must_use]
    pub fn new(place: impl Into<String>, message: impl Into<String>) -> Self {
        Self {
            place: place.into(),
            message: message.into(),
        }
    }
}

impl fmt::Display for Notice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.place.is_empty() {
            f.write_str(&self.message)
        } else {
            write!(f, "{}: {}", self.place, self.message)
        }
    }
}
