//! Opening, typing and saving: the start page, the line where a path is typed, and the question
//! about unsaved changes.

use crate::harness::CHART;
use crate::harness::click;
use crate::harness::document;
use crate::harness::empty;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

#[test]
fn typed_chords_become_a_tune() {
    let mut window = empty();
    let field = "Type or paste chords, bars between | signs";
    window.get_by_label(field).focus();
    settle(&mut window);
    window.get_by_label(field).type_text(CHART);
    settle(&mut window);
    click(&mut window, "Arrange these chords");
    assert_eq!(document(&window).n_bars(), 8);
    assert!(window.query_by_label("beat grid").is_some());
}

#[test]
fn text_that_is_no_chart_is_explained_and_kept() {
    let mut window = empty();
    let field = "Type or paste chords, bars between | signs";
    window.get_by_label(field).focus();
    settle(&mut window);
    window.get_by_label(field).type_text("[A]\nHm7 | Q9");
    settle(&mut window);
    click(&mut window, "Arrange these chords");
    assert_eq!(document(&window).n_bars(), 0);
    assert!(!window.state().session().notices().is_empty());
    let text = window.get_by_label(field).value().unwrap_or_default();
    assert!(text.contains("Hm7"), "{text:?}");
    click(&mut window, "dismiss notice");
    assert!(window.state().session().notices().is_empty());
}

#[test]
fn without_a_desktop_dialog_a_path_is_typed_and_saved_to() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("mill");
    let mut window = open();
    press_with(&mut window, Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    let field = window.get_by_label("Save the project as");
    field.set_text_value_accesskit(&path.to_string_lossy());
    settle(&mut window);
    click(&mut window, "Save");
    assert!(
        path.with_extension("ron").exists(),
        "{:?}",
        window.state().session().notices()
    );
    assert!(!window.state().session().has_unsaved_changes());

    let mut second = empty();
    press_with(&mut second, Modifiers::COMMAND, Key::O);
    let field = second.get_by_label("Open a file");
    field.set_text_value_accesskit(&path.with_extension("ron").to_string_lossy());
    settle(&mut second);
    press(&mut second, &[Key::Enter]);
    assert_eq!(document(&second).title, "Mill walk");
}

#[test]
fn a_path_that_is_not_there_is_explained() {
    let mut window = empty();
    press_with(&mut window, Modifiers::COMMAND, Key::O);
    let field = window.get_by_label("Open a file");
    field.set_text_value_accesskit("/nowhere/at/all.ron");
    settle(&mut window);
    press(&mut window, &[Key::Enter]);
    let notices = window.state().session().notices();
    assert!(
        notices.iter().any(|n| n.text.contains("/nowhere/at/all")),
        "{notices:?}"
    );
}

#[test]
fn escape_leaves_the_path_line() {
    let mut window = open();
    press_with(&mut window, Modifiers::COMMAND, Key::O);
    if window.query_by_label("Save the changes?").is_some() || has(&window, "Save the changes?") {
        click(&mut window, "Go on without saving");
    }
    assert!(window.query_by_label("Open a file").is_some());
    press(&mut window, &[Key::Escape]);
    press(&mut window, &[Key::Escape]);
    assert!(window.query_by_label("Open a file").is_none());
}

#[test]
fn changes_are_not_lost_without_a_question() {
    let mut window = open();
    press(&mut window, &[Key::Num5]);
    assert!(window.state().session().has_unsaved_changes());
    press_with(&mut window, Modifiers::COMMAND, Key::N);
    assert!(has(&window, "Save the changes?"));
    click(&mut window, "Cancel");
    assert_eq!(document(&window).n_bars(), 8);
    press_with(&mut window, Modifiers::COMMAND, Key::N);
    click(&mut window, "Go on without saving");
    assert_eq!(document(&window).n_bars(), 0);
}

#[test]
fn after_saving_under_a_name_what_was_asked_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("mill.ron");
    let mut window = open();
    press_with(&mut window, Modifiers::COMMAND, Key::N);
    click(&mut window, "Save");
    let field = window.get_by_label("Save the project as");
    field.set_text_value_accesskit(&path.to_string_lossy());
    settle(&mut window);
    press(&mut window, &[Key::Enter]);
    assert!(path.exists());
    assert_eq!(document(&window).n_bars(), 0, "the new chart was asked for");
}

