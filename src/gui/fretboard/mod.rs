//! The fretboard along the bottom: the grip at the selection or the play-head, the thumb's next
//! note, and the whole chord's degrees on request. A click puts the thumb of the selected slot
//! there, or says in one sentence why that cannot be; with the tune's lane selected it writes the
//! note.

mod layout;
mod model;
mod paint;
mod reach;

use super::actions::Actions;
use super::actions::Command;
use super::named;
use super::named::Named;
use super::theme;
use super::words;
use crate::arrange::Lane;
use crate::document::Edit;
use crate::document::ThumbCell;
use crate::instrument::StringIdx;
use crate::session::Action;
use crate::session::Session;
use crate::session::TuneEntry;
use crate::session::tune_entry;
use crate::theory::Midi;
use egui::Align;
use egui::Id;
use egui::Layout;
use egui::Rect;
use egui::Sense;
use egui::Ui;
use layout::Board;
use layout::HIGHEST_THUMB_STRING;
use model::BoardView;
pub use model::chord_at;
use reach::HandHere;

/// What the fretboard remembers between frames.
#[derive(Debug, Default)]
pub struct FretboardState {
    /// Whether the degrees of the whole chord are shown.
    pub degrees: bool,
}

/// Shows the fretboard.
pub fn fretboard_ui(
    ui: &mut Ui,
    session: &Session,
    state: &mut FretboardState,
    actions: &mut Actions,
) {
    let document = session.document();
    let instrument = &document.instrument;
    let view = model::board_view(session, state.degrees, instrument.frets.min(17));
    ui.horizontal(|ui| {
        ui.set_height(28.0);
        ui.label(&view.caption);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let hint = "Show every chord tone on the board by its degree";
            ui.checkbox(&mut state.degrees, "Degrees")
                .on_hover_text(hint);
        });
    });
    let room = ui.available_rect_before_wrap();
    let mut area = room.shrink2(egui::vec2(4.0, 0.0));
    area.max.y -= 20.0;
    let area = Rect::from_min_max(area.min, area.max);
    let highest = view.marks.iter().map(|m| m.fret).max().unwrap_or(0);
    let need = highest.saturating_add(instrument.capo).saturating_add(1);
    let board = Board::new(area, instrument, need);
    let p = theme::palette(ui.visuals());
    let painter = ui.painter();
    paint::board(painter, p, &board, instrument);
    let names: Vec<String> = instrument
        .tuning
        .open()
        .iter()
        .map(|m| string_name(session, *m))
        .collect();
    paint::string_names(painter, p, &board, &names);
    let hand = HandHere::new(session);
    if let Some(hand) = &hand {
        paint::zone(painter, p, &board, &hand.zone());
    }
    paint::moment(painter, p, &board, &view);
    react(ui, session, &board, area, &view, actions);
    ui.advance_cursor_after_rect(room);
}

/// A string is called by its letter in any key: B, also where the key has a C♭.
fn string_name(session: &Session, open: Midi) -> String {
    let naturals = [
        (0, "C"),
        (2, "D"),
        (4, "E"),
        (5, "F"),
        (7, "G"),
        (9, "A"),
        (11, "B"),
    ];
    let natural = naturals.iter().find(|(n, _)| *n == open.number() % 12);
    natural.map_or_else(|| name(session, open), |(_, letter)| (*letter).to_owned())
}

fn name(session: &Session, pitch: Midi) -> String {
    session
        .document()
        .key
        .spell(pitch.pitch_class(), false)
        .pretty()
}

fn react(
    ui: &Ui,
    session: &Session,
    board: &Board,
    area: Rect,
    view: &BoardView,
    actions: &mut Actions,
) {
    let whole = area.union(board.rect);
    let named = Named::picture(format!("fretboard: {}", view.caption));
    let id = Id::unique("fretboard");
    let response = named::interact(ui, whole, id, Sense::CLICK, &named);
    let clicked = response.clicked();
    let point = if clicked {
        response.interact_pointer_pos()
    } else {
        response.hover_pos()
    };
    let Some((string, fret)) = point.and_then(|point| board.at(point)) else {
        return;
    };
    let p = theme::palette(ui.visuals());
    paint::hover(ui.painter(), p, board, (string, fret));
    if session.selection().lane == Lane::Tune {
        let tip = use_for_tune(session, (string, fret), clicked, actions);
        response.on_hover_text_at_pointer(tip);
        return;
    }
    match use_for_thumb(session, string, fret) {
        Ok((edit, tip)) => {
            if clicked {
                actions.edit(edit);
            }
            response.on_hover_text_at_pointer(tip);
        }
        Err(tip) => {
            response.on_hover_text_at_pointer(tip);
        }
    }
}

/// Writes the note of a place into the tune if it was clicked; the tip says what a click does.
fn use_for_tune(
    session: &Session,
    (string, fret): (StringIdx, u8),
    clicked: bool,
    actions: &mut Actions,
) -> String {
    let (document, place) = (session.document(), session.selection().place);
    let instrument = &document.instrument;
    let on_neck = words::place_on_neck(string, fret, instrument.n_strings());
    let Some(pitch) = instrument.pitch(string, fret) else {
        return on_neck;
    };
    if clicked {
        actions.act(Action::Tune(TuneEntry::Pitch(pitch)));
        actions.window(Command::RevealSelection);
        actions.window(Command::FocusGrid);
    }
    let spelling = tune_entry::spelling_at(document, place, pitch, true);
    let note = format!("{}{}", spelling.pretty(), spelling.octave_of(pitch));
    let whose = words::place(session, place.bar, place.at);
    format!("{note}, {on_neck}\nClick to write it in the tune at {whose}")
}

/// The edit that puts the selected slot's thumb note at a place, with a tip; or why it can't be.
fn use_for_thumb(session: &Session, string: StringIdx, fret: u8) -> Result<(Edit, String), String> {
    let instrument = &session.document().instrument;
    let number = string.number(instrument.n_strings());
    let pitch = instrument.pitch(string, fret);
    let note = pitch.map(|p| name(session, p)).unwrap_or_default();
    let what = format!("{note}, string {number} fret {fret}");
    if session.document().n_bars() == 0 {
        return Err(what);
    }
    let selection = session.selection();
    if selection.lane != Lane::Thumb {
        return Err(format!("{what}\nSelect a thumb cell to use it there"));
    }
    if number < HIGHEST_THUMB_STRING {
        let lowest = instrument.n_strings();
        return Err(format!(
            "{what}\nThe thumb plays strings {lowest} to {HIGHEST_THUMB_STRING}"
        ));
    }
    let place = selection.place;
    let edit = Edit::SetThumb {
        bar: place.bar,
        at: place.at,
        cell: Some(ThumbCell::Place(string, fret)),
    };
    let whose = words::place(session, place.bar, place.at);
    let mut tip = format!("{what}\nClick to use it for the thumb at {whose}");
    let hand = HandHere::new(session);
    if let Some(refusal) = hand.and_then(|hand| hand.why_not(string, fret)) {
        tip.push_str(&format!("\nThe chord can't go on ringing: {refusal}"));
    }
    Ok((edit, tip))
}
