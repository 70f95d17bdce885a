//! Bars of plain-text tab as columns. A column is one moment; its cell has the same number of
//! characters in every line, so nothing can slip: one cell per division of the beat, a little
//! wider where a fret, a slide or a code needs it. Never wraps or trims a line.

use crate::arrange::Arrangement;
use crate::arrange::Place;
use crate::arrange::PlayedNote;
use crate::document::Bar;
use crate::document::Document;
use crate::instrument::StringIdx;
use crate::theory::Articulation;
use crate::theory::Meter;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::ThumbMove;
use crate::theory::Ticks;

/// One moment of a bar.
struct Column {
    count: String,
    code: String,
    chord: String,
    /// Fret texts, highest string first.
    frets: Vec<String>,
}

/// One bar.
pub struct BarText {
    number: usize,
    section: Option<String>,
    note_above: String,
    repeat_start: bool,
    repeat_end: bool,
    is_last: bool,
    columns: Vec<Column>,
    /// Characters of each column.
    widths: Vec<usize>,
    has_slide: bool,
}

impl BarText {
    /// Characters without its right bar line.
    pub fn width(&self) -> usize {
        let repeats = usize::from(self.repeat_start) * 2 + usize::from(self.repeat_end);
        self.widths.iter().sum::<usize>() + 1 + repeats
    }

    /// Whether a named section begins here.
    pub fn opens_section(&self) -> bool {
        self.section.as_ref().is_some_and(|name| !name.is_empty())
    }

    /// Whether a note slides.
    pub const fn has_slide(&self) -> bool {
        self.has_slide
    }
}

/// Every bar of the document as columns.
pub fn bars(document: &Document, arrangement: &Arrangement) -> Vec<BarText> {
    let mut all = Vec::new();
    let n_bars = document.n_bars();
    let mut ending_before = 0;
    for section in &document.sections {
        for (i, bar) in section.bars.iter().enumerate() {
            let number = all.len();
            let mut text = one_bar(document, arrangement, bar, number);
            text.section = (i == 0).then(|| section.name.trim().to_owned());
            text.is_last = number + 1 == n_bars;
            if bar.ending > 0 && bar.ending != ending_before {
                text.note_above = format!("{}. ending", bar.ending);
            }
            if bar.repeat_times > 2 {
                let times = format!("play {} times", bar.repeat_times);
                text.note_above = [text.note_above, times].join(" ").trim().to_owned();
            }
            ending_before = bar.ending;
            all.push(text);
        }
    }
    all
}

fn one_bar(document: &Document, arrangement: &Arrangement, bar: &Bar, number: usize) -> BarText {
    let length = bar.length_in(document.meter);
    let notes: Vec<&PlayedNote> = arrangement.notes_in_bar(number).collect();
    let moments = moments(bar, &notes, length, document.meter);
    let n_strings = document.instrument.n_strings();
    let columns: Vec<Column> = moments
        .iter()
        .map(|at| {
            let place = Place {
                bar: number,
                at: *at,
            };
            column(document, bar, &notes, place, n_strings)
        })
        .collect();
    let widths = widths(&columns, &moments, length, document.meter);
    BarText {
        number,
        section: None,
        note_above: String::new(),
        repeat_start: bar.repeat_start,
        repeat_end: bar.repeat_times > 0,
        is_last: false,
        columns,
        widths,
        has_slide: notes.iter().any(|n| n.slide_from.is_some()),
    }
}

