//! The types of a document. Bars are addressed by their number in written order, from 0, across
//! all sections.

use super::choruses::Choruses;
use super::practice::LadderRung;
use super::sheet::SheetSettings;
use super::tune::TuneNote;
use super::tune::TuneSettings;
use super::versions::KeptVersion;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::theory::Form;
use crate::theory::Harmony;
use crate::theory::HouseStyle;
use crate::theory::Key;
use crate::theory::Meter;
use crate::theory::MoveSet;
use crate::theory::Pluck;
use crate::theory::RuleSet;
use crate::theory::ScaleChoice;
use crate::theory::Slide;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use std::ops::RangeInclusive;
use std::sync::Arc;

/// The most bars a tune can have.
pub const MAX_BARS: usize = 2000;

/// Tempi offered, in beats per minute.
pub const TEMPO_BPM: RangeInclusive<u16> = 30..=320;

/// Swing ratios offered, long to short in thousandths.
pub const SWING_PERMILLE: RangeInclusive<u16> = 1000..=3500;

/// Lay-backs offered, in milliseconds.
pub const LAY_BACK_MS: RangeInclusive<u8> = 0..=40;

/// The most bars a performance can have when all repeats are unfolded.
const MAX_PLAYED_BARS: usize = 20_000;

/// How off-beat eighths are played.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Feel {
    /// Even eighths.
    Straight,
    /// Long to short as thousandths: 2000 is 2 : 1. Between 1000 and 3500.
    Swing(u16),
    /// The ratio follows the tempo.
    FollowTempo,
}

/// A chord of a bar; it lasts until the next one or the end of the bar.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct ChordAt {
    /// Where in the bar.
    pub at: Ticks,
    /// What is written there.
    pub harmony: Harmony,
    /// The shape the user chose; `None` leaves it to the tool.
    pub shape: Option<Shape>,
}

/// What the user asked of one thumb slot.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ThumbCell {
    /// This move, wherever it lies best.
    Move(ThumbMove),
    /// Exactly this string and fret (from the capo).
    Place(StringIdx, u8),
    /// A note of the tool that is kept as it is: its move, string and fret.
    Kept(ThumbMove, StringIdx, u8),
}

/// What is asked of the thumb line in one bar, where it differs from the tune's settings.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct BarLine {
    /// How the thumb walks here.
    pub walk: Option<Walk>,
    /// The moves that may be written here; with a choice of its own a bar takes them from all
    /// moves, not only from those of its walk.
    pub moves: Option<MoveSet>,
    /// Whether the bar takes up the pattern of the bar before it.
    pub riff: Option<bool>,
}

/// One bar of the chart with the choices made in it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Bar {
    /// Chords by place. Empty: the chord before goes on.
    pub chords: Vec<ChordAt>,
    /// Thumb slots the user decided, by place; others are left to the tool.
    pub thumb: Vec<(Ticks, ThumbCell)>,
    /// What the thumb line may do here.
    pub line: BarLine,
    /// Strikes of the fingers if the user decided them; `None` is the tune's pattern.
    pub plucks: Option<Vec<Pluck>>,
    /// Slides by place: of the fingers struck there, and of the thumb if the whole grip slides.
    pub slides: Vec<(Ticks, Slide)>,
    /// Notes of the tune, one after the other.
    pub tune: Vec<TuneNote>,
    /// Length if it differs from the metre's (a pick-up).
    pub length: Option<Ticks>,
    /// Whether a repeated part begins here.
    pub repeat_start: bool,
    /// How often the part ending here is played in all; 0 if none ends.
    pub repeat_times: u8,
    /// The ending this bar belongs to (1, 2, …); 0 if none.
    pub ending: u8,
}

impl Bar {
    /// Its own length, else a full bar of the tune's metre.
    #[must_use]
    pub fn length_in(&self, meter: Meter) -> Ticks {
        self.length.unwrap_or_else(|| meter.bar())
    }
}

/// A named part of the tune.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Section {
    /// `A`, `Bridge`, …; may be empty.
    pub name: String,
    /// Its bars.
    pub bars: Vec<Bar>,
}

/// Settings of the thumb line and the plucking for the whole tune.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct LineSettings {
    /// How the thumb walks.
    pub walk: Walk,
    /// Where approaches come from, in a plain walk.
    pub approach: Approach,
    /// Seed of everything that varies.
    pub seed: u64,
    /// Whether bars of the same shape take the same moves.
    pub riff: bool,
    /// Rules of a written line that are switched off.
    pub rules_off: RuleSet,
    /// Scales between the chord tones, where they are not the usual ones.
    pub scales: Vec<ScaleChoice>,
    /// Strikes of the fingers in every bar that has none of its own; `None` is the metre's usual.
    pub plucks: Option<Vec<Pluck>>,
    /// Whether open strings may be used.
    pub open_strings: bool,
    /// Whether the hardest single change is kept as easy as it can be, even if the whole then
    /// costs more.
    pub keep_hardest_easy: bool,
}

