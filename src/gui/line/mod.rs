//! The left panel: what the tune is (key, metre, house style), what the thumb and the fingers do
//! in the selected bar, and whose hands play on which instrument. Every control is one edit.

mod bar;
mod lock;
mod setup;
mod tune;
mod ways;

use super::actions::Actions;
use crate::session::Session;
use egui::ScrollArea;
use egui::Ui;

/// Shows the panel.
pub fn line_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    // A panel takes its width from what is in it; without this it would creep narrower.
    ui.set_min_width(ui.available_width());
    ScrollArea::vertical()
        .id_salt("line panel")
        .auto_shrink(false)
        .show(ui, |ui| {
            ui.set_width(ui.available_width() - 8.0);
            if session.document().n_bars() > 0 {
                bar::bar_ui(ui, session, actions);
                ways::ways_ui(ui, session, actions);
            }
            tune::tune_ui(ui, session, actions);
            setup::instrument_ui(ui, session, actions);
            setup::hand_ui(ui, session, actions);
        });
}

/// A row with a caption at the left and a control at the right.
fn row_ui(ui: &mut Ui, caption: &str, control: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        let p = super::theme::palette(ui.visuals());
        ui.set_min_height(28.0);
        let (_, room) = ui.allocate_space(egui::vec2(72.0, 28.0));
        ui.painter().text(
            room.left_center(),
            egui::Align2::LEFT_CENTER,
            caption,
            super::theme::text(super::theme::BODY),
            p.ink_soft,
        );
        control(ui);
    });
}
