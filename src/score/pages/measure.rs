//! Horizontal spacing. Every moment of a bar is a column with the white it needs at both sides
//! and a spring that grows with the square root of its duration; bars of a system share one
//! stretch. Columns never come closer than their needs unless a single bar is wider than the
//! paper. Never looks at heights.

use super::barlines;
use super::diagram;
use super::diagram::Shown;
use super::music::BarMusic;
use super::music::ChordMark;
use super::options::PageOptions;
use super::sizes;
use super::system;
use crate::arrange::Arrangement;
use crate::arrange::PlayedNote;
use crate::instrument::Grip;
use crate::score::rhythm::Voice;
use crate::theory::Meter;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;

/// One moment of a bar.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Column {
    /// Where in the bar.
    pub at: Ticks,
    /// Needed left of its middle.
    pub left: f64,
    /// Needed right of its middle.
    pub right: f64,
    /// Least distance from its middle to the next column's (or the bar line).
    pub least: f64,
    /// Distance it would like.
    pub spring: f64,
}

/// A bar with its columns.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct BarSpacing {
    /// Columns by place; never empty.
    pub columns: Vec<Column>,
    /// From the bar line to the first column's middle.
    pub lead: f64,
}

/// Where everything of a bar stands, from the left end of the staff.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct BarPlaces {
    /// Its left bar line.
    pub left: f64,
    /// Its right bar line.
    pub right: f64,
    /// Columns: place and x.
    pub columns: Vec<(Ticks, f64)>,
}

impl BarPlaces {
    /// The x of a moment; between columns by proportion.
    #[must_use]
    pub fn x_of(&self, at: Ticks) -> f64 {
        let next = self.columns.partition_point(|(t, _)| *t < at);
        match (self.columns.get(next), next.checked_sub(1)) {
            (Some((t, x)), _) if *t == at => *x,
            (Some((t1, x1)), Some(before)) => {
                let (t0, x0) = self.columns.get(before).copied().unwrap_or((*t1, *x1));
                let span = f64::from(t1.0 - t0.0).max(1.0);
                x0 + (x1 - x0) * f64::from(at.0 - t0.0) / span
            }
            (Some((_, x)), None) => *x,
            (None, Some(_)) | (None, None) => self.columns.last().map_or(self.left, |(_, x)| *x),
        }
    }
}

/// Measures a bar with room for diagrams.
#[must_use]
pub fn measure(
    music: &BarMusic,
    arrangement: &Arrangement,
    meter: Meter,
    options: &PageOptions,
    diagrams: Shown,
) -> BarSpacing {
    let mut columns: Vec<Column> = moments(music)
        .into_iter()
        .map(|at| column(at, music, arrangement, options))
        .collect();
    let ends: Vec<u32> = columns
        .iter()
        .skip(1)
        .map(|c| c.at.0)
        .chain([music.length.0])
        .collect();
    let lefts: Vec<f64> = columns
        .iter()
        .skip(1)
        .map(|c| c.left)
        .chain([0.3])
        .collect();
    let eighth = if meter.is_compound() {
        TICKS_PER_BEAT / 3
    } else {
        TICKS_PER_BEAT / 2
    };
    for (column, (end, left)) in columns.iter_mut().zip(ends.into_iter().zip(lefts)) {
        let duration = f64::from(end.saturating_sub(column.at.0)) / f64::from(eighth);
        column.spring = sizes::EIGHTH_WIDTH * duration.sqrt();
        column.least = column.right + sizes::COLUMN_GAP + left;
    }
    make_room_for_chords(&mut columns, music, options, diagrams);
    if music.repeat_times > 0
        && let Some(last) = columns.last_mut()
    {
        last.least += sizes::REPEAT_PAD;
    }
    let first = columns.first().map_or(0.0, |c| c.left);
    let start = if music.repeat_start {
        sizes::REPEAT_PAD
    } else {
        0.0
    };
    // The first bar's signature stands before it.
    let time = match music.time.filter(|_| music.bar > 0) {
        Some(time) => system::time_width(time) + sizes::TIME_PAD,
        None => 0.0,
    };
    let lead = sizes::BAR_PAD + start + time + first;
    let least: f64 = columns.iter().map(|column| column.least).sum();
    if let Some(last) = columns.last_mut() {
        let names = barlines::names_width(options, music);
        last.least += (names - lead - least).max(0.0);
    }
    BarSpacing { columns, lead }
}

fn moments(music: &BarMusic) -> Vec<Ticks> {
    let mut all: Vec<Ticks> = music.chords.iter().map(|c| c.at).collect();
    for voice in [&music.upper, &music.lower] {
        all.extend(voice.strikes.iter().map(|s| s.at));
        if music.staff.is_none() {
            all.extend(voice.rests.iter().map(|r| r.at));
        }
    }
    let clusters = music.staff.iter().flat_map(|staff| &staff.clusters);
    all.extend(clusters.map(|cluster| cluster.at));
    all.extend(music.retakes.iter().map(|retake| retake.at));
    all.push(Ticks(0));
    all.sort_unstable();
    all.dedup();
    all.retain(|at| *at < music.length || at.0 == 0);
    all
}

