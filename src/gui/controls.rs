//! Small controls that several panels share: a choice with its caption inside, a number that makes
//! one edit per drag instead of one per frame, and a heading.

use super::theme;
use egui::ComboBox;
use egui::Context;
use egui::DragValue;
use egui::Id;
use egui::ProgressBar;
use egui::Response;
use egui::RichText;
use egui::ScrollArea;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;
use std::ops::RangeInclusive;

/// Windows that are higher have room for every menu.
const TALLEST_MENU: f32 = 632.0;

/// A drop-down that shows `caption: now`, or `now` alone if the caption is only its name.
pub fn choice(ui: &mut Ui, caption: &str, now: &str, width: f32, items: impl FnOnce(&mut Ui)) {
    let p = theme::palette(ui.visuals());
    let mut text = egui::text::LayoutJob::default();
    let format = |colour| egui::TextFormat::simple(theme::text(theme::BODY), colour);
    text.append(caption, 0.0, format(p.ink_soft));
    text.append(now, 6.0, format(p.ink));
    ComboBox::from_id_salt(caption)
        .selected_text(text)
        .width(width)
        .height(320.0)
        .show_ui(ui, items)
        .response
        .accessible_name(caption);
}

/// A whole number that is dragged or typed. Returns the new value once, when the drag ends or
/// the typing is done, so that undo takes back one step.
pub fn number(
    ui: &mut Ui,
    name: &str,
    value: u16,
    range: RangeInclusive<u16>,
    suffix: &str,
) -> Option<u16> {
    let id = ui.scope_id().with(("draft", name));
    let mut shown = draft(ui.ctx(), id).unwrap_or(value);
    let field = DragValue::new(&mut shown)
        .range(range)
        // Also what an arrow key adds: less than 1 would be cut off.
        .speed(1.0)
        .update_while_editing(false)
        .suffix(suffix);
    let response = ui.add(field).accessible_name(name);
    settle(ui.ctx(), &response, id, shown, value)
}

fn settle(ctx: &Context, response: &Response, id: Id, shown: u16, value: u16) -> Option<u16> {
    if response.dragged() {
        ctx.data_mut(|d| d.insert_temp(id, shown));
        return None;
    }
    let held = draft(ctx, id);
    ctx.data_mut(|d| d.remove::<u16>(id));
    let done = response.changed() || response.drag_stopped() || held.is_some();
    (done && shown != value).then_some(shown)
}

fn draft(ctx: &Context, id: Id) -> Option<u16> {
    ctx.data(|d| d.get_temp(id))
}

/// A slider that makes one edit per drag.
pub fn slider(
    ui: &mut Ui,
    name: &str,
    value: u16,
    range: RangeInclusive<u16>,
    suffix: &str,
) -> Option<u16> {
    let id = ui.scope_id().with(("draft", name));
    let mut shown = draft(ui.ctx(), id).unwrap_or(value);
    let slider = egui::Slider::new(&mut shown, range).suffix(suffix);
    let response = rail(ui, slider).accessible_name(name);
    settle(ui.ctx(), &response, id, shown, value)
}

/// Adds a slider whose rail is as strong as an outline, on the side of the value in the colour of
/// what is selected; egui's own rail has the ground of a button.
pub fn rail(ui: &mut Ui, slider: egui::Slider<'_>) -> Response {
    let p = theme::palette(ui.visuals());
    let add = |ui: &mut Ui| {
        let visuals = ui.visuals_mut();
        visuals.widgets.inactive.bg_fill = p.outline;
        visuals.selection.bg_fill = p.thumb_text;
        ui.add(slider)
    };
    ui.scope(add).inner
}

/// How far long work is, from 0 to 1: a bar with an outline, so that its end can be seen.
pub fn progress(ui: &mut Ui, share: f32, width: f32) {
    let p = theme::palette(ui.visuals());
    let bar = ProgressBar::new(share)
        .fill(p.outline)
        .desired_width(width)
        .desired_height(10.0);
    let rect = ui.add(bar).rect;
    let outline = Stroke::new(1.0, p.outline);
    let corners = rect.height() / 2.0;
    ui.painter()
        .rect_stroke(rect, corners, outline, StrokeKind::Inside);
}

/// Gives the controls of a menu the look that they have elsewhere: menus draw their items without
/// outlines and close together, which would leave circles unseen and words at the edges of buttons.
pub fn in_menu(ui: &mut Ui) {
    let style = ui.ctx().global_style();
    ui.visuals_mut().widgets.inactive.bg_stroke = style.visuals.widgets.inactive.bg_stroke;
    ui.spacing_mut().button_padding = style.spacing.button_padding;
}

/// The rows of a menu; they scroll where the window is too low for them.
pub fn menu_rows(ui: &mut Ui, rows: impl FnOnce(&mut Ui)) {
    let most = ui.ctx().content_rect().height() - 64.0;
    if most >= TALLEST_MENU {
        rows(ui);
        return;
    }
    ScrollArea::vertical()
        .id_salt("menu rows")
        .max_height(most)
        .show(ui, rows);
}

/// A heading inside a panel.
pub fn heading(ui: &mut Ui, text: &str) {
    ui.add_space(theme::STEP);
    ui.label(RichText::new(text).font(theme::bold(theme::BODY)));
}

/// Secondary text.
pub fn caption(ui: &mut Ui, text: &str) -> Response {
    let p = theme::palette(ui.visuals());
    ui.label(
        RichText::new(text)
            .font(theme::text(theme::SMALL))
            .color(p.ink_soft),
    )
}

/// A drop-down whose caption stands beside it.
pub fn plain_choice(ui: &mut Ui, name: &str, now: &str, items: impl FnOnce(&mut Ui)) {
    ComboBox::from_id_salt(name)
        .selected_text(now)
        .width(ui.available_width().min(160.0))
        .height(320.0)
        .show_ui(ui, items)
        .response
        .accessible_name(name);
}

/// The same over the whole width, for longer words; its caption stands above it.
pub fn wide_choice(ui: &mut Ui, name: &str, now: &str, items: impl FnOnce(&mut Ui)) {
    ComboBox::from_id_salt(name)
        .selected_text(now)
        .width(ui.available_width())
        .truncate()
        .height(320.0)
        .show_ui(ui, items)
        .response
        .accessible_name(name);
}

/// A part of a panel under a heading that folds it away; `open` says how it stands at first.
pub fn foldable(ui: &mut Ui, id: &str, title: &str, open: bool, content: impl FnOnce(&mut Ui)) {
    let title = RichText::new(title).font(theme::bold(theme::BODY));
    egui::CollapsingHeader::new(title)
        .id_salt(id)
        .default_open(open)
        .show_unindented(ui, content);
}
