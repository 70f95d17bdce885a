//! Version 1 of the project file as serde sees it. These types *are* the format: renaming a field
//! here breaks every project on disk, so changes mean a new version beside this one. Unknown
//! fields are refused, so that a slip of the pen in a text editor is never dropped silently.

use serde::Deserialize;
use serde::Serialize;

fn is_false(value: &bool) -> bool {
    !*value
}

fn is_zero(value: &u8) -> bool {
    *value == 0
}

/// The whole file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Project")]
pub struct ProjectV1 {
    /// Always [`super::FORMAT`].
    pub format: String,
    /// Always 1.
    pub version: u32,
    /// Title.
    #[serde(default)]
    pub title: String,
    /// Who wrote it.
    #[serde(default)]
    pub credits: String,
    /// `Bb major`.
    pub key: String,
    /// `4/4`.
    pub meter: String,
    /// Beats per minute.
    pub tempo: u16,
    /// `straight`, `follow tempo` or `swing 2:1`.
    pub feel: String,
    /// Milliseconds by which fingers and tune come late on the beat.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub lay_back: u8,
    /// `letters` or `signs`.
    #[serde(default = "letters")]
    pub chord_style: String,
    /// The guitar.
    #[serde(default)]
    pub instrument: InstrumentV1,
    /// The hand.
    #[serde(default)]
    pub hand: HandV1,
    /// Thumb line and plucking.
    #[serde(default)]
    pub line: LineV1,
    /// What is asked of the tune.
    #[serde(default, skip_serializing_if = "TuneV1::is_default")]
    pub tune: TuneV1,
    /// How often it is played through, if more than once.
    #[serde(default, skip_serializing_if = "ChorusesV1::is_default")]
    pub choruses: ChorusesV1,
    /// The rungs of the ladder, if not the usual ones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rungs: Vec<RungV1>,
    /// Words for the student.
    #[serde(default)]
    pub lesson: String,
    /// What the sheet shows.
    #[serde(default)]
    pub sheet: SheetV1,
    /// The chart.
    #[serde(default)]
    pub sections: Vec<SectionV1>,
    /// Versions kept beside it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub versions: Vec<VersionV1>,
}

/// A kept version: a name and a project without versions of its own.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Version")]
pub struct VersionV1 {
    /// What it is called.
    pub name: String,
    /// The tune as it was.
    pub project: ProjectV1,
}

fn letters() -> String {
    "letters".into()
}

/// The guitar as built and set up.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, default, rename = "Instrument")]
pub struct InstrumentV1 {
    /// Name of the tuning.
    pub tuning: String,
    /// Open strings as notes with octaves, lowest-pitched first: `E2 A2 D3 G3 B3 E4`.
    pub open_strings: String,
    /// Fret of the capo.
    pub capo: u8,
    /// Frets on the neck.
    pub frets: u8,
    /// Scale length in millimetres.
    pub scale_mm: f64,
    /// `nylon` or `steel`.
    pub strings: String,
    /// Mirrored views.
    pub left_handed: bool,
}

impl Default for InstrumentV1 {
    fn default() -> Self {
        Self {
            tuning: "standard".into(),
            open_strings: "E2 A2 D3 G3 B3 E4".into(),
            capo: 0,
            frets: 20,
            scale_mm: 648.0,
            strings: "nylon".into(),
            left_handed: false,
        }
    }
}

/// A hand profile.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, default, rename = "Hand")]
pub struct HandV1 {
    /// Whose hand.
    pub name: String,
    /// Thousandths of the adult reach.
    pub reach_permille: u16,
    /// Whether the left thumb may fret.
    pub thumb_over: bool,
    /// Whether a finger may hold several strings.
    pub barre: bool,
    /// Fingers that pluck beside the thumb.
    pub plucking_fingers: u8,
}

impl Default for HandV1 {
    fn default() -> Self {
        Self {
            name: "Adult".into(),
            reach_permille: 1000,
            thumb_over: false,
            barre: true,
            plucking_fingers: 3,
        }
    }
}

/// Strikes of the fingers: place in ticks, and `ring`, `short`, `ring ahead` or `short ahead`.
pub type PlucksV1 = Vec<(u32, String)>;

/// Thumb line and plucking of the whole tune.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, default, rename = "Line")]
pub struct LineV1 {
    /// `below`, `above`, `alternate` or `easiest`.
    pub approach: String,
    /// Seed of everything that varies.
    pub seed: u64,
    /// `roots`, `plain`, `two-approaches`, `runs` or `mixed`.
    pub walk: String,
    /// Whether open strings may be used.
    pub open_strings: bool,
    /// Whether the hardest single change is made as easy as it can be.
    pub keep_hardest_easy: bool,
    /// Strikes of the fingers in bars that have none of their own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plucks: Option<PlucksV1>,
    /// Whether bars of the same shape take the same moves.
    #[serde(skip_serializing_if = "is_false")]
    pub riff: bool,
    /// Words of the rules that are switched off.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rules_off: Vec<String>,
    /// Scales: semitones above the tonic, quality of the chord, name of the scale.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub scales: Vec<(u8, String, String)>,
}

/// What is asked of the tune as a whole.
#[derive(Serialize, Deserialize, PartialEq)]
#[serde(deny_unknown_fields, default, rename = "TuneSettings")]
pub struct TuneV1 {
    /// `pattern`, `every-note`, `on-beats` or `changes`.
    pub density: String,
    /// Octaves by which it is played higher than written.
    pub octaves: i8,
}

