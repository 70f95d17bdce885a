//! Carries out actions. Every refusal becomes a notice in words; nothing here panics, and nothing
//! is lost when a file can't be read or written.

use super::Action;
use super::Area;
use super::MOST_PINS;
use super::NoticeKind;
use super::Preferences;
use super::Selection;
use super::Session;
use super::SolverStatus;
use super::candidates;
use super::candidates::Candidate;
use super::import_report::ImportReport;
use super::open;
use super::open::Opened;
use super::samples;
use crate::arrange::Lane;
use crate::document::Edit;
use crate::document::History;
use crate::files;
use crate::import::Choice;
use crate::instrument::Grip;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

impl Session {
    /// Carries out one action. Refusals become notices, never panics.
    pub fn act(&mut self, action: Action) {
        match action {
            Action::New => self.show_document(History::new(self.memory.new_document()), None),
            Action::Open(path) => self.open(&path),
            Action::TakePart(part) => self.take_part(part),
            Action::TellNothingToPaste => self.tell_nothing_to_paste(),
            Action::CloseReport => self.report = None,
            Action::OpenText(text) => self.open_text(&text),
            Action::OpenSample(number) => self.open_sample(number),
            Action::Save => self.save(),
            Action::SaveAs(path) => self.save_as(&path),
            Action::IfFree(action) => self.if_free(*action),
            Action::ReplaceFiles => self.replace_files(),
            Action::LeaveFiles => self.leave_files(),
            Action::Export(path) => self.export(&[path]),
            Action::ExportSet(path, endings) => self.export_set(&path, &endings),
            Action::CancelExport => self.cancel_export(),
            Action::SetSoundOptions(options) => self.sound_options = options,
            Action::SetPictureDpi(dpi) => self.picture_dpi = dpi,
            Action::LookAtDisk => self.look_at_disk(),
            Action::KeepMine => self.keep_mine(),
            Action::LoadTheirs => self.load_theirs(),
            Action::Restore(number) => self.restore(number),
            Action::DiscardLeft(number) => self.discard_left(number),
            Action::OpenEarlier(path) => self.open_earlier(&path),
            Action::Draft(text) => self.set_draft(text),
            Action::LetGo => self.let_go(),
            Action::Edit(edit) => self.edit(&edit),
            Action::EndStep => self.history.close_step(),
            Action::Undo => self.undo(),
            Action::Redo => self.redo(),
            Action::Select(selection) => self.select(selection),
            Action::ShowArea(area) => {
                self.area = area;
                if area != Area::Practice {
                    self.stop_drill();
                }
            }
            Action::SetDrill(wanted) => self.set_drill(wanted),
            Action::StartDrill => self.start_drill(),
            Action::StopDrill => self.stop_drill(),
            Action::Peek => self.peek(),
            Action::ClimbLadder => self.climb_ladder(),
            Action::StopClimbing => self.stop_climbing(),
            Action::HearRung(number) => self.hear_rung(number),
            Action::OpenRung(number) => self.open_rung(number),
            Action::LogTempo { rung, bpm } => self.log_tempo(rung, bpm),
            Action::WriteBooklet(path) => self.write_booklet(&path),
            Action::Lock(extent) => self.lock(extent),
            Action::Unlock(extent) => self.unlock(extent),
            Action::ToggleLock => self.toggle_lock(),
            Action::UseWay(number) => self.use_way(number),
            Action::NextWay => self.next_way(),
            Action::Bars(deed) => self.do_bars(deed),
            Action::Fill(what) => self.fill(what),
            Action::Section(deed) => self.do_section(deed),
            Action::Tune(entry) => self.enter_tune(entry),
            Action::ShowTune(shown) => self.show_tune_lane(shown),
            Action::Filter(filter) => {
                self.filter = filter;
                self.ask_for_list();
            }
            Action::Pin(grip) => self.pin(&grip),
            Action::Unpin(number) => self.unpin(number),
            Action::UseVoicing(grip) => self.use_voicing(&grip),
            Action::PutVoicing { of, shape, on } => self.put_voicing(of, &shape, on),
            Action::TakeRemedy(fix) => self.take_remedy(&fix),
            Action::HearVoicing(grip) => self.hear_voicing(&grip),
            Action::HearSelection if self.selection.lane == Lane::Tune => self.hear_tune_here(),
            Action::HearSelection => self.hear_selection(),
            Action::HearBar => self.hear_bar(),
            Action::HearGrip => self.hear_grip(),
            Action::PlayOrStop => self.play_or_stop(),
            Action::ToggleLoop => self.toggle_loop(),
            Action::ToggleClick => self.player.set_click(!self.player.status().click),
            Action::ToggleCountIn => self.player.set_count_in(!self.player.status().count_in),
            Action::SetVolume(volume) => self.set_volume(volume),
            Action::SetLane(lane, mix) => self.player.set_lane(lane, mix),
            Action::SetTrainer(trainer) => self.set_trainer(trainer),
            Action::ListOutputs => self.player.list_outputs(),
            Action::ChooseOutput(output) => self.choose_output(output),
            Action::SetPreferences(wanted) => self.set_preferences(*wanted),
            Action::CompareKeys(question) => self.compare_keys(question),
            Action::HearKey(number) => self.hear_key(number),
            Action::StopComparingKeys => self.stop_comparing_keys(),
            Action::UseKey(number) => self.use_key(number),
            Action::Versions(deed) => self.do_versions(deed),
            Action::StopHearing => self.player.stop(),
            Action::CancelSolving => self.cancel_solving(),
            Action::Solve => self.document_changed(),
            Action::Tell(text) => self.notify(NoticeKind::Info, text),
            Action::Dismiss(id) => self.notices.dismiss(id),
        }
    }

