//! The page of preferences: look, sound, saved hands and what new projects begin with; what is
//! changed there holds at once and at the next start.

use crate::harness::CHART;
use crate::harness::Window;
use crate::harness::around;
use crate::harness::click;
use crate::harness::document;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use crate::harness::silent;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::session::Action;
use thumbwalk::session::Preferences;
use thumbwalk::session::Theme;
use thumbwalk::theory::HouseStyle;

fn on_the_page() -> Window {
    let mut window = open();
    press_with(&mut window, Modifiers::COMMAND, Key::Comma);
    assert!(window.query_by_label("High contrast").is_some());
    window
}

fn preferences(window: &Window) -> &Preferences {
    window.state().session().preferences()
}

fn reveal(window: &mut Window, name: &str) {
    window.get_by_label(name).scroll_to_me();
    settle(window);
}

/// Names of menu items end with their keys.
fn choose_in_menu(window: &mut Window, start: &str) {
    click(window, "file menu");
    let item = names(window).into_iter().find(|n| n.starts_with(start));
    click(window, &item.expect("an item"));
}

#[test]
fn the_page_opens_from_menu_and_keyboard_and_closes() {
    let mut window = on_the_page();
    assert!(window.query_by_label("beat grid").is_none());
    press(&mut window, &[Key::Escape]);
    assert!(window.query_by_label("beat grid").is_some());
    choose_in_menu(&mut window, "Preferences…");
    assert!(window.query_by_label("High contrast").is_some());
    click(&mut window, "Close");
    assert!(window.query_by_label("beat grid").is_some());
}

#[test]
fn the_look_changes_at_once() {
    let mut window = on_the_page();
    let paper = |window: &Window| window.ctx.global_style().visuals.panel_fill;
    let usual = paper(&window);
    click(&mut window, "High contrast");
    assert_eq!(paper(&window), egui::Color32::WHITE);
    click(&mut window, "Dark");
    assert_eq!(paper(&window), egui::Color32::BLACK);
    assert!(window.state().is_dark());
    click(&mut window, "High contrast");
    click(&mut window, "As the system");
    assert_eq!(preferences(&window).theme, Theme::System);
    click(&mut window, "Light");
    assert_eq!(paper(&window), usual);
    window.get_by_label("Text size").set_value_accesskit(150.0);
    settle(&mut window);
    assert!((window.ctx.zoom_factor() - 1.5).abs() < 0.01);
    window.ctx.set_zoom_factor(1.2);
    settle(&mut window);
    assert_eq!(preferences(&window).text_percent, 120, "by egui's own keys");
    reveal(&mut window, "Usual size");
    click(&mut window, "Usual size");
    assert!((window.ctx.zoom_factor() - 1.0).abs() < 0.01);
}

#[test]
fn the_level_and_the_number_of_earlier_versions_are_remembered() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = silent();
    session.remember_in(Some(folder.path().into()));
    let mut window = around(1400.0, 900.0, session);
    press_with(&mut window, Modifiers::COMMAND, Key::Comma);
    window.get_by_label("Sound level").set_value_accesskit(25.0);
    settle(&mut window);
    assert!((window.state().session().play().volume - 0.25).abs() < 0.01);
    let kept = "Earlier versions kept";
    window.get_by_label(kept).set_value_accesskit(9.0);
    settle(&mut window);
    let mut next = silent();
    next.remember_in(Some(folder.path().into()));
    let next = next.preferences();
    assert_eq!((next.volume_percent, next.backups), (25, 9));
}

