//! Naming a section where its mark stands: a text field over it. Enter takes the name, Escape leaves
//! it as it was.

use super::layout::GUTTER;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::theme;
use crate::session::Action;
use crate::session::SectionDeed;
use crate::session::Selection;
use crate::session::Session;
use egui::Id;
use egui::Key;
use egui::Rect;
use egui::TextEdit;
use egui::Ui;
use egui::Vec2;

/// A section being named.
#[derive(Clone, Debug)]
pub struct SectionName {
    /// Its first bar.
    pub first: usize,
    text: String,
    is_new: bool,
}

impl SectionName {
    /// Starts naming the section of a bar; `None` if there is no such bar.
    #[must_use]
    pub fn new(session: &Session, bar: usize) -> Option<Self> {
        let place = session.document().section_place(bar)?;
        let section = session.document().sections.get(place.idx)?;
        Some(Self {
            first: place.first,
            text: section.name.clone(),
            is_new: true,
        })
    }

    /// Shows the field at the left of its row; says whether it stays open.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        row: Rect,
        session: &Session,
        actions: &mut Actions,
    ) -> bool {
        let size = Vec2::new(160.0, 28.0);
        let rect = Rect::from_min_size(row.left_top() - Vec2::new(0.0, 2.0), size);
        let field = TextEdit::singleline(&mut self.text)
            .id(Id::unique(("section field", self.first)))
            .font(theme::bold(theme::BODY))
            .char_limit(40)
            .desired_width(size.x)
            .min_size(size);
        let response = ui.put(rect, field).accessible_name("name of the section");
        debug_assert!(size.x > GUTTER, "the field covers the mark");
        if self.is_new {
            response.request_focus();
            self.is_new = false;
            // What stands there goes with the first letter.
            if let Some(mut state) = egui::text_edit::TextEditState::load(ui.ctx(), response.id) {
                let all = egui::text::CCursorRange::two(
                    egui::text::CCursor::new(0),
                    egui::text::CCursor::new(self.text.chars().count()),
                );
                state.cursor.set_char_range(Some(all));
                state.store(ui.ctx(), response.id);
            }
        }
        if !response.lost_focus() {
            return true;
        }
        if ui.input(|i| !i.key_pressed(Key::Escape)) {
            let selection = *session.selection();
            let inside = session.document().section_place(selection.place.bar);
            if inside.is_none_or(|place| place.first != self.first) {
                let mut there = Selection {
                    to_bar: None,
                    ..selection
                };
                there.place.bar = self.first;
                actions.act(Action::Select(there));
            }
            actions.act(Action::Section(SectionDeed::Rename(self.text.clone())));
        }
        actions.window(Command::FocusGrid);
        false
    }
}
