//! Settings of the selected bar: the thumb move of the selected slot as toggles with their codes,
//! and the strikes of the fingers slot by slot. Shows what the tool chose until the user decides.

use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Edit;
use crate::document::ThumbCell;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::grid::keys;
use crate::gui::grid::model;
use crate::gui::named;
use crate::gui::named::Named;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Session;
use crate::theory::Articulation;
use crate::theory::Pluck;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use egui::CornerRadius;
use egui::Sense;
use egui::Shape;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;
use egui::Vec2;

/// Shows the settings of the selected bar.
pub fn bar_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let place = session.selection().place;
    let document = session.document();
    let Some(bar) = document.bar(place.bar) else {
        return;
    };
    ui.heading(format!("Bar {}", place.bar + 1));
    super::lock::lock_ui(ui, session, actions);
    let at = model::slot_of(document.meter, place.at);
    thumb_ui(ui, session, Place { at, ..place }, actions);
    controls::heading(ui, "Fingers");
    plucks_ui(ui, session, place.bar, actions);
    ui.add_enabled_ui(bar.plucks.is_some(), |ui| {
        let clear = ui.button("Use the tune's pattern");
        if clear.clicked() {
            actions.edit(Edit::SetPlucks {
                bar: place.bar,
                plucks: None,
            });
        }
    });
    bars_ui(ui, session, actions);
    ui.separator();
}

fn thumb_ui(ui: &mut Ui, session: &Session, place: Place, actions: &mut Actions) {
    let decided = session
        .document()
        .bar(place.bar)
        .and_then(|b| b.thumb.iter().find(|(at, _)| *at == place.at))
        .map(|(_, cell)| *cell);
    let played = session.arrangement().and_then(|a| {
        a.notes_in_bar(place.bar)
            .find(|n| n.lane == Lane::Thumb && n.place.at == place.at)
            .and_then(|n| n.thumb_move)
    });
    let beat = words::beat(session.document().meter, place.at);
    controls::heading(ui, &format!("Thumb on {beat}"));
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(4.0);
        for thumb_move in ThumbMove::ALL {
            let own = decided == Some(ThumbCell::Move(thumb_move));
            let shown = own || (decided.is_none() && played == Some(thumb_move));
            if move_button(ui, thumb_move, shown, own) {
                let cell = (!own).then_some(ThumbCell::Move(thumb_move));
                actions.edit(keys::thumb(place, cell));
            }
        }
    });
    let state = match decided {
        Some(ThumbCell::Kept(..)) => "Kept as it was.",
        Some(ThumbCell::Move(_)) => "Your choice; press it again to leave it to the tool.",
        Some(ThumbCell::Place(..)) => "You chose the string and fret.",
        None if played.is_some() => "Chosen by the tool.",
        None => "The thumb rests here.",
    };
    controls::caption(ui, state);
    if decided.is_some() && ui.button("Leave to the tool").clicked() {
        actions.edit(keys::thumb(place, None));
    }
}

fn move_button(ui: &mut Ui, thumb_move: ThumbMove, shown: bool, own: bool) -> bool {
    let (id, rect) = ui.allocate_space(Vec2::new(34.0, 28.0));
    let name = format!("thumb move: {}", words::thumb_move(thumb_move));
    let response = named::interact(ui, rect, id, Sense::click(), &Named::toggle(name, shown));
    let p = theme::palette(ui.visuals());
    let (fill, outline, ink) = match (own, shown) {
        (true, _) => (p.thumb, Stroke::new(1.0, p.thumb_text), p.on_thumb),
        (false, true) => (p.selection, Stroke::new(1.0, p.thumb_text), p.thumb_text),
        (false, false) => (p.card, Stroke::new(1.0, p.lines), p.ink),
    };
    let fill = if response.hovered() && !own {
        p.hover
    } else {
        fill
    };
    let outline = if response.has_focus() {
        Stroke::new(2.0, p.ink)
    } else {
        outline
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

fn plucks_ui(ui: &mut Ui, session: &Session, bar: usize, actions: &mut Actions) {
    let document = session.document();
    let plucks = keys::plucks(session, bar);
    let slots: Vec<Ticks> = model::slots(document.meter, document.bar_length(bar)).collect();
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing = Vec2::new(2.0, 4.0);
        let n = f32::from(u8::try_from(slots.len().max(1)).unwrap_or(u8::MAX));
        let width = ((ui.available_width() + 2.0) / n - 2.0).clamp(12.0, 24.0);
        for at in slots {
            let now = plucks.iter().find(|p| p.at == at);
            if pluck_button(ui, session, (bar, at), width, now) {
                let next = match now.map(|p| p.articulation) {
                    None => Some(Articulation::Ring),
                    Some(Articulation::Ring) => Some(Articulation::Short),
                    Some(Articulation::Short) => None,
                };
                actions.edit(keys::pluck(session, Place { bar, at }, next));
            }
        }
    });
}

