//! The key of a tune that names none, from how long each pitch class sounds: the profile of a key
//! that goes along with it best. Says nothing about a tune without notes.
//!
//! Profiles and method: C. L. Krumhansl and E. J. Kessler, "Tracing the dynamic changes in perceived
//! tonal organization in a spatial representation of musical keys", Psychological Review 89 (1982);
//! correlated with durations as in C. L. Krumhansl, "Cognitive foundations of musical pitch", Oxford
//! University Press 1990, chapter 4.

use crate::theory::Key;
use crate::theory::Mode;

/// How well each pitch class above the tonic fits a major key.
const MAJOR: [f64; 12] = [
    6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88,
];

/// The same for a minor key.
const MINOR: [f64; 12] = [
    6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17,
];

/// The key that fits durations by pitch class (C first) best; `None` if they say nothing.
pub(super) fn guess(durations: [f64; 12]) -> Option<Key> {
    let mut best: Option<(f64, Key)> = None;
    // The plainer signature wins where two keys fit equally well.
    for fifths in [0, -1, 1, -2, 2, -3, 3, -4, 4, -5, 5, -6] {
        for (mode, profile) in [(Mode::Major, MAJOR), (Mode::Minor, MINOR)] {
            let key = Key::with_fifths(fifths, mode)?;
            let fit = correlation(durations, profile, key.tonic.pitch_class().number())?;
            if best.is_none_or(|(fits, _)| fit > fits + 1e-9) {
                best = Some((fit, key));
            }
        }
    }
    best.map(|(_, key)| key)
}

/// Pearson's coefficient of durations and a profile that begins at a tonic.
fn correlation(durations: [f64; 12], profile: [f64; 12], tonic: u8) -> Option<f64> {
    let mean = |of: &[f64; 12]| of.iter().sum::<f64>() / 12.0;
    let (mean_d, mean_p) = (mean(&durations), mean(&profile));
    let (mut both, mut own_d, mut own_p) = (0.0, 0.0, 0.0);
    let turned = durations.iter().cycle().skip(usize::from(tonic)).take(12);
    for (d, p) in turned.zip(profile) {
        let (d, p) = (d - mean_d, p - mean_p);
        both += d * p;
        own_d += d * d;
        own_p += p * p;
    }
    (own_d > 0.0).then(|| both / (own_d * own_p).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_with_their_tonic_stressed_are_in_their_key() {
        // The notes of the scales: common practice. Every key is found, each from its own profile.
        for fifths in -6..=5 {
            for (mode, steps) in [
                (Mode::Major, [0, 2, 4, 5, 7, 9, 11]),
                (Mode::Minor, [0, 2, 3, 5, 7, 8, 10]),
            ] {
                let key = Key::with_fifths(fifths, mode).expect("a key");
                let tonic = usize::from(key.tonic.pitch_class().number());
                let mut durations = [0.0; 12];
                for step in steps {
                    durations[(tonic + step) % 12] = 1.0;
                }
                durations[tonic] = 3.0;
                durations[(tonic + 7) % 12] = 2.0;
                let found = guess(durations).expect("a key");
                assert_eq!(found.tonic.pitch_class(), key.tonic.pitch_class(), "{key}");
                assert_eq!(found.mode, mode, "{key}");
            }
        }
        assert_eq!(guess([0.0; 12]), None);
        assert_eq!(guess([1.0; 12]), None);
    }
}
