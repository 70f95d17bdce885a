//! Edits: the closed list of things that can change a document. Each is checked before anything
//! changes, and carries the words that undo shows.

use super::choruses::Choruses;
use super::practice::LadderRung;
use super::sheet::SheetSettings;
use super::tune::TuneNote;
use super::tune::TuneSettings;
use super::types::Bar;
use super::types::BarLine;
use super::types::Document;
use super::types::Feel;
use super::types::LineSettings;
use super::types::MAX_BARS;
use super::types::Section;
use super::types::ThumbCell;
use super::versions::MAX_VERSIONS;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::theory::Harmony;
use crate::theory::HouseStyle;
use crate::theory::Key;
use crate::theory::Meter;
use crate::theory::Pluck;
use crate::theory::Slide;
use crate::theory::Ticks;
use std::sync::Arc;

/// Where bars are put; it decides which section they belong to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum BarPlace {
    /// Before this bar, in its section.
    Before(usize),
    /// After this bar, in its section.
    After(usize),
}

/// One change. Bars are numbered from 0 in written order.
#[derive(Clone, PartialEq, Debug)]
pub enum Edit {
    /// The title.
    SetTitle(String),
    /// Who wrote it.
    SetCredits(String),
    /// Words for the student.
    SetLessonText(String),
    /// The key, without moving any chord.
    SetKey(Key),
    /// The metre; bars keep their chords where these still fit.
    SetMeter(Meter),
    /// Beats per minute.
    SetTempo(u16),
    /// Feel.
    SetFeel(Feel),
    /// How late fingers and tune come on the beat, in milliseconds.
    SetLayBack(u8),
    /// How chord symbols are shown.
    SetHouseStyle(HouseStyle),
    /// The instrument.
    SetInstrument(Instrument),
    /// The hand.
    SetHand(Hand),
    /// Thumb line and plucking.
    SetLine(LineSettings),
    /// What the sheet shows.
    SetSheet(SheetSettings),
    /// Writes a chord at a place, or takes it away.
    SetHarmony {
        /// Bar.
        bar: usize,
        /// Where in the bar.
        at: Ticks,
        /// What to write; `None` removes it.
        harmony: Option<Harmony>,
    },
    /// Chooses the shape of a written chord, or leaves it to the tool again.
    SetShape {
        /// Bar.
        bar: usize,
        /// Which chord of the bar.
        chord_idx: usize,
        /// The shape.
        shape: Option<Shape>,
    },
    /// Decides a thumb slot, or leaves it to the tool again.
    SetThumb {
        /// Bar.
        bar: usize,
        /// Where in the bar.
        at: Ticks,
        /// The decision.
        cell: Option<ThumbCell>,
    },
    /// Decides the strikes of the fingers in a bar, or gives the bar the tune's pattern again.
    SetPlucks {
        /// Bar.
        bar: usize,
        /// The strikes.
        plucks: Option<Vec<Pluck>>,
    },
    /// Says what the thumb line may do in a bar.
    SetBarLine {
        /// Bar.
        bar: usize,
        /// What is asked.
        line: BarLine,
    },
    /// Has the fingers, or the whole grip, slide into a place, or no longer.
    SetSlide {
        /// Bar.
        bar: usize,
        /// Where in the bar.
        at: Ticks,
        /// The slide.
        slide: Option<Slide>,
    },
    /// Writes the tune of a bar: notes in order, side by side, within the bar.
    SetTune {
        /// Bar.
        bar: usize,
        /// The notes.
        notes: Vec<TuneNote>,
    },
    /// What is asked of the tune as a whole.
    SetTuneSettings(TuneSettings),
    /// How often the tune is played through, and which time the sheet shows.
    SetChoruses(Choruses),
    /// The rungs of the ladder; none for the usual ones.
    SetRungs(Vec<LadderRung>),
    /// Puts empty bars before a bar (at the end if `before` is the number of bars).
    InsertBars {
        /// Before which bar.
        before: usize,
        /// How many.
        count: usize,
    },
    /// Puts bars, with everything in them, beside a bar.
    PutBars {
        /// Where.
        place: BarPlace,
        /// The bars.
        bars: Vec<Bar>,
    },
    /// Removes bars, first and last included.
    DeleteBars {
        /// First.
        first: usize,
        /// Last.
        last: usize,
    },
    /// Names a section (from 0).
    RenameSection {
        /// Which.
        section: usize,
        /// The name; may be empty.
        name: String,
    },
    /// Puts a section, with everything in it, before another (at the end if `before` is the number
    /// of sections).
    PutSection {
        /// Before which.
        before: usize,
        /// The section.
        section: Section,
    },
    /// Removes a section with its bars.
    DeleteSection {
        /// Which.
        section: usize,
    },
    /// Moves a section to another place.
    MoveSection {
        /// Which.
        from: usize,
        /// Its number afterwards.
        to: usize,
    },
    /// Begins a section in the middle of another.
    DivideSection {
        /// Its first bar.
        bar: usize,
        /// Its name.
        name: String,
    },
    /// Makes a section a part of the one before it.
    JoinSection {
        /// Which.
        section: usize,
    },
    /// Moves the whole chart by semitones (−11 to 11) into another key, spelled for that key.
    Transpose(i8),
    /// Keeps the tune as it is beside itself, under a name; without one it gets one.
    KeepVersion(String),
    /// Forgets a kept version, by its number from 0.
    DropVersion(usize),
    /// Takes another document in the place of this one; what was kept stays.
    TakeDocument {
        /// The other.
        document: Arc<Document>,
        /// What undo and redo call it.
        label: String,
    },
    /// Several edits as one: all of them or none.
    Together {
        /// What undo and redo call it.
        label: String,
        /// The edits, in order.
        edits: Vec<Edit>,
    },
}