    fn open(&mut self, path: &Path) {
        let opened = open::open_onto(path, Choice::default(), &self.memory.new_document());
        self.show_opened(opened, path);
    }

    /// What was only told goes away as the work goes on.
    fn forget_told(&mut self) {
        self.notices.dismiss_all(NoticeKind::Info);
    }

    fn undo(&mut self) {
        if self.history.undo() {
            self.document_changed();
        }
    }

    fn redo(&mut self) {
        if self.history.redo() {
            self.document_changed();
        }
    }

    fn unpin(&mut self, number: usize) {
        if number < self.pins.len() {
            self.pins.remove(number);
        }
    }

    fn choose_output(&mut self, output: Option<String>) {
        let now = self.memory.preferences().clone();
        self.set_preferences(Preferences { output, ..now });
    }

    fn cancel_solving(&mut self) {
        self.solver.cancel();
        self.ways.expect(false);
        if self.is_solving() {
            self.status = SolverStatus::Cancelled;
        }
    }

    pub(super) fn show_document(&mut self, history: History, path: Option<PathBuf>) {
        self.stop_drill();
        self.player.stop();
        // What went wrong with another document is no longer of interest.
        self.notices.dismiss_all(NoticeKind::Error);
        self.history = history;
        self.path = path;
        self.note_disk(None);
        self.report = None;
        self.solved = None;
        self.pins.clear();
        self.stop_comparing();
        self.selection = Selection::default();
        self.tune_lane = false;
        self.document_changed();
    }

    fn tell_nothing_to_paste(&mut self) {
        let text = "the clipboard holds no text: copy a chart, then paste it";
        self.notify(NoticeKind::Info, text.into());
    }

    /// Shows what was opened, or says why it was not.
    pub(super) fn show_opened(&mut self, opened: Result<Opened, String>, path: &Path) {
        match opened {
            Ok(opened) => {
                let report = ImportReport::of(&opened, path);
                for notice in opened.notices.into_iter().filter(|_| report.is_none()) {
                    self.notify(NoticeKind::Warning, notice);
                }
                // A chart text or a score is where the tune came from, not where the project is
                // saved.
                let own = opened.is_project.then(|| path.to_path_buf());
                let stamp = opened.stamp.filter(|_| opened.is_project);
                let history = match own {
                    Some(_) => History::new(opened.document),
                    None => History::unsaved(opened.document),
                };
                self.show_document(history, own);
                self.note_disk(stamp);
                self.report = report;
                self.memory.note_file(path);
                self.keep_memory();
            }
            Err(error) => {
                self.memory.forget_file(path);
                self.notify(NoticeKind::Error, error);
            }
        }
    }

