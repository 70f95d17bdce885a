//! The one question that may stop the user: unsaved changes would be lost. Everything else in the
//! window goes on without asking.

use egui::Id;
use egui::Modal;
use egui::Ui;

/// What is waiting for the answer.
#[derive(Clone, PartialEq, Debug)]
pub enum Waiting {
    /// Closing the window.
    Close,
    /// Starting anew or opening something else.
    Act(crate::session::Action),
    /// Asking for a file to open.
    AskOpen,
}

/// What the user answered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Answer {
    /// Save first.
    Save,
    /// Go on and lose the changes.
    Discard,
    /// Stay.
    Cancel,
}

/// Asks; `None` until there is an answer.
pub fn question_ui(ui: &Ui, name: &str) -> Option<Answer> {
    let modal = Modal::new(Id::unique("unsaved changes")).show(ui.ctx(), |ui| {
        ui.set_width(380.0);
        ui.heading("Save the changes?");
        ui.label(format!(
            "“{name}” has changes that are not saved. Without saving they are lost."
        ));
        ui.add_space(12.0);
        ui.horizontal(|ui| {
            let mut answer = None;
            for (words, means) in [
                ("Save", Answer::Save),
                ("Go on without saving", Answer::Discard),
                ("Cancel", Answer::Cancel),
            ] {
                if ui.button(words).clicked() {
                    answer = Some(means);
                }
            }
            answer
        })
        .inner
    });
    if modal.should_close() {
        return Some(Answer::Cancel);
    }
    modal.inner
}
