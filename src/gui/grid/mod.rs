//! The beat grid: bars as cards in rows, with lanes for tune, fingers and thumb and an effort strip.
//! Only rows in view are built and painted, so two thousand bars cost no more than twenty. The
//! grid is one stop for the Tab key; arrows move inside it. Changes nothing: it asks by actions.

mod cells;
pub mod chord_edit;
mod drop;
pub mod fingers;
mod gutter;
pub mod keys;
pub mod layout;
pub mod menu;
pub mod model;
mod paint;
pub mod section_name;
mod tune_cells;
pub mod tune_model;
mod tune_paint;

pub use drop::HeldVoicing;
pub use paint::share_of;
pub use tune_paint::diamond;

use super::actions::Actions;
use super::actions::Command;
use super::named;
use super::named::Named;
use super::possible::Now;
use super::theme;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Document;
use crate::instrument::Cost;
use crate::session::Action;
use crate::session::Session;
use crate::theory::Midi;
use crate::theory::Ticks;
use chord_edit::ChordEdit;
use chord_edit::Outcome;
use egui::EventFilter;
use egui::Id;
use egui::Pos2;
use egui::Rangef;
use egui::Rect;
use egui::Role;
use egui::ScrollArea;
use egui::Sense;
use egui::Ui;
use layout::Rows;
use menu::OpenMenu;
use section_name::SectionName;
use tune_cells::TuneDrag;

/// What the grid remembers between frames.
#[derive(Debug, Default)]
pub struct GridState {
    /// The rows of the last frame, for moving up and down.
    pub rows: Rows,
    /// The chord being written.
    pub edit: Option<ChordEdit>,
    /// The section being named.
    pub naming: Option<SectionName>,
    /// The menu that is open.
    pub menu: Option<OpenMenu>,
    /// Whether to open the menu of what is selected.
    pub want_menu: bool,
    /// Whether to scroll to the selection.
    pub reveal: bool,
    /// Whether to take the keyboard.
    pub want_focus: bool,
    /// The note of the tune that is being dragged.
    drag: Option<TuneDrag>,
    followed: Option<usize>,
}

impl GridState {
    /// At the start the grid takes the keyboard.
    #[must_use]
    pub fn new() -> Self {
        Self {
            want_focus: true,
            ..Self::default()
        }
    }
}

/// The grid's id, for asking whether it has the keyboard.
#[must_use]
pub fn id() -> Id {
    Id::unique("beat grid")
}

/// Shows the grid.
pub fn grid_ui(
    ui: &mut Ui,
    session: &Session,
    state: &mut GridState,
    found: (&[Place], Option<Lane>),
    actions: &mut Actions,
) {
    let width = ui.available_width() - ui.spacing().scroll.bar_width - 8.0;
    let rows = Rows::new(session.document(), width, session.shows_tune());
    // A change of size or zoom does not lose the place where one works.
    state.reveal |= rows.are_broken_otherwise(&state.rows);
    state.rows = rows;
    ScrollArea::vertical()
        .id_salt("grid scroll")
        .auto_shrink(false)
        .show_viewport(ui, |ui, viewport| {
            ui.set_height(state.rows.height().max(viewport.height()));
            let origin = ui.max_rect().min;
            let preview = drag(ui, session, state, origin, actions);
            let shown = preview.as_ref().unwrap_or(session.document());
            let frame = GridFrame {
                session,
                tune: session.shows_tune().then_some(shown),
                range: tune_model::range(shown),
                found,
                origin,
                width,
                most: most_effort(session),
                focused: ui.memory(|m| m.has_focus(id())),
            };
            frame.show(ui, viewport.y_range(), state, actions);
            drop::show(ui, session, &state.rows, origin, actions);
            if std::mem::take(&mut state.want_menu) {
                state.menu = Some(OpenMenu::of_selection(session, &state.rows, origin));
            }
        });
    let now = Now {
        session,
        page: None,
        looked_for: false,
    };
    menu::show(ui, now, state, actions);
}

/// Follows a note that is being dragged: what the tune would be, until it is let go.
fn drag(
    ui: &Ui,
    session: &Session,
    state: &mut GridState,
    origin: Pos2,
    actions: &mut Actions,
) -> Option<Document> {
    let drag = state.drag?;
    let (pos, down) = ui.input(|i| (i.pointer.interact_pos(), i.pointer.primary_down()));
    let at = pos.and_then(|pos| state.rows.place_at(session.document(), origin, pos));
    if !down {
        state.drag = None;
        if let Some(at) = at {
            actions.act(Action::Tune(drag.entry(session, at)));
            actions.window(Command::FocusGrid);
        }
        return None;
    }
    drag.preview(session, at?)
}

