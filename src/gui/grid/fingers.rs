//! Edits of the fingers lane: strikes, slides into a slot, strikes ahead of a change. Pure
//! functions of the session, for the keys of the grid and for the left panel. A slide never stays
//! behind where no strike is.

use super::model;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Document;
use crate::document::Edit;
use crate::document::ThumbCell;
use crate::session::Session;
use crate::session::bars_words;
use crate::session::plucks_of;
pub use crate::session::strikes;
use crate::theory::Articulation;
use crate::theory::Harmony;
use crate::theory::Pluck;
use crate::theory::Slide;
use crate::theory::Sliding;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::thumb;
use std::ops::RangeInclusive;

/// The strikes of the fingers that a bar has now: its own, else the tune's or the usual ones.
#[must_use]
pub fn plucks(session: &Session, bar: usize) -> Vec<Pluck> {
    let document = session.document();
    let Some(written) = document.bar(bar) else {
        return Vec::new();
    };
    let mut plucks = plucks_of(document, written);
    plucks.retain(|pluck| has_chord(document, Place { bar, at: pluck.at }));
    plucks
}

/// Puts a strike at a place of a bar, changes it, or takes it away.
#[must_use]
pub fn pluck(session: &Session, place: Place, articulation: Option<Articulation>) -> Edit {
    pluck_in_bars(session, place.bar..=place.bar, place.at, articulation)
}

/// The same in several bars, in one step; bars that are too short are left alone.
#[must_use]
pub fn pluck_in_bars(
    session: &Session,
    bars: RangeInclusive<usize>,
    at: Ticks,
    articulation: Option<Articulation>,
) -> Edit {
    let label = format!(
        "Change plucks in {}",
        bars_words((*bars.start(), *bars.end()))
    );
    let document = session.document();
    let long_enough = bars.filter(|bar| at < document.bar_length(*bar));
    let edits = long_enough.flat_map(|bar| {
        let mut plucks = plucks(session, bar);
        let before = plucks.iter().find(|p| p.at == at);
        let ahead = before.is_some_and(|p| p.ahead);
        plucks.retain(|p| p.at != at);
        if let Some(articulation) = articulation {
            plucks.push(Pluck {
                ahead,
                ..Pluck::new(at, articulation)
            });
        }
        strikes(document, bar, Some(plucks))
    });
    one_step(label, edits.collect())
}

/// The slide into a place.
#[must_use]
pub fn slide_at(document: &Document, place: Place) -> Option<Slide> {
    let slides = &document.bar(place.bar)?.slides;
    let here = slides.iter().find(|(at, _)| *at == place.at);
    here.map(|(_, slide)| *slide)
}

/// Has the fingers or the whole grip slide into a place, or no longer. Where nothing is struck,
/// the same step puts a ringing strike.
#[must_use]
pub fn slide(session: &Session, place: Place, slide: Option<Slide>) -> Edit {
    let mut plucks = plucks(session, place.bar);
    let mut edits = Vec::new();
    if slide.is_some() && !plucks.iter().any(|pluck| pluck.at == place.at) {
        plucks.push(Pluck::new(place.at, Articulation::Ring));
        edits.extend(strikes(session.document(), place.bar, Some(plucks)));
    }
    edits.push(Edit::SetSlide {
        bar: place.bar,
        at: place.at,
        slide,
    });
    one_step(format!("Change slide in bar {}", place.bar + 1), edits)
}

/// Whether a slide can be asked for at a place: there must be a chord, and a whole grip slides
/// only where the thumb strikes with the fingers.
#[must_use]
pub fn can_slide(session: &Session, place: Place, slide: Slide) -> bool {
    let with_thumb = slide.what == Sliding::WholeGrip;
    has_chord(session.document(), place) && (!with_thumb || thumb_strikes(session, place))
}

/// The slide that follows the present one when one key steps through all of them: fingers from
/// below and above, the whole grip from below and above, none.
#[must_use]
pub fn next_slide(session: &Session, place: Place) -> Option<Slide> {
    let [grip_below, grip_above, below, above] = Slide::ALL;
    let order = [below, above, grip_below, grip_above];
    let now = slide_at(session.document(), place);
    let done = now.and_then(|now| order.iter().position(|slide| *slide == now));
    order
        .into_iter()
        .skip(done.map_or(0, |idx| idx + 1))
        .find(|slide| can_slide(session, place, *slide))
}

