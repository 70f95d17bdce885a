//! The keyboard: moving in the grid, deciding cells, and keys that must not act while typing.

use crate::harness::click;
use crate::harness::document;
use crate::harness::empty;
use crate::harness::name_starting;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_in_one_frame;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::arrange::Lane;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::Walk;
use thumbwalk::gui::shortcuts::TABLE;
use thumbwalk::session::Selection;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

fn selection(window: &crate::harness::Window) -> Selection {
    *window.state().session().selection()
}

#[test]
fn arrows_walk_through_slots_lanes_and_rows() {
    let mut window = open();
    press(
        &mut window,
        &[Key::ArrowRight, Key::ArrowRight, Key::ArrowRight],
    );
    assert_eq!(selection(&window).place.at, Ticks(1440));
    press(&mut window, &[Key::ArrowUp]);
    assert_eq!(selection(&window).lane, Lane::Fingers);
    press(&mut window, &[Key::ArrowDown, Key::ArrowDown]);
    // Four bars in a row: below bar 1 lies bar 5, and its upper lane is the fingers'.
    assert_eq!(selection(&window).lane, Lane::Fingers);
    assert_eq!(selection(&window).place.bar, 4);
    press(&mut window, &[Key::End, Key::Home, Key::ArrowLeft]);
    assert_eq!(selection(&window).place.bar, 0);
}

#[test]
fn an_arrow_at_the_bars_end_goes_to_the_next_bar_and_back() {
    let mut window = open();
    for _ in 0..8 {
        press(&mut window, &[Key::ArrowRight]);
    }
    assert_eq!(selection(&window).place.bar, 1);
    press(&mut window, &[Key::ArrowLeft]);
    assert_eq!(selection(&window).place.bar, 0);
    assert_eq!(selection(&window).place.at, Ticks(3360));
}

#[test]
fn ctrl_and_shift_with_arrows_move_and_extend_by_bars() {
    let mut window = open();
    press_with(&mut window, Modifiers::COMMAND, Key::ArrowRight);
    assert_eq!(selection(&window).place.bar, 1);
    press_with(&mut window, Modifiers::SHIFT, Key::ArrowRight);
    press_with(&mut window, Modifiers::SHIFT, Key::ArrowRight);
    assert_eq!(selection(&window).bars(), (1, 3));
    press_with(&mut window, Modifiers::SHIFT, Key::ArrowLeft);
    assert_eq!(selection(&window).bars(), (1, 2));
}

#[test]
fn thumb_keys_decide_moves_and_delete_leaves_them_to_the_tool() {
    let mut window = open();
    for (key, thumb_move) in [
        (Key::Num5, ThumbMove::Fifth),
        (Key::B, ThumbMove::ApproachBelow),
        (Key::R, ThumbMove::Rest),
    ] {
        press(&mut window, &[key]);
        let thumb = document(&window).bar(0).unwrap().thumb.clone();
        assert_eq!(thumb, [(Ticks(0), ThumbCell::Move(thumb_move))]);
    }
    press(&mut window, &[Key::Delete]);
    assert!(document(&window).bar(0).unwrap().thumb.is_empty());
}

#[test]
fn n_asks_for_another_line_and_one_undo_takes_it_back() {
    let mut window = open();
    let before = document(&window).line.clone();
    assert_eq!(before.walk, Walk::Plain);
    press(&mut window, &[Key::N]);
    let varied = document(&window).line.clone();
    assert_eq!(
        (varied.walk, varied.seed),
        (Walk::TwoApproaches, before.seed + 1)
    );
    press(&mut window, &[Key::N]);
    let again = document(&window).line.clone();
    assert_eq!((again.walk, again.seed), (varied.walk, varied.seed + 1));
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(document(&window).line, varied);
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(document(&window).line, before);
}

#[test]
fn n_in_the_fingers_lane_leaves_the_thumb_line_alone() {
    let mut window = open();
    let before = document(&window).line.clone();
    press(&mut window, &[Key::ArrowUp, Key::N]);
    assert_eq!(document(&window).line, before);
}

#[test]
fn shift_s_is_a_step_down_and_s_a_step_up() {
    let mut window = open();
    for (modifiers, thumb_move) in [
        (Modifiers::SHIFT, ThumbMove::StepDown),
        (Modifiers::NONE, ThumbMove::StepUp),
    ] {
        press_with(&mut window, modifiers, Key::S);
        let thumb = document(&window).bar(0).unwrap().thumb.clone();
        assert_eq!(thumb, [(Ticks(0), ThumbCell::Move(thumb_move))]);
    }
}

