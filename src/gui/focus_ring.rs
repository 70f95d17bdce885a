//! A ring around what has the keyboard, the same for every control. The grid shows its own
//! selection and a text field its cursor, so they get none.

use super::grid;
use super::theme;
use egui::CornerRadius;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;

/// Room between a control and its ring, and the ring itself.
const ROOM: f32 = 1.0;
const WIDTH: f32 = 2.0;

/// Paints the ring. Call when everything else of the frame is drawn.
pub fn paint(ui: &Ui) {
    let ctx = ui.ctx();
    let focused = ctx.memory(egui::Memory::focused);
    let Some(id) = focused.filter(|id| *id != grid::id()) else {
        return;
    };
    if ctx.text_edit_focused() {
        return;
    }
    let Some(response) = ctx.read_response(id) else {
        return;
    };
    let seen = response.interact_rect.expand(ROOM + WIDTH);
    let painter = ctx.layer_painter(response.layer_id).with_clip_rect(seen);
    painter.rect_stroke(
        response.rect.expand(ROOM),
        CornerRadius::same(theme::RADIUS),
        Stroke::new(WIDTH, theme::palette(ui.visuals()).ink),
        StrokeKind::Outside,
    );
}
