//! The drill: the same bars round and round, and every time a line that has not been there before,
//! shown so far ahead that it can be read, or hidden so that it has to be known. Everything follows
//! from the document, the settings and the number of the line: a series can be practised again.
//! No clock, no sound.

use super::ladder::on_rung;
use super::ladder::solved;
use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::document::Choruses;
use crate::document::Document;
use crate::document::Walk;
use crate::score::PlayedBar;
use crate::theory::MoveSet;
use crate::theory::ThumbMove;
use std::ops::Range;
use std::ops::RangeInclusive;
use std::sync::Arc;

/// Series that can be asked for.
pub const DRILL_SERIES: RangeInclusive<u64> = 1..=999;

/// Bars that are shown: the present one and the next two.
const SHOWN_BARS: usize = 3;

/// Lines that are tried for one that differs from the line before it.
const TRIES: u64 = 8;

/// Seeds between the lines of one series and those of the next.
const SERIES_STEP: u64 = 10_007;

/// What is heard while the drill runs.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Heard {
    /// All that is played.
    #[default]
    Everything,
    /// The fingers and the tune, with a click: the thumb is the student's.
    ChordsAndClick,
    /// The click alone.
    ClickOnly,
}

impl Heard {
    /// Every choice, in the order of the screen.
    pub const ALL: [Self; 3] = [Self::Everything, Self::ChordsAndClick, Self::ClickOnly];

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Everything => "Everything",
            Self::ChordsAndClick => "Chords and click",
            Self::ClickOnly => "Click only",
        }
    }

    /// Whether a lane sounds.
    #[must_use]
    pub const fn sounds(self, lane: Lane) -> bool {
        match self {
            Self::Everything => true,
            Self::ChordsAndClick => !matches!(lane, Lane::Thumb),
            Self::ClickOnly => false,
        }
    }
}

/// What has to be known by heart.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Recall {
    /// Nothing: all is shown.
    #[default]
    Nothing,
    /// Every bar is covered as soon as it begins.
    EachBar,
    /// Every line is played twice, the second time covered.
    EachLine,
}

impl Recall {
    /// Every choice, in the order of the screen.
    pub const ALL: [Self; 3] = [Self::Nothing, Self::EachBar, Self::EachLine];

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Nothing => "Read everything",
            Self::EachBar => "Cover each bar as it begins",
            Self::EachLine => "Play each line twice, then covered",
        }
    }

    /// Passes that are played with one line.
    #[must_use]
    pub const fn passes_per_line(self) -> u16 {
        match self {
            Self::Nothing | Self::EachBar => 1,
            Self::EachLine => 2,
        }
    }
}

/// How the drill is set. Belongs to practising, not to the document.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct DrillSettings {
    /// The rung of the ladder whose devices are drilled, by its number from 0; `None` is the tune
    /// as it is set.
    pub rung: Option<usize>,
    /// The written bars, first and last, from 0; `None` is the whole tune.
    pub bars: Option<(usize, usize)>,
    /// Which run of lines; the same series has the same lines.
    pub series: u64,
    /// What is heard.
    pub heard: Heard,
    /// What has to be known by heart.
    pub recall: Recall,
}

impl Default for DrillSettings {
    fn default() -> Self {
        Self {
            rung: None,
            bars: None,
            series: 1,
            heard: Heard::default(),
            recall: Recall::default(),
        }
    }
}

impl DrillSettings {
    /// The same with everything inside what a document has.
    #[must_use]
    pub fn for_document(self, document: &Document) -> Self {
        let last_bar = document.n_bars().saturating_sub(1);
        let bars = self.bars.map(|(from, to)| {
            let from = from.min(last_bar);
            (from, to.clamp(from, last_bar))
        });
        let n_rungs = document.ladder().len();
        Self {
            rung: self.rung.filter(|rung| *rung < n_rungs),
            bars: bars.filter(|bars| *bars != (0, last_bar)),
            series: self
                .series
                .clamp(*DRILL_SERIES.start(), *DRILL_SERIES.end()),
            ..self
        }
    }

    /// The written bars in a document, first and last.
    #[must_use]
    pub fn range(&self, document: &Document) -> (usize, usize) {
        let whole = (0, document.n_bars().saturating_sub(1));
        self.bars.unwrap_or(whole)
    }
}

/// One line of a drill: the tune as it is played with it.
#[derive(Clone, PartialEq, Debug)]
pub struct DrillLine {
    /// Its number in the series, from 0.
    pub number: u64,
    /// The tune with this line's settings.
    pub document: Arc<Document>,
    /// Its arrangement.
    pub arrangement: Arc<Arrangement>,
    /// Whether it differs from the line before it.
    pub is_fresh: bool,
}

/// Writes a line of a series and solves the hands under it; of some lines the first that differs
/// from the line `before` in the bars that are drilled. `None` only if the arranger gives up.
#[must_use]
pub fn drill_line(
    document: &Document,
    settings: &DrillSettings,
    number: u64,
    before: Option<&Arrangement>,
) -> Option<DrillLine> {
    let (from, to) = settings.range(document);
    let mut line = None;
    for step in 0..TRIES {
        let seed = document
            .line
            .seed
            .wrapping_add(settings.series.wrapping_mul(SERIES_STEP))
            .wrapping_add(number.wrapping_mul(TRIES))
            .wrapping_add(step);
        let (tune, arrangement) = solved(drilled(document, settings.rung, seed))?;
        let same = |before| moves_of(before, from..to + 1).eq(moves_of(&arrangement, from..to + 1));
        let is_fresh = !before.is_some_and(same);
        line = Some(DrillLine {
            number,
            document: Arc::new(tune),
            arrangement: Arc::new(arrangement),
            is_fresh,
        });
        if is_fresh {
            break;
        }
    }
    line
}

