//! The top bar: file menu and name, transport, undo and redo, theme and help. Icons have words on
//! hover and names for screen readers.

use super::transport;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::actions::Page;
use crate::gui::app::room::TopBar;
use crate::gui::controls;
use crate::gui::icons;
use crate::gui::icons::Icon;
use crate::gui::shortcuts;
use crate::gui::shortcuts::Deed;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Action;
use crate::session::Area;
use crate::session::Session;
use crate::session::sound_file;
use egui::Align;
use egui::Button;
use egui::Label;
use egui::Layout;
use egui::Popup;
use egui::PopupCloseBehavior;
use egui::RichText;
use egui::Ui;
use egui::containers::menu::MenuConfig;
use egui::containers::menu::SubMenuButton;

/// Shows the top bar; a narrow one in two rows.
pub fn topbar_ui(
    ui: &mut Ui,
    session: &Session,
    line_open: bool,
    stands: TopBar,
    actions: &mut Actions,
) {
    let gap = if stands.rows > 1 { 2.0 } else { 4.0 };
    ui.spacing_mut().item_spacing = egui::vec2(gap, 0.0);
    let row = |ui: &mut Ui, content: &mut dyn FnMut(&mut Ui)| {
        let size = egui::vec2(ui.available_width(), TopBar::ROW);
        let layout = Layout::left_to_right(Align::Center);
        ui.allocate_ui_with_layout(size, layout, |ui| {
            ui.set_min_size(size);
            content(ui);
        });
    };
    if stands.rows > 1 {
        row(ui, &mut |ui| {
            file_ui(ui, session, line_open, stands, actions);
            window_ui(ui, session, actions);
        });
        row(ui, &mut |ui| {
            undo_ui(ui, session, actions);
            divide(ui);
            transport::transport_ui(ui, session, actions);
        });
        return;
    }
    row(ui, &mut |ui| {
        file_ui(ui, session, line_open, stands, actions);
        divide(ui);
        undo_ui(ui, session, actions);
        divide(ui);
        transport::transport_ui(ui, session, actions);
        window_ui(ui, session, actions);
    });
}

/// What is open, and the area that it is shown in.
fn file_ui(ui: &mut Ui, session: &Session, line_open: bool, stands: TopBar, actions: &mut Actions) {
    let words = if stands.is_alone {
        "Show the settings at the left, or the voicings"
    } else {
        "Show or close the left panel"
    };
    let words = hint(ui, words, Deed::Side);
    let arranges = session.area() == Area::Arrange && session.document().n_bars() > 0;
    ui.add_enabled_ui(arranges, |ui| {
        let on = Some(line_open && arranges);
        let side = icons::button(ui, Icon::Side, "left panel", &words, on);
        if side.clicked() {
            actions.window(Command::ToggleLine);
        }
    });
    menu_ui(ui, session, actions);
    name_ui(ui, session, stands);
    areas_ui(ui, session, actions);
}

/// What concerns the window, from its right edge.
fn window_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let words = hint(ui, "Shortcuts and cautions", Deed::Help);
        if icons::button(ui, Icon::Help, "help", &words, None).clicked() {
            actions.window(Command::Page(Page::Help));
        }
        let words = hint(ui, "Find a chord, a thumb move, a bar", Deed::Find);
        let full = session.document().n_bars() > 0;
        ui.add_enabled_ui(full, |ui| {
            if icons::button(ui, Icon::Find, "find", &words, None).clicked() {
                actions.window(Command::Find(None));
            }
        });
        let words = hint(ui, "Light or dark", Deed::Theme);
        if icons::button(ui, Icon::Theme, "light or dark", &words, None).clicked() {
            actions.window(Command::ToggleTheme);
        }
        let words = hint(ui, "Do anything by its name", Deed::Do);
        let button = ui.button("Do…").on_hover_text(words);
        if button.clicked() {
            actions.window(Command::LookUp);
        }
    });
}

/// The switch between the work areas.
fn areas_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let now = session.area();
    for (area, words) in [
        (Area::Arrange, "Arrange"),
        (Area::Practice, "Practice"),
        (Area::Sheet, "Sheet"),
    ] {
        if ui.add(Button::selectable(now == area, words)).clicked() && now != area {
            actions.act(Action::ShowArea(area));
        }
    }
}

/// Words with the key that does the same.
pub fn hint(ui: &Ui, words: &str, deed: Deed) -> String {
    let key = shortcuts::key_of(deed, ui.ctx());
    if key.is_empty() {
        words.to_owned()
    } else {
        format!("{words} ({key})")
    }
}

/// A thin line between groups.
pub fn divide(ui: &mut Ui) {
    let p = theme::palette(ui.visuals());
    let (_, rect) = ui.allocate_space(egui::vec2(9.0, 24.0));
    let x = ui.painter().round_to_pixel_center(rect.center().x);
    ui.painter()
        .vline(x, rect.y_range(), egui::Stroke::new(1.0, p.lines));
}

fn name_ui(ui: &mut Ui, session: &Session, stands: TopBar) {
    let p = theme::palette(ui.visuals());
    let title = &session.document().title;
    let file = session.path().and_then(|path| path.file_name());
    let name = match (title.is_empty(), file) {
        (false, _) => title.clone(),
        (true, Some(file)) => file.to_string_lossy().into_owned(),
        (true, None) => "Untitled".into(),
    };
    let unsaved = session.has_unsaved_changes();
    let full = session.path().map_or_else(
        || "Not saved yet".to_owned(),
        |path| path.display().to_string(),
    );
    // A narrow window shortens the name first; it is whole on hover.
    let left = ui.ctx().content_rect().width();
    let others = if stands.rows > 1 { 470.0 } else { 1000.0 };
    let width = (left - others).clamp(72.0, 150.0);
    ui.allocate_ui_with_layout(
        egui::vec2(width, 28.0),
        Layout::left_to_right(Align::Center),
        |ui| {
            ui.set_width(width);
            let text = RichText::new(name).font(theme::bold(theme::BODY));
            let hint = if unsaved {
                format!("{full}\nThere are unsaved changes")
            } else {
                full
            };
            if unsaved {
                let (_, rect) = ui.allocate_space(egui::vec2(8.0, 8.0));
                ui.painter().circle_filled(rect.center(), 4.0, p.warning);
            }
            ui.add(Label::new(text).truncate()).on_hover_text(hint);
        },
    );
}

