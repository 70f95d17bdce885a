//! The words on the sheet: title, credits and the lesson text, and the button that exports. A text is
//! written into the document as it is typed, so that nothing typed can be lost, and is one step until
//! its field is left.

use crate::document::Edit;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::controls;
use crate::session::Action;
use crate::session::Session;
use egui::Id;
use egui::TextEdit;
use egui::Ui;

/// Shows the words and the export button.
pub fn texts_ui(ui: &mut Ui, session: &Session, n_pages: usize, actions: &mut Actions) {
    let document = session.document();
    ui.heading("Sheet");
    let words = match n_pages {
        0 => "Not laid out yet".to_owned(),
        1 => "1 page; what you see is what is exported".to_owned(),
        n => format!("{n} pages; what you see is what is exported"),
    };
    controls::caption(ui, &words);
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
        text_ui(ui, name, rows, now, edit, actions);
    }
}

/// A field with its caption above.
fn text_ui(
    ui: &mut Ui,
    name: &str,
    rows: usize,
    now: &str,
    edit: fn(String) -> Edit,
    actions: &mut Actions,
) {
    let label = controls::caption(ui, name);
    let mut text = now.to_owned();
    let field = if rows == 1 {
        TextEdit::singleline(&mut text)
    } else {
        TextEdit::multiline(&mut text).desired_rows(rows)
    };
    let field = field
        .id(Id::unique(("sheet text", name)))
        .desired_width(f32::INFINITY);
    let response = ui.add(field).labelled_by(label.id);
    if response.changed() {
        actions.act(Action::Edit(edit(text)));
    }
    if response.lost_focus() {
        actions.act(Action::EndStep);
    }
}
