//! The menu of a bar, under the right button of the pointer: copying, pasting, adding and deleting
//! whole bars. It means the selected run of bars if the pointer is in it, else the one bar.

use crate::arrange::Place;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::shortcuts;
use crate::gui::shortcuts::Deed;
use crate::session::Action;
use crate::session::BarsDeed;
use crate::session::Beside;
use crate::session::Selection;
use crate::session::Session;
use crate::session::locks::bars_words;
use crate::theory::Ticks;
use egui::Button;
use egui::Response;
use egui::Ui;

/// Asks for something to be done to the selected bars; what is copied goes to other programs too.
pub fn push(deed: BarsDeed, actions: &mut Actions) {
    let copies = matches!(deed, BarsDeed::Copy | BarsDeed::Cut);
    actions.act(Action::Bars(deed));
    if copies {
        actions.window(Command::ShareClip);
    }
}

/// Opens the menu over something in a bar.
pub(super) fn attach(response: &Response, session: &Session, bar: usize, actions: &mut Actions) {
    let selection = *session.selection();
    let (first, last) = selection.bars();
    let inside = (first..=last).contains(&bar);
    if response.secondary_clicked() && !inside {
        actions.act(Action::Select(Selection {
            place: Place { bar, at: Ticks(0) },
            to_bar: None,
            ..selection
        }));
    }
    response.context_menu(|ui| menu_ui(ui, session, actions));
}

fn menu_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    ui.set_min_width(200.0);
    let bars = bars_words(session.selection().bars());
    let can_paste = session.clip().is_some();
    let paste = |beside| BarsDeed::Paste(beside, None);
    let rows = [
        (
            format!("Copy {bars}"),
            Some(Deed::CopyBars),
            BarsDeed::Copy,
            true,
        ),
        (
            format!("Cut {bars}"),
            Some(Deed::CutBars),
            BarsDeed::Cut,
            true,
        ),
        (
            "Paste after".into(),
            Some(Deed::PasteBars),
            paste(Beside::After),
            can_paste,
        ),
        (
            "Paste before".into(),
            None,
            paste(Beside::Before),
            can_paste,
        ),
        (
            format!("Paste over {bars}"),
            None,
            paste(Beside::Over),
            can_paste,
        ),
        (
            format!("Duplicate {bars}"),
            Some(Deed::DuplicateBars),
            BarsDeed::Duplicate,
            true,
        ),
        (
            "Insert a bar after".into(),
            Some(Deed::InsertBar),
            BarsDeed::Insert(Beside::After),
            true,
        ),
        (
            "Insert a bar before".into(),
            None,
            BarsDeed::Insert(Beside::Before),
            true,
        ),
        (
            format!("Delete {bars}"),
            Some(Deed::DeleteBars),
            BarsDeed::Delete,
            true,
        ),
    ];
    for (words, key, deed, possible) in rows {
        let mut item = Button::new(&words).frame_when_inactive(false);
        if let Some(key) = key {
            item = item.shortcut_text(shortcuts::key_of(key, ui.ctx()));
        }
        let item = ui.add_enabled(possible, item).accessible_name(words);
        if item.clicked() {
            push(deed, actions);
            actions.window(Command::FocusGrid);
        }
    }
}
