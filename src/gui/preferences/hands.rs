//! Saved hands: a list with a student's or one's own on each line, what the chosen one can do, and
//! taking it for the tune that is open. A tune keeps a copy, so that changing a saved hand never
//! changes an arrangement by itself.

use super::PreferencesState;
use super::measure;
use super::row;
use super::section;
use crate::document::Edit;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::instrument::Hand;
use crate::session::Preferences;
use crate::session::Session;
use egui::TextEdit;
use egui::Ui;

/// Shows the list and the chosen hand.
pub fn hands_ui(
    ui: &mut Ui,
    session: &Session,
    state: &mut PreferencesState,
    after: &mut Preferences,
    actions: &mut Actions,
) {
    section(ui, "Hands");
    state.hand = state.hand.min(after.hands.len().saturating_sub(1));
    ui.horizontal_wrapped(|ui| {
        for (idx, hand) in after.hands.iter().enumerate() {
            let name = shown_name(hand);
            let item = ui.selectable_label(state.hand == idx, name);
            if item.clicked() {
                state.hand = idx;
                state.span_mm = None;
            }
        }
    });
    ui.horizontal(|ui| {
        if ui.button("Add a hand").clicked() {
            let copied = after.hands.get(state.hand).cloned().unwrap_or_default();
            let name = free_name(&after.hands, "New hand");
            after.hands.push(Hand { name, ..copied });
            state.hand = after.hands.len() - 1;
        }
        if ui.button("Add the tune's hand").clicked() {
            let hand = Hand::clone(&session.document().hand);
            let name = free_name(&after.hands, &hand.name);
            after.hands.push(Hand { name, ..hand });
            state.hand = after.hands.len() - 1;
        }
        let several = after.hands.len() > 1;
        let delete = ui.add_enabled(several, egui::Button::new("Delete this hand"));
        let delete = delete.on_disabled_hover_text("One hand always stays");
        if delete.clicked() {
            after.hands.remove(state.hand);
            state.hand = state.hand.min(after.hands.len() - 1);
        }
    });
    let Some(hand) = after.hands.get_mut(state.hand) else {
        return;
    };
    let name_before = hand.name.clone();
    ui.push_id(state.hand, |ui| hand_ui(ui, hand, &mut state.span_mm));
    if after.new.hand == name_before {
        after.new.hand.clone_from(&hand.name);
    }
    let in_use = *hand == *session.document().hand;
    let full = session.document().n_bars() > 0;
    let take = ui
        .horizontal(|ui| ui.add_enabled(full && !in_use, egui::Button::new("Use for this tune")))
        .inner;
    let why = if in_use {
        "The tune is arranged for this hand"
    } else {
        "No tune is open"
    };
    if take.on_disabled_hover_text(why).clicked() {
        actions.edit(Edit::SetHand(hand.clone()));
    }
}

fn hand_ui(ui: &mut Ui, hand: &mut Hand, span_mm: &mut Option<u16>) {
    row(ui, "Name", |ui| {
        let field = TextEdit::singleline(&mut hand.name)
            .hint_text("whose hand")
            .desired_width(200.0);
        ui.add(field).accessible_name("Name of the hand");
    });
    row(ui, "Reach", |ui| {
        let percent = (hand.reach_permille + 5) / 10;
        if let Some(percent) = controls::slider(ui, "Reach of the hand", percent, 80..=115, " %") {
            hand.reach_permille = percent * 10;
        }
    });
    measure::measure_ui(ui, hand, span_mm);
    ui.checkbox(&mut hand.barre, "This hand may barre");
    ui.checkbox(
        &mut hand.thumb_over,
        "This hand's thumb may fret over the neck",
    );
    row(ui, "Plucks with", |ui| {
        let fingers = &mut hand.plucking_fingers;
        ui.radio_value(fingers, 3, "thumb, i m a");
        ui.radio_value(fingers, 4, "thumb, i m a c");
    });
}

/// What a hand is called in a list.
pub fn shown_name(hand: &Hand) -> &str {
    if hand.name.trim().is_empty() {
        "Unnamed"
    } else {
        &hand.name
    }
}

/// A name that no saved hand has: `New hand`, `New hand 2`.
fn free_name(hands: &[Hand], wanted: &str) -> String {
    let is_free = |name: &str| hands.iter().all(|hand| hand.name != name);
    if is_free(wanted) {
        return wanted.to_owned();
    }
    let numbered = (2_u32..).map(|number| format!("{wanted} {number}"));
    numbered
        .into_iter()
        .find(|name| is_free(name))
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn new_hands_get_names_of_their_own() {
        let named = |name: &str| Hand {
            name: name.into(),
            ..Hand::default()
        };
        let hands = [named("Mia"), named("Mia 2"), named("")];
        assert_eq!(free_name(&hands, "Tom"), "Tom");
        assert_eq!(free_name(&hands, "Mia"), "Mia 3");
        assert_eq!(shown_name(&hands[2]), "Unnamed");
    }
}