impl Default for TuneV1 {
    fn default() -> Self {
        Self {
            density: "pattern".into(),
            octaves: 0,
        }
    }
}

impl TuneV1 {
    fn is_default(&self) -> bool {
        *self == Self::default()
    }
}

/// How often the tune is played through.
#[derive(Serialize, Deserialize, PartialEq)]
#[serde(deny_unknown_fields, default, rename = "Choruses")]
pub struct ChorusesV1 {
    /// Times.
    pub count: u8,
    /// The chorus on the sheet, from 1.
    pub on_sheet: u8,
}

impl Default for ChorusesV1 {
    fn default() -> Self {
        Self {
            count: 1,
            on_sheet: 1,
        }
    }
}

impl ChorusesV1 {
    fn is_default(&self) -> bool {
        *self == Self::default()
    }
}

/// One rung of the ladder.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Rung")]
pub struct RungV1 {
    /// What it is called.
    pub name: String,
    /// As [`LineV1::walk`].
    pub walk: String,
    /// Words of the moves the thumb may use, if not all those of its walk.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moves: Option<Vec<String>>,
    /// Whether the fingers slide.
    #[serde(default, skip_serializing_if = "is_false")]
    pub slides: bool,
    /// Whether the tune is played.
    #[serde(default, skip_serializing_if = "is_false")]
    pub tune: bool,
    /// Words for the student.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub advice: String,
    /// Tempi reached, the latest last.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub reached: Vec<u16>,
}

/// What is asked of the thumb line in one bar.
#[derive(Serialize, Deserialize, Default, PartialEq)]
#[serde(deny_unknown_fields, default, rename = "BarLine")]
pub struct BarLineV1 {
    /// As [`LineV1::walk`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub walk: Option<String>,
    /// Words of the moves that may be written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moves: Option<Vec<String>>,
    /// Whether it takes up the pattern of the bar before it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub riff: Option<bool>,
}

impl BarLineV1 {
    fn is_default(&self) -> bool {
        *self == Self::default()
    }
}

impl Default for LineV1 {
    fn default() -> Self {
        Self {
            approach: "below".into(),
            seed: 1,
            walk: "plain".into(),
            open_strings: true,
            keep_hardest_easy: false,
            plucks: None,
            riff: false,
            rules_off: Vec::new(),
            scales: Vec::new(),
        }
    }
}

/// What the sheet shows.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, default, rename = "Sheet")]
pub struct SheetV1 {
    /// `a4` or `letter`.
    pub paper: String,
    /// A staff with notes above the tab.
    pub staff: bool,
    /// `sans` or `serif`.
    pub font: String,
    /// `small`, `normal` or `large`.
    pub size: String,
    /// Bars in a system; without a number the layout decides.
    pub bars_per_system: Option<u8>,
    /// The pages of all choruses one after another.
    pub all_choruses: bool,
    /// Chord diagrams where a grip is new.
    pub diagrams: bool,
    /// Left-hand fingers at the notes.
    pub fingers: bool,
    /// Right-hand letters where they change.
    pub pluck_letters: bool,
    /// Codes of the thumb moves under the beats.
    pub moves: bool,
    /// The movement table behind the music.
    pub move_table: bool,
    /// That table on a page of its own.
    pub table_page: bool,
    /// Lines for the student's name and the date.
    pub student_line: bool,
    /// Words for the student.
    pub lesson_text: bool,
}

impl Default for SheetV1 {
    fn default() -> Self {
        Self {
            paper: "a4".into(),
            staff: false,
            font: "sans".into(),
            size: "normal".into(),
            bars_per_system: None,
            all_choruses: false,
            diagrams: true,
            fingers: true,
            pluck_letters: true,
            moves: true,
            move_table: false,
            table_page: false,
            student_line: true,
            lesson_text: true,
        }
    }
}

/// A named part.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Section")]
pub struct SectionV1 {
    /// `A`, `Bridge`; may be empty.
    #[serde(default)]
    pub name: String,
    /// Its bars.
    #[serde(default)]
    pub bars: Vec<BarV1>,
}

/// One bar.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Bar")]
pub struct BarV1 {
    /// Chords by place.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub chords: Vec<ChordV1>,
    /// Thumb slots decided by the user: place in ticks, and a move's word, `string 6 fret 3` or
    /// both, as in `third on string 6 fret 4`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub thumb: Vec<(u32, String)>,
    /// Strikes of the fingers decided by the user.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plucks: Option<PlucksV1>,
    /// Slides: place in ticks, and such as `fingers-from-below`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub slides: Vec<(u32, String)>,
    /// Notes of the tune: place and length in ticks, and a note with its octave, such as `Bb4`, or
    /// `Bb4 tied` if it goes on from the note before.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tune: Vec<(u32, u32, String)>,
    /// What the thumb line may do here.
    #[serde(default, skip_serializing_if = "BarLineV1::is_default")]
    pub line: BarLineV1,
    /// Length in ticks if it is not the metre's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<u32>,
    /// A repeated part begins.
    #[serde(default, skip_serializing_if = "is_false")]
    pub repeat_start: bool,
    /// A repeated part ends and is played so often.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub repeat_times: u8,
    /// Number of the ending.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub ending: u8,
}

/// One chord.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Chord")]
pub struct ChordV1 {
    /// Place in ticks.
    #[serde(default)]
    pub at: u32,
    /// As typed, or `N.C.`.
    pub chord: String,
    /// `3x443x` if the user chose the shape.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub shape: String,
}
