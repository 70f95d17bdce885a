//! An open document at work: history, selection, solver thread, player, notices. Everything a
//! window or a test does goes through [`Action`]s; everything it shows is read from [`Session`].
//! Knows no window; wakes one through a callback.

pub mod action;
mod answers;
mod bars;
pub mod best_key;
pub mod candidates;
mod carry_out;
mod choruses;
mod comparing;
pub mod drill;
mod drilling;
pub mod export;
mod exporting;
mod fill;
mod find;
mod hearing;
mod import_report;
mod journal;
mod key_search;
pub mod ladder;
mod ladder_search;
mod locks;
mod memory;
mod mixer;
mod notices;
pub mod open;
mod player;
mod problem;
mod remedy;
mod safety;
pub mod samples;
mod sections;
pub mod sheet_pages;
mod solver;
pub mod sound_file;
pub mod status;
mod taken;
mod trainer;
mod tune;
mod tune_draft;
pub mod tune_entry;
mod tune_lane;
mod under_tune;
mod use_way;
pub mod voice_range;
mod walk;
mod ways;
mod worker;
#[cfg(test)]
mod written_bars;

pub use crate::files::NewProject;
pub use crate::files::SavedInstrument;
pub use crate::files::Settings as Preferences;
pub use crate::files::Theme;
pub use crate::files::backups::MAX_BACKUPS;
pub use crate::files::folders::data_folder;
pub use crate::files::folders::settings_folder;
pub use crate::files::settings::TEXT_PERCENT;
pub use action::Action;
pub use bars::BarsDeed;
pub use bars::Beside;
pub use bars::Clip;
pub use best_key::KeyLie;
pub use best_key::KeyQuestion;
pub use best_key::MOST_CAPO;
pub use best_key::best_keys;
pub use candidates::Candidate;
pub use candidates::CandidateFilter;
pub use candidates::PositionRange;
pub use choruses::arrange_document;
pub use comparing::Other;
pub use comparing::VersionsDeed;
pub use drill::DRILL_SERIES;
pub use drill::DrillSettings;
pub use drill::Heard;
pub use drill::Recall;
pub use drill::StripBar;
pub use drilling::DrillStatus;
pub use fill::ChordNumber;
pub use fill::Fill;
pub use fill::OnChords;
pub use fill::shape_on;
pub use fill::strikes;
pub use find::Found;
pub use find::find;
pub use import_report::ImportReport;
pub use key_search::KeysStatus;
pub use ladder_search::LadderStatus;
pub use locks::BarLocks;
pub use locks::Extent;
pub use locks::Hold;
pub use mixer::LaneMix;
pub use mixer::Mixer;
pub use player::SoundChoice;
pub use problem::line_variety;
pub use problem::plucks_of;
pub use problem::problem_from_document;
pub use safety::Earlier;
pub use safety::Offer;
pub use safety::PAUSE;
pub use safety::SafetyOptions;
pub use safety::Written;
pub use sections::SectionDeed;
pub use sound_file::SoundOptions;
pub use status::Area;
pub use status::DeviceStatus;
pub use status::Notice;
pub use status::NoticeKind;
pub use status::PlayStatus;
pub use status::Selection;
pub use status::SolverStatus;
pub use status::SoundReport;
pub use status::bars_words;
pub use trainer::TRAINER_EVERY;
pub use trainer::TRAINER_PERCENT;
pub use trainer::TRAINER_STEP;
pub use trainer::Trainer;
pub use trainer::Training;
pub use tune_entry::TuneEntry;
pub use tune_entry::TunePen;
pub use voice_range::RangeFit;
pub use voice_range::VoiceRange;
pub use walk::line_is_written;
pub use walk::rung_of;

use crate::arrange::Arrangement;
use crate::arrange::Options;
use crate::document::Document;
use crate::document::History;
use candidates::ListQuestion;
use comparing::Comparing;
use drilling::Drilling;
use export::ExportOptions;
use exporting::ExportJob;
use exporting::ExportReply;
use exporting::Writing;
use key_search::KeySearch;
use ladder_search::LadderSearch;
use memory::Memory;
use notices::Notices;
use player::Player;
use solver::Job;
use solver::Listed;
use solver::Solved;
use std::collections::VecDeque;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use ways::Ways;
use worker::Worker;

/// The ending of project files, for dialogs.
pub const PROJECT_ENDING: &str = crate::files::PROJECT_ENDING;

/// Wakes the window when something arrived from another thread.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// The longest that [`Session::settle`] waits for one answer.
const SETTLE_AT_MOST: Duration = Duration::from_secs(60);

