//! Brings what was played to places on a grid of the beat, and says which grid fits. The grid is
//! judged by how far notes lie from it, as a part of what chance would give, and of equally good
//! ones the coarsest is taken; where all notes lie on one, the coarsest of those. Eighths may be
//! swung: then the off-beat lies where the player put it, and is written on the half.

use crate::import::Grid;
use crate::theory::TICKS_PER_BEAT;

/// How much worse a coarser grid may fit and still be taken.
const SLACK: f64 = 0.05;

/// Notes that all lie this near to a grid, in beats, are on it.
const EXACT: f64 = 0.02;

/// Off-beats between these parts of a beat count as swung: beyond, they are sixteenths. Ratios of
/// about 1.3 : 1 to 2.6 : 1.
const SWUNG: std::ops::RangeInclusive<f64> = 0.56..=0.72;

/// Where notes may be.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Places {
    /// So many equal parts of a beat.
    Parts(u32),
    /// Beats, and off-beats that are played at this part of the beat.
    Swung(f64),
    /// Quarters and thirds of a beat.
    Mixed,
}

impl Places {
    /// The places of a grid in a beat of two or of three parts; `None` where there is no such grid.
    pub(super) fn of(grid: Grid, compound: bool) -> Option<Self> {
        Some(Self::Parts(match (grid, compound) {
            (Grid::Eighths, false) => 2,
            (Grid::Triplets, false) | (Grid::Eighths, true) => 3,
            (Grid::Sixteenths, false) => 4,
            (Grid::Sixteenths, true) => 6,
            (Grid::Triplets, true) => return None,
        }))
    }

    /// How messages call it.
    pub(super) fn words(self, compound: bool) -> &'static str {
        match (self, compound) {
            (Self::Parts(2), false) | (Self::Parts(3), true) => "eighths",
            (Self::Parts(3), false) => "triplets",
            (Self::Parts(_), _) => "sixteenths",
            (Self::Swung(_), _) => "swung eighths",
            (Self::Mixed, _) => "sixteenths and triplets",
        }
    }

    /// Parts of a beat where a note may be, the next beat included, each with its tick.
    fn points(self) -> Vec<(f64, u32)> {
        let part = |n: u32, of: u32| {
            let ticks = TICKS_PER_BEAT * n / of;
            (f64::from(ticks) / f64::from(TICKS_PER_BEAT), ticks)
        };
        match self {
            Self::Parts(n) => (0..=n).map(|i| part(i, n)).collect(),
            Self::Swung(at) => vec![(0.0, 0), (at, TICKS_PER_BEAT / 2), (1.0, TICKS_PER_BEAT)],
            Self::Mixed => [(0, 1), (1, 4), (1, 3), (1, 2), (2, 3), (3, 4), (1, 1)]
                .map(|(n, of)| part(n, of))
                .to_vec(),
        }
    }

    /// The least distance of two places, in beats.
    pub(super) fn step(self) -> f64 {
        match self {
            Self::Parts(n) => 1.0 / f64::from(n.max(1)),
            Self::Swung(_) => 0.5,
            Self::Mixed => 0.25,
        }
    }

    /// The nearest place, in ticks, and how far away it is, in beats.
    pub(super) fn nearest(self, beats: f64) -> (u32, f64) {
        let beats = beats.clamp(0.0, 1e6);
        let whole = beats.floor();
        let part = beats - whole;
        let distance = |(at, _): &(f64, u32)| (at - part).abs();
        let points = self.points();
        let best = points
            .iter()
            .min_by(|a, b| distance(a).total_cmp(&distance(b)));
        let (at, ticks) = best.copied().unwrap_or((0.0, 0));
        (whole as u32 * TICKS_PER_BEAT + ticks, (at - part).abs())
    }
}

