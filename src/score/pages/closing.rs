//! What ends a sheet and every page: the legend of the signs that were really used, and the foot
//! with the caution and the page number. The words of the codes come from the one table in
//! `theory`, so grid, table and sheet cannot disagree.

use super::mark::Anchor;
use super::mark::Meaning;
use super::music::BarMusic;
use super::pen::Pen;
use super::pen::Style;
use super::sizes;
use super::system::Scene;
use super::words;
use crate::arrange::Lane;
use crate::score::fonts::Cut;
use crate::theory::ThumbMove;

/// Printed small at the foot of every page.
const CAUTION: &str = "Warm up, take breaks, and stop if it hurts. A wide stretch can wait: ask your teacher or a clinician.";

/// The thumb moves of an arrangement that have a code on the sheet, in the order of the legend.
#[must_use]
pub fn used_moves(arrangement: &crate::arrange::Arrangement) -> Vec<ThumbMove> {
    ThumbMove::ALL
        .into_iter()
        .filter(|m| arrangement.notes.iter().any(|n| n.thumb_move == Some(*m)))
        .collect()
}

/// What a legend explains.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Explained {
    /// All signs that were used.
    Everything,
    /// The codes of the thumb moves alone.
    Moves,
}

/// The legend; the second value is its height. `None` if there is nothing to explain.
#[must_use]
pub fn legend(
    scene: &Scene<'_>,
    music: &[BarMusic],
    width: f64,
    what: Explained,
) -> Option<(Pen, f64)> {
    let mut pen = Pen::default();
    let style = scene.style(sizes::LEGEND);
    let bold = scene.style(sizes::LEGEND.cut(Cut::Bold));
    let mut y = 0.0;
    let options = scene.options;
    let table_here = options.show_move_table && !options.table_on_own_page;
    let moves = if options.show_moves || table_here || what == Explained::Moves {
        used_moves(scene.arrangement)
    } else {
        Vec::new()
    };
    if !moves.is_empty() {
        y += style.cap();
        let head = "Thumb";
        pen.text(Meaning::Legend, bold, Anchor::Left, (0.0, y), head);
        let indent = bold.width(head) + 3.5;
        let mut x = indent;
        for thumb_move in moves {
            let (code, meaning) = (thumb_move.code(), thumb_move.words());
            let item = bold.width(code) + 1.2 + style.width(meaning);
            if x + item > width && x > indent {
                x = indent;
                y += 4.6;
            }
            pen.text(Meaning::Legend, bold, Anchor::Left, (x, y), code);
            let after = x + bold.width(code) + 1.2;
            pen.text(Meaning::Legend, style, Anchor::Left, (after, y), meaning);
            x += item + 5.0;
        }
    }
    let signs = match what {
        Explained::Everything => signs(scene, music),
        Explained::Moves => String::new(),
    };
    if !signs.is_empty() {
        for line in words::wrap(style, &signs, width) {
            y += if y > 0.0 { 4.6 } else { style.cap() };
            pen.text(Meaning::Legend, style, Anchor::Left, (0.0, y), &line);
        }
    }
    (y > 0.0).then_some((pen, y + 1.5))
}

fn signs(scene: &Scene<'_>, music: &[BarMusic]) -> String {
    let strikes = || {
        music
            .iter()
            .flat_map(|b| b.upper.strikes.iter().chain(&b.lower.strikes))
    };
    let mut parts = Vec::new();
    if strikes().next().is_some() {
        parts.push(
            if scene.arrangement.notes.iter().any(|n| n.lane == Lane::Tune) {
                "Stems up: tune and fingers. Stems down: thumb."
            } else {
                "Stems up: fingers. Stems down: thumb."
            },
        );
    }
    if !scene.options.show_staff && strikes().any(|s| s.rings_on) {
        parts.push("Open curve: let it ring.");
    }
    if strikes().any(|s| s.short) {
        parts.push("Dot at a stem: stop it short.");
    }
    if music.iter().any(|b| !b.fingers.is_empty()) {
        parts.push("Small figure before a fret: left-hand finger, 1 index to 4 little.");
    }
    if scene.options.show_pluck_letters && !parts.is_empty() {
        parts.push(
            "Letters: right hand, i index, m middle, a ring; the thumb (p) plays stems down.",
        );
    }
    parts.join(" ")
}

/// The foot of a page; a title stands before its number.
pub fn foot(
    pen: &mut Pen,
    style: Style,
    title: &str,
    (page, n_pages): (usize, usize),
    frame: (f64, f64, f64),
) {
    let (left, right, y) = frame;
    pen.text(Meaning::Foot, style, Anchor::Left, (left, y), CAUTION);
    let number = format!("page {page} of {n_pages}");
    let label = if title.is_empty() {
        number
    } else {
        format!("{title} · {number}")
    };
    let room = right - left - style.width(CAUTION) - 6.0;
    let label = match words::wrap(style, &label, room).as_slice() {
        [one] => one.clone(),
        _ => format!("page {page} of {n_pages}"),
    };
    pen.text(Meaning::Foot, style, Anchor::Right, (right, y), &label);
}
