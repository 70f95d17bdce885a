//! Looking for places: typed, counted, stepped through, without taking the keyboard away.

use crate::harness::Window;
use crate::harness::name_starting;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;

fn bar(window: &Window) -> usize {
    window.state().session().selection().place.bar + 1
}

fn type_to_find(window: &mut Window, text: &str) {
    press_with(window, Modifiers::COMMAND, Key::F);
    window.get_by_label("Find").type_text(text);
    settle(window);
}

fn says(window: &Window, words: &str) -> bool {
    names(window).iter().any(|name| name == words)
}

#[test]
fn a_chord_in_any_spelling_is_found_and_stepped_through() {
    let mut window = open();
    type_to_find(&mut window, "D-7");
    // The first place from the selected one on is gone to while the keyboard stays in the field.
    assert_eq!(bar(&window), 1);
    assert!(says(&window, "Chord Dm7: 1 of 2"), "{:?}", names(&window));
    assert!(window.get_by_label("Find").is_focused());
    press(&mut window, &[Key::Enter]);
    assert_eq!(bar(&window), 5);
    assert!(says(&window, "Chord Dm7: 2 of 2"));
    press(&mut window, &[Key::Enter]);
    assert_eq!(bar(&window), 1, "round and round");
    press_with(&mut window, Modifiers::SHIFT, Key::Enter);
    assert_eq!(bar(&window), 5);
    window.get_by_label("next place found").click();
    settle(&mut window);
    assert_eq!(bar(&window), 1);
    press(&mut window, &[Key::Escape]);
    press(&mut window, &[Key::Escape]);
    assert!(window.query_by_label("Find").is_none());
    press(&mut window, &[Key::F3]);
    assert_eq!(bar(&window), 5, "the keyboard is in the grid again");
}

#[test]
fn moves_of_the_thumb_are_found_in_their_lane() {
    let mut window = open();
    press(&mut window, &[Key::ArrowUp]);
    type_to_find(&mut window, "approach below");
    let cell = name_starting(&window, "bar 1, beat 4, thumb:");
    assert!(cell.contains("approach from below"), "{cell}");
    let selection = *window.state().session().selection();
    assert_eq!(selection.lane, thumbwalk::arrange::Lane::Thumb);
    assert_eq!(selection.place.at, thumbwalk::theory::Ticks(2880));
}

#[test]
fn what_is_not_there_is_said_and_nothing_moves() {
    let mut window = open();
    type_to_find(&mut window, "F#m7");
    assert!(says(&window, "Chord F♯m7: not in this tune"));
    assert_eq!(bar(&window), 1);
}

#[test]
fn this_chord_is_found_everywhere_by_its_own_key() {
    let mut window = open();
    press(&mut window, &[Key::End]);
    press_with(&mut window, Modifiers::COMMAND | Modifiers::SHIFT, Key::F);
    assert!(says(&window, "Chord Em7: 1 of 1"), "{:?}", names(&window));
}
