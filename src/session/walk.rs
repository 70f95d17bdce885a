//! The written thumb line of a document: asks the writer for it and puts its notes into the
//! arranger's bars, each at its own pitch. What the user decided is locked; where that and a rule
//! are at odds the decision stands, and the conflict becomes a finding.

use crate::arrange::BarPlan;
use crate::arrange::Finding;
use crate::arrange::FindingKind;
use crate::arrange::Place;
use crate::arrange::ThumbPlan;
use crate::arrange::ThumbWish;
use crate::document::Document;
use crate::document::Walk;
use crate::theory::Midi;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::thumb;
use crate::thumb::LineBar;
use crate::thumb::LineProblem;
use crate::thumb::Lock;
use crate::thumb::Rung;

/// Semitones between the lowest and the highest note of a written line: from the lowest string to
/// about the fifth fret of the fourth.
const RANGE_SEMITONES: i32 = 15;

/// Writes the line of a document into its bars, if it wants one; returns what is at odds.
pub fn write_line(document: &Document, bars: &mut [BarPlan]) -> Vec<Finding> {
    let rung = match document.line.walk {
        Walk::Plain => return Vec::new(),
        Walk::TwoApproaches => Rung::TwoApproaches,
        Walk::Runs => Rung::Runs,
        Walk::Mixed => Rung::Mixed,
    };
    let line_bars: Vec<LineBar> = bars.iter().map(|bar| line_bar(document, bar)).collect();
    let mut problem = LineProblem::new(document.key, document.meter, &line_bars, rung, false);
    problem.seed = document.line.seed;
    problem.range = range_of(document);
    let (line, conflicts) = thumb::write_anyway(&problem);
    for note in &line.notes {
        let slots = bars.get_mut(note.bar).map(|bar| &mut bar.thumb);
        let slot = slots.and_then(|slots| slots.iter_mut().find(|slot| slot.at == note.at));
        if let Some(slot) = slot.filter(|slot| !is_placed(slot.wish)) {
            slot.wish = match note.pitch {
                Some(pitch) => ThumbWish::Note(note.thumb_move, pitch),
                None => ThumbWish::Move(note.thumb_move),
            };
        }
    }
    conflicts.into_iter().map(finding).collect()
}

const fn is_placed(wish: ThumbWish) -> bool {
    matches!(wish, ThumbWish::Place(..) | ThumbWish::Kept(..))
}

fn line_bar(document: &Document, bar: &BarPlan) -> LineBar {
    let lock = |slot: &ThumbPlan| match slot.wish {
        ThumbWish::Auto => None,
        ThumbWish::Move(thumb_move) => Some(Lock::Move(thumb_move)),
        ThumbWish::Note(thumb_move, pitch) => Some(Lock::Both(thumb_move, pitch)),
        ThumbWish::Kept(thumb_move, string, fret) => {
            let pitch = document.instrument.pitch(string, fret);
            pitch.map(|pitch| Lock::Both(thumb_move, pitch))
        }
        ThumbWish::Place(string, fret) => {
            let pitch = document.instrument.pitch(string, fret);
            pitch.map_or(Some(Lock::Move(ThumbMove::Rest)), |pitch| {
                Some(Lock::Pitch(pitch))
            })
        }
    };
    let chords = bar.chords.iter().map(|plan| (plan.at, plan.chord.clone()));
    let slots = bar.thumb.iter().map(|slot| (slot.at, lock(slot)));
    LineBar {
        length: bar.length,
        chords: chords.collect::<Vec<(Ticks, _)>>(),
        slots: slots.collect(),
    }
}

/// From the lowest open string upwards, at least as far as the usual range of a bass line.
fn range_of(document: &Document) -> (Midi, Midi) {
    let capo = i32::from(document.instrument.capo);
    let open = document
        .instrument
        .tuning
        .open()
        .iter()
        .map(|open| open.number());
    let lowest = open.min().map_or(40, i32::from) + capo;
    (
        Midi::clamped(lowest),
        Midi::clamped(lowest.max(40) + RANGE_SEMITONES),
    )
}

fn finding(conflict: thumb::Conflict) -> Finding {
    Finding {
        kind: FindingKind::BrokenRule,
        place: Place {
            bar: conflict.bar,
            at: conflict.at,
        },
        message: conflict.message,
        remedy: "leave the beat to the tool again, or choose another move for it".into(),
    }
}
