//! What all readers of other programs' files share: what may be chosen, what comes out, and why a
//! file cannot be taken at all.

use super::notice::Notice;
use crate::document::Document;
use std::fmt;

/// What the user chose of a file that leaves a choice.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Choice {
    /// The part or track that holds the tune, from 0; `None` leaves it to the reader.
    pub part: Option<usize>,
    /// The grid that played notes are brought to; `None` takes the one that fits best.
    pub grid: Option<Grid>,
}

/// The finest places that played notes are brought to.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Grid {
    /// Eighth notes.
    Eighths,
    /// Three eighths in the time of two.
    Triplets,
    /// Sixteenth notes.
    Sixteenths,
}

impl Grid {
    /// Every grid, coarsest first.
    pub const ALL: [Self; 3] = [Self::Eighths, Self::Triplets, Self::Sixteenths];

    /// A stable ASCII word for the command line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Eighths => "8",
            Self::Triplets => "8t",
            Self::Sixteenths => "16",
        }
    }

    /// The grid with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|grid| grid.word() == word)
    }

    /// What messages call it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Eighths => "eighths",
            Self::Triplets => "triplets",
            Self::Sixteenths => "sixteenths",
        }
    }
}

/// A part or track of a file.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct PartInfo {
    /// Its name, as the file has it, or its number.
    pub name: String,
    /// How many bars it has.
    pub bars: usize,
    /// How many notes.
    pub notes: usize,
    /// How many chord symbols.
    pub chords: usize,
}

impl fmt::Display for PartInfo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let plural = |n: usize| if n == 1 { "" } else { "s" };
        write!(
            f,
            "{}: {} bar{}, {} note{}, {} chord symbol{}",
            self.name,
            self.bars,
            plural(self.bars),
            self.notes,
            plural(self.notes),
            self.chords,
            plural(self.chords),
        )
    }
}

/// What came out of a file.
#[derive(Clone, PartialEq, Debug)]
pub struct Imported {
    /// The document.
    pub document: Document,
    /// Everything that was dropped, rounded or guessed.
    pub notices: Vec<Notice>,
    /// The parts or tracks there are.
    pub parts: Vec<PartInfo>,
    /// The one that was taken, from 0.
    pub taken: usize,
}

/// Why a file cannot be taken: where, what, and what to do.
#[derive(Clone, PartialEq, Eq, Hash, Debug, thiserror::Error)]
#[error("{}{message}", place_words(place))]
pub struct ImportError {
    /// `line 3, column 7`, `bar 12`; may be empty.
    pub place: String,
    /// What is wrong and what to do.
    pub message: String,
}

fn place_words(place: &str) -> String {
    if place.is_empty() {
        String::new()
    } else {
        format!("{place}: ")
    }
}

impl ImportError {
    /// About the whole file.
    #[must_use]
    pub fn whole(message: impl Into<String>) -> Self {
        Self {
            place: String::new(),
            message: message.into(),
        }
    }

    /// About a place in it.
    #[must_use]
    pub fn at(place: impl Into<String>, message: impl Into<String>) -> Self {
        Self {
            place: place.into(),
            message: message.into(),
        }
    }
}

/// A text of a file as one line that can be shown and saved: no control characters, at most 200
/// characters.
pub(super) fn one_line(text: &str) -> String {
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || c.is_control())
        .filter(|word| !word.is_empty())
        .collect();
    words.join(" ").chars().take(200).collect()
}
