//! Tells the slots of a tune of each other: which one is heard after a slot where that is not the
//! one written after it, where a chord is heard to begin, where another one follows, and which moves
//! a slot has by that. Never looks at a note.

use super::problem::LineBar;
use super::problem::Slot;
use super::rung::SlotKind;
use crate::theory::Chord;
use crate::theory::MoveSet;
use crate::theory::ThumbMove;
use std::sync::Arc;

/// The first slot again, as the goal of the last one. If the tune ends on the chord it begins
/// with, that chord goes on.
pub fn beyond(slots: &[Slot], chords: &[Arc<Chord>], n_bars: usize) -> Option<Slot> {
    let (first, last) = (slots.first()?, slots.last()?);
    let chord = |slot: &Slot| chords.get(slot.span?);
    let goes_on = chord(first)? == chord(last)?;
    Some(Slot {
        bar: n_bars,
        span: if goes_on { last.span } else { first.span },
        first_of_chord: !goes_on,
        own_moves: false,
        locked: None,
        jumps_to: None,
        ..first.clone()
    })
}

/// Tells each slot of the one heard after it, and which moves its bar's rung or its player allows
/// there.
pub fn link(slots: &mut [Slot], after: &mut Option<Slot>, bars: &[LineBar], chords: &[Arc<Chord>]) {
    jump(slots, bars);
    begin_where_heard(slots, chords);
    let chord = |slot: &Slot| chords.get(slot.span?);
    let changes: Vec<bool> = (0..slots.len())
        .map(|index| {
            let (Some(here), Some(next)) = (slots.get(index), heard_after(slots, after, index))
            else {
                return false;
            };
            here.span.is_some() && next.span.is_some() && chord(here) != chord(next)
        })
        .collect();
    for (slot, change) in slots.iter_mut().zip(changes) {
        slot.last_before_change = change;
    }
    if let Some(goal) = after {
        goal.allowed = MoveSet::ROOTS;
    }
    let kinds: Vec<SlotKind> = (places_in_bar(slots).into_iter().enumerate())
        .zip(slots.iter())
        .map(|((index, (number, n_of_chord)), slot)| {
            // A bar that begins with an approach is nothing to lead to.
            let next = heard_after(slots, after, index);
            let next = next.filter(|next| next.span.is_some() && !next.last_before_change);
            let over = |next: &Slot| slot.jumps_to.is_some() || next.bar != slot.bar;
            SlotKind {
                begins: slot.first_of_chord || slot.first_of_bar && !slot.last_before_change,
                leads_to_change: slot.last_before_change,
                leads_over_bar: slot.span.is_some() && next.is_some_and(over),
                second_of_four: number == 1 && n_of_chord >= 4,
                of_two: n_of_chord == 2,
            }
        })
        .collect();
    for (slot, kind) in slots.iter_mut().zip(kinds) {
        let own = bars.get(slot.bar).and_then(|bar| bar.moves);
        slot.allowed = match slot.span {
            Some(_) => own.unwrap_or_else(|| slot.rung.allowed(kind)),
            None => MoveSet::of(&[ThumbMove::Rest]),
        };
    }
}

/// The slot heard after another, the first time that one is played.
fn heard_after<'a>(slots: &'a [Slot], after: &'a Option<Slot>, index: usize) -> Option<&'a Slot> {
    match slots.get(index)?.jumps_to {
        Some(next) => slots.get(next),
        None => slots.get(index + 1).or(after.as_ref()),
    }
}

/// The last slot of a bar that leads elsewhere goes to the first slot from there on.
fn jump(slots: &mut [Slot], bars: &[LineBar]) {
    for (number, bar) in bars.iter().enumerate() {
        let Some(goal) = bar.leads_to else { continue };
        let next = slots.partition_point(|slot| slot.bar < goal);
        let behind = slots.partition_point(|slot| slot.bar <= number);
        let found = next < slots.len();
        let last = behind.checked_sub(1).and_then(|last| slots.get_mut(last));
        if let Some(last) = last.filter(|last| last.bar == number && found) {
            last.jumps_to = Some(next);
        }
    }
}

/// A chord is heard to begin where another one is heard before it, and behind a bar that leads
/// elsewhere.
fn begin_where_heard(slots: &mut [Slot], chords: &[Arc<Chord>]) {
    let chord = |slot: &Slot| chords.get(slot.span?);
    let mut begins = Vec::new();
    for (index, slot) in slots.iter().enumerate() {
        let Some(next) = slot.jumps_to else { continue };
        begins.push(index + 1);
        if slots.get(next).and_then(chord) != chord(slot) {
            begins.push(next);
        }
    }
    for index in begins {
        if let Some(slot) = slots.get_mut(index) {
            slot.first_of_chord |= slot.span.is_some();
        }
    }
}

/// For each slot: which one of its chord's slots in this bar it is, and how many those are.
fn places_in_bar(slots: &[Slot]) -> Vec<(usize, usize)> {
    let same = |a: &Slot, b: &Slot| a.bar == b.bar && a.span == b.span;
    let groups = slots.chunk_by(|a, b| same(a, b) && !b.first_of_chord);
    groups
        .flat_map(|group| (0..group.len()).map(|number| (number, group.len())))
        .collect()
}
