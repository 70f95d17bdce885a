//! Locking in the window: the key, the menus, the section mark, and what cells are then called.

use crate::harness::Window;
use crate::harness::click;
use crate::harness::document;
use crate::harness::name_starting;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::settle;
use egui::Key;
use egui_kittest::kittest::Queryable as _;

fn undo_label(window: &Window) -> Option<String> {
    let session = window.state().session();
    session.undo_label().map(str::to_owned)
}

#[test]
fn l_locks_the_selected_cell_and_unlocks_it_again() {
    let mut window = open();
    let before = name_starting(&window, "bar 2, beat 3, thumb:");
    click(&mut window, &before);
    press(&mut window, &[Key::L]);
    assert_eq!(
        undo_label(&window).as_deref(),
        Some("Lock thumb cell in bar 2")
    );
    let after = name_starting(&window, "bar 2, beat 3, thumb:");
    assert_eq!(after, format!("{before}, locked"), "the same note, kept");
    press(&mut window, &[Key::L]);
    assert_eq!(name_starting(&window, "bar 2, beat 3, thumb:"), before);
}

#[test]
fn l_on_a_selected_run_of_bars_locks_both_lanes_and_another_line_keeps_them() {
    let mut window = open();
    press(&mut window, &[Key::N]);
    click(&mut window, "bar 2");
    press(&mut window, &[Key::L]);
    assert_eq!(undo_label(&window).as_deref(), Some("Lock bar 2"));
    let cells = |window: &Window| {
        let mut cells = names(window);
        cells.retain(|name| name.starts_with("bar 2, beat") && name.contains(": "));
        cells.sort();
        cells
    };
    let locked = cells(&window);
    let n_locked = locked
        .iter()
        .filter(|name| name.ends_with(", locked"))
        .count();
    // Four thumb slots and every fingers cell of the bar, the empty ones too.
    assert_eq!(n_locked, 4 + 8, "{locked:?}");
    assert!(names(&window).contains(&"bar 2, beat 1, chord G7, grip locked".to_owned()));
    for _ in 0..5 {
        press(&mut window, &[Key::N]);
        assert_eq!(cells(&window), locked);
    }
}

#[test]
fn a_click_on_the_section_mark_selects_its_bars() {
    let mut window = open();
    click(&mut window, "section B, bars 5 to 8");
    assert_eq!(window.state().session().selection().bars(), (4, 7));
    press(&mut window, &[Key::L]);
    assert_eq!(undo_label(&window).as_deref(), Some("Lock bars 5 to 8"));
}

#[test]
fn the_menus_lock_and_unlock_every_extent() {
    let mut window = open();
    for extent in [
        "thumb cell in bar 1",
        "thumb in bar 1",
        "bar 1",
        "section A",
        "thumb lane",
        "fingers lane",
        "whole tune",
    ] {
        for verb in ["Lock", "Unlock"] {
            click(&mut window, verb);
            let words = format!("{verb} {extent}");
            click(&mut window, &words);
            assert_eq!(undo_label(&window), Some(words));
        }
        let free = |bar: &thumbwalk::document::Bar| {
            let shaped = bar.chords.iter().any(|chord| chord.shape.is_some());
            bar.thumb.is_empty() && bar.plucks.is_none() && !shaped
        };
        assert!(document(&window).bars().all(free), "{extent}");
    }
    click(&mut window, "Unlock");
    click(&mut window, "Unlock whole tune");
    assert!(
        window
            .query_by_label_contains("Nothing here is locked")
            .is_some()
    );
}

#[test]
fn w_takes_the_next_way_and_the_list_says_which_is_in_use() {
    let mut window = open();
    window.get_by_label("Other ways").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Other ways");
    click(&mut window, "bar 2");
    press(&mut window, &[Key::W]);
    assert_eq!(undo_label(&window).as_deref(), Some("Another way in bar 2"));
    let third = name_starting(&window, "way 3: ");
    window.get_by_label(&third).scroll_to_me();
    settle(&mut window);
    click(&mut window, &third);
    let in_use = window.state().session().ways_in_use().map(|(_, n)| n);
    assert_eq!(in_use, Some(2));
}
