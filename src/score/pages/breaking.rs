//! Which bars share a system. Named sections begin a new one; a system takes the wished number of
//! bars or as many as fit, and crowded bars of a section are shared out evenly when that costs no
//! extra system. Whole bars only. A last system that would be stretched much keeps the bar width of
//! the others.

use super::diagram::Shown;
use super::measure;
use super::measure::BarSpacing;
use super::music::BarMusic;
use super::system;
use super::system::Scene;
use super::system::System;
use std::ops::Range;

/// Bars per system unless asked otherwise.
const USUAL_BARS: usize = 4;

/// A last system less full than this, measured by the fullest of its section, is not stretched:
/// three bars of four stay on the grid of four, four beside a system of a pick-up and four are
/// justified like all.
const NEARLY_FULL: f64 = 0.8;

/// Breaks and justifies the whole tune for a width.
#[must_use]
pub fn systems<'a>(scene: &Scene<'_>, music: &'a [BarMusic], width: f64) -> Vec<System<'a>> {
    let meter = scene.document.meter;
    let spacing = |bar: &BarMusic, shown| {
        measure::measure(bar, scene.arrangement, meter, scene.options, shown)
    };
    let tight: Vec<BarSpacing> = music.iter().map(|b| spacing(b, Shown::New)).collect();
    let least: Vec<f64> = tight.iter().map(BarSpacing::least).collect();
    let wished = scene.options.bars_per_system.map(usize::from);
    let target = wished.unwrap_or(USUAL_BARS).max(1);
    let lead = |is_first: bool| system::lead(scene, music.first().filter(|_| is_first));
    let first_lead = lead(true) - lead(false);
    let tails: Vec<f64> = (1..=music.len())
        .map(|next| system::courtesy_width(courtesy(music, next)))
        .collect();
    let needs = Needs {
        least: &least,
        tails: &tails,
        room: width - lead(false),
        first_less: first_lead,
    };
    let ranges = ranges(music, &needs, target, wished.is_none());
    let n_units = |range: &Range<usize>| music.get(range.clone()).map_or(0.0, |b| units(b, scene));
    let fullest_of = |ranges: &[Range<usize>]| {
        let units = ranges.iter().map(n_units);
        units.fold(1.0, f64::max).min(target as f64)
    };
    let of_all = fullest_of(&ranges);
    // A system at the end of a block is measured by the others of its block, or of the tune.
    let mut fullest = Vec::with_capacity(ranges.len());
    for block in ranges.split_inclusive(|range| ends_block(music, range.end)) {
        let own = if block.len() > 1 {
            fullest_of(block)
        } else {
            of_all
        };
        fullest.extend(block.iter().map(|_| own));
    }
    let mut systems = Vec::with_capacity(ranges.len());
    for (range, fullest) in ranges.into_iter().zip(fullest) {
        let (Some(bars), Some(tight)) = (music.get(range.clone()), tight.get(range.clone())) else {
            continue;
        };
        let is_first = range.start == 0;
        let left = lead(is_first);
        let courtesy = courtesy(music, range.end);
        let room = width - left - system::courtesy_width(courtesy);
        let is_short = ends_block(music, range.end) && units(bars, scene) < fullest * NEARLY_FULL;
        let fill = if is_short {
            room * (units(bars, scene) / fullest)
        } else {
            room
        };
        let any_new = bars.iter().flat_map(|b| &b.chords).any(|c| c.first_use);
        let all = |shown: Shown| -> Vec<BarSpacing> {
            bars.iter().map(|bar| spacing(bar, shown)).collect()
        };
        let least = |bars: &[BarSpacing]| bars.iter().map(BarSpacing::least).sum::<f64>();
        let mut chosen = (Shown::New, tight.to_vec());
        if any_new {
            let fuller = [Shown::All, Shown::Chords].map(|shown| (shown, all(shown)));
            let fits = |(_, bars): &(Shown, Vec<BarSpacing>)| least(bars) <= room;
            chosen = fuller.into_iter().find(fits).unwrap_or(chosen);
        }
        let (diagrams, chosen) = chosen;
        let needed = least(&chosen);
        systems.push(System {
            bars,
            places: measure::justify(&chosen, left, fill.max(needed).min(room)),
            is_first,
            diagrams,
            courtesy,
        });
    }
    systems
}

