//! Lays out the bars of a MIDI file: where each begins in the file's ticks and in ours, and how long
//! it is. A change of metre begins a new bar, wherever it stands.

use super::tracks::Song;
use crate::document::MAX_BARS;
use crate::import::metre;
use crate::import::notices::Notices;
use crate::import::score_file::ImportError;
use crate::theory::Meter;
use crate::theory::Ticks;

/// A bar of the file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct FileBar {
    /// Its first tick in the file.
    pub(super) from: u64,
    /// Its first tick in ours, from the beginning of the tune.
    pub(super) starts: u64,
    /// Its length.
    pub(super) length: Ticks,
}

/// The metre of the chart, and the bars up to a moment of the file.
///
/// # Errors
/// If there are more bars than the program takes.
pub(super) fn lay_out(
    song: &Song,
    until: u64,
    notices: &mut Notices,
) -> Result<(Meter, Vec<FileBar>), ImportError> {
    let quarter = u64::from(song.ticks_per_quarter);
    // In ticks of the file times the unit, so that no length is rounded.
    let bar_of = |count: u32, unit: u32| (4 * quarter * u64::from(count)).div_ceil(u64::from(unit));
    let mut metres: Vec<(u64, u32, u32)> = song.metres.clone();
    if metres.first().is_none_or(|(at, ..)| *at > 0) {
        if metres.is_empty() {
            notices.whole("the file names no metre; 4/4 is taken");
        }
        metres.insert(0, (0, 4, 4));
    }
    let meter = chart_metre(&metres, bar_of, notices);
    let mut bars: Vec<FileBar> = Vec::new();
    let mut starts = 0_u64;
    for (idx, (from, count, unit)) in metres.iter().enumerate() {
        let end = metres.get(idx + 1).map_or(until, |next| next.0.min(until));
        let full = bar_of(*count, *unit).max(1);
        let mut at = *from;
        while at < end || (bars.is_empty() && idx + 1 == metres.len()) {
            if bars.len() >= MAX_BARS {
                return Err(ImportError::whole(format!(
                    "a tune can have at most {MAX_BARS} bars; export a part of the file"
                )));
            }
            let cut = metres.get(idx + 1).map(|next| next.0.saturating_sub(at));
            let cut = cut.filter(|cut| *cut < full);
            let long = cut.unwrap_or(full);
            let ticks = long * u64::from(meter.ticks_per_quarter());
            let ticks = (ticks + quarter / 2) / quarter;
            let most = u64::from(64 * crate::theory::TICKS_PER_BEAT);
            let length = u32::try_from(ticks.clamp(1, most)).unwrap_or(1);
            if cut.is_some() {
                notices.at(
                    bars.len(),
                    "the metre changes within a bar; the bar is cut there",
                );
            }
            bars.push(FileBar {
                from: at,
                starts,
                length: Ticks(length),
            });
            starts += u64::from(length);
            at = at.saturating_add(long.max(1));
        }
    }
    Ok((meter, bars))
}

/// The first metre; the second, if the first is only that of one short bar, a pick-up.
fn chart_metre(
    metres: &[(u64, u32, u32)],
    bar_of: impl Fn(u32, u32) -> u64,
    notices: &mut Notices,
) -> Meter {
    let first = metres.first().map_or((0, 4, 4), |metre| *metre);
    let second = metres.get(1).filter(|second| {
        let long = bar_of(first.1, first.2);
        second.0 == long && long < bar_of(second.1, second.2)
    });
    let (_, count, unit) = second.copied().unwrap_or(first);
    let (meter, same) = metre::nearest(count, unit);
    if !same {
        notices.whole(format!(
            "{count}/{unit} is not among the metres of a chart; {meter} is taken, and the bars keep their length"
        ));
    }
    meter
}
