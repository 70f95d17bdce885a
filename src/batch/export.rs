//! `thumbwalk export`: a project or chart as files for people or other programs. Which formats
//! there are is decided by the session, so that the window and the command line offer the same.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::ChorusWish;
use super::args::ExportWish;
use super::input;
use super::solved::Solved;
use crate::session::export;
use crate::session::export::ExportOptions;
use crate::session::sound_file;

/// Does the job.
pub fn run(wish: &ExportWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let mut document = input::document(&wish.source, console)?;
    document.sheet = wish.sheet.applied_to(document.sheet);
    if let Some(ChorusWish::Number(number)) = wish.sheet.chorus {
        let count = document.choruses.count;
        if number > count {
            let choruses = if count == 1 { "chorus" } else { "choruses" };
            let words = format!("--chorus {number}: the tune has {count} {choruses}");
            return Err(Failure::Refused(words));
        }
        document.choruses.on_sheet = number;
    }
    let solved = Solved::of(document);
    let mut options = ExportOptions::default();
    options.dpi = wish.dpi.unwrap_or(options.dpi);
    // Every name is looked at before anything is written.
    for output in &wish.outputs {
        export::format_of(output).map_err(Failure::Refused)?;
    }
    for output in &wish.outputs {
        let (document, arrangement) = (&solved.document, &solved.arrangement);
        let written = if sound_file::is_sound(output) {
            let go_on = &mut |_| true;
            sound_file::write_sound(document, arrangement, output, wish.sound, go_on)
                .map(Option::unwrap_or_default)
        } else {
            export::export_with(document, arrangement, output, &options)
        };
        for path in &written.map_err(Failure::Refused)? {
            console.say(&format!("written: {}", path.display()));
        }
    }
    let n_faults = solved.n_faults();
    if n_faults > 0 {
        let file = wish.outputs.first().map(|path| path.display().to_string());
        let file = file.unwrap_or_default();
        let (places, them) = match n_faults {
            1 => ("1 place".to_owned(), "it"),
            n => (format!("{n} places"), "them"),
        };
        console.say(&format!(
            "note: {places} cannot be played as written; `thumbwalk check` names {them}: {file}"
        ));
    }
    Ok(Exit::Fine)
}
