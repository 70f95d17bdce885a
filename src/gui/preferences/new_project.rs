//! What a new project begins with: hand, instrument, chord style, paper. A chart's own lines for
//! tuning and capo count more, and projects that are there already stay as they are.

use super::hands::shown_name;
use super::row;
use super::section;
use crate::document::Paper;
use crate::gui::controls;
use crate::gui::tunings;
use crate::instrument::Instrument;
use crate::instrument::StringSet;
use crate::instrument::Tuning;
use crate::session::Preferences;
use crate::theory::HouseStyle;
use egui::Ui;

/// Shows the choices.
pub fn new_project_ui(ui: &mut Ui, after: &mut Preferences) {
    section(ui, "New projects begin with");
    row(ui, "Hand", |ui| {
        let mut chosen = after.new.hand.clone();
        let known = after.hands.iter().any(|hand| hand.name == chosen);
        let first = after.hands.first().map_or("", shown_name);
        let now = if known { chosen.as_str() } else { first }.to_owned();
        controls::plain_choice(ui, "Hand of new projects", &now, |ui| {
            for hand in &after.hands {
                ui.selectable_value(&mut chosen, hand.name.clone(), shown_name(hand));
            }
        });
        after.new.hand = chosen;
    });
    let before = after.new.instrument.clone();
    let offered = tunings::offered(after);
    instrument_ui(ui, &mut after.new.instrument, offered);
    if after.new.instrument.check().is_err() {
        after.new.instrument = before;
    }
    row(ui, "Chord style", |ui| {
        let style = &mut after.new.house_style;
        ui.radio_value(style, HouseStyle::Letters, "letters");
        ui.radio_value(style, HouseStyle::Signs, "signs");
    });
    row(ui, "Paper", |ui| {
        for paper in Paper::ALL {
            ui.radio_value(&mut after.new.paper, paper, paper.words());
        }
    });
}

fn instrument_ui(ui: &mut Ui, instrument: &mut Instrument, offered: Vec<Tuning>) {
    row(ui, "Tuning", |ui| {
        let now = instrument.tuning.name().to_owned();
        controls::plain_choice(ui, "Tuning of new projects", &now, |ui| {
            for tuning in offered {
                let name = tuning.name().to_owned();
                ui.selectable_value(&mut instrument.tuning, tuning, name);
            }
        });
    });
    row(ui, "Strings", |ui| {
        ui.radio_value(&mut instrument.strings, StringSet::Nylon, "nylon");
        ui.radio_value(&mut instrument.strings, StringSet::Steel, "steel");
    });
    row(ui, "Scale length", |ui| {
        let now = instrument.scale_mm.round().clamp(300.0, 900.0) as u16;
        if let Some(mm) = controls::number(ui, "Scale length", now, 300..=900, " mm") {
            instrument.scale_mm = f64::from(mm);
        }
        ui.label("from nut to saddle");
    });
    row(ui, "Frets", |ui| {
        let now = u16::from(instrument.frets);
        if let Some(frets) = controls::number(ui, "Frets on the neck", now, 12..=30, "") {
            instrument.frets = u8::try_from(frets).unwrap_or(instrument.frets);
        }
    });
    ui.checkbox(&mut instrument.left_handed, "Left-handed views");
}
