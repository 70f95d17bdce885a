//! The left panel: what the thumb and the fingers do in the selected bars, what the tune is (key,
//! metre, house style), and whose hands play on which instrument. Every control is one edit. The
//! sections fold; how they stand is remembered while the program runs.

mod bar;
mod bar_line;
mod fingers_slot;
mod keys;
mod lock;
mod move_button;
mod pattern;
mod rules;
mod scale;
mod selected;
mod setup;
mod strikes;
mod thumb_slot;
mod tune;
mod tune_lane;
mod tune_slot;
mod walks;
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
            bar::bar_ui(ui, session, actions);
            tune::tune_ui(ui, session, actions);
            setup::instrument_ui(ui, session, actions);
            setup::hand_ui(ui, session, actions);
        });
}

/// A section under a large heading that folds it, open at first.
fn section_ui(ui: &mut Ui, id: &str, title: &str, content: impl FnOnce(&mut Ui)) {
    egui::CollapsingHeader::new(egui::RichText::new(title).heading())
        .id_salt(id)
        .default_open(true)
        .show_unindented(ui, content);
    ui.separator();
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
