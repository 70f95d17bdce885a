//! The page about the program: its version, its licence, and everything it is made of with the
//! licence of each part, from the list in `assets/licences.txt`.

use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::actions::Page;
use crate::gui::controls;
use crate::gui::theme;
use egui::Grid;
use egui::RichText;
use egui::ScrollArea;
use egui::Ui;

/// Name, version, licence and use of every crate, tabs between them, one a line.
const LICENCES: &str = include_str!("../../../assets/licences.txt");

/// Shows the page.
pub fn about_ui(ui: &mut Ui, actions: &mut Actions) {
    ScrollArea::vertical()
        .id_salt("about")
        .auto_shrink(false)
        .show(ui, |ui| {
            ui.add_space(12.0);
            ui.horizontal(|ui| {
                let name = format!("Thumbwalk {}", env!("CARGO_PKG_VERSION"));
                ui.label(RichText::new(name).font(theme::bold(theme::TITLE)));
                if ui.button("Close").clicked() {
                    actions.window(Command::Page(Page::About));
                }
            });
            ui.label("A workbench for arranging solo fingerstyle jazz guitar");
            ui.label("Free to use, change and pass on under the MIT licence");
            controls::heading(ui, "Typefaces");
            ui.label("Andika, Charis SIL and Bravura, under the SIL Open Font License 1.1");
            controls::heading(ui, "Made with");
            Grid::new("licences")
                .num_columns(3)
                .spacing([16.0, 2.0])
                .show(ui, |ui| {
                    for (name, version, licence) in crates() {
                        ui.label(name);
                        controls::caption(ui, version);
                        ui.label(licence);
                        ui.end_row();
                    }
                });
        });
}

/// What the program is made of: name, version, licence.
fn crates() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
    let rows = LICENCES.lines().filter_map(|line| {
        let mut parts = line.split('\t');
        let row = (parts.next()?, parts.next()?, parts.next()?);
        Some((row, parts.next()?))
    });
    rows.filter(|(_, used)| *used == "program")
        .map(|(row, _)| row)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_has_what_the_program_is_made_of() {
        let has = |wanted: &str| crates().any(|(name, ..)| name == wanted);
        assert!(has("egui") && has("krilla") && !has("proptest"));
    }
}
