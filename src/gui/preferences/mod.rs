//! The page of preferences: look, sound, safety, hands, instruments, and what new projects begin
//! with. What is changed takes effect at once and is remembered; there is nothing to confirm.

mod hands;
mod instruments;
mod look;
mod measure;
mod new_project;
mod sound;

use super::actions::Actions;
use super::actions::Command;
use super::actions::Page;
use super::controls;
use super::theme;
use crate::session::Action;
use crate::session::MAX_BACKUPS;
use crate::session::Preferences;
use crate::session::Session;
use egui::Frame;
use egui::Margin;
use egui::RichText;
use egui::ScrollArea;
use egui::Ui;

/// What the page remembers between frames.
#[derive(Debug, Default)]
pub struct PreferencesState {
    /// The saved hand that is shown, by its place in the list.
    hand: usize,
    /// The saved instrument that is shown, likewise.
    instrument: usize,
    /// A span being measured, in millimetres.
    span_mm: Option<u16>,
    /// Whether the outputs have been asked for.
    asked: bool,
}

/// The widest that the page gets: beyond it words and their controls lose each other.
const WIDEST: f32 = 1160.0;

/// Shows the page.
pub fn preferences_ui(
    ui: &mut Ui,
    session: &Session,
    state: &mut PreferencesState,
    actions: &mut Actions,
) {
    let before = session.preferences();
    let mut after = before.clone();
    ScrollArea::vertical()
        .id_salt("preferences")
        .auto_shrink(false)
        .show(ui, |ui| {
            ui.set_max_width(WIDEST.min(ui.available_width()));
            ui.add_space(12.0);
            ui.horizontal(|ui| {
                ui.label(RichText::new("Preferences").font(theme::bold(theme::TITLE)));
                if ui.button("Close").clicked() {
                    actions.window(Command::Page(Page::Preferences));
                }
            });
            if ui.available_width() > 720.0 {
                ui.columns_const(|[left, right]: &mut [Ui; 2]| {
                    let gap = Margin {
                        right: 24,
                        ..Margin::ZERO
                    };
                    // Columns spread the words of a paragraph over the whole width.
                    Frame::new().inner_margin(gap).show(left, |ui| {
                        ui.vertical(|ui| program_ui(ui, session, state, &mut after, actions));
                    });
                    right.vertical(|ui| player_ui(ui, session, state, &mut after, actions));
                });
            } else {
                program_ui(ui, session, state, &mut after, actions);
                player_ui(ui, session, state, &mut after, actions);
            }
        });
    if after != *before {
        actions.act(Action::SetPreferences(Box::new(after)));
    }
}

/// What concerns the program.
fn program_ui(
    ui: &mut Ui,
    session: &Session,
    state: &mut PreferencesState,
    after: &mut Preferences,
    actions: &mut Actions,
) {
    look::look_ui(ui, after);
    sound::sound_ui(ui, session, state, after, actions);
    safety_ui(ui, after);
}

/// What concerns who plays.
fn player_ui(
    ui: &mut Ui,
    session: &Session,
    state: &mut PreferencesState,
    after: &mut Preferences,
    actions: &mut Actions,
) {
    hands::hands_ui(ui, session, state, after, actions);
    instruments::instruments_ui(ui, session, state, after, actions);
    new_project::new_project_ui(ui, after);
}

fn safety_ui(ui: &mut Ui, after: &mut Preferences) {
    section(ui, "Safety");
    row(ui, "Earlier versions", |ui| {
        let (now, most) = (u16::from(after.backups), u16::from(MAX_BACKUPS));
        if let Some(kept) = controls::number(ui, "Earlier versions kept", now, 0..=most, "") {
            after.backups = u8::try_from(kept).unwrap_or(MAX_BACKUPS);
        }
        ui.label("of each project");
    });
    controls::caption(
        ui,
        "Each save keeps the version it replaces, in the program's own folder; the file menu opens \
         them. Unsaved work is kept there too and offered after a crash.",
    );
}

/// A heading of the page.
fn section(ui: &mut Ui, words: &str) {
    ui.add_space(12.0);
    ui.heading(words);
}

/// A row with a caption at the left and controls at the right.
fn row(ui: &mut Ui, caption: &str, control: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        let p = theme::palette(ui.visuals());
        ui.set_min_height(28.0);
        let (_, room) = ui.allocate_space(egui::vec2(112.0, 28.0));
        ui.painter().text(
            room.left_center(),
            egui::Align2::LEFT_CENTER,
            caption,
            theme::text(theme::BODY),
            p.ink_soft,
        );
        control(ui);
    });
}
