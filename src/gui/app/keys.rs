//! Turns keys into actions, at the start of a frame, before any widget can see them. Which key
//! means what is in the shortcut table; what it does in the grid is in the grid.

use super::App;
use crate::arrange::Lane;
use crate::gui::grid;
use crate::gui::shortcuts;
use crate::gui::shortcuts::Scope;
use crate::session::Area;
use egui::Context;
use egui::Popup;

impl App {
    /// Takes the keys of this frame.
    pub(super) fn take_keys(&mut self, ctx: &Context) {
        // Not what the context says of this frame's popups: none is drawn yet when keys are taken.
        if self.view.waiting.is_some() || Popup::is_any_open(ctx) {
            return;
        }
        let typing = ctx.text_edit_focused();
        if self.scopes(ctx).contains(&Scope::Grid) {
            for (deed, text) in shortcuts::take_clipboard(ctx) {
                self.do_bars(deed, text);
            }
        }
        // Each key acts on what the one before it has done, however many come in one frame. What
        // opens a field or asks a question leaves the rest to it.
        let before = self.wants_keys();
        while self.wants_keys() == before {
            let scopes = self.scopes(ctx);
            let Some(deed) = shortcuts::take_next(ctx, &scopes, typing) else {
                return;
            };
            self.do_deed(deed);
            self.carry_out(ctx);
        }
    }

    /// What is open that keys may be meant for: a chord's or a section's field, a strip, a question, a path.
    const fn wants_keys(&self) -> [bool; 6] {
        let view = &self.view;
        [
            view.grid.edit.is_some(),
            view.grid.naming.is_some(),
            view.doing.open,
            view.find.open,
            view.waiting.is_some(),
            view.dialogs.is_asking(),
        ]
    }

    /// Gives the keyboard to the grid if nothing else has it: after a click on a button the next
    /// key is meant for the bars again. Call at the end of a frame.
    pub(super) fn keep_keyboard(&self, ctx: &Context) {
        let is_free = ctx.memory(|memory| memory.focused().is_none());
        let is_busy = self.wants_keys().contains(&true) || Popup::is_any_open(ctx);
        let is_held = ctx.input(|input| input.pointer.any_down());
        let can_have_it = self.shows_grid() && ctx.read_response(grid::id()).is_some();
        if is_free && can_have_it && !is_busy && !is_held {
            ctx.memory_mut(|memory| memory.request_focus(grid::id()));
            ctx.request_repaint();
        }
    }

    fn shows_grid(&self) -> bool {
        self.session.document().n_bars() > 0
            && self.session.area() == Area::Arrange
            && self.view.page.is_none()
    }

    fn scopes(&self, ctx: &Context) -> Vec<Scope> {
        let mut scopes = vec![Scope::Everywhere];
        let focus = ctx.memory(egui::Memory::focused);
        let in_grid = focus == Some(grid::id());
        if in_grid && self.shows_grid() {
            scopes.push(Scope::Grid);
            scopes.extend(match self.session.selection().lane {
                Lane::Thumb => &[Scope::HandLanes, Scope::ThumbLane][..],
                Lane::Fingers => &[Scope::HandLanes, Scope::FingersLane],
                Lane::Tune => &[Scope::TuneLane],
            });
        }
        scopes
    }
}
