//! How the program sounds: which output, and how loud it starts.

use super::PreferencesState;
use super::row;
use super::section;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::session::Action;
use crate::session::Preferences;
use crate::session::Session;
use egui::Ui;

/// Shows the choices.
pub fn sound_ui(
    ui: &mut Ui,
    session: &Session,
    state: &mut PreferencesState,
    after: &mut Preferences,
    actions: &mut Actions,
) {
    if !state.asked {
        state.asked = true;
        actions.act(Action::ListOutputs);
    }
    section(ui, "Sound");
    let outputs = &session.play().outputs;
    row(ui, "Output", |ui| {
        let now = match &after.output {
            None => "the system's own choice",
            Some(id) => {
                let known = outputs.iter().find(|(known, _)| known == id);
                known.map_or(id.as_str(), |(_, name)| name.as_str())
            }
        };
        let mut chosen = after.output.clone();
        controls::wide_choice(ui, "Sound output", now, |ui| {
            ui.selectable_value(&mut chosen, None, "the system's own choice");
            for (id, name) in outputs {
                ui.selectable_value(&mut chosen, Some(id.clone()), name);
            }
        });
        after.output = chosen;
    });
    row(ui, "Level", |ui| {
        let now = u16::from(after.volume_percent);
        if let Some(percent) = controls::slider(ui, "Sound level", now, 0..=100, " %") {
            after.volume_percent = u8::try_from(percent).unwrap_or(100);
        }
    });
    controls::caption(ui, "Set the level before you put on headphones");
}
