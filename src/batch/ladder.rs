//! `thumbwalk ladder`: the same tune on rising rungs, each a project and pages of its own, in a
//! folder. What each rung costs is told, so that a teacher can see that it rises.

use super::Console;
use super::Exit;
use super::Failure;
use super::args::LadderWish;
use super::input;
use super::solved::tempo_words;
use super::solved::title_words;
use super::table;
use super::table::Side;
use crate::files;
use crate::session::export;
use crate::session::ladder;
use crate::session::ladder::ClimbedRung;
use std::path::PathBuf;

/// Does the job.
pub fn run(wish: &LadderWish, console: &mut Console<'_>) -> Result<Exit, Failure> {
    let document = input::document(&wish.source, console)?;
    let refused = |error: String| Failure::Refused(error);
    let climbed = ladder::climb(&document, &mut |_, _| true).unwrap_or_default();
    files::make_folder(&wish.folder).map_err(|error| refused(error.to_string()))?;
    let mut written: Vec<PathBuf> = Vec::new();
    for (number, rung) in (1..).zip(&climbed.rungs) {
        let name = format!("{number}-{}", file_name(&rung.rung.name));
        let project = wish
            .folder
            .join(format!("{name}.{}", files::PROJECT_ENDING));
        files::save_project(&project, &rung.document)
            .map_err(|error| refused(error.to_string()))?;
        written.push(project);
        let pages = wish.folder.join(format!("{name}.pdf"));
        written.extend(export::export(&rung.document, &rung.arrangement, &pages).map_err(refused)?);
    }
    let booklet = wish.folder.join("booklet.pdf");
    export::booklet(&climbed, &booklet, &mut |_| true).map_err(refused)?;
    written.push(booklet);
    for sentence in &climbed.left_out {
        console.say(&format!("note: {sentence}"));
    }
    for path in &written {
        console.say(&format!("written: {}", path.display()));
    }
    let rows: Vec<Vec<String>> = (1..).zip(&climbed.rungs).map(row).collect();
    let title = title_words(&document);
    let heads = [
        ("rung", Side::Left),
        ("", Side::Left),
        ("effort", Side::Right),
        ("hardest change", Side::Right),
        ("up to", Side::Left),
        ("moves", Side::Left),
    ];
    let table = table::columns(&heads, &rows);
    console.print(&format!("{title}: the same tune on rising rungs\n{table}"))?;
    let faults = climbed.rungs.iter().any(|rung| rung.n_faults() > 0);
    Ok(if faults { Exit::Findings } else { Exit::Fine })
}

fn row((number, rung): (usize, &ClimbedRung)) -> Vec<String> {
    let moves: Vec<&str> = rung.moves.iter().map(|m| m.code()).collect();
    vec![
        number.to_string(),
        rung.rung.name.clone(),
        rung.effort().to_string(),
        rung.arrangement.max.to_string(),
        tempo_words(rung.comfortable_bpm()),
        moves.join(" "),
    ]
}

/// A name of a rung as part of a file's: small letters, digits and hyphens.
fn file_name(name: &str) -> String {
    let plain = |c: char| {
        if c.is_ascii_alphanumeric() {
            c.to_ascii_lowercase()
        } else {
            '-'
        }
    };
    let mut text: String = name.chars().map(plain).collect();
    while text.contains("--") {
        text = text.replace("--", "-");
    }
    let text = text.trim_matches('-');
    if text.is_empty() {
        "rung".into()
    } else {
        text.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_become_parts_of_file_names() {
        for (name, expected) in [
            ("Approach on the last beat", "approach-on-the-last-beat"),
            ("  ../Runs & more ", "runs-more"),
            ("Läufe", "l-ufe"),
            ("♪", "rung"),
        ] {
            assert_eq!(file_name(name), expected);
        }
    }
}