/// Why an edit could not be made.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum EditError {
    /// There is no such bar.
    #[error("there is no bar {}; the tune has {n_bars} bars", bar + 1)]
    NoSuchBar {
        /// The bar asked for, from 0.
        bar: usize,
        /// How many there are.
        n_bars: usize,
    },
    /// There is no such chord.
    #[error("bar {} has no chord number {}", bar + 1, chord_idx + 1)]
    NoSuchChord {
        /// Bar from 0.
        bar: usize,
        /// Chord from 0.
        chord_idx: usize,
    },
    /// A place outside the bar.
    #[error("bar {} has no such beat", bar + 1)]
    OutsideBar {
        /// Bar from 0.
        bar: usize,
    },
    /// Two notes of the tune at once, or out of order.
    #[error("two notes of the tune sound at once in bar {}; it has one voice", bar + 1)]
    TuneOverlaps {
        /// Bar from 0.
        bar: usize,
    },
    /// A note of the tune that does not end in its bar.
    #[error("a note of the tune in bar {} is longer than the bar; tie it to one in the next", bar + 1)]
    TuneOutside {
        /// Bar from 0.
        bar: usize,
    },
    /// A value outside its range.
    #[error("{what} must be {range}")]
    OutOfRange {
        /// What it is.
        what: &'static str,
        /// What it may be.
        range: &'static str,
    },
    /// An instrument that can't be; why, in words.
    #[error("{0}")]
    Instrument(String),
    /// There is no such section.
    #[error("there is no section {} to do this with; the tune has {n_sections}", section + 1)]
    NoSuchSection {
        /// The section asked for, from 0.
        section: usize,
        /// How many there are.
        n_sections: usize,
    },
    /// A section begins where one is to begin.
    #[error("a section begins with bar {} already", bar + 1)]
    BeginsAlready {
        /// Bar from 0.
        bar: usize,
    },
    /// More bars than the program takes.
    #[error("a tune can have at most {} bars", MAX_BARS)]
    TooManyBars,
    /// More versions than a project keeps.
    #[error("a project keeps at most {} versions; forget one first", MAX_VERSIONS)]
    TooManyVersions,
    /// There is no such kept version.
    #[error("there is no such kept version")]
    NoSuchVersion,
}