/// The tune with what a rung allows, or as it is set, and a seed.
fn drilled(document: &Document, rung: Option<usize>, seed: u64) -> Document {
    let rungs = document.ladder();
    let rung = rung.and_then(|number| Some((number, rungs.get(number)?)));
    let mut tune = match rung {
        Some((number, rung)) => on_rung(document, number, rung, seed),
        None => document.clone(),
    };
    tune.line.seed = seed;
    tune.line.riff = false;
    // Every line is a chorus already.
    tune.choruses = Choruses::default();
    if tune.line.walk == Walk::Plain {
        vary_the_plain_walk(&mut tune);
    }
    tune
}

/// The plain walk leaves the sides of its approaches to the hand, which has one best answer; in a
/// drill the line decides them.
fn vary_the_plain_walk(document: &mut Document) {
    let both_sides: MoveSet = [
        ThumbMove::Root,
        ThumbMove::ApproachBelow,
        ThumbMove::ApproachAbove,
    ]
    .into_iter()
    .collect();
    for section in &mut document.sections {
        for bar in &mut Arc::make_mut(section).bars {
            bar.line.moves.get_or_insert(both_sides);
        }
    }
}

/// What the thumb does in some bars.
fn moves_of(
    arrangement: &Arrangement,
    bars: Range<usize>,
) -> impl Iterator<Item = (usize, u32, Option<ThumbMove>)> + '_ {
    let notes = arrangement.notes.iter();
    notes
        .filter(move |note| note.lane == Lane::Thumb && bars.contains(&note.place.bar))
        .map(|note| (note.place.bar, note.place.at.0, note.thumb_move))
}

/// A bar of the strip.
#[derive(Clone, PartialEq, Debug)]
pub struct StripBar {
    /// Its number in written order, from 0.
    pub written_bar: usize,
    /// Whether it belongs to the line that follows.
    pub is_of_next: bool,
    /// The chords that begin in it as the house style prints them, each with its beat from 0.
    pub chords: Vec<(u32, String)>,
    /// The moves that begin in each beat.
    pub beats: Vec<Vec<ThumbMove>>,
    /// Whether its moves are covered.
    pub is_covered: bool,
}

/// Where the drill is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct DrillPlace {
    /// The bar being played, as an index into the bars of the performance; `None` while the first
    /// bar is counted in.
    pub played_bar: Option<usize>,
    /// Whether this pass of the line is to be known by heart.
    pub from_memory: bool,
    /// Whether the player has uncovered the present bar.
    pub is_peeked: bool,
}

/// The bars that the strip shows: the present one and the next two, across the end of the pass into
/// the line that follows, or into the same line again if it has another pass to go or the next is
/// not written yet. `bars` are those of the performance, `range` those of them that are repeated.
#[must_use]
pub fn strip(
    bars: &[PlayedBar],
    range: Range<usize>,
    place: DrillPlace,
    recall: Recall,
    (now, next): (&DrillLine, Option<&DrillLine>),
) -> Vec<StripBar> {
    let repeated = bars.get(range.clone()).unwrap_or_default();
    let at = place.played_bar.unwrap_or(range.start);
    let first = at.saturating_sub(range.start);
    let mut shown = Vec::new();
    for (idx, ahead) in (first..).take(SHOWN_BARS).zip(0..) {
        let Some(played) = repeated.get(idx % repeated.len().max(1)) else {
            break;
        };
        let turns = idx >= repeated.len();
        let comes_again = recall == Recall::EachLine && !place.from_memory;
        let of_next = (turns && !comes_again).then_some(next).flatten();
        let is_present = ahead == 0 && place.played_bar.is_some();
        let covered = match recall {
            Recall::Nothing => false,
            Recall::EachBar => is_present,
            Recall::EachLine => place.from_memory != (turns && comes_again) && of_next.is_none(),
        };
        let line = of_next.unwrap_or(now);
        let is_covered = covered && !(is_present && place.is_peeked);
        shown.extend(strip_bar(line, played, of_next.is_some(), is_covered));
    }
    shown
}

fn strip_bar(
    line: &DrillLine,
    played: &PlayedBar,
    is_of_next: bool,
    is_covered: bool,
) -> Option<StripBar> {
    let bar = line.document.bars().nth(played.written_bar)?;
    let n_beats = played
        .length
        .0
        .div_ceil(crate::theory::TICKS_PER_BEAT)
        .max(1);
    let mut beats = vec![Vec::new(); n_beats as usize];
    for note in line.arrangement.notes_in_bar(played.written_bar) {
        let beat = beats.get_mut(note.place.at.beat_idx() as usize);
        if let (Some(beat), Some(thumb_move)) = (beat, note.thumb_move) {
            beat.push(thumb_move);
        }
    }
    let chords = bar.chords.iter();
    Some(StripBar {
        written_bar: played.written_bar,
        is_of_next,
        chords: chords
            .map(|chord| {
                (
                    chord.at.beat_idx(),
                    chord.harmony.printed(line.document.house_style),
                )
            })
            .collect(),
        beats,
        is_covered,
    })
}

#[cfg(test)]
mod tests;
