//! The title block: title and credits, lines for the student's name and the date, key, metre,
//! tempo and feel, which chorus it is if there are several, tuning and capo where they are not the
//! usual ones, and words for the student. The swing is shown as an equation where it is two to one,
//! in words otherwise.

use super::mark::Anchor;
use super::mark::Meaning;
use super::pen::Pen;
use super::pen::Style;
use super::sizes;
use super::smufl;
use super::system::Scene;
use super::words;
use crate::document::Feel;
use crate::instrument::Tuning;
use crate::theory::Key;
use crate::theory::Midi;

const STUDENT_WIDTH: f64 = 64.0;

/// Draws the title block; the second value is its height.
#[must_use]
pub fn draw(scene: &Scene<'_>, width: f64) -> (Pen, f64) {
    let mut pen = Pen::default();
    let mut title_width = width;
    let facts_style = scene.style(sizes::FACTS);
    let credits_style = scene.style(sizes::CREDITS);
    if scene.options.show_student_line {
        title_width -= STUDENT_WIDTH + 6.0;
        student_lines(&mut pen, facts_style, width);
    }
    let mut y = 0.0;
    let (style, lines) = title_lines(scene, title_width);
    for line in lines {
        y += if y > 0.0 {
            1.12 * style.size
        } else {
            style.cap()
        };
        pen.text(Meaning::Title, style, Anchor::Left, (0.0, y), &line);
    }
    for line in words::wrap(credits_style, &scene.document.credits, title_width) {
        y += 6.0;
        pen.text(Meaning::Title, credits_style, Anchor::Left, (0.0, y), &line);
    }
    if scene.options.show_student_line {
        y = y.max(12.4);
    }
    y += 8.2;
    facts(&mut pen, scene, y);
    if let Some((number, count)) = scene.options.chorus {
        let words = format!("Chorus {number} of {count}");
        let at = (width, y);
        pen.text(Meaning::Title, facts_style, Anchor::Right, at, &words);
    }
    let strings = strings_line(scene).unwrap_or_default();
    for line in words::wrap(facts_style, &strings, width) {
        y += 5.4;
        pen.text(Meaning::Title, facts_style, Anchor::Left, (0.0, y), &line);
    }
    y += 2.6;
    pen.line(Meaning::Title, (0.0, y), (width, y), 0.3);
    (pen, y + 3.0)
}

fn title_lines(scene: &Scene<'_>, width: f64) -> (Style, Vec<String>) {
    let title = &scene.document.title;
    let set = |style: Style| (style, words::wrap(style, title.trim(), width));
    let styles = sizes::TITLES.map(|title| scene.style(title));
    let [first, .., smallest] = styles;
    let fitting = styles.into_iter().map(set).find(|(_, l)| l.len() <= 2);
    if title.trim().is_empty() {
        return (first, Vec::new());
    }
    fitting.unwrap_or_else(|| set(smallest))
}

fn student_lines(pen: &mut Pen, style: Style, width: f64) {
    let left = width - STUDENT_WIDTH;
    for (word, y) in [("Student", 4.6), ("Date", 12.4)] {
        pen.text(Meaning::Title, style, Anchor::Left, (left, y), word);
        let from = left + style.width(word) + 1.5;
        pen.line(Meaning::Title, (from, y + 0.6), (width, y + 0.6), 0.25);
    }
}

/// Key, metre, tempo and feel on one line.
fn facts(pen: &mut Pen, scene: &Scene<'_>, y: f64) {
    let style = scene.style(sizes::FACTS);
    let document = scene.document;
    let gap = 7.0;
    let mut x = 0.0;
    let word = |pen: &mut Pen, x: &mut f64, text: &str, after: f64| {
        pen.text(Meaning::Title, style, Anchor::Left, (*x, y), text);
        *x += style.width(text) + after;
    };
    word(pen, &mut x, &key_words(document.key), gap);
    word(pen, &mut x, &document.meter.to_string(), gap);
    let space = 1.2;
    let (note, note_y) = (smufl::TEMPO_QUARTER, y - 0.55);
    pen.glyph(Meaning::Title, note, space, (x, note_y));
    x += 1.33 * space;
    if document.meter.is_compound() {
        pen.glyph(Meaning::Title, smufl::TEMPO_DOT, space, (x + 0.25, note_y));
        x += 0.7 * space;
    }
    word(pen, &mut x, &format!(" = {}", document.tempo_bpm), gap);
    if document.meter.is_compound() {
        return;
    }
    match document.feel {
        Feel::Straight | Feel::Swing(1000) => word(pen, &mut x, "Straight eighths", gap),
        Feel::Swing(2000) => {
            word(pen, &mut x, "Swing", 2.6);
            swing_equation(pen, scene, x, y);
        }
        Feel::Swing(ratio) => {
            let text = format!("Swing, long to short {} : 1", thousandths(ratio));
            word(pen, &mut x, &text, gap);
        }
        Feel::FollowTempo => word(pen, &mut x, "Swing, lighter as it gets faster", gap),
    }
}

