//! What the fingers do in the selected slot beyond striking: sliding into it, and striking the
//! next chord ahead of its beat. What is not possible here says why.

use super::bar::slot_words;
use super::selected::Bars;
use crate::arrange::Place;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::grid::fingers;
use crate::session::Session;
use crate::theory::Slide;
use egui::Ui;

/// Shows slide and strike ahead of a slot.
pub fn slot_ui(ui: &mut Ui, session: &Session, slot: Place, bars: Bars, actions: &mut Actions) {
    let words = slot_words(session, slot, bars);
    controls::heading(ui, &format!("Fingers on {words}"));
    if fingers::has_chord(session.document(), slot) {
        slide_ui(ui, session, slot, actions);
        ahead_ui(ui, session, slot, actions);
    } else {
        controls::caption(ui, "No chord sounds here");
    }
}

fn slide_ui(ui: &mut Ui, session: &Session, slot: Place, actions: &mut Actions) {
    let now = fingers::slide_at(session.document(), slot);
    let mut chosen = now;
    let words = now.map_or_else(|| "No slide".into(), |slide| sentence(slide.words()));
    controls::wide_choice(ui, "Slide here", &words, |ui| {
        ui.selectable_value(&mut chosen, None, "No slide");
        for slide in Slide::ALL {
            let possible = fingers::can_slide(session, slot, slide);
            ui.add_enabled_ui(possible, |ui| {
                let item = ui.selectable_value(&mut chosen, Some(slide), sentence(slide.words()));
                item.on_disabled_hover_text(NO_THUMB);
            });
        }
        if !fingers::thumb_strikes(session, slot) {
            controls::caption(ui, NO_THUMB);
        }
    });
    if chosen != now {
        actions.edit(fingers::slide(session, slot, chosen));
    }
    if now.is_some_and(|slide| !fingers::can_slide(session, slot, slide)) {
        controls::caption(ui, NO_THUMB);
    }
}

const NO_THUMB: &str = "The whole grip slides only where the thumb strikes too";

fn ahead_ui(ui: &mut Ui, session: &Session, slot: Place, actions: &mut Actions) {
    let now = fingers::is_ahead(session, slot);
    let possible = now || fingers::can_be_ahead(session.document(), slot);
    ui.add_enabled_ui(possible, |ui| {
        let mut ahead = now;
        let hint = "Pluck the next chord here, before its beat";
        let why = "Only on the last off-beat before a chord change, where the thumb is silent";
        let toggle = ui.checkbox(&mut ahead, "Ahead of the change");
        let toggle = toggle.on_hover_text(hint).on_disabled_hover_text(why);
        if toggle.changed()
            && let Some(edit) = fingers::toggle_ahead(session, slot)
        {
            actions.edit(edit);
        }
    });
}

/// With a capital at the beginning.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}
