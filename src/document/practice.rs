//! The ladder of a tune: rungs from easy to hard, each of which says what the arrangement may use on
//! it, and the tempi that were reached. A document without rungs of its own has the usual ones.
//! Knows nothing of arrangements: what a rung costs is measured elsewhere.

use super::types::Document;
use super::types::Walk;
use crate::theory::MoveSet;

/// The most rungs a ladder can have.
pub const MAX_RUNGS: usize = 24;

/// One rung.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LadderRung {
    /// What it is called.
    pub name: String,
    /// How the thumb walks on it.
    pub walk: Walk,
    /// The moves the thumb may use, if not all those of its walk.
    pub moves: Option<MoveSet>,
    /// Whether the fingers slide into every other chord where the hand can.
    pub slides: bool,
    /// Whether the tune is played on top.
    pub tune: bool,
    /// Words for the student.
    pub advice: String,
    /// Tempi reached, in beats per minute, the latest last.
    pub reached: Vec<u16>,
}

/// A rung in the usual ladder: name, walk, slides, tune, words for the student.
type Usual = (&'static str, Walk, bool, bool, &'static str);

/// The usual ladder, after the usual order of lessons (our own choice).
const USUAL: [Usual; 6] = [
    (
        "Roots",
        Walk::Roots,
        false,
        false,
        "Let the thumb walk alone first, one root on every beat, until it never hurries. Then add the chords between.",
    ),
    (
        "Approach on the last beat",
        Walk::Plain,
        false,
        false,
        "The last beat before a new chord leads into it from a semitone away. Say where it goes before you play it.",
    ),
    (
        "Approaches on two beats",
        Walk::TwoApproaches,
        false,
        false,
        "Two beats of the bar lean towards what follows, one from below and one from above. Keep the chord ringing while the thumb moves.",
    ),
    (
        "Runs",
        Walk::Runs,
        false,
        false,
        "The thumb walks along the scale from chord tone to chord tone. Listen to where the run wants to arrive.",
    ),
    (
        "Slides and mixed moves",
        Walk::Mixed,
        true,
        false,
        "Everything together. Slide with a loose hand: the fingers keep their strings and the weight moves the arm.",
    ),
    (
        "Tune on top",
        Walk::Plain,
        false,
        true,
        "Sing the tune and let it speak louder than the chord under it. The thumb goes on walking quietly.",
    ),
];

/// The usual ladder; its last rung only for a document that has a tune.
#[must_use]
pub fn usual_ladder(has_tune: bool) -> Vec<LadderRung> {
    let rung = |(name, walk, slides, tune, advice): Usual| LadderRung {
        name: name.into(),
        walk,
        moves: None,
        slides,
        tune,
        advice: advice.into(),
        reached: Vec::new(),
    };
    let fits = |(.., tune, _): &Usual| has_tune || !tune;
    USUAL.into_iter().filter(fits).map(rung).collect()
}

impl Document {
    /// The rungs of its ladder: its own, else the usual ones.
    #[must_use]
    pub fn ladder(&self) -> Vec<LadderRung> {
        if self.rungs.is_empty() {
            usual_ladder(self.has_tune())
        } else {
            self.rungs.clone()
        }
    }
}
