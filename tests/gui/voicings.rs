//! The voicings panel: filtering, using, pinning and comparing.

use crate::harness::CHART;
use crate::harness::Window;
use crate::harness::click;
use crate::harness::document;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press_with;
use crate::harness::settle;
use crate::harness::sized;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::voicing::Family;

/// Shapes of the cards in view, in order.
fn shapes(window: &Window) -> Vec<String> {
    let names = names(window);
    let shape = |name: &String| name.strip_prefix("use ").map(str::to_owned);
    names.iter().filter_map(shape).collect()
}

#[test]
fn the_list_is_by_effort_and_a_filter_narrows_it() {
    let mut window = open();
    let all = window.state().session().candidates().len();
    assert!(all > 20, "{all} voicings of Dm7");
    click(&mut window, "Family");
    click(&mut window, "shell");
    let session = window.state().session();
    assert!(session.candidates().len() < all);
    for candidate in session.candidates() {
        assert_eq!(candidate.voicing.family, Family::Shell);
    }
    click(&mut window, "Reset");
    assert_eq!(window.state().session().candidates().len(), all);
}

#[test]
fn using_a_voicing_decides_the_shape_of_the_chord() {
    let mut window = open();
    let shape = shapes(&window)
        .into_iter()
        .find(|shape| window.get_by_label(&format!("use {shape}")).rect().height() > 0.0)
        .unwrap();
    click(&mut window, &format!("use {shape}"));
    let decided = document(&window).bar(0).unwrap().chords[0].shape;
    let in_use = window.state().session().arrangement().unwrap().grips[0]
        .voicing
        .clone();
    if let Some(decided) = decided {
        assert_eq!(decided.to_string(), shape);
        assert_eq!(in_use.unwrap().grip.shape.to_string(), shape);
    } else {
        // The first card may be the one in use already, which offers nothing to use.
        assert_eq!(in_use.unwrap().grip.shape.to_string(), shape);
    }
}

#[test]
fn two_pinned_voicings_stand_side_by_side() {
    let mut window = sized(1400.0, 1400.0, Some(CHART));
    let shapes = shapes(&window);
    click(&mut window, &format!("pin {}", shapes[0]));
    click(&mut window, &format!("pin {}", shapes[1]));
    assert_eq!(window.state().session().pins().len(), 2);
    click(&mut window, "Compare 2 pinned");
    for row in [
        "shape",
        "notes",
        "degrees",
        "fingers",
        "effort",
        "from here",
        "to next",
    ] {
        assert!(window.query_all_by_value(row).count() > 0, "no row {row:?}");
    }
    click(&mut window, &format!("unpin column {}", shapes[0]));
    assert_eq!(window.state().session().pins().len(), 1);
}

/// The shape chosen for the first chord of a bar.
fn shape(window: &Window, bar: usize) -> Option<String> {
    let document = document(window);
    let chord = document.bar(bar)?.chords.first()?.clone();
    chord.shape.map(|shape| shape.to_string())
}

/// Drags what has one name to what has another.
fn drag(window: &mut Window, from: &str, to: &str) {
    let from = window.get_by_label(from).rect().center();
    let to = window.get_by_label(to).rect().center();
    let button = |pos, pressed| egui::Event::PointerButton {
        pos,
        button: egui::PointerButton::Primary,
        pressed,
        modifiers: egui::Modifiers::NONE,
    };
    window.event(egui::Event::PointerMoved(from));
    window.run();
    window.event(button(from, true));
    window.run();
    for share in [0.1, 0.5, 1.0] {
        window.event(egui::Event::PointerMoved(from.lerp(to, share)));
        window.run();
    }
    window.event(button(to, false));
    settle(window);
}

/// The first shape in view without an open string, so that it can be moved along the neck.
fn movable(window: &Window) -> String {
    let found = shapes(window)
        .into_iter()
        .find(|shape| !shape.contains('0'));
    found.expect("a shape without an open string in view")
}

/// A shape of one-digit frets so many frets higher.
fn higher(shape: &str, by: u32) -> String {
    let moved = |c: char| match c.to_digit(10) {
        Some(fret) => char::from_digit(fret + by, 10).expect("one digit"),
        None => c,
    };
    shape.chars().map(moved).collect()
}

