//! The practice area: the ladder made, changed, noted, opened and written.

use crate::harness;
use crate::harness::Window;
use egui::Key;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::document::Walk;
use thumbwalk::session::Action;
use thumbwalk::session::Area;
use thumbwalk::session::DrillSettings;
use thumbwalk::session::Heard;
use thumbwalk::session::LadderStatus;
use thumbwalk::session::Recall;

fn practising() -> Window {
    // High enough for the whole ladder.
    let mut window = harness::sized(1400.0, 1400.0, Some(harness::CHART));
    harness::click(&mut window, "Practice");
    assert_eq!(window.state().session().area(), Area::Practice);
    window
}

fn climbed() -> Window {
    let mut window = practising();
    harness::click(&mut window, "Make the ladder");
    let status = window.state().session().ladder().clone();
    assert!(matches!(status, LadderStatus::Known(_)), "{status:?}");
    window
}

#[test]
fn the_ladder_is_made_by_one_press_and_shows_what_each_rung_costs() {
    let window = climbed();
    let LadderStatus::Known(ladder) = window.state().session().ladder().clone() else {
        panic!("a ladder");
    };
    assert!(ladder.rungs.len() >= 4);
    for rung in &ladder.rungs {
        let effort = format!("effort {}, ", rung.effort());
        assert!(
            window.query_by_label_contains(&effort).is_some(),
            "{effort}"
        );
        let hear = format!("Hear rung {}", rung.number + 1);
        assert!(window.query_by_label(&hear).is_some(), "{hear}");
    }
}

#[test]
fn a_tempo_that_is_noted_stays_in_the_project_and_the_ladder_stays_too() {
    let mut window = climbed();
    harness::click(&mut window, "Note this tempo for rung 1");
    let session = window.state().session();
    assert_eq!(session.document().ladder()[0].reached, [60]);
    assert!(matches!(session.ladder(), LadderStatus::Known(_)));
    assert_eq!(session.undo_label(), Some("Note 60 bpm for Roots"));
    assert!(
        window
            .query_by_label_contains("Reached 60 bpm of 120")
            .is_some()
    );
    harness::click(&mut window, "Note this tempo for rung 1");
    let reached = &window.state().session().document().ladder()[0].reached;
    assert_eq!(*reached, [60, 72], "the next step is offered");
}

#[test]
fn a_rung_can_be_changed_and_the_ladder_is_made_anew() {
    let mut window = climbed();
    harness::click(&mut window, "Slides on rung 4");
    let session = window.state().session();
    assert!(session.document().ladder()[3].slides);
    assert_eq!(*session.ladder(), LadderStatus::Unasked);
    harness::click(&mut window, "Usual rungs");
    assert!(window.state().session().document().rungs.is_empty());
}

#[test]
fn a_rung_opens_as_a_project_of_its_own() {
    let mut window = climbed();
    // The chart was typed and is saved nowhere.
    harness::click(&mut window, "Open rung 1");
    harness::click(&mut window, "Go on without saving");
    let session = window.state().session();
    assert_eq!(session.document().line.walk, Walk::Roots);
    assert_eq!(session.area(), Area::Arrange);
    assert!(session.has_unsaved_changes() && session.path().is_none());
}

#[test]
fn the_booklet_is_one_file_with_all_rungs() {
    let mut window = climbed();
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rungs.pdf");
    let session = window.state_mut().session_mut();
    session.act(Action::WriteBooklet(path.clone()));
    let writing = session.writing().map(|(what, _)| what);
    assert_eq!(writing, Some("booklet"), "in the background");
    session.settle();
    let bytes = std::fs::read(&path).expect("the booklet");
    assert!(bytes.starts_with(b"%PDF-"));
    harness::settle(&mut window);
    harness::click(&mut window, "Booklet as PDF…");
    assert!(window.query_by_label("Write").is_some(), "asks for a path");
}

#[test]
fn a_rung_is_heard_and_the_work_stays_as_it_is() {
    let mut window = climbed();
    let before = window.state().session().document().clone();
    harness::click(&mut window, "Hear rung 2");
    assert_eq!(*window.state().session().document(), before);
}

#[test]
fn a_drill_shows_the_present_bar_and_the_next_two_and_covers_what_is_to_be_known() {
    let mut window = practising();
    harness::click(&mut window, "Count in");
    harness::click(&mut window, "Start the drill");
    harness::settle(&mut window);
    let drill = window.state().session().drill().expect("it runs");
    assert_eq!(drill.line, Some(0));
    let bars: Vec<usize> = drill.strip.iter().map(|bar| bar.written_bar).collect();
    assert_eq!(bars, [0, 1, 2]);
    let names = harness::names(&window);
    let spoken = |start: &str| names.iter().any(|name| name.starts_with(start));
    assert!(spoken("now, bar 1: Dm7; root "), "{names:?}");
    assert!(spoken("then, bar 2: G7; root "), "{names:?}");
    let settings = window.state().session().drill_settings();
    let wanted = DrillSettings {
        heard: Heard::ClickOnly,
        recall: Recall::EachBar,
        ..settings
    };
    let session = window.state_mut().session_mut();
    session.act(Action::SetDrill(wanted));
    assert!(session.drill().is_some(), "it goes on");
    harness::click(&mut window, "Stop the drill");
    let session = window.state().session();
    assert!(session.drill().is_none() && !session.play().playing);
}

#[test]
fn a_rung_is_drilled_from_its_card_and_the_drill_ends_with_its_area() {
    let mut window = practising();
    harness::click(&mut window, "Drill rung 4");
    harness::settle(&mut window);
    let session = window.state().session();
    assert_eq!(session.drill_settings().rung, Some(3));
    assert!(session.drill().is_some());
    let before = session.document().clone();
    harness::click(&mut window, "Sheet");
    let session = window.state().session();
    assert!(session.drill().is_none() && !session.play().playing);
    assert_eq!(*session.document(), before, "the tune stays as it is");
}

#[test]
fn the_bars_and_the_series_of_a_drill_are_set_by_fields() {
    let mut window = practising();
    for (name, text) in [
        ("first bar of the drill", "3"),
        ("last bar of the drill", "5"),
        ("series of lines", "2"),
    ] {
        window.get_by_label(name).focus();
        window.run();
        window.get_by_label(name).type_text(text);
        harness::press(&mut window, &[Key::Enter]);
    }
    let settings = window.state().session().drill_settings();
    assert_eq!(settings.bars, Some((2, 4)));
    assert_eq!(settings.series, 2);
}
