//! `thumbwalk drill`: the first lines of a series side by side, bar by bar, to practise from without
//! a screen. The same lines that the window's drill plays one after the other.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::DrillWish;
use super::input;
use super::solved::title_words;
use super::table;
use super::table::Side;
use crate::document::Document;
use crate::session::DrillSettings;
use crate::session::drill::DrillLine;
use crate::session::drill::drill_line;

/// Does the job.
pub fn run(wish: &DrillWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let document = input::document(&wish.source, console)?;
    let n_rungs = document.ladder().len();
    if wish.rung.is_some_and(|rung| rung >= n_rungs) {
        let why =
            format!("the ladder of this tune has {n_rungs} rungs: `--rung` takes 1 to {n_rungs}");
        return Err(Failure::Refused(why));
    }
    let settings = DrillSettings {
        rung: wish.rung,
        series: wish.series,
        ..DrillSettings::default()
    };
    let mut lines: Vec<DrillLine> = Vec::new();
    for number in 0..u64::from(wish.lines) {
        let before = lines.last().map(|line| line.arrangement.as_ref());
        lines.extend(drill_line(&document, &settings, number, before));
    }
    if lines.iter().any(|line| !line.is_fresh) {
        console.say(
            "note: some lines are the same as the one before: what is allowed leaves no choice",
        );
    }
    let title = title_words(&document);
    let series = settings.series;
    let text = format!(
        "{title}: lines to drill, series {series}\n{}",
        table_of(&document, &lines)
    );
    console.print(&text)?;
    Ok(Exit::Fine)
}

/// A row for every bar: its number, its chords, and the moves of each line.
fn table_of(document: &Document, lines: &[DrillLine]) -> String {
    let names: Vec<String> = (1..=lines.len()).map(|n| format!("line {n}")).collect();
    let mut heads = vec![("bar", Side::Right), ("", Side::Left)];
    heads.extend(names.iter().map(|name| (name.as_str(), Side::Left)));
    let rows: Vec<Vec<String>> = (document.bars().enumerate())
        .map(|(idx, bar)| {
            let chords = bar.chords.iter();
            let chords: Vec<String> = chords
                .map(|chord| chord.harmony.printed(document.house_style))
                .collect();
            let mut row = vec![(idx + 1).to_string(), chords.join(" ")];
            row.extend(lines.iter().map(|line| codes(line, idx)));
            row
        })
        .collect();
    table::columns(&heads, &rows)
}

/// The moves of a bar as they follow each other.
fn codes(line: &DrillLine, bar: usize) -> String {
    let notes = line.arrangement.notes_in_bar(bar);
    let codes: Vec<&str> = notes
        .filter_map(|note| note.thumb_move)
        .map(|thumb_move| thumb_move.code())
        .collect();
    codes.join(" ")
}