#[test]
fn finger_keys_strike_ring_short_and_not_at_all() {
    let mut window = open();
    press(&mut window, &[Key::ArrowUp]);
    let here = |window: &crate::harness::Window| {
        let plucks = document(window).bar(0).unwrap().plucks.clone().unwrap();
        plucks
            .into_iter()
            .find(|p| p.at == Ticks(0))
            .map(|p| p.articulation)
    };
    press(&mut window, &[Key::P]);
    assert_eq!(here(&window), Some(Articulation::Ring));
    press(&mut window, &[Key::O]);
    assert_eq!(here(&window), Some(Articulation::Short));
    press(&mut window, &[Key::R]);
    assert_eq!(here(&window), None);
}

#[test]
fn enter_writes_the_chord_in_force_and_c_one_on_the_beat() {
    let mut window = open();
    press(&mut window, &[Key::ArrowRight, Key::ArrowRight, Key::Enter]);
    assert!(window.query_by_label("chord at bar 1, beat 1").is_some());
    press(&mut window, &[Key::Escape]);
    press(&mut window, &[Key::C]);
    assert!(window.query_by_label("chord at bar 1, beat 2").is_some());
}

#[test]
fn letters_typed_into_a_field_do_nothing_else() {
    let mut window = open();
    window.get_by_label("Title").focus();
    settle(&mut window);
    for key in [Key::Num5, Key::R, Key::P, Key::Space] {
        press(&mut window, &[key]);
    }
    assert!(document(&window).bar(0).unwrap().thumb.is_empty());
    assert!(!window.state().session().play().playing);
}

#[test]
fn an_open_choice_takes_the_keys_and_escape_closes_it() {
    let mut window = open();
    click(&mut window, "Family");
    press(&mut window, &[Key::Questionmark]);
    assert_eq!(window.query_all_by_value("Shortcuts").count(), 0);
    assert!(window.query_by_label("shell").is_some());
    press(&mut window, &[Key::Escape]);
    assert!(window.query_by_label("shell").is_none());
}

#[test]
fn ctrl_z_and_ctrl_y_undo_and_redo() {
    let mut window = open();
    press(&mut window, &[Key::Num3]);
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert!(document(&window).bar(0).unwrap().thumb.is_empty());
    press_with(&mut window, Modifiers::COMMAND, Key::Y);
    assert_eq!(document(&window).bar(0).unwrap().thumb.len(), 1);
}

#[test]
fn space_plays_and_stops() {
    let mut window = open();
    window.key_press(Key::Space);
    window.run_steps(3);
    assert!(window.state().session().play().playing);
    window.key_press(Key::Space);
    window.run_steps(3);
    assert!(!window.state().session().play().playing);
}

#[test]
fn the_help_page_shows_every_shortcut() {
    let mut window = empty();
    press(&mut window, &[Key::Questionmark]);
    for row in TABLE.iter().filter(|row| row.key.is_some()) {
        let shown = window.query_all_by_value(row.words).count();
        assert!(shown > 0, "{:?} is not on the page", row.words);
    }
    press(&mut window, &[Key::Escape]);
    assert_eq!(window.query_all_by_value("Shortcuts").count(), 0);
}

#[test]
fn the_grid_says_which_cell_is_selected() {
    let mut window = open();
    let cell = name_starting(&window, "bar 2, beat 3, thumb:");
    click(&mut window, &cell);
    // The grid has the keyboard and names the cell as its active part, so the cell is what a
    // screen reader reads.
    let cell = name_starting(&window, "bar 2, beat 3, thumb:");
    assert!(window.get_by_label(&cell).is_focused());
}

#[test]
fn keys_that_come_in_one_frame_act_one_after_the_other() {
    let mut window = open();
    let keys = [
        Key::Num5,
        Key::ArrowRight,
        Key::Num3,
        Key::ArrowRight,
        Key::Num5,
        Key::ArrowUp,
        Key::P,
    ];
    press_in_one_frame(&mut window, &keys);
    let bar = document(&window).bar(0).unwrap().clone();
    let moves: Vec<_> = bar.thumb.iter().map(|(_, cell)| *cell).collect();
    let expected = [ThumbMove::Fifth, ThumbMove::Third, ThumbMove::Fifth];
    assert_eq!(moves, expected.map(ThumbCell::Move));
    assert!(bar.plucks.is_some(), "the last key came in the other lane");
}

#[test]
fn after_a_click_on_a_button_the_next_key_is_for_the_bars_again() {
    let mut window = open();
    let keyboard = |window: &crate::harness::Window| window.ctx.memory(egui::Memory::focused);
    let grid = keyboard(&window);
    assert!(grid.is_some());
    for name in ["Degrees", "Barre", "Add bar", "left panel"] {
        click(&mut window, name);
        assert_eq!(keyboard(&window), grid, "{name}");
    }
    click(&mut window, "Practice");
    assert_ne!(keyboard(&window), grid);
}
