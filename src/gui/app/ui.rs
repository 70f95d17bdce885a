//! Draws the window: bars at the edges, panels at the sides, the grid in the middle. Reads the
//! session, pushes actions, changes nothing.

use super::App;
use super::room;
use super::room::Room;
use crate::gui::actions::Page;
use crate::gui::compare;
use crate::gui::frame::about;
use crate::gui::frame::find;
use crate::gui::frame::findings;
use crate::gui::frame::help;
use crate::gui::frame::import_report;
use crate::gui::frame::look_up;
use crate::gui::frame::notices;
use crate::gui::frame::offers;
use crate::gui::frame::question;
use crate::gui::frame::start;
use crate::gui::frame::status;
use crate::gui::frame::topbar;
use crate::gui::fretboard;
use crate::gui::grid;
use crate::gui::line;
use crate::gui::possible::Now;
use crate::gui::practice;
use crate::gui::preferences;
use crate::gui::sheet;
use crate::gui::theme;
use crate::gui::voicings;
use crate::session::Area;
use egui::Align2;
use egui::CentralPanel;
use egui::Frame;
use egui::Id;
use egui::LayerId;
use egui::Margin;
use egui::Order;
use egui::Panel;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;

const STATUS: f32 = 28.0;
/// Height of the comparison.
const COMPARE: f32 = 196.0;
const FIND: f32 = 40.0;

fn edge(ui: &Ui) -> Frame {
    let p = theme::palette(ui.visuals());
    Frame::new()
        .fill(p.sunk)
        .inner_margin(Margin::symmetric(8, 0))
}

fn side(ui: &Ui) -> Frame {
    let p = theme::palette(ui.visuals());
    Frame::new()
        .fill(p.sunk)
        .inner_margin(Margin::symmetric(12, 8))
}

impl App {
    /// Draws everything.
    pub(super) fn draw(&mut self, ui: &mut Ui) {
        self.edges(ui);
        self.strips(ui);
        let empty = self.session.document().n_bars() == 0;
        let area = self.session.area();
        if area != Area::Sheet {
            self.view.sheet.put_away();
        }
        if !empty && self.view.page.is_none() && area != Area::Arrange {
            let (session, view, actions) = (&self.session, &mut self.view, &mut self.actions);
            match area {
                Area::Practice => practice::practice_ui(ui, session, actions),
                _ => sheet::sheet_ui(ui, session, &mut view.sheet, actions),
            }
            self.ask(ui);
            return;
        }
        if !empty && self.view.page.is_none() {
            self.sides(ui);
        }
        let p = theme::palette(ui.visuals());
        let frame = Frame::new()
            .fill(p.paper)
            .inner_margin(Margin::symmetric(8, 0));
        CentralPanel::default().frame(frame).show(ui, |ui| {
            let (session, view, actions) = (&self.session, &mut self.view, &mut self.actions);
            match view.page {
                Some(Page::Help) => help::help_ui(ui, actions),
                Some(Page::Preferences) => {
                    preferences::preferences_ui(ui, session, &mut view.preferences, actions);
                }
                Some(Page::About) => about::about_ui(ui, actions),
                None if empty => start::start_ui(ui, session, actions),
                None => grid::grid_ui(ui, session, &mut view.grid, view.find.marks(), actions),
            }
        });
        self.ask(ui);
    }

    /// Says what will happen while a file is held over the window.
    fn promise(ui: &Ui) {
        let held = ui.ctx().input(|i| !i.raw.hovered_files.is_empty());
        if !held {
            return;
        }
        let p = theme::palette(ui.visuals());
        let layer = LayerId::new(Order::Foreground, Id::unique("held file"));
        let painter = ui.ctx().layer_painter(layer);
        let all = ui.ctx().content_rect().shrink(8.0);
        painter.rect(
            all,
            theme::RADIUS,
            p.selection.gamma_multiply(0.9),
            Stroke::new(2.0, p.thumb_text),
            StrokeKind::Inside,
        );
        painter.text(
            all.center(),
            Align2::CENTER_CENTER,
            "Let go to open this file",
            theme::bold(theme::LARGE),
            p.ink,
        );
    }

    /// Asks about unsaved changes, if something waits for the answer.
    fn ask(&mut self, ui: &Ui) {
        Self::promise(ui);
        if self.view.waiting.is_some() {
            let name = self.document_name();
            if let Some(answer) = question::question_ui(ui, &name) {
                self.answer(ui.ctx(), answer);
            }
        }
    }

