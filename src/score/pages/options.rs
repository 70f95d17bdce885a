//! What a sheet shows and on which paper. Every choice has a default that a teacher would hand
//! out as it is. Never holds anything that belongs to the tune.

use super::pen::Lettering;
use super::pen::Style;
use crate::document::Paper;
use crate::document::SheetFont;

/// Where the pages of a sheet stand among those that are handed out together.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct Part {
    /// Pages before them.
    pub before: usize,
    /// Pages in all; `None` for those of the sheet itself.
    pub in_all: Option<usize>,
}

/// What is printed.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct PageOptions {
    /// The paper.
    pub paper: Paper,
    /// The face of letters and figures.
    pub font: SheetFont,
    /// A staff with notes above the tab, which then leaves the rhythm to it.
    pub show_staff: bool,
    /// Chord diagrams over the systems where a grip is new.
    pub show_diagrams: bool,
    /// Left-hand finger numbers at the notes.
    pub show_fingers: bool,
    /// Right-hand letters where they change.
    pub show_pluck_letters: bool,
    /// Codes of the thumb moves under the beats, with their legend.
    pub show_moves: bool,
    /// The movement table behind the music: bars by beats with the thumb's codes.
    pub show_move_table: bool,
    /// That table on a page of its own, with its legend.
    pub table_on_own_page: bool,
    /// Lines for the student's name and the date.
    pub show_student_line: bool,
    /// Words for the student.
    pub show_lesson_text: bool,
    /// Tempi with a box to tick, for practice sheets.
    pub tempo_boxes: Vec<u16>,
    /// Size of the music, in thousandths of the normal one.
    pub size_permille: u16,
    /// Bars in a system; `None` is four, fewer where they are crowded, one more where a bar would
    /// stand alone.
    pub bars_per_system: Option<u8>,
    /// Which chorus is printed, from 1, and of how many, if there are several.
    pub chorus: Option<(u8, u8)>,
    /// The sheet as a part of several that are numbered through.
    pub part: Part,
}

impl PageOptions {
    /// How something is set in the face of the sheet.
    #[must_use]
    pub fn style(&self, lettering: Lettering) -> Style {
        lettering.in_face(self.font)
    }
}

impl Default for PageOptions {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            font: SheetFont::Sans,
            show_staff: false,
            show_diagrams: true,
            show_fingers: true,
            show_pluck_letters: true,
            show_moves: true,
            show_move_table: false,
            table_on_own_page: false,
            show_student_line: true,
            show_lesson_text: true,
            tempo_boxes: Vec::new(),
            size_permille: 1000,
            bars_per_system: None,
            chorus: None,
            part: Part::default(),
        }
    }
}