impl Edit {
    /// What undo and redo call it.
    #[must_use]
    pub fn label(&self) -> String {
        match self {
            Self::SetTitle(_) => "Change title".into(),
            Self::SetCredits(_) => "Change credits".into(),
            Self::SetLessonText(_) => "Change lesson text".into(),
            Self::SetKey(_) => "Change key".into(),
            Self::SetMeter(_) => "Change meter".into(),
            Self::SetTempo(_) => "Change tempo".into(),
            Self::SetFeel(_) => "Change feel".into(),
            Self::SetLayBack(_) => "Change lay-back".into(),
            Self::SetHouseStyle(_) => "Change chord style".into(),
            Self::SetInstrument(_) => "Change instrument".into(),
            Self::SetHand(_) => "Change hand".into(),
            Self::SetLine(_) => "Change line settings".into(),
            Self::SetSheet(_) => "Change sheet".into(),
            Self::SetHarmony { bar, .. } => format!("Change chord in bar {}", bar + 1),
            Self::SetShape { bar, .. } => format!("Choose voicing in bar {}", bar + 1),
            Self::SetThumb { bar, .. } => format!("Change thumb in bar {}", bar + 1),
            Self::SetPlucks { bar, .. } => format!("Change plucks in bar {}", bar + 1),
            Self::SetBarLine { bar, .. } => format!("Change thumb line in bar {}", bar + 1),
            Self::SetSlide { bar, .. } => format!("Change slide in bar {}", bar + 1),
            Self::SetTune { bar, .. } => format!("Change tune in bar {}", bar + 1),
            Self::SetTuneSettings(_) => "Change tune settings".into(),
            Self::SetChoruses(_) => "Change choruses".into(),
            Self::SetRungs(_) => "Change ladder".into(),
            Self::InsertBars { count: 1, .. } => "Insert a bar".into(),
            Self::InsertBars { count, .. } => format!("Insert {count} bars"),
            Self::PutBars { bars, .. } if bars.len() == 1 => "Put a bar".into(),
            Self::PutBars { bars, .. } => format!("Put {} bars", bars.len()),
            Self::DeleteBars { first, last } if first == last => {
                format!("Delete bar {}", first + 1)
            }
            Self::DeleteBars { first, last } => {
                format!("Delete bars {} to {}", first + 1, last + 1)
            }
            Self::RenameSection { .. } => "Rename section".into(),
            Self::PutSection { section, .. } => format!("Put section {}", section.name),
            Self::DeleteSection { .. } => "Delete section".into(),
            Self::MoveSection { .. } => "Move section".into(),
            Self::DivideSection { bar, .. } => format!("Begin a section with bar {}", bar + 1),
            Self::JoinSection { .. } => "Join sections".into(),
            Self::Transpose(_) => "Transpose".into(),
            Self::KeepVersion(_) => "Keep this version".into(),
            Self::DropVersion(_) => "Forget a version".into(),
            Self::TakeDocument { label, .. } | Self::Together { label, .. } => label.clone(),
        }
    }

    /// Edits with the same key that follow each other are one step of undo: typing in a field,
    /// dragging a value.
    #[must_use]
    pub const fn merge_key(&self) -> Option<&'static str> {
        match self {
            Self::SetTitle(_) => Some("title"),
            Self::SetCredits(_) => Some("credits"),
            Self::SetLessonText(_) => Some("lesson"),
            Self::SetTempo(_) => Some("tempo"),
            Self::SetFeel(_) => Some("feel"),
            Self::SetLayBack(_) => Some("lay-back"),
            Self::SetHand(_) => Some("hand"),
            _ => None,
        }
    }
}
