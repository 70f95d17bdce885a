//! How the window looks: theme, size of text and controls, contrast.

use super::row;
use super::section;
use crate::gui::controls;
use crate::session::Preferences;
use crate::session::TEXT_PERCENT;
use crate::session::Theme;
use egui::Ui;

const THEMES: [(Theme, &str); 3] = [
    (Theme::Light, "Light"),
    (Theme::Dark, "Dark"),
    (Theme::System, "As the system"),
];

/// Shows the choices.
pub fn look_ui(ui: &mut Ui, after: &mut Preferences) {
    section(ui, "Look");
    row(ui, "Theme", |ui| {
        for (theme, words) in THEMES {
            ui.radio_value(&mut after.theme, theme, words);
        }
    });
    row(ui, "Text size", |ui| {
        let now = after.text_percent;
        if let Some(percent) = controls::slider(ui, "Text size", now, TEXT_PERCENT, " %") {
            after.text_percent = percent;
        }
        if ui.button("Usual size").clicked() {
            after.text_percent = 100;
        }
    });
    ui.checkbox(&mut after.high_contrast, "High contrast")
        .on_hover_text("Darker words, stronger lines, white or black paper");
}
