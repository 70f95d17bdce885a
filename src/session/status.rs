//! What a session shows besides the document: selection, solver, transport, notices.

use super::mixer::Mixer;
use super::trainer::Trainer;
use super::trainer::Training;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::theory::Ticks;

/// The work areas on the top switch.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Area {
    /// Chart, grid, fretboard, voicings.
    #[default]
    Arrange,
    /// Ladder and drill.
    Practice,
    /// What is handed out.
    Sheet,
}

/// The selected cell, or a run of bars.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Selection {
    /// The lane.
    pub lane: Lane,
    /// The bar and slot.
    pub place: Place,
    /// The other end of a selected run of bars, if more than one bar is selected.
    pub to_bar: Option<usize>,
}

impl Default for Selection {
    fn default() -> Self {
        Self {
            lane: Lane::Thumb,
            place: Place {
                bar: 0,
                at: Ticks(0),
            },
            to_bar: None,
        }
    }
}

impl Selection {
    /// The selected bars, first and last.
    #[must_use]
    pub fn bars(&self) -> (usize, usize) {
        let other = self.to_bar.unwrap_or(self.place.bar);
        (self.place.bar.min(other), self.place.bar.max(other))
    }
}

/// `bar 3`, `bars 3 to 6`; bars are counted from 0 here.
#[must_use]
pub fn bars_words((first, last): (usize, usize)) -> String {
    if first == last {
        format!("bar {}", first + 1)
    } else {
        format!("bars {} to {}", first + 1, last + 1)
    }
}

/// What the solver is doing.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum SolverStatus {
    /// The arrangement belongs to the document shown.
    #[default]
    Idle,
    /// Solving; steps done and in all.
    Working {
        /// Steps done.
        done: usize,
        /// Steps in all.
        total: usize,
    },
    /// It was told to stop.
    Cancelled,
    /// A fault in the program; the old arrangement stays.
    Failed(String),
}

/// The sound device.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum DeviceStatus {
    /// Not opened yet.
    #[default]
    Closed,
    /// Open; its name if known.
    Open(String),
    /// None answers, or it went away; why.
    Missing(String),
}

/// What the output in use has to tell.
#[derive(Clone, PartialEq, Debug)]
pub struct SoundReport {
    /// Its name.
    pub name: String,
    /// Whether it can be heard.
    pub audible: bool,
    /// Frames per second.
    pub sample_rate: u32,
    /// Frames that it takes at a time; 0 if that is up to its driver.
    pub buffer: u32,
    /// Computing time as a part of the time the sound lasts, of late.
    pub average: f32,
    /// The same of the worst block since playing began.
    pub peak: f32,
    /// What half of the blocks since then stay below.
    pub median: f32,
    /// What 999 of 1000 of them stay below.
    pub p999: f32,
    /// How often sound came too late since it was opened.
    pub gaps: u32,
    /// Seconds from the start of the program until the first note was ready to be played.
    pub first_note_s: Option<f64>,
}

/// Transport and play-head.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct PlayStatus {
    /// Whether it plays.
    pub playing: bool,
    /// The device.
    pub device: DeviceStatus,
    /// The slot being heard and how far into its bar the play-head is, 0 to 1.
    pub playhead: Option<(Place, f32)>,
    /// The same bar in the order in which bars are played, from 0.
    pub played_bar: Option<usize>,
    /// Beats of the count-in that are still to come, with the one being counted; 0 is none.
    pub count_left: u32,
    /// Notes (indices into the arrangement) that sound now.
    pub sounding: Vec<usize>,
    /// Outputs that can be chosen, by how they are asked for and their names; empty until asked
    /// for.
    pub outputs: Vec<(String, String)>,
    /// The chosen one; `None` is the system's own choice.
    pub output: Option<String>,
    /// Whether the loop is on.
    pub looping: bool,
    /// Whether a bar is counted before playing.
    pub count_in: bool,
    /// Whether a click is heard on the beats.
    pub click: bool,
    /// Master volume, 0 to 1.
    pub volume: f32,
    /// How the speed trainer is set.
    pub trainer: Trainer,
    /// Where it is, while it sets the tempo.
    pub training: Option<Training>,
    /// How loud each lane is heard.
    pub lanes: Mixer,
    /// While many notes are being computed: the part of them that is ready, 0 to 1.
    pub preparing: Option<f32>,
}

/// How much a notice matters.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum NoticeKind {
    /// Goes away with the next change of the tune.
    Info,
    /// Stays until read.
    Warning,
    /// Stays until read: something could not be done.
    Error,
}

/// Something the user should know.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Notice {
    /// For dismissing it.
    pub id: u64,
    /// How much it matters.
    pub kind: NoticeKind,
    /// What happened and what to do.
    pub text: String,
}
