//! What happens between drawings: replies of other threads, answers of dialogs, and carrying out
//! what was asked, in the order it was asked.

use super::App;
use crate::gui::actions::Command;
use crate::gui::dialogs::Purpose;
use crate::gui::frame::find;
use crate::gui::frame::question::Answer;
use crate::gui::frame::question::Waiting;
use crate::gui::frame::start;
use crate::gui::grid::chord_edit::ChordEdit;
use crate::gui::grid::menu::OpenMenu;
use crate::gui::grid::section_name::SectionName;
use crate::session::Action;
use crate::session::Area;
use crate::session::Offer;
use crate::session::Other;
use crate::session::PROJECT_ENDING;
use crate::session::VersionsDeed;
use egui::Context;
use egui::Event;
use egui::ViewportCommand;
use std::path::PathBuf;
use std::time::Duration;

/// How often the play-head is redrawn.
const PLAYING: Duration = Duration::from_millis(16);

/// Frames within which the clipboard answers.
const PASTE_FRAMES: u8 = 5;

impl App {
    /// Once per frame: the session's replies, the dialogs, the window's own business.
    pub(super) fn advance(&mut self, ctx: &Context) {
        self.session.tick();
        self.take_zoom(ctx);
        self.follow_preferences(ctx);
        if self.session.play().playing {
            ctx.request_repaint_after(PLAYING);
        } else if let Some(rest) = self.session.rests_for() {
            ctx.request_repaint_after(rest.max(PLAYING));
        }
        if let Some((purpose, path)) = self.view.dialogs.poll(ctx) {
            self.use_file(ctx, purpose, path);
        }
        if !self.view.dialogs.is_asking() && !self.name_is_taken() {
            self.view.after_saving = None;
        }
        self.take_pasted(ctx);
        self.guard_close(ctx);
        self.name_window(ctx);
        self.look_at_disk(ctx);
        self.take_dropped(ctx);
    }

    /// A file that was dropped on the window is opened; of several the first.
    fn take_dropped(&mut self, ctx: &Context) {
        let dropped = ctx.input(|i| i.raw.dropped_files.clone());
        let Some(first) = dropped.first().map(|file| file.path().to_owned()) else {
            return;
        };
        if dropped.len() > 1 {
            let text = "several files were dropped, and one can be open at a time: the first is";
            self.session.act(Action::Tell(text.into()));
        }
        self.replace(ctx, Waiting::Act(Action::Open(first)));
    }

    /// Somebody else may have changed the file while the window was not looked at.
    fn look_at_disk(&mut self, ctx: &Context) {
        let focused = ctx.input(|i| i.focused);
        if focused && !self.view.had_focus {
            self.session.act(Action::LookAtDisk);
        }
        self.view.had_focus = focused;
    }

    /// What the clipboard answers, if a chart was asked for. It answers at once or not at all, so a
    /// later paste into a field is not taken for it.
    fn take_pasted(&mut self, ctx: &Context) {
        let Some(frames_left) = self.view.pasting else {
            return;
        };
        let pasted = ctx.input_mut(|input| {
            let is_text = |event: &Event| matches!(event, Event::Paste(_));
            let at = input.events.iter().position(is_text)?;
            match input.events.remove(at) {
                Event::Paste(text) => Some(text),
                _ => None,
            }
        });
        if let Some(text) = pasted {
            self.view.pasting = None;
            self.obey(ctx, Command::Typed(text));
        } else if let Some(left) = frames_left.checked_sub(1) {
            self.view.pasting = Some(left);
            ctx.request_repaint();
        } else {
            self.view.pasting = None;
            self.session.act(Action::TellNothingToPaste);
        }
    }

    /// Keeps the window open while there are changes, until the user has answered.
    fn guard_close(&mut self, ctx: &Context) {
        let asked = ctx.input(|i| i.viewport().close_requested());
        if asked && !self.view.may_close && self.session.has_unsaved_changes() {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            self.view.waiting = Some(Waiting::Close);
        }
    }

