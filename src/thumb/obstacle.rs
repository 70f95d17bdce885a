//! Finds what stands in the way of a line: the smallest stretch of slots that has none by itself,
//! and the single edits to it that let a line through, tried one by one from the nearest. So the
//! way out that is named is known to work. Never changes the problem it is asked about.

use super::bars::Bars;
use super::conflict::Conflict;
use super::conflict::WayOut;
use super::layers;
use super::problem::LineProblem;
use super::problem::Lock;
use super::problem::Slot;
use crate::theory::HouseStyle;
use crate::theory::Rule;
use std::ops::Range;

/// Slots after the place where lines end that may be the reason: a double approach looks two
/// slots ahead, and its goal one more.
const LOOK_AHEAD: usize = 3;

/// Slots taken along beyond those, so that approaches near the end of the stretch have a goal.
const MARGIN: usize = 5;

/// What is said where nothing but the allowed moves is to blame.
const NOTHING_FITS: &str = "none of the moves allowed here fits; allow others";

/// The conflict at the first slot that no line reaches.
pub fn at(problem: &LineProblem, dead: usize) -> Conflict {
    let end = (dead + LOOK_AHEAD + MARGIN).min(problem.n_slots());
    let start = narrowed(problem, dead, end);
    let near = (dead + LOOK_AHEAD + 1).min(end);
    let mut places: Vec<usize> = (start..near).collect();
    places.sort_by_key(|place| place.abs_diff(dead));
    let lets_through = |way: &WayOut| {
        let mut eased = problem.clone();
        way.take(&mut eased);
        gets_past(&eased, start..end, dead)
    };
    let first = |mut ways: &mut dyn Iterator<Item = WayOut>| {
        Iterator::find(&mut ways, |way| lets_through(way))
    };
    let locked = |place: &&usize| {
        problem
            .slot(**place)
            .is_some_and(|slot| slot.locked.is_some())
    };
    let mut unlocks = places
        .iter()
        .filter(locked)
        .map(|place| WayOut::Unlock { slot: *place });
    let mut excuses = places.iter().flat_map(|place| {
        // The range first: where it is too narrow, no other rule is to blame.
        let held = Rule::ALL.into_iter().rev().filter(|rule| {
            let slot = problem.slot(*place);
            slot.is_some_and(|slot| problem.holds(*rule, slot))
        });
        held.map(|rule| WayOut::Excuse { rule, slot: *place })
    });
    let mut allows = allows(problem, places.iter().copied());
    let found = [first(&mut unlocks), first(&mut excuses), first(&mut allows)];
    described(problem, dead, found.into_iter().flatten().collect())
}

/// Slots in which more moves could be allowed, those of bars whose moves the player chose first.
fn allows(
    problem: &LineProblem,
    places: impl Iterator<Item = usize>,
) -> impl Iterator<Item = WayOut> {
    let open = |place: &usize| {
        let slot = problem.slot(*place);
        slot.is_some_and(|slot| slot.locked.is_none() && slot.span.is_some())
    };
    let (own, others): (Vec<usize>, Vec<usize>) = places
        .filter(open)
        .partition(|place| problem.slot(*place).is_some_and(|slot| slot.own_moves));
    let all = own.into_iter().chain(others);
    all.map(|slot| WayOut::Allow { slot })
}

/// The conflict of a bar that cannot help being like the bar before it.
pub fn repeated(problem: &LineProblem, bar: Range<usize>) -> Conflict {
    let first = bar.start;
    let locked = |place: &usize| {
        problem
            .slot(*place)
            .is_some_and(|slot| slot.locked.is_some())
    };
    let before = first.saturating_sub(bar.len())..first;
    let lock = bar.clone().chain(before.clone()).find(locked);
    let excuse = WayOut::Excuse {
        rule: Rule::FreshBars,
        slot: first,
    };
    let unlock = lock.map(|slot| WayOut::Unlock { slot });
    let end = (bar.end + MARGIN).min(problem.n_slots());
    let lets_through = |way: &WayOut| {
        let mut eased = problem.clone();
        way.take(&mut eased);
        let layers = layers::layers(&eased, before.start..end);
        layers.is_ok_and(|layers| Bars::new(&eased, &layers).onward().is_ok())
    };
    let allow = allows(problem, bar.clone().chain(before.clone()))
        .filter(|way| way.is_for_own_moves(problem))
        .find(lets_through);
    let (number, at) = problem
        .slot(first)
        .map_or((0, crate::theory::Ticks(0)), |slot| (slot.bar, slot.at));
    let way = if lock.is_some() {
        "unlock a beat of one of them, ask for a riff or switch the rule off"
    } else {
        "allow more moves, ask for a riff or switch the rule off"
    };
    Conflict {
        bar: number,
        at,
        message: format!("nothing is left but the moves of the bar before; {way}"),
        ways: unlock.into_iter().chain([excuse]).chain(allow).collect(),
    }
}

