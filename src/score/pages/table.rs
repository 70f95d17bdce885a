//! The movement table: bars by beats with the code of every thumb move, chord symbols above them,
//! four bars in a row. For practising the thumb away from the tab. The codes and their meanings
//! come from `theory`; the legend that explains them stands behind the table.

use super::mark::Anchor;
use super::mark::Meaning;
use super::music::BarMusic;
use super::pen::Lettering;
use super::pen::Pen;
use super::pen::Style;
use super::sizes;
use super::system::Scene;
use crate::score::fonts::Cut;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::ThumbMove;
use crate::theory::Ticks;

const BARS_IN_ROW: usize = 4;
const ROWS_WITH_HEAD: usize = 2;
const HEAD: Lettering = Lettering::new(Cut::Bold, 4.2);
const CODE: Lettering = Lettering::new(Cut::Regular, 3.5);
const SYMBOL: Lettering = Lettering::new(Cut::Bold, 3.5);
const SYMBOL_HEIGHT: f64 = 6.2;
const CODE_HEIGHT: f64 = 6.4;
const LINE: f64 = 0.25;
const MEANING: Meaning = Meaning::Table;

/// The table in blocks that stay whole, each with its height; empty if the thumb never plays.
#[must_use]
pub fn blocks(scene: &Scene<'_>, music: &[BarMusic], width: f64) -> Vec<(Pen, f64)> {
    if music.iter().all(|bar| bar.lower.strikes.is_empty()) {
        return Vec::new();
    }
    let mut all: Vec<(Pen, f64)> = Vec::new();
    for bars in music.chunks(BARS_IN_ROW) {
        let mut pen = Pen::default();
        let mut x = 0.0;
        let bar_width = width / BARS_IN_ROW as f64;
        for bar in bars {
            one_bar(&mut pen, scene, bar, x, bar_width);
            x += bar_width;
        }
        all.push((pen, SYMBOL_HEIGHT + CODE_HEIGHT));
    }
    with_head(scene.style(HEAD), all)
}

/// Puts the head over the first rows as one block, so that a page never ends with the head alone.
fn with_head(head: Style, mut rows: Vec<(Pen, f64)>) -> Vec<(Pen, f64)> {
    let rest = rows.split_off(rows.len().min(ROWS_WITH_HEAD));
    let mut first = Pen::default();
    let at = (0.0, head.cap());
    first.text(MEANING, head, Anchor::Left, at, "Movements of the thumb");
    let mut y = head.cap() + 2.4;
    for (pen, height) in rows {
        first.place(pen, 0.0, y);
        y += height;
    }
    let mut all = vec![(first, y)];
    all.extend(rest);
    all
}

fn one_bar(pen: &mut Pen, scene: &Scene<'_>, bar: &BarMusic, x: f64, width: f64) {
    let height = SYMBOL_HEIGHT + CODE_HEIGHT;
    let number = (bar.bar + 1).to_string();
    pen.boxed(Meaning::TableBar(bar.bar), (x, 0.0), (width, height), LINE);
    pen.line(
        MEANING,
        (x, SYMBOL_HEIGHT),
        (x + width, SYMBOL_HEIGHT),
        LINE,
    );
    let style = scene.style(sizes::BAR_NUMBER);
    let at = (x + 0.8, 0.7 + style.cap());
    pen.text(MEANING, style, Anchor::Left, at, &number);
    let n_beats = bar.length.0.div_ceil(TICKS_PER_BEAT);
    let beat = width / f64::from(scene.document.meter.beats().max(n_beats).max(1));
    let first = x + 1.6 + style.width(&number);
    let bold = scene.style(SYMBOL);
    symbols(pen, bold, bar, (x, first, x + width), beat);
    let codes_style = scene.style(CODE);
    for beat_idx in 0..n_beats {
        let left = x + f64::from(beat_idx) * beat;
        if beat_idx > 0 {
            pen.line(MEANING, (left, SYMBOL_HEIGHT), (left, height), 0.18);
        }
        let text = codes(scene, bar, beat_idx);
        let at = (
            left + beat / 2.0,
            SYMBOL_HEIGHT + (CODE_HEIGHT + codes_style.cap()) / 2.0,
        );
        let style = squeezed(codes_style, &text, beat - 1.0);
        pen.text(MEANING, style, Anchor::Middle, at, &text);
    }
}

/// Chord symbols over their beats, as small as they must be not to touch.
fn symbols(pen: &mut Pen, bold: Style, bar: &BarMusic, edges: (f64, f64, f64), beat: f64) {
    let (left, first, right) = edges;
    let place = |at: Ticks| {
        let beats = f64::from(at.0) / f64::from(TICKS_PER_BEAT);
        (left + beats * beat + 1.0).max(first)
    };
    let ends = bar
        .chords
        .iter()
        .skip(1)
        .map(|c| place(c.at))
        .chain([right]);
    for (chord, end) in bar.chords.iter().zip(ends) {
        let x = place(chord.at);
        let text = chord.symbol.text();
        let style = squeezed(bold, &text, end - x - 0.8);
        pen.text(
            MEANING,
            style,
            Anchor::Left,
            (x, SYMBOL_HEIGHT - 1.5),
            &text,
        );
    }
}

fn squeezed(style: Style, text: &str, room: f64) -> Style {
    let width = style.width(text);
    if width <= room || width <= 0.0 {
        return style;
    }
    Style::new(style.role, style.size * (room / width).max(0.1))
}

/// The codes of the moves that begin in a beat.
fn codes(scene: &Scene<'_>, bar: &BarMusic, beat_idx: u32) -> String {
    let here = bar.lower.strikes.iter();
    let codes: Vec<&str> = here
        .filter(|strike| strike.at.beat_idx() == beat_idx)
        .flat_map(|strike| &strike.notes)
        .filter_map(|idx| scene.arrangement.notes.get(*idx))
        .filter_map(|note| note.thumb_move)
        .map(ThumbMove::code)
        .collect();
    codes.join(" ")
}
