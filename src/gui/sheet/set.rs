//! Several files in one go: a box for every format there is, and a button that asks for the name
//! they share. What is chosen holds as long as the window is open. Never writes anything itself.

use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::session::export::FORMATS;
use egui::CollapsingHeader;
use egui::Ui;

/// What a teacher hands out: pages, and sound to practise with.
const AT_FIRST: [&str; 2] = ["pdf", "wav"];

/// The formats that are chosen, in the order of [`FORMATS`].
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ExportSet {
    chosen: Vec<bool>,
}

impl Default for ExportSet {
    fn default() -> Self {
        let chosen = FORMATS.iter().map(|f| AT_FIRST.contains(&f.ending));
        Self {
            chosen: chosen.collect(),
        }
    }
}

impl ExportSet {
    /// Endings of the chosen formats.
    #[must_use]
    pub fn endings(&self) -> Vec<&'static str> {
        let formats = FORMATS.iter().zip(&self.chosen);
        let chosen = formats.filter(|(_, chosen)| **chosen);
        chosen.map(|(format, _)| format.ending).collect()
    }
}

/// Shows the boxes and the button.
pub fn set_ui(ui: &mut Ui, set: &mut ExportSet, actions: &mut Actions) {
    CollapsingHeader::new("Several files at once")
        .default_open(false)
        .show(ui, |ui| {
            for (format, chosen) in FORMATS.iter().zip(&mut set.chosen) {
                ui.checkbox(chosen, format!(".{} {}", format.ending, format.words));
            }
            let n_files = set.endings().len();
            let files = if n_files == 1 { "format" } else { "formats" };
            let words = format!("Export {n_files} {files}…");
            if ui
                .add_enabled(n_files > 0, egui::Button::new(words))
                .clicked()
            {
                actions.window(Command::AskExportSet);
            }
        });
}