/// Whether a line gets through a stretch, or well past the place where it ended before.
fn gets_past(problem: &LineProblem, stretch: Range<usize>, dead: usize) -> bool {
    layers::layers(problem, stretch).map_or_else(|end| end > dead + LOOK_AHEAD, |_| true)
}

/// The last beginning of a chord from which lines still end before `end`. Lines that begin there
/// are freer than those that come from before, so the reason lies within.
fn narrowed(problem: &LineProblem, dead: usize, end: usize) -> usize {
    let begins = |place: &usize| {
        let slot = problem.slot(*place);
        slot.is_some_and(|slot| slot.first_of_chord || slot.span.is_none())
    };
    let starts = (0..=dead).rev().filter(begins);
    let mut starts = starts.chain([0]);
    starts
        .find(|start| !gets_past(problem, *start..end, dead))
        .unwrap_or(0)
}

fn described(problem: &LineProblem, dead: usize, ways: Vec<WayOut>) -> Conflict {
    let unlock = ways.iter().find_map(|way| match way {
        WayOut::Unlock { slot } => Some(*slot),
        _ => None,
    });
    let excuse = ways.iter().find_map(|way| match way {
        WayOut::Excuse { rule, slot } => Some((*rule, *slot)),
        _ => None,
    });
    let allow = ways.iter().find_map(|way| match way {
        WayOut::Allow { slot } if way.is_for_own_moves(problem) => Some(*slot),
        _ => None,
    });
    let asks = |(rule, place): (Rule, usize)| asked(problem, rule, place);
    let lock = unlock.and_then(|place| problem.slot(place)?.locked);
    let message = match (lock, excuse) {
        (Some(lock), _) if allow.is_some() => format!(
            "none of the moves allowed here fits a beat near it, {}; allow others or unlock that \
             beat",
            lock_words(lock)
        ),
        (Some(lock), Some(rule)) => format!(
            "{}, but {}; unlock it or switch the rule off",
            lock_words(lock),
            asks(rule)
        ),
        (Some(lock), None) => format!("{}, which fits no note here; unlock it", lock_words(lock)),
        (None, Some((Rule::Range, _))) if allow.is_some() => NOTHING_FITS.into(),
        (None, Some((Rule::Range, _))) => "no note in the range fits here; widen the range".into(),
        (None, Some(rule)) => format!(
            "{}, but no note that is allowed here does; allow more moves or switch the rule off",
            asks(rule)
        ),
        (None, None) if ways.is_empty() => {
            "several locks and rules are at odds here; unlock the bar or switch rules off".into()
        }
        (None, None) => NOTHING_FITS.into(),
    };
    let place = allow.or(unlock).or(excuse.map(|(_, place)| place));
    let place = place.unwrap_or(dead);
    let slot = problem.slot(place).or_else(|| problem.slot(dead));
    let (bar, at) = slot.map_or((0, crate::theory::Ticks(0)), |slot| (slot.bar, slot.at));
    let ways = if ways.is_empty() {
        vec![WayOut::FreeBar { bar }]
    } else {
        ways
    };
    Conflict {
        bar,
        at,
        message,
        ways,
    }
}

fn asked(problem: &LineProblem, rule: Rule, place: usize) -> String {
    let next = problem.slot(place + 1);
    let chord = next.and_then(|slot: &Slot| problem.span(slot));
    match (rule, chord) {
        (Rule::ApproachBeforeChange, Some(span)) => {
            format!(
                "{} to {}",
                rule.asks(),
                span.chord.printed(HouseStyle::Letters)
            )
        }
        _ => rule.asks().into(),
    }
}

fn lock_words(lock: Lock) -> String {
    match lock.thumb_move() {
        Some(thumb_move) => format!("locked on {}", thumb_move.with_article()),
        None => "locked on a note of your own".into(),
    }
}
