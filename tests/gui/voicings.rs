//! The voicings panel: filtering, using, pinning and comparing.

use crate::harness::CHART;
use crate::harness::Window;
use crate::harness::click;
use crate::harness::document;
use crate::harness::names;
use crate::harness::open;
use crate::harness::sized;
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
