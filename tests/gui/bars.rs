//! Whole bars by keys and by the menu of a bar: copying, pasting, duplicating, inserting, deleting.

use crate::harness::Window;
use crate::harness::document;
use crate::harness::name_starting;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Event;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;

const CTRL: Modifiers = Modifiers::COMMAND;

/// The roots of the chords at the beginnings of the bars.
fn roots(window: &Window) -> String {
    let document = document(window);
    let first = |bar: &thumbwalk::document::Bar| {
        let chord = bar.chords.first().and_then(|c| c.harmony.chord());
        chord.map_or("-".to_owned(), |chord| chord.root().to_string())
    };
    document
        .bars()
        .map(first)
        .collect::<Vec<String>>()
        .join(" ")
}

fn selected(window: &Window) -> (usize, usize) {
    window.state().session().selection().bars()
}

#[test]
fn bars_are_copied_and_pasted_with_all_that_is_in_them() {
    let mut window = open();
    assert_eq!(roots(&window), "D G C A D G C E");
    // A thumb note and a note of the tune go along.
    press(&mut window, &[Key::Num5, Key::T, Key::G, Key::Home]);
    press_with(
        &mut window,
        Modifiers::COMMAND | Modifiers::SHIFT,
        Key::ArrowRight,
    );
    press_with(&mut window, CTRL, Key::C);
    press_with(&mut window, CTRL, Key::ArrowRight);
    press_with(&mut window, CTRL, Key::ArrowRight);
    press_with(&mut window, CTRL, Key::V);
    assert_eq!(roots(&window), "D G C D G A D G C E");
    assert_eq!(selected(&window), (3, 4));
    let document = document(&window);
    assert_eq!(document.bar(3), document.bar(0));
    let label = window.state().session().undo_label().map(str::to_owned);
    assert_eq!(label.as_deref(), Some("Paste 2 bars"));
    press_with(&mut window, CTRL, Key::Z);
    assert_eq!(roots(&window), "D G C A D G C E");
}

#[test]
fn bars_are_cut_duplicated_inserted_and_deleted_by_keys() {
    let mut window = open();
    for (modifiers, key, after) in [
        (CTRL, Key::D, "D D G C A D G C E"),
        (Modifiers::NONE, Key::Insert, "D D - G C A D G C E"),
        (CTRL, Key::Delete, "D D G C A D G C E"),
        (CTRL, Key::X, "D D C A D G C E"),
        (CTRL, Key::V, "D D C G A D G C E"),
    ] {
        press_with(&mut window, modifiers, key);
        assert_eq!(roots(&window), after, "{key:?}");
    }
}

#[test]
fn the_systems_own_copy_and_paste_mean_bars_and_give_text() {
    let mut window = open();
    window.event(Event::Copy);
    settle(&mut window);
    let text = window.state().session().clip().map(|c| c.text().to_owned());
    let text = text.expect("a copy");
    assert!(text.contains("| Dm7 |"), "{text}");
    window.event(Event::Paste(text));
    settle(&mut window);
    assert_eq!(roots(&window), "D D G C A D G C E");
    // A chart from elsewhere is read; other words are refused.
    window.event(Event::Paste("| Bb7 | Eb7 |".into()));
    settle(&mut window);
    assert_eq!(roots(&window), "D D Bb Eb G C A D G C E");
    window.event(Event::Paste("Dear Anna".into()));
    settle(&mut window);
    assert_eq!(roots(&window), "D D Bb Eb G C A D G C E");
    let notices = window.state().session().notices();
    assert!(
        notices.iter().any(|n| n.text.contains("no bars")),
        "{notices:?}"
    );
}

#[test]
fn text_in_a_field_is_copied_as_text() {
    let mut window = open();
    window.get_by_label("Title").focus();
    settle(&mut window);
    window.event(Event::Copy);
    window.event(Event::Paste("| Bb7 |".into()));
    settle(&mut window);
    assert!(window.state().session().clip().is_none());
    assert_eq!(roots(&window), "D G C A D G C E");
}

#[test]
fn the_menu_of_a_bar_means_the_bar_under_the_pointer_or_the_selected_run() {
    let mut window = open();
    window.get_by_label("bar 3").click_secondary();
    settle(&mut window);
    assert_eq!(selected(&window), (2, 2));
    assert!(names(&window).iter().any(|name| name == "Bar 3"));
    window.get_by_label("Duplicate the selected bars").click();
    settle(&mut window);
    assert_eq!(roots(&window), "D G C C A D G C E");
    press_with(&mut window, Modifiers::SHIFT, Key::ArrowLeft);
    // A cell in the run means the run.
    let cell = name_starting(&window, "bar 3, beat 1, thumb:");
    window.get_by_label(&cell).click_secondary();
    settle(&mut window);
    assert!(names(&window).iter().any(|name| name == "Bars 3 to 4"));
    window.get_by_label("Delete the selected bars").click();
    settle(&mut window);
    assert_eq!(roots(&window), "D G A D G C E");
}

#[test]
fn bars_are_repeated_and_filled_by_keys() {
    let mut window = open();
    press_with(&mut window, CTRL, Key::R);
    assert_eq!(roots(&window), "D D D D D G C E");
    assert_eq!(selected(&window), (0, 3));
    press_with(&mut window, CTRL, Key::Z);
    press(&mut window, &[Key::Home, Key::Num5, Key::ArrowUp, Key::R]);
    press_with(&mut window, Modifiers::SHIFT, Key::ArrowRight);
    press_with(&mut window, Modifiers::ALT, Key::P);
    press_with(&mut window, Modifiers::ALT, Key::T);
    let document = document(&window);
    let (first, second) = (document.bar(0).unwrap(), document.bar(1).unwrap());
    assert!(first.plucks.is_some());
    assert_eq!(first.plucks, second.plucks);
    assert_eq!(first.thumb, second.thumb);
    assert_eq!(first.thumb.len(), 4, "{:?}", first.thumb);
    assert!(document.bar(2).unwrap().thumb.is_empty());
}

#[test]
fn the_panel_puts_copies_and_fills_the_section() {
    let mut window = open();
    for (button, after) in [
        ("Put copies", "D D G C A D G C E"),
        ("Fill section", "D D D D D D G C E"),
    ] {
        window.get_by_label(button).scroll_to_me();
        settle(&mut window);
        window.get_by_label(button).click();
        settle(&mut window);
        assert_eq!(roots(&window), after, "{button}");
    }
}