fn pluck_button(
    ui: &mut Ui,
    session: &Session,
    (bar, at): (usize, Ticks),
    width: f32,
    now: Option<&Pluck>,
) -> bool {
    let is_beat = at.within_beat() == 0;
    let (id, rect) = ui.allocate_space(Vec2::new(width, 40.0));
    let state = match now.map(|p| p.articulation) {
        None => "no pluck",
        Some(Articulation::Ring) => "ring",
        Some(Articulation::Short) => "short",
    };
    let name = format!("pluck at {}: {state}", words::place(session, bar, at));
    let named = Named::toggle(name, now.is_some());
    let response = named::interact(ui, rect, id, Sense::click(), &named);
    let p = theme::palette(ui.visuals());
    let fill = if response.hovered() { p.hover } else { p.card };
    let outline = if response.has_focus() {
        Stroke::new(2.0, p.thumb_text)
    } else {
        Stroke::new(1.0, p.lines)
    };
    let painter = ui.painter();
    let radius = CornerRadius::same(theme::RADIUS);
    painter.rect(rect, radius, fill, outline, StrokeKind::Inside);
    let centre = rect.center() - Vec2::new(0.0, 7.0);
    if let Some(pluck) = now {
        pluck_mark(painter, p, centre, 6.0, pluck.articulation);
    }
    let label = if is_beat {
        (at.beat_idx() + 1).to_string()
    } else {
        "+".into()
    };
    let below = rect.center_bottom() - Vec2::new(0.0, 9.0);
    let font = theme::text(theme::SMALL);
    painter.text(below, egui::Align2::CENTER_CENTER, label, font, p.ink_soft);
    let clicked = response.clicked();
    response.on_hover_text(format!("{state}; click for the next: ring, short, none"));
    clicked
}

/// The mark of a strike: a full circle rings, a half one is short.
pub fn pluck_mark(
    painter: &egui::Painter,
    p: &theme::Palette,
    centre: egui::Pos2,
    radius: f32,
    articulation: Articulation,
) {
    let outline = Stroke::new(1.0, p.fingers_text);
    match articulation {
        Articulation::Ring => {
            painter.circle(centre, radius, p.fingers, outline);
        }
        Articulation::Short => {
            let point = |step: u8| {
                let angle = f32::from(step) / 16.0 * std::f32::consts::PI;
                centre + radius * Vec2::angled(angle)
            };
            let half = (0..=16).map(point).collect();
            painter.add(Shape::convex_polygon(half, p.fingers, Stroke::NONE));
            painter.circle_stroke(centre, radius, outline);
        }
    }
}

/// Adding and removing bars.
fn bars_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let (first, last) = session.selection().bars();
    ui.add_space(theme::STEP);
    ui.horizontal(|ui| {
        let insert = ui
            .button("Add bar")
            .on_hover_text("Put an empty bar after this one");
        if insert.clicked() {
            actions.edit(Edit::InsertBars {
                before: last + 1,
                count: 1,
            });
        }
        let words = if last > first {
            format!("Remove {} bars", last - first + 1)
        } else {
            "Remove bar".into()
        };
        let alone = session.document().n_bars() <= last - first + 1;
        let remove = ui.add_enabled(!alone, egui::Button::new(words));
        if remove.on_hover_text("Undo brings it back").clicked() {
            actions.edit(Edit::DeleteBars { first, last });
        }
    });
}
