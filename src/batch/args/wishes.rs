//! What each command is asked, as plain data: the words of a command line after they were read and
//! before any file is looked at.

use crate::document::Approach;
use crate::document::Feel;
use crate::document::MusicSize;
use crate::document::Paper;
use crate::document::SheetFont;
use crate::document::SheetPreset;
use crate::document::SheetSettings;
use crate::document::Walk;
use crate::import::Choice;
use crate::session::SoundOptions;
use crate::session::VoiceRange;
use crate::theory::RuleSet;
use crate::voicing::Bass;
use std::path::PathBuf;

/// Where a chart or project comes from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Source {
    /// Typed as `-`.
    StandardInput,
    /// A file.
    File(PathBuf),
}

/// `chord SYMBOL`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ChordWish {
    /// As typed.
    pub symbol: String,
    /// Whether JSON is wanted.
    pub json: bool,
}

/// `voicings SYMBOL`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct VoicingsWish {
    /// As typed.
    pub symbol: String,
    /// What the thumb takes.
    pub bass: Bass,
    /// Name or notes of a tuning.
    pub tuning: Option<String>,
    /// Fret of the capo.
    pub capo: Option<u8>,
    /// At most so many.
    pub top: Option<usize>,
    /// Whether JSON is wanted.
    pub json: bool,
}

/// `arrange CHART -o FILE`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ArrangeWish {
    /// The chart.
    pub source: Source,
    /// Where the project goes.
    pub output: PathBuf,
    /// What to change in the chart's settings.
    pub changes: Changes,
}

/// Settings that a command line can change.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Changes {
    /// Seed of everything that varies.
    pub seed: Option<u64>,
    /// How off-beats are played.
    pub feel: Option<Feel>,
    /// How late fingers and tune come on the beat, in milliseconds.
    pub lay_back_ms: Option<u8>,
    /// How the thumb walks.
    pub walk: Option<Walk>,
    /// Whether bars of the same shape take the same moves; `false` leaves it as it is.
    pub riff: bool,
    /// Rules of the written thumb line to switch off.
    pub rules_off: RuleSet,
    /// Where approaches come from.
    pub approach: Option<Approach>,
    /// How often the tune is played through.
    pub choruses: Option<u8>,
    /// Name or notes of a tuning.
    pub tuning: Option<String>,
    /// Fret of the capo.
    pub capo: Option<u8>,
}

/// Which chorus pages show.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ChorusWish {
    /// All, one after another.
    All,
    /// One, from 1.
    Number(u8),
}

/// Settings of pages that a command line can change.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct SheetChanges {
    /// The paper.
    pub paper: Option<Paper>,
    /// A staff with notes above the tab, or none.
    pub staff: Option<bool>,
    /// The face of letters and figures.
    pub font: Option<SheetFont>,
    /// How large the music is.
    pub size: Option<MusicSize>,
    /// Which chorus they show.
    pub chorus: Option<ChorusWish>,
    /// Bars in a system; `Some(None)` leaves it to the layout.
    pub bars_per_system: Option<Option<u8>>,
    /// What the sheet is for; the other changes go on top.
    pub purpose: Option<SheetPreset>,
    /// Whether there is a movement table, and whether it has a page of its own.
    pub table: Option<(bool, bool)>,
}

impl SheetChanges {
    /// The settings with the changes made.
    #[must_use]
    pub fn applied_to(self, sheet: SheetSettings) -> SheetSettings {
        let paper = self.paper.unwrap_or(sheet.paper);
        let all_choruses = match self.chorus {
            Some(ChorusWish::All) => true,
            Some(ChorusWish::Number(_)) => false,
            None => sheet.all_choruses,
        };
        let sheet = SheetSettings {
            paper,
            all_choruses,
            ..sheet
        };
        let sheet = self
            .purpose
            .map_or(sheet, |preset| preset.applied_to(&sheet));
        let now = (sheet.move_table, sheet.table_page);
        let (move_table, table_page) = self.table.unwrap_or(now);
        SheetSettings {
            staff: self.staff.unwrap_or(sheet.staff),
            font: self.font.unwrap_or(sheet.font),
            size: self.size.unwrap_or(sheet.size),
            bars_per_system: self.bars_per_system.unwrap_or(sheet.bars_per_system),
            move_table,
            table_page,
            ..sheet
        }
    }
}

/// `import FILE -o FILE`, or `import FILE --list`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ImportWish {
    /// The score.
    pub source: Source,
    /// Where the project or chart goes; `None` only lists the parts.
    pub output: Option<PathBuf>,
    /// What to take of it.
    pub choice: Choice,
}

/// `export FILE -o OUT …`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ExportWish {
    /// The project or chart.
    pub source: Source,
    /// Where it goes, at least one; each format follows from the ending.
    pub outputs: Vec<PathBuf>,
    /// How pages differ from the project's own.
    pub sheet: SheetChanges,
    /// How a sound file is written.
    pub sound: SoundOptions,
    /// Dots per inch of pictures, if not the usual.
    pub dpi: Option<u16>,
}

/// `check`, `events` and `trellis` with a file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FileWish {
    /// The project or chart.
    pub source: Source,
    /// Whether JSON is wanted.
    pub json: bool,
}

/// `keys FILE`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct KeysWish {
    /// The project or chart.
    pub source: Source,
    /// Capos that are tried; none for the tune's own.
    pub capos: Vec<u8>,
    /// Names or notes of tunings that are tried; none for the tune's own.
    pub tunings: Vec<String>,
    /// The range that the tune should stay in.
    pub range: Option<VoiceRange>,
    /// At most so many keys.
    pub top: Option<usize>,
    /// Whether JSON is wanted.
    pub json: bool,
}

/// `drill FILE`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrillWish {
    /// The chart or project.
    pub source: Source,
    /// How many lines.
    pub lines: u16,
    /// The rung whose devices are drilled, from 0; `None` is the tune as it is set.
    pub rung: Option<usize>,
    /// Which run of lines.
    pub series: u64,
}

/// `compare A B`, or `compare A --kept NAME`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CompareWish {
    /// The first.
    pub a: Source,
    /// The second.
    pub b: OtherSource,
    /// Whether JSON is wanted.
    pub json: bool,
}

/// Where the second of two versions comes from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum OtherSource {
    /// A file of its own.
    Of(Source),
    /// A version kept in the first one's project, by its name.
    Kept(String),
}

/// `ladder FILE -o FOLDER`
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LadderWish {
    /// The chart or project.
    pub source: Source,
    /// Where the rungs go.
    pub folder: PathBuf,
}
