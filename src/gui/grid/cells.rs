//! What can be clicked in a card: the bar's number, the chords, every cell, the effort strip, marks
//! of findings. Each has a name that says place and content. A click selects; on a chord it starts
//! writing, on a mark it also shows the finding.

use super::LANES;
use super::layout::Card;
use super::menu;
use super::menu::On;
use super::model::BarView;
use super::model::SlotView;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::named;
use crate::gui::named::Named;
use crate::gui::words;
use crate::session::Action;
use crate::session::Hold;
use crate::session::Selection;
use crate::session::Session;
use crate::session::bars_words;
use crate::theory::Ticks;
use egui::Id;
use egui::Rect;
use egui::Sense;
use egui::Ui;
use egui::Vec2;

/// The id of a cell, the same in every frame.
pub(super) fn cell_id(bar: usize, at: Ticks, lane: Lane) -> Id {
    Id::unique(("cell", bar, at.0, lane.word()))
}

/// Lets everything in a card react.
pub(super) fn react(
    ui: &Ui,
    session: &Session,
    card: &Card,
    view: &BarView,
    actions: &mut Actions,
) {
    header(ui, session, card, view, actions);
    chords(ui, session, card, view, actions);
    for lane in LANES {
        for slot in &view.slots {
            cell(ui, session, card, view, (lane, slot.at), actions);
        }
    }
    strip(ui, session, card, view, actions);
    // Last, so that they lie above the cells.
    for slot in &view.slots {
        finding(ui, session, card, view, slot, actions);
    }
}

fn header(ui: &Ui, session: &Session, card: &Card, view: &BarView, actions: &mut Actions) {
    let selection = *session.selection();
    let (first, last) = selection.bars();
    let selected = selection.to_bar.is_some() && (first..=last).contains(&view.bar);
    let mut name = format!("bar {}", view.bar + 1);
    if let Some(line) = &view.own_line {
        name.push_str(&format!(", {line}"));
    }
    let named = Named::toggle(name, selected);
    let id = Id::unique(("bar", view.bar));
    let response = named::interact(ui, card.header, id, Sense::CLICK, &named);
    if response.clicked() {
        let shift = ui.input(|i| i.modifiers.shift);
        let start = Place {
            bar: view.bar,
            at: Ticks(0),
        };
        actions.act(Action::Select(Selection {
            place: if shift { selection.place } else { start },
            to_bar: Some(view.bar),
            ..selection
        }));
        actions.window(Command::FocusGrid);
    }
    let start = Place {
        bar: view.bar,
        at: Ticks(0),
    };
    menu::attach(&response, session, (On::Bar, start), actions);
    let hint = "Select the bar; with Shift, all bars up to here";
    let line = view.own_line.iter();
    response.on_hover_text(line.fold(hint.to_owned(), |hint, line| format!("{hint}\n{line}")));
}

/// Lets the mark of a section react: a click selects its bars.
pub(super) fn section(
    ui: &Ui,
    session: &Session,
    (rect, name, first): (Rect, &str, usize),
    actions: &mut Actions,
) {
    let section = session.document().section_of(first);
    let n_bars = section.map_or(1, |(section, _)| section.bars.len());
    let last = first + n_bars.saturating_sub(1);
    let selection = *session.selection();
    let selected = selection.to_bar.is_some() && selection.bars() == (first, last);
    let name = match name {
        "" => "section without a name".to_owned(),
        name => format!("section {name}"),
    };
    let name = format!("{name}, {}", bars_words((first, last)));
    let id = Id::unique(("section", first));
    let response = named::interact(ui, rect, id, Sense::CLICK, &Named::toggle(name, selected));
    if response.clicked() {
        let place = Place {
            bar: first,
            at: Ticks(0),
        };
        actions.act(Action::Select(Selection {
            place,
            to_bar: Some(last),
            ..selection
        }));
        actions.window(Command::FocusGrid);
    }
    if response.double_clicked() {
        actions.window(Command::NameSection);
    }
    let place = Place {
        bar: first,
        at: Ticks(0),
    };
    menu::attach(&response, session, (On::Section, place), actions);
    response.on_hover_text("Select the section; press twice to name it");
}

fn chords(ui: &Ui, session: &Session, card: &Card, view: &BarView, actions: &mut Actions) {
    let meter = session.document().meter;
    let blank = view
        .slots
        .iter()
        .filter(|s| s.is_beat && view.chord_at(s.at).is_none());
    for slot in blank {
        let rect = card.beat(slot.at);
        let place = words::beat(meter, slot.at);
        let name = format!("bar {}, {place}, write a chord", view.bar + 1);
        chord(ui, session, (view.bar, slot.at), rect, &name, actions);
    }
    for (i, symbol) in view.chords.iter().enumerate() {
        let whole = card.chord(symbol.at, view.chords.get(i + 1).map(|c| c.at));
        let n_letters = u8::try_from(symbol.text.chars().count()).unwrap_or(u8::MAX);
        let width = (10.0 + 11.0 * f32::from(n_letters)).min(whole.width());
        let rect = Rect::from_min_size(whole.min, Vec2::new(width, whole.height()));
        let place = words::beat(meter, symbol.at);
        let problem = if symbol.unplayable {
            ", no playable voicing"
        } else if symbol.decided {
            ", grip locked"
        } else {
            ""
        };
        let name = format!(
            "bar {}, {place}, chord {}{problem}",
            view.bar + 1,
            symbol.text
        );
        chord(ui, session, (view.bar, symbol.at), rect, &name, actions);
    }
}