/// The grid of the metre and everything that happens off it.
fn moments(bar: &Bar, notes: &[&PlayedNote], length: Ticks, meter: Meter) -> Vec<Ticks> {
    let part = TICKS_PER_BEAT / meter.divisions();
    let grid = (0..length.0.div_ceil(part)).map(|i| Ticks(i * part));
    let mut all: Vec<Ticks> = grid
        .chain(notes.iter().map(|n| n.place.at))
        .chain(bar.chords.iter().map(|c| c.at))
        .filter(|at| at.0 < length.0.max(1))
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn column(
    document: &Document,
    bar: &Bar,
    notes: &[&PlayedNote],
    place: Place,
    n_strings: u8,
) -> Column {
    let here = || notes.iter().filter(|n| n.place.at == place.at);
    let chord = bar.chords.iter().find(|c| c.at == place.at);
    let frets = (0..n_strings)
        .rev()
        .map(|s| {
            here()
                .find(|n| n.string == StringIdx(s))
                .map_or(String::new(), |n| fret_text(n))
        })
        .collect();
    Column {
        count: count_text(place.at, document.meter),
        code: here()
            .find_map(|n| n.thumb_move)
            .map_or(String::new(), |m| m.code().to_owned()),
        chord: chord.map_or(String::new(), |c| c.harmony.printed(document.house_style)),
        frets,
    }
}

fn fret_text(note: &PlayedNote) -> String {
    if note.thumb_move == Some(ThumbMove::Ghost) {
        return "x".into();
    }
    let fret = note.fret;
    let text = match note.slide_from {
        Some(from) if from < fret => format!("{from}/{fret}"),
        Some(from) => format!("{from}\\{fret}"),
        None => fret.to_string(),
    };
    if note.articulation == Articulation::Short {
        text + "'"
    } else {
        text
    }
}

/// `1 & 2 &`, or `1 . . 2 . .` where a beat has three parts; nothing off the grid.
fn count_text(at: Ticks, meter: Meter) -> String {
    let part = TICKS_PER_BEAT / meter.divisions();
    match at.within_beat() {
        0 => (at.beat_idx() + 1).to_string(),
        within if !within.is_multiple_of(part) => String::new(),
        _ if meter.is_compound() => ".".into(),
        _ => "&".into(),
    }
}

/// Each column takes its longest text and a dash; the space of a chord symbol may run over the
/// columns that follow it.
fn widths(columns: &[Column], moments: &[Ticks], length: Ticks, meter: Meter) -> Vec<usize> {
    let part = TICKS_PER_BEAT / meter.divisions();
    let ends = moments.iter().skip(1).map(|at| at.0).chain([length.0]);
    let mut widths: Vec<usize> = columns
        .iter()
        .zip(moments.iter().zip(ends))
        .map(|(column, (at, end))| {
            let texts = column.frets.iter().chain([&column.count, &column.code]);
            let longest = texts.map(|t| t.chars().count()).max().unwrap_or(0);
            let full_part = end.saturating_sub(at.0) >= part;
            (longest + 1).max(if full_part { 3 } else { 2 })
        })
        .collect();
    let starts: Vec<usize> = (0..columns.len())
        .filter(|i| columns.get(*i).is_some_and(|c| !c.chord.is_empty()))
        .collect();
    for (nth, start) in starts.iter().enumerate() {
        let end = starts.get(nth + 1).copied().unwrap_or(columns.len());
        let chord = columns.get(*start).map_or(0, |c| c.chord.chars().count());
        let room: usize = widths.get(*start..end).unwrap_or(&[]).iter().sum();
        if let Some(last) = end.checked_sub(1).and_then(|i| widths.get_mut(i)) {
            *last += (chord + 1).saturating_sub(room);
        }
    }
    widths
}

/// The lines of one system, with an empty line after it.
pub fn system(bars: &[&BarText], names: &[String], margin: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let heading = heading(bars, margin);
    if !heading.trim().is_empty() {
        lines.push(heading);
    }
    lines.push(row(bars, margin, |c| &c.chord));
    lines.push(row(bars, margin, |c| &c.count));
    for (s, name) in names.iter().enumerate() {
        let middle = s == names.len().saturating_sub(1) / 2 || s == names.len() / 2;
        lines.push(string_row(bars, margin, name, s, middle));
    }
    let codes = row(bars, margin, |c| &c.code);
    if !codes.trim().is_empty() {
        lines.push(codes);
    }
    lines.push(String::new());
    lines
}

/// Section names, endings and bar numbers.
fn heading(bars: &[&BarText], margin: usize) -> String {
    let mut line = String::new();
    let mut start = 0;
    for (i, bar) in bars.iter().enumerate() {
        let mut words = Vec::new();
        if let Some(name) = bar.section.as_ref().filter(|name| !name.is_empty()) {
            words.push(format!("[{name}]"));
        }
        if i == 0 {
            words.push(format!("bar {}", bar.number + 1));
        }
        if !bar.note_above.is_empty() {
            words.push(bar.note_above.clone());
        }
        let at = if i == 0 { 0 } else { margin + 1 + start };
        if !words.is_empty() {
            let used = line.chars().count();
            let gap = at.saturating_sub(used).max(usize::from(used > 0));
            line.push_str(&" ".repeat(gap));
            line.push_str(&words.join(" "));
        }
        start += bar.width() + 1;
    }
    line
}

/// A line in which every text stands over its column.
fn row<'a>(bars: &[&'a BarText], margin: usize, text: impl Fn(&'a Column) -> &'a str) -> String {
    let mut line = String::new();
    let mut bar_start = margin + 1;
    for bar in bars {
        let mut at = bar_start + 1 + usize::from(bar.repeat_start) * 2;
        for (column, width) in bar.columns.iter().zip(&bar.widths) {
            let text = text(column);
            if !text.is_empty() {
                let gap = at.saturating_sub(line.chars().count());
                line.push_str(&" ".repeat(gap));
                line.push_str(text);
            }
            at += width;
        }
        bar_start += bar.width() + 1;
    }
    line
}

fn string_row(bars: &[&BarText], margin: usize, name: &str, s: usize, middle: bool) -> String {
    let mut line = pad(name, margin, ' ');
    line.push('|');
    for bar in bars {
        if bar.repeat_start {
            line.push('|');
            line.push(if middle { '*' } else { '-' });
        }
        line.push('-');
        for (column, width) in bar.columns.iter().zip(&bar.widths) {
            let text = column.frets.get(s).map_or("", String::as_str);
            line.push_str(&pad(text, *width, '-'));
        }
        if bar.repeat_end {
            line.pop();
            line.push(if middle { '*' } else { '-' });
            line.push('|');
        }
        line.push('|');
    }
    if bars
        .last()
        .is_some_and(|bar| bar.is_last && !bar.repeat_end)
    {
        line.push('|');
    }
    line
}

fn pad(text: &str, width: usize, fill: char) -> String {
    let mut cell = text.to_owned();
    let used = text.chars().count();
    cell.extend(std::iter::repeat_n(fill, width.saturating_sub(used)));
    cell
}
