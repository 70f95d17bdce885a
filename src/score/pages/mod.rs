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
pub mod staff;
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
use music::BarMusic;
use pen::Pen;
use system::Scene;

/// Lesson text of more lines than this goes behind the music.
const LESSON_LINES_ON_TOP: usize = 4;
/// From one line of it to the next, without its height.
const LESSON_LEADING: f64 = 2.6;
/// Most white added to a gap between systems to fill a page.
const MOST_SPREAD: f64 = 9.0;
/// A last page that is filled so far does not look lonely with one system on it.
const FULL_ENOUGH: f64 = 0.4;
/// How far gaps may close up to save a page.
const TIGHTEST_GAPS: f64 = 0.6;

/// Parts of its size to which the music shrinks if that saves a page that would hold little.
const SQUEEZES: [f64; 2] = [0.96, 0.92];
/// Music of a smaller part of the normal size is not shrunk further: a staff of 6.5 mm is the
/// least for parts (sources: Gould, Behind Bars, from memory; MOLA guidelines).
const LEAST_SQUEEZED: f64 = 1.0;

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
    let scale = f64::from(options.size_permille) / 1000.0;
    let room = room_of(options.paper);
    let mut blocks = blocks(&scene, &music, width, scale);
    if last_page_is_light(&blocks, room) && scale >= LEAST_SQUEEZED {
        let pages = n_pages(&blocks, room, TIGHTEST_GAPS);
        let smaller = SQUEEZES
            .into_iter()
            .map(|squeeze| self::blocks(&scene, &music, width, scale * squeeze));
        let saves = |blocks: &Vec<Block>| n_pages(blocks, room, TIGHTEST_GAPS) < pages;
        blocks = smaller.into_iter().find(saves).unwrap_or(blocks);
    }
    stack(blocks, &document.title, options.paper)
}

/// Everything that is printed, in its order, with the music at a size.
fn blocks(scene: &Scene<'_>, music: &[BarMusic], width: f64, scale: f64) -> Vec<Block> {
    let options = scene.options;
    let other = |(pen, height): (Pen, f64), gap: f64| Block {
        pen,
        height,
        gap,
        is_system: false,
    };
    let mut blocks = vec![other(header::draw(scene, width), 0.0)];
    let lesson = header::lesson(scene, width);
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
    let indent = if options.show_staff {
        sizes::BRACKET_WIDTH
    } else {
        0.0
    };
    for system in breaking::systems(scene, music, width / scale - indent) {
        let (mut drawn, height) = system.draw(scene);
        drawn.scale(scale);
        let mut pen = Pen::default();
        pen.place(drawn, indent * scale, 0.0);
        blocks.push(Block {
            pen,
            height: height * scale,
            gap: sizes::SYSTEM_GAP,
            is_system: true,
        });
    }
    if options.show_move_table {
        let rows = table::blocks(scene, music, width).into_iter().enumerate();
        blocks.extend(rows.map(|(i, row)| other(row, if i == 0 { 8.0 } else { 0.0 })));
    }
    blocks.extend(closing::legend(scene, music, width).map(|text| other(text, 6.0)));
    blocks.extend(after);
    blocks
}

/// Height of a page between margins and foot.
const fn room_of(paper: Paper) -> f64 {
    let (_, height) = paper.size_mm();
    height - sizes::TOP_MARGIN - sizes::BOTTOM_MARGIN - sizes::FOOT_HEIGHT
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
    keep_company(&mut sheets, room);
    sheets
}

/// No system stands alone on the last page with music if the page before can spare one (common
/// practice).
fn keep_company(sheets: &mut [Vec<Block>], room: f64) {
    let n_systems = |sheet: &[Block]| sheet.iter().filter(|block| block.is_system).count();
    let Some(last) = sheets.iter().rposition(|sheet| n_systems(sheet) > 0) else {
        return;
    };
    let (before, from_last) = sheets.split_at_mut(last);
    let (Some(before), Some(sheet)) = (before.last_mut(), from_last.first_mut()) else {
        return;
    };
    let ends_with_system = before.last().is_some_and(|block| block.is_system);
    if n_systems(sheet) != 1 || n_systems(before) < 3 || !ends_with_system {
        return;
    }
    let used: f64 = sheet.iter().map(|block| block.height + block.gap).sum();
    if used > FULL_ENOUGH * room {
        return;
    }
    if let Some(system) = before.pop_if(|system| used + system.height <= room) {
        sheet.insert(0, system);
    }
}

/// Whether the last page holds little, so that a smaller music may save it.
fn last_page_is_light(blocks: &[Block], room: f64) -> bool {
    let pages = n_pages(blocks, room, TIGHTEST_GAPS);
    if pages < 2 {
        return false;
    }
    let all: f64 = blocks.iter().map(|block| block.height + block.gap).sum();
    all < (pages as f64 - 0.5) * room
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
    let room = room_of(paper);
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