/// Where chromatic approaches come from, as the user set it.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Approach {
    /// From a semitone below.
    #[default]
    Below,
    /// From a semitone above.
    Above,
    /// In turn.
    Alternate,
    /// Whichever is easier.
    Easiest,
}

/// How the thumb walks where the user has decided nothing.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Walk {
    /// The root on every beat and nothing else.
    Roots,
    /// The root on every beat, a semitone approach before each change; the side and the octave
    /// are chosen with the grips.
    #[default]
    Plain,
    /// A written line with approaches on two beats of a bar, from opposite sides.
    TwoApproaches,
    /// A written line with scale runs.
    Runs,
    /// A written line with every device.
    Mixed,
}

impl Walk {
    /// Every way, easiest first.
    pub const ALL: [Self; 5] = [
        Self::Roots,
        Self::Plain,
        Self::TwoApproaches,
        Self::Runs,
        Self::Mixed,
    ];

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Roots => "Roots only",
            Self::Plain => "Plain walk",
            Self::TwoApproaches => "Two approaches",
            Self::Runs => "Runs",
            Self::Mixed => "Mixed",
        }
    }

    /// A stable ASCII word for files and the command line.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Roots => "roots",
            Self::Plain => "plain",
            Self::TwoApproaches => "two-approaches",
            Self::Runs => "runs",
            Self::Mixed => "mixed",
        }
    }

    /// The way with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|walk| walk.word() == word)
    }
}

/// One project.
#[derive(Clone, PartialEq, Debug)]
pub struct Document {
    /// Title.
    pub title: String,
    /// Who wrote it, as printed.
    pub credits: String,
    /// Key.
    pub key: Key,
    /// Metre.
    pub meter: Meter,
    /// Beats per minute, 30 to 320.
    pub tempo_bpm: u16,
    /// How off-beats are played.
    pub feel: Feel,
    /// How late fingers and tune come on the beat, in milliseconds, 0 to 40; the thumb and all
    /// off-beats are in time.
    pub lay_back_ms: u8,
    /// How chord symbols are shown.
    pub house_style: HouseStyle,
    /// The instrument.
    pub instrument: Arc<Instrument>,
    /// The hand.
    pub hand: Arc<Hand>,
    /// Thumb line and plucking.
    pub line: LineSettings,
    /// What is asked of the tune.
    pub tune: TuneSettings,
    /// How often it is played through.
    pub choruses: Choruses,
    /// The rungs of its ladder; empty for the usual ones.
    pub rungs: Vec<LadderRung>,
    /// Words for the student, printed on the sheet.
    pub lesson_text: String,
    /// What the sheet shows.
    pub sheet: SheetSettings,
    /// The chart.
    pub sections: Vec<Arc<Section>>,
    /// Versions kept beside it.
    pub versions: Vec<KeptVersion>,
}

impl Default for Document {
    fn default() -> Self {
        Self {
            title: String::new(),
            credits: String::new(),
            key: Key::C_MAJOR,
            meter: Meter::COMMON,
            tempo_bpm: 120,
            feel: Feel::Swing(2000),
            lay_back_ms: 0,
            house_style: HouseStyle::default(),
            instrument: Arc::new(Instrument::default()),
            hand: Arc::new(Hand::default()),
            line: LineSettings {
                walk: Walk::default(),
                approach: Approach::default(),
                seed: 1,
                riff: false,
                rules_off: RuleSet::EMPTY,
                scales: Vec::new(),
                plucks: None,
                open_strings: true,
                keep_hardest_easy: false,
            },
            tune: TuneSettings::default(),
            choruses: Choruses::default(),
            rungs: Vec::new(),
            lesson_text: String::new(),
            sheet: SheetSettings::default(),
            sections: Vec::new(),
            versions: Vec::new(),
        }
    }
}

impl Document {
    /// Bars in written order.
    pub fn bars(&self) -> impl Iterator<Item = &Bar> {
        self.sections.iter().flat_map(|section| &section.bars)
    }

    /// How many bars are written.
    #[must_use]
    pub fn n_bars(&self) -> usize {
        self.sections.iter().map(|section| section.bars.len()).sum()
    }

    /// A bar by its number from 0.
    #[must_use]
    pub fn bar(&self, bar: usize) -> Option<&Bar> {
        self.bars().nth(bar)
    }

    /// Length of a bar.
    #[must_use]
    pub fn bar_length(&self, bar: usize) -> Ticks {
        self.bar(bar)
            .map_or_else(|| self.meter.bar(), |bar| bar.length_in(self.meter))
    }

