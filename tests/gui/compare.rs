//! Two versions side by side: a version is kept, another chosen, the bars that differ are listed,
//! gone to and taken.

use crate::harness::Window;
use crate::harness::click;
use crate::harness::document;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use egui::Key;
use egui::Modifiers;
use egui_kittest::kittest::Queryable as _;

fn comparing() -> Window {
    let mut window = open();
    press_with(&mut window, Modifiers::COMMAND, Key::K);
    assert!(window.query_by_label("Keep this version").is_some());
    window
}

fn choose(window: &mut Window, other: &str) {
    click(window, "Other version");
    click(window, other);
}

/// The rows of bars that differ.
fn rows(window: &Window) -> Vec<String> {
    let mut names = names(window);
    names.retain(|name| name.starts_with("bar ") && name.contains(" in A, "));
    names.dedup();
    names
}

#[test]
fn the_panel_opens_by_key_and_menu_and_closes_again() {
    let mut window = comparing();
    press(&mut window, &[Key::Escape]);
    assert!(window.query_by_label("Keep this version").is_none());
    click(&mut window, "file menu");
    let item = names(&window);
    let item = item
        .iter()
        .find(|name| name.starts_with("Compare versions"));
    click(&mut window, &item.expect("an item").clone());
    click(&mut window, "close comparison");
    assert!(window.query_by_label("Keep this version").is_none());
    click(&mut window, "Sheet");
    press_with(&mut window, Modifiers::COMMAND, Key::K);
    assert!(
        window.query_by_label("Keep this version").is_some(),
        "comes back to the grid"
    );
}

#[test]
fn a_version_is_kept_compared_taken_and_forgotten() {
    let mut window = comparing();
    let name = window.get_by_label("Name of the kept version");
    name.set_text_value_accesskit("Plain");
    settle(&mut window);
    click(&mut window, "Keep this version");
    assert_eq!(document(&window).versions[0].name, "Plain");
    let cell = crate::harness::name_starting(&window, "bar 1, beat 1, thumb:");
    click(&mut window, &cell);
    press(&mut window, &[Key::N]);
    let varied = document(&window);
    choose(&mut window, "Kept: Plain");
    let differing = rows(&window);
    assert!(!differing.is_empty(), "another line");
    assert!(
        window
            .query_by_label_contains("effort of 8 bars in both versions")
            .is_some()
    );
    click(&mut window, "Whole tune");
    click(&mut window, "Take B");
    assert_eq!(
        document(&window).line,
        document(&window).versions[0].document.line
    );
    assert!(rows(&window).is_empty());
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert_eq!(document(&window).line, varied.line);
    assert_eq!(rows(&window), differing);
    click(&mut window, "forget this version");
    assert!(document(&window).versions.is_empty());
    assert_eq!(window.state().session().compared_with(), None);
}

#[test]
fn a_press_on_a_row_goes_to_the_bar_and_the_bar_can_be_taken() {
    let mut window = comparing();
    choose(&mut window, "Another line (seed 2)");
    // The first rows are in view.
    let row = rows(&window).get(1).expect("bars that differ").clone();
    click(&mut window, &row);
    let bar = window.state().session().selection().place.bar;
    assert!(row.starts_with(&format!("bar {}:", bar + 1)), "{row}");
    click(&mut window, &format!("Take bar {} of B", bar + 1));
    assert!(
        !rows(&window)
            .iter()
            .any(|other| other.starts_with(&format!("bar {}:", bar + 1)))
    );
    assert!(
        document(&window)
            .bar(bar)
            .expect("the bar")
            .plucks
            .is_some()
    );
    press_with(&mut window, Modifiers::COMMAND, Key::Z);
    assert!(rows(&window).contains(&row));
}

#[test]
fn each_version_can_be_heard_and_stopped() {
    let mut window = comparing();
    choose(&mut window, "The tuning drop D");
    for version in ["Hear A", "Hear B"] {
        window.get_by_label(version).click();
        window.run_steps(4);
    }
    click(&mut window, "Stop comparing");
    assert_eq!(window.state().session().comparison(), None);
}

#[test]
fn a_file_is_asked_for_and_compared_with() {
    let mut window = comparing();
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("other.txt");
    std::fs::write(&path, "Key: C\n| Dm7 | G7 |\n").expect("written");
    choose(&mut window, "A file…");
    let field = window.get_by_label("Compare with a file");
    field.set_text_value_accesskit(path.to_string_lossy().as_ref());
    settle(&mut window);
    click(&mut window, "Compare with it");
    let session = window.state().session();
    assert_eq!(session.compared_with(), Some("other.txt"));
    let found = session.comparison().expect("compared");
    let missing = found.bars.iter().filter(|bar| bar.effort.b.is_none());
    assert_eq!(missing.count(), 6, "bars that the file has not");
}