/// What a system that ends before a bar announces: the time signature that changes there.
fn courtesy(music: &[BarMusic], next: usize) -> Option<(u8, u8)> {
    music.get(next).and_then(|bar| bar.time)
}

/// What bars need of a system, in millimetres.
struct Needs<'a> {
    /// Least width of each bar.
    least: &'a [f64],
    /// What each bar needs more if it ends a system.
    tails: &'a [f64],
    /// What a system has for bars.
    room: f64,
    /// How much less the first has.
    first_less: f64,
}

impl Needs<'_> {
    /// What bars need together as a system.
    fn of(&self, range: &Range<usize>) -> f64 {
        let first_less = if range.start == 0 {
            self.first_less
        } else {
            0.0
        };
        let bars = self.least.get(range.clone()).unwrap_or_default();
        let tail = range
            .end
            .checked_sub(1)
            .and_then(|last| self.tails.get(last));
        first_less + bars.iter().sum::<f64>() + tail.copied().unwrap_or(0.0)
    }
}

/// Bars counted; a pick-up and the like by its length, so that it counts little.
fn units(bars: &[BarMusic], scene: &Scene<'_>) -> f64 {
    let full = f64::from(scene.document.meter.bar().0);
    let unit = |bar: &BarMusic| {
        if bar.is_partial {
            f64::from(bar.length.0) / full
        } else {
            1.0
        }
    };
    bars.iter().map(unit).sum()
}

/// Whether nothing, or a new named section, follows the bar before `end`.
fn ends_block(music: &[BarMusic], end: usize) -> bool {
    music.get(end).is_none_or(opens_block)
}

fn opens_block(bar: &BarMusic) -> bool {
    bar.section.as_ref().is_some_and(|name| !name.is_empty())
}

/// Breaks into systems; `may_join` if they may differ from the target for the sake of a lone bar.
fn ranges(
    music: &[BarMusic],
    needs: &Needs<'_>,
    target: usize,
    may_join: bool,
) -> Vec<Range<usize>> {
    let mut all = Vec::new();
    for block in blocks(music) {
        let greedy = fill(music, needs, block.clone(), target);
        let n_bars = |range: &Range<usize>| {
            music
                .get(range.clone())
                .map_or(0, |bars| bars.iter().filter(|b| !b.is_partial).count())
        };
        // Where four fit, a short last system keeps the grid of four; where bars are crowded,
        // systems of equal size look better.
        let is_crowded = greedy.iter().all(|range| n_bars(range) < target);
        let even = n_bars(&block).div_ceil(greedy.len().max(1)).max(1);
        let shared = fill(music, needs, block, even.min(target));
        let chosen = if is_crowded && shared.len() == greedy.len() {
            shared
        } else {
            greedy
        };
        all.extend(if may_join {
            without_lone_bar(music, needs, chosen)
        } else {
            chosen
        });
    }
    all
}

/// A bar that is left alone behind other systems, often a second ending, joins the one before if
/// there is room. Else bars are shared out evenly among as many systems, if they fit so.
fn without_lone_bar(
    music: &[BarMusic],
    needs: &Needs<'_>,
    systems: Vec<Range<usize>>,
) -> Vec<Range<usize>> {
    let [.., before, last] = systems.as_slice() else {
        return systems;
    };
    if last.len() != 1 || before.len() < 2 {
        return systems;
    }
    let fits = |range: &Range<usize>| needs.of(range) <= needs.room;
    let joined = before.start..last.end;
    if fits(&joined) {
        let mut all = systems.clone();
        all.truncate(systems.len() - 2);
        all.push(joined);
        return all;
    }
    let start = systems.first().map_or(0, |system| system.start);
    let whole = music.get(start..last.end).unwrap_or_default();
    let n_bars = whole.iter().filter(|bar| !bar.is_partial).count();
    let (least, more) = (n_bars / systems.len(), n_bars % systems.len());
    let mut even = Vec::with_capacity(systems.len());
    let mut at = start;
    for i in 0..systems.len() {
        let wanted = least + usize::from(i < more);
        let mut end = at;
        let mut full = 0;
        while let Some(bar) = music.get(end).filter(|_| end < last.end) {
            full += usize::from(!bar.is_partial);
            if full > wanted {
                break;
            }
            end += 1;
        }
        even.push(at..end);
        at = end;
    }
    let is_whole = at == last.end && even.iter().all(|range| !range.is_empty() && fits(range));
    if is_whole { even } else { systems }
}

