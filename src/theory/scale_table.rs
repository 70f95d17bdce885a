//! The scales that jazz players think of over chords, as degrees above the chord's root, and which
//! of them are usual over which kind of chord. A table and nothing else.
//!
//! Source: common practice of jazz pedagogy (chord-scale theory as taught in college harmony
//! courses); scale contents from memory and held against published pitch sets in the tests. Two
//! rows are our own choice and marked so.

use super::degree::Degree;
use super::scale::Quality;
use Choice::ByKey;
use Choice::ByKeyInside;
use Choice::First;

/// A scale of the table: its name and its degrees from the root upwards.
pub type Row = (&'static str, &'static [Degree]);

const fn d(number: u8, alter: i8) -> Degree {
    Degree::new(number, alter)
}

/// Every scale offered.
pub const SCALES: &[Row] = &[
    (
        "ionian",
        &[
            d(1, 0),
            d(2, 0),
            d(3, 0),
            d(4, 0),
            d(5, 0),
            d(6, 0),
            d(7, 0),
        ],
    ),
    (
        "dorian",
        &[
            d(1, 0),
            d(2, 0),
            d(3, -1),
            d(4, 0),
            d(5, 0),
            d(6, 0),
            d(7, -1),
        ],
    ),
    (
        "phrygian",
        &[
            d(1, 0),
            d(2, -1),
            d(3, -1),
            d(4, 0),
            d(5, 0),
            d(6, -1),
            d(7, -1),
        ],
    ),
    (
        "lydian",
        &[
            d(1, 0),
            d(2, 0),
            d(3, 0),
            d(4, 1),
            d(5, 0),
            d(6, 0),
            d(7, 0),
        ],
    ),
    (
        "mixolydian",
        &[
            d(1, 0),
            d(2, 0),
            d(3, 0),
            d(4, 0),
            d(5, 0),
            d(6, 0),
            d(7, -1),
        ],
    ),
    (
        "aeolian",
        &[
            d(1, 0),
            d(2, 0),
            d(3, -1),
            d(4, 0),
            d(5, 0),
            d(6, -1),
            d(7, -1),
        ],
    ),
    (
        "locrian",
        &[
            d(1, 0),
            d(2, -1),
            d(3, -1),
            d(4, 0),
            d(5, -1),
            d(6, -1),
            d(7, -1),
        ],
    ),
    (
        "melodic minor",
        &[
            d(1, 0),
            d(2, 0),
            d(3, -1),
            d(4, 0),
            d(5, 0),
            d(6, 0),
            d(7, 0),
        ],
    ),
    (
        "harmonic minor",
        &[
            d(1, 0),
            d(2, 0),
            d(3, -1),
            d(4, 0),
            d(5, 0),
            d(6, -1),
            d(7, 0),
        ],
    ),
    (
        "lydian augmented",
        &[
            d(1, 0),
            d(2, 0),
            d(3, 0),
            d(4, 1),
            d(5, 1),
            d(6, 0),
            d(7, 0),
        ],
    ),
    (
        "lydian dominant",
        &[
            d(1, 0),
            d(2, 0),
            d(3, 0),
            d(4, 1),
            d(5, 0),
            d(6, 0),
            d(7, -1),
        ],
    ),
    (
        "mixolydian b13",
        &[
            d(1, 0),
            d(2, 0),
            d(3, 0),
            d(4, 0),
            d(5, 0),
            d(6, -1),
            d(7, -1),
        ],
    ),
    (
        "phrygian dominant",
        &[
            d(1, 0),
            d(2, -1),
            d(3, 0),
            d(4, 0),
            d(5, 0),
            d(6, -1),
            d(7, -1),
        ],
    ),
    (
        "dorian b2",
        &[
            d(1, 0),
            d(2, -1),
            d(3, -1),
            d(4, 0),
            d(5, 0),
            d(6, 0),
            d(7, -1),
        ],
    ),
    (
        "locrian natural 9",
        &[
            d(1, 0),
            d(2, 0),
            d(3, -1),
            d(4, 0),
            d(5, -1),
            d(6, -1),
            d(7, -1),
        ],
    ),
    // Spelled by function: both ninths, the third, the raised eleventh as fifth.
    (
        "altered",
        &[
            d(1, 0),
            d(2, -1),
            d(2, 1),
            d(3, 0),
            d(5, -1),
            d(5, 1),
            d(7, -1),
        ],
    ),
    (
        "half-whole diminished",
        &[
            d(1, 0),
            d(2, -1),
            d(2, 1),
            d(3, 0),
            d(4, 1),
            d(5, 0),
            d(6, 0),
            d(7, -1),
        ],
    ),
    (
        "whole-half diminished",
        &[
            d(1, 0),
            d(2, 0),
            d(3, -1),
            d(4, 0),
            d(5, -1),
            d(6, -1),
            d(6, 0),
            d(7, 0),
        ],
    ),
    (
        "whole tone",
        &[d(1, 0), d(2, 0), d(3, 0), d(4, 1), d(5, 1), d(7, -1)],
    ),
];

