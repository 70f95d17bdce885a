//! Settings of the selected bars, from the slot outwards: thumb move or, in the tune's lane, the
//! tune's note; strikes and their pattern, slide, what the line may do; at the end adding and
//! removing bars. Each part is a module.

use super::bar_line;
use super::fingers_slot;
use super::pattern;
use super::section_ui;
use super::selected::Bars;
use super::strikes;
use super::thumb_slot;
use super::tune_slot;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::gui::actions::Actions;
use crate::gui::frame::topbar::hint;
use crate::gui::grid::model;
use crate::gui::shortcuts::Deed;
use crate::gui::theme;
use crate::session::Action;
use crate::session::BarsDeed;
use crate::session::Beside;
use crate::session::Session;
use egui::DragValue;
use egui::Id;
use egui::Ui;

/// Shows the settings of the selected bars.
pub fn bar_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let Some(bars) = Bars::of(session) else {
        return;
    };
    let place = session.selection().place;
    let at = model::slot_of(session.document().meter, place.at);
    let slot = Place { at, ..place };
    let in_tune = session.selection().lane == Lane::Tune;
    section_ui(ui, "bars", &bars.title(), |ui| {
        super::lock::lock_ui(ui, session, actions);
        if in_tune {
            tune_slot::tune_ui(ui, session, place, bars, actions);
        } else {
            thumb_slot::thumb_ui(ui, session, slot, bars, actions);
        }
        strikes::strikes_ui(ui, session, bars, actions);
        pattern::pattern_ui(ui, session, bars, actions);
        if !in_tune {
            fingers_slot::slot_ui(ui, session, slot, bars, actions);
        }
        bar_line::line_ui(ui, session, bars, actions);
        super::ways::ways_ui(ui, session, actions);
        bars_ui(ui, session, bars, actions);
    });
}

/// Adding and removing bars.
fn bars_ui(ui: &mut Ui, session: &Session, bars: Bars, actions: &mut Actions) {
    ui.add_space(theme::STEP * 2.0);
    ui.horizontal(|ui| {
        let insert = ui
            .button("Add bar")
            .on_hover_text("Put an empty bar after this one");
        if insert.clicked() {
            actions.act(Action::Bars(BarsDeed::Insert(Beside::After)));
        }
        let words = match bars.count() {
            1 => "Remove bar".into(),
            count => format!("Remove {count} bars"),
        };
        let alone = session.document().n_bars() <= bars.count();
        let remove = ui.add_enabled(!alone, egui::Button::new(words));
        if remove.on_hover_text("Undo brings it back").clicked() {
            actions.act(Action::Bars(BarsDeed::Delete));
        }
    });
    repeat_ui(ui, session, bars, actions);
}

/// The selected bars over and over: so many copies, or until their section ends.
fn repeat_ui(ui: &mut Ui, session: &Session, bars: Bars, actions: &mut Actions) {
    let last = bars.first() + bars.count() - 1;
    let section = session.document().section_place(last);
    let ends = section.is_none_or(|section| section.last <= last);
    ui.horizontal(|ui| {
        let id = Id::unique("number of copies");
        let mut copies: u8 = ui.data(|data| data.get_temp(id)).unwrap_or(1);
        let number = DragValue::new(&mut copies).range(1..=64).speed(0.1);
        ui.add(number).accessible_name("number of copies");
        ui.data_mut(|data| data.insert_temp(id, copies));
        let put = ui
            .button("Put copies")
            .on_hover_text("Put this many copies of the selected bars after them");
        if put.clicked() {
            actions.act(Action::Bars(BarsDeed::Repeat(usize::from(copies))));
        }
        let fill = ui.add_enabled(!ends, egui::Button::new("Fill section"));
        let hint = hint(
            ui,
            "Repeat the selected bars until their section ends",
            Deed::RepeatToEnd,
        );
        let none = "No bar of their section comes after them";
        let fill = fill.on_hover_text(hint).on_disabled_hover_text(none);
        if fill.clicked() {
            actions.act(Action::Bars(BarsDeed::RepeatToEnd));
        }
    });
}

/// `beat 2 and`; with several bars selected `bar 5, beat 2 and`, since only one slot is meant.
pub fn slot_words(session: &Session, slot: Place, bars: Bars) -> String {
    if bars.count() > 1 {
        crate::gui::words::place(session, slot.bar, slot.at)
    } else {
        crate::gui::words::beat(session.document().meter, slot.at)
    }
}