    fn name_window(&mut self, ctx: &Context) {
        let mark = if self.session.has_unsaved_changes() {
            "*"
        } else {
            ""
        };
        let title = format!("{}{mark} – Thumbwalk", self.document_name());
        if title != self.view.title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.view.title = title;
        }
    }

    /// The title, else the file's name.
    pub(super) fn document_name(&self) -> String {
        let title = &self.session.document().title;
        let file = self.session.path().and_then(|p| p.file_stem());
        match (title.is_empty(), file) {
            (false, _) => title.clone(),
            (true, Some(file)) => file.to_string_lossy().into_owned(),
            (true, None) => "Untitled".into(),
        }
    }

    /// Carries out everything asked in this pass.
    pub(super) fn carry_out(&mut self, ctx: &Context) {
        let asked = std::mem::take(&mut self.actions);
        let any = !asked.session.is_empty() || !asked.window.is_empty();
        let replaced = asked.session.contains(&Action::ReplaceFiles);
        for action in asked.session {
            self.session.act(action);
        }
        for command in asked.window {
            self.obey(ctx, command);
        }
        if replaced {
            self.go_on_after_saving(ctx);
        }
        if any {
            // What was asked shows in the next frame; nothing else would wake the window.
            ctx.request_repaint();
        }
    }

    fn obey(&mut self, ctx: &Context, command: Command) {
        match command {
            Command::New => self.replace(ctx, Waiting::Act(Action::New)),
            Command::Sample(idx) => self.replace(ctx, Waiting::Act(Action::OpenSample(idx))),
            Command::Recent(path) => self.replace(ctx, Waiting::Act(Action::Open(path))),
            Command::Typed(text) => self.replace(ctx, Waiting::Act(Action::OpenText(text))),
            Command::Rung(place) => self.replace(ctx, Waiting::Act(Action::OpenRung(place))),
            Command::AskBooklet => self.ask_file(ctx, Purpose::Booklet),
            Command::Restore(number) => {
                self.replace(ctx, Waiting::Act(Action::Restore(number)));
            }
            Command::PasteChart => {
                // The clipboard answers in one of the next frames.
                self.view.pasting = Some(PASTE_FRAMES);
                ctx.request_repaint();
                ctx.send_viewport_cmd(ViewportCommand::RequestPaste);
            }
            Command::AskOpen => self.replace(ctx, Waiting::AskOpen),
            Command::AskSaveAs => self.ask_file(ctx, Purpose::SaveAs),
            Command::AskExport => self.ask_file(ctx, Purpose::Export),
            Command::AskExportSet => self.ask_file(ctx, Purpose::ExportSet),
            Command::Save => self.save(ctx),
            Command::Page(page) => {
                let open = self.view.page == Some(page);
                self.view.page = (!open).then_some(page);
            }
            Command::ClosePage => self.view.page = None,
            Command::Do(deed) => {
                self.do_deed(deed);
                self.carry_out(ctx);
            }
            Command::LookUp if self.view.doing.open => self.view.doing.open = false,
            Command::LookUp => self.view.doing.open(),
            Command::Find(text) => self.open_find(text),
            Command::FindStep(on) => self.find_step(ctx, on),
            Command::OpenMenu(Some((on, at))) => {
                self.view.grid.menu = Some(OpenMenu::new(on, at));
            }
            Command::OpenMenu(None) => self.view.grid.want_menu = true,
            Command::NameSection => {
                let bar = self.session.selection().place.bar;
                self.view.grid.naming = SectionName::new(&self.session, bar);
            }
            Command::ToggleTheme => {
                self.toggle_theme();
                self.follow_preferences(ctx);
            }
            Command::ToggleLine => self.view.line_open = !self.view.line_open,
            Command::ToggleCompare => self.toggle_compare(),
            Command::AskCompare => self.ask_file(ctx, Purpose::Compare),
            Command::ToggleFindings => self.view.findings_open = !self.view.findings_open,
            Command::ShowFindings(place) => {
                self.view.findings_open = true;
                self.view.finding_at = Some(place);
            }
            Command::EditChord { bar, at } => {
                self.view.grid.edit = Some(ChordEdit::new(&self.session, bar, at));
            }
            Command::ShareClip => {
                if let Some(clip) = self.session.clip() {
                    ctx.copy_text(clip.text().to_owned());
                }
            }
            Command::FocusGrid => self.view.grid.want_focus = true,
            Command::RevealSelection => self.view.grid.reveal = true,
            Command::Escape => self.escape(),
        }
    }

    /// The comparison stands in the arrange area.
    fn toggle_compare(&mut self) {
        let seen = self.session.area() == Area::Arrange && self.view.page.is_none();
        self.view.compare_open = !(self.view.compare_open && seen);
        if self.view.compare_open {
            self.view.page = None;
            self.session.act(Action::ShowArea(Area::Arrange));
        }
    }

    /// Opens the strip over the grid, where places are shown.
    fn open_find(&mut self, text: Option<String>) {
        if self.session.document().n_bars() == 0 {
            return;
        }
        self.view.page = None;
        self.session.act(Action::ShowArea(Area::Arrange));
        self.view.find.open(text);
        // The field takes the keyboard, whoever asked for it before.
        self.view.grid.want_focus = false;
        self.view.find.renew(&self.session);
    }

    fn find_step(&mut self, ctx: &Context, on: bool) {
        self.view.find.renew(&self.session);
        if let Some(selection) = self.view.find.step(&self.session, on) {
            find::go(selection, &mut self.actions);
            self.carry_out(ctx);
        }
    }

    fn escape(&mut self) {
        if self.view.doing.open {
            self.view.doing.open = false;
            self.view.grid.want_focus = true;
        } else if self.view.find.open {
            self.view.find.open = false;
            self.view.grid.want_focus = true;
        } else if self.view.dialogs.is_typing() {
            self.view.dialogs.cancel();
        } else if self.view.page.is_some() {
            self.view.page = None;
        } else if self.view.findings_open {
            self.view.findings_open = false;
        } else if self.view.compare_open {
            self.view.compare_open = false;
        } else {
            self.view.grid.want_focus = true;
        }
    }

    /// A new chart is typed on the start page, which stands in the place of the grid.
    fn begin_chart(&mut self, ctx: &Context) {
        self.view.page = None;
        self.session.act(Action::ShowArea(Area::Arrange));
        ctx.memory_mut(|memory| memory.request_focus(start::field()));
    }

    /// Does something that replaces the document, asking first if changes would be lost.
    fn replace(&mut self, ctx: &Context, wanted: Waiting) {
        if self.session.has_unsaved_changes() {
            self.view.waiting = Some(wanted);
        } else {
            self.go_on(ctx, wanted);
        }
    }

    fn go_on(&mut self, ctx: &Context, wanted: Waiting) {
        match wanted {
            Waiting::Close => {
                self.view.may_close = true;
                self.session.act(Action::LetGo);
                ctx.send_viewport_cmd(ViewportCommand::Close);
            }
            Waiting::Act(action) => {
                if matches!(action, Action::New) {
                    self.begin_chart(ctx);
                }
                self.view.grid.edit = None;
                self.view.grid.naming = None;
                self.view.grid.menu = None;
                self.session.act(action);
                self.view.grid.want_focus = true;
                self.view.grid.reveal = true;
            }
            Waiting::AskOpen => self.ask_file(ctx, Purpose::Open),
        }
    }

    /// Acts on the answer about unsaved changes.
    pub(super) fn answer(&mut self, ctx: &Context, answer: Answer) {
        let Some(wanted) = self.view.waiting.take() else {
            return;
        };
        match answer {
            Answer::Cancel => {}
            Answer::Discard => self.go_on(ctx, wanted),
            Answer::Save => {
                self.save(ctx);
                if self.session.has_unsaved_changes() {
                    self.view.after_saving = Some(wanted);
                } else {
                    self.go_on(ctx, wanted);
                }
            }
        }
    }

    fn save(&mut self, ctx: &Context) {
        if self.session.path().is_some() {
            self.session.act(Action::Save);
        } else {
            self.ask_file(ctx, Purpose::SaveAs);
        }
    }

    fn ask_file(&mut self, ctx: &Context, purpose: Purpose) {
        let ending = match purpose {
            Purpose::Open | Purpose::Compare | Purpose::ExportSet => None,
            Purpose::SaveAs => Some(PROJECT_ENDING),
            Purpose::Export | Purpose::Booklet => Some("pdf"),
        };
        let folder = self.session.path().and_then(|p| p.parent());
        let folder = folder.map_or_else(home, PathBuf::from);
        let suggestion = match ending {
            None if purpose != Purpose::ExportSet => folder.join(""),
            None => folder.join(file_name(&self.document_name())),
            Some(ending) => {
                let name = match purpose {
                    Purpose::Booklet => format!("{}, ladder", self.document_name()),
                    _ => self.document_name(),
                };
                folder.join(format!("{}.{ending}", file_name(&name)))
            }
        };
        self.view.dialogs.ask(ctx, purpose, suggestion);
        self.view.grid.want_focus = false;
    }

    /// Uses a path that was typed. The desktop's dialog asks before a file is replaced; here the
    /// session does.
    pub(super) fn use_typed(&mut self, ctx: &Context, purpose: Purpose, path: PathBuf) {
        let action = self.use_of(purpose, path);
        self.session.act(Action::IfFree(Box::new(action)));
        self.go_on_after_saving(ctx);
    }

    /// Uses a file that was picked in the desktop's dialog, which knows nothing of the other files of
    /// a set.
    pub(super) fn use_file(&mut self, ctx: &Context, purpose: Purpose, path: PathBuf) {
        if purpose == Purpose::ExportSet {
            self.use_typed(ctx, purpose, path);
            return;
        }
        let action = self.use_of(purpose, path);
        self.session.act(action);
        self.go_on_after_saving(ctx);
    }

    fn use_of(&self, purpose: Purpose, path: PathBuf) -> Action {
        match purpose {
            Purpose::Open => Action::Open(path),
            Purpose::Compare => Action::Versions(VersionsDeed::With(Other::File(path))),
            Purpose::SaveAs => Action::SaveAs(path),
            Purpose::Export => Action::Export(path),
            Purpose::Booklet => Action::WriteBooklet(path),
            Purpose::ExportSet => Action::ExportSet(path, self.view.sheet.set.endings()),
        }
    }

    /// Does what waited until the project was saved under a name.
    fn go_on_after_saving(&mut self, ctx: &Context) {
        self.view.grid.want_focus = true;
        if self.name_is_taken() {
            return;
        }
        let wanted = self.view.after_saving.take();
        if let Some(wanted) = wanted.filter(|_| !self.session.has_unsaved_changes()) {
            self.go_on(ctx, wanted);
        }
    }

    /// Whether saving waits for the answer about a name that another file has.
    fn name_is_taken(&self) -> bool {
        let offers = self.session.offers();
        offers
            .iter()
            .any(|offer| matches!(offer, Offer::NameTaken { .. }))
    }
}

fn home() -> PathBuf {
    std::env::home_dir().unwrap_or_default()
}

/// A title as a file name: letters that file systems refuse become hyphens.
fn file_name(title: &str) -> String {
    let safe = |c: char| {
        if "/\\:*?\"<>|".contains(c) || c.is_control() {
            '-'
        } else {
            c
        }
    };
    title.chars().map(safe).collect()
}