/// How one of the usual scales over a kind of chord is chosen.
#[derive(Clone, Copy, Debug)]
pub enum Choice {
    /// The first that holds the chord.
    First,
    /// The one that leaves the key least, the earlier of equals.
    ByKey,
    /// So, if the root is a note of the key; else this one.
    ByKeyInside(&'static str),
}

/// The usual scales over a kind of chord, and how one of them is chosen.
pub const USUAL: &[(Quality, Choice, &[&str])] = &[
    (Quality::Major, ByKeyInside("lydian"), &["ionian", "lydian"]),
    (
        Quality::MajorSharpFifth,
        First,
        &["lydian augmented", "whole tone"],
    ),
    (
        Quality::Minor,
        ByKeyInside("dorian"),
        &["dorian", "aeolian", "phrygian"],
    ),
    // A sixth or a major seventh over a minor triad is the sound of the tonic minor.
    (
        Quality::MinorTonic,
        First,
        &["melodic minor", "dorian", "harmonic minor"],
    ),
    (
        Quality::Dominant,
        ByKeyInside("lydian dominant"),
        &[
            "mixolydian",
            "mixolydian b13",
            "phrygian dominant",
            "lydian dominant",
        ],
    ),
    (
        Quality::DominantFlatNinth,
        ByKey,
        &["phrygian dominant", "half-whole diminished", "altered"],
    ),
    (
        Quality::DominantSharpNinth,
        First,
        &["half-whole diminished", "altered"],
    ),
    (
        Quality::DominantSharpEleventh,
        First,
        &["lydian dominant", "half-whole diminished", "altered"],
    ),
    (
        Quality::DominantSharpFifth,
        First,
        &["whole tone", "altered", "mixolydian b13"],
    ),
    // Ours: a bare flat fifth is heard as a raised eleventh without the fifth.
    (
        Quality::DominantFlatFifth,
        First,
        &["whole tone", "lydian dominant", "altered"],
    ),
    (
        Quality::Altered,
        First,
        &["altered", "half-whole diminished", "whole tone"],
    ),
    (
        Quality::Suspended,
        ByKeyInside("mixolydian"),
        &["mixolydian", "dorian", "dorian b2", "phrygian"],
    ),
    (
        Quality::HalfDiminished,
        ByKey,
        &["locrian", "locrian natural 9"],
    ),
    (
        Quality::Diminished,
        First,
        &["whole-half diminished", "locrian"],
    ),
    // Ours: a chord without third and seventh takes the key's own notes.
    (
        Quality::Open,
        ByKey,
        &[
            "ionian",
            "mixolydian",
            "dorian",
            "aeolian",
            "lydian",
            "phrygian",
        ],
    ),
];
