//! Carries out commands, wherever they come from: a key, a menu, the strip of commands. What a
//! command does in the grid is in the grid.

use super::App;
use crate::document::Edit;
use crate::document::ThumbCell;
use crate::gui::actions::Command;
use crate::gui::actions::Page;
use crate::gui::grid::fingers;
use crate::gui::grid::keys;
use crate::gui::possible;
use crate::gui::shortcuts::Deed;
use crate::session::Action;
use crate::session::Area;
use crate::session::BarsDeed;
use crate::session::Beside;
use crate::session::OnChords;
use crate::session::Selection;
use crate::session::candidates;
use crate::theory::Ticks;

impl App {
    /// Asks for what a command means.
    pub(super) fn do_deed(&mut self, deed: Deed) {
        if let Some(section) = possible::section_deed(deed) {
            self.actions.act(Action::Section(section));
            self.actions.window(Command::RevealSelection);
            return;
        }
        match deed {
            Deed::Play
            | Deed::Hear
            | Deed::HearBar
            | Deed::HearGrip
            | Deed::Loop
            | Deed::Click
            | Deed::CountIn
            | Deed::MuteLane
            | Deed::SoloLane => self.do_sound(deed),
            Deed::CopyBars
            | Deed::CutBars
            | Deed::PasteBars
            | Deed::PasteBefore
            | Deed::PasteOver
            | Deed::DuplicateBars
            | Deed::RepeatBars(_)
            | Deed::RepeatToEnd
            | Deed::InsertBar
            | Deed::InsertBefore
            | Deed::DeleteBars => self.do_bars(deed, None),
            Deed::Fill(what) => self.actions.act(Action::Fill(what)),
            Deed::RenameSection => self.actions.window(Command::NameSection),
            Deed::Go(_)
            | Deed::Extend(_)
            | Deed::Find
            | Deed::FindStep(_)
            | Deed::FindSame
            | Deed::Area(_)
            | Deed::Menu => self.do_going(deed),
            Deed::EditChord | Deed::NewChord | Deed::RemoveChord | Deed::UsePin(_) => {
                self.do_chord(deed)
            }
            Deed::Undo => self.actions.act(Action::Undo),
            Deed::Redo => self.actions.act(Action::Redo),
            Deed::Clear
            | Deed::NextWay
            | Deed::Lock
            | Deed::TuneLane
            | Deed::ToggleTune
            | Deed::Tune(_)
            | Deed::Thumb(_)
            | Deed::AnotherLine
            | Deed::Pluck(_)
            | Deed::Unpluck
            | Deed::NextSlide
            | Deed::Ahead => self.do_cell(deed),
            _ => self.do_window(deed),
        }
    }

    fn do_window(&mut self, deed: Deed) {
        // A field over the grid is left at once, before it can take the loss of the keyboard for an
        // end.
        if deed == Deed::Escape {
            let grid = &mut self.view.grid;
            if grid.edit.take().is_some() || grid.naming.take().is_some() {
                grid.want_focus = true;
                return;
            }
        }
        if deed == Deed::ClimbLadder {
            self.actions.act(Action::ClimbLadder);
            self.actions.act(Action::ShowArea(Area::Practice));
            return;
        }
        if deed == Deed::Drill {
            let runs = self.session.drill().is_some();
            self.actions.act(Action::ShowArea(Area::Practice));
            self.actions.act(if runs {
                Action::StopDrill
            } else {
                Action::StartDrill
            });
            return;
        }
        self.actions.window(match deed {
            Deed::New => Command::New,
            Deed::Open => Command::AskOpen,
            Deed::Save => Command::Save,
            Deed::SaveAs => Command::AskSaveAs,
            Deed::Export => Command::AskExport,
            Deed::ExportSet => Command::AskExportSet,
            Deed::Booklet => Command::AskBooklet,
            Deed::PasteChart => Command::PasteChart,
            Deed::Help => Command::Page(Page::Help),
            Deed::Preferences => Command::Page(Page::Preferences),
            Deed::About => Command::Page(Page::About),
            Deed::Theme => Command::ToggleTheme,
            Deed::Side => Command::ToggleLine,
            Deed::Findings => Command::ToggleFindings,
            Deed::Compare => Command::ToggleCompare,
            Deed::Do => Command::LookUp,
            _ => Command::Escape,
        });
    }

    fn do_sound(&mut self, deed: Deed) {
        let lane = self.session.selection().lane;
        let mut mix = self.session.play().lanes.lane(lane);
        self.actions.act(match deed {
            Deed::Hear => Action::HearSelection,
            Deed::HearBar => Action::HearBar,
            Deed::HearGrip => Action::HearGrip,
            Deed::Loop => Action::ToggleLoop,
            Deed::Click => Action::ToggleClick,
            Deed::CountIn => Action::ToggleCountIn,
            Deed::MuteLane => {
                mix.muted = !mix.muted;
                Action::SetLane(lane, mix)
            }
            Deed::SoloLane => {
                mix.solo = !mix.solo;
                Action::SetLane(lane, mix)
            }
            _ => Action::PlayOrStop,
        });
    }

