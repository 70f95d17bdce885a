//! The help page: every shortcut from the one table, what the marks of the grid mean, and the
//! cautions. Takes the place of the grid until it is closed.

use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::actions::Page;
use crate::gui::controls;
use crate::gui::shortcuts;
use crate::gui::shortcuts::Scope;
use crate::gui::theme;
use crate::gui::words;
use crate::theory::ThumbMove;
use egui::RichText;
use egui::ScrollArea;
use egui::Ui;

/// The widest that the page gets.
const WIDEST: f32 = 1160.0;

/// Shows the page.
pub fn help_ui(ui: &mut Ui, actions: &mut Actions) {
    ScrollArea::vertical()
        .id_salt("help")
        .auto_shrink(false)
        .show(ui, |ui| {
            ui.set_max_width(WIDEST.min(ui.available_width()));
            ui.add_space(12.0);
            ui.horizontal(|ui| {
                ui.label(RichText::new("Shortcuts").font(theme::bold(theme::TITLE)));
                if ui.button("Close").clicked() {
                    actions.window(Command::Page(Page::Help));
                }
            });
            let wide = ui.available_width() > 960.0;
            if wide {
                ui.columns_const(|[left, right]: &mut [Ui; 2]| {
                    scope_ui(left, Scope::Everywhere);
                    zoom_ui(left);
                    scope_ui(left, Scope::Grid);
                    scope_ui(left, Scope::HandLanes);
                    scope_ui(right, Scope::TuneLane);
                    scope_ui(right, Scope::ThumbLane);
                    scope_ui(right, Scope::FingersLane);
                    legend_ui(right);
                });
            } else {
                for scope in [
                    Scope::Everywhere,
                    Scope::Grid,
                    Scope::TuneLane,
                    Scope::HandLanes,
                    Scope::ThumbLane,
                    Scope::FingersLane,
                ] {
                    scope_ui(ui, scope);
                }
                zoom_ui(ui);
                legend_ui(ui);
            }
            ui.add_space(16.0);
            cautions_ui(ui);
        });
}

fn scope_ui(ui: &mut Ui, scope: Scope) {
    let mac = ui.ctx().os().is_mac();
    controls::heading(ui, scope.words());
    let rows = shortcuts::TABLE
        .iter()
        .filter(|row| row.scope == scope && row.key.is_some());
    let rows: Vec<_> = rows.collect();
    // Keys that do the same stand in one line.
    for same in rows.chunk_by(|a, b| a.words == b.words) {
        let keys: Vec<String> = same.iter().map(|row| row.key_words(mac)).collect();
        let words = same.first().map_or("", |row| row.words);
        pair_ui(ui, &keys.join(", "), words);
    }
}

/// Sizes are egui's own keys, so they are not in the table.
fn zoom_ui(ui: &mut Ui) {
    let key = if ui.ctx().os().is_mac() {
        "Cmd"
    } else {
        "Ctrl"
    };
    pair_ui(
        ui,
        &format!("{key} with + − 0"),
        "larger, smaller, usual size",
    );
}

fn legend_ui(ui: &mut Ui) {
    controls::heading(ui, "Codes in the thumb lane");
    for thumb_move in ThumbMove::ALL {
        pair_ui(ui, thumb_move.code(), thumb_move.words());
    }
}

fn pair_ui(ui: &mut Ui, left: &str, right: &str) {
    ui.horizontal(|ui| {
        ui.spacing_mut().interact_size.y = 22.0;
        let start = ui.cursor().left();
        ui.label(RichText::new(left).font(theme::bold(theme::BODY)));
        ui.add_space((start + 112.0 - ui.cursor().left()).max(0.0));
        ui.label(right);
    });
}

/// Shows the cautions, here and on the start page.
pub fn cautions_ui(ui: &mut Ui) {
    for (about, caution) in words::CAUTIONS {
        ui.label(RichText::new(about).font(theme::bold(theme::BODY)));
        ui.label(caution);
        ui.add_space(theme::STEP);
    }
}