    /// Top bar, status line, and what slides in beside them.
    fn edges(&mut self, ui: &mut Ui) {
        let (session, view, actions) = (&self.session, &mut self.view, &mut self.actions);
        let room = Room::of(ui.ctx());
        Panel::top("top bar")
            .exact_size(room.top_bar().height())
            .resizable(false)
            .frame(edge(ui))
            .show(ui, |ui| {
                topbar::topbar_ui(ui, session, view.line_open, room.top_bar(), actions)
            });
        Panel::bottom("status line")
            .exact_size(STATUS)
            .resizable(false)
            .frame(edge(ui))
            .show(ui, |ui| {
                status::status_ui(ui, session, view.findings_open, actions)
            });
        let offers = session.offers();
        if !offers.is_empty() {
            Panel::top("offers")
                .resizable(false)
                .frame(edge(ui).inner_margin(Margin::symmetric(8, 4)))
                .show(ui, |ui| offers::offers_ui(ui, &offers, actions));
        }
        if session.import_report().is_some() {
            Panel::bottom("import report")
                .resizable(false)
                .frame(edge(ui).inner_margin(Margin::symmetric(12, 8)))
                .show(ui, |ui| {
                    import_report::import_report_ui(ui, session, actions);
                });
        }
        if !session.notices().is_empty() {
            Panel::bottom("notices")
                .resizable(false)
                .frame(edge(ui).inner_margin(Margin::symmetric(8, 4)))
                .show(ui, |ui| notices::notices_ui(ui, session, actions));
        }
        let findings = session
            .arrangement()
            .is_some_and(|a| !a.findings.is_empty());
        if view.findings_open && findings {
            Panel::bottom("findings")
                .default_size(room.below(152.0))
                .size_range(64.0..=320.0)
                .frame(side(ui))
                .show(ui, |ui| {
                    findings::findings_ui(ui, session, &mut view.finding_at, actions);
                });
        }
        if self.view.dialogs.is_typing() {
            let dialogs = &mut self.view.dialogs;
            let done = Panel::top("path entry panel")
                .resizable(false)
                .frame(edge(ui).inner_margin(Margin::symmetric(12, 8)))
                .show(ui, |ui| dialogs.entry_ui(ui))
                .inner;
            if let Some((purpose, path)) = done {
                let ctx = ui.ctx().clone();
                self.use_typed(&ctx, purpose, path);
            }
        }
    }

    /// What opens under the top bar: commands by their names, places by what stands there.
    fn strips(&mut self, ui: &mut Ui) {
        let (session, view, actions) = (&self.session, &mut self.view, &mut self.actions);
        if view.doing.open {
            let now = Now {
                session,
                page: view.page,
                looked_for: view.find.looks_for_something(),
            };
            Panel::top("commands strip")
                .exact_size(Room::of(ui.ctx()).commands())
                .resizable(false)
                .frame(edge(ui).inner_margin(Margin::symmetric(12, 8)))
                .show(ui, |ui| {
                    look_up::look_up_ui(ui, now, &mut view.doing, actions);
                });
        }
        let in_grid = session.area() == Area::Arrange && view.page.is_none();
        if view.find.open && in_grid && session.document().n_bars() > 0 {
            view.find.renew(session);
            Panel::top("find strip")
                .exact_size(FIND)
                .resizable(false)
                .frame(edge(ui).inner_margin(Margin::symmetric(12, 0)))
                .show(ui, |ui| {
                    find::find_ui(ui, session, &mut view.find, actions);
                });
        }
    }

    /// Fretboard, line panel and voicings.
    fn sides(&mut self, ui: &mut Ui) {
        let (session, view, actions) = (&self.session, &mut self.view, &mut self.actions);
        let room = Room::of(ui.ctx());
        if view.compare_open {
            let least = room.below(COMPARE);
            Panel::bottom("compare panel")
                .default_size(least)
                .size_range(least..=320.0)
                .frame(side(ui))
                .show(ui, |ui| {
                    compare::compare_ui(ui, session, &mut view.compare, actions);
                });
        }
        let beside_another = view.compare_open || view.doing.open;
        if room::has_fretboard(ui.available_height(), beside_another) {
            Panel::bottom("fretboard panel")
                .default_size(184.0)
                .size_range(150.0..=240.0)
                .frame(side(ui).inner_margin(Margin::symmetric(12, 4)))
                .show(ui, |ui| {
                    fretboard::fretboard_ui(ui, session, &mut view.fretboard, actions);
                });
        }
        Panel::left("line panel")
            .default_size(260.0)
            .size_range(256.0..=304.0)
            .frame(side(ui))
            .show_collapsible(ui, &mut view.line_open, |ui| {
                line::line_ui(ui, session, actions);
            });
        if room.is_narrow() && view.line_open {
            return;
        }
        // Comparing needs more room than the list; each has a width of its own.
        let comparing = view.voicings.compare && !session.pins().is_empty();
        let (id, width) = if comparing {
            ("comparison panel", 380.0)
        } else {
            ("voicings panel", 304.0)
        };
        Panel::right(id)
            .default_size(width)
            .size_range(288.0..=480.0)
            .frame(side(ui))
            .show(ui, |ui| {
                voicings::voicings_ui(ui, session, &mut view.voicings, actions);
            });
    }
}