#[test]
fn a_voicing_is_dragged_onto_a_chord_and_onto_a_bar() {
    let mut window = open();
    let of_dm7 = movable(&window);
    let diagram = format!("diagram of {of_dm7}");
    drag(&mut window, &diagram, "bar 5, beat 1, chord Dm7");
    assert_eq!(shape(&window, 4), Some(of_dm7.clone()));
    assert_eq!(shape(&window, 0), None, "the selected chord is left alone");
    drag(&mut window, &diagram, "bar 8");
    let of_em7 = higher(&of_dm7, 2);
    assert_eq!(shape(&window, 7), Some(of_em7), "Em7, a tone up");
    drag(&mut window, &diagram, "bar 2, beat 1, chord G7");
    assert_eq!(shape(&window, 1), None, "another kind of chord");
    let notices = window.state().session().notices();
    assert!(notices.iter().any(|n| n.text.contains("another kind")));
}

#[test]
fn a_pinned_voicing_goes_to_the_selected_bars_by_its_number() {
    let mut window = open();
    let of_dm7 = movable(&window);
    click(&mut window, &format!("pin {of_dm7}"));
    let cell = crate::harness::name_starting(&window, "bar 1, beat 1, thumb:");
    click(&mut window, &cell);
    for _ in 0..4 {
        press_with(&mut window, Modifiers::SHIFT, Key::ArrowRight);
    }
    press_with(&mut window, Modifiers::ALT, Key::Num1);
    assert_eq!(shape(&window, 0), Some(of_dm7.clone()));
    assert_eq!(shape(&window, 4), Some(of_dm7));
    assert_eq!(shape(&window, 1), None);
}

#[test]
fn the_card_of_the_grip_in_use_has_the_fingers_that_the_board_shows() {
    let mut window = open();
    let n_bars = document(&window).n_bars();
    let mut n_in_list = 0;
    for bar in 1..=n_bars {
        click(&mut window, &format!("bar {bar}"));
        let session = window.state().session();
        let place = session.selection().place;
        let grips = &session.arrangement().unwrap().grips;
        let used = grips.iter().find(|grip| grip.place == place).unwrap();
        let used = used.voicing.as_ref().unwrap();
        let card = session.candidates().iter();
        let mut card = card.filter(|c| c.voicing.grip.shape == used.grip.shape);
        if let Some(card) = card.next() {
            assert_eq!(card.voicing.grip, used.grip, "bar {bar}");
            n_in_list += 1;
        }
    }
    assert!(n_in_list > 0);
}

#[test]
fn the_voicing_in_use_is_one_click_away_and_another_chord_begins_at_the_top() {
    let chart = "Key: G\nMeter: 3/4\n[A]\nAm/G | D7/C | Em7/D | G6 | Em7 | Am7 | D7 | G6 | Em7\n";
    let mut window = sized(1400.0, 900.0, Some(chart));
    let top_of = |window: &Window, shape: &str| {
        let name = format!("use {shape}");
        window.get_by_label(&name).rect().top()
    };
    let (first, used, row) = (0..9)
        .find_map(|_| {
            let session = window.state().session();
            let listed = session.candidates();
            let shape = |n: usize| listed[n].voicing.grip.shape.to_string();
            let at = session.selection().place;
            let grips = &session.arrangement().unwrap().grips;
            let grip = grips.iter().find(|grip| grip.place == at).unwrap();
            let used = grip.voicing.as_ref().unwrap().grip.shape.to_string();
            let row = (0..listed.len() - 6).find(|n| shape(*n) == used);
            let found = row.filter(|row| *row > 4).map(|row| (shape(0), used, row));
            press_with(&mut window, Modifiers::COMMAND, Key::ArrowRight);
            if found.is_some() {
                press_with(&mut window, Modifiers::COMMAND, Key::ArrowLeft);
            }
            found
        })
        .expect("a chord with easier shapes than the one in use");
    let top = top_of(&window, &first);
    click(&mut window, &format!("In use {used}, number {}", row + 1));
    assert!((top_of(&window, &used) - top).abs() < 1.0);
    press_with(&mut window, Modifiers::COMMAND, Key::ArrowRight);
    let next = window.state().session().candidates()[0].voicing.grip.shape;
    assert!((top_of(&window, &next.to_string()) - top).abs() < 1.0);
}
