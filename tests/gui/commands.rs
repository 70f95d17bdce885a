//! Every command by its name: the strip under the top bar and the menus of what is selected, both
//! made from the one table.

use crate::harness::Window;
use crate::harness::document;
use crate::harness::empty;
use crate::harness::name_starting;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::NodeT as _;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::document::ThumbCell;
use thumbwalk::gui::shortcuts::TABLE;
use thumbwalk::session::Area;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}

fn open_strip(window: &mut Window) {
    press_with(window, Modifiers::COMMAND, Key::Enter);
}

fn type_command(window: &mut Window, text: &str) {
    open_strip(window);
    window.get_by_label("what to do").type_text(text);
    settle(window);
}

#[test]
fn every_command_of_the_table_is_in_the_strip() {
    let mut window = open();
    open_strip(&mut window);
    let names = names(&window);
    for row in TABLE {
        let name = format!("{}: {}", row.deed.about().words(), row.name());
        let found = names
            .iter()
            .any(|shown| shown == &name || shown.starts_with(&format!("{name} (not now: ")));
        assert!(found, "{name}");
    }
}

#[test]
fn what_is_typed_narrows_the_strip_and_enter_does_the_marked_one() {
    let mut window = open();
    type_command(&mut window, "thumb ghost");
    let shown: Vec<String> = names(&window)
        .into_iter()
        .filter(|name| name.starts_with("Thumb: "))
        .collect();
    assert_eq!(shown, ["Thumb: ghost note"]);
    press(&mut window, &[Key::Enter]);
    let thumb = document(&window).bar(0).unwrap().thumb.clone();
    assert_eq!(thumb, [(Ticks(0), ThumbCell::Move(ThumbMove::Ghost))]);
    assert!(window.query_by_label("close commands").is_none());
    // The keyboard is in the grid again.
    press(&mut window, &[Key::Num5]);
    let thumb = document(&window).bar(0).unwrap().thumb.clone();
    assert_eq!(thumb, [(Ticks(0), ThumbCell::Move(ThumbMove::Fifth))]);
}

#[test]
fn arrows_mark_another_command_and_escape_leaves_the_strip() {
    let mut window = open();
    type_command(&mut window, "go to");
    press(&mut window, &[Key::ArrowDown, Key::Enter]);
    assert_eq!(window.state().session().area(), Area::Sheet);
    type_command(&mut window, "go to arrange");
    press(&mut window, &[Key::Escape]);
    assert!(window.query_by_label("close commands").is_none());
    assert_eq!(window.state().session().area(), Area::Sheet);
}

#[test]
fn what_cannot_be_done_says_why_and_is_not_done() {
    let mut window = open();
    type_command(&mut window, "undo");
    let name = name_starting(&window, "Window: undo");
    assert_eq!(
        name,
        "Window: undo (not now: there is nothing to take back)"
    );
    let before = document(&window);
    press(&mut window, &[Key::Enter]);
    assert_eq!(document(&window), before);
    assert!(
        window.query_by_label("close commands").is_some(),
        "it stays"
    );
    let mut window = empty();
    type_command(&mut window, "duplicate the selected");
    assert!(names(&window).contains(
        &"Bar: duplicate the selected bars (not now: write or open a chart first)".to_owned()
    ));
}

#[test]
fn menus_call_commands_as_the_table_does_and_are_opened_by_keys() {
    let mut window = open();
    for (key, modifiers) in [(Key::Menu, Modifiers::NONE), (Key::F10, Modifiers::SHIFT)] {
        press_with(&mut window, modifiers, key);
        assert!(window.query_by_label("Approach from below").is_some());
        press(&mut window, &[Key::Escape]);
        assert!(window.query_by_label("Approach from below").is_none());
    }
    press_with(&mut window, Modifiers::NONE, Key::Menu);
    // Arrows go through the menu, Enter takes what they are on.
    press(&mut window, &[Key::ArrowDown, Key::ArrowDown, Key::Enter]);
    let thumb = document(&window).bar(0).unwrap().thumb.clone();
    assert_eq!(thumb, [(Ticks(0), ThumbCell::Move(ThumbMove::Third))]);
    press(&mut window, &[Key::Num5]);
    let thumb = document(&window).bar(0).unwrap().thumb.clone();
    assert_eq!(thumb, [(Ticks(0), ThumbCell::Move(ThumbMove::Fifth))]);
}

#[test]
fn every_part_of_a_card_has_a_menu_of_its_own() {
    let mut window = open();
    press(&mut window, &[Key::T, Key::G, Key::Home]);
    for (start, command) in [
        ("bar 2, beat 1, chord", "Find this chord everywhere"),
        ("bar 2, beat 1, thumb:", "Double approach from below"),
        ("bar 2, beat 1, fingers:", "Pluck short"),
        ("bar 1, beat 1, tune:", "An octave up"),
        ("section B", "Name the section"),
    ] {
        let name = name_starting(&window, start);
        window.get_by_label(&name).click_secondary();
        settle(&mut window);
        let words: Vec<String> = TABLE.iter().map(|row| sentence(&row.name())).collect();
        assert!(words.contains(&command.to_owned()), "{command}");
        assert!(window.query_by_label(command).is_some(), "{start}");
        press(&mut window, &[Key::Escape]);
    }
}

#[test]
fn a_cells_menu_leads_to_those_of_its_chord_and_bar() {
    let mut window = open();
    press(&mut window, &[Key::Menu]);
    window.get_by_label("Chord").click();
    settle(&mut window);
    window.get_by_label("Take the chord away").click();
    settle(&mut window);
    assert!(document(&window).bar(0).unwrap().chords.is_empty());
}

#[test]
fn what_a_command_opens_has_the_keyboard() {
    let mut window = open();
    press(&mut window, &[Key::Menu]);
    window.get_by_label("Chord").click();
    settle(&mut window);
    window.get_by_label("Find this chord everywhere").click();
    settle(&mut window);
    assert!(window.get_by_label("Find").is_focused());
    press(&mut window, &[Key::Escape]);
    press(&mut window, &[Key::Escape]);
    type_command(&mut window, "name the section");
    press(&mut window, &[Key::Enter]);
    assert!(window.get_by_label("name of the section").is_focused());
    press(&mut window, &[Key::Escape]);
    type_command(&mut window, "edit the chord");
    press(&mut window, &[Key::Enter]);
    assert!(window.get_by_label("chord at bar 1, beat 1").is_focused());
    press(&mut window, &[Key::Escape]);
    type_command(&mut window, "save as");
    press(&mut window, &[Key::Enter]);
    let path = window.get_by(|node| node.is_focused() && node.value().is_some());
    let path = path.accesskit_node().value().unwrap_or_default();
    assert!(path.ends_with("Mill walk.ron"), "{path}");
}
