//! `thumbwalk import`: a score of another program (or a chart) as a project or as a chart text, with a
//! word for everything that could not be taken over; or the list of the parts to choose from.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::ImportWish;
use super::input;
use crate::export::chart_text;
use crate::files;
use crate::session::open::Opened;
use std::fmt::Write as _;
use std::path::Path;

/// Does the job.
pub fn run(wish: &ImportWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let written = wish.output.as_deref().map(format_of).transpose()?;
    let opened = input::opened(&wish.source, wish.choice, console)?;
    if opened.parts.is_empty() && wish.choice.part.is_some() {
        let message = "this file has no parts or tracks to choose from; leave out --part";
        return Err(Failure::Refused(message.into()));
    }
    let Some((path, format)) = wish.output.as_deref().zip(written) else {
        return console.print(&listed(&opened));
    };
    let refused = |error: files::FileError| Failure::Refused(error.to_string());
    match format {
        Format::Project => {
            files::save_project(path, &opened.document).map_err(refused)?;
        }
        Format::Chart => {
            let text = chart_text::write(&opened.document);
            files::write_bytes_atomically(path, text.as_bytes()).map_err(refused)?;
        }
    }
    console.print(&format!(
        "{}  written to {}\n",
        summary(&opened),
        path.display()
    ))
}

/// What can be written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Format {
    Project,
    Chart,
}

fn format_of(path: &Path) -> Result<Format, Failure> {
    let ending = path.extension().map(|e| e.to_ascii_lowercase());
    match ending.as_ref().and_then(|e| e.to_str()) {
        Some(files::PROJECT_ENDING) => Ok(Format::Project),
        Some("txt") => Ok(Format::Chart),
        _ => Err(Failure::Refused(format!(
            "`import` writes a project (.{}) or a chart as text (.txt); for pages and sound, `thumbwalk export` goes on from there: {}",
            files::PROJECT_ENDING,
            path.display()
        ))),
    }
}

fn summary(opened: &Opened) -> String {
    let document = &opened.document;
    let chords: usize = document.bars().map(|bar| bar.chords.len()).sum();
    let notes: usize = document.bars().map(|bar| bar.tune.len()).sum();
    format!(
        "{} bars in {}, {}, {chords} chords, {notes} notes of the tune",
        document.n_bars(),
        document.key,
        document.meter,
    )
}

fn listed(opened: &Opened) -> String {
    let mut text = format!("{}\n", summary(opened));
    for (idx, part) in opened.parts.iter().enumerate() {
        let mark = if idx == opened.taken { "*" } else { " " };
        let _ = writeln!(text, "{mark} {:>2}  {part}", idx + 1);
    }
    if opened.parts.is_empty() {
        text.push_str("the file has no parts or tracks to choose from\n");
    }
    text
}
