//! `thumbwalk arrange`: from a chart to a project file with the settings asked for, solved once so
//! that its effort and its findings are told. The project holds the wishes, not the answer: the
//! same project always solves to the same arrangement.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::ArrangeWish;
use super::check;
use super::input;
use super::solved::Solved;
use crate::files;

/// Does the job.
pub fn run(wish: &ArrangeWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let ending = wish.output.extension().map(|e| e.to_ascii_lowercase());
    if ending.is_none_or(|e| e != files::PROJECT_ENDING) {
        return Err(Failure::Refused(format!(
            "`arrange` writes a project, whose name ends in .{}; for pages and sound, `thumbwalk export` goes on from there: {}",
            files::PROJECT_ENDING,
            wish.output.display()
        )));
    }
    let document = input::document(&wish.source, console)?;
    let document = input::changed(&document, &wish.changes)?;
    let solved = Solved::of(document);
    files::save_project(&wish.output, &solved.document)
        .map_err(|error| Failure::Refused(error.to_string()))?;
    console.print(&format!(
        "{}  written to {}\n{}",
        check::summary(&solved),
        wish.output.display(),
        check::findings(&solved),
    ))?;
    Ok(solved.exit())
}
