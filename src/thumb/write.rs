//! Writes a line: exact constrained sampling, so that what a rule forbids cannot happen.
//!
//! The layers hold every state a line can be in. From the back it is found out, bar by bar, which
//! states can be completed and whether with one or with several different bars. Then the line is
//! drawn from the front by weight and seed among the notes that can be completed; it never has to
//! go back. If nothing can be completed there is no line at all, and the place is named. Works on
//! integers only.

use super::bars::Bars;
use super::conflict::Conflict;
use super::conflict::WayOut;
use super::draw;
use super::layers;
use super::line::Line;
use super::obstacle;
use super::problem::LineProblem;
use crate::theory::Rule;

/// Writes the line of a problem's seed.
///
/// # Errors
/// If no line obeys all locks and rules: the bar, what stands against what, and ways out.
pub fn write(problem: &LineProblem) -> Result<Line, Conflict> {
    let range = 0..problem.n_slots();
    let layers = layers::layers(problem, range).map_err(|slot| obstacle::at(problem, slot))?;
    let bars = Bars::new(problem, &layers);
    let onward = bars
        .onward()
        .map_err(|bar| obstacle::repeated(problem, bars.range(bar + 1)))?;
    Ok(Line::of(problem, draw::notes(&bars, &onward)))
}

/// Writes a line in any case. Where locks and rules are at odds, the lock stands and the rule is
/// excused at that place. Where the moves that the player chose for a bar leave no line, the rules
/// stand and all moves are allowed at one place more; but if nothing else is left, a bar may be
/// like the one before. The conflicts tell where that was done. If no line can begin where the one
/// before it has led, it begins elsewhere.
#[must_use]
pub fn write_anyway(problem: &LineProblem) -> (Line, Vec<Conflict>) {
    let mut eased = problem.clone();
    let mut conflicts: Vec<Conflict> = Vec::new();
    loop {
        match write(&eased) {
            Ok(line) => return (line, conflicts),
            Err(conflict) => {
                let anywhere = LineProblem {
                    begins_at: None,
                    ..eased.clone()
                };
                if eased.begins_at.is_some() && write(&anywhere).is_ok() {
                    eased = anywhere;
                    continue;
                }
                let way = nearest(&eased, &conflict.ways);
                let repeated = conflicts
                    .iter()
                    .filter(|known| known.bar == conflict.bar)
                    .count();
                match way {
                    Some(way) if repeated < Rule::ALL.len() => way.take(&mut eased),
                    _ => WayOut::FreeBar { bar: conflict.bar }.take(&mut eased),
                }
                conflicts.push(conflict);
            }
        }
    }
}

/// The way that is taken unasked.
fn nearest(problem: &LineProblem, ways: &[WayOut]) -> Option<WayOut> {
    let find = |wanted: &dyn Fn(&WayOut) -> bool| ways.iter().copied().find(|way| wanted(way));
    let fresh_bars =
        |way: &WayOut| matches!(way, WayOut::Excuse { rule, .. } if *rule == Rule::FreshBars);
    find(&fresh_bars)
        .or_else(|| find(&|way| way.is_for_own_moves(problem)))
        .or_else(|| find(&|way| matches!(way, WayOut::Excuse { .. })))
        .or_else(|| ways.first().copied())
}