/// One frame of the grid.
struct GridFrame<'a> {
    session: &'a Session,
    /// The document whose tune is shown, if its lane is.
    tune: Option<&'a Document>,
    /// The lowest and the highest pitch of the tune.
    range: Option<(Midi, Midi)>,
    /// Places found, and the lane they are in.
    found: (&'a [Place], Option<Lane>),
    origin: Pos2,
    width: f32,
    most: Cost,
    focused: bool,
}

impl GridFrame<'_> {
    fn show(&self, ui: &mut Ui, view: Rangef, state: &mut GridState, actions: &mut Actions) {
        self.keyboard(ui, view, state);
        let rows = std::mem::take(&mut state.rows);
        for (row_idx, row) in rows.visible(view) {
            let first = rows.card(self.session.document(), self.origin, row.first);
            let rect = rows.row_rect(self.origin, row_idx, self.width);
            let p = theme::palette(ui.visuals());
            for bar in row.first..row.first + row.count {
                self.bar(ui, &rows, bar, state, actions);
            }
            let name = row.section.as_deref();
            let mark = gutter::show(ui.painter(), p, rect, &first, name);
            if let (Some(mark), Some(name)) = (mark, name) {
                cells::section(ui, self.session, (mark, name, row.first), actions);
            }
            let naming = state.naming.as_mut().filter(|n| n.first == row.first);
            if naming.is_some_and(|n| !n.show(ui, rect, self.session, actions)) {
                state.naming = None;
            }
        }
        self.scroll(ui, &rows, state);
        state.rows = rows;
    }

    /// The node that has the keyboard for the whole grid.
    fn keyboard(&self, ui: &Ui, view: Rangef, state: &mut GridState) {
        let top = self.origin.y;
        let rect = Rect::from_x_y_ranges(
            Rangef::new(self.origin.x, self.origin.x + self.width),
            Rangef::new(top + view.min, top + view.max),
        );
        let named = Named {
            role: Role::Grid,
            name: "beat grid".into(),
            selected: None,
        };
        let response = named::interact(ui, rect, id(), Sense::click(), &named);
        if state.want_focus || response.clicked() {
            response.request_focus();
            state.want_focus = false;
        }
        if self.focused && state.menu.is_none() {
            let filter = EventFilter {
                horizontal_arrows: true,
                vertical_arrows: true,
                ..EventFilter::default()
            };
            ui.memory_mut(|m| m.set_focus_lock_filter(id(), filter));
        }
    }

    fn bar(
        &self,
        ui: &mut Ui,
        rows: &Rows,
        bar: usize,
        state: &mut GridState,
        actions: &mut Actions,
    ) {
        let document = self.session.document();
        let Some(view) = model::bar_view(self.session, bar) else {
            return;
        };
        let card = rows.card(document, self.origin, bar);
        let selection = self.session.selection();
        let (first, last) = selection.bars();
        let standing = paint::Standing {
            in_run: selection.to_bar.is_some() && (first..=last).contains(&bar),
            focused: self.focused,
            most: self.most,
        };
        let p = theme::palette(ui.visuals());
        paint::card(ui.painter(), p, &card, &view, standing);
        cells::react(ui, self.session, &card, &view, actions);
        self.found(ui, &card, bar);
        if let Some(tune) = self.tune {
            self.tune(ui, tune, (bar, &card), state, actions);
        }
        if selection.place.bar == bar && selection.lane != Lane::Tune {
            let at = model::slot_of(document.meter, selection.place.at);
            if let Some(cell) = card.cell(selection.lane, at) {
                paint::selection(ui.painter(), p, cell, self.focused);
                let active = cells::cell_id(bar, at, selection.lane);
                set_active(ui, active);
            }
        }
        let room = view.repeat_times == 0 && card.header.width() >= paint::LANE_NAME_FROM;
        if selection.place.bar == bar && room {
            paint::lane_name(ui.painter(), p, &card, selection.lane, self.focused);
        }
        if let Some((place, share)) = self.session.play().playhead
            && place.bar == bar
        {
            let x = card.x_of(along(document.bar_length(bar), share));
            paint::playhead(ui.painter(), p, &card, x);
        }
        self.chord_field(ui, &card, bar, state, actions);
    }

    /// Marks the places found in a bar.
    fn found(&self, ui: &Ui, card: &layout::Card, bar: usize) {
        let (places, lane) = self.found;
        let from = places.partition_point(|place| place.bar < bar);
        let here = places.iter().skip(from);
        for place in here.take_while(|place| place.bar == bar) {
            let at = model::slot_of(self.session.document().meter, place.at);
            let rect = match lane.and_then(|lane| card.cell(lane, at)) {
                Some(cell) => cell,
                None => card.beat(place.at),
            };
            paint::found(ui.painter(), theme::palette(ui.visuals()), rect);
        }
    }

    /// The tune's lane of a bar, with the cursor if it is there.
    fn tune(
        &self,
        ui: &Ui,
        tune: &Document,
        (bar, card): (usize, &layout::Card),
        state: &mut GridState,
        actions: &mut Actions,
    ) {
        let p = theme::palette(ui.visuals());
        let cells = tune_model::cells(self.session, tune, bar);
        tune_paint::notes(ui.painter(), p, card, &cells, self.range);
        let of_bar = (bar, cells.as_slice());
        let begun = tune_cells::react(ui, self.session, card, of_bar, actions);
        state.drag = state.drag.or(begun);
        let entered = self.session.tune_pen().entered;
        let entered = entered.filter(|place| place.bar == bar);
        let entered = entered.and_then(|place| cells.iter().find(|cell| cell.at == place.at));
        if let Some(cell) = entered {
            tune_paint::in_hand(ui.painter(), p, card.tune_cell(cell.at, cell.until));
        }
        let selection = self.session.selection();
        if selection.lane == Lane::Tune && selection.place.bar == bar {
            let (rect, active) = tune_cells::cursor(ui, self.session, card, of_bar);
            paint::selection(ui.painter(), p, rect, self.focused);
            set_active(ui, active);
        }
    }

    fn chord_field(
        &self,
        ui: &mut Ui,
        card: &layout::Card,
        bar: usize,
        state: &mut GridState,
        actions: &mut Actions,
    ) {
        let Some(edit) = state.edit.as_mut().filter(|e| e.bar == bar) else {
            return;
        };
        match edit.show(ui, self.session, card, actions) {
            Outcome::Open => {}
            Outcome::Closed => state.edit = None,
            Outcome::Next => state.edit = self.next_field(bar, edit.at),
        }
    }

    /// The field that follows after Tab: the next chord of the bar, else the next bar.
    fn next_field(&self, bar: usize, at: Ticks) -> Option<ChordEdit> {
        let document = self.session.document();
        let later = document.bar(bar)?.chords.iter().find(|c| c.at > at);
        if let Some(chord) = later {
            return Some(ChordEdit::new(self.session, bar, chord.at));
        }
        (bar + 1 < document.n_bars()).then(|| ChordEdit::new(self.session, bar + 1, Ticks(0)))
    }

    /// Scrolls to the selection when it moved by key, and along with the play-head.
    fn scroll(&self, ui: &Ui, rows: &Rows, state: &mut GridState) {
        let playing = self.session.play();
        let row = playing.playhead.filter(|_| playing.playing);
        let row = row.map(|(place, _)| rows.row_of(place.bar));
        let follow = row.filter(|_| row != state.followed);
        state.followed = row;
        let target = if state.reveal {
            Some(rows.row_of(self.session.selection().place.bar))
        } else {
            follow
        };
        if let Some(row) = target {
            let rect = rows.row_rect(self.origin, row, self.width).expand(12.0);
            ui.scroll_to_rect(rect, None);
            state.reveal = false;
        }
    }
}

/// Names the cell that the keyboard is on to assistive technology.
fn set_active(ui: &Ui, active: Id) {
    ui.ctx().accesskit_node_builder(id(), |node| {
        node.set_active_descendant(active.accesskit_id());
    });
}

fn most_effort(session: &Session) -> Cost {
    let slots = session.arrangement().map(|a| a.slots.as_slice());
    let totals = slots.unwrap_or_default().iter().map(|s| s.effort.total());
    totals.max().unwrap_or_default()
}

/// The place a share of the way through a bar.
fn along(length: Ticks, share: f32) -> Ticks {
    let permille = (share.clamp(0.0, 1.0) * 1000.0).round();
    let permille = (0u32..=1000).find(|n| f64::from(*n) >= f64::from(permille));
    Ticks(length.0 * permille.unwrap_or(0) / 1000)
}

/// The lanes with a cell for every column, top to bottom.
pub const LANES: [Lane; 2] = [Lane::Fingers, Lane::Thumb];
