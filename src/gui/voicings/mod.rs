//! The voicings of the selected chord: filters, the list by effort, and up to four pinned for
//! comparison. Only cards in view are built. Chooses nothing: it asks by actions.

mod card;
mod compare;
mod diagram;
mod filter;

use super::actions::Actions;
use super::controls;
use super::fretboard;
use super::grid::HeldVoicing;
use super::named;
use super::named::Named;
use super::theme;
use crate::instrument::Shape;
use crate::session::ChordNumber;
use crate::session::Session;
use crate::session::SolverStatus;
use crate::session::candidates;
use crate::session::candidates::MOST_LISTED;
use egui::Button;
use egui::Id;
use egui::Rect;
use egui::RichText;
use egui::ScrollArea;
use egui::Sense;
use egui::Ui;

/// What the panel remembers between frames.
#[derive(Debug, Default)]
pub struct VoicingsState {
    /// Whether the pinned voicings are compared instead of the whole list.
    pub compare: bool,
    /// The chord whose voicings are listed, to begin at the top with another one.
    listed: Option<(Option<ChordNumber>, String)>,
    /// The row that the list is to be scrolled to.
    go_to: Option<usize>,
}

/// Shows the panel.
pub fn voicings_ui(
    ui: &mut Ui,
    session: &Session,
    state: &mut VoicingsState,
    actions: &mut Actions,
) {
    let place = session.selection().place;
    let chord = fretboard::chord_at(session, place);
    let Some((name, chord)) = chord else {
        ui.heading("Voicings");
        controls::caption(ui, "Select a bar with a chord to see every way to play it");
        return;
    };
    let number = candidates::chord_at(session.document(), place);
    let of = number.map(|(bar, idx, _)| (bar, idx));
    let pins = session.pins();
    ui.horizontal(|ui| {
        ui.heading(format!("Voicings of {name}"));
        let n = session.candidates().len();
        let words = match n {
            MOST_LISTED => format!("the {n} easiest"),
            _ => format!("{n} found"),
        };
        controls::caption(ui, &words);
    });
    let now = Some((of, name));
    if state.listed != now {
        state.listed = now;
        state.go_to = Some(0);
    }
    ui.horizontal(|ui| {
        ui.selectable_value(&mut state.compare, false, "List");
        let words = format!("Compare {} pinned", pins.len());
        ui.add_enabled_ui(!pins.is_empty(), |ui| {
            ui.selectable_value(&mut state.compare, true, words)
                .on_disabled_hover_text("Pin voicings in the list to compare them here");
        });
    });
    if state.compare && !pins.is_empty() {
        let left_handed = session.document().instrument.left_handed;
        ScrollArea::both()
            .id_salt("pinned")
            .auto_shrink(false)
            .min_scrolled_height(0.0)
            .show(ui, |ui| {
                compare::compare_ui(ui, pins, (of, left_handed), actions);
            });
        return;
    }
    filter::filter_ui(ui, session, Some(&chord), actions);
    ui.add_space(4.0);
    in_use_ui(ui, session, state);
    list_ui(ui, session, of, state, actions);
}

/// Where in the list the voicing in use stands, and a way there.
fn in_use_ui(ui: &mut Ui, session: &Session, state: &mut VoicingsState) {
    let Some(shape) = used_shape(session) else {
        return;
    };
    let mut shapes = session.candidates().iter().map(|c| c.voicing.grip.shape);
    let Some(row) = shapes.position(|listed| listed == shape) else {
        controls::caption(ui, &format!("In use {shape}, not in this list"));
        return;
    };
    let p = theme::palette(ui.visuals());
    let words = format!("In use {shape}, number {}", row + 1);
    let text = RichText::new(words).small().color(p.thumb_text).underline();
    let button = ui.add(Button::new(text).frame(false));
    if button.on_hover_text("Show it in the list").clicked() {
        state.go_to = Some(row);
    }
}

/// Lets a voicing's diagram be dragged onto a chord of the grid.
fn draggable(ui: &Ui, diagram: Rect, of: Option<ChordNumber>, shape: Shape) {
    let Some(of) = of else {
        return;
    };
    let id = Id::unique(("held", shape));
    let named = Named::picture(format!("diagram of {shape}"));
    let response = named::interact(ui, diagram, id, Sense::DRAG, &named);
    response.dnd_set_drag_payload(HeldVoicing { of, shape });
    response.on_hover_text(
        "Drag it onto a chord or a bar of the grid; pinned, it goes there with Alt and its number",
    );
}

fn list_ui(
    ui: &mut Ui,
    session: &Session,
    of: Option<ChordNumber>,
    state: &mut VoicingsState,
    actions: &mut Actions,
) {
    let candidates = session.candidates();
    if candidates.is_empty() {
        let words = if matches!(session.solver(), SolverStatus::Working { .. }) {
            "Looking for voicings…"
        } else {
            "No voicing within these limits. Allow another bass, open strings or a barre, or the \
             whole neck."
        };
        controls::caption(ui, words);
        return;
    }
    let most = candidates
        .iter()
        .map(|c| c.voicing.effort.total())
        .max()
        .unwrap_or_default();
    let in_use = used_shape(session);
    let pins = session.pins();
    let left_handed = session.document().instrument.left_handed;
    let height = card::HEIGHT - ui.spacing().item_spacing.y;
    let mut list = ScrollArea::vertical()
        .id_salt("voicing list")
        .auto_shrink(false)
        .min_scrolled_height(0.0);
    if let Some(row) = state.go_to.take() {
        list = list.vertical_scroll_offset(row as f32 * card::HEIGHT);
    }
    list.show_rows(ui, height, candidates.len(), |ui, range| {
        for candidate in candidates.get(range).unwrap_or_default() {
            let shape = candidate.voicing.grip.shape;
            let around = card::Around {
                most,
                in_use: in_use == Some(shape),
                pinned: pins
                    .iter()
                    .position(|p| p.voicing.grip == candidate.voicing.grip),
                may_pin: pins.len() < 4,
                left_handed,
                of,
            };
            ui.push_id(candidate.voicing.grip, |ui| {
                card::card_ui(ui, candidate, around, actions);
            });
        }
    });
}

fn used_shape(session: &Session) -> Option<Shape> {
    let place = session.selection().place;
    let grips = session.arrangement()?.grips.iter().rev();
    let grip = grips.into_iter().find(|grip| grip.place <= place)?;
    grip.voicing.as_ref().map(|v| v.grip.shape)
}
