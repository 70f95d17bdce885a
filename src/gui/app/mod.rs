//! The window's program: the session and what the window alone remembers. Split by kind of work:
//! `logic` carries out what was asked, `ui` draws, `keys` turns keys into actions.

mod deeds;
mod keys;
mod logic;
mod look;
pub mod room;
mod ui;

use super::actions::Actions;
use super::actions::Page;
use super::compare::CompareState;
use super::dialogs::Dialogs;
use super::focus_ring;
use super::frame::find::FindState;
use super::frame::look_up::LookUpState;
use super::frame::question::Waiting;
use super::fretboard::FretboardState;
use super::grid::GridState;
use super::preferences::PreferencesState;
use super::sheet::SheetState;
use super::theme;
use super::voicings::VoicingsState;
use crate::arrange::Place;
use crate::session::Action;
use crate::session::PAUSE;
use crate::session::SafetyOptions;
use crate::session::Session;
use crate::session::data_folder;
use crate::session::settings_folder;
use look::Look;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::UNIX_EPOCH;

/// What the window remembers beside the session. Never part of a project.
#[derive(Debug)]
struct View {
    grid: GridState,
    fretboard: FretboardState,
    sheet: SheetState,
    voicings: VoicingsState,
    dialogs: Dialogs,
    doing: LookUpState,
    find: FindState,
    line_open: bool,
    /// The page in the place of the work.
    page: Option<Page>,
    preferences: PreferencesState,
    compare_open: bool,
    compare: CompareState,
    findings_open: bool,
    /// Where the list of findings is to be scrolled.
    finding_at: Option<Place>,
    dark: bool,
    look: Look,
    waiting: Option<Waiting>,
    /// What goes on once the project has been saved under a name.
    after_saving: Option<Waiting>,
    may_close: bool,
    /// Whether the window had the keyboard in the frame before.
    had_focus: bool,
    /// Frames in which the clipboard may still answer, if it was asked for a chart.
    pasting: Option<u8>,
    title: String,
}

impl View {
    fn new(dialogs: Dialogs) -> Self {
        Self {
            grid: GridState::new(),
            fretboard: FretboardState::default(),
            sheet: SheetState::default(),
            voicings: VoicingsState::default(),
            dialogs,
            doing: LookUpState::default(),
            find: FindState::default(),
            line_open: true,
            page: None,
            preferences: PreferencesState::default(),
            compare_open: false,
            compare: CompareState::default(),
            findings_open: false,
            finding_at: None,
            dark: false,
            look: Look::default(),
            waiting: None,
            after_saving: None,
            may_close: false,
            had_focus: true,
            pasting: None,
            title: String::new(),
        }
    }
}

/// The time that the session is told: seconds since the beginning of 1970.
fn now_s() -> u64 {
    UNIX_EPOCH.elapsed().map_or(0, |time| time.as_secs())
}

/// The program behind the window.
pub struct App {
    session: Session,
    view: View,
    actions: Actions,
}

impl App {
    /// For a real window; opens the file if one is given.
    #[must_use]
    pub fn new(cc: &eframe::CreationContext<'_>, path: Option<PathBuf>) -> Self {
        theme::install_look(&cc.egui_ctx);
        let ctx = cc.egui_ctx.clone();
        let mut session = Session::new(Arc::new(move || ctx.request_repaint()));
        session.remember_in(settings_folder());
        if let Some(folder) = data_folder() {
            session.keep_safe(SafetyOptions {
                folder,
                clock: now_s,
                pause: PAUSE,
            });
        }
        if let Some(path) = path {
            session.act(Action::Open(path));
        }
        let mut app = Self {
            session,
            view: View::new(Dialogs::desktop()),
            actions: Actions::default(),
        };
        app.follow_preferences(&cc.egui_ctx);
        app
    }

    /// For tests: no desktop dialogs, and the look is installed by the harness.
    #[must_use]
    pub fn for_test(session: Session) -> Self {
        Self {
            session,
            view: View::new(Dialogs::default()),
            actions: Actions::default(),
        }
    }

    /// The session behind the window.
    #[must_use]
    pub const fn session(&self) -> &Session {
        &self.session
    }

    /// The session, for tests that wait for the solver.
    pub const fn session_mut(&mut self) -> &mut Session {
        &mut self.session
    }

    /// Whether the dark theme is shown.
    #[must_use]
    pub const fn is_dark(&self) -> bool {
        self.view.dark
    }
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        // A frame can be two passes; replies and the clock are for the first one only.
        if ctx.current_pass_index() == 0 {
            self.advance(ctx);
        }
    }

    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.take_keys(ui.ctx());
        self.draw(ui);
        focus_ring::paint(ui);
        self.carry_out(ui.ctx());
        self.keep_keyboard(ui.ctx());
    }
}