/// The places that fit what was played best: beats from the beginning of the bar.
pub(super) fn fitting(played: &[f64], compound: bool) -> Places {
    let equal: &[u32] = if compound { &[3, 6] } else { &[2, 3, 4] };
    let mut all: Vec<Places> = equal.iter().map(|n| Places::Parts(*n)).collect();
    if !compound {
        if let Some(swung) = swung(played) {
            all.insert(1, swung);
        }
        all.push(Places::Mixed);
    }
    // What a program wrote lies on its grid, and a rare sixteenth counts like any other note.
    let exact = |places: &&Places| played.iter().all(|beats| places.nearest(*beats).1 <= EXACT);
    if let Some(places) = all.iter().find(exact) {
        return *places;
    }
    let scores: Vec<f64> = all.iter().map(|places| misfit(*places, played)).collect();
    let best = scores.iter().copied().fold(f64::INFINITY, f64::min);
    let first = all
        .iter()
        .zip(&scores)
        .find(|(_, score)| **score <= best + SLACK);
    first.map_or(
        Places::Parts(if compound { 3 } else { 2 }),
        |(places, _)| *places,
    )
}

/// The mean distance from the grid, 1 being what notes anywhere would have.
fn misfit(places: Places, played: &[f64]) -> f64 {
    if played.is_empty() {
        return 0.0;
    }
    let points = places.points();
    let gaps = points.windows(2).filter_map(|pair| match pair {
        [(a, _), (b, _)] => Some((b - a) * (b - a)),
        _ => None,
    });
    // A place anywhere in a gap is a quarter of the gap away on average.
    let chance: f64 = gaps.sum::<f64>() / 4.0;
    let far: f64 = played.iter().map(|beats| places.nearest(*beats).1).sum();
    far / played.len() as f64 / chance
}

/// Swung eighths, with the off-beat where most of them are.
pub(super) fn swung(played: &[f64]) -> Option<Places> {
    let parts = played.iter().map(|beats| beats - beats.floor());
    let mut off: Vec<f64> = parts.filter(|part| (0.4..0.8).contains(part)).collect();
    off.sort_by(f64::total_cmp);
    let middle = off.get(off.len() / 2).copied()?;
    SWUNG.contains(&middle).then_some(Places::Swung(middle))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Off the grid by up to a fiftieth of a beat, as players are.
    fn human(beats: &[f64]) -> Vec<f64> {
        let shift = |i: usize| ((i * 7 % 5) as f64 - 2.0) / 100.0;
        let all = (0..4).flat_map(|_| beats).enumerate();
        all.map(|(i, beat)| (beat + shift(i)).max(0.0)).collect()
    }

    #[test]
    fn the_coarsest_grid_that_fits_is_found() {
        let two_thirds = 2.0 / 3.0;
        for (beats, wanted) in [
            (&[0.0, 1.0, 2.0, 3.0][..], "eighths"),
            (&[0.0, 0.5, 1.0, 2.5, 3.0], "eighths"),
            (
                &[0.0, two_thirds, 1.0, 2.0 + two_thirds, 3.0],
                "swung eighths",
            ),
            (&[0.0, 0.6, 1.0, 2.6, 3.0, 3.6], "swung eighths"),
            (&[0.0, 1.0 / 3.0, two_thirds, 1.0, 2.0], "triplets"),
            (&[0.0, 0.25, 0.5, 0.75, 1.0, 2.75], "sixteenths"),
            (&[0.0, 0.75, 1.0, 1.75, 2.0], "sixteenths"),
        ] {
            for played in [beats.to_vec(), human(beats)] {
                assert_eq!(fitting(&played, false).words(false), wanted, "{played:?}");
            }
        }
        let both = [0.0, 0.25, 0.5, 0.75, 1.0, 4.0 / 3.0, 5.0 / 3.0, 2.0];
        assert_eq!(fitting(&both, false), Places::Mixed);
        let mut rare: Vec<f64> = (0..200).map(|i| f64::from(i) / 2.0).collect();
        rare.push(50.25);
        assert_eq!(
            fitting(&rare, false),
            Places::Parts(4),
            "one sixteenth is not lost"
        );
        let dotted = [0.0, 1.0 / 3.0, two_thirds, 1.0];
        assert_eq!(fitting(&dotted, true), Places::Parts(3));
        assert_eq!(fitting(&[], false), Places::Parts(2));
    }

    #[test]
    fn places_are_the_nearest_and_swung_ones_are_written_on_the_half() {
        assert_eq!(Places::Parts(2).nearest(1.45).0, 1440);
        assert_eq!(Places::Parts(2).nearest(1.95).0, 1920);
        assert_eq!(Places::Swung(0.66).nearest(2.6).0, 2400);
        assert_eq!(Places::Parts(3).nearest(0.3).0, 320);
        assert_eq!(Places::Mixed.nearest(0.74).0, 720);
    }
}
