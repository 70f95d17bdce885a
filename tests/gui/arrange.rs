//! The beat grid: selecting, writing chords, deciding moves and strikes, undoing.

use crate::harness::click;
use crate::harness::document;
use crate::harness::name_starting;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::settle;
use crate::harness::sized;
use egui::Key;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::arrange::Lane;
use thumbwalk::document::ThumbCell;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::HouseStyle;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

#[test]
fn every_cell_says_place_note_move_and_string() {
    let window = open();
    let name = name_starting(&window, "bar 1, beat 1, thumb:");
    assert!(name.contains("D, root, "), "{name}");
    assert!(name.contains("string") && name.contains("fret"), "{name}");
}

#[test]
fn a_click_on_a_cell_selects_it_and_gives_the_grid_the_keyboard() {
    let mut window = open();
    let cell = name_starting(&window, "bar 3, beat 2, thumb:");
    click(&mut window, &cell);
    let selection = *window.state().session().selection();
    assert_eq!(selection.lane, Lane::Thumb);
    assert_eq!(selection.place.bar, 2);
    assert_eq!(selection.place.at, Ticks(960));
    press(&mut window, &[Key::ArrowRight]);
    let selection = *window.state().session().selection();
    assert_eq!(selection.place.at, Ticks(1440));
}

#[test]
fn a_click_on_a_bar_number_selects_the_bar_and_shift_the_run() {
    let mut window = open();
    click(&mut window, "bar 2");
    let modifiers = egui::Modifiers::SHIFT;
    window.get_by_label("bar 4").click_modifiers(modifiers);
    settle(&mut window);
    assert_eq!(window.state().session().selection().bars(), (1, 3));
}

#[test]
fn a_chord_is_written_in_place() {
    let mut window = open();
    click(&mut window, "bar 2, beat 1, chord G7");
    let field = "chord at bar 2, beat 1";
    window.get_by_label(field).type_text("x");
    settle(&mut window);
    press(&mut window, &[Key::Enter]);
    // `G7x` is no chord: the field stays, with a sentence below it.
    assert!(
        window.query_by_label(field).is_some(),
        "the field stays open"
    );
    assert_eq!(printed(&window, 1), ["G7"]);
    press(&mut window, &[Key::Backspace, Key::Backspace]);
    window.get_by_label(field).type_text("13");
    settle(&mut window);
    press(&mut window, &[Key::Enter]);
    assert_eq!(printed(&window, 1), ["G13"]);
    assert!(
        window.query_by_label(field).is_none(),
        "the field is closed"
    );
}

#[test]
fn what_cannot_be_read_is_explained_and_escape_leaves_everything_as_it_was() {
    let mut window = open();
    click(&mut window, "bar 1, beat 3, write a chord");
    let before = names(&window);
    window
        .get_by_label("chord at bar 1, beat 3")
        .type_text("Hm7");
    settle(&mut window);
    press(&mut window, &[Key::Enter]);
    let after = names(&window);
    let new: Vec<_> = after.iter().filter(|n| !before.contains(n)).collect();
    assert!(!new.is_empty(), "a sentence about the wrong letter");
    press(&mut window, &[Key::Escape]);
    assert!(window.query_by_label("chord at bar 1, beat 3").is_none());
    assert_eq!(printed(&window, 0), ["Dm7"]);
}

#[test]
fn nothing_typed_takes_the_chord_away_and_tab_goes_to_the_next_one() {
    let mut window = open();
    click(&mut window, "bar 8, beat 3, chord A7");
    press(&mut window, &[Key::Backspace, Key::Backspace, Key::Enter]);
    assert_eq!(printed(&window, 7), ["Em7"]);
    click(&mut window, "bar 1, beat 1, chord Dm7");
    press(&mut window, &[Key::Tab]);
    assert!(window.query_by_label("chord at bar 2, beat 1").is_some());
}

#[test]
fn leaving_a_chord_unchanged_is_no_edit() {
    let mut window = open();
    let label = window.state().session().undo_label().map(str::to_owned);
    click(&mut window, "bar 1, beat 1, chord Dm7");
    press(&mut window, &[Key::Enter]);
    assert_eq!(window.state().session().undo_label(), label.as_deref());
}

