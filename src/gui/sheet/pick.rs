//! What lies under a point of a page, so that a click on a note, a chord symbol or a cell of the
//! movement table leads to its place in the grid, where it is edited. Never selects anything itself.

use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Document;
use crate::score::pages::Mark;
use crate::score::pages::Meaning;
use crate::score::pages::Page;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;

/// How far beside a digit a click still means it, in millimetres.
const NEAR: f64 = 1.5;

/// The place and lane that a point of a page means, in millimetres from its top left corner.
#[must_use]
pub fn at(
    page: &Page,
    (x, y): (f64, f64),
    document: &Document,
    arrangement: &Arrangement,
) -> Option<(Place, Lane)> {
    let distance = |mark: &Mark| {
        let b = mark.bounds();
        let beside = (b.left - x).max(x - b.right).max(0.0);
        beside.max((b.top - y).max(y - b.bottom).max(0.0))
    };
    let means = |mark: &Mark| match mark.meaning {
        Meaning::Note(idx) | Meaning::Move(idx) | Meaning::Head(idx) => {
            let note = arrangement.notes.get(idx)?;
            Some((note.place, note.lane))
        }
        Meaning::Symbol(bar) => Some((place(bar, 0), Lane::Fingers)),
        Meaning::TableBar(bar) => {
            let b = mark.bounds();
            let own = document.bar(bar).and_then(|own| own.length);
            let own = own.map_or(0, |length| length.0.div_ceil(TICKS_PER_BEAT));
            let beats = document.meter.beats().max(own).max(1);
            let share = ((x - b.left) / (b.right - b.left).max(1.0)).clamp(0.0, 0.999);
            let beat = (share * f64::from(beats)) as u32;
            Some((place(bar, beat * TICKS_PER_BEAT), Lane::Thumb))
        }
        _ => None,
    };
    let near = page.marks.iter().filter_map(|mark| {
        let distance = distance(mark);
        let within = if matches!(mark.meaning, Meaning::TableBar(_)) {
            0.0
        } else {
            NEAR
        };
        (distance <= within).then(|| Some((distance, means(mark)?)))?
    });
    let nearest = near.min_by(|a, b| a.0.total_cmp(&b.0));
    nearest.map(|(_, found)| found)
}

const fn place(bar: usize, ticks: u32) -> Place {
    Place {
        bar,
        at: Ticks(ticks),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::pages;
    use crate::score::pages::PageOptions;
    use crate::session::open::open;
    use crate::session::problem_from_document;
    use std::path::Path;

    #[test]
    fn clicks_on_a_page_find_notes_and_cells_of_the_table() {
        let folder = env!("CARGO_MANIFEST_DIR");
        let path = Path::new(folder).join("sample-projects/ferry-queue-blues.ron");
        let document = open(&path).expect("a sample").document;
        let arrangement = crate::arrange::solve(&problem_from_document(&document));
        let options = PageOptions {
            show_move_table: true,
            table_on_own_page: true,
            ..PageOptions::default()
        };
        let all = pages::lay_out(&document, &arrangement, &options);
        let (mut notes, mut cells) = (0, 0);
        for page in &all {
            for mark in &page.marks {
                let b = mark.bounds();
                let middle = (
                    f64::midpoint(b.left, b.right),
                    f64::midpoint(b.top, b.bottom),
                );
                let found = |point| at(page, point, &document, &arrangement);
                match mark.meaning {
                    Meaning::Note(idx) => {
                        let note = arrangement.notes[idx];
                        assert_eq!(found(middle), Some((note.place, note.lane)));
                        notes += 1;
                    }
                    Meaning::TableBar(bar) => {
                        let last = (b.right - 1.0, middle.1);
                        assert_eq!(found(last), Some((place(bar, 2880), Lane::Thumb)));
                        cells += 1;
                    }
                    _ => {}
                }
            }
        }
        assert_eq!((notes, cells), (arrangement.notes.len(), document.n_bars()));
        assert_eq!(at(&all[0], (2.0, 2.0), &document, &arrangement), None);
    }
}
