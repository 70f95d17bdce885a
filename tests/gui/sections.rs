//! Sections by keys, by the menu of their marks and by naming them in place.

use crate::harness::Window;
use crate::harness::document;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;

/// `A4 B4`: names and numbers of bars.
fn sections(window: &Window) -> String {
    let document = document(window);
    let words = document
        .sections
        .iter()
        .map(|section| format!("{}{}", section.name, section.bars.len()));
    words.collect::<Vec<_>>().join(" ")
}

fn pick(window: &mut Window, mark: &str, command: &str) {
    window.get_by_label(mark).click_secondary();
    settle(window);
    window.get_by_label(command).click();
    settle(window);
}

#[test]
fn a_section_is_named_where_its_mark_stands() {
    let mut window = open();
    assert_eq!(sections(&window), "A4 B4");
    press(&mut window, &[Key::End, Key::F2]);
    let field = window.get_by_label("name of the section");
    assert!(field.is_focused());
    field.type_text("Bridge");
    press(&mut window, &[Key::Enter]);
    assert_eq!(sections(&window), "A4 Bridge4");
    assert!(window.get_by_label("beat grid").is_focused() || is_in_grid(&window));
    let label = window.state().session().undo_label().map(str::to_owned);
    assert_eq!(label.as_deref(), Some("Rename section"));
    press(&mut window, &[Key::F2]);
    window.get_by_label("name of the section").type_text("C");
    press(&mut window, &[Key::Escape]);
    assert_eq!(sections(&window), "A4 Bridge4", "left as it was");
    assert!(window.query_by_label("name of the section").is_none());
}

/// Whether arrows move in the grid.
fn is_in_grid(window: &Window) -> bool {
    names(window).iter().any(|name| name == "beat grid")
}

#[test]
fn the_menu_of_a_mark_has_what_can_be_done_to_a_section() {
    let mut window = open();
    let marks = ["section A, bars 1 to 4", "section B, bars 5 to 8"];
    pick(&mut window, marks[1], "Duplicate the section");
    assert_eq!(sections(&window), "A4 B4 B4");
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    pick(&mut window, marks[0], "Move the section later");
    assert_eq!(sections(&window), "B4 A4");
    assert_eq!(window.state().session().selection().bars(), (4, 7));
    press_with(&mut window, Modifiers::ALT, Key::ArrowUp);
    assert_eq!(sections(&window), "A4 B4");
    pick(&mut window, marks[0], "Put a new section after this one");
    assert_eq!(sections(&window), "A4 C4 B4");
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    pick(&mut window, marks[0], "Delete the section");
    assert_eq!(sections(&window), "B4");
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(sections(&window), "A4 B4");
}

#[test]
fn a_section_begins_at_a_bar_and_joins_the_one_before() {
    let mut window = open();
    press_with(&mut window, Modifiers::COMMAND, Key::ArrowRight);
    press(&mut window, &[Key::Menu]);
    window.get_by_label("Section").click();
    settle(&mut window);
    window.get_by_label("Begin a section with this bar").click();
    settle(&mut window);
    assert_eq!(sections(&window), "A1 C3 B4");
    pick(
        &mut window,
        "section C, bars 2 to 4",
        "Join the section to the one before",
    );
    assert_eq!(sections(&window), "A4 B4");
}

#[test]
fn two_presses_on_a_mark_name_the_section() {
    let mut window = open();
    let mark = window.get_by_label("section B, bars 5 to 8");
    let at = mark.rect().center();
    window.event(egui::Event::PointerMoved(at));
    window.run();
    // All in one frame: the presses of a test's frames lie too far apart.
    for pressed in [true, false, true, false] {
        window.input_mut().events.push(egui::Event::PointerButton {
            pos: at,
            button: egui::PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        });
    }
    settle(&mut window);
    window.get_by_label("name of the section").type_text("Coda");
    press(&mut window, &[Key::Enter]);
    assert_eq!(sections(&window), "A4 Coda4");
}

#[test]
fn a_section_without_a_name_has_a_mark_too_unless_it_is_the_only_one() {
    let chart = "[A]\nDm7 | G7\n[B]\nC6 | A7\n";
    let mut window = crate::harness::sized(1400.0, 900.0, Some(chart));
    press(&mut window, &[Key::End, Key::F2, Key::Delete, Key::Enter]);
    assert_eq!(sections(&window), "A2 2");
    window
        .get_by_label("section without a name, bars 3 to 4")
        .click();
    settle(&mut window);
    assert_eq!(window.state().session().selection().bars(), (2, 3));
    let window = crate::harness::sized(1400.0, 900.0, Some("Dm7 | G7\n"));
    let marks = names(&window).into_iter();
    assert_eq!(marks.filter(|n| n.starts_with("section ")).count(), 0);
}
