//! What a command does, where it works and what it acts on, as plain data for the table.

use crate::session::Area;
use crate::session::Fill;
use crate::session::TuneEntry;
use crate::theory::Articulation;
use crate::theory::ThumbMove;

/// Where a key works.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Scope {
    /// In the whole window.
    Everywhere,
    /// While the keyboard is in the beat grid.
    Grid,
    /// In the grid's tune lane.
    TuneLane,
    /// In the grid's fingers and thumb lanes.
    HandLanes,
    /// In the grid's thumb lane.
    ThumbLane,
    /// In the grid's fingers lane.
    FingersLane,
}

impl Scope {
    /// The heading on the help page.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Everywhere => "Everywhere",
            Self::Grid => "In the beat grid",
            Self::TuneLane => "In the tune lane",
            Self::HandLanes => "In the fingers and thumb lanes",
            Self::ThumbLane => "In the thumb lane",
            Self::FingersLane => "In the fingers lane",
        }
    }
}

/// What a key does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Deed {
    /// Start an empty chart.
    New,
    /// Open a file.
    Open,
    /// Save.
    Save,
    /// Save under another name.
    SaveAs,
    /// Export.
    Export,
    /// Export several files.
    ExportSet,
    /// Start the drill, or stop it.
    Drill,
    /// Show or close the comparison with another version.
    Compare,
    /// Climb the ladder.
    ClimbLadder,
    /// Write the ladder's booklet.
    Booklet,
    /// Read a chart from the clipboard.
    PasteChart,
    /// The strip in which commands are looked up.
    Do,
    /// The strip in which places are looked for.
    Find,
    /// The next place found, or the one before.
    FindStep(bool),
    /// Look for the chord in force.
    FindSame,
    /// Another work area.
    Area(Area),
    /// Take back.
    Undo,
    /// Do again.
    Redo,
    /// Play or stop.
    Play,
    /// Hear the selection.
    Hear,
    /// Hear the selected bar.
    HearBar,
    /// Hear the grip of the selected chord.
    HearGrip,
    /// Loop on or off.
    Loop,
    /// Click on or off.
    Click,
    /// Count-in on or off.
    CountIn,
    /// Mute the selected lane, or let it sound.
    MuteLane,
    /// Hear only the selected lane, or all.
    SoloLane,
    /// The page of shortcuts.
    Help,
    /// The preferences.
    Preferences,
    /// About the program.
    About,
    /// The list of findings.
    Findings,
    /// Light or dark.
    Theme,
    /// The left panel.
    Side,
    /// Leave or close.
    Escape,
    /// Move the selection.
    Go(Step),
    /// Select more bars (forwards or backwards).
    Extend(bool),
    /// The menu of what is selected.
    Menu,
    /// Write the chord.
    EditChord,
    /// Write a chord on exactly this beat.
    NewChord,
    /// Take the chord in force in the bar away.
    RemoveChord,
    /// Use a pinned voicing, by its number from 1.
    UsePin(u8),
    /// Leave the cell to the tool again.
    Clear,
    /// Show the tune's lane and go there.
    TuneLane,
    /// Show the tune's lane, or close it.
    ToggleTune,
    /// Write in the tune.
    Tune(TuneEntry),
    /// Copy the selected bars.
    CopyBars,
    /// Cut them.
    CutBars,
    /// Paste what was copied after them.
    PasteBars,
    /// The same before them.
    PasteBefore,
    /// The same in their place.
    PasteOver,
    /// Put so many copies of them after them.
    RepeatBars(u8),
    /// Repeat them until their section ends.
    RepeatToEnd,
    /// Take something of one bar to the others.
    Fill(Fill),
    /// Put a copy of them after them.
    DuplicateBars,
    /// Put an empty bar after them.
    InsertBar,
    /// Put an empty bar before them.
    InsertBefore,
    /// Take them away.
    DeleteBars,
    /// Name the section.
    RenameSection,
    /// Put a section after this one, or before.
    InsertSection(bool),
    /// Copy the section.
    DuplicateSection,
    /// Move the section on, or back.
    MoveSection(bool),
    /// Take the section away.
    DeleteSection,
    /// Begin a section here.
    BeginSection,
    /// Join the section to the one before.
    JoinSection,
    /// Decide a thumb move.
    Thumb(ThumbMove),
    /// Lock what is selected, or unlock it.
    Lock,
    /// Play the bar another way.
    NextWay,
    /// Have the tool write another thumb line.
    AnotherLine,
    /// Strike here.
    Pluck(Articulation),
    /// No strike here.
    Unpluck,
    /// Step through the slides into this slot.
    NextSlide,
    /// Strike the next chord here, early, or this one again.
    Ahead,
}

