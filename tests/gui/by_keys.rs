//! The whole main job with keys alone: a chart is typed and arranged, another line is asked for, a
//! cell is locked, the tune is played, its sheet looked at and exported. No pointer is moved.

use crate::harness::Window;
use crate::harness::document;
use crate::harness::empty;
use crate::harness::names;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Event;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::NodeT as _;
use thumbwalk::arrange::Lane;
use thumbwalk::document::Walk;
use thumbwalk::session::Area;

const CTRL: Modifiers = Modifiers::COMMAND;

/// Types letters, as a keyboard sends them.
fn type_keys(window: &mut Window, text: &str) {
    for line in text.split_inclusive('\n') {
        let words = line.trim_end_matches('\n');
        if !words.is_empty() {
            window.event(Event::Text(words.into()));
        }
        if line.ends_with('\n') {
            window.key_press(Key::Enter);
        }
        settle(window);
    }
}

/// What the keyboard is on: its name, else its content.
fn focused(window: &Window) -> Option<String> {
    let mut all = window.root().children_recursive();
    let node = all.find(|node| node.accesskit_node().is_focused())?;
    let node = node.accesskit_node();
    node.label().or_else(|| node.value())
}

/// Presses Tab until the keyboard is on something with this name.
fn tab_to(window: &mut Window, name: &str) {
    for _ in 0..400 {
        if focused(window).is_some_and(|focused| focused == name) {
            return;
        }
        press(window, &[Key::Tab]);
    }
    panic!(
        "Tab does not come to {name:?}; last at {:?}",
        focused(window)
    );
}

fn says(window: &Window, part: &str) -> bool {
    names(window).iter().any(|name| name.contains(part))
}

#[test]
fn the_whole_job_is_done_without_a_pointer() {
    let mut window = empty();
    // A new chart, typed.
    tab_to(&mut window, "Type or paste chords, bars between | signs");
    type_keys(
        &mut window,
        "Title: Lamp\nKey: C\n[A]\nDm7 | G7 | Cmaj7 | A7\n",
    );
    tab_to(&mut window, "Arrange these chords");
    press(&mut window, &[Key::Enter]);
    assert_eq!(document(&window).n_bars(), 4, "{:?}", names(&window));
    assert!(window.state().session().arrangement().is_some());
    // Another line, twice.
    assert_eq!(document(&window).line.walk, Walk::Plain);
    press(&mut window, &[Key::N, Key::N]);
    assert_eq!(document(&window).line.walk, Walk::TwoApproaches);
    // One cell decided and one locked; a bar written by hand.
    press(&mut window, &[Key::ArrowRight, Key::ArrowRight, Key::Num5]);
    press_with(&mut window, CTRL, Key::ArrowRight);
    press(&mut window, &[Key::L]);
    let place = window.state().session().selection().place;
    assert!(window.state().session().is_locked(place, Lane::Thumb));
    press(&mut window, &[Key::Enter]);
    press_with(&mut window, CTRL, Key::A);
    type_keys(&mut window, "Db7\n");
    let bar = document(&window).bar(1).unwrap().clone();
    let chord = bar.chords[0].harmony.chord().unwrap().root().to_string();
    assert_eq!(chord, "Db");
    assert_eq!(focused_in_grid(&window), Some(1));
    // A voicing from the list.
    tab_to_start(&mut window, "use ");
    press(&mut window, &[Key::Enter]);
    assert!(document(&window).bar(1).unwrap().chords[0].shape.is_some());
    // Back to the grid; play, and stop.
    press(&mut window, &[Key::Escape, Key::Space]);
    window.run_steps(3);
    assert!(window.state().session().play().playing);
    window.key_press(Key::Space);
    window.run_steps(3);
    assert!(!window.state().session().play().playing);
    settle(&mut window);
    // The sheet, by its key and by a command's name.
    press_with(&mut window, CTRL, Key::Num3);
    assert_eq!(window.state().session().area(), Area::Sheet);
    press_with(&mut window, CTRL, Key::Enter);
    type_keys(&mut window, "go to practice\n");
    assert_eq!(window.state().session().area(), Area::Practice);
    press_with(&mut window, CTRL, Key::Num3);
    // Saved and exported where the path line says.
    let folder = tempfile::tempdir().expect("a folder");
    for (key, name) in [(Key::S, "lamp.ron"), (Key::E, "lamp.pdf")] {
        press_with(&mut window, CTRL, key);
        let path = folder.path().join(name);
        press_with(&mut window, CTRL, Key::A);
        type_keys(&mut window, &format!("{}\n", path.display()));
        assert!(path.exists(), "{name}: {:?}", names(&window));
    }
    assert!(says(&window, "Exported lamp.pdf"));
    assert!(!window.state().session().has_unsaved_changes());
}

/// The selected bar if the keyboard is in the grid.
fn focused_in_grid(window: &Window) -> Option<usize> {
    let name = focused(window)?;
    let is_cell = name == "beat grid" || name.starts_with("bar ");
    is_cell.then(|| window.state().session().selection().place.bar)
}

/// Presses Tab until the keyboard is on something that begins like this.
fn tab_to_start(window: &mut Window, start: &str) {
    for _ in 0..400 {
        if focused(window).is_some_and(|name| name.starts_with(start)) {
            return;
        }
        press(window, &[Key::Tab]);
    }
    panic!("Tab does not come to {start:?}");
}

#[test]
fn a_new_chart_is_typed_at_once() {
    let mut window = empty();
    press_with(&mut window, Modifiers::COMMAND, Key::N);
    type_keys(&mut window, "Am7 | D7");
    assert_eq!(window.state().session().draft(), "Am7 | D7");
}