/// Stretches of bars between named sections. A pick-up stays with what follows.
fn blocks(music: &[BarMusic]) -> Vec<Range<usize>> {
    let mut blocks = Vec::new();
    let mut start = 0;
    for (i, bar) in music.iter().enumerate() {
        let only_partial = music
            .get(start..i)
            .is_some_and(|own| own.iter().all(|b| b.is_partial));
        if opens_block(bar) && i > start && !only_partial {
            blocks.push(start..i);
            start = i;
        }
    }
    if start < music.len() {
        blocks.push(start..music.len());
    }
    blocks
}

fn fill(
    music: &[BarMusic],
    needs: &Needs<'_>,
    block: Range<usize>,
    target: usize,
) -> Vec<Range<usize>> {
    let mut systems = Vec::new();
    let mut start = block.start;
    let mut used = if start == 0 { needs.first_less } else { 0.0 };
    let mut full_bars = 0;
    for i in block.clone() {
        let of_bar = |widths: &[f64]| widths.get(i).copied().unwrap_or(0.0);
        let own = of_bar(needs.least);
        let counts = usize::from(music.get(i).is_some_and(|b| !b.is_partial));
        let crowded = used + own + of_bar(needs.tails) > needs.room;
        if i > start && (crowded || full_bars + counts > target) {
            systems.push(start..i);
            start = i;
            used = 0.0;
            full_bars = 0;
        }
        used += own;
        full_bars += counts;
    }
    systems.push(start..block.end);
    systems
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bars(pattern: &str) -> Vec<BarMusic> {
        // `A` opens a named section, `p` is a pick-up, `.` any other bar.
        pattern
            .chars()
            .map(|c| BarMusic {
                is_partial: c == 'p',
                section: (c == 'A').then(|| "A".into()),
                ..BarMusic::default()
            })
            .collect()
    }

    #[test]
    fn bars_are_shared_out_by_section() {
        let table = [
            ("A.......", 30.0, vec![4, 4]),
            ("A...........", 30.0, vec![4, 4, 4]),
            ("A....", 30.0, vec![5]),
            ("A........", 30.0, vec![4, 5]),
            ("A........", 40.0, vec![3, 3, 3]),
            ("A............", 40.0, vec![4, 3, 3, 3]),
            ("A.........", 30.0, vec![4, 4, 2]),
            ("A.......", 50.0, vec![3, 3, 2]),
            ("A....", 45.0, vec![3, 2]),
            ("A.....", 50.0, vec![3, 3]),
            ("pA.......", 30.0, vec![5, 4]),
            ("A...A...", 30.0, vec![4, 4]),
            ("A.A...", 30.0, vec![2, 4]),
            ("........", 60.0, vec![2, 2, 2, 2]),
            ("..", 400.0, vec![1, 1]),
        ];
        for (pattern, bar_width, expected) in table {
            let music = bars(pattern);
            let least = vec![bar_width; music.len()];
            let needs = Needs {
                least: &least,
                tails: &[],
                room: 174.0,
                first_less: 6.0,
            };
            let got: Vec<usize> = ranges(&music, &needs, 4, true)
                .into_iter()
                .map(|r| r.len())
                .collect();
            assert_eq!(got, expected, "{pattern}");
        }
    }
}