#[test]
fn a_hand_is_added_named_measured_and_taken_for_the_tune() {
    let mut window = on_the_page();
    reveal(&mut window, "Add a hand");
    click(&mut window, "Add a hand");
    let name = "Name of the hand";
    window
        .get_by_label(name)
        .set_text_value_accesskit("Mia, 11");
    settle(&mut window);
    click(&mut window, "How to measure a hand");
    window
        .get_by_label("Span of the hand")
        .set_value_accesskit(104.0);
    settle(&mut window);
    click(&mut window, "Take this reach");
    click(&mut window, "This hand may barre");
    let hand = preferences(&window).hands[1].clone();
    // 104 mm of the mean 122.5 mm.
    assert_eq!((hand.name.as_str(), hand.reach_permille), ("Mia, 11", 849));
    assert!(!hand.barre);
    reveal(&mut window, "Use for this tune");
    click(&mut window, "Use for this tune");
    assert_eq!(*document(&window).hand, hand);
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(document(&window).hand.name, "Adult");
    reveal(&mut window, "Delete this hand");
    click(&mut window, "Delete this hand");
    assert_eq!(preferences(&window).hands.len(), 1);
    assert_eq!(preferences(&window).hands[0].name, "Adult", "the other one");
}

#[test]
fn a_saved_hand_is_chosen_in_the_left_panel() {
    let mut window = on_the_page();
    reveal(&mut window, "Add a hand");
    click(&mut window, "Add a hand");
    let name = "Name of the hand";
    window.get_by_label(name).set_text_value_accesskit("Tom");
    settle(&mut window);
    press(&mut window, &[Key::Escape]);
    press(&mut window, &[Key::Escape]);
    reveal(&mut window, "Saved hand");
    click(&mut window, "Saved hand");
    click(&mut window, "Tom");
    assert_eq!(document(&window).hand.name, "Tom");
}

#[test]
fn an_instrument_is_saved_named_and_taken_for_the_tune() {
    let mut window = on_the_page();
    reveal(&mut window, "Add an instrument");
    click(&mut window, "Add an instrument");
    let name = "Name of the instrument";
    window
        .get_by_label(name)
        .set_text_value_accesskit("School guitar");
    settle(&mut window);
    let scale = "Scale length of the instrument";
    window.get_by_label(scale).set_value_accesskit(580.0);
    settle(&mut window);
    let frets = "Frets of the instrument";
    window.get_by_label(frets).set_value_accesskit(18.0);
    settle(&mut window);
    let saved = preferences(&window).instruments[0].clone();
    assert_eq!(saved.name, "School guitar");
    assert_eq!(
        (saved.instrument.scale_mm, saved.instrument.frets),
        (580.0, 18)
    );
    reveal(&mut window, "Play this tune on it");
    click(&mut window, "Play this tune on it");
    assert_eq!(*document(&window).instrument, saved.instrument);
    press(&mut window, &[Key::Escape, Key::Escape]);
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert_ne!(*document(&window).instrument, saved.instrument);
    reveal(&mut window, "Saved instrument");
    click(&mut window, "Saved instrument");
    click(&mut window, "School guitar");
    assert_eq!(*document(&window).instrument, saved.instrument);
}

#[test]
fn new_projects_begin_as_is_preferred_and_charts_say_more() {
    let mut window = on_the_page();
    reveal(&mut window, "Tuning of new projects");
    click(&mut window, "Tuning of new projects");
    click(&mut window, "drop D");
    reveal(&mut window, "signs");
    click(&mut window, "signs");
    click(&mut window, "Letter");
    click(&mut window, "Left-handed views");
    let session = window.state_mut().session_mut();
    session.act(Action::OpenText(CHART.into()));
    let tune = session.document();
    assert_eq!(tune.instrument.tuning.name(), "drop D");
    assert!(tune.instrument.left_handed);
    assert_eq!(tune.house_style, HouseStyle::Signs);
    session.act(Action::OpenText(format!("Tuning: standard\n{CHART}")));
    assert_eq!(session.document().instrument.tuning.name(), "standard");
}

#[test]
fn the_page_about_the_program_names_what_it_is_made_of() {
    let mut window = open();
    choose_in_menu(&mut window, "About Thumbwalk");
    let names = names(&window);
    assert!(names.iter().any(|name| name == "egui"));
    assert!(names.iter().any(|name| name.starts_with("Thumbwalk ")));
}