/// Pins that can be compared side by side.
const MOST_PINS: usize = 4;

/// One open document with everything around it.
pub struct Session {
    history: History,
    revision: u64,
    solved: Option<(u64, Arc<Arrangement>)>,
    options: Option<Arc<Vec<Options>>>,
    ways: Ways,
    tried: Option<use_way::Tried>,
    status: SolverStatus,
    solver: Worker<Job, Solved>,
    key_search: KeySearch,
    ladder_search: LadderSearch,
    drilling: Drilling,
    comparing: Comparing,
    lister: Worker<(u64, ListQuestion), Listed>,
    list_revision: u64,
    listed_revision: u64,
    candidates: Vec<Candidate>,
    pins: Vec<Candidate>,
    filter: CandidateFilter,
    selection: Selection,
    clip: Option<Clip>,
    tune_lane: bool,
    tune_pen: TunePen,
    area: Area,
    player: Player,
    writer: Worker<ExportJob, ExportReply>,
    writing: Option<Writing>,
    /// What waits to be written after it.
    slow_exports: VecDeque<ExportJob>,
    picture_dpi: u16,
    last_export: u64,
    sound_options: SoundOptions,
    notices: Notices,
    path: Option<PathBuf>,
    report: Option<ImportReport>,
    memory: Memory,
    safety: safety::Safety,
}

impl Session {
    /// An empty document, solved and silent until told otherwise. The sound card is opened when
    /// something is played for the first time.
    #[must_use]
    pub fn new(wake: Wake) -> Self {
        Self::with_sound(wake, SoundChoice::Card)
    }

    /// As [`new`](Self::new), with a choice of where sound may go.
    #[must_use]
    pub fn with_sound(wake: Wake, sound: SoundChoice) -> Self {
        Self {
            history: History::new(Document::default()),
            revision: 0,
            solved: None,
            options: None,
            ways: Ways::default(),
            tried: None,
            status: SolverStatus::Idle,
            solver: solver::start_solver(Arc::clone(&wake)),
            key_search: KeySearch::new(Arc::clone(&wake)),
            ladder_search: LadderSearch::new(Arc::clone(&wake)),
            drilling: Drilling::new(Arc::clone(&wake)),
            comparing: Comparing::new(Arc::clone(&wake)),
            lister: solver::start_lister(Arc::clone(&wake)),
            list_revision: 0,
            listed_revision: 0,
            candidates: Vec::new(),
            pins: Vec::new(),
            filter: CandidateFilter::default(),
            selection: Selection::default(),
            clip: None,
            tune_lane: false,
            tune_pen: TunePen::default(),
            area: Area::Arrange,
            writer: exporting::start_writer(Arc::clone(&wake)),
            writing: None,
            slow_exports: VecDeque::new(),
            picture_dpi: ExportOptions::default().dpi,
            last_export: 0,
            sound_options: SoundOptions::default(),
            player: Player::new(sound, wake),
            notices: Notices::default(),
            path: None,
            report: None,
            memory: Memory::default(),
            safety: safety::Safety::default(),
        }
    }

    /// Takes replies from other threads and moves the play-head. Call once per frame, before
    /// drawing.
    pub fn tick(&mut self) {
        while let Some(reply) = self.solver.take() {
            self.take_solved(reply);
        }
        while let Some(reply) = self.lister.take() {
            self.take_listed(reply);
        }
        self.take_key_replies();
        self.take_ladder_replies();
        self.take_compare_replies();
        while let Some(reply) = self.writer.take() {
            self.take_written(reply);
        }
        self.tell_journal_trouble();
        self.player.tick();
        self.follow_drill();
        for news in self.player.take_news() {
            self.tell_news(news);
        }
    }

    /// Waits until the solver and the voicing list have answered the newest request, down to the
    /// ways of the selected bar, and until keys that are being compared are and a sound file is
    /// written. For tests and batch work; a window never calls it.
    pub fn settle(&mut self) {
        let until = Instant::now() + SETTLE_AT_MOST;
        while (self.is_solving() || self.ways.are_awaited()) && Instant::now() < until {
            if let Some(reply) = self.solver.wait(SETTLE_AT_MOST) {
                self.take_solved(reply);
            }
        }
        while self.listed_revision != self.list_revision && Instant::now() < until {
            if let Some(reply) = self.lister.wait(SETTLE_AT_MOST) {
                self.take_listed(reply);
            }
        }
        self.settle_keys();
        self.settle_ladder();
        self.settle_drill();
        self.settle_comparing();
        while self.writing.is_some() && Instant::now() < until {
            if let Some(reply) = self.writer.wait(SETTLE_AT_MOST) {
                self.take_written(reply);
            }
        }
        self.tick();
    }

