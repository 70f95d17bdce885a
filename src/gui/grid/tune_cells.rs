//! What can be clicked and dragged in the tune's lane: a click goes to a note or to silence, a drag
//! moves a note, a drag at its end makes it longer or shorter. While the pointer is down the grid
//! shows what would come of it; the document changes when it is let go.

use super::layout::Card;
use super::menu;
use super::menu::On;
use super::tune_model;
use super::tune_model::TuneCell;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Document;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::named;
use crate::gui::named::Named;
use crate::gui::words;
use crate::session::Action;
use crate::session::Selection;
use crate::session::Session;
use crate::session::TuneEntry;
use crate::session::tune_entry;
use crate::theory::Ticks;
use egui::CursorIcon;
use egui::Id;
use egui::Rect;
use egui::Sense;
use egui::Ui;

/// A note that is being dragged.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TuneDrag {
    /// Where it begins.
    note: Place,
    /// Whether its end is dragged, not all of it.
    end: bool,
    /// How far behind its begin it was taken hold of.
    grip: u32,
}

impl TuneDrag {
    /// What is done to the tune if it is let go at a place.
    #[must_use]
    pub fn entry(self, session: &Session, at: Place) -> TuneEntry {
        let (document, pen) = (session.document(), session.tune_pen());
        if self.end {
            return TuneEntry::Until(self.note, tune_entry::snap(document, pen, at));
        }
        let begin = earlier(document, at, self.grip);
        TuneEntry::Move(self.note, tune_entry::snap(document, pen, begin))
    }

    /// The document as it would be then; `None` if nothing changed.
    #[must_use]
    pub fn preview(self, session: &Session, at: Place) -> Option<Document> {
        let entry = self.entry(session, at);
        let (document, pen) = (session.document(), *session.tune_pen());
        let entered = tune_entry::enter(document, pen, self.note, entry).ok()?;
        document.apply(&entered.edit?).ok()
    }
}

/// A place some ticks earlier, over barlines; not before the first bar.
fn earlier(document: &Document, place: Place, by: u32) -> Place {
    let (mut bar, mut at) = (place.bar, i64::from(place.at.0) - i64::from(by));
    while at < 0 && bar > 0 {
        bar -= 1;
        at += i64::from(document.bar_length(bar).0);
    }
    let at = Ticks(u32::try_from(at).unwrap_or_default());
    Place { bar, at }
}

/// The id of a cell, the same in every frame.
pub(super) fn cell_id(bar: usize, at: Ticks) -> Id {
    Id::unique(("tune cell", bar, at.0))
}

/// Lets the cells of a bar react; says where a drag begins, if one does.
pub(super) fn react(
    ui: &Ui,
    session: &Session,
    card: &Card,
    (bar, cells): (usize, &[TuneCell]),
    actions: &mut Actions,
) -> Option<TuneDrag> {
    let mut begun = None;
    for cell in cells {
        begun = begun.or(cell_ui(ui, session, card, (bar, cell), actions));
    }
    begun
}

fn cell_ui(
    ui: &Ui,
    session: &Session,
    card: &Card,
    (bar, cell): (usize, &TuneCell),
    actions: &mut Actions,
) -> Option<TuneDrag> {
    let document = session.document();
    let rect = card.tune_cell(cell.at, cell.until);
    let selection = *session.selection();
    let here = selection.lane == Lane::Tune && selection.place.bar == bar;
    let within = cell.at <= selection.place.at && selection.place.at < cell.until;
    let name = tune_model::cell_name(document, bar, cell);
    let named = Named::cell(name, here && within);
    let sense = if cell.note.is_some() {
        Sense::click_and_drag()
    } else {
        Sense::CLICK
    };
    let response = named::interact(ui, rect, cell_id(bar, cell.at), sense, &named);
    let place = Place { bar, at: cell.at };
    if response.clicked() {
        let shift = ui.input(|i| i.modifiers.shift);
        actions.act(Action::Select(if shift {
            Selection {
                to_bar: Some(bar),
                ..selection
            }
        } else {
            Selection {
                lane: Lane::Tune,
                place,
                to_bar: None,
            }
        }));
        actions.window(Command::FocusGrid);
    }
    let on = On::Cell(Lane::Tune);
    menu::attach(&response, session, (on, place), actions);
    cell.note.as_ref()?;
    let at_end = |x: f32| x > rect.right() - (rect.width() / 3.0).min(8.0);
    let under = response.hover_pos().is_some_and(|pos| at_end(pos.x));
    let held = ui.input(|i| i.pointer.press_origin());
    let begun = response.drag_started().then(|| {
        let x = held.map_or(rect.left(), |pos| pos.x);
        TuneDrag {
            note: place,
            end: at_end(x),
            grip: card.tick_at(x).0.saturating_sub(cell.at.0),
        }
    });
    let icon = if under {
        CursorIcon::ResizeHorizontal
    } else {
        CursorIcon::Default
    };
    let hint = "Drag it to move it, its end to make it longer or shorter";
    response
        .on_hover_cursor(icon)
        .on_hover_text(format!("{}\n{hint}", named.name));
    begun
}

/// The cursor in a bar: the note it is on, or as much silence or time as the length in hand takes.
/// Where it lies inside a note it is a cell of its own, so that a screen reader says where it is.
pub(super) fn cursor(
    ui: &Ui,
    session: &Session,
    card: &Card,
    (bar, cells): (usize, &[TuneCell]),
) -> (Rect, Id) {
    let document = session.document();
    let at = session.selection().place.at;
    let here = cells.iter().find(|c| c.at <= at && at < c.until);
    let of_note = here.filter(|cell| cell.at == at && cell.note.is_some());
    if let Some(cell) = of_note {
        return (card.tune_cell(at, cell.until), cell_id(bar, at));
    }
    let later = cells.iter().filter(|cell| cell.at > at);
    let mut stops = later.filter(|cell| cell.note.is_some()).map(|c| c.at.0);
    let inside = here.filter(|cell| cell.note.is_some());
    let room = inside.map(|cell| cell.until.0).or_else(|| stops.next());
    let room = room.unwrap_or_else(|| document.bar_length(bar).0);
    let pen = session.tune_pen();
    let length = tune_entry::ticks_of(pen.length, document.meter).0;
    let until = Ticks(at.0.saturating_add(length).min(room));
    let rect = card.tune_cell(at, until);
    let id = cell_id(bar, at);
    if here.is_none_or(|cell| cell.at != at) {
        let what = inside.and_then(|cell| cell.note.as_ref());
        let what = what.map_or_else(|| "rest".into(), |note| format!("inside {}", note.words));
        let place = words::beat(document.meter, at);
        let name = format!("bar {}, {place}, tune: {what}", bar + 1);
        named::interact(ui, rect, id, Sense::hover(), &Named::cell(name, true));
    }
    (rect, id)
}