#[test]
fn writing_one_chord_and_clicking_another_keeps_the_first() {
    let mut window = open();
    click(&mut window, "bar 1, beat 1, chord Dm7");
    window
        .get_by_label("chord at bar 1, beat 1")
        .type_text("b5");
    settle(&mut window);
    click(&mut window, "bar 3, beat 1, chord Cmaj7");
    assert!(
        printed(&window, 0)[0].starts_with("Dm7"),
        "{:?}",
        printed(&window, 0)
    );
    assert_ne!(printed(&window, 0), ["Dm7"]);
    assert!(window.query_by_label("chord at bar 3, beat 1").is_some());
}

#[test]
fn a_thumb_move_is_decided_and_left_to_the_tool_again() {
    let mut window = open();
    let cell = name_starting(&window, "bar 2, beat 2, thumb:");
    click(&mut window, &cell);
    click(&mut window, "thumb move: fifth");
    let decided = (Ticks(960), ThumbCell::Move(ThumbMove::Fifth));
    assert_eq!(document(&window).bar(1).unwrap().thumb, [decided]);
    let name = name_starting(&window, "bar 2, beat 2, thumb:");
    assert!(
        name.contains("D, fifth") && name.ends_with(", locked"),
        "{name}"
    );
    click(&mut window, "Leave to the tool");
    assert!(document(&window).bar(1).unwrap().thumb.is_empty());
}

#[test]
fn strikes_go_from_ring_to_short_to_none() {
    let mut window = open();
    let state = |window: &crate::harness::Window| {
        let bar = document(window).bar(0).cloned().unwrap();
        let plucks = bar.plucks.unwrap();
        plucks
            .into_iter()
            .find(|p| p.at == Ticks(960))
            .map(|p| p.articulation)
    };
    click(&mut window, "pluck at bar 1, beat 2: no pluck");
    assert_eq!(state(&window), Some(Articulation::Ring));
    click(&mut window, "pluck at bar 1, beat 2: ring");
    assert_eq!(state(&window), Some(Articulation::Short));
    click(&mut window, "pluck at bar 1, beat 2: short");
    assert_eq!(state(&window), None);
    click(&mut window, "Pattern here");
    click(&mut window, "The tune's");
    assert_eq!(document(&window).bar(0).unwrap().plucks, None);
}

#[test]
fn undo_and_redo_buttons_take_back_and_do_again() {
    let mut window = open();
    click(&mut window, "thumb move: third");
    assert_eq!(document(&window).bar(0).unwrap().thumb.len(), 1);
    click(&mut window, "undo");
    assert!(document(&window).bar(0).unwrap().thumb.is_empty());
    click(&mut window, "redo");
    assert_eq!(document(&window).bar(0).unwrap().thumb.len(), 1);
}

#[test]
fn bars_are_added_and_removed() {
    let mut window = open();
    click(&mut window, "bar 2");
    window.get_by_label("Add bar").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Add bar");
    assert_eq!(document(&window).n_bars(), 9);
    window.get_by_label("Remove bar").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Remove bar");
    assert_eq!(document(&window).n_bars(), 8);
}

#[test]
fn only_bars_in_view_are_built() {
    let chart = format!("[A]\n{}", "C6 | Am7 | Dm7 | G7\n".repeat(100));
    let window = sized(1100.0, 700.0, Some(&chart));
    let cells = names(&window)
        .iter()
        .filter(|n| n.contains(", thumb:"))
        .count();
    assert!(cells > 0 && cells < 400, "{cells} cells for 400 bars");
}

fn printed(window: &crate::harness::Window, bar: usize) -> Vec<String> {
    let document = document(window);
    let chords = document.bar(bar).map(|b| b.chords.as_slice());
    let text = |h: &thumbwalk::theory::Harmony| h.printed(HouseStyle::Letters);
    chords
        .unwrap_or_default()
        .iter()
        .map(|c| text(&c.harmony))
        .collect()
}
