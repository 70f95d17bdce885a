//! What jobs start from: a chart or project from a file or standard input, with every notice told,
//! and the settings that the command line changes in it. Changes go through the same edits as in
//! the window, so they are checked the same way.

use super::Console;
use super::Failure;
use super::args::Changes;
use super::args::Source;
use crate::document::Choruses;
use crate::document::Document;
use crate::document::Edit;
use crate::document::Walk;
use crate::files;
use crate::import::Choice;
use crate::instrument::Instrument;
use crate::instrument::Tuning;
use crate::session::open;
use crate::session::open::Opened;
use crate::theory::RuleSet;
use std::path::Path;

fn refused(error: impl std::fmt::Display) -> Failure {
    Failure::Refused(error.to_string())
}

/// The document of a file or of standard input. Notices go to standard error.
pub fn document(source: &Source, console: &mut Console<'_>) -> Result<Document, Failure> {
    opened(source, Choice::default(), console).map(|opened| opened.document)
}

/// A file or standard input, with what was chosen of it. Notices go to standard error.
pub fn opened(
    source: &Source,
    choice: Choice,
    console: &mut Console<'_>,
) -> Result<Opened, Failure> {
    let opened = match source {
        Source::File(path) => open::open_with(path, choice),
        Source::StandardInput => {
            let path = Path::new("standard input");
            let bytes = files::stream_bytes(&mut *console.input, path).map_err(refused)?;
            open::open_bytes(bytes, path, choice)
        }
    };
    let opened = opened.map_err(Failure::Refused)?;
    if opened.document.n_bars() == 0 {
        return Err(Failure::Refused(
            "there are no bars in it; write at least one, such as | C7 |".into(),
        ));
    }
    for notice in &opened.notices {
        console.say(&format!("note: {notice}"));
    }
    Ok(opened)
}

/// The default instrument in another tuning or with a capo.
pub fn instrument(tuning: Option<&str>, capo: Option<u8>) -> Result<Instrument, Failure> {
    changed_instrument(&Instrument::default(), tuning, capo)
}

/// A tuning by its name or its open strings.
pub fn tuning(text: &str) -> Result<Tuning, Failure> {
    Tuning::parse(text).map_err(|error| {
        let known: Vec<String> = Tuning::known().iter().map(|t| t.name().into()).collect();
        Failure::Refused(format!(
            "{error}; or one of these names: {}",
            known.join(", ")
        ))
    })
}

fn changed_instrument(
    before: &Instrument,
    tuning: Option<&str>,
    capo: Option<u8>,
) -> Result<Instrument, Failure> {
    let mut instrument = before.clone();
    if let Some(text) = tuning {
        instrument.tuning = self::tuning(text)?;
    }
    if let Some(fret) = capo {
        instrument.capo = fret;
    }
    instrument.check().map_err(refused)?;
    Ok(instrument)
}

/// The document with the settings of the command line.
pub fn changed(document: &Document, changes: &Changes) -> Result<Document, Failure> {
    let mut edits = Vec::new();
    let of_line = changes.seed.is_some() || changes.approach.is_some() || changes.walk.is_some();
    if of_line || changes.riff || changes.rules_off != RuleSet::EMPTY {
        let mut line = document.line.clone();
        line.riff |= changes.riff;
        line.rules_off = line.rules_off.union(changes.rules_off);
        if changes.seed.is_some() && line.walk == Walk::Plain {
            line.walk = Walk::TwoApproaches;
        }
        line.walk = changes.walk.unwrap_or(line.walk);
        line.seed = changes.seed.unwrap_or(line.seed);
        line.approach = changes.approach.unwrap_or(line.approach);
        edits.push(Edit::SetLine(line));
    }
    if let Some(feel) = changes.feel {
        edits.push(Edit::SetFeel(feel));
    }
    if let Some(ms) = changes.lay_back_ms {
        edits.push(Edit::SetLayBack(ms));
    }
    if let Some(count) = changes.choruses {
        let choruses = document.choruses;
        edits.push(Edit::SetChoruses(Choruses { count, ..choruses }));
    }
    if changes.tuning.is_some() || changes.capo.is_some() {
        let tuning = changes.tuning.as_deref();
        let instrument = changed_instrument(&document.instrument, tuning, changes.capo)?;
        edits.push(Edit::SetInstrument(instrument));
    }
    let mut document = document.clone();
    for edit in &edits {
        document = document.apply(edit).map_err(refused)?;
    }
    Ok(document)
}
