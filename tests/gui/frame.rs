//! Top bar, status line and left panel: themes, tempo, transport toggles, the hardest change,
//! instrument and hand.

use crate::harness::Window;
use crate::harness::click;
use crate::harness::document;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::settle;
use crate::harness::sized;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::document::Feel;
use thumbwalk::session::Action;
use thumbwalk::theory::Key;

#[test]
fn light_and_dark_are_one_click_apart() {
    let mut window = open();
    assert!(!window.ctx.global_style().visuals.dark_mode);
    click(&mut window, "light or dark");
    assert!(window.state().is_dark());
    assert!(window.ctx.global_style().visuals.dark_mode);
    click(&mut window, "light or dark");
    assert!(!window.ctx.global_style().visuals.dark_mode);
}

#[test]
fn the_status_line_names_the_effort_and_goes_to_the_hardest_change() {
    let mut window = open();
    let sum = window.state().session().arrangement().unwrap().sum;
    let words = format!("optimal · effort {sum}");
    assert!(names(&window).contains(&words), "{:?}", names(&window));
    let link = crate::harness::name_starting(&window, "hardest change ");
    let hardest = window
        .state()
        .session()
        .arrangement()
        .unwrap()
        .hardest
        .unwrap();
    click(&mut window, &link);
    assert_eq!(window.state().session().selection().place, hardest);
}

#[test]
fn transport_switches_are_on_or_off() {
    let mut window = open();
    for name in ["loop", "count-in", "click"] {
        click(&mut window, name);
    }
    let play = window.state().session().play().clone();
    assert!(play.looping && play.click, "{play:?}");
}

#[test]
fn tempo_and_feel_are_set_in_the_top_bar() {
    let mut window = open();
    window.get_by_label("Tempo").set_value_accesskit(96.0);
    settle(&mut window);
    assert_eq!(document(&window).tempo_bpm, 96);
    window.get_by_label("Tempo").set_value_accesskit(104.0);
    settle(&mut window);
    click(&mut window, "undo");
    assert_eq!(
        document(&window).tempo_bpm,
        96,
        "two settings are two steps"
    );
    click(&mut window, "feel");
    click(&mut window, "Straight eighths");
    assert_eq!(document(&window).feel, Feel::Straight);
}

#[test]
fn the_left_panel_sets_key_capo_and_hand() {
    let mut window = open();
    window.get_by_label("Key").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Key");
    click(&mut window, "F major");
    assert_eq!(document(&window).key, Key::parse("F").unwrap());
    window.get_by_label("Capo").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Capo");
    click(&mut window, "fret 2");
    assert_eq!(document(&window).instrument.capo, 2);
    window.get_by_label("Barre allowed").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Barre allowed");
    assert!(!document(&window).hand.barre);
}

#[test]
fn transposing_moves_the_chords() {
    let mut window = open();
    window
        .get_by_label("transpose a semitone up")
        .scroll_to_me();
    settle(&mut window);
    click(&mut window, "transpose a semitone up");
    let chords = names(&window);
    let moved = chords.iter().any(|n| n == "bar 1, beat 1, chord E♭m7");
    assert!(
        moved,
        "{:?}",
        chords
            .iter()
            .filter(|n| n.contains("chord"))
            .collect::<Vec<_>>()
    );
}

#[test]
fn the_left_panel_can_be_closed() {
    let mut window = open();
    click(&mut window, "left panel");
    settle(&mut window);
    assert!(window.query_by_label("thumb move: fifth").is_none());
}

#[test]
fn a_number_goes_on_as_often_as_an_arrow_key_is_pressed() {
    let mut window = open();
    window.get_by_label("Tempo").focus();
    settle(&mut window);
    for tempo in [121, 122, 123, 124] {
        press(&mut window, &[egui::Key::ArrowUp]);
        assert_eq!(document(&window).tempo_bpm, tempo);
    }
    press(&mut window, &[egui::Key::ArrowDown]);
    assert_eq!(document(&window).tempo_bpm, 123);
    click(&mut window, "feel");
    window.get_by_label("swing ratio").focus();
    settle(&mut window);
    for permille in [2100, 2200, 2300] {
        press(&mut window, &[egui::Key::ArrowUp]);
        assert_eq!(document(&window).feel, Feel::Swing(permille));
    }
}

#[test]
fn another_size_of_the_window_keeps_the_selected_bar_in_view() {
    let chart = "[A]\n".to_owned() + &"Dm7 | G7 | ".repeat(16);
    let mut window = sized(1400.0, 900.0, Some(&chart));
    press(&mut window, &[egui::Key::End]);
    for (width, height) in [(700.0, 500.0), (1800.0, 900.0), (550.0, 350.0)] {
        window.set_size(egui::vec2(width, height));
        settle(&mut window);
        let rect = window.get_by_label("bar 32").rect();
        let shown = rect.top() > 44.0 && rect.bottom() < height - 28.0;
        assert!(shown, "{rect:?} in {width} x {height}");
    }
}

#[test]
fn what_was_only_told_goes_away_as_the_work_goes_on() {
    let mut window = open();
    let session = window.state_mut().session_mut();
    session.act(Action::Tell("something that is said once".into()));
    session.act(Action::Open("/nowhere/at/all.ron".into()));
    settle(&mut window);
    let said = |window: &Window, part: &str| names(window).iter().any(|n| n.contains(part));
    assert!(said(&window, "Something that is said once"));
    press(&mut window, &[egui::Key::Num5]);
    assert!(!said(&window, "Something that is said once"));
    assert!(said(&window, "/nowhere/at/all.ron"));
}
