//! Exporting from a window: what is quick is written at once; sound and pages in the background by a
//! thread of its own, one file after the other, with progress and a way to stop.

use super::NoticeKind;
use super::Session;
use super::Wake;
use super::export;
use super::export::PageFormat;
use super::ladder::Ladder;
use super::sound_file;
use super::sound_file::SoundOptions;
use super::worker::Desk;
use super::worker::Worker;
use crate::arrange::Arrangement;
use crate::document::Document;
use crate::files;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

/// What a slow export writes.
#[derive(Clone, PartialEq, Debug)]
pub enum Slow {
    /// Sound.
    Sound(SoundOptions),
    /// Pages; pictures of so many dots per inch.
    Pages(PageFormat, u16),
    /// The pages of all rungs of a ladder.
    Booklet(Arc<Ladder>),
}

impl Slow {
    /// What is being written, in words.
    #[must_use]
    pub const fn words(&self) -> &'static str {
        match self {
            Self::Sound(_) => "sound",
            Self::Pages(format, _) => format.words(),
            Self::Booklet(_) => "booklet",
        }
    }
}

/// What is being written in the background.
#[derive(Clone, PartialEq, Debug)]
pub struct Writing {
    /// Which export it is.
    pub number: u64,
    /// What is written.
    pub what: Slow,
    /// Where it goes.
    pub path: PathBuf,
    /// The part that is done, 0 to 1.
    pub part: f32,
}

/// A file, or several, to write in the background.
pub struct ExportJob {
    /// Which export it is, for the replies.
    pub number: u64,
    /// The chart and its settings.
    pub document: Arc<Document>,
    /// Its notes.
    pub arrangement: Arc<Arrangement>,
    /// Where it goes.
    pub path: PathBuf,
    /// What, and how.
    pub what: Slow,
}

/// What the writer says.
pub enum ExportReply {
    /// The export, and the part of it that is done, 0 to 1.
    Progress(u64, f32),
    /// The export, and the files that were made; `None` if it was stopped. In words what went
    /// wrong.
    Done(u64, Result<Option<Vec<PathBuf>>, String>),
    /// A fault in the program, in words.
    Failed(String),
}

/// Starts the thread that writes what takes longer than a blink.
pub fn start_writer(wake: Wake) -> Worker<ExportJob, ExportReply> {
    let work = |job: ExportJob, desk: &Desk<'_, ExportReply>| {
        let (document, arrangement) = (&job.document, &job.arrangement);
        let go_on = &mut |part| {
            desk.reply_if_room(ExportReply::Progress(job.number, part));
            desk.is_wanted()
        };
        let done = match &job.what {
            Slow::Sound(options) => {
                sound_file::write_sound(document, arrangement, &job.path, *options, go_on)
            }
            Slow::Booklet(ladder) => export::booklet(ladder, &job.path, go_on),
            Slow::Pages(format, dpi) => {
                let how = (*format, *dpi);
                export::write_pages(document, arrangement, &job.path, how, go_on)
            }
        };
        desk.reply(ExportReply::Done(job.number, done));
    };
    Worker::start("export", wake, work, ExportReply::Failed)
}

impl Session {
    pub(super) fn export(&mut self, paths: &[PathBuf]) {
        let Some((revision, arrangement)) = &self.solved else {
            self.notify(NoticeKind::Warning, "there is nothing to export yet".into());
            return;
        };
        if *revision != self.revision {
            let text = "wait until the arrangement is solved, then export again".into();
            self.notify(NoticeKind::Warning, text);
            return;
        }
        let arrangement = Arc::clone(arrangement);
        let mut written: Vec<PathBuf> = Vec::new();
        let mut trouble = None;
        for path in paths {
            let slow = if sound_file::is_sound(path) {
                Some(Slow::Sound(self.sound_options))
            } else {
                let pages = export::page_format(path);
                pages.map(|format| Slow::Pages(format, self.picture_dpi))
            };
            if let Some(what) = slow {
                self.write_slowly(Arc::clone(&arrangement), path, what);
                continue;
            }
            match export::export(self.document(), &arrangement, path) {
                Ok(files) => written.extend(files),
                Err(error) => {
                    trouble = Some(error);
                    break;
                }
            }
        }
        if !written.is_empty() {
            self.tell_exported(&written);
        }
        if let Some(error) = trouble {
            self.notify(NoticeKind::Error, error);
        }
    }

    pub(super) fn export_set(&mut self, path: &Path, endings: &[&'static str]) {
        let beside = endings.iter().map(|ending| export::beside(path, ending));
        let paths: Vec<PathBuf> = beside.collect();
        self.export(&paths);
    }

    fn tell_exported(&mut self, files: &[PathBuf]) {
        self.safety.exported.extend(files.iter().cloned());
        let names: Vec<String> = files.iter().map(|path| files::name_of(path)).collect();
        self.notify(NoticeKind::Info, format!("exported {}", names.join(", ")));
    }

    /// Sound and pages take longer than a blink, so they are written in the background, one after
    /// the other.
    pub(super) fn write_slowly(&mut self, arrangement: Arc<Arrangement>, path: &Path, what: Slow) {
        let now = self.writing.iter().map(|writing| writing.path.as_path());
        let waiting = self.slow_exports.iter().map(|job| job.path.as_path());
        if now.chain(waiting).any(|taken| taken == path) {
            let text = format!(
                "{} is being written: wait for it or cancel it, then export again",
                files::name_of(path)
            );
            self.notify(NoticeKind::Warning, text);
            return;
        }
        self.last_export += 1;
        let job = ExportJob {
            number: self.last_export,
            document: Arc::clone(self.document()),
            arrangement,
            path: path.to_path_buf(),
            what,
        };
        if self.writing.is_some() {
            self.slow_exports.push_back(job);
        } else {
            self.start_writing(job);
        }
    }

    fn start_writing(&mut self, job: ExportJob) {
        self.writing = Some(Writing {
            number: job.number,
            what: job.what.clone(),
            path: job.path.clone(),
            part: 0.0,
        });
        self.writer.submit(job);
    }

    fn start_next_writing(&mut self) {
        if let Some(job) = self.slow_exports.pop_front() {
            self.start_writing(job);
        }
    }

    pub(super) fn cancel_export(&mut self) {
        if let Some(Writing { what, .. }) = self.writing.take() {
            self.writer.cancel();
            self.slow_exports.clear();
            let text = format!("the export of {} was cancelled", what.words());
            self.notify(NoticeKind::Info, text);
        }
    }

    /// What the thread that writes says. One that was done before it could be stopped is told.
    pub(super) fn take_written(&mut self, reply: ExportReply) {
        let now = self.writing.as_ref().map(|writing| writing.number);
        match reply {
            ExportReply::Progress(number, part) if now == Some(number) => {
                if let Some(writing) = &mut self.writing {
                    writing.part = part;
                }
            }
            ExportReply::Progress(..) => {}
            ExportReply::Done(number, done) => {
                if now == Some(number) {
                    self.writing = None;
                    self.start_next_writing();
                }
                match done {
                    Ok(Some(files)) => self.tell_exported(&files),
                    Ok(None) => {}
                    Err(error) => self.notify(NoticeKind::Error, error),
                }
            }
            ExportReply::Failed(why) => {
                let what = self
                    .writing
                    .take()
                    .map_or("sound", |writing| writing.what.words());
                self.start_next_writing();
                let text = format!("the export of {what} failed: {why}");
                self.notify(NoticeKind::Error, text);
            }
        }
    }
}
