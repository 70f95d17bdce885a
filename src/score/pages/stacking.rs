//! Stacks what is printed on pages. A page that would hold little is saved, if it can be, by the
//! mildest of: gaps that close up, music a little smaller, rows of a system closer together. Where
//! that is not enough, pages are balanced as far as both stay well filled, and white goes between
//! their systems; a last page may stay short. Never breaks a block.

use super::closing;
use super::mark::Page;
use super::options::PageOptions;
use super::pen::Pen;
use super::sizes;
use crate::document::Paper;
use std::ops::Range;

/// Most white added to a gap between systems to fill a page.
const MOST_SPREAD: f64 = 16.0;
/// The part of it that is added above the first system.
const SPREAD_ABOVE: f64 = 0.5;
/// A page that is emptier than this is left as it is.
const MOST_LEFT: f64 = 0.4;
/// A last page that is filled so far does not look lonely with one system on it.
const FULL_ENOUGH: f64 = 0.4;
/// How full the page before has to stay when it gives a system to the last one.
const STAYS_FULL: f64 = 0.6;
/// How far gaps may close up to save a page.
const TIGHT_GAPS: f64 = 0.6;
/// The same where the rows of systems come closer together too.
const TIGHTEST_GAPS: f64 = 0.5;
/// Music of a smaller part of the normal size is not shrunk further.
const LEAST_SHRUNK: f64 = 1.0;

/// A piece of the sheet that stays on one page.
pub struct Block {
    /// What is drawn.
    pub pen: Pen,
    /// Its height.
    pub height: f64,
    /// White above it, unless it is the first of a page.
    pub gap: f64,
    /// Whether it is a system.
    pub is_system: bool,
    /// Whether a page begins with it.
    pub starts_page: bool,
    /// How much lower it is with its rows close together.
    pub close_saves: f64,
}

/// A way to make everything fit.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Fit {
    /// The part of its size that the music has.
    pub scale: f64,
    /// Whether rows of a system stand closer together.
    pub close: bool,
    gaps: f64,
}

const fn fit(scale: f64, close: bool) -> Fit {
    Fit {
        scale,
        close,
        gaps: if close { TIGHTEST_GAPS } else { TIGHT_GAPS },
    }
}

/// Ways to save a page, the mildest first.
const FITS: [Fit; 7] = [
    fit(0.96, false),
    fit(0.93, false),
    fit(0.96, true),
    fit(0.93, true),
    fit(0.90, true),
    fit(0.88, true),
    fit(0.86, true),
];

/// The blocks in the mildest way that saves a page which would hold little, and the part of their
/// gaps that is left. `scale` is the size asked for; the music becomes no smaller than `tightest` of
/// the normal size (with a staff 6.5 mm, the least for parts: Gould, Behind Bars, from memory, and
/// the MOLA guidelines; tab alone as the size *Small*).
pub fn fitted(
    drawn: impl Fn(Fit) -> Vec<Block>,
    paper: Paper,
    scale: f64,
    tightest: f64,
) -> (Vec<Block>, f64) {
    let room = room_of(paper);
    let blocks = drawn(fit(1.0, false));
    let music = with_music(&blocks);
    let pages = n_pages(music, room, TIGHT_GAPS);
    if last_page_is_light(music, room, pages) && scale >= LEAST_SHRUNK {
        let allowed = |fit: &Fit| fit.scale >= tightest;
        let mut smallest: Option<(Fit, Vec<Block>)> = None;
        for fit in FITS.into_iter().filter(allowed) {
            // Smaller music can bring more bars into a system. Closer rows cannot, and drawing takes
            // time: those are drawn where they are likely to help.
            let known = smallest.as_ref().map_or((1.0, music), |(fit, blocks)| {
                (fit.scale, with_music(blocks))
            });
            if !fit.close || n_pages_of(likely(known, fit), room) < pages {
                let mut smaller = drawn(fit);
                if n_pages(with_music(&smaller), room, fit.gaps) < pages {
                    return (smaller, fit.gaps);
                }
                if !fit.close {
                    // Of these only the heights are asked for.
                    for block in &mut smaller {
                        block.pen = Pen::default();
                    }
                    smallest = Some((fit, smaller));
                }
            }
        }
    }
    let gaps = if pages < n_pages(music, room, 1.0) {
        TIGHT_GAPS
    } else {
        1.0
    };
    (blocks, gaps)
}