    fn set_preferences(&mut self, wanted: Preferences) {
        let now = self.memory.preferences();
        if wanted.volume_percent != now.volume_percent {
            self.player.set_volume(wanted.volume());
        }
        if wanted.output != now.output {
            self.player.choose_output(wanted.output.clone());
        }
        self.memory.set_preferences(wanted);
        self.keep_memory();
    }

    fn keep_memory(&mut self) {
        if let Some(trouble) = self.memory.keep() {
            self.notify(NoticeKind::Warning, trouble);
        }
    }

    fn open_text(&mut self, text: &str) {
        match open::document_from_text(text, &self.memory.new_document()) {
            Ok((document, notices)) => {
                for notice in notices {
                    self.notify(NoticeKind::Warning, notice);
                }
                self.set_draft(String::new());
                self.show_document(History::unsaved(document), None);
            }
            Err(error) => self.notify(NoticeKind::Error, error),
        }
    }

    fn open_sample(&mut self, number: usize) {
        match samples::document(number, &self.memory.new_document()) {
            Some(Ok(document)) => self.show_document(History::new(document), None),
            Some(Err(error)) => self.notify(NoticeKind::Error, error),
            None => {}
        }
    }

    pub(super) fn save(&mut self) {
        match self.path.clone() {
            Some(path) => self.save_as(&path),
            None => {
                let text = "choose a name for this tune first: use \"Save as\"".into();
                self.notify(NoticeKind::Info, text);
            }
        }
    }

    pub(super) fn save_as(&mut self, path: &Path) {
        if self.asks_before_saving(path) {
            return;
        }
        self.prepare_save(path);
        match files::save_project(path, self.document()) {
            Ok(stamp) => {
                self.history.mark_saved();
                self.path = Some(path.to_path_buf());
                self.note_disk(Some(stamp));
                self.keep_work();
                self.memory.note_file(path);
                self.keep_memory();
                self.notify(NoticeKind::Info, format!("saved {}", files::name_of(path)));
            }
            Err(error) => self.notify(NoticeKind::Error, error.to_string()),
        }
    }

    pub(super) fn edit(&mut self, edit: &Edit) {
        let before = Arc::clone(self.document());
        match self.history.edit(edit) {
            Ok(()) if Arc::ptr_eq(&before, self.document()) => {}
            Ok(()) => {
                self.forget_told();
                self.document_changed();
            }
            Err(error) => self.notify(NoticeKind::Warning, error.to_string()),
        }
    }

    pub(super) fn select(&mut self, selection: Selection) {
        let chord = |session: &Self| {
            let place = session.selection.place;
            candidates::chord_at(session.document(), place).map(|(bar, idx, _)| (bar, idx))
        };
        let (before, bar_before) = (chord(self), self.selection.place.bar);
        self.history.close_step();
        self.selection = selection;
        self.keep_selection_inside();
        self.cursor_moved();
        if chord(self) != before {
            self.pins.clear();
            self.ask_for_list();
        }
        if self.selection.place.bar != bar_before {
            self.ask_for_ways();
        }
        if self.player.status().looping {
            self.player.set_loop(Some(self.loop_range()));
        }
    }

    fn pin(&mut self, grip: &Grip) {
        if self.pins.len() >= MOST_PINS {
            let text = format!("{MOST_PINS} voicings are pinned; unpin one first");
            self.notify(NoticeKind::Info, text);
            return;
        }
        let is_grip = |pin: &Candidate| pin.voicing.grip == *grip;
        if self.pins.iter().any(is_grip) {
            return;
        }
        self.pins
            .extend(candidates::candidate_of(&self.list_question(), grip));
    }

    fn use_voicing(&mut self, grip: &Grip) {
        let place = self.selection.place;
        let found = candidates::chord_at(self.document(), place);
        let Some((bar, chord_idx, _)) = found else {
            return;
        };
        self.edit(&Edit::SetShape {
            bar,
            chord_idx,
            shape: Some(grip.shape),
        });
    }
}