/// A step of the selection.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Step {
    /// One slot back.
    Back,
    /// One slot on.
    On,
    /// One lane up.
    Up,
    /// One lane down.
    Down,
    /// One bar back.
    BarBack,
    /// One bar on.
    BarOn,
    /// The first bar.
    First,
    /// The last bar.
    Last,
}

/// What a command acts on.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum About {
    /// Whole bars.
    Bar,
    /// A section.
    Section,
    /// A chord and its voicing.
    Chord,
    /// The thumb's line.
    Thumb,
    /// The fingers' strikes.
    Fingers,
    /// The tune.
    Tune,
    /// What is heard.
    Sound,
    /// What is handed out and practised.
    Sheet,
    /// Where one is and what is selected.
    Going,
    /// The file.
    File,
    /// The window.
    Window,
}

impl About {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Self; 11] = [
        Self::Bar,
        Self::Section,
        Self::Chord,
        Self::Thumb,
        Self::Fingers,
        Self::Tune,
        Self::Sound,
        Self::Sheet,
        Self::Going,
        Self::File,
        Self::Window,
    ];

    /// The heading.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Bar => "Bar",
            Self::Section => "Section",
            Self::Chord => "Chord",
            Self::Thumb => "Thumb",
            Self::Fingers => "Fingers",
            Self::Tune => "Tune",
            Self::Sound => "Sound",
            Self::Sheet => "Sheet and practice",
            Self::Going => "Going and selecting",
            Self::File => "File",
            Self::Window => "Window",
        }
    }
}

impl Deed {
    /// What it acts on.
    #[must_use]
    pub const fn about(self) -> About {
        match self {
            Self::New | Self::Open | Self::Save | Self::SaveAs | Self::PasteChart => About::File,
            Self::Export
            | Self::ExportSet
            | Self::Drill
            | Self::ClimbLadder
            | Self::Booklet
            | Self::Area(Area::Practice | Area::Sheet) => About::Sheet,
            Self::Undo
            | Self::Redo
            | Self::Do
            | Self::Help
            | Self::Preferences
            | Self::About
            | Self::Findings
            | Self::Compare
            | Self::Theme
            | Self::Side
            | Self::Escape => About::Window,
            Self::Play
            | Self::Hear
            | Self::HearBar
            | Self::HearGrip
            | Self::Loop
            | Self::Click
            | Self::CountIn
            | Self::MuteLane
            | Self::SoloLane => About::Sound,
            Self::Find
            | Self::FindStep(_)
            | Self::Area(Area::Arrange)
            | Self::Menu
            | Self::Go(_)
            | Self::Extend(_) => About::Going,
            Self::FindSame
            | Self::EditChord
            | Self::NewChord
            | Self::RemoveChord
            | Self::UsePin(_) => About::Chord,
            Self::TuneLane | Self::ToggleTune | Self::Tune(_) => About::Tune,
            Self::Thumb(_) | Self::AnotherLine => About::Thumb,
            Self::Pluck(_) | Self::Unpluck | Self::NextSlide | Self::Ahead => About::Fingers,
            Self::RenameSection
            | Self::InsertSection(_)
            | Self::DuplicateSection
            | Self::MoveSection(_)
            | Self::DeleteSection
            | Self::BeginSection
            | Self::JoinSection => About::Section,
            Self::CopyBars
            | Self::CutBars
            | Self::PasteBars
            | Self::PasteBefore
            | Self::PasteOver
            | Self::RepeatBars(_)
            | Self::RepeatToEnd
            | Self::Fill(_)
            | Self::DuplicateBars
            | Self::InsertBar
            | Self::InsertBefore
            | Self::DeleteBars
            | Self::Clear
            | Self::Lock
            | Self::NextWay => About::Bar,
        }
    }
}
