//! Accessibility: nothing that can be pressed or has the keyboard is without a name, in any state
//! of the window, and at any supported size.

use crate::harness::CHART;
use crate::harness::Window;
use crate::harness::around;
use crate::harness::click;
use crate::harness::empty;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::silent;
use crate::harness::sized;
use egui::Key;
use egui::accesskit::Action;
use egui::accesskit::Role;
use egui_kittest::kittest::NodeT as _;
use egui_kittest::kittest::Queryable as _;
use std::time::Duration;
use thumbwalk::session;
use thumbwalk::session::SafetyOptions;

/// Roles whose content is no name: what they hold is told beside what they are called.
const HOLDERS: [Role; 6] = [
    Role::TextInput,
    Role::MultilineTextInput,
    Role::Slider,
    Role::SpinButton,
    Role::ComboBox,
    Role::CheckBox,
];

/// Everything that reacts but has no name, with its role and place.
fn unnamed(window: &Window) -> Vec<String> {
    let mut found = Vec::new();
    for node in window.root().children_recursive() {
        let node = node.accesskit_node();
        let data = node.data();
        let reacts = data.supports_action(Action::Click) || data.supports_action(Action::Focus);
        let label = node.label().unwrap_or_default();
        let value = node.value().unwrap_or_default();
        let nameless =
            label.trim().is_empty() && (HOLDERS.contains(&node.role()) || value.trim().is_empty());
        // egui's own scroll bars have a role that says enough.
        if reacts && nameless && node.role() != Role::ScrollBar {
            let place = node.raw_bounds();
            found.push(format!("{:?} {value:?} at {place:?}", node.role()));
        }
    }
    found
}

fn check(window: &Window, state: &str) {
    assert_eq!(unnamed(window), Vec::<String>::new(), "{state}");
}

/// Clicks what begins with these words.
fn click_starting(window: &mut Window, start: &str) {
    let name = names(window).into_iter().find(|n| n.starts_with(start));
    click(window, &name.unwrap_or_else(|| panic!("no {start}")));
}

#[test]
fn everything_that_reacts_has_a_name() {
    check(&empty(), "start page");
    check(&sized(1100.0, 700.0, Some(CHART)), "small window");
    let mut window = open();
    check(&window, "grid");
    click(&mut window, "bar 2, beat 1, chord G7");
    check(&window, "chord field");
    press(&mut window, &[Key::Escape, Key::ArrowUp]);
    check(&window, "fingers lane");
}

#[test]
fn everything_in_what_opens_over_the_work_has_a_name() {
    let mut window = open();
    for name in ["file menu", "feel", "lanes", "speed trainer"] {
        click(&mut window, name);
        check(&window, name);
        press(&mut window, &[Key::Escape]);
    }
    click_starting(&mut window, "sound not opened yet");
    check(&window, "sound");
    press(&mut window, &[Key::Escape]);
    click(&mut window, "file menu");
    click_starting(&mut window, "Sound files");
    check(&window, "sound files");
}

#[test]
fn everything_in_strips_menus_and_fields_over_the_grid_has_a_name() {
    let mut window = open();
    press_with(&mut window, egui::Modifiers::COMMAND, Key::Enter);
    check(&window, "strip of commands");
    press(&mut window, &[Key::Escape]);
    press_with(&mut window, egui::Modifiers::COMMAND, Key::F);
    window.get_by_label("Find").type_text("Dm7");
    window.run();
    check(&window, "find");
    press(&mut window, &[Key::Escape, Key::Escape, Key::F2]);
    check(&window, "name of a section");
    press(&mut window, &[Key::Escape]);
    for (lane, submenus) in [(Key::ArrowDown, 3), (Key::ArrowUp, 3), (Key::T, 3)] {
        press(&mut window, &[lane]);
        for submenu in ["Chord", "Bar", "Section"].into_iter().take(submenus) {
            press(&mut window, &[Key::Menu]);
            check(&window, "menu of a cell");
            click(&mut window, submenu);
            check(&window, submenu);
            press(&mut window, &[Key::Escape, Key::Escape]);
        }
    }
}

