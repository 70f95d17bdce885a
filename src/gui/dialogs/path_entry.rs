//! A line in the window where a path is typed, for desktops without a file dialog. Enter takes it,
//! Escape leaves it. Never looks at the disk itself.

use super::Purpose;
use crate::gui::controls;
use crate::gui::theme;
use crate::session::PROJECT_ENDING;
use crate::session::export::FORMATS;
use egui::Id;
use egui::Key;
use egui::RichText;
use egui::TextEdit;
use egui::Ui;
use std::path::Path;
use std::path::PathBuf;

/// A path being typed.
#[derive(Debug)]
pub struct PathEntry {
    /// What the file is for.
    pub purpose: Purpose,
    text: String,
    is_new: bool,
}

/// What became of it in this frame.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Entry {
    /// It is still being typed.
    Open,
    /// The user left it.
    Cancelled,
    /// The path.
    Done(PathBuf),
}

impl PathEntry {
    /// Starts with a suggestion.
    #[must_use]
    pub fn new(purpose: Purpose, suggestion: &Path) -> Self {
        Self {
            purpose,
            text: suggestion.to_string_lossy().into_owned(),
            is_new: true,
        }
    }

    /// Shows the line.
    pub fn show(&mut self, ui: &mut Ui) -> Entry {
        let formats = format_words();
        let (title, button, hint) = match self.purpose {
            Purpose::Open => ("Open a file", "Open", "A project, or a chart as text"),
            Purpose::Compare => (
                "Compare with a file",
                "Compare with it",
                "A project, a chart or a score",
            ),
            Purpose::SaveAs => (
                "Save the project as",
                "Save",
                "A project file; the ending is added",
            ),
            Purpose::Export => ("Export to", "Export", formats.as_str()),
            Purpose::Booklet => (
                "Booklet to",
                "Write",
                "All rungs as one PDF, with tempi to tick off",
            ),
            Purpose::ExportSet => (
                "Export files named",
                "Export files",
                "Every format's ending is added",
            ),
        };
        let mut outcome = Entry::Open;
        ui.horizontal(|ui| {
            let title = RichText::new(title).font(theme::bold(theme::BODY));
            let label = ui.label(title);
            let room = (ui.available_width() - 190.0).max(120.0);
            let field = TextEdit::singleline(&mut self.text)
                .id(Id::unique("path entry"))
                .hint_text("/folder/file")
                .desired_width(room);
            let response = ui.add(field).labelled_by(label.id);
            if self.is_new {
                response.request_focus();
                self.is_new = false;
            }
            let enter = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
            let full = !self.text.trim().is_empty();
            let pressed = ui.add_enabled(full, egui::Button::new(button)).clicked();
            if (enter || pressed) && full {
                outcome = Entry::Done(self.path());
            }
            if ui.button("Cancel").clicked() {
                outcome = Entry::Cancelled;
            }
        });
        controls::caption(ui, hint);
        outcome
    }

    fn path(&self) -> PathBuf {
        let path = PathBuf::from(self.text.trim());
        if self.purpose == Purpose::SaveAs && path.extension().is_none() {
            path.with_extension(PROJECT_ENDING)
        } else {
            path
        }
    }
}

/// `The ending decides the format: .pdf pages to hand out, …`
fn format_words() -> String {
    let formats: Vec<String> = FORMATS
        .iter()
        .map(|format| format!(".{} {}", format.ending, format.words))
        .collect();
    format!("The ending decides the format: {}", formats.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_project_gets_its_ending_and_other_files_keep_theirs() {
        for (purpose, typed, path) in [
            (Purpose::SaveAs, "tune", "tune.ron"),
            (Purpose::SaveAs, "tune.txt", "tune.txt"),
            (Purpose::Open, " tune ", "tune"),
            (Purpose::Export, "tune.pdf", "tune.pdf"),
        ] {
            let entry = PathEntry::new(purpose, Path::new(typed));
            assert_eq!(entry.path(), PathBuf::from(path), "{typed}");
        }
    }
}