    /// The document as it is now.
    #[must_use]
    pub const fn document(&self) -> &Arc<Document> {
        self.history.present()
    }

    /// The newest solved arrangement; it may belong to a slightly older document while the solver
    /// works (see [`solver`](Self::solver)).
    #[must_use]
    pub fn arrangement(&self) -> Option<&Arc<Arrangement>> {
        self.solved.as_ref().map(|(_, arrangement)| arrangement)
    }

    /// What is selected.
    #[must_use]
    pub const fn selection(&self) -> &Selection {
        &self.selection
    }

    /// What the solver is doing.
    #[must_use]
    pub const fn solver(&self) -> &SolverStatus {
        &self.status
    }

    /// Transport, device and play-head.
    #[must_use]
    pub const fn play(&self) -> &PlayStatus {
        self.player.status()
    }

    /// How long a window may sleep, if nothing else wakes it, until [`tick`](Self::tick) is due
    /// because of the sound output; `None` is for ever.
    #[must_use]
    pub fn rests_for(&self) -> Option<Duration> {
        self.player.rests_for()
    }

    /// Whether a slot, a bar, a grip or a voicing is being heard by itself.
    #[must_use]
    pub fn is_hearing(&self) -> bool {
        self.player.is_hearing()
    }

    /// What the sound output in use has to tell; `None` before it is opened.
    #[must_use]
    pub fn sound_report(&self) -> Option<SoundReport> {
        self.player.report()
    }

    /// What is being written in the background, in words, and how much of it is done, 0 to 1.
    #[must_use]
    pub fn writing(&self) -> Option<(&'static str, f32)> {
        let now = self.writing.as_ref();
        now.map(|writing| (writing.what.words(), writing.part))
    }

    /// Dots per inch of pictures that a window exports.
    #[must_use]
    pub const fn picture_dpi(&self) -> u16 {
        self.picture_dpi
    }

    /// How sound files are written.
    #[must_use]
    pub const fn sound_options(&self) -> SoundOptions {
        self.sound_options
    }

    /// The work area in front.
    #[must_use]
    pub const fn area(&self) -> Area {
        self.area
    }

    /// Where the document was opened from or saved to.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Whether there are changes that are not on disk.
    #[must_use]
    pub fn has_unsaved_changes(&self) -> bool {
        self.history.has_unsaved_changes()
    }

    /// What undo would take back, if anything: "Change chord in bar 5".
    #[must_use]
    pub fn undo_label(&self) -> Option<&str> {
        self.history.undo_label()
    }

    /// What redo would do again, if anything.
    #[must_use]
    pub fn redo_label(&self) -> Option<&str> {
        self.history.redo_label()
    }

    /// The filter of the voicing list.
    #[must_use]
    pub const fn filter(&self) -> &CandidateFilter {
        &self.filter
    }

    /// Voicings of the selected chord that pass the filter, by effort.
    #[must_use]
    pub fn candidates(&self) -> &[Candidate] {
        &self.candidates
    }

    /// Voicings pinned for comparison, at most four.
    #[must_use]
    pub fn pins(&self) -> &[Candidate] {
        &self.pins
    }

    /// Remembers preferences and recent files in a folder from now on, and takes up what is
    /// remembered there.
    pub fn remember_in(&mut self, folder: Option<PathBuf>) {
        let (memory, trouble) = Memory::of(folder);
        self.memory = memory;
        let preferences = self.memory.preferences();
        self.player.set_volume(preferences.volume());
        self.player.choose_output(preferences.output.clone());
        if let Some(trouble) = trouble {
            self.notify(NoticeKind::Warning, trouble);
        }
    }

    /// Files opened or saved lately, newest first.
    #[must_use]
    pub fn recent(&self) -> &[PathBuf] {
        self.memory.recent()
    }

    /// What this person prefers.
    #[must_use]
    pub const fn preferences(&self) -> &Preferences {
        self.memory.preferences()
    }

    /// Whether the arrangement shown is older than the document.
    #[must_use]
    pub const fn is_solving(&self) -> bool {
        matches!(self.status, SolverStatus::Working { .. })
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        // The window is gone; there is nobody left to tell.
        self.memory.keep();
        self.end_journal();
    }
}
