//! The words on the sheet: title, credits and the lesson text, and the button that exports. A text
//! becomes one edit when its field is left.

use crate::document::Edit;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::controls;
use crate::session::Session;
use egui::Id;
use egui::TextEdit;
use egui::Ui;

/// Shows the words and the export button.
pub fn texts_ui(ui: &mut Ui, session: &Session, n_pages: usize, actions: &mut Actions) {
    let document = session.document();
    ui.heading("Sheet");
    let pages = if n_pages == 1 { "page" } else { "pages" };
    controls::caption(
        ui,
        &format!("{n_pages} {pages}; what you see is what is exported"),
    );
    ui.add_space(4.0);
    if ui.button("Export…").clicked() {
        actions.window(Command::AskExport);
    }
    ui.separator();
    controls::heading(ui, "Texts");
    for (name, rows, now, edit) in [
        (
            "Sheet title",
            1,
            &document.title,
            Edit::SetTitle as fn(String) -> Edit,
        ),
        ("Credits", 1, &document.credits, Edit::SetCredits),
        ("Lesson text", 8, &document.lesson_text, Edit::SetLessonText),
    ] {
        if let Some(text) = text_ui(ui, name, rows, now) {
            actions.edit(edit(text));
        }
    }
}

/// A field with its caption above; the new text once the field is left.
fn text_ui(ui: &mut Ui, name: &str, rows: usize, now: &str) -> Option<String> {
    let label = controls::caption(ui, name);
    let draft = Id::unique(("text draft", name));
    let mut text = ui
        .data(|d| d.get_temp::<String>(draft))
        .unwrap_or_else(|| now.to_owned());
    let field = if rows == 1 {
        TextEdit::singleline(&mut text)
    } else {
        TextEdit::multiline(&mut text).desired_rows(rows)
    };
    let field = field
        .id(Id::unique(("sheet text", name)))
        .desired_width(f32::INFINITY);
    let response = ui.add(field).labelled_by(label.id);
    if response.has_focus() {
        ui.data_mut(|d| d.insert_temp(draft, text));
        return None;
    }
    ui.data_mut(|d| d.remove::<String>(draft));
    (response.lost_focus() && text != now).then_some(text)
}