    fn do_going(&mut self, deed: Deed) {
        match deed {
            Deed::Go(step) => {
                let selection = keys::step(&self.session, &self.view.grid.rows, step);
                self.go(selection);
            }
            Deed::Extend(on) => {
                let selection = keys::extend(&self.session, on);
                self.go(selection);
            }
            Deed::Find => self.actions.window(Command::Find(None)),
            Deed::FindSame => {
                if let Some(text) = self.session.chord_text_here() {
                    self.actions.window(Command::Find(Some(text)));
                }
            }
            Deed::FindStep(on) => self.actions.window(Command::FindStep(on)),
            Deed::Area(area) => {
                self.actions.act(Action::ShowArea(area));
                self.actions.window(Command::ClosePage);
            }
            _ => self.actions.window(Command::OpenMenu(None)),
        }
    }

    fn do_chord(&mut self, deed: Deed) {
        let place = self.session.selection().place;
        match deed {
            Deed::NewChord => {
                let at = Ticks::of_beat(place.at.beat_idx());
                let bar = place.bar;
                self.actions.window(Command::EditChord { bar, at });
            }
            Deed::UsePin(number) => self.use_pin(usize::from(number)),
            _ => {
                let (bar, at) = (place.bar, self.chord_in_force());
                if deed == Deed::RemoveChord {
                    let harmony = None;
                    self.actions.edit(Edit::SetHarmony { bar, at, harmony });
                } else {
                    self.actions.window(Command::EditChord { bar, at });
                }
            }
        }
    }

    /// Puts a pinned voicing, by its number from 1, on the chord here, or on all of the selected
    /// bars.
    fn use_pin(&mut self, number: usize) {
        let selection = self.session.selection();
        let chord = candidates::chord_at(self.session.document(), selection.place);
        let chord = chord.map(|(bar, idx, _)| (bar, idx));
        let pin = number
            .checked_sub(1)
            .and_then(|idx| self.session.pins().get(idx));
        let (Some(of), Some(pin)) = (chord, pin) else {
            return;
        };
        let (first, last) = selection.bars();
        let on = match selection.to_bar {
            None => OnChords::One(of),
            Some(_) => OnChords::Bars(first, last),
        };
        let shape = pin.voicing.grip.shape;
        self.actions.act(Action::PutVoicing { of, shape, on });
    }

    fn do_cell(&mut self, deed: Deed) {
        let place = self.session.selection().place;
        let session = &self.session;
        let actions = &mut self.actions;
        match deed {
            Deed::Clear => actions.edit(keys::clear(session)),
            Deed::NextWay => actions.act(Action::NextWay),
            Deed::Lock => actions.act(Action::ToggleLock),
            Deed::TuneLane => self.show_tune(true),
            Deed::ToggleTune => self.show_tune(!self.session.shows_tune()),
            Deed::Tune(entry) => {
                actions.act(Action::Tune(entry));
                actions.window(Command::RevealSelection);
            }
            Deed::Thumb(wanted) => {
                actions.edit(keys::thumb(place, Some(ThumbCell::Move(wanted))));
            }
            Deed::AnotherLine => {
                let line = keys::another_line(&session.document().line);
                actions.edit(Edit::SetLine(line));
            }
            Deed::Pluck(how) => actions.edit(fingers::pluck(session, place, Some(how))),
            Deed::NextSlide => {
                if fingers::has_chord(session.document(), place) {
                    let next = fingers::next_slide(session, place);
                    actions.edit(fingers::slide(session, place, next));
                }
            }
            Deed::Ahead => {
                if let Some(edit) = fingers::toggle_ahead(session, place) {
                    actions.edit(edit);
                }
            }
            _ => actions.edit(fingers::pluck(session, place, None)),
        }
    }

    /// What concerns whole bars; `text` is what the system's clipboard holds, if it was asked.
    pub(super) fn do_bars(&mut self, deed: Deed, text: Option<String>) {
        let bars = match deed {
            Deed::CopyBars => BarsDeed::Copy,
            Deed::CutBars => BarsDeed::Cut,
            Deed::PasteBars => BarsDeed::Paste(Beside::After, text),
            Deed::PasteBefore => BarsDeed::Paste(Beside::Before, text),
            Deed::PasteOver => BarsDeed::Paste(Beside::Over, text),
            Deed::DuplicateBars => BarsDeed::Duplicate,
            Deed::RepeatBars(times) => BarsDeed::Repeat(usize::from(times)),
            Deed::RepeatToEnd => BarsDeed::RepeatToEnd,
            Deed::InsertBar => BarsDeed::Insert(Beside::After),
            Deed::InsertBefore => BarsDeed::Insert(Beside::Before),
            _ => BarsDeed::Delete,
        };
        let copies = matches!(bars, BarsDeed::Copy | BarsDeed::Cut);
        self.actions.act(Action::Bars(bars));
        if copies {
            self.actions.window(Command::ShareClip);
        }
        self.actions.window(Command::RevealSelection);
    }

    fn show_tune(&mut self, shown: bool) {
        self.actions.act(Action::ShowTune(shown));
        self.actions.window(Command::RevealSelection);
    }

    fn go(&mut self, selection: Selection) {
        self.actions.act(Action::Select(selection));
        self.actions.window(Command::RevealSelection);
    }

    /// The place of the chord in force in the selected bar; its first beat if it has none.
    fn chord_in_force(&self) -> Ticks {
        let place = self.session.selection().place;
        let bar = self.session.document().bar(place.bar);
        let chords = bar.map(|b| b.chords.as_slice()).unwrap_or_default();
        let chord = chords.iter().rev().find(|c| c.at <= place.at);
        chord.map_or(Ticks(0), |c| c.at)
    }
}
