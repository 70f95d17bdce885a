//! Accessibility: nothing that can be pressed or has the keyboard is without a name, in any state
//! of the window, and at any supported size.

use crate::harness::CHART;
use crate::harness::Window;
use crate::harness::click;
use crate::harness::empty;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::sized;
use egui::Key;
use egui::accesskit::Action;
use egui::accesskit::Role;
use egui_kittest::kittest::NodeT as _;
use egui_kittest::kittest::Queryable as _;

/// Everything that reacts but has no name, with its role and place.
fn unnamed(window: &Window) -> Vec<String> {
    let mut found = Vec::new();
    for node in window.root().children_recursive() {
        let node = node.accesskit_node();
        let data = node.data();
        let reacts = data.supports_action(Action::Click) || data.supports_action(Action::Focus);
        let label = node.label().unwrap_or_default();
        let value = node.value().unwrap_or_default();
        let placeholder = data.placeholder().unwrap_or_default();
        let nameless = [label.as_str(), value.as_str(), placeholder]
            .iter()
            .all(|t| t.trim().is_empty());
        // egui's own scroll bars have a role that says enough.
        if reacts && nameless && node.role() != Role::ScrollBar {
            found.push(format!("{:?} at {:?}", node.role(), node.raw_bounds()));
        }
    }
    found
}

fn check(window: &Window, state: &str) {
    assert_eq!(unnamed(window), Vec::<String>::new(), "{state}");
}

#[test]
fn everything_that_reacts_has_a_name() {
    check(&empty(), "start page");
    check(&sized(1100.0, 700.0, Some(CHART)), "small window");
    let mut window = open();
    check(&window, "grid");
    click(&mut window, "bar 2, beat 1, chord G7");
    check(&window, "chord field");
    press(&mut window, &[Key::Escape]);
    click(&mut window, "file menu");
    check(&window, "file menu");
    press(&mut window, &[Key::Escape]);
    click(&mut window, "feel");
    check(&window, "feel");
    press(&mut window, &[Key::Escape]);
    press(&mut window, &[Key::Questionmark]);
    check(&window, "help page");
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
