//! Saved instruments: each with a name, its tuning (one's own, too), strings, scale length, frets and
//! capo, and taking it for the tune that is open. A tune keeps a copy, so that changing a saved
//! instrument never changes an arrangement by itself.

use super::PreferencesState;
use super::row;
use super::section;
use crate::document::Edit;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::tunings;
use crate::instrument::Instrument;
use crate::instrument::StringSet;
use crate::session::Preferences;
use crate::session::SavedInstrument;
use crate::session::Session;
use egui::Button;
use egui::TextEdit;
use egui::Ui;

/// Shows the list and the chosen instrument.
pub fn instruments_ui(
    ui: &mut Ui,
    session: &Session,
    state: &mut PreferencesState,
    after: &mut Preferences,
    actions: &mut Actions,
) {
    section(ui, "Instruments");
    if after.instruments.is_empty() {
        controls::caption(
            ui,
            "None saved yet. A saved instrument can be taken for any tune in the panel at the left.",
        );
    }
    let last = after.instruments.len().saturating_sub(1);
    state.instrument = state.instrument.min(last);
    ui.horizontal_wrapped(|ui| {
        for (idx, saved) in after.instruments.iter().enumerate() {
            let item = ui.selectable_label(state.instrument == idx, saved.shown_name());
            if item.clicked() {
                state.instrument = idx;
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        if ui.button("Add an instrument").clicked() {
            add(after, state, "New instrument", Instrument::default());
        }
        if ui.button("Add the tune's instrument").clicked() {
            let instrument = Instrument::clone(&session.document().instrument);
            let name = instrument.tuning.name().to_owned();
            add(after, state, &name, instrument);
        }
        let any = !after.instruments.is_empty();
        let delete = ui.add_enabled(any, Button::new("Delete this instrument"));
        if delete.clicked() {
            after.instruments.remove(state.instrument);
            state.instrument = state.instrument.saturating_sub(1);
        }
    });
    let offered = tunings::offered(after);
    let Some(saved) = after.instruments.get_mut(state.instrument) else {
        return;
    };
    let before = saved.instrument.clone();
    ui.push_id(("instrument", state.instrument), |ui| {
        saved_ui(ui, saved, &offered);
    });
    if saved.instrument.check().is_err() {
        saved.instrument = before;
    }
    use_ui(ui, session, saved, actions);
}

fn use_ui(ui: &mut Ui, session: &Session, saved: &SavedInstrument, actions: &mut Actions) {
    let in_use = saved.instrument == *session.document().instrument;
    let full = session.document().n_bars() > 0;
    let button = Button::new("Play this tune on it");
    let take = ui
        .horizontal(|ui| ui.add_enabled(full && !in_use, button))
        .inner;
    let why = if in_use {
        "The tune is arranged for this instrument"
    } else {
        "No tune is open"
    };
    if take.on_disabled_hover_text(why).clicked() {
        actions.edit(Edit::SetInstrument(saved.instrument.clone()));
    }
}

fn add(
    after: &mut Preferences,
    state: &mut PreferencesState,
    wanted: &str,
    instrument: Instrument,
) {
    let is_free = |name: &str| after.instruments.iter().all(|saved| saved.name != name);
    let numbered = (2_u32..).map(|number| format!("{wanted} {number}"));
    let mut names = std::iter::once(wanted.to_owned()).chain(numbered);
    let name = names.find(|name| is_free(name)).unwrap_or_default();
    after.instruments.push(SavedInstrument { name, instrument });
    state.instrument = after.instruments.len() - 1;
}

fn saved_ui(ui: &mut Ui, saved: &mut SavedInstrument, offered: &[crate::instrument::Tuning]) {
    row(ui, "Name", |ui| {
        let field = TextEdit::singleline(&mut saved.name)
            .hint_text("what it is")
            .desired_width(200.0);
        ui.add(field).accessible_name("Name of the instrument");
    });
    let instrument = &mut saved.instrument;
    row(ui, "Tuning", |ui| {
        let now = instrument.tuning.name().to_owned();
        controls::plain_choice(ui, "Tuning of the instrument", &now, |ui| {
            for tuning in offered {
                let name = tuning.name().to_owned();
                ui.selectable_value(&mut instrument.tuning, tuning.clone(), name);
            }
        });
    });
    if let Some(own) = tunings::own_ui(ui, &instrument.tuning) {
        instrument.tuning = own;
    }
    row(ui, "Strings", |ui| {
        ui.radio_value(&mut instrument.strings, StringSet::Nylon, "nylon")
            .accessible_name("nylon strings of the instrument");
        ui.radio_value(&mut instrument.strings, StringSet::Steel, "steel")
            .accessible_name("steel strings of the instrument");
    });
    row(ui, "Capo", |ui| {
        let now = u16::from(instrument.capo);
        if let Some(fret) = controls::number(ui, "Capo of the instrument", now, 0..=12, "") {
            instrument.capo = u8::try_from(fret).unwrap_or(0);
        }
        ui.label("fret, 0 for none");
    });
    row(ui, "Scale length", |ui| {
        let now = instrument.scale_mm.round().clamp(300.0, 900.0) as u16;
        let name = "Scale length of the instrument";
        if let Some(mm) = controls::number(ui, name, now, 300..=900, " mm") {
            instrument.scale_mm = f64::from(mm);
        }
    });
    row(ui, "Frets", |ui| {
        let now = u16::from(instrument.frets);
        if let Some(frets) = controls::number(ui, "Frets of the instrument", now, 12..=30, "") {
            instrument.frets = u8::try_from(frets).unwrap_or(instrument.frets);
        }
    });
    ui.checkbox(
        &mut instrument.left_handed,
        "This instrument is left-handed",
    );
}
