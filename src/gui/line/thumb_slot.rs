//! The thumb move of the selected slot, as toggles with their codes. Shows what the tool chose
//! until the user decides.

use super::bar::slot_words;
use super::move_button::MoveState;
use super::move_button::move_button;
use super::move_button::moves_row;
use super::selected::Bars;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::ThumbCell;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::grid::keys;
use crate::session::Session;
use crate::theory::ThumbMove;
use egui::Ui;

/// Shows the move of a slot.
pub fn thumb_ui(ui: &mut Ui, session: &Session, slot: Place, bars: Bars, actions: &mut Actions) {
    let decided = session
        .document()
        .bar(slot.bar)
        .and_then(|b| b.thumb.iter().find(|(at, _)| *at == slot.at))
        .map(|(_, cell)| *cell);
    let played = session.arrangement().and_then(|a| {
        a.notes_in_bar(slot.bar)
            .find(|n| n.lane == Lane::Thumb && n.place.at == slot.at)
            .and_then(|n| n.thumb_move)
    });
    controls::heading(ui, &format!("Thumb on {}", slot_words(session, slot, bars)));
    moves_row(ui, |ui| {
        for thumb_move in ThumbMove::ALL {
            let own = decided == Some(ThumbCell::Move(thumb_move));
            let state = if own {
                MoveState::Own
            } else if decided.is_none() && played == Some(thumb_move) {
                MoveState::Shown
            } else {
                MoveState::Off
            };
            let name = format!("thumb move: {}", thumb_move.name());
            if move_button(ui, thumb_move, &name, state) {
                let cell = (!own).then_some(ThumbCell::Move(thumb_move));
                actions.edit(keys::thumb(slot, cell));
            }
        }
    });
    let state = match decided {
        Some(ThumbCell::Kept(..)) => "Kept as it was",
        Some(ThumbCell::Move(_)) => "Your choice",
        Some(ThumbCell::Place(..)) => "You chose the string and fret",
        None if played.is_some() => "Chosen by the tool",
        None => "The thumb rests here",
    };
    ui.horizontal(|ui| {
        ui.set_min_height(28.0);
        controls::caption(ui, state);
        if decided.is_some() && ui.button("Leave to the tool").clicked() {
            actions.edit(keys::thumb(slot, None));
        }
    });
}
