//! Bar lines, repeats, endings and section names. A repeat that ends and one that begins at the
//! same bar line are drawn as both. Thicknesses are those of the music font's metadata.

use super::mark::Anchor;
use super::mark::Meaning;
use super::measure::BarPlaces;
use super::music::BarMusic;
use super::options::PageOptions;
use super::pen::Pen;
use super::pen::Style;
use super::sizes;
use super::sizes::SPACE;
use super::smufl;
use super::staff::draw;
use super::system::NAMES_HEIGHT;
use super::system::Scene;

const THIN: f64 = smufl::THIN_BAR * SPACE;
const THICK: f64 = smufl::THICK_BAR * SPACE;
const GAP: f64 = smufl::BAR_GAP * SPACE;

/// Whether a bar has something in the row above its chord symbols.
#[must_use]
pub fn needs_names_row(music: &BarMusic) -> bool {
    music.ending > 0
        || music.repeat_times > 2
        || music.section.as_ref().is_some_and(|name| !name.is_empty())
}

/// Draws the bar lines of a system.
pub fn draw_all(
    pen: &mut Pen,
    scene: &Scene<'_>,
    staff_y: Option<f64>,
    bars: &[BarMusic],
    places: &[BarPlaces],
) {
    let repeats = bars.iter().skip(1).map(|b| b.repeat_start).chain([false]);
    for ((music, place), repeat_follows) in bars.iter().zip(places).zip(repeats) {
        one(pen, scene, staff_y, music, place, repeat_follows);
    }
}

fn one(
    pen: &mut Pen,
    scene: &Scene<'_>,
    staff_y: Option<f64>,
    music: &BarMusic,
    place: &BarPlaces,
    repeat_follows: bool,
) {
    let meaning = Meaning::BarLine(music.bar);
    let overlap = smufl::STAFF_LINE * SPACE / 2.0;
    let height = scene.staff_height();
    let top = staff_y.unwrap_or(0.0);
    let mut upright = |left: f64, thick: f64| {
        let x = left + thick / 2.0;
        pen.line(meaning, (x, top - overlap), (x, height + overlap), thick);
    };
    let right = place.right;
    if music.repeat_times > 0 || music.is_last {
        upright(right - THICK, THICK);
        upright(right - THICK - GAP - THIN, THIN);
    } else if repeat_follows {
        // The sign of the repeat that begins here is the bar line.
    } else if music.ends_section {
        upright(right - THIN, THIN);
        upright(right - THIN - GAP - THIN, THIN);
    } else {
        upright(right - THIN, THIN);
    }
    if music.repeat_start {
        upright(place.left, THICK);
        upright(place.left + THICK + GAP, THIN);
    }
    let reach = THICK + GAP + THIN + 0.55;
    if music.repeat_times > 0 {
        repeat_dots(pen, scene, staff_y, meaning, right - reach);
    }
    if music.repeat_start {
        repeat_dots(pen, scene, staff_y, meaning, place.left + reach);
    }
}

fn repeat_dots(pen: &mut Pen, scene: &Scene<'_>, staff_y: Option<f64>, meaning: Meaning, x: f64) {
    if let Some(top) = staff_y {
        let middle = top + draw::HEIGHT / 2.0;
        for y in [middle - SPACE / 2.0, middle + SPACE / 2.0] {
            pen.disc(meaning, (x, y), 0.4);
        }
    }
    let middle = scene.staff_height() / 2.0;
    let even = scene.n_strings().is_multiple_of(2);
    let off = sizes::STRING_GAP * if even { 1.0 } else { 0.5 };
    for y in [middle - off, middle + off] {
        pen.disc(meaning, (x, y), 0.45);
    }
}

/// White between names above a bar, and before the end of the bar.
const NAME_GAP: f64 = 1.0;
/// A section name that is longer runs on over the next bars.
const LONGEST_NAME: f64 = 30.0;

