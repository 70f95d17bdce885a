//! The tune in the question the arranger is asked: its notes by bars, and where the fingers strike
//! under it. Decides nothing about strings and shapes.

use crate::arrange::TunePlan;
use crate::document::Bar;
use crate::document::Document;
use crate::document::TuneDensity;
use crate::theory::Articulation;
use crate::theory::Pluck;
use crate::theory::Ticks;

/// The notes of the tune that are struck in each bar.
#[must_use]
pub fn tune_plans(document: &Document) -> Vec<Vec<TunePlan>> {
    let mut bars = vec![Vec::new(); document.n_bars()];
    for note in document.sung() {
        if let Some(bar) = bars.get_mut(note.bar) {
            bar.push(TunePlan {
                at: note.at,
                length: note.length,
                pitch: note.pitch,
                spelling: note.spelling,
            });
        }
    }
    bars
}

/// Where the fingers strike in a bar because of its tune; `None` where the pluck pattern decides.
#[must_use]
pub fn plucks_under_tune(bar: &Bar, density: TuneDensity, length: Ticks) -> Option<Vec<Pluck>> {
    if bar.tune.is_empty() {
        return None;
    }
    let struck = bar
        .tune
        .iter()
        .filter(|note| !note.tied)
        .map(|note| note.at);
    let places: Vec<Ticks> = match density {
        TuneDensity::Pattern => return None,
        TuneDensity::EveryNote => struck.collect(),
        TuneDensity::OnBeats => struck.filter(|at| at.within_beat() == 0).collect(),
        TuneDensity::Changes => {
            let starts = bar.chords.iter().map(|chord| chord.at);
            let ends = starts.clone().skip(1).chain([length]);
            let first = |(start, end): (Ticks, Ticks)| {
                let mut within = struck.clone().filter(|at| (start..end).contains(at));
                within.next().unwrap_or(start)
            };
            starts.zip(ends).map(first).collect()
        }
    };
    let ring = |at| Pluck::new(at, Articulation::Ring);
    Some(places.into_iter().map(ring).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::ChordAt;
    use crate::document::TuneNote;
    use crate::theory::Harmony;
    use crate::theory::Key;
    use crate::theory::Midi;

    fn bar(chords: &[u32], notes: &[(u32, bool)]) -> Bar {
        let pitch = Midi::new(64).expect("in range");
        let note = |(eighth, tied): &(u32, bool)| TuneNote {
            at: Ticks(eighth * 480),
            length: Ticks(480),
            pitch,
            spelling: Key::C_MAJOR.spell(pitch.pitch_class(), true),
            tied: *tied,
        };
        let chord = |eighth: &u32| ChordAt {
            at: Ticks(eighth * 480),
            harmony: Harmony::parse("C7").expect("a chord"),
            shape: None,
        };
        Bar {
            chords: chords.iter().map(chord).collect(),
            tune: notes.iter().map(note).collect(),
            ..Bar::default()
        }
    }

    #[test]
    fn the_density_says_where_the_fingers_strike() {
        let tune = bar(
            &[0, 4],
            &[(0, true), (1, false), (2, false), (5, false), (6, false)],
        );
        let eighths = |density| {
            let plucks = plucks_under_tune(&tune, density, Ticks(3840));
            plucks.map(|all| all.iter().map(|pluck| pluck.at.0 / 480).collect::<Vec<_>>())
        };
        assert_eq!(eighths(TuneDensity::Pattern), None);
        assert_eq!(eighths(TuneDensity::EveryNote), Some(vec![1, 2, 5, 6]));
        assert_eq!(eighths(TuneDensity::OnBeats), Some(vec![2, 6]));
        assert_eq!(eighths(TuneDensity::Changes), Some(vec![1, 5]));
        let silent = bar(&[0], &[]);
        let plucks = plucks_under_tune(&silent, TuneDensity::EveryNote, Ticks(3840));
        assert_eq!(plucks, None, "a bar without a tune has the pattern");
        let late = bar(&[0, 4], &[(6, false)]);
        let plucks = plucks_under_tune(&late, TuneDensity::Changes, Ticks(3840));
        let places: Vec<u32> = plucks.iter().flatten().map(|pluck| pluck.at.0).collect();
        assert_eq!(
            places,
            [0, 2880],
            "a chord without a note is struck where it begins"
        );
    }
}
