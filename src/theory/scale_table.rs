//! The scales that jazz players think of over chords, as degrees above the chord's root, and which
//! of them are usual over which kind of chord. A table and nothing else.
//!
//! Source: common practice of jazz pedagogy (chord-scale theory as taught in college harmony
//! courses); scale contents from memory and held against published pitch sets in the tests. Two
//! rows are our own choice and marked so.

use super::degree::Degree;
use super::scale::Quality;

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

/// The usual scales over a kind of chord, and whether the key decides between them (else the
/// first that holds the chord is taken). Equal claims go to the earlier one.
pub const USUAL: &[(Quality, bool, &[&str])] = &[
    (Quality::Major, true, &["ionian", "lydian"]),
    (
        Quality::MajorSharpFifth,
        false,
        &["lydian augmented", "whole tone"],
    ),
    (Quality::Minor, true, &["dorian", "aeolian", "phrygian"]),
    // A sixth or a major seventh over a minor triad is the sound of the tonic minor.
    (
        Quality::MinorTonic,
        false,
        &["melodic minor", "dorian", "harmonic minor"],
    ),
    (
        Quality::Dominant,
        true,
        &[
            "mixolydian",
            "mixolydian b13",
            "phrygian dominant",
            "lydian dominant",
        ],
    ),
    (
        Quality::DominantFlatNinth,
        true,
        &["phrygian dominant", "half-whole diminished", "altered"],
    ),
    (
        Quality::DominantSharpNinth,
        false,
        &["half-whole diminished", "altered"],
    ),
    (
        Quality::DominantSharpEleventh,
        false,
        &["lydian dominant", "half-whole diminished", "altered"],
    ),
    (
        Quality::DominantSharpFifth,
        false,
        &["whole tone", "altered", "mixolydian b13"],
    ),
    // Ours: a bare flat fifth is heard as a raised eleventh without the fifth.
    (
        Quality::DominantFlatFifth,
        false,
        &["whole tone", "lydian dominant", "altered"],
    ),
    (
        Quality::Altered,
        false,
        &["altered", "half-whole diminished", "whole tone"],
    ),
    (
        Quality::Suspended,
        true,
        &["mixolydian", "dorian", "dorian b2", "phrygian"],
    ),
    (
        Quality::HalfDiminished,
        true,
        &["locrian", "locrian natural 9"],
    ),
    (
        Quality::Diminished,
        false,
        &["whole-half diminished", "locrian"],
    ),
    // Ours: a chord without third and seventh takes the key's own notes.
    (
        Quality::Open,
        true,
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