    /// Bars in the order they are played, repeats and endings unfolded: numbers from 0.
    ///
    /// A repeated part goes back to its start sign, or to the end of the repeat before it. Bars
    /// of ending *n* are played in pass *n* only; an ending with a repeat sign always goes back.
    /// Repeats do not nest.
    #[must_use]
    pub fn played_order(&self) -> Vec<usize> {
        let bars: Vec<&Bar> = self.bars().collect();
        let mut order = Vec::with_capacity(bars.len());
        let mut part_start = 0;
        let mut pass = 1;
        let mut idx = 0;
        while let Some(bar) = bars.get(idx) {
            if order.len() >= MAX_PLAYED_BARS {
                break;
            }
            if bar.repeat_start && idx != part_start && bar.ending == 0 {
                part_start = idx;
                pass = 1;
            }
            if bar.ending != 0 && bar.ending != pass {
                idx += 1;
                continue;
            }
            order.push(idx);
            let goes_back = bar.repeat_times > 0 && (bar.ending != 0 || pass < bar.repeat_times);
            if goes_back {
                pass += 1;
                idx = part_start;
                continue;
            }
            let part_is_over = bar.repeat_times > 0
                || (bar.ending != 0 && bars.get(idx + 1).is_none_or(|next| next.ending == 0));
            idx += 1;
            if part_is_over {
                part_start = idx;
                pass = 1;
            }
        }
        order
    }

    /// Which bars are heard one after the other where they are not written so.
    #[must_use]
    pub fn form(&self) -> Form {
        let again = self.choruses.count > 1;
        Form::of(&self.played_order(), self.bars().count(), again)
    }

    /// The section a bar belongs to, and whether the bar is its first.
    #[must_use]
    pub fn section_of(&self, bar: usize) -> Option<(&Section, bool)> {
        let mut first = 0;
        for section in &self.sections {
            if bar < first + section.bars.len() {
                return Some((section, bar == first));
            }
            first += section.bars.len();
        }
        None
    }

    /// The harmony in force at a place: the last chord written at or before it.
    #[must_use]
    pub fn harmony_at(&self, bar: usize, at: Ticks) -> Option<&Harmony> {
        let here = self
            .bar(bar)?
            .chords
            .iter()
            .rev()
            .find(|chord| chord.at <= at);
        let last_of = |bar: usize| self.bar(bar)?.chords.last();
        // Backwards from the bar: most bars have a chord.
        let before = || (0..bar).rev().find_map(last_of);
        here.or_else(before).map(|chord| &chord.harmony)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bars as text: `[` start, `]` end of a repeat played twice, `3` … after `]` its times,
    /// a digit before a bar its ending.
    fn order_of(bars: &[(bool, u8, u8)]) -> Vec<usize> {
        let bars = bars
            .iter()
            .map(|(start, times, ending)| Bar {
                repeat_start: *start,
                repeat_times: *times,
                ending: *ending,
                ..Bar::default()
            })
            .collect();
        let section = Section {
            name: String::new(),
            bars,
        };
        Document {
            sections: vec![Arc::new(section)],
            ..Document::default()
        }
        .played_order()
    }

    #[test]
    fn repeats_and_endings_unfold_as_players_read_them() {
        let plain = (false, 0, 0);
        let start = (true, 0, 0);
        let end = (false, 2, 0);
        assert_eq!(order_of(&[plain, plain]), [0, 1]);
        assert_eq!(order_of(&[start, end, plain]), [0, 1, 0, 1, 2]);
        assert_eq!(
            order_of(&[plain, end]),
            [0, 1, 0, 1],
            "without a start sign: from the top"
        );
        assert_eq!(
            order_of(&[plain, start, (false, 3, 0)]),
            [0, 1, 2, 1, 2, 1, 2]
        );
        let first_ending = (false, 2, 1);
        let second_ending = (false, 0, 2);
        assert_eq!(
            order_of(&[start, first_ending, second_ending, plain]),
            [0, 1, 0, 2, 3]
        );
        assert_eq!(order_of(&[start, first_ending, plain]), [0, 1, 0, 2]);
        assert_eq!(
            order_of(&[start, first_ending, second_ending, end]),
            [0, 1, 0, 2, 3, 3],
            "a new part begins after the last ending"
        );
        let one_bar = (true, 2, 0);
        assert_eq!(order_of(&[one_bar, plain]), [0, 0, 1]);
    }

    #[test]
    fn a_repeat_that_would_never_end_is_cut_off() {
        let forever: Vec<_> = std::iter::repeat_n((true, 250, 0), 200).collect();
        assert!(order_of(&forever).len() <= MAX_PLAYED_BARS);
    }
}
