//! Names that other files have already: what writes under a typed name asks before it writes over a
//! file that is not its own. What this session wrote itself may be written again without a question.

use super::Action;
use super::NoticeKind;
use super::Session;
use super::export;
use crate::files;
use std::path::PathBuf;

/// What would be written, in the offer to write over a file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Written {
    /// The project.
    Project,
    /// One export.
    Export,
    /// Several exports beside each other.
    ExportSet,
    /// The booklet of a ladder.
    Booklet,
}

/// What waits for the answer whether it may write over files.
pub(super) struct Waiting {
    action: Action,
    pub(super) what: Written,
    pub(super) names: Vec<String>,
}

/// What an action writes, and where; `None` if it is none that writes under a name of its own.
fn written(action: &Action) -> Option<(Written, Vec<PathBuf>)> {
    match action {
        Action::SaveAs(path) => Some((Written::Project, vec![path.clone()])),
        Action::Export(path) => Some((Written::Export, vec![path.clone()])),
        Action::WriteBooklet(path) => Some((Written::Booklet, vec![path.clone()])),
        Action::ExportSet(path, endings) => {
            let beside = endings.iter().map(|ending| export::beside(path, ending));
            Some((Written::ExportSet, beside.collect()))
        }
        _ => None,
    }
}

impl Session {
    /// Carries out what writes files, or asks first if it would write over others.
    pub(super) fn if_free(&mut self, action: Action) {
        self.safety.taken = None;
        let Some((what, paths)) = written(&action) else {
            self.act(action);
            return;
        };
        let own = |path: &PathBuf| match what {
            Written::Project => self.path.as_ref() == Some(path),
            _ => self.safety.exported.contains(path),
        };
        let others = paths.iter().filter(|path| path.is_file() && !own(path));
        let names: Vec<String> = others.map(|path| files::name_of(path)).collect();
        if names.is_empty() {
            self.act(action);
            return;
        }
        self.safety.taken = Some(Waiting {
            action,
            what,
            names,
        });
        // That an earlier save or export went well would now be misread.
        self.notices.dismiss_all(NoticeKind::Info);
    }

    /// Writes over the files that were asked about.
    pub(super) fn replace_files(&mut self) {
        if let Some(waiting) = self.safety.taken.take() {
            self.act(waiting.action);
        }
    }

    /// Leaves the files that were asked about as they are.
    pub(super) fn leave_files(&mut self) {
        self.safety.taken = None;
    }
}
