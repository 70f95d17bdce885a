//! Whose hands play on which instrument: tuning (known, saved or one's own), capo, strings, scale
//! length, frets, left-handed view; reach, barre, thumb over the neck, plucking fingers. Every search
//! obeys these.

use super::row_ui;
use super::section_ui;
use crate::document::Edit;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::actions::Page;
use crate::gui::controls;
use crate::gui::tunings;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::StringSet;
use crate::session::SavedInstrument;
use crate::session::Session;
use egui::Ui;

/// Shows the instrument.
pub fn instrument_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    section_ui(ui, "instrument", "Instrument", |ui| {
        instrument_rows(ui, session, actions);
    });
}

fn instrument_rows(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let before: &Instrument = &session.document().instrument;
    let mut after = before.clone();
    let saved = &session.preferences().instruments;
    row_ui(ui, "Saved", |ui| {
        let now = saved.iter().find(|saved| saved.instrument == *before);
        let now = now.map_or("not saved", SavedInstrument::shown_name);
        controls::plain_choice(ui, "Saved instrument", now, |ui| {
            for other in saved {
                let on = other.instrument == *before;
                if ui.selectable_label(on, other.shown_name()).clicked() {
                    after = other.instrument.clone();
                }
            }
            if ui.button("Instruments…").clicked() {
                actions.window(Command::Page(Page::Preferences));
            }
        });
    });
    row_ui(ui, "Tuning", |ui| {
        controls::plain_choice(ui, "Tuning", before.tuning.name(), |ui| {
            for tuning in tunings::offered(session.preferences()) {
                let name = tuning.name().to_owned();
                ui.selectable_value(&mut after.tuning, tuning, name);
            }
        });
    });
    if let Some(own) = tunings::own_ui(ui, &before.tuning) {
        after.tuning = own;
    }
    row_ui(ui, "Capo", |ui| {
        let now = fret_words(before.capo);
        controls::plain_choice(ui, "Capo", &now, |ui| {
            for fret in 0..=9 {
                ui.selectable_value(&mut after.capo, fret, fret_words(fret));
            }
        });
    });
    row_ui(ui, "Strings", |ui| {
        ui.selectable_value(&mut after.strings, StringSet::Nylon, "nylon");
        ui.selectable_value(&mut after.strings, StringSet::Steel, "steel");
    });
    row_ui(ui, "Scale", |ui| {
        let now = before.scale_mm.round().clamp(300.0, 900.0) as u16;
        if let Some(mm) = controls::number(ui, "Scale length", now, 300..=900, " mm") {
            after.scale_mm = f64::from(mm);
        }
    });
    row_ui(ui, "Frets", |ui| {
        let now = u16::from(before.frets);
        if let Some(frets) = controls::number(ui, "Frets on the neck", now, 12..=30, "") {
            after.frets = u8::try_from(frets).unwrap_or(before.frets);
        }
    });
    ui.checkbox(&mut after.left_handed, "Left-handed view");
    if after != *before {
        actions.edit(Edit::SetInstrument(after));
    }
}

fn fret_words(fret: u8) -> String {
    if fret == 0 {
        "none".into()
    } else {
        format!("fret {fret}")
    }
}

/// Shows the hand.
pub fn hand_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    section_ui(ui, "hand", "Hand", |ui| hand_rows(ui, session, actions));
}

fn hand_rows(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let before: &Hand = &session.document().hand;
    let mut after = before.clone();
    row_ui(ui, "Whose", |ui| {
        controls::plain_choice(ui, "Saved hand", &before.name, |ui| {
            for hand in &session.preferences().hands {
                ui.selectable_value(&mut after, hand.clone(), hand.name.as_str());
            }
            if ui.button("Hands…").clicked() {
                actions.window(Command::Page(Page::Preferences));
            }
        });
    });
    row_ui(ui, "Reach", |ui| {
        ui.spacing_mut().slider_width = (ui.available_width() - 76.0).clamp(48.0, 120.0);
        let percent = (before.reach_permille + 5) / 10;
        if let Some(percent) = controls::slider(ui, "Reach", percent, 80..=115, " %") {
            after.reach_permille = percent * 10;
        }
    });
    ui.checkbox(&mut after.barre, "Barre allowed");
    ui.checkbox(&mut after.thumb_over, "Left thumb over the neck");
    row_ui(ui, "Plucking", |ui| {
        ui.selectable_value(&mut after.plucking_fingers, 3, "i m a");
        ui.selectable_value(&mut after.plucking_fingers, 4, "i m a c");
    });
    if after != *before {
        actions.edit(Edit::SetHand(after));
    }
    controls::caption(
        ui,
        "Warm up, take breaks, stop if it hurts. A wide stretch is marked and never the only way.",
    );
}
