//! Tunings as they are offered everywhere in the window: the known ones and those of the instruments
//! that were saved; and the two fields in which one's own is typed, with a word on what is wrong.

use super::controls;
use super::theme;
use crate::instrument::Tuning;
use crate::session::Preferences;
use crate::theory::Midi;
use egui::Button;
use egui::Id;
use egui::RichText;
use egui::TextEdit;
use egui::Ui;

/// All that are offered, each once.
pub fn offered(preferences: &Preferences) -> Vec<Tuning> {
    let mut tunings = Tuning::known();
    for saved in &preferences.instruments {
        let tuning = &saved.instrument.tuning;
        if tunings.iter().all(|other| other.open() != tuning.open()) {
            tunings.push(tuning.clone());
        }
    }
    tunings
}

/// What is being typed, and the strings it began with.
#[derive(Clone, Default)]
struct Draft {
    of: Vec<Midi>,
    strings: String,
    name: String,
}

/// The fields for one's own tuning, under a heading that folds them. Returns the tuning when its
/// button is pressed.
pub fn own_ui(ui: &mut Ui, now: &Tuning) -> Option<Tuning> {
    let id: Id = ui.scope_id().with("own tuning");
    let mut draft = ui.data(|d| d.get_temp::<Draft>(id)).unwrap_or_default();
    if draft.of != now.open() {
        draft = Draft {
            of: now.open().to_vec(),
            strings: now.notes(),
            name: String::new(),
        };
    }
    let mut chosen = None;
    controls::foldable(ui, "own tuning", "Own tuning", false, |ui| {
        controls::caption(
            ui,
            "Open strings from the lowest, 4 to 8 of them: D2 A2 D3 G3 B3 E4",
        );
        let field = TextEdit::singleline(&mut draft.strings).desired_width(f32::INFINITY);
        ui.add(field).accessible_name("Notes of the open strings");
        let field = TextEdit::singleline(&mut draft.name)
            .hint_text("what it is called")
            .desired_width(f32::INFINITY);
        ui.add(field).accessible_name("Name of the tuning");
        match Tuning::parse(&draft.strings) {
            Ok(tuning) => {
                let tuning = tuning.called(&draft.name);
                let differs = tuning != *now;
                let button = ui.add_enabled(differs, Button::new("Tune it so"));
                if button
                    .on_disabled_hover_text("The instrument is tuned like this already")
                    .clicked()
                {
                    chosen = Some(tuning);
                }
            }
            Err(error) => {
                let p = theme::palette(ui.visuals());
                let text = RichText::new(error.to_string()).small();
                ui.label(text.color(p.warning_text));
            }
        }
    });
    ui.data_mut(|d| d.insert_temp(id, draft));
    chosen
}