fn column(at: Ticks, music: &BarMusic, arrangement: &Arrangement, options: &PageOptions) -> Column {
    let half_digit = options.style(sizes::DIGIT).width("0") / 2.0;
    let (mut left, mut right) = (half_digit, half_digit);
    let clusters = music.staff.iter().flat_map(|staff| &staff.clusters);
    for cluster in clusters.filter(|cluster| cluster.at == at) {
        left = left.max(cluster.left * sizes::SPACE);
        right = right.max(cluster.right * sizes::SPACE);
    }
    for voice in [Voice::Upper, Voice::Lower] {
        for strike in &music.voice(voice).strikes {
            if strike.at != at {
                continue;
            }
            if strike.rings_on && music.staff.is_none() {
                right = right.max(half_digit + 1.9);
            }
            for idx in &strike.notes {
                if let Some(note) = arrangement.notes.get(*idx) {
                    let (l, r) = note_sides(note, music.fingers.contains(idx), options);
                    left = left.max(l);
                    right = right.max(r);
                }
            }
        }
    }
    Column {
        at,
        left,
        right,
        least: 0.0,
        spring: 0.0,
    }
}

/// What a note needs left and right of its middle.
fn note_sides(note: &PlayedNote, has_finger: bool, options: &PageOptions) -> (f64, f64) {
    let half = options.style(sizes::DIGIT).width(&digit_text(note)) / 2.0;
    let finger = if has_finger {
        finger_width(options)
    } else {
        0.0
    };
    let slide = note.slide_from.map_or(0.0, |fret| {
        SLIDE_LENGTH + options.style(sizes::GRACE_DIGIT).width(&fret.to_string())
    });
    let code = match note.thumb_move.filter(|_| options.show_moves) {
        Some(thumb_move) => options.style(sizes::MOVE).width(thumb_move.code()) / 2.0,
        None => 0.0,
    };
    let left = half + finger + slide;
    (left.max(code), half.max(code))
}

/// What a finger figure adds to the left of a digit.
#[must_use]
pub fn finger_width(options: &PageOptions) -> f64 {
    options.style(sizes::FINGER).width("0") + sizes::FINGER_GAP
}

/// Length of the line of a slide.
pub const SLIDE_LENGTH: f64 = 2.4;

/// What stands on the string: the fret, or `x` for a ghost note.
#[must_use]
pub fn digit_text(note: &PlayedNote) -> String {
    if note.thumb_move == Some(crate::theory::ThumbMove::Ghost) {
        "x".into()
    } else {
        note.fret.to_string()
    }
}

fn make_room_for_chords(
    columns: &mut [Column],
    music: &BarMusic,
    options: &PageOptions,
    diagrams: Shown,
) {
    // Width needed from each symbol or diagram to the next one.
    let small = options.style(sizes::DIAGRAM_TEXT);
    let frame = |grip: &Grip| diagram::width(grip, small) - sizes::DIAGRAM_STRING;
    let framed = |chord: &ChordMark| {
        let shown = diagrams > Shown::New || chord.first_use;
        chord.grip.filter(|_| options.show_diagrams && shown)
    };
    let chords = music.chords.iter().map(|chord| {
        let frame = framed(chord).map_or(0.0, |grip| frame(&grip));
        (chord.at, chord.symbol.width().max(frame))
    });
    let retakes = music.shown_retakes(diagrams, options);
    let mut needs: Vec<(Ticks, f64)> = chords.collect();
    needs.extend(
        retakes
            .iter()
            .map(|retake| (retake.at, frame(&retake.grip))),
    );
    needs.sort_by_key(|(at, _)| *at);
    let ends: Vec<Ticks> = (needs.iter().skip(1).map(|(at, _)| *at))
        .chain([music.length])
        .collect();
    for ((at, width), end) in needs.into_iter().zip(ends) {
        let needed = width + 2.2;
        let from = columns.partition_point(|c| c.at < at);
        let to = columns.partition_point(|c| c.at < end);
        let Some(own) = columns.get_mut(from..to) else {
            continue;
        };
        let least: f64 = own.iter().map(|c| c.least).sum();
        let n = f64::from(u32::try_from(own.len()).unwrap_or(1).max(1));
        let more = ((needed - least) / n).max(0.0);
        for column in own {
            column.least += more;
        }
    }
}

impl BarSpacing {
    /// Width at a stretch of the springs.
    #[must_use]
    pub fn width(&self, stretch: f64) -> f64 {
        let columns: f64 = self
            .columns
            .iter()
            .map(|c| c.least.max(c.spring * stretch))
            .sum();
        self.lead + columns
    }

    /// The least width.
    #[must_use]
    pub fn least(&self) -> f64 {
        self.width(TIGHTEST)
    }
}

/// How far springs may be pressed together before a bar goes to the next system.
const TIGHTEST: f64 = 0.78;

/// Places bars from `left` so that they fill `width`.
#[must_use]
pub fn justify(bars: &[BarSpacing], left: f64, width: f64) -> Vec<BarPlaces> {
    let total = |stretch: f64| bars.iter().map(|b| b.width(stretch)).sum::<f64>();
    let (mut low, mut high) = (0.0, 64.0);
    for _ in 0..50 {
        let middle = (low + high) / 2.0;
        if total(middle) < width {
            low = middle;
        } else {
            high = middle;
        }
    }
    // Too wide even when pressed: shrink evenly. Too few columns to fill: spread evenly.
    let got = total(low).max(1.0);
    let shrink = if (got - width).abs() > 0.01 {
        width / got
    } else {
        1.0
    };
    let mut x = left;
    let mut places = Vec::with_capacity(bars.len());
    for bar in bars {
        let mut place = BarPlaces {
            left: x,
            ..BarPlaces::default()
        };
        let mut at = x + bar.lead * shrink;
        for column in &bar.columns {
            place.columns.push((column.at, at));
            at += column.least.max(column.spring * low) * shrink;
        }
        place.right = at;
        x = at;
        places.push(place);
    }
    places
}