/// 1500 as `1.5`.
fn thousandths(ratio: u16) -> String {
    let text = format!("{}.{:03}", ratio / 1000, ratio % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn key_words(key: Key) -> String {
    let ascii = key.to_string();
    let tonic = key.tonic.pretty();
    let mode = ascii.split_once(' ').map_or("", |(_, mode)| mode);
    format!("Key: {tonic} {mode}")
}

/// Two beamed eighths equal a quarter and an eighth under a three.
fn swing_equation(pen: &mut Pen, scene: &Scene<'_>, x: f64, y: f64) {
    let letters = scene.style(sizes::FACTS);
    let space = 1.2;
    let stem = 3.2;
    let head = smufl::HEAD_WIDTH * space;
    let thick = smufl::STEM * space * 1.3;
    let base = y - 0.55;
    let note = |pen: &mut Pen, x: f64| {
        pen.glyph(Meaning::Title, smufl::HEAD_BLACK, space, (x, base));
        let stem_x = x + head - thick / 2.0;
        pen.line(
            Meaning::Title,
            (stem_x, base - 0.17 * space),
            (stem_x, base - stem),
            thick,
        );
        stem_x
    };
    let first = note(pen, x);
    let second = note(pen, x + 3.6);
    let beam = smufl::BEAM * space;
    pen.line(
        Meaning::Title,
        (first - thick / 2.0, base - stem + beam / 2.0),
        (second + thick / 2.0, base - stem + beam / 2.0),
        beam,
    );
    let equals = x + 3.6 + head + 1.6;
    pen.text(Meaning::Title, letters, Anchor::Left, (equals, y), "=");
    let right = equals + letters.width("=") + 1.6;
    let third = note(pen, right);
    let fourth = note(pen, right + 4.0);
    let flag_x = fourth - thick / 2.0;
    pen.glyph(
        Meaning::Title,
        smufl::FLAG_8_UP,
        space,
        (flag_x, base - stem),
    );
    let three = scene.style(sizes::FEEL_TRIPLET);
    triplet_bracket(pen, three, (third - head, fourth + 0.9), base - stem - 0.9);
}

fn triplet_bracket(pen: &mut Pen, style: Style, (left, right): (f64, f64), y: f64) {
    let middle = f64::midpoint(left, right);
    let line = smufl::TUPLET_LINE;
    pen.text(
        Meaning::Title,
        style,
        Anchor::Middle,
        (middle, y + style.cap() / 2.0),
        "3",
    );
    for (a, b) in [(left, middle - 1.1), (middle + 1.1, right)] {
        pen.line(Meaning::Title, (a, y), (b, y), line);
    }
    for x in [left, right] {
        pen.line(Meaning::Title, (x, y - line / 2.0), (x, y + 0.6), line);
    }
}

/// Tuning and capo, if they are not the usual ones.
fn strings_line(scene: &Scene<'_>) -> Option<String> {
    let instrument = &scene.document.instrument;
    let mut parts = Vec::new();
    if instrument.tuning.open() != Tuning::standard().open() {
        let notes: Vec<String> = instrument
            .tuning
            .open()
            .iter()
            .map(|m| open_name(*m))
            .collect();
        let name = instrument.tuning.name();
        parts.push(format!(
            "Tuning: {name} ({}), lowest first",
            notes.join(" ")
        ));
    }
    if instrument.capo > 0 {
        parts.push(format!(
            "Capo at fret {}; frets are counted from it",
            instrument.capo
        ));
    }
    if instrument.left_handed && scene.options.show_diagrams {
        parts.push("Diagrams for the left-handed".into());
    }
    (!parts.is_empty()).then(|| parts.join(" · "))
}

fn open_name(pitch: Midi) -> String {
    let key = Key::C_MAJOR;
    key.spell(pitch.pitch_class(), false).pretty()
}

/// Words for the student, one block of the width for every line, with its height.
#[must_use]
pub fn lesson(scene: &Scene<'_>, width: f64) -> Vec<(Pen, f64)> {
    let text = scene.document.lesson_text.trim();
    if text.is_empty() || !scene.options.show_lesson_text {
        return Vec::new();
    }
    let style = scene.style(sizes::LESSON);
    words::wrap(style, text, width)
        .into_iter()
        .map(|line| {
            let mut pen = Pen::default();
            let at = (0.0, style.cap());
            pen.text(Meaning::Lesson, style, Anchor::Left, at, &line);
            (pen, style.cap())
        })
        .collect()
}
