//! The written thumb line of a document: asks the writer for it and puts its notes into the
//! arranger's bars, each at its own pitch. What the user decided is locked; where that and a rule
//! are at odds the decision stands, and the conflict becomes a finding.

use crate::arrange::BarPlan;
use crate::arrange::Finding;
use crate::arrange::FindingKind;
use crate::arrange::Fix;
use crate::arrange::Place;
use crate::arrange::Remedy;
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
use crate::thumb::WayOut;

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
    let finding = |conflict| finding(&problem, conflict);
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

/// What is at odds, with the ways out of it as remedies.
fn finding(problem: &LineProblem, conflict: thumb::Conflict) -> Finding {
    let place = Place {
        bar: conflict.bar,
        at: conflict.at,
    };
    let mut remedies: Vec<Remedy> = Vec::new();
    for way in &conflict.ways {
        remedies.extend(remedy(problem, place, *way));
    }
    remedies.push(Remedy::advice("choose another move for this beat"));
    Finding {
        kind: FindingKind::BrokenRule,
        place,
        message: conflict.message,
        remedies,
    }
}

/// A way out of a conflict in words and as a fix; `place` is where the conflict is reported.
fn remedy(problem: &LineProblem, place: Place, way: WayOut) -> Option<Remedy> {
    let place_of = |slot: usize| {
        let slot = problem.slot(slot)?;
        Some(Place {
            bar: slot.bar,
            at: slot.at,
        })
    };
    let allow = |bar: usize| {
        let words = format!("allow all moves in bar {}", bar + 1);
        Remedy::click(words, Fix::AllowAllMoves { bar })
    };
    match way {
        WayOut::Unlock { slot } => {
            let there = place_of(slot)?;
            let words = if there == place {
                "leave this beat to the tool".into()
            } else {
                format!(
                    "leave bar {}, {} to the tool",
                    there.bar + 1,
                    beat(there.at)
                )
            };
            Some(Remedy::click(words, Fix::LeaveThumb(there)))
        }
        WayOut::Excuse { rule, .. } => Some(Remedy::click(
            format!("switch off \u{201c}{}\u{201d}", rule.words()),
            Fix::SwitchRuleOff(rule),
        )),
        WayOut::Allow { slot } => Some(allow(place_of(slot)?.bar)),
        WayOut::FreeBar { bar } => {
            // Where the line ends in a bar, the next one may be the reason.
            let near = [Some(bar), Some(bar + 1), bar.checked_sub(1)];
            let has_lock = |bar: &usize| {
                let mut slots = problem.slots.iter().filter(|slot| slot.bar == *bar);
                slots.any(|slot| slot.locked.is_some())
            };
            let locked = near.into_iter().flatten().find(has_lock);
            Some(locked.map_or_else(
                || allow(bar),
                |bar| {
                    let words = format!("leave all of bar {} to the tool", bar + 1);
                    Remedy::click(words, Fix::UnlockBar { bar })
                },
            ))
        }
    }
}

/// `beat 4`, `after beat 2`.
fn beat(at: Ticks) -> String {
    let after = if at.within_beat() > 0 { "after " } else { "" };
    format!("{after}beat {}", at.beat_idx() + 1)
}
