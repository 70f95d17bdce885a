//! What the keys of the grid do: where the selection goes, and which edits a key makes. Pure
//! functions of the session; the shortcut table decides which key means what.

use super::fingers;
use super::layout::Rows;
use super::model;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Edit;
use crate::document::LineSettings;
use crate::document::ThumbCell;
use crate::document::Walk;
use crate::gui::shortcuts::Step;
use crate::session::Selection;
use crate::session::Session;
use crate::session::tune_entry::cursor_step;
use crate::theory::Ticks;

/// The selection after a step.
#[must_use]
pub fn step(session: &Session, rows: &Rows, step: Step) -> Selection {
    let from = *session.selection();
    let n_bars = session.document().n_bars();
    let last = n_bars.saturating_sub(1);
    let bar = from.place.bar.min(last);
    let at_start = |bar: usize| Selection {
        lane: from.lane,
        place: Place { bar, at: Ticks(0) },
        to_bar: None,
    };
    match step {
        Step::First => at_start(0),
        Step::Last => at_start(last),
        Step::BarBack => at_start(bar.saturating_sub(1)),
        Step::BarOn => at_start((bar + 1).min(last)),
        Step::Back | Step::On => Selection {
            place: next_place(session, &from, step == Step::On),
            to_bar: None,
            ..from
        },
        Step::Up => match from.lane {
            Lane::Thumb => lane(session, from, Lane::Fingers),
            Lane::Fingers if session.shows_tune() => lane(session, from, Lane::Tune),
            Lane::Fingers | Lane::Tune => row(session, rows, from, false),
        },
        Step::Down => match from.lane {
            Lane::Tune => lane(session, from, Lane::Fingers),
            Lane::Fingers => lane(session, from, Lane::Thumb),
            Lane::Thumb => row(session, rows, from, true),
        },
    }
}

/// The same place in another lane. Only the tune's has places between the columns.
fn lane(session: &Session, from: Selection, lane: Lane) -> Selection {
    let at = match lane {
        Lane::Tune => from.place.at,
        _ => model::slot_of(session.document().meter, from.place.at),
    };
    Selection {
        lane,
        place: Place { at, ..from.place },
        to_bar: None,
    }
}

fn next_place(session: &Session, from: &Selection, on: bool) -> Place {
    match from.lane {
        Lane::Tune => cursor_step(session.document(), session.tune_pen(), from.place, on),
        Lane::Fingers | Lane::Thumb => next_slot(session, from.place, on),
    }
}

/// To the lane that lies next in the row above or below; stays at the edge of the tune.
fn row(session: &Session, rows: &Rows, from: Selection, down: bool) -> Selection {
    let stay = lane(session, from, from.lane);
    let here = rows.row_of(from.place.bar);
    let there = if down {
        here.checked_add(1)
    } else {
        here.checked_sub(1)
    };
    let current = rows.rows.get(here);
    let target = there.and_then(|there| rows.rows.get(there));
    let (Some(current), Some(target)) = (current, target) else {
        return stay;
    };
    let top = session.lanes().first().copied().unwrap_or(Lane::Fingers);
    let column = from.place.bar.saturating_sub(current.first);
    let bar = target.first + column.min(target.count.saturating_sub(1));
    Selection {
        lane: if down { top } else { Lane::Thumb },
        place: Place {
            bar,
            at: last_slot_up_to(session, bar, from.place.at),
        },
        to_bar: None,
    }
}

fn last_slot_up_to(session: &Session, bar: usize, at: Ticks) -> Ticks {
    let document = session.document();
    model::slots(document.meter, document.bar_length(bar))
        .take_while(|slot| *slot <= at)
        .last()
        .unwrap_or_default()
}

fn next_slot(session: &Session, from: Place, on: bool) -> Place {
    let document = session.document();
    let slots: Vec<Ticks> = model::slots(document.meter, document.bar_length(from.bar)).collect();
    if on {
        if let Some(at) = slots.iter().find(|at| **at > from.at) {
            return Place { at: *at, ..from };
        }
        if from.bar + 1 < document.n_bars() {
            return Place {
                bar: from.bar + 1,
                at: Ticks(0),
            };
        }
        return from;
    }
    if let Some(at) = slots.iter().rev().find(|at| **at < from.at) {
        return Place { at: *at, ..from };
    }
    let Some(bar) = from.bar.checked_sub(1) else {
        return from;
    };
    let at = model::slots(document.meter, document.bar_length(bar)).last();
    Place {
        bar,
        at: at.unwrap_or_default(),
    }
}

/// The selection with its run of bars made longer or shorter at the far end.
#[must_use]
pub fn extend(session: &Session, on: bool) -> Selection {
    let from = *session.selection();
    let end = from.to_bar.unwrap_or(from.place.bar);
    let last = session.document().n_bars().saturating_sub(1);
    let end = if on {
        (end + 1).min(last)
    } else {
        end.saturating_sub(1)
    };
    Selection {
        to_bar: Some(end),
        ..from
    }
}

/// Decides the selected thumb slot.
#[must_use]
pub fn thumb(place: Place, cell: Option<ThumbCell>) -> Edit {
    Edit::SetThumb {
        bar: place.bar,
        at: place.at,
        cell,
    }
}

/// The settings that write the next thumb line: the next seed. A plain walk has only one line, so
/// it becomes the kind that varies least.
#[must_use]
pub fn another_line(line: &LineSettings) -> LineSettings {
    let walk = match line.walk {
        Walk::Roots | Walk::Plain => Walk::TwoApproaches,
        varied => varied,
    };
    LineSettings {
        walk,
        seed: line.seed.wrapping_add(1),
        ..line.clone()
    }
}

/// Leaves the selected cell to the tool again: the thumb's slot, or the strikes of the bar and the
/// slide into the slot.
#[must_use]
pub fn clear(session: &Session) -> Edit {
    let selection = session.selection();
    let place = selection.place;
    match selection.lane {
        Lane::Thumb => thumb(place, None),
        Lane::Fingers | Lane::Tune => {
            let document = session.document();
            let mut edits = fingers::strikes(document, place.bar, None);
            if fingers::slide_at(document, place).is_some() {
                edits.push(Edit::SetSlide {
                    bar: place.bar,
                    at: place.at,
                    slide: None,
                });
            }
            fingers::one_step(format!("Change plucks in bar {}", place.bar + 1), edits)
        }
    }
}
