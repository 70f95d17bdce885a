//! Laid-out pages: the handout as positioned marks in millimetres. `lay_out` goes through four
//! steps: what is printed in each bar, which bars share a system and where everything stands
//! in it, drawing each system as a block, stacking the blocks on paper. PDF, SVG and preview walk
//! over the result. Pure: no files, no pixels, no clock.

pub mod barlines;
pub mod breaking;
pub mod closing;
pub mod diagram;
pub mod header;
pub mod mark;
pub mod measure;
pub mod music;
pub mod notes;
pub mod options;
pub mod pen;
pub mod sizes;
pub mod smufl;
pub mod stems;
pub mod symbol;
pub mod system;
pub mod table;
pub mod tempo_boxes;
pub mod words;

pub use mark::Anchor;
pub use mark::Bounds;
pub use mark::Drawn;
pub use mark::Ink;
pub use mark::Mark;
pub use mark::Meaning;
pub use mark::Page;
pub use mark::Spot;
pub use mark::Step;
pub use options::PageOptions;
pub use options::Paper;

use crate::arrange::Arrangement;
use crate::document::Document;
use pen::Pen;
use system::Scene;

/// Lesson text of more lines than this goes behind the music.
const LESSON_LINES_ON_TOP: usize = 4;
/// From one line of it to the next, without its height.
const LESSON_LEADING: f64 = 2.6;
/// Most white added to a gap between systems to fill a page.
const MOST_SPREAD: f64 = 9.0;
/// How far gaps may close up to save a page.
const TIGHTEST_GAPS: f64 = 0.6;

/// A piece of the sheet that stays on one page.
struct Block {
    pen: Pen,
    height: f64,
    /// White above it, unless it is the first of a page.
    gap: f64,
    is_system: bool,
}

/// Lays out the whole sheet. There is always at least one page.
#[must_use]
pub fn lay_out(document: &Document, arrangement: &Arrangement, options: &PageOptions) -> Vec<Page> {
    let scene = Scene {
        document,
        arrangement,
        options,
    };
    let (paper_width, _) = options.paper.size_mm();
    let width = paper_width - 2.0 * sizes::SIDE_MARGIN;
    let music = music::bars(document, arrangement, options);
    let mut blocks = Vec::new();
    let other = |(pen, height): (Pen, f64), gap: f64| Block {
        pen,
        height,
        gap,
        is_system: false,
    };
    blocks.push(other(header::draw(&scene, width), 0.0));
    let lesson = header::lesson(&scene, width);
    let on_top = lesson.len() <= LESSON_LINES_ON_TOP;
    let lesson = lesson.into_iter().enumerate().map(|(i, line)| {
        let first_gap = if on_top { 1.0 } else { 5.0 };
        other(line, if i == 0 { first_gap } else { LESSON_LEADING })
    });
    let (before, after): (Vec<Block>, Vec<Block>) = if on_top {
        (lesson.collect(), Vec::new())
    } else {
        (Vec::new(), lesson.collect())
    };
    blocks.extend(before);
    let boxes = tempo_boxes::draw(&options.tempo_boxes, width);
    blocks.extend(boxes.map(|row| other(row, 4.0)));
    for system in breaking::systems(&scene, &music, width) {
        let (pen, height) = system.draw(&scene);
        blocks.push(Block {
            pen,
            height,
            gap: sizes::SYSTEM_GAP,
            is_system: true,
        });
    }
    if options.show_move_table {
        let rows = table::blocks(&scene, &music, width).into_iter().enumerate();
        blocks.extend(rows.map(|(i, row)| other(row, if i == 0 { 8.0 } else { 0.0 })));
    }
    blocks.extend(closing::legend(&scene, &music, width).map(|text| other(text, 6.0)));
    blocks.extend(after);
    stack(blocks, &document.title, options.paper)
}

/// Shares blocks out among pages.
fn share_out(blocks: Vec<Block>, room: f64) -> Vec<Vec<Block>> {
    let mut sheets: Vec<Vec<Block>> = Vec::new();
    let mut used = 0.0;
    for block in blocks {
        let needed = used + block.gap + block.height;
        match sheets.last_mut() {
            Some(sheet) if needed <= room => {
                used = needed;
                sheet.push(block);
            }
            _ => {
                used = block.height;
                sheets.push(vec![block]);
            }
        }
    }
    sheets
}

/// Pages that blocks need with their gaps multiplied.
fn n_pages(blocks: &[Block], room: f64, squeeze: f64) -> usize {
    let (mut n_pages, mut used) = (1, 0.0);
    for (i, block) in blocks.iter().enumerate() {
        used += block.height + if i > 0 { block.gap * squeeze } else { 0.0 };
        if used > room && i > 0 {
            n_pages += 1;
            used = block.height;
        }
    }
    n_pages
}

/// Stacks blocks on as many pages as they need; gaps close up a little where that saves a page.
fn stack(mut blocks: Vec<Block>, title: &str, paper: Paper) -> Vec<Page> {
    let (paper_width, paper_height) = paper.size_mm();
    let room = paper_height - sizes::TOP_MARGIN - sizes::BOTTOM_MARGIN - sizes::FOOT_HEIGHT;
    if n_pages(&blocks, room, TIGHTEST_GAPS) < n_pages(&blocks, room, 1.0) {
        for block in &mut blocks {
            block.gap *= TIGHTEST_GAPS;
        }
    }
    let sheets = share_out(blocks, room);
    let n_sheets = sheets.len();
    let mut pages = Vec::with_capacity(n_sheets);
    for (i, sheet) in sheets.into_iter().enumerate() {
        let spread = if i + 1 < n_sheets {
            spread(&sheet, room)
        } else {
            0.0
        };
        let mut pen = Pen::default();
        let mut y = sizes::TOP_MARGIN;
        let mut before = None;
        for block in sheet {
            if let Some(was_system) = before {
                let opens = was_system && block.is_system;
                y += block.gap + if opens { spread } else { 0.0 };
            }
            before = Some(block.is_system);
            pen.place(block.pen, sizes::SIDE_MARGIN, y);
            y += block.height;
        }
        let foot_y = paper_height - sizes::BOTTOM_MARGIN;
        let frame = (sizes::SIDE_MARGIN, paper_width - sizes::SIDE_MARGIN, foot_y);
        closing::foot(&mut pen, title, i + 1, n_sheets, frame);
        pages.push(Page {
            width: paper_width,
            height: paper_height,
            marks: pen.marks,
        });
    }
    pages
}

/// White to add between systems, so that pages that are nearly full end level.
fn spread(sheet: &[Block], room: f64) -> f64 {
    let used: f64 = sheet
        .iter()
        .enumerate()
        .map(|(i, b)| b.height + if i > 0 { b.gap } else { 0.0 })
        .sum();
    let left = room - used;
    let gaps = sheet
        .windows(2)
        .filter(|pair| pair.iter().all(|b| b.is_system))
        .count();
    let gaps = f64::from(u32::try_from(gaps).unwrap_or(1).max(1));
    if left > room * 0.25 {
        return 0.0;
    }
    (left / gaps).clamp(0.0, MOST_SPREAD)
}
