//! Turns keys into actions, at the start of a frame, before any widget can see them. Which key
//! means what is in the shortcut table; what it does in the grid is in the grid.

use super::App;
use crate::arrange::Lane;
use crate::document::Edit;
use crate::document::ThumbCell;
use crate::gui::actions::Command;
use crate::gui::actions::Page;
use crate::gui::grid;
use crate::gui::grid::fingers;
use crate::gui::grid::keys;
use crate::gui::shortcuts;
use crate::gui::shortcuts::Deed;
use crate::gui::shortcuts::Scope;
use crate::session::Action;
use crate::session::Area;
use crate::session::BarsDeed;
use crate::session::Beside;
use crate::session::Selection;
use crate::theory::Ticks;
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

    /// What concerns whole bars; `text` is what the system's clipboard holds, if it was asked.
    fn do_bars(&mut self, deed: Deed, text: Option<String>) {
        let bars = match deed {
            Deed::CopyBars => BarsDeed::Copy,
            Deed::CutBars => BarsDeed::Cut,
            Deed::PasteBars => BarsDeed::Paste(Beside::After, text),
            Deed::DuplicateBars => BarsDeed::Duplicate,
            Deed::InsertBar => BarsDeed::Insert(Beside::After),
            _ => BarsDeed::Delete,
        };
        grid::bar_menu::push(bars, &mut self.actions);
        self.actions.window(Command::RevealSelection);
    }

    /// What is open that keys may be meant for: a chord's field, a question, a path.
    const fn wants_keys(&self) -> [bool; 3] {
        let view = &self.view;
        [
            view.grid.edit.is_some(),
            view.waiting.is_some(),
            view.dialogs.is_asking(),
        ]
    }

    fn scopes(&self, ctx: &Context) -> Vec<Scope> {
        let mut scopes = vec![Scope::Everywhere];
        let focus = ctx.memory(egui::Memory::focused);
        let in_grid = focus == Some(grid::id());
        let shown = self.session.document().n_bars() > 0
            && self.session.area() == Area::Arrange
            && self.view.page.is_none();
        if in_grid && shown {
            scopes.push(Scope::Grid);
            scopes.extend(match self.session.selection().lane {
                Lane::Thumb => &[Scope::HandLanes, Scope::ThumbLane][..],
                Lane::Fingers => &[Scope::HandLanes, Scope::FingersLane],
                Lane::Tune => &[Scope::TuneLane],
            });
        }
        scopes
    }

    fn do_deed(&mut self, deed: Deed) {
        let place = self.session.selection().place;
        let actions = &mut self.actions;
        match deed {
            Deed::New => actions.window(Command::New),
            Deed::Open => actions.window(Command::AskOpen),
            Deed::Save => actions.window(Command::Save),
            Deed::SaveAs => actions.window(Command::AskSaveAs),
            Deed::Export => actions.window(Command::AskExport),
            Deed::Help => actions.window(Command::Page(Page::Help)),
            Deed::Preferences => actions.window(Command::Page(Page::Preferences)),
            Deed::Theme => actions.window(Command::ToggleTheme),
            Deed::Side => actions.window(Command::ToggleLine),
            Deed::Compare => actions.window(Command::ToggleCompare),
            // A chord being written is left at once, before its field can take the loss of the
            // keyboard for an end.
            Deed::Escape if self.view.grid.edit.take().is_some() => {
                self.view.grid.want_focus = true;
            }
            Deed::Escape => actions.window(Command::Escape),
            Deed::Undo => actions.act(Action::Undo),
            Deed::Redo => actions.act(Action::Redo),
            Deed::Play => actions.act(Action::PlayOrStop),
            Deed::Hear => actions.act(Action::HearSelection),
            Deed::HearBar => actions.act(Action::HearBar),
            Deed::HearGrip => actions.act(Action::HearGrip),
            Deed::MuteLane | Deed::SoloLane => {
                let lane = self.session.selection().lane;
                let mut mix = self.session.play().lanes.lane(lane);
                if deed == Deed::MuteLane {
                    mix.muted = !mix.muted;
                } else {
                    mix.solo = !mix.solo;
                }
                actions.act(Action::SetLane(lane, mix));
            }
            Deed::Go(step) => {
                let selection = keys::step(&self.session, &self.view.grid.rows, step);
                self.go(selection);
            }
            Deed::Extend(on) => {
                let selection = keys::extend(&self.session, on);
                self.go(selection);
            }
            Deed::EditChord => {
                let at = self.chord_in_force();
                self.actions
                    .window(Command::EditChord { bar: place.bar, at });
            }
            Deed::NewChord => {
                let at = Ticks::of_beat(place.at.beat_idx());
                actions.window(Command::EditChord { bar: place.bar, at });
            }
            Deed::Clear => actions.edit(keys::clear(&self.session)),
            Deed::NextWay => actions.act(Action::NextWay),
            Deed::Lock => actions.act(Action::ToggleLock),
            Deed::TuneLane => self.show_tune(true),
            Deed::ToggleTune => self.show_tune(!self.session.shows_tune()),
            Deed::CopyBars
            | Deed::CutBars
            | Deed::PasteBars
            | Deed::DuplicateBars
            | Deed::InsertBar
            | Deed::DeleteBars => self.do_bars(deed, None),
            Deed::Tune(entry) => {
                actions.act(Action::Tune(entry));
                actions.window(Command::RevealSelection);
            }
            Deed::Thumb(wanted) => {
                actions.edit(keys::thumb(place, Some(ThumbCell::Move(wanted))));
            }
            Deed::AnotherLine => {
                let line = keys::another_line(&self.session.document().line);
                actions.edit(Edit::SetLine(line));
            }
            Deed::Pluck(how) => actions.edit(fingers::pluck(&self.session, place, Some(how))),
            Deed::Unpluck => actions.edit(fingers::pluck(&self.session, place, None)),
            Deed::NextSlide => {
                if fingers::has_chord(self.session.document(), place) {
                    let next = fingers::next_slide(&self.session, place);
                    actions.edit(fingers::slide(&self.session, place, next));
                }
            }
            Deed::Ahead => {
                if let Some(edit) = fingers::toggle_ahead(&self.session, place) {
                    actions.edit(edit);
                }
            }
        }
    }

    fn show_tune(&mut self, shown: bool) {
        self.actions.act(Action::ShowTune(shown));
        self.actions.window(Command::RevealSelection);
    }

    fn go(&mut self, selection: Selection) {
        self.actions.act(Action::Select(selection));
        self.actions.window(Command::RevealSelection);
    }

    /// The place of the chord in force in the selected bar; its first beat if it has none.
    fn chord_in_force(&self) -> Ticks {
        let place = self.session.selection().place;
        let bar = self.session.document().bar(place.bar);
        let chords = bar.map(|b| b.chords.as_slice()).unwrap_or_default();
        let chord = chords.iter().rev().find(|c| c.at <= place.at);
        chord.map_or(Ticks(0), |c| c.at)
    }
}
