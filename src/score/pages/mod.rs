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
mod stacking;
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
pub use options::Part;

use crate::arrange::Arrangement;
use crate::document::Document;
use closing::Explained;
use music::BarMusic;
use pen::Pen;
use stacking::Block;
use stacking::Fit;
use system::Scene;

/// Lesson text of more lines than this goes behind the music.
const LESSON_LINES_ON_TOP: usize = 4;
/// From one line of it to the next, without its height.
const LESSON_LEADING: f64 = 2.6;
/// Lays out the whole sheet. There is always at least one page.
#[must_use]
pub fn lay_out(document: &Document, arrangement: &Arrangement, options: &PageOptions) -> Vec<Page> {
    let scene = Scene {
        document,
        arrangement,
        options,
        close: false,
    };
    let (paper_width, _) = options.paper.size_mm();
    let width = paper_width - 2.0 * sizes::SIDE_MARGIN;
    let music = music::bars(document, arrangement, options);
    let scale = f64::from(options.size_permille) / 1000.0;
    let drawn = |fit: Fit| {
        let scene = Scene {
            close: fit.close,
            ..scene
        };
        blocks(&scene, &music, width, scale * fit.scale)
    };
    let tightest = if options.show_staff { 0.93 } else { 0.86 };
    let (blocks, gaps) = stacking::fitted(drawn, options.paper, scale, tightest);
    // The pages of a long tune can take its room.
    drop(music);
    let title = match options.chorus {
        Some((number, _)) if document.title.trim().is_empty() => format!("Chorus {number}"),
        Some((number, _)) => format!("{}, chorus {number}", document.title),
        None => document.title.clone(),
    };
    stacking::stack(blocks, gaps, &title, options)
}

/// Lays out several sheets that are handed out together, their pages numbered through; the numbers of
/// pages of each.
#[must_use]
pub fn lay_out_together(
    sheets: &[(&Document, &Arrangement, PageOptions)],
) -> (Vec<Page>, Vec<usize>) {
    if let [(document, arrangement, options)] = sheets {
        let pages = lay_out(document, arrangement, options);
        let count = pages.len();
        return (pages, vec![count]);
    }
    // How many there are in all stands on every page, and is known only when all are laid out.
    let laid = sheets
        .iter()
        .map(|(document, arrangement, options)| lay_out(document, arrangement, options));
    let counts: Vec<usize> = laid.map(|pages| pages.len()).collect();
    let in_all = Some(counts.iter().sum());
    let mut all = Vec::new();
    for (document, arrangement, options) in sheets {
        let part = Part {
            before: all.len(),
            in_all,
        };
        let numbered = PageOptions {
            part,
            ..options.clone()
        };
        all.extend(lay_out(document, arrangement, &numbered));
    }
    (all, counts)
}

/// Everything that is printed, in its order, with the music at a size.
fn blocks(scene: &Scene<'_>, music: &[BarMusic], width: f64, scale: f64) -> Vec<Block> {
    let options = scene.options;
    let other = |(pen, height): (Pen, f64), gap: f64| Block {
        pen,
        height,
        gap,
        is_system: false,
        starts_page: false,
        close_saves: 0.0,
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
    let boxes = tempo_boxes::draw(&options.tempo_boxes, width, options.font);
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
        // A long tune has hundreds of systems, and all are there at once.
        pen.marks.shrink_to_fit();
        blocks.push(Block {
            pen,
            height: height * scale,
            gap: sizes::SYSTEM_GAP,
            is_system: true,
            starts_page: false,
            close_saves: system.close_saves(scene) * scale,
        });
    }
    let rows = || {
        let rows = table::blocks(scene, music, width).into_iter().enumerate();
        rows.map(|(i, row)| other(row, if i == 0 { 8.0 } else { 0.0 }))
    };
    let legend = |what: Explained| {
        let text = closing::legend(scene, music, width, what);
        text.map(|text| other(text, 6.0))
    };
    if !options.show_move_table {
        blocks.extend(legend(Explained::Everything));
        blocks.extend(after);
    } else if options.table_on_own_page {
        blocks.extend(legend(Explained::Everything));
        blocks.extend(after);
        let first = blocks.len();
        blocks.extend(rows());
        if let Some(block) = blocks.get_mut(first) {
            block.starts_page = true;
            blocks.extend(legend(Explained::Moves));
        }
    } else {
        blocks.extend(rows());
        blocks.extend(legend(Explained::Everything));
        blocks.extend(after);
    }
    blocks
}
