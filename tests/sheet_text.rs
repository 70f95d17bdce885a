//! Plain-text tab: the golden file of a small tune, and what must hold for any text tab: lines
//! that line up, no line wider than asked, every note present.

mod sheet_song;

use sheet_song::check_golden;
use sheet_song::keep;
use sheet_song::tune;
use thumbwalk::export::tab_text;

#[test]
fn a_small_tune_is_written_as_in_its_golden_file() {
    let (document, arrangement) = tune(8);
    let text = tab_text::write(&document, &arrangement, 100);
    keep("tune8.txt", text.as_bytes());
    check_golden("tune8.tab.txt", &text);
}

#[test]
fn string_lines_of_a_system_have_one_length_and_their_bar_lines_one_place() {
    let (document, arrangement) = tune(16);
    for width in [0, 40, 60, 80, 100, 132] {
        let text = tab_text::write(&document, &arrangement, width);
        let limit = width.max(tab_text::NARROWEST);
        assert!(
            text.lines().all(|line| line.chars().count() <= limit),
            "{width}"
        );
        let strings: Vec<&str> = text.lines().filter(|l| l.contains("|-")).collect();
        assert!(!strings.is_empty() && strings.len().is_multiple_of(6));
        for system in strings.chunks(6) {
            let bars = |line: &str| -> Vec<usize> {
                line.char_indices()
                    .filter(|(_, c)| *c == '|')
                    .map(|(i, _)| i)
                    .collect()
            };
            for line in system {
                assert_eq!(bars(line), bars(system[0]), "{line}");
                assert_eq!(line.len(), system[0].len());
            }
        }
    }
}

#[test]
fn every_note_stands_on_its_string_once() {
    let (document, arrangement) = tune(12);
    let text = tab_text::write(&document, &arrangement, 90);
    let lines: Vec<&str> = text.lines().filter(|l| l.contains("|-")).collect();
    let digits = lines
        .iter()
        .flat_map(|line| line.split(|c: char| !c.is_ascii_digit()))
        .filter(|word| !word.is_empty())
        .count();
    assert_eq!(digits, arrangement.notes.len());
}