/// The blocks before the one that begins a page of its own.
fn with_music(blocks: &[Block]) -> &[Block] {
    let end = blocks.iter().position(|block| block.starts_page);
    blocks.get(..end.unwrap_or(blocks.len())).unwrap_or(blocks)
}

/// Height of a page between margins and foot.
const fn room_of(paper: Paper) -> f64 {
    let (_, height) = paper.size_mm();
    height - sizes::TOP_MARGIN - sizes::BOTTOM_MARGIN - sizes::FOOT_HEIGHT
}

/// Whether the last page holds little.
fn last_page_is_light(blocks: &[Block], room: f64, pages: usize) -> bool {
    let all: f64 = blocks.iter().map(|block| block.height + block.gap).sum();
    pages > 1 && all < (pages as f64 - 0.5) * room
}

/// Pages that blocks need with their gaps multiplied.
fn n_pages(blocks: &[Block], room: f64, gaps: f64) -> usize {
    n_pages_of(blocks.iter().map(|b| (b.height, b.gap * gaps)), room)
}

/// Heights and gaps as they will be about, from blocks as they are at some scale.
fn likely((scale, blocks): (f64, &[Block]), fit: Fit) -> impl Iterator<Item = (f64, f64)> {
    blocks.iter().map(move |block| {
        let saved = if fit.close { block.close_saves } else { 0.0 };
        let scale = if block.is_system {
            fit.scale / scale
        } else {
            1.0
        };
        ((block.height - saved) * scale, block.gap * fit.gaps)
    })
}

fn n_pages_of(blocks: impl Iterator<Item = (f64, f64)>, room: f64) -> usize {
    let (mut n_pages, mut used) = (1, 0.0);
    for (i, (height, gap)) in blocks.enumerate() {
        used += height + if i > 0 { gap } else { 0.0 };
        if used > room && i > 0 {
            n_pages += 1;
            used = height;
        }
    }
    n_pages
}

/// Shares blocks out among pages.
fn share_out(blocks: &[Block], room: f64) -> Vec<Range<usize>> {
    let mut sheets: Vec<Range<usize>> = Vec::new();
    let mut used = 0.0;
    for (i, block) in blocks.iter().enumerate() {
        let needed = used + block.gap + block.height;
        match sheets.last_mut() {
            Some(sheet) if needed <= room && !block.starts_page => {
                used = needed;
                sheet.end = i + 1;
            }
            _ => {
                used = block.height;
                sheets.push(i..i + 1);
            }
        }
    }
    keep_company(&mut sheets, blocks, room);
    sheets
}

/// What a page takes up.
fn used(sheet: &[Block]) -> f64 {
    let gaps: f64 = sheet.iter().skip(1).map(|block| block.gap).sum();
    gaps + sheet.iter().map(|block| block.height).sum::<f64>()
}

/// No system stands alone on the last page with music if the page before can spare one (common
/// practice) and stays well filled without it.
fn keep_company(sheets: &mut [Range<usize>], blocks: &[Block], room: f64) {
    let of = |sheet: &Range<usize>| blocks.get(sheet.clone()).unwrap_or_default();
    let n_systems = |sheet: &Range<usize>| of(sheet).iter().filter(|b| b.is_system).count();
    let Some(last) = sheets.iter().rposition(|sheet| n_systems(sheet) > 0) else {
        return;
    };
    let (before, from_last) = sheets.split_at_mut(last);
    let (Some(before), Some(sheet)) = (before.last_mut(), from_last.first_mut()) else {
        return;
    };
    let Some(spared) = of(before).last().filter(|block| block.is_system) else {
        return;
    };
    if n_systems(sheet) != 1 || n_systems(before) < 3 {
        return;
    }
    let taken: f64 = of(sheet).iter().map(|block| block.height + block.gap).sum();
    let left = used(of(before)) - spared.height - spared.gap;
    let fits = taken + spared.height <= room && left >= STAYS_FULL * room;
    if taken <= FULL_ENOUGH * room && fits {
        before.end -= 1;
        sheet.start -= 1;
    }
}

