//! What the sheet shows, how large and on which paper: the options beside the pages, and presets by
//! purpose that set them all at once. They belong to the project, so that the preview and every
//! export agree. Never lays anything out.

use crate::document::BARS_PER_SYSTEM;
use crate::document::Document;
use crate::document::Edit;
use crate::document::MusicSize;
use crate::document::Paper;
use crate::document::SheetFont;
use crate::document::SheetPreset;
use crate::document::SheetSettings;
use crate::gui::actions::Actions;
use crate::gui::controls;
use egui::Ui;

/// Stands below the switch of the table, and needs it.
const OWN_PAGE: &str = "Movement table on its own page";

/// Shows the options.
pub fn shown_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    let mut sheet = document.sheet;
    controls::heading(ui, "Purpose");
    purpose_ui(ui, &mut sheet);
    controls::heading(ui, "What to show");
    let has_table = sheet.move_table;
    for (words, shown) in switches(&mut sheet) {
        let needs_table = words == OWN_PAGE;
        ui.add_enabled(!needs_table || has_table, egui::Checkbox::new(shown, words));
    }
    ui.separator();
    controls::heading(ui, "Page");
    ui.horizontal(|ui| {
        for paper in Paper::ALL {
            ui.radio_value(&mut sheet.paper, paper, paper.words());
        }
    });
    controls::caption(ui, "Size of the music");
    ui.horizontal(|ui| {
        for size in MusicSize::ALL {
            ui.radio_value(&mut sheet.size, size, size.words());
        }
    });
    controls::caption(ui, "Letters and figures");
    font_ui(ui, &mut sheet);
    ui.horizontal(|ui| {
        ui.label("Bars per system");
        bars_ui(ui, &mut sheet);
    });
    if sheet != document.sheet {
        actions.edit(Edit::SetSheet(sheet));
    }
}

/// The presets; what differs from all of them is called your own.
fn purpose_ui(ui: &mut Ui, sheet: &mut SheetSettings) {
    let now = SheetPreset::of(sheet);
    let words = now.map_or("Your own", SheetPreset::words);
    controls::wide_choice(ui, "What the sheet is for", words, |ui| {
        for preset in SheetPreset::ALL {
            if ui
                .selectable_label(now == Some(preset), preset.words())
                .clicked()
            {
                *sheet = preset.applied_to(sheet);
            }
        }
    });
}

fn font_ui(ui: &mut Ui, sheet: &mut SheetSettings) {
    controls::wide_choice(ui, "Font of the sheet", sheet.font.words(), |ui| {
        for font in SheetFont::ALL {
            ui.selectable_value(&mut sheet.font, font, font.words());
        }
    });
}

fn bars_ui(ui: &mut Ui, sheet: &mut SheetSettings) {
    let words = |bars: Option<u8>| bars.map_or("Automatic".into(), |n| n.to_string());
    let all = std::iter::once(None).chain(BARS_PER_SYSTEM.map(Some));
    controls::plain_choice(ui, "Bars per system", &words(sheet.bars_per_system), |ui| {
        for bars in all {
            ui.selectable_value(&mut sheet.bars_per_system, bars, words(bars));
        }
    });
}

/// Every switch with its words, in the order shown.
fn switches(sheet: &mut SheetSettings) -> [(&'static str, &mut bool); 9] {
    [
        ("Notation staff", &mut sheet.staff),
        ("Chord diagrams", &mut sheet.diagrams),
        ("Left-hand fingers", &mut sheet.fingers),
        ("Right-hand letters", &mut sheet.pluck_letters),
        ("Thumb moves", &mut sheet.moves),
        ("Movement table", &mut sheet.move_table),
        (OWN_PAGE, &mut sheet.table_page),
        ("Student and date", &mut sheet.student_line),
        ("Lesson text on the page", &mut sheet.lesson_text),
    ]
}
