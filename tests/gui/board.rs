//! The fretboard and the list of findings: putting the thumb somewhere by a click, what is refused
//! and why, and going to a finding.

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
use thumbwalk::document::Edit;
use thumbwalk::document::ThumbCell;
use thumbwalk::instrument::Hand;
use thumbwalk::instrument::StringIdx;
use thumbwalk::session::Action;

/// Clicks the fretboard at shares of its width and height.
fn click_board(window: &mut crate::harness::Window, x: f32, y: f32) {
    let board = name_starting(window, "fretboard:");
    let rect = window.get_by_label(&board).rect();
    let pos = rect.min + egui::vec2(rect.width() * x, rect.height() * y);
    window.hover_at(pos);
    window.drag_at(pos);
    window.drop_at(pos);
    settle(window);
}

#[test]
fn a_click_on_a_low_string_puts_the_selected_thumb_note_there() {
    let mut window = open();
    // The lowest string lies in the last sixth; past the nut and before fret 1 is fret 1.
    click_board(&mut window, 0.08, 0.93);
    let decided = document(&window).bar(0).unwrap().thumb[0].1;
    assert_eq!(decided, ThumbCell::Place(StringIdx(0), 1));
    let cell = name_starting(&window, "bar 1, beat 1, thumb:");
    assert!(
        cell.contains("string 6 fret 1") && cell.ends_with(", locked"),
        "{cell}"
    );
}

#[test]
fn a_click_on_a_high_string_or_from_the_fingers_lane_changes_nothing() {
    let mut window = open();
    click_board(&mut window, 0.08, 0.05);
    assert!(document(&window).bar(0).unwrap().thumb.is_empty());
    window.get_by_label("beat grid").focus();
    settle(&mut window);
    press(&mut window, &[Key::ArrowUp]);
    click_board(&mut window, 0.08, 0.93);
    assert!(document(&window).bar(0).unwrap().thumb.is_empty());
}

#[test]
fn the_fretboard_describes_the_grip_in_words() {
    let window = open();
    let words = name_starting(&window, "fretboard:");
    assert!(
        words.contains("bar 1, beat 1") && words.contains("Dm7"),
        "{words}"
    );
    assert!(words.contains("fingers"), "{words}");
}

#[test]
fn a_finding_is_listed_with_its_remedy_and_leads_to_its_place() {
    // A small hand that takes no barre has no grip for every chord.
    let mut window = sized(1400.0, 900.0, Some("[A]\nC6 | G7 | F#13b9 | C6\n"));
    let hand = Hand {
        reach_permille: 800,
        barre: false,
        ..Hand::default()
    };
    let session = window.state_mut().session_mut();
    session.act(Action::Edit(Edit::SetHand(hand)));
    session.settle();
    settle(&mut window);
    let findings = window
        .state()
        .session()
        .arrangement()
        .unwrap()
        .findings
        .clone();
    let finding = findings.first().expect("a finding").clone();
    let n = findings.len();
    let words = if n == 1 {
        "1 finding".into()
    } else {
        format!("{n} findings")
    };
    click(&mut window, &words);
    let shown = names(&window);
    let plain = |words: &str| words.replace('♯', "#").replace('♭', "b").to_lowercase();
    for remedy in &finding.remedies {
        let words = plain(&remedy.words);
        let says_so = shown.iter().any(|name| plain(name) == words);
        assert!(says_so, "{words}: {shown:?}");
    }
    let button = names(&window)
        .into_iter()
        .find(|name| name.starts_with("go to bar "));
    click(&mut window, &button.unwrap());
    assert_eq!(window.state().session().selection().place, finding.place);
}

#[test]
fn cells_are_where_they_seem_on_a_screen_with_fine_pixels() {
    let mut window = open();
    window.set_pixels_per_point(1.5);
    settle(&mut window);
    let cell = name_starting(&window, "bar 2, beat 3, thumb:");
    click(&mut window, &cell);
    let place = window.state().session().selection().place;
    assert_eq!((place.bar, place.at.beat_idx()), (1, 2));
}
