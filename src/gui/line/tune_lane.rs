//! Settings of the tune as a whole: where the fingers pluck under it, and in which octave it is
//! played or written. Without a tune, the way to write one.

use super::row_ui;
use crate::document::Edit;
use crate::document::TUNE_OCTAVES;
use crate::document::TuneDensity;
use crate::document::TuneSettings;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::controls;
use crate::session::Action;
use crate::session::Session;
use crate::session::tune_entry::moved_by_octave;
use egui::Button;
use egui::Ui;

/// Shows the settings.
pub fn lane_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    controls::heading(ui, "Tune lane");
    if !session.shows_tune() {
        let hint = "Show a lane above the fingers for the notes of the tune";
        if ui.button("Write the tune").on_hover_text(hint).clicked() {
            actions.act(Action::ShowTune(true));
            actions.window(Command::FocusGrid);
        }
        return;
    }
    let settings = session.document().tune;
    density_ui(ui, settings, actions);
    row_ui(ui, "Played", |ui| octaves_ui(ui, settings, actions));
    row_ui(ui, "Octave", |ui| {
        for (up, words) in [(false, "Down"), (true, "Up")] {
            let edit = moved_by_octave(session.document(), up);
            let button = ui.add_enabled(edit.is_some(), Button::new(words));
            let name = format!("move the tune: octave {}", words.to_lowercase());
            let hint = format!(
                "Write all notes of the tune an octave {}",
                words.to_lowercase()
            );
            let button = button.on_hover_text(hint);
            if let (true, Some(edit)) = (button.accessible_name(name).clicked(), edit) {
                actions.edit(edit);
            }
        }
    });
}

fn density_ui(ui: &mut Ui, settings: TuneSettings, actions: &mut Actions) {
    controls::caption(ui, "The fingers pluck under it");
    let mut density = settings.density;
    controls::wide_choice(ui, "Plucking under the tune", density.words(), |ui| {
        for offered in TuneDensity::ALL {
            ui.selectable_value(&mut density, offered, offered.words());
        }
    });
    if density != settings.density {
        actions.edit(Edit::SetTuneSettings(TuneSettings {
            density,
            ..settings
        }));
    }
}

fn octaves_ui(ui: &mut Ui, settings: TuneSettings, actions: &mut Actions) {
    let mut octaves = settings.octaves;
    controls::plain_choice(ui, "Octave of the tune", octave_words(octaves), |ui| {
        for offered in TUNE_OCTAVES.rev() {
            ui.selectable_value(&mut octaves, offered, octave_words(offered));
        }
    });
    if octaves != settings.octaves {
        actions.edit(Edit::SetTuneSettings(TuneSettings {
            octaves,
            ..settings
        }));
    }
}

const fn octave_words(octaves: i8) -> &'static str {
    match octaves {
        i8::MIN..=-2 => "two octaves lower",
        -1 => "an octave lower",
        0 => "as written",
        1 => "an octave higher",
        2.. => "two octaves higher",
    }
}