/// What the names above a bar need of its width.
#[must_use]
pub fn names_width(options: &PageOptions, music: &BarMusic) -> f64 {
    let section = music.section.as_deref().unwrap_or("");
    let boxed = match section {
        "" => 0.0,
        name => box_width(options.style(sizes::SECTION), name).min(LONGEST_NAME) + NAME_GAP,
    };
    let ending = match music.ending {
        0 => 0.0,
        number => 0.9 + options.style(sizes::ENDING).width(&ending_text(number)) + NAME_GAP,
    };
    let repeats = match music.repeat_times {
        0..=2 => 0.0,
        times => options.style(sizes::CREDITS).width(&short_times(times)) + NAME_GAP,
    };
    boxed + ending + repeats
}

fn ending_text(number: u8) -> String {
    format!("{number}.")
}

fn short_times(times: u8) -> String {
    format!("{times}×")
}

/// Draws section names, endings and numbers of repeats above the bars of a system.
pub fn all_names(
    pen: &mut Pen,
    scene: &Scene<'_>,
    bars: &[BarMusic],
    places: &[BarPlaces],
    bottom: f64,
) {
    let mut taken = 0.0;
    for (i, (music, place)) in bars.iter().zip(places).enumerate() {
        let start = if i == 0 { 0.0 } else { place.left.max(taken) };
        taken = names(pen, scene, music, place, (start, bottom));
    }
}

/// Draws the names above a bar from a place on; gives where what comes next may begin.
fn names(
    pen: &mut Pen,
    scene: &Scene<'_>,
    music: &BarMusic,
    place: &BarPlaces,
    (start, bottom): (f64, f64),
) -> f64 {
    let meaning = Meaning::BarLine(music.bar);
    let mut taken = start.max(place.left);
    let name = music.section.as_deref().unwrap_or("");
    if !name.is_empty() {
        taken = start + section(pen, scene, name, (start, bottom)) + NAME_GAP;
    }
    if music.ending > 0 {
        let from = if taken > place.left {
            taken
        } else if music.ending_opens {
            place.left + 0.3
        } else {
            place.left
        };
        let to = if music.ending_closes {
            place.right - NAME_GAP
        } else {
            place.right
        };
        let line = smufl::ENDING_LINE * SPACE;
        let y = bottom - NAMES_HEIGHT + 0.9;
        let hook = y + 3.6;
        pen.line(meaning, (from, y), (to.max(from), y), line);
        if music.ending_opens {
            pen.line(meaning, (from, y - line / 2.0), (from, hook), line);
            let style = scene.style(sizes::ENDING);
            let at = (from + 0.9, y + 0.8 + style.cap());
            let number = ending_text(music.ending);
            pen.text(meaning, style, Anchor::Left, at, &number);
            taken = at.0 + style.width(&number) + NAME_GAP;
        }
        if music.ending_closes && music.repeat_times > 0 {
            pen.line(meaning, (to, y - line / 2.0), (to, hook), line);
        }
    }
    if music.repeat_times > 2 {
        let words = format!("play {} times", music.repeat_times);
        let right = place.right - NAME_GAP;
        let style = scene.style(sizes::CREDITS);
        let words = if right - style.width(&words) < taken {
            short_times(music.repeat_times)
        } else {
            words
        };
        let at = (right.max(taken + style.width(&words)), bottom - 1.2);
        pen.text(meaning, style, Anchor::Right, at, &words);
        taken = at.0 + NAME_GAP;
    }
    taken
}

fn box_width(style: Style, name: &str) -> f64 {
    (style.width(name) + 2.0 * BOX_PAD).max(5.0)
}

/// White between a section name and its box.
const BOX_PAD: f64 = 1.0;

/// A boxed name; gives the width it took.
fn section(pen: &mut Pen, scene: &Scene<'_>, name: &str, (x, bottom): (f64, f64)) -> f64 {
    let style = scene.style(sizes::SECTION);
    let line = smufl::BOX_LINE * SPACE;
    let width = box_width(style, name);
    let height = style.cap() + 1.7;
    let top = bottom - 0.7 - height;
    pen.boxed(
        Meaning::Section,
        (x + line / 2.0, top),
        (width, height),
        line,
    );
    let at = (x + line / 2.0 + width / 2.0, top + 0.85 + style.cap());
    pen.text(Meaning::Section, style, Anchor::Middle, at, name);
    width + line
}
