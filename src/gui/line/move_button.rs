//! A toggle with the code of a thumb move, for the selected slot and for the moves that a bar
//! allows.

use crate::gui::named;
use crate::gui::named::Named;
use crate::gui::theme;
use crate::theory::ThumbMove;
use egui::CornerRadius;
use egui::Sense;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;
use egui::Vec2;

/// How a toggle stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum MoveState {
    /// Off.
    Off,
    /// On, by the tool's choice.
    Shown,
    /// On, by the user's choice.
    Own,
}

/// Lays toggles out, five to a row: chord tones, approaches, the rest.
pub fn moves_row(ui: &mut Ui, buttons: impl FnOnce(&mut Ui)) {
    let width = ((ui.available_width() - 4.0 * 4.0) / 5.0).floor();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(4.0);
        ui.spacing_mut().interact_size.x = width;
        buttons(ui);
    });
}

/// Shows a toggle with a name for assistive technology; whether it was pressed.
pub fn move_button(ui: &mut Ui, thumb_move: ThumbMove, name: &str, state: MoveState) -> bool {
    let (id, rect) = ui.allocate_space(ui.spacing().interact_size);
    let named = Named::toggle(name, state != MoveState::Off);
    let response = named::interact(ui, rect, id, Sense::click(), &named);
    let p = theme::palette(ui.visuals());
    let (fill, outline, ink) = match state {
        MoveState::Own => (p.thumb, Stroke::new(1.0, p.thumb_text), p.on_thumb),
        MoveState::Shown => (p.selection, Stroke::new(1.0, p.thumb_text), p.thumb_text),
        MoveState::Off => (p.card, Stroke::new(1.0, p.outline), p.ink),
    };
    let fill = if response.hovered() && state != MoveState::Own {
        p.hover
    } else {
        fill
    };
    let radius = CornerRadius::same(theme::RADIUS);
    let painter = ui.painter();
    painter.rect(rect, radius, fill, outline, StrokeKind::Inside);
    let centre = egui::Align2::CENTER_CENTER;
    let font = theme::bold(theme::BODY);
    painter.text(rect.center(), centre, thumb_move.code(), font, ink);
    let clicked = response.clicked();
    response.on_hover_text(thumb_move.words());
    clicked
}