/// Whether the thumb strikes a note at a place: on a beat, with a chord, or where the user put
/// one, if it is neither a ghost nor a rest.
#[must_use]
pub fn thumb_strikes(session: &Session, place: Place) -> bool {
    let document = session.document();
    let Some(bar) = document.bar(place.bar) else {
        return false;
    };
    let decided = bar.thumb.iter().find(|(at, _)| *at == place.at);
    let chosen = decided.and_then(|(_, cell)| match cell {
        ThumbCell::Move(thumb_move) | ThumbCell::Kept(thumb_move, ..) => Some(*thumb_move),
        ThumbCell::Place(..) => None,
    });
    let played = || {
        let arrangement = session.arrangement()?;
        let mut notes = arrangement.notes_in_bar(place.bar);
        let note = notes.find(|n| n.lane == Lane::Thumb && n.place.at == place.at);
        note.and_then(|n| n.thumb_move)
    };
    let thumb_move = chosen.or_else(played);
    let silent = matches!(thumb_move, Some(ThumbMove::Ghost | ThumbMove::Rest));
    let slot = decided.is_some()
        || place.at.within_beat() == 0
        || bar.chords.iter().any(|chord| chord.at == place.at);
    slot && !silent
}

/// Whether a strike here can be made ahead, with the next chord's grip: on the last off-beat
/// before a written chord, where the thumb does not strike in between.
#[must_use]
pub fn can_be_ahead(document: &Document, place: Place) -> bool {
    let Some(bar) = document.bar(place.bar) else {
        return false;
    };
    let length = document.bar_length(place.bar);
    let next_slot = model::slots(document.meter, length).find(|at| *at > place.at);
    let follows = match next_slot {
        Some(at) => bar.chords.iter().find(|chord| chord.at == at),
        None => document
            .bar(place.bar + 1)
            .and_then(|next| next.chords.iter().find(|chord| chord.at == Ticks(0))),
    };
    let changes = follows.is_some_and(|chord| matches!(chord.harmony, Harmony::Chord(_)));
    let on_thumb = thumb::beats(length).contains(&place.at)
        || bar.chords.iter().any(|chord| chord.at == place.at)
        || bar.thumb.iter().any(|(at, _)| *at == place.at);
    changes && !on_thumb && place.at < length
}

/// Whether the strike at a place is made ahead.
#[must_use]
pub fn is_ahead(session: &Session, place: Place) -> bool {
    let plucks = plucks(session, place.bar);
    plucks
        .iter()
        .any(|pluck| pluck.at == place.at && pluck.ahead)
}

/// Makes the strike at a place one of the next chord, or of its own chord again; where nothing is
/// struck, a ringing strike is put. `None` where no strike can be ahead.
#[must_use]
pub fn toggle_ahead(session: &Session, place: Place) -> Option<Edit> {
    let ahead = !is_ahead(session, place);
    if ahead && !can_be_ahead(session.document(), place) {
        return None;
    }
    let mut plucks = plucks(session, place.bar);
    let before = plucks.iter().find(|pluck| pluck.at == place.at).copied();
    let pluck = before.unwrap_or_else(|| Pluck::new(place.at, Articulation::Ring));
    plucks.retain(|pluck| pluck.at != place.at);
    plucks.push(Pluck { ahead, ..pluck });
    let label = format!("Change plucks in bar {}", place.bar + 1);
    let edits = strikes(session.document(), place.bar, Some(plucks));
    Some(one_step(label, edits))
}

/// Whether a chord sounds at a place.
#[must_use]
pub fn has_chord(document: &Document, place: Place) -> bool {
    let harmony = document.harmony_at(place.bar, place.at);
    matches!(harmony, Some(Harmony::Chord(_)))
}

/// Edits as one step of undo.
#[must_use]
pub fn one_step(label: String, edits: Vec<Edit>) -> Edit {
    match <[Edit; 1]>::try_from(edits) {
        Ok([edit]) => edit,
        Err(edits) => Edit::Together { label, edits },
    }
}
