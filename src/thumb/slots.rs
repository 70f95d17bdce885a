//! Where the thumb and the fingers strike in a bar when nobody says so: the thumb on every beat,
//! the fingers on off-beats clear of the last beat of each chord. Never chooses notes.

use crate::theory::Articulation;
use crate::theory::Meter;
use crate::theory::Pluck;
use crate::theory::Ticks;

/// The thumb's slots in a bar: one on every beat.
#[must_use]
pub fn beats(length: Ticks) -> Vec<Ticks> {
    let n_beats = length.beat_idx() + u32::from(length.within_beat() > 0);
    (0..n_beats).map(Ticks::of_beat).collect()
}

/// The usual strikes of the fingers in a bar whose chords begin at `chord_starts`: on the
/// off-beats, first ring, then short, and clear of the last beat of each chord, on which the thumb
/// leaves for the next one. In 4/4 with one chord that is the "and" of 1 (ring) and of 3 (short).
#[must_use]
pub fn usual_plucks(meter: Meter, length: Ticks, chord_starts: &[Ticks]) -> Vec<Pluck> {
    let mut starts: Vec<u32> = chord_starts.iter().map(|at| at.beat_idx()).collect();
    if starts.first() != Some(&0) {
        starts.insert(0, 0);
    }
    starts.dedup();
    let end = length.beat_idx();
    let mut plucks = Vec::new();
    for (i, start) in starts.iter().enumerate() {
        let next = starts.get(i + 1).copied().unwrap_or(end);
        for (beat, articulation) in strikes(next.saturating_sub(*start)) {
            let at = meter.offbeat(start + beat);
            plucks.push(Pluck::new(at, *articulation));
        }
    }
    plucks
}

/// Beats, counted from the chord's own first, on whose off-beat the fingers strike.
const fn strikes(n_beats: u32) -> &'static [(u32, Articulation)] {
    use Articulation::Ring;
    use Articulation::Short;
    match n_beats {
        0 => &[],
        1 | 2 => &[(0, Short)],
        3 => &[(0, Ring), (1, Short)],
        4 => &[(0, Ring), (2, Short)],
        _ => &[(0, Ring), (2, Ring), (3, Short)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plucks(meter: &str, starts: &[u32]) -> String {
        let meter = Meter::parse(meter).expect("a metre");
        let starts: Vec<Ticks> = starts.iter().map(|beat| Ticks::of_beat(*beat)).collect();
        let all = usual_plucks(meter, meter.bar(), &starts);
        let words = all.iter().map(|p| {
            let sign = if p.articulation == Articulation::Ring {
                "o"
            } else {
                "."
            };
            format!("{}+{}{sign}", p.at.beat_idx() + 1, p.at.within_beat())
        });
        words.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn fingers_strike_off_the_beat_and_leave_the_last_beat_to_the_thumb() {
        assert_eq!(plucks("4/4", &[0]), "1+480o 3+480.");
        assert_eq!(plucks("4/4", &[]), "1+480o 3+480.");
        assert_eq!(plucks("4/4", &[0, 2]), "1+480. 3+480.");
        assert_eq!(plucks("4/4", &[0, 1, 2, 3]), "1+480. 2+480. 3+480. 4+480.");
        assert_eq!(plucks("3/4", &[0]), "1+480o 2+480.");
        assert_eq!(plucks("2/4", &[0]), "1+480.");
        assert_eq!(plucks("5/4", &[0]), "1+480o 3+480o 4+480.");
        assert_eq!(plucks("6/8", &[0]), "1+640.");
        assert_eq!(plucks("12/8", &[0]), "1+640o 3+640.");
    }

    #[test]
    fn the_thumb_walks_on_every_beat() {
        assert_eq!(beats(Meter::COMMON.bar()), [0, 1, 2, 3].map(Ticks::of_beat));
        assert_eq!(
            beats(Ticks(1440)),
            [0, 1].map(Ticks::of_beat),
            "a pick-up of a beat and a half"
        );
    }
}
