//! The sheet area: the switch between the areas, the pages, and the words on them as edits.

use crate::harness::click;
use crate::harness::document;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::settle;
use egui::Key;
use egui_kittest::kittest::Queryable as _;
use thumbwalk::document::SheetFont;
use thumbwalk::document::SheetPreset;
use thumbwalk::session::Area;
use thumbwalk::session::export::FORMATS;

#[test]
fn the_switch_shows_the_pages_and_goes_back() {
    let mut window = open();
    click(&mut window, "Sheet");
    assert_eq!(window.state().session().area(), Area::Sheet);
    assert!(names(&window).iter().any(|n| n.starts_with("page 1 of ")));
    assert!(window.query_by_label("beat grid").is_none());
    click(&mut window, "Arrange");
    assert!(window.query_by_label("beat grid").is_some());
}

#[test]
fn the_lesson_text_is_in_the_document_as_it_is_typed_and_one_step() {
    let mut window = open();
    click(&mut window, "Sheet");
    window.get_by_label("Lesson text").focus();
    settle(&mut window);
    window.get_by_label("Lesson text").type_text("Slowly, and");
    settle(&mut window);
    window.get_by_label("Lesson text").type_text(" softly");
    settle(&mut window);
    assert_eq!(document(&window).lesson_text, "Slowly, and softly");
    press(&mut window, &[Key::Tab]);
    click(&mut window, "undo");
    assert_eq!(document(&window).lesson_text, "");
}

#[test]
fn several_formats_are_exported_in_one_go() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut window = open();
    click(&mut window, "Sheet");
    click(&mut window, "Several files at once");
    settle(&mut window);
    let box_of = |ending: &str| {
        let format = FORMATS
            .iter()
            .find(|f| f.ending == ending)
            .expect("a format");
        format!(".{} {}", format.ending, format.words)
    };
    for ending in ["wav", "mid", "musicxml"] {
        click(&mut window, &box_of(ending));
    }
    window.get_by_label("Export 3 formats…").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Export 3 formats…");
    let name = folder.path().join("My tune");
    let field = window.get_by_label("Export files named");
    field.set_text_value_accesskit(&name.to_string_lossy());
    settle(&mut window);
    click(&mut window, "Export files");
    for (ending, wanted) in [
        ("pdf", true),
        ("mid", true),
        ("musicxml", true),
        ("wav", false),
    ] {
        assert_eq!(name.with_extension(ending).exists(), wanted, "{ending}");
    }
}

#[test]
fn a_purpose_sets_what_is_shown_and_own_choices_are_named_so() {
    let mut window = open();
    click(&mut window, "Sheet");
    click(&mut window, "What the sheet is for");
    click(&mut window, "Full score");
    assert_eq!(
        SheetPreset::of(&document(&window).sheet),
        Some(SheetPreset::FullScore)
    );
    assert!(document(&window).sheet.staff);
    click(&mut window, "Notation staff");
    assert_eq!(SheetPreset::of(&document(&window).sheet), None);
    click(&mut window, "undo");
    assert!(document(&window).sheet.staff);
}

#[test]
fn the_font_of_the_sheet_is_chosen_as_a_step_that_can_be_undone() {
    let mut window = open();
    click(&mut window, "Sheet");
    window.get_by_label("Font of the sheet").scroll_to_me();
    settle(&mut window);
    click(&mut window, "Font of the sheet");
    click(&mut window, SheetFont::Serif.words());
    assert_eq!(document(&window).sheet.font, SheetFont::Serif);
    click(&mut window, "undo");
    assert_eq!(document(&window).sheet.font, SheetFont::Sans);
}

#[test]
fn keys_of_the_grid_do_nothing_on_the_sheet() {
    let mut window = open();
    click(&mut window, "Sheet");
    press(&mut window, &[Key::Num5, Key::ArrowRight]);
    assert!(document(&window).bar(0).unwrap().thumb.is_empty());
    assert_eq!(window.state().session().selection().place.at.0, 0);
}

#[test]
fn the_movement_table_can_have_a_page_of_its_own() {
    let mut window = open();
    click(&mut window, "Sheet");
    let pages = |window: &mut _| {
        names(window)
            .iter()
            .filter(|n| n.starts_with("go to page "))
            .count()
    };
    let before = pages(&mut window);
    for words in ["Movement table", "Movement table on its own page"] {
        window.get_by_label(words).scroll_to_me();
        settle(&mut window);
        click(&mut window, words);
    }
    assert!(document(&window).sheet.table_page);
    assert_eq!(pages(&mut window), before + 1);
}
