//! What the sheet of a project shows, how large and on which paper, and presets for the usual
//! purposes. Plain settings: the layout makes pages of them.

use std::ops::RangeInclusive;

/// Bars in a system that can be asked for.
pub const BARS_PER_SYSTEM: RangeInclusive<u8> = 1..=8;

/// Paper sizes.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 × 11 in, 215.9 × 279.4 mm (ANSI/ASME Y14.1).
    Letter,
}

impl Paper {
    /// Both, A4 first.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// Width and height in millimetres.
    #[must_use]
    pub const fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::Letter => (215.9, 279.4),
        }
    }

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }

    /// A stable ASCII word for files and the command line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "letter",
        }
    }

    /// The paper with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|paper| paper.word() == word)
    }
}

/// The face that letters and figures of a sheet are set in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub enum SheetFont {
    /// Andika, without serifs: plain letters that are hard to mistake for one another.
    #[default]
    Sans,
    /// Charis SIL, with serifs: as books and printed music are set.
    Serif,
}

impl SheetFont {
    /// Every face, the usual one first.
    pub const ALL: [Self; 2] = [Self::Sans, Self::Serif];

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Sans => "Without serifs (Andika)",
            Self::Serif => "With serifs (Charis SIL)",
        }
    }

    /// A stable ASCII word for files and the command line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sans => "sans",
            Self::Serif => "serif",
        }
    }

    /// The face with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|font| font.word() == word)
    }
}

/// What the sheet shows.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct SheetSettings {
    /// The paper.
    pub paper: Paper,
    /// A staff with notes above the tab.
    pub staff: bool,
    /// The face of letters and figures.
    pub font: SheetFont,
    /// How large the music is.
    pub size: MusicSize,
    /// Bars in a system, within [`BARS_PER_SYSTEM`]; `None` leaves it to the layout.
    pub bars_per_system: Option<u8>,
    /// The pages of all choruses one after another, if there are several.
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

impl Default for SheetSettings {
    fn default() -> Self {
        Self {
            paper: Paper::A4,
            staff: false,
            font: SheetFont::Sans,
            size: MusicSize::Normal,
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

/// How large the music is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum MusicSize {
    /// Staves of 6 mm: more on a page.
    Small,
    /// Staves of 7 mm.
    #[default]
    Normal,
    /// Staves of 8.4 mm: for beginners and for reading from a stand.
    Large,
}

impl MusicSize {
    /// From small to large.
    pub const ALL: [Self; 3] = [Self::Small, Self::Normal, Self::Large];

    /// Its part of the normal size, in thousandths.
    #[must_use]
    pub const fn permille(self) -> u16 {
        match self {
            Self::Small => 860,
            Self::Normal => 1000,
            Self::Large => 1200,
        }
    }

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Small => "Small",
            Self::Normal => "Normal",
            Self::Large => "Large",
        }
    }

    /// A stable ASCII word for files and the command line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Small => "small",
            Self::Normal => "normal",
            Self::Large => "large",
        }
    }

    /// The size with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|size| size.word() == word)
    }
}

/// What a sheet is for.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum SheetPreset {
    /// To take home: tab with everything that helps to practise.
    Handout,
    /// To play from: notes above the tab, nothing that only explains.
    FullScore,
    /// Large, two bars a system, with the movement table.
    Beginner,
}

impl SheetPreset {
    /// Every purpose, in the order offered.
    pub const ALL: [Self; 3] = [Self::Handout, Self::FullScore, Self::Beginner];

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Handout => "Lesson handout",
            Self::FullScore => "Full score",
            Self::Beginner => "Beginner",
        }
    }

    /// A stable ASCII word for the command line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Handout => "handout",
            Self::FullScore => "score",
            Self::Beginner => "beginner",
        }
    }

    /// The purpose with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|preset| preset.word() == word)
    }

    /// Its settings on a paper.
    #[must_use]
    pub fn settings(self, paper: Paper) -> SheetSettings {
        let handout = SheetSettings {
            paper,
            ..SheetSettings::default()
        };
        match self {
            Self::Handout => handout,
            Self::FullScore => SheetSettings {
                staff: true,
                font: SheetFont::Serif,
                diagrams: false,
                moves: false,
                student_line: false,
                lesson_text: false,
                ..handout
            },
            Self::Beginner => SheetSettings {
                size: MusicSize::Large,
                bars_per_system: Some(2),
                move_table: true,
                ..handout
            },
        }
    }

    /// These settings for this purpose: paper and choruses stay.
    #[must_use]
    pub fn applied_to(self, sheet: &SheetSettings) -> SheetSettings {
        SheetSettings {
            all_choruses: sheet.all_choruses,
            ..self.settings(sheet.paper)
        }
    }

    /// The preset that has just these settings, whatever the paper and the choruses.
    #[must_use]
    pub fn of(settings: &SheetSettings) -> Option<Self> {
        let mut presets = Self::ALL.into_iter();
        presets.find(|preset| preset.applied_to(settings) == *settings)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_preset_is_known_again_on_every_paper() {
        for preset in SheetPreset::ALL {
            for paper in Paper::ALL {
                let settings = preset.settings(paper);
                assert_eq!(SheetPreset::of(&settings), Some(preset));
                let changed = SheetSettings {
                    fingers: !settings.fingers,
                    ..settings
                };
                assert_eq!(SheetPreset::of(&changed), None);
            }
        }
    }
}
