//! Asking for a file: the desktop's own dialog where there is one, else a line in the window where
//! the path is typed. The dialog runs beside the window and is only looked at once per frame; if
//! it is gone at once, there was none, and the line appears.

mod path_entry;

use crate::session::PROJECT_ENDING;
use crate::session::export::FORMATS;
use crate::session::open::OPEN_ENDINGS;
use egui::Context;
use path_entry::Entry;
use path_entry::PathEntry;
use rfd::AsyncFileDialog;
use rfd::FileHandle;
use std::future::Future;
use std::path::PathBuf;
use std::pin::Pin;
use std::task::Poll;
use std::task::Waker;
use std::time::Duration;

/// A dialog that is gone sooner than this was never there.
const NEVER_THERE_S: f64 = 0.7;

/// What the file is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Purpose {
    /// To be opened.
    Open,
    /// To be compared with.
    Compare,
    /// To save the project in.
    SaveAs,
    /// To export to.
    Export,
    /// A name that several exports share.
    ExportSet,
    /// To write the ladder's booklet in.
    Booklet,
}

type Picked = Pin<Box<dyn Future<Output = Option<FileHandle>>>>;

struct Pending {
    purpose: Purpose,
    suggestion: PathBuf,
    picked: Picked,
    asked_s: f64,
}

/// Files being asked for.
#[derive(Default)]
pub struct Dialogs {
    /// Whether the desktop's dialog is tried at all.
    desktop: bool,
    pending: Option<Pending>,
    entry: Option<PathEntry>,
}

impl std::fmt::Debug for Dialogs {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Dialogs")
            .field("desktop", &self.desktop)
            .field("pending", &self.pending.is_some())
            .field("entry", &self.entry)
            .finish()
    }
}

impl Dialogs {
    /// Tries the desktop's dialog first, if this desktop can have one.
    #[must_use]
    pub fn desktop() -> Self {
        Self {
            desktop: desktop_has_dialogs(),
            ..Self::default()
        }
    }

    /// Asks for a file, with a suggestion for its path.
    pub fn ask(&mut self, ctx: &Context, purpose: Purpose, suggestion: PathBuf) {
        if self.pending.is_some() {
            return;
        }
        if !self.desktop {
            self.entry = Some(PathEntry::new(purpose, &suggestion));
            return;
        }
        self.entry = None;
        self.pending = Some(Pending {
            purpose,
            picked: pick(purpose, &suggestion),
            suggestion,
            asked_s: ctx.input(|i| i.time),
        });
    }

    /// Whether a file is being asked for in any way.
    #[must_use]
    pub const fn is_asking(&self) -> bool {
        self.pending.is_some() || self.entry.is_some()
    }

    /// Whether a path is being typed.
    #[must_use]
    pub const fn is_typing(&self) -> bool {
        self.entry.is_some()
    }

    /// Leaves the line where a path is typed.
    pub fn cancel(&mut self) {
        self.entry = None;
    }

    /// Looks whether the desktop's dialog has an answer.
    pub fn poll(&mut self, ctx: &Context) -> Option<(Purpose, PathBuf)> {
        let pending = self.pending.as_mut()?;
        let mut context = std::task::Context::from_waker(Waker::noop());
        let Poll::Ready(picked) = pending.picked.as_mut().poll(&mut context) else {
            ctx.request_repaint_after(Duration::from_millis(50));
            return None;
        };
        let done = self.pending.take()?;
        if let Some(file) = picked {
            return Some((done.purpose, file.path().to_owned()));
        }
        if ctx.input(|i| i.time) - done.asked_s < NEVER_THERE_S {
            self.desktop = false;
            self.entry = Some(PathEntry::new(done.purpose, &done.suggestion));
        }
        None
    }

    /// Shows the line where a path is typed.
    pub fn entry_ui(&mut self, ui: &mut egui::Ui) -> Option<(Purpose, PathBuf)> {
        let entry = self.entry.as_mut()?;
        match entry.show(ui) {
            Entry::Open => None,
            Entry::Cancelled => {
                self.entry = None;
                None
            }
            Entry::Done(path) => {
                let purpose = entry.purpose;
                self.entry = None;
                Some((purpose, path))
            }
        }
    }
}

fn pick(purpose: Purpose, suggestion: &std::path::Path) -> Picked {
    let mut dialog = AsyncFileDialog::new();
    if let Some(folder) = suggestion.parent().filter(|f| f.is_absolute()) {
        dialog = dialog.set_directory(folder);
    }
    let name = suggestion.file_name().map(|n| n.to_string_lossy());
    let name = name.unwrap_or_default();
    let endings: Vec<&str> = FORMATS.iter().map(|format| format.ending).collect();
    match purpose {
        Purpose::Open | Purpose::Compare => Box::pin(
            dialog
                .set_title(if purpose == Purpose::Open {
                    "Open"
                } else {
                    "Compare with"
                })
                .add_filter("Projects, charts, scores", &OPEN_ENDINGS)
                .add_filter("All files", &["*"])
                .pick_file(),
        ),
        Purpose::SaveAs => Box::pin(
            dialog
                .set_title("Save as")
                .add_filter("Thumbwalk project", &[PROJECT_ENDING])
                .set_file_name(name)
                .save_file(),
        ),
        Purpose::ExportSet => Box::pin(
            dialog
                .set_title("Export several files")
                .set_file_name(name)
                .save_file(),
        ),
        Purpose::Booklet => Box::pin(
            dialog
                .set_title("Write the booklet")
                .add_filter("PDF", &["pdf"])
                .set_file_name(name)
                .save_file(),
        ),
        Purpose::Export => Box::pin(
            dialog
                .set_title("Export")
                .add_filter("Export formats", &endings)
                .set_file_name(name)
                .save_file(),
        ),
    }
}

/// Whether a desktop dialog can be reached: on Linux it needs a session bus.
fn desktop_has_dialogs() -> bool {
    if !cfg!(target_os = "linux") {
        return true;
    }
    let named = std::env::var_os("DBUS_SESSION_BUS_ADDRESS").is_some_and(|v| !v.is_empty());
    let usual = std::env::var_os("XDG_RUNTIME_DIR")
        .is_some_and(|dir| std::path::Path::new(&dir).join("bus").exists());
    named || usual
}
