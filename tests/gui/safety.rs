//! Safety of work in the window: cards for unsaved work and for files changed by others, and drafts
//! of the start page.

use crate::harness::CHART;
use crate::harness::Window;
use crate::harness::around;
use crate::harness::click;
use crate::harness::document;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use crate::harness::silent;
use egui::Event;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;
use std::path::Path;
use std::time::Duration;
use thumbwalk::document::Edit;
use thumbwalk::session::Action;
use thumbwalk::session::SafetyOptions;
use thumbwalk::session::Session;

const fn clock() -> u64 {
    4_102_444_800
}

fn session(data: &Path) -> Session {
    let mut session = silent();
    session.keep_safe(SafetyOptions {
        folder: data.into(),
        clock,
        pause: Duration::ZERO,
    });
    session
}

fn window(data: &Path) -> Window {
    around(1400.0, 900.0, session(data))
}

fn says(window: &Window, text: &str) -> bool {
    window.query_all_by_label_contains(text).count() > 0
        || crate::harness::names(window)
            .iter()
            .any(|n| n.contains(text))
}

#[test]
fn unsaved_work_of_an_earlier_run_is_restored_by_its_card() {
    let folder = tempfile::tempdir().unwrap();
    let mut before = session(folder.path());
    before.act(Action::OpenText(CHART.into()));
    drop(before);
    let mut window = window(folder.path());
    assert!(says(&window, "Unsaved work on “Mill walk”"));
    assert_eq!(document(&window).n_bars(), 0);
    click(&mut window, "restore unsaved work on Mill walk");
    assert_eq!(document(&window).n_bars(), 8);
    assert!(!says(&window, "Unsaved work on"));
}

#[test]
fn restoring_asks_before_it_replaces_other_work_and_discarding_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let mut before = session(folder.path());
    before.act(Action::OpenText(CHART.into()));
    drop(before);
    let mut window = window(folder.path());
    let other = "Title: Other\n[A]\nC6 | F6".to_owned();
    window
        .state_mut()
        .session_mut()
        .act(Action::OpenText(other));
    settle(&mut window);
    click(&mut window, "restore unsaved work on Mill walk");
    click(&mut window, "Cancel");
    assert_eq!(document(&window).title, "Other");
    click(&mut window, "discard unsaved work on Mill walk");
    assert!(!says(&window, "Unsaved work on"));
}

#[test]
fn a_file_changed_by_another_program_is_noticed_when_the_window_is_looked_at() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("mill.ron");
    let mut mine = session(&folder.path().join("data"));
    mine.act(Action::OpenText(CHART.into()));
    mine.act(Action::SaveAs(path.clone()));
    let mut window = around(1400.0, 900.0, mine);
    let mut theirs = silent();
    theirs.act(Action::Open(path));
    theirs.act(Action::Edit(Edit::SetTitle("Mill run".into())));
    theirs.act(Action::Save);
    for focused in [false, true] {
        window.event(Event::WindowFocused(focused));
        window.input_mut().focused = focused;
        settle(&mut window);
    }
    assert!(says(
        &window,
        "“mill.ron” has been changed by another program"
    ));
    click(&mut window, "load theirs");
    assert_eq!(document(&window).title, "Mill run");
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(document(&window).title, "Mill walk");
}

#[test]
fn chords_being_typed_survive() {
    let folder = tempfile::tempdir().unwrap();
    let mut first = window(folder.path());
    let field = "Type or paste chords, bars between | signs";
    first.get_by_label(field).focus();
    settle(&mut first);
    first.get_by_label(field).type_text("Dm7 | G7");
    settle(&mut first);
    drop(first);
    let mut second = window(folder.path());
    assert!(says(&second, "Chords that were being typed"));
    click(&mut second, "restore typed chords");
    let text = second.get_by_label(field).value().unwrap_or_default();
    assert_eq!(text, "Dm7 | G7");
}

#[test]
fn saving_under_a_typed_name_asks_before_another_file_goes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("other.ron");
    let typed = |window: &mut Window| {
        press_with(window, Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
        let field = window.get_by_label("Save the project as");
        field.set_text_value_accesskit(&path.to_string_lossy());
        settle(window);
        press(window, &[Key::Enter]);
    };
    std::fs::write(&path, "not mine").unwrap();
    let mut window = open();
    typed(&mut window);
    assert!(says(
        &window,
        "Not saved: there is a file “other.ron” already"
    ));
    click(&mut window, "leave other.ron");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "not mine");
    assert!(window.state().session().offers().is_empty());
    typed(&mut window);
    click(&mut window, "replace other.ron");
    let saved = std::fs::read_to_string(&path).unwrap();
    assert!(saved.contains("Mill walk"), "{saved}");
    assert!(!window.state().session().has_unsaved_changes());
    // Its own file is not another one.
    typed(&mut window);
    assert!(window.state().session().offers().is_empty());
}

#[test]
fn exports_ask_before_files_go_that_were_not_exported_here() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let read = |name: &str| std::fs::read_to_string(path(name)).unwrap();
    let mut window = open();
    let typed = |window: &mut Window, name: &str| {
        press_with(window, Modifiers::COMMAND, Key::E);
        let field = window.get_by_label("Export to");
        field.set_text_value_accesskit(&path(name).to_string_lossy());
        settle(window);
        press(window, &[Key::Enter]);
    };
    std::fs::write(path("mill.txt"), "not mine").unwrap();
    typed(&mut window, "mill.txt");
    let asked = "Not exported: there is a file “mill.txt” already";
    assert!(says(&window, asked));
    assert_eq!(read("mill.txt"), "not mine");
    click(&mut window, "replace mill.txt");
    assert!(read("mill.txt").contains("Mill walk"));
    // What was exported here may be written again.
    typed(&mut window, "mill.txt");
    assert!(window.state().session().offers().is_empty());
    std::fs::write(path("set.pdf"), "not mine").unwrap();
    std::fs::write(path("set.mid"), "not mine").unwrap();
    window
        .state_mut()
        .session_mut()
        .act(Action::IfFree(Box::new(Action::ExportSet(
            path("set"),
            vec!["pdf", "mid", "csv"],
        ))));
    settle(&mut window);
    let asked = "Not exported: there are files “set.pdf”, “set.mid” already";
    assert!(says(&window, asked));
    click(&mut window, "leave set.pdf, set.mid");
    assert_eq!(read("set.pdf"), "not mine");
    assert!(!path("set.csv").exists());
}
