//! The strip in which places are looked for: what is typed is found at once, with its count, and
//! one can step from place to place. The places are marked in the grid.

use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Document;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::icons;
use crate::gui::icons::Icon;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Action;
use crate::session::Found;
use crate::session::Selection;
use crate::session::Session;
use egui::Align;
use egui::Id;
use egui::Key;
use egui::Label;
use egui::Layout;
use egui::RichText;
use egui::TextEdit;
use egui::Ui;
use std::sync::Arc;

/// What the strip remembers between frames.
#[derive(Debug, Default)]
pub struct FindState {
    /// Whether it is open.
    pub open: bool,
    text: String,
    found: Option<Found>,
    /// What was searched.
    of: Option<(Arc<Document>, Option<Arc<Arrangement>>)>,
    is_new: bool,
}

impl FindState {
    /// Opens it, with a text if one is given.
    pub fn open(&mut self, text: Option<String>) {
        self.open = true;
        self.is_new = true;
        if let Some(text) = text {
            self.text = text;
            self.of = None;
        }
    }

    /// Whether anything is looked for.
    #[must_use]
    pub fn looks_for_something(&self) -> bool {
        !self.text.trim().is_empty()
    }

    /// The places found, and the lane they are in, while the strip is open.
    #[must_use]
    pub fn marks(&self) -> (&[Place], Option<Lane>) {
        let found = self.found.as_ref().filter(|_| self.open);
        found.map_or((&[], None), |found| (&found.places, found.lane))
    }

    /// Looks again if the document, the arrangement or the text is another one.
    pub fn renew(&mut self, session: &Session) {
        let same = self.of.as_ref().is_some_and(|(document, arrangement)| {
            let now = session.arrangement();
            Arc::ptr_eq(document, session.document())
                && arrangement.as_ref().map(Arc::as_ptr) == now.map(Arc::as_ptr)
        });
        if !same {
            self.found = session.find(&self.text);
            let arrangement = session.arrangement().map(Arc::clone);
            self.of = Some((Arc::clone(session.document()), arrangement));
        }
    }

    /// What is selected after a step to the next place, or to the one before; round and round.
    #[must_use]
    pub fn step(&self, session: &Session, on: bool) -> Option<Selection> {
        let places = &self.found.as_ref()?.places;
        let here = session.selection().place;
        let next = if on {
            places
                .iter()
                .find(|place| **place > here)
                .or(places.first())
        } else {
            let before = places.iter().rev().find(|place| **place < here);
            before.or(places.last())
        };
        Some(self.selection(session, *next?))
    }

    /// The first place from the selected one on.
    fn nearest(&self, session: &Session) -> Option<Selection> {
        let places = &self.found.as_ref()?.places;
        let here = session.selection().place;
        let next = places.iter().find(|place| **place >= here);
        Some(self.selection(session, *next.or(places.first())?))
    }

    fn selection(&self, session: &Session, place: Place) -> Selection {
        let now = *session.selection();
        let lane = self.found.as_ref().and_then(|found| found.lane);
        Selection {
            lane: lane.unwrap_or(now.lane),
            place,
            to_bar: None,
        }
    }

    /// `chord Dm7: 2 of 5`.
    fn words(&self, session: &Session) -> String {
        let Some(found) = &self.found else {
            return String::new();
        };
        let what = words::pretty(&found.words);
        let here = session.selection().place;
        let n = found.places.len();
        match (n, found.places.iter().position(|place| *place == here)) {
            (0, _) => format!("{what}: not in this tune"),
            (n, Some(idx)) => format!("{what}: {} of {n}", idx + 1),
            (1, None) => format!("{what}: one place"),
            (n, None) => format!("{what}: {n} places"),
        }
    }
}

/// Goes to a place without taking the keyboard from the strip.
pub fn go(selection: Selection, actions: &mut Actions) {
    actions.act(Action::Select(selection));
    actions.window(Command::RevealSelection);
}

/// Shows the strip.
pub fn find_ui(ui: &mut Ui, session: &Session, state: &mut FindState, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    let id = Id::unique("find field");
    let mut step = None;
    if ui.memory(|memory| memory.has_focus(id)) {
        ui.input_mut(|input| {
            if input.consume_key(egui::Modifiers::SHIFT, Key::Enter) {
                step = Some(false);
            } else if input.consume_key(egui::Modifiers::NONE, Key::Enter) {
                step = Some(true);
            }
        });
    }
    ui.horizontal_centered(|ui| {
        let label = ui.label(RichText::new("Find").font(theme::bold(theme::BODY)));
        let field = TextEdit::singleline(&mut state.text)
            .id(id)
            .hint_text("Dm7, ii7, m7b5, ghost, bar 12, …")
            .desired_width(200.0);
        let response = ui.add(field).labelled_by(label.id);
        if std::mem::take(&mut state.is_new) {
            response.request_focus();
        }
        if response.changed() {
            state.of = None;
            state.renew(session);
            if let Some(selection) = state.nearest(session) {
                go(selection, actions);
            }
        }
        if response.lost_focus() && ui.input(|i| i.key_pressed(Key::Escape)) {
            state.open = false;
            actions.window(Command::FocusGrid);
        }
        let any = state
            .found
            .as_ref()
            .is_some_and(|found| !found.places.is_empty());
        for (words, hint, on) in [
            ("Before", "The place before (Shift+Enter, Shift+F3)", false),
            ("Next", "The next place (Enter, F3)", true),
        ] {
            let button = ui.add_enabled(any, egui::Button::new(words));
            let name = if on {
                "next place found"
            } else {
                "place found before"
            };
            let button = button.on_hover_text(hint).accessible_name(name);
            if button.clicked() {
                step = Some(on);
            }
        }
        let colour = if any { p.ink } else { p.ink_soft };
        let words = RichText::new(words::sentence(&state.words(session))).color(colour);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let close = icons::button(ui, Icon::Close, "close find", "Close (Esc)", None);
            if close.clicked() {
                state.open = false;
                actions.window(Command::FocusGrid);
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(Label::new(words).truncate());
            });
        });
    });
    if let Some(selection) = step.and_then(|on| state.step(session, on)) {
        go(selection, actions);
    }
}
