//! The start page, in the grid's place while the chart is empty: type chords, open a file, or look
//! at a sample. Shows the cautions once.

use super::chart_guide;
use super::help;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::controls;
use crate::gui::theme;
use crate::session::Action;
use crate::session::Session;
use egui::RichText;
use egui::ScrollArea;
use egui::TextEdit;
use egui::Ui;

const EXAMPLE: &str = "Key: C\n[A]\nDm7 | G7 | Cmaj7 | A7\nDm7 | G7 | Cmaj7 | %";

/// The field for the chart.
pub fn field() -> egui::Id {
    egui::Id::unique("chart text")
}

/// Shows the page.
pub fn start_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    ScrollArea::vertical()
        .id_salt("start")
        .auto_shrink(false)
        .show(ui, |ui| {
            ui.add_space(16.0);
            let indent = ((ui.available_width() - 560.0) / 2.0).max(8.0);
            ui.horizontal_top(|ui| {
                ui.add_space(indent);
                ui.vertical(|ui| {
                    ui.set_max_width(560.0_f32.min(ui.available_width() - 8.0));
                    page_ui(ui, session, actions);
                });
            });
        });
}

fn page_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    ui.label(RichText::new("Start with a tune").font(theme::bold(theme::TITLE)));
    ui.label(
        "Give Thumbwalk the chords; it finds shapes for your hand while the thumb walks the bass. \
         Everything it proposes can be changed.",
    );
    ui.add_space(8.0);
    let label = controls::caption(ui, "Type or paste chords, bars between | signs");
    let mut text = session.draft().to_owned();
    let field = TextEdit::multiline(&mut text)
        .id(field())
        .hint_text(EXAMPLE)
        .desired_rows(6)
        .desired_width(f32::INFINITY);
    if ui.add(field).labelled_by(label.id).changed() {
        actions.act(Action::Draft(text.clone()));
    }
    ui.horizontal(|ui| {
        let typed = !text.trim().is_empty();
        let arrange = ui.add_enabled(typed, egui::Button::new("Arrange these chords"));
        let hint = "Type some chords first";
        if arrange.on_disabled_hover_text(hint).clicked() {
            actions.window(Command::Typed(text));
        }
        if ui.button("Paste chart").clicked() {
            actions.window(Command::PasteChart);
        }
        if ui.button("Open a file…").clicked() {
            actions.window(Command::AskOpen);
        }
    });
    chart_guide::guide_ui(ui);
    ui.label("A file is a project, a chart as text, a lead sheet as MusicXML or a tune as MIDI");
    let samples = crate::session::samples::SAMPLES;
    if !samples.is_empty() {
        ui.add_space(12.0);
        controls::heading(ui, "Or look at a sample");
        ui.horizontal_wrapped(|ui| {
            for (idx, (sample, _)) in samples.iter().enumerate() {
                if ui.button(*sample).clicked() {
                    actions.window(Command::Sample(idx));
                }
            }
        });
    }
    ui.add_space(16.0);
    ui.separator();
    ui.add_space(8.0);
    help::cautions_ui(ui);
}