#[test]
fn leaving_the_path_line_forgets_what_was_to_follow() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = open();
    press_with(&mut window, Modifiers::COMMAND, Key::N);
    click(&mut window, "Save");
    click(&mut window, "Cancel");
    press_with(&mut window, Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    let path = folder.path().join("mill.ron");
    let field = window.get_by_label("Save the project as");
    field.set_text_value_accesskit(&path.to_string_lossy());
    settle(&mut window);
    press(&mut window, &[Key::Enter]);
    assert_eq!(document(&window).n_bars(), 8);
}

/// A file as a desktop hands it over.
#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        Err("the program reads files by itself".into())
    }
}

#[test]
fn a_file_dropped_on_the_window_is_opened_after_the_question() {
    let folder = tempfile::tempdir().unwrap();
    let drop_file = |window: &mut crate::harness::Window, name: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, format!("Title: {name}\n[A]\nC6 | F6\n")).unwrap();
        let file = Arc::new(Dropped(path));
        window.input_mut().dropped_files = vec![file.clone(), file];
        settle(window);
    };
    let mut window = empty();
    drop_file(&mut window, "one.txt");
    assert_eq!(document(&window).title, "one.txt");
    let notices = window.state().session().notices();
    assert!(notices.iter().any(|n| n.text.contains("one can be open")));
    drop_file(&mut window, "two.txt");
    assert!(has(&window, "Save the changes?"));
    click(&mut window, "Go on without saving");
    assert_eq!(document(&window).title, "two.txt");
}

fn has(window: &crate::harness::Window, text: &str) -> bool {
    window.query_all_by_value(text).count() > 0
}

/// Two parts, the second with chords; the markup of MusicXML 4.0.
pub const SCORE: &str = "<score-partwise version='4.0'><part-list><score-part id='A'><part-name>Bass</part-name>\
    </score-part><score-part id='B'><part-name>Voice</part-name></score-part></part-list>\
    <part id='A'><measure number='1'><attributes><divisions>1</divisions></attributes>\
    <note><pitch><step>C</step><octave>3</octave></pitch><duration>4</duration></note></measure></part>\
    <part id='B'><measure number='1'><attributes><divisions>1</divisions></attributes>\
    <harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>\
    <note><pitch><step>E</step><octave>5</octave></pitch><duration>4</duration></note></measure></part></score-partwise>";

#[test]
fn a_score_is_opened_with_a_report_and_another_part_can_be_taken() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("lead.musicxml");
    std::fs::write(&path, SCORE).unwrap();
    let mut window = empty();
    press_with(&mut window, Modifiers::COMMAND, Key::O);
    let field = window.get_by_label("Open a file");
    field.set_text_value_accesskit(&path.to_string_lossy());
    settle(&mut window);
    press(&mut window, &[Key::Enter]);
    settle(&mut window);
    let top = |window: &crate::harness::Window| {
        let document = document(window);
        document
            .bar(0)
            .and_then(|bar| bar.tune.first().map(|note| note.pitch.number()))
    };
    assert_eq!(top(&window), Some(76));
    window.get_by_label("What the import of lead.musicxml left out or guessed");
    window.get_by_label_contains("2 parts; the tune is taken from part 2");
    window
        .state_mut()
        .session_mut()
        .act(thumbwalk::session::Action::TakePart(0));
    settle(&mut window);
    assert_eq!(top(&window), Some(48));
    click(&mut window, "close import report");
    assert!(window.state().session().import_report().is_none());
}

#[test]
fn a_chart_is_pasted_from_the_clipboard() {
    let mut window = empty();
    window.get_by_label("Paste chart").click();
    window.event(egui::Event::Paste(CHART.into()));
    settle(&mut window);
    assert_eq!(document(&window).n_bars(), 8);
    // Without an answer of the clipboard it says so, and later pastes go where they belong.
    let mut window = empty();
    click(&mut window, "Paste chart");
    for _ in 0..4 {
        settle(&mut window);
    }
    window.get_by_label_contains("The clipboard holds no text");
    window.event(egui::Event::Paste(CHART.into()));
    settle(&mut window);
    assert_eq!(document(&window).n_bars(), 0);
}