#[test]
fn everything_in_the_strip_of_commands_has_a_name_in_every_area() {
    let mut window = empty();
    press_with(&mut window, egui::Modifiers::COMMAND, Key::Enter);
    check(&window, "strip of commands, start page");
    let mut window = sized(1100.0, 700.0, Some(CHART));
    for area in ["Practice", "Sheet"] {
        click(&mut window, area);
        press_with(&mut window, egui::Modifiers::COMMAND, Key::Enter);
        check(&window, area);
        press(&mut window, &[Key::Escape]);
    }
}

#[test]
fn everything_in_the_panels_has_a_name() {
    let mut window = open();
    for part in [
        "Rules of the line",
        "Key",
        "Chord style",
        "Tuning",
        "Saved hand",
    ] {
        window.get_by_label(part).scroll_to_me();
        click(&mut window, part);
        check(&window, part);
        press(&mut window, &[Key::Escape]);
    }
    for row in 0..2 {
        let pins = names(&window).into_iter();
        let pin = pins.filter(|n| n.starts_with("pin ")).nth(row);
        click(&mut window, &pin.expect("a voicing to pin"));
        check(&window, "pinned voicings");
    }
    let mut window = sized(1400.0, 900.0, Some("[A]\nC6 | G13(b9) | C6 | Am7\n"));
    click(&mut window, "1 finding");
    check(&window, "findings");
    press_with(&mut window, egui::Modifiers::COMMAND, Key::K);
    click(&mut window, "Other version");
    click_starting(&mut window, "Another line");
    check(&window, "comparison");
}

#[test]
fn everything_on_the_other_pages_has_a_name() {
    let mut window = open();
    click(&mut window, "Sheet");
    check(&window, "sheet");
    click(&mut window, "Several files at once");
    check(&window, "several files");
    click(&mut window, "Practice");
    check(&window, "practice");
    press(&mut window, &[Key::Questionmark]);
    check(&window, "help page");
    press_with(&mut window, egui::Modifiers::COMMAND, Key::Comma);
    check(&window, "preferences");
    click(&mut window, "How to measure a hand");
    check(&window, "measuring");
    press(&mut window, &[Key::Escape]);
    click(&mut window, "file menu");
    click_starting(&mut window, "About Thumbwalk");
    check(&window, "about");
    let mut small = sized(900.0, 600.0, Some(CHART));
    press_with(&mut small, egui::Modifiers::COMMAND, Key::Comma);
    check(&small, "preferences, small window");
}

#[test]
fn every_card_has_names() {
    let folder = tempfile::tempdir().unwrap();
    let safe = || {
        let mut session = silent();
        session.keep_safe(SafetyOptions {
            folder: folder.path().join("data"),
            clock: || 0,
            pause: Duration::ZERO,
        });
        session
    };
    let mut before = safe();
    before.act(session::Action::OpenText(CHART.into()));
    drop(before);
    let mut session = safe();
    let path = folder.path().join("mill.ron");
    session.act(session::Action::OpenText(CHART.into()));
    session.act(session::Action::SaveAs(path.clone()));
    session.act(session::Action::SaveAs(path.clone()));
    std::fs::write(&path, "something else").unwrap();
    session.act(session::Action::LookAtDisk);
    assert_eq!(session.offers().len(), 2);
    let mut window = around(1400.0, 900.0, session);
    check(&window, "cards");
    click(&mut window, "file menu");
    click_starting(&mut window, "Earlier versions");
    check(&window, "earlier versions");
}

#[test]
fn the_path_line_and_the_question_have_names() {
    let mut window = open();
    press(&mut window, &[Key::Num5]);
    press_with(&mut window, egui::Modifiers::COMMAND, Key::O);
    check(&window, "question");
    click(&mut window, "Go on without saving");
    check(&window, "path line");
    assert!(window.query_by_label("Open a file").is_some());
}

#[test]
fn the_smallest_window_still_shows_every_part() {
    let window = sized(900.0, 600.0, Some(CHART));
    for name in ["beat grid", "play", "Tempo", "Family", "thumb move: root"] {
        assert!(window.query_by_label(name).is_some(), "{name}");
    }
}
