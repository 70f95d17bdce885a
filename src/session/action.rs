//! Everything a user can do, as values. Buttons, menus, shortcuts and tests all make the same
//! actions; the session carries them out.

use super::bars::BarsDeed;
use super::best_key::KeyQuestion;
use super::candidates::CandidateFilter;
use super::comparing::VersionsDeed;
use super::drill::DrillSettings;
use super::fill::ChordNumber;
use super::fill::Fill;
use super::fill::OnChords;
use super::locks::Extent;
use super::mixer::LaneMix;
use super::sections::SectionDeed;
use super::sound_file::SoundOptions;
use super::status::Area;
use super::status::Selection;
use super::trainer::Trainer;
use super::tune_entry::TuneEntry;
use crate::arrange::Fix;
use crate::arrange::Lane;
use crate::document::Edit;
use crate::files::Settings as Preferences;
use crate::instrument::Grip;
use crate::instrument::Shape;
use std::path::PathBuf;

/// One thing to do.
#[derive(Clone, PartialEq, Debug)]
pub enum Action {
    /// Start an empty document.
    New,
    /// Open a project or a chart text.
    Open(PathBuf),
    /// Read a chart text that was typed or pasted.
    OpenText(String),
    /// Take the tune of the imported score from another of its parts, by its number from 0.
    TakePart(usize),
    /// Say that the clipboard holds no text that could be a chart.
    TellNothingToPaste,
    /// Put the report of the import away.
    CloseReport,
    /// Open one of the sample projects, by its place in the list.
    OpenSample(usize),
    /// Save where it was opened from.
    Save,
    /// Save under another name.
    SaveAs(PathBuf),
    /// Save or export under a name that the desktop has not asked about; where other files have it
    /// already, ask first.
    IfFree(Box<Action>),
    /// Write over the files that were asked about.
    ReplaceFiles,
    /// Leave the files that were asked about as they are.
    LeaveFiles,
    /// Write an export; the format follows from the ending.
    Export(PathBuf),
    /// Stop writing sound or pages.
    CancelExport,
    /// How sound files are written from now on.
    SetSoundOptions(SoundOptions),
    /// How fine pages are written as pictures from now on, in dots per inch.
    SetPictureDpi(u16),
    /// Write several exports beside each other: a name, and the endings it gets.
    ExportSet(PathBuf, Vec<&'static str>),
    /// Look whether somebody else has changed the project's file.
    LookAtDisk,
    /// Keep what is here, although the project's file has been changed; if saving waited for the
    /// answer, save.
    KeepMine,
    /// Load the changed file in place of what is here; can be undone.
    LoadTheirs,
    /// Take up unsaved work of an earlier run, by its number, in place of what is here.
    Restore(u64),
    /// Remove unsaved work of an earlier run, by its number.
    DiscardLeft(u64),
    /// Put an earlier version of the project in place of what is here; can be undone.
    OpenEarlier(PathBuf),
    /// The text being typed on the start page.
    Draft(String),
    /// Unsaved changes may be lost: the program is about to end.
    LetGo,
    /// Change the document.
    Edit(Edit),
    /// End a run of edits that count as one step (the field was left, the pointer is up).
    EndStep,
    /// Take back.
    Undo,
    /// Do again.
    Redo,
    /// Select.
    Select(Selection),
    /// Change the work area.
    ShowArea(Area),
    /// Keep what the tool now has: every rewrite leaves it as it is.
    Lock(Extent),
    /// Leave what is decided to the tool again.
    Unlock(Extent),
    /// Lock what is selected, or unlock it if all of it is locked.
    ToggleLock,
    /// Decide the selected bar as one of its ways has it, by its number from 0.
    UseWay(usize),
    /// Use the way after the one in use.
    NextWay,
    /// Copy, paste, insert or delete the selected bars.
    Bars(BarsDeed),
    /// Take something of the selected bar to the other selected ones.
    Fill(Fill),
    /// Name, put, copy, move, divide, join or delete the section of the selected bar.
    Section(SectionDeed),
    /// Write in the tune at the selected place.
    Tune(TuneEntry),
    /// Show the tune's lane and go there; or close it, if the tune has no notes.
    ShowTune(bool),
    /// Filter the voicing list.
    Filter(CandidateFilter),
    /// Pin a voicing for comparison.
    Pin(Grip),
    /// Unpin one.
    Unpin(usize),
    /// Use a voicing for the selected chord.
    UseVoicing(Grip),
    /// Put a voicing of one chord on another of the same kind.
    PutVoicing {
        /// The chord that the shape belongs to.
        of: ChordNumber,
        /// The shape.
        shape: Shape,
        /// The chords to put it on.
        on: OnChords,
    },
    /// Take a remedy of a finding, as one step.
    TakeRemedy(Fix),
    /// Hear a voicing.
    HearVoicing(Grip),
    /// Hear the selected slot.
    HearSelection,
    /// Hear the selected bar.
    HearBar,
    /// Hear the grip in force at the selected place.
    HearGrip,
    /// Play from the selected bar, or stop.
    PlayOrStop,
    /// Loop the selected bars (or all) on or off.
    ToggleLoop,
    /// Click on or off.
    ToggleClick,
    /// Count-in on or off.
    ToggleCountIn,
    /// Master volume, 0 to 1.
    SetVolume(f32),
    /// Mute or solo a lane, or set its level; heard at once, and for this run of the program.
    SetLane(Lane, LaneMix),
    /// Set the speed trainer; switching it on switches the loop on as well.
    SetTrainer(Trainer),
    /// Look which sound outputs there are.
    ListOutputs,
    /// Play on an output, named as in the list; `None` is the system's own choice.
    ChooseOutput(Option<String>),
    /// Change the preferences; they take effect at once and are remembered.
    SetPreferences(Box<Preferences>),
    /// Solve the tune in all twelve keys, with capos and tunings.
    CompareKeys(KeyQuestion),
    /// Stop that.
    StopComparingKeys,
    /// Hear the tune in one of the keys found, by its place in the list.
    HearKey(usize),
    /// Move the tune into one of the keys found, by its place in the list.
    UseKey(usize),
    /// Climb the tune's ladder: every rung as a full arrangement.
    ClimbLadder,
    /// Stop that.
    StopClimbing,
    /// Hear a climbed rung, by its place among them.
    HearRung(usize),
    /// Open a climbed rung as a project of its own.
    OpenRung(usize),
    /// Note the tempo reached on a climbed rung.
    LogTempo {
        /// Its place among the climbed rungs.
        rung: usize,
        /// Beats per minute.
        bpm: u16,
    },
    /// Write the climbed rungs as one PDF.
    WriteBooklet(PathBuf),
    /// Set the drill; where other lines are wanted while it runs, it begins anew.
    SetDrill(DrillSettings),
    /// Drill the tune as it is now, from the first line of the series.
    StartDrill,
    /// Stop that.
    StopDrill,
    /// Uncover the bar being drilled until it is over.
    Peek,
    /// Put the tune beside another version of it, hear and take either.
    Versions(VersionsDeed),
    /// Stop what is heard by itself.
    StopHearing,
    /// Stop the solver.
    CancelSolving,
    /// Solve again after it was stopped.
    Solve,
    /// Tell the user something that the window has noticed.
    Tell(String),
    /// Close a notice.
    Dismiss(u64),
}