fn undo_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let undo = session.undo_label().map(str::to_owned);
    let redo = session.redo_label().map(str::to_owned);
    for (icon, label, deed, name, action) in [
        (Icon::Undo, undo, Deed::Undo, "undo", Action::Undo),
        (Icon::Redo, redo, Deed::Redo, "redo", Action::Redo),
    ] {
        let words = match &label {
            Some(label) => format!(
                "{}: {label}",
                if deed == Deed::Undo { "Undo" } else { "Redo" }
            ),
            None => format!("Nothing to {name}"),
        };
        let words = hint(ui, &words, deed);
        ui.add_enabled_ui(label.is_some(), |ui| {
            if icons::button(ui, icon, name, &words, None).clicked() {
                actions.act(action);
            }
        });
    }
}

/// How sound files are written when the ending of an export asks for one.
fn sound_file_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let now = session.sound_options();
    let config = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    SubMenuButton::new("Sound files")
        .config(config)
        .ui(ui, |ui| {
            controls::in_menu(ui);
            let mut wanted = now;
            for rate in sound_file::SOUND_RATES {
                let words = format!("{}.{} kHz", rate / 1000, rate % 1000 / 100);
                ui.radio_value(&mut wanted.rate, rate, words);
            }
            ui.separator();
            for bits in sound_file::SOUND_BITS {
                ui.radio_value(&mut wanted.bits, bits, format!("{bits} bits"));
            }
            ui.separator();
            ui.checkbox(&mut wanted.stems, "A file for each lane as well");
            if wanted != now {
                actions.act(Action::SetSoundOptions(wanted));
            }
        });
}

/// Versions before the last saves.
fn earlier_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    SubMenuButton::new("Earlier versions").ui(ui, |ui| {
        ui.set_min_width(200.0);
        let earlier = session.earlier();
        if earlier.is_empty() {
            ui.label("None yet; each save keeps the one before");
        }
        for (idx, version) in earlier.into_iter().enumerate() {
            let when = version.ago_s.map(words::ago);
            let words = match when {
                Some(when) => format!("Saved {when}"),
                None => format!("Version {}", idx + 1),
            };
            let button = Button::new(words).frame_when_inactive(false);
            if ui.add(button).clicked() {
                actions.act(Action::OpenEarlier(version.path));
            }
        }
    });
}

/// Recent files that the menu shows.
const MOST_RECENT: usize = 6;

fn menu_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let button = icons::button(
        ui,
        Icon::Menu,
        "file menu",
        "New, open, save, export, samples",
        None,
    );
    Popup::menu(&button)
        .accessible_name("file menu")
        .show(|ui| {
            ui.set_min_width(200.0);
            controls::menu_rows(ui, |ui| file_rows_ui(ui, session, actions));
        });
}

/// The rows of the file menu.
fn file_rows_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let item = |ui: &mut Ui, words: &str, deed: Option<Deed>, enabled: bool| {
        let key = deed.map_or_else(String::new, |d| shortcuts::key_of(d, ui.ctx()));
        let button = Button::new(words)
            .shortcut_text(key)
            .frame_when_inactive(false);
        ui.add_enabled(enabled, button).clicked()
    };
    let full = session.document().n_bars() > 0;
    if item(ui, "New", Some(Deed::New), true) {
        actions.window(Command::New);
    }
    if item(ui, "Open…", Some(Deed::Open), true) {
        actions.window(Command::AskOpen);
    }
    if item(ui, "Paste chart", None, true) {
        actions.window(Command::PasteChart);
    }
    ui.separator();
    if item(ui, "Save", Some(Deed::Save), full) {
        actions.window(Command::Save);
    }
    if item(ui, "Save as…", Some(Deed::SaveAs), full) {
        actions.window(Command::AskSaveAs);
    }
    if item(ui, "Export…", Some(Deed::Export), full) {
        actions.window(Command::AskExport);
    }
    if item(ui, "Compare versions", Some(Deed::Compare), full) {
        actions.window(Command::ToggleCompare);
    }
    sound_file_ui(ui, session, actions);
    if session.path().is_some() {
        earlier_ui(ui, session, actions);
    }
    ui.separator();
    if item(ui, "Preferences…", Some(Deed::Preferences), true) {
        actions.window(Command::Page(Page::Preferences));
    }
    if item(ui, "About Thumbwalk", None, true) {
        actions.window(Command::Page(Page::About));
    }
    if !session.recent().is_empty() {
        ui.separator();
        ui.label(RichText::new("Recent files").small());
    }
    for path in session.recent().iter().take(MOST_RECENT) {
        let name = path.file_name().unwrap_or(path.as_os_str());
        if item(ui, &name.to_string_lossy(), None, true) {
            actions.window(Command::Recent(path.clone()));
        }
    }
    let samples = crate::session::samples::SAMPLES;
    if !samples.is_empty() {
        ui.separator();
        ui.label(RichText::new("Sample projects").small());
    }
    for (idx, (sample, _)) in samples.iter().enumerate() {
        if item(ui, sample, None, true) {
            actions.window(Command::Sample(idx));
        }
    }
}