fn chord(
    ui: &Ui,
    session: &Session,
    (bar, at): (usize, Ticks),
    rect: Rect,
    name: &str,
    actions: &mut Actions,
) {
    let id = Id::unique(("chord", bar, at.0));
    let response = named::interact(ui, rect, id, Sense::CLICK, &Named::button(name));
    if response.clicked() {
        actions.window(Command::EditChord { bar, at });
    }
    menu::attach(&response, session, (On::Chord, Place { bar, at }), actions);
    response.on_hover_cursor(egui::CursorIcon::Text);
}

fn cell(
    ui: &Ui,
    session: &Session,
    card: &Card,
    view: &BarView,
    (lane, at): (Lane, Ticks),
    actions: &mut Actions,
) {
    let slot = view.slots.iter().find(|s| s.at == at);
    let (Some(slot), Some(rect)) = (slot, card.cell(lane, at)) else {
        return;
    };
    let selection = *session.selection();
    let place = Place { bar: view.bar, at };
    let selected = selection.lane == lane && selection.place == place;
    let name = view.cell_name(session.document().meter, slot, lane);
    let named = Named::cell(name, selected);
    let id = cell_id(view.bar, at, lane);
    let response = named::interact(ui, rect, id, Sense::CLICK, &named);
    if response.clicked() {
        let shift = ui.input(|i| i.modifiers.shift);
        let wanted = if shift {
            Selection {
                to_bar: Some(view.bar),
                ..selection
            }
        } else {
            Selection {
                lane,
                place,
                to_bar: None,
            }
        };
        actions.act(Action::Select(wanted));
        actions.window(Command::FocusGrid);
    }
    menu::attach(&response, session, (On::Cell(lane), place), actions);
    let full = match lane {
        Lane::Thumb => slot.thumb.is_some() || slot.thumb_hold != Hold::Free,
        Lane::Fingers => slot.fingers.is_some(),
        Lane::Tune => false,
    };
    if full {
        response.on_hover_text(named.name);
    }
}

fn finding(
    ui: &Ui,
    session: &Session,
    card: &Card,
    view: &BarView,
    slot: &SlotView,
    actions: &mut Actions,
) {
    let (Some(finding), Some(rect)) = (&slot.finding, card.finding(slot.at)) else {
        return;
    };
    let place = words::place(session, view.bar, finding.at);
    let named = Named::button(format!("finding: {place}: {}", finding.words));
    let id = Id::unique(("finding", view.bar, slot.at.0));
    let response = named::interact(ui, rect, id, Sense::CLICK, &named);
    if response.clicked() {
        let place = Place {
            bar: view.bar,
            at: finding.at,
        };
        actions.act(Action::Select(Selection {
            place,
            to_bar: None,
            ..*session.selection()
        }));
        actions.window(Command::ShowFindings(place));
        actions.window(Command::FocusGrid);
    }
    response.on_hover_text(format!(
        "{}\nClick to see what helps",
        words::sentence(&finding.words)
    ));
}

fn strip(ui: &Ui, session: &Session, card: &Card, view: &BarView, actions: &mut Actions) {
    let meter = session.document().meter;
    let named = Named::button(format!("bar {}, effort", view.bar + 1));
    let id = Id::unique(("effort", view.bar));
    let response = named::interact(ui, card.strip, id, Sense::CLICK, &named);
    let under = response
        .hover_pos()
        .or_else(|| response.interact_pointer_pos());
    let column = under.and_then(|pos| card.columns.iter().find(|(_, x)| x.contains(pos.x)));
    let slot = column.and_then(|(at, _)| view.slots.iter().find(|s| s.at == *at));
    let Some(slot) = slot else {
        return;
    };
    if response.clicked() {
        actions.act(Action::Select(Selection {
            place: Place {
                bar: view.bar,
                at: slot.at,
            },
            to_bar: None,
            ..*session.selection()
        }));
        actions.window(Command::FocusGrid);
    }
    if let Some((cost, terms)) = &slot.effort {
        let place = words::beat(meter, slot.at);
        let mark = if slot.hardest {
            "\nThe hardest change of the tune"
        } else {
            ""
        };
        response.on_hover_text_at_pointer(format!(
            "Bar {}, {place}: effort {cost}\n{terms}{mark}",
            view.bar + 1
        ));
    }
}
