//! What the sheet shows and on which paper: the options beside the pages. They belong to the
//! project, so that the preview and every export agree. Never lays anything out.

use crate::document::Document;
use crate::document::Edit;
use crate::document::Paper;
use crate::document::SheetSettings;
use crate::gui::actions::Actions;
use crate::gui::controls;
use egui::Ui;

/// Shows the options.
pub fn shown_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    let mut sheet = document.sheet;
    controls::heading(ui, "What to show");
    for (words, shown) in switches(&mut sheet) {
        ui.checkbox(shown, words);
    }
    ui.separator();
    controls::heading(ui, "Page");
    ui.horizontal(|ui| {
        for paper in Paper::ALL {
            ui.radio_value(&mut sheet.paper, paper, paper.words());
        }
    });
    if sheet != document.sheet {
        actions.edit(Edit::SetSheet(sheet));
    }
}

/// Every switch with its words, in the order shown.
fn switches(sheet: &mut SheetSettings) -> [(&'static str, &mut bool); 8] {
    [
        ("Notation staff", &mut sheet.staff),
        ("Chord diagrams", &mut sheet.diagrams),
        ("Left-hand fingers", &mut sheet.fingers),
        ("Right-hand letters", &mut sheet.pluck_letters),
        ("Thumb moves", &mut sheet.moves),
        ("Movement table", &mut sheet.move_table),
        ("Student and date", &mut sheet.student_line),
        ("Lesson text on the page", &mut sheet.lesson_text),
    ]
}
