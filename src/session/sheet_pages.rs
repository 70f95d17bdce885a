//! The pages of a document: of the chorus that is chosen, or of all of them one after another,
//! numbered through. One way for preview and every export, so that what is previewed is what is
//! printed; and the pages of a ladder as one booklet. Never writes a file.

use super::ladder::Ladder;
use super::ladder::tempo_steps;
use crate::arrange::Arrangement;
use crate::document::Document;
use crate::score::pages;
use crate::score::pages::Page;
use crate::score::pages::PageOptions;

/// Pages, and which chorus each shows.
#[derive(Clone, PartialEq, Debug)]
pub struct SheetPages {
    /// The pages; at least one.
    pub pages: Vec<Page>,
    /// The chorus on each of them, from 1.
    pub choruses: Vec<u8>,
}

/// Lays out what the document's sheet settings ask for. The arrangement has all choruses.
#[must_use]
pub fn of(document: &Document, arrangement: &Arrangement) -> SheetPages {
    let numbers = numbers(document);
    let mut sheets = Vec::with_capacity(numbers.len());
    for (i, number) in numbers.iter().enumerate() {
        let usual = page_options(document);
        let options = PageOptions {
            chorus: chorus_words(document, *number),
            // Words for the student and the line for the name stand on the first chorus.
            show_student_line: usual.show_student_line && i == 0,
            show_lesson_text: usual.show_lesson_text && i == 0,
            ..usual
        };
        sheets.push((document, arrangement.chorus(*number), options));
    }
    let (pages, counts) = pages::lay_out_together(&sheets);
    let choruses = numbers.iter().zip(counts);
    let choruses = choruses.flat_map(|(number, n_pages)| std::iter::repeat_n(*number, n_pages));
    SheetPages {
        pages,
        choruses: choruses.collect(),
    }
}

/// The choruses that are printed, from 1.
fn numbers(document: &Document) -> Vec<u8> {
    let choruses = document.choruses;
    if document.sheet.all_choruses {
        return (1..=choruses.count.max(1)).collect();
    }
    vec![choruses.shown()]
}

/// What a page says about its chorus: nothing if there is only one.
fn chorus_words(document: &Document, number: u8) -> Option<(u8, u8)> {
    let count = document.choruses.count;
    (count > 1).then_some((number, count))
}

/// The chorus that text, notation and the movement table show, and pages that do not show all.
#[must_use]
pub fn on_sheet<'a>(document: &Document, arrangement: &'a Arrangement) -> &'a Arrangement {
    arrangement.chorus(document.choruses.on_sheet)
}

/// What a document's sheet settings ask of its pages.
#[must_use]
pub fn page_options(document: &Document) -> PageOptions {
    let sheet = document.sheet;
    PageOptions {
        paper: sheet.paper,
        font: sheet.font,
        show_staff: sheet.staff,
        show_diagrams: sheet.diagrams,
        show_fingers: sheet.fingers,
        show_pluck_letters: sheet.pluck_letters,
        show_moves: sheet.moves,
        show_move_table: sheet.move_table,
        table_on_own_page: sheet.table_page,
        show_student_line: sheet.student_line,
        show_lesson_text: sheet.lesson_text,
        size_permille: sheet.size.permille(),
        bars_per_system: sheet.bars_per_system,
        ..PageOptions::default()
    }
}

/// The pages of all rungs of a ladder with boxes for the tempi, numbered through.
#[must_use]
pub fn of_ladder(ladder: &Ladder) -> Vec<Page> {
    let sheets: Vec<(&Document, &Arrangement, PageOptions)> = ladder
        .rungs
        .iter()
        .map(|rung| {
            let options = PageOptions {
                tempo_boxes: tempo_steps(rung.document.tempo_bpm),
                ..page_options(&rung.document)
            };
            (&*rung.document, &*rung.arrangement, options)
        })
        .collect();
    pages::lay_out_together(&sheets).0
}
