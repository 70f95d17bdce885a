//! The written line: a move and an exact pitch for every slot, and how much its bars differ.
//! Plain values; the arranger finds strings and fingers for exactly these pitches.

use super::problem::LineProblem;
use crate::theory::Midi;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use std::collections::BTreeSet;

/// One note of the line.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct LineNote {
    /// The bar, counted from 0.
    pub bar: usize,
    /// Where in the bar.
    pub at: Ticks,
    /// What the note is for.
    pub thumb_move: ThumbMove,
    /// The pitch; `None` for a ghost or a rest.
    pub pitch: Option<Midi>,
    /// How it is written; `None` without a pitch.
    pub spelling: Option<Spelling>,
}

/// How much the bars of a line differ in their moves. Bars without a chord do not count.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Variety {
    /// Bars with a chord.
    pub n_bars: usize,
    /// Different bars among them.
    pub n_patterns: usize,
    /// Neighbouring bars with the same moves.
    pub n_repeated: usize,
}

impl Variety {
    /// Different bars of a hundred bars; 100 if there is none.
    #[must_use]
    pub const fn percent(self) -> usize {
        match (self.n_patterns * 100).checked_div(self.n_bars) {
            Some(percent) => percent,
            None => 100,
        }
    }
}

/// A whole line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// One note for each slot of the problem.
    pub notes: Vec<LineNote>,
    /// How much its bars differ.
    pub variety: Variety,
    /// The pitch it goes to after its last note, if the tune begins again there.
    pub leads_to: Option<Midi>,
}

impl Line {
    pub(super) fn of(problem: &LineProblem, mut notes: Vec<LineNote>) -> Self {
        let beyond = notes.get(problem.slots.len());
        // A tune that ends by going back to its first bar leads there as well.
        let goes_back = problem
            .slots
            .last()
            .is_some_and(|slot| slot.jumps_to == Some(0));
        let beyond = beyond.or_else(|| notes.first().filter(|_| goes_back));
        let leads_to = beyond.and_then(|note| note.pitch);
        notes.truncate(problem.slots.len());
        let with_chord: BTreeSet<usize> = problem
            .slots
            .iter()
            .filter(|slot| slot.span.is_some())
            .map(|slot| slot.bar)
            .collect();
        let variety = variety(&notes, &with_chord);
        Self {
            notes,
            variety,
            leads_to,
        }
    }

    /// The note at a place.
    #[must_use]
    pub fn note(&self, bar: usize, at: Ticks) -> Option<&LineNote> {
        let found = self
            .notes
            .binary_search_by_key(&(bar, at), |note| (note.bar, note.at));
        self.notes.get(found.ok()?)
    }
}

fn variety(notes: &[LineNote], counted: &BTreeSet<usize>) -> Variety {
    let bars = notes.chunk_by(|a, b| a.bar == b.bar);
    let patterns: Vec<(usize, Vec<ThumbMove>)> = bars
        .filter_map(|bar| {
            let number = bar.first()?.bar;
            let moves = bar.iter().map(|note| note.thumb_move).collect();
            counted.contains(&number).then_some((number, moves))
        })
        .collect();
    let neighbours = patterns.iter().zip(patterns.iter().skip(1));
    let same = neighbours.filter(|((a, moves), (b, others))| a + 1 == *b && moves == others);
    let different: BTreeSet<&Vec<ThumbMove>> = patterns.iter().map(|(_, moves)| moves).collect();
    Variety {
        n_bars: patterns.len(),
        n_patterns: different.len(),
        n_repeated: same.count(),
    }
}