/// Stacks blocks on as many pages as they need, with a part of their gaps.
pub fn stack(mut blocks: Vec<Block>, gaps: f64, title: &str, options: &PageOptions) -> Vec<Page> {
    let (paper_width, paper_height) = options.paper.size_mm();
    let room = room_of(options.paper);
    let small = options.style(sizes::FOOT);
    for block in &mut blocks {
        block.gap *= gaps;
    }
    let sheets = share_out(&blocks, room);
    let n_sheets = sheets.len();
    let mut pages = Vec::with_capacity(n_sheets);
    let own = |sheet: &Range<usize>| blocks.get(sheet.start).is_some_and(|b| b.starts_page);
    let n_music = sheets.iter().position(own).unwrap_or(n_sheets);
    let mut white = Vec::with_capacity(n_sheets);
    let mut before = 0.0;
    for (i, sheet) in sheets.iter().enumerate() {
        let own = blocks.get(sheet.clone()).unwrap_or_default();
        before = if i + 1 == n_music {
            spread(own, room, before)
        } else if room - used(own) > MOST_LEFT * room {
            0.0
        } else {
            spread(own, room, MOST_SPREAD)
        };
        white.push(before);
    }
    let mut blocks = blocks.into_iter();
    for (i, (sheet, spread)) in sheets.into_iter().zip(white).enumerate() {
        let mut pen = Pen::default();
        let mut y = sizes::TOP_MARGIN;
        let mut before = None;
        for block in blocks.by_ref().take(sheet.len()) {
            if let Some(was_system) = before {
                let opens = match (was_system, block.is_system) {
                    (true, true) => 1.0,
                    (false, true) => SPREAD_ABOVE,
                    (_, false) => 0.0,
                };
                y += block.gap + opens * spread;
            }
            before = Some(block.is_system);
            pen.place(block.pen, sizes::SIDE_MARGIN, y);
            y += block.height;
        }
        let foot_y = paper_height - sizes::BOTTOM_MARGIN;
        let frame = (sizes::SIDE_MARGIN, paper_width - sizes::SIDE_MARGIN, foot_y);
        let in_all = options.part.in_all.unwrap_or(n_sheets);
        let number = (options.part.before + i + 1, in_all);
        let title = if i > 0 { title } else { "" };
        closing::foot(&mut pen, small, title, number, frame);
        pen.marks.shrink_to_fit();
        pages.push(Page {
            width: paper_width,
            height: paper_height,
            marks: pen.marks,
        });
    }
    pages
}

/// White to add between systems, at most so much, so that pages that are nearly full end level and
/// the last one is as airy as the one before. Gaps that had to close up open again as far as there
/// is room.
fn spread(sheet: &[Block], room: f64, most: f64) -> f64 {
    let own = sheet.iter().find(|block| block.is_system);
    let closed_up = own.map_or(0.0, |block| sizes::SYSTEM_GAP - block.gap);
    let weight = |pair: &[Block]| match pair {
        [a, b] if b.is_system && a.is_system => 1.0,
        [_, b] if b.is_system => SPREAD_ABOVE,
        _ => 0.0,
    };
    let n_gaps: f64 = sheet.windows(2).map(weight).sum();
    let left = room - used(sheet);
    let most = most.max(closed_up);
    (left / n_gaps.max(SPREAD_ABOVE)).clamp(0.0, most)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(height: f64, is_system: bool, close_saves: f64) -> Block {
        Block {
            pen: Pen::default(),
            height,
            gap: if is_system { sizes::SYSTEM_GAP } else { 2.0 },
            is_system,
            starts_page: false,
            close_saves,
        }
    }

    /// A little smaller, four bars fit into a system instead of three, so that three systems take the
    /// place of four; only with their rows close together do they fit on the page.
    #[test]
    fn rows_close_up_where_smaller_music_takes_fewer_systems() {
        let drawn = |fit: Fit| {
            let n_systems = if fit.scale > 0.97 { 4 } else { 3 };
            let saved = if fit.close { 8.0 } else { 0.0 };
            let system = || block((84.0 - saved) * fit.scale, true, 8.0 - saved);
            let mut blocks = vec![block(32.0, false, 0.0)];
            blocks.extend((0..n_systems).map(|_| system()));
            blocks
        };
        let (blocks, gaps) = fitted(drawn, Paper::A4, 1.0, 0.92);
        assert_eq!(blocks.iter().filter(|block| block.is_system).count(), 3);
        assert_eq!(n_pages(&blocks, room_of(Paper::A4), gaps), 1);
        let heights: f64 = blocks.iter().map(|block| block.height).sum();
        let mildest = 32.0 + 3.0 * (84.0 - 8.0) * 0.96;
        assert!((heights - mildest).abs() < 1e-9, "{heights}");
    }
}
