//! In which key a tune lies best: solves it in all twelve keys, with capos if wanted, and ranks
//! them by effort. Shapes and places on the neck that the user decided belong to one key and are
//! left out everywhere, also in the present key, so that all are compared alike.

use super::problem::problem_from_document;
use crate::arrange::Arrangement;
use crate::arrange::Arranger;
use crate::arrange::Place;
use crate::document::Document;
use crate::document::Edit;
use crate::instrument::Cost;
use crate::theory::Key;
use std::num::NonZero;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;
use std::thread::Builder;
use std::thread::available_parallelism;
use std::thread::scope;

/// From a fourth down to a tritone up: every key once, none further away than it must be.
const SEMITONES: std::ops::RangeInclusive<i8> = -5..=6;

/// The highest capo that is tried.
pub const MOST_CAPO: u8 = 5;

/// How a tune lies in one key.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct KeyLie {
    /// The key that sounds.
    pub key: Key,
    /// How far the tune is moved, in semitones.
    pub semitones: i8,
    /// Fret of the capo.
    pub capo: u8,
    /// Effort of the whole tune.
    pub sum: Cost,
    /// The largest single change.
    pub max: Cost,
    /// Where that arrives.
    pub hardest: Option<Place>,
    /// About the tempo up to which every change is comfortable; an estimate.
    pub comfortable_bpm: Option<u16>,
    /// What cannot be played as written.
    pub n_faults: usize,
    /// Effort bar by bar.
    pub by_bar: Vec<Cost>,
}

impl KeyLie {
    fn of(document: &Document, semitones: i8, arrangement: &Arrangement) -> Self {
        let mut by_bar = vec![Cost::ZERO; document.n_bars()];
        for slot in &arrangement.slots {
            if let Some(bar) = by_bar.get_mut(slot.place.bar) {
                *bar += slot.effort.total();
            }
        }
        let faults = arrangement.findings.iter().filter(|f| f.kind.is_fault());
        Self {
            key: document.key,
            semitones,
            capo: document.instrument.capo,
            sum: arrangement.sum,
            max: arrangement.max,
            hardest: arrangement.hardest,
            comfortable_bpm: arrangement.comfortable.map(|(bpm, _)| bpm),
            n_faults: faults.count(),
            by_bar,
        }
    }

    /// Best first: fewest faults, least effort, lowest capo, nearest to the present key.
    fn rank(&self) -> (usize, Cost, u8, u8, i8) {
        let away = self.semitones.unsigned_abs();
        (self.n_faults, self.sum, self.capo, away, self.semitones)
    }
}

/// So many semitones or an octave less or more, whichever of the twelve that is.
pub(super) const fn nearest(semitones: i8) -> i8 {
    (semitones - *SEMITONES.start()).rem_euclid(12) + *SEMITONES.start()
}

/// The tune as it would be in another key with another capo.
///
/// # Errors
/// If the instrument has no such fret for a capo; in words.
pub fn moved(document: &Document, semitones: i8, capo: u8) -> Result<Document, String> {
    let mut instrument = (*document.instrument).clone();
    instrument.capo = capo;
    instrument.check().map_err(|error| error.to_string())?;
    let transposed = document.apply(&Edit::Transpose(semitones));
    let set = |document: Document| document.apply(&Edit::SetInstrument(instrument));
    transposed.and_then(set).map_err(|error| error.to_string())
}

/// All keys with capos at these frets, best first. `keep_going` is told how many are solved and of
/// how many; if it returns `false` the work stops and there is no answer. Capos the neck has no
/// room for are left out. Works on as many threads as the machine runs at once.
#[must_use]
pub fn best_keys(
    document: &Document,
    capos: &[u8],
    keep_going: &(dyn Fn(usize, usize) -> bool + Sync),
) -> Option<Vec<KeyLie>> {
    let tunes: Vec<(i8, Document)> = capos
        .iter()
        .flat_map(|capo| SEMITONES.map(move |semitones| (semitones, *capo)))
        .filter_map(|(semitones, capo)| Some((semitones, moved(document, semitones, capo).ok()?)))
        .collect();
    let found = Mutex::new(Vec::with_capacity(tunes.len()));
    let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let stopped = AtomicBool::new(false);
    let work = || {
        while let Some((semitones, tune)) = tunes.get(next.fetch_add(1, Ordering::Relaxed)) {
            let mut goes_on = |_| !stopped.load(Ordering::Relaxed);
            let problem = problem_from_document(tune);
            let Some(arrangement) = Arranger::default().solve(&problem, &mut goes_on) else {
                return;
            };
            let lie = KeyLie::of(tune, *semitones, &arrangement);
            found
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .push(lie);
            if !keep_going(done.fetch_add(1, Ordering::Relaxed) + 1, tunes.len()) {
                stopped.store(true, Ordering::Relaxed);
                return;
            }
        }
    };
    let n_threads = available_parallelism().map_or(1, NonZero::get).min(8);
    scope(|scope| {
        for number in 1..n_threads {
            // Where no thread is to be had the others do its work.
            let name = format!("key {number}");
            let spawned = Builder::new().name(name).spawn_scoped(scope, work);
            if spawned.is_err() {
                break;
            }
        }
        work();
    });
    let mut found = found.into_inner().unwrap_or_else(PoisonError::into_inner);
    if stopped.into_inner() {
        return None;
    }
    found.sort_by_key(KeyLie::rank);
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange;
    use crate::session::open;
    use std::path::Path;

    fn tune() -> Document {
        let text = "Key: Eb\n| Ebmaj7 | Cm7 | Fm7 | Bb7 |\n";
        open::open_text(text, Path::new("test"))
            .expect("a chart")
            .document
    }

    /// Each entry is what solving the moved tune by itself gives, and every key is there once.
    #[test]
    fn every_key_is_solved_as_it_would_be_by_itself() {
        let tune = tune();
        let found = best_keys(&tune, &[0, 3], &|_, _| true).expect("an answer");
        assert_eq!(found.len(), 24);
        for lie in &found {
            let moved = moved(&tune, lie.semitones, lie.capo).expect("a capo");
            let alone = arrange::solve(&problem_from_document(&moved));
            assert_eq!(
                (lie.key, lie.sum, lie.max),
                (moved.key, alone.sum, alone.max)
            );
            let by_bar: Cost = lie.by_bar.iter().copied().sum();
            assert_eq!(by_bar, lie.sum, "the bars add up");
        }
        assert!(found.is_sorted_by_key(KeyLie::rank));
        let mut places: Vec<(u8, u8)> = found
            .iter()
            .map(|lie| (lie.capo, lie.key.tonic.pitch_class().number()))
            .collect();
        places.sort_unstable();
        places.dedup();
        assert_eq!(places.len(), 24);
    }

    #[test]
    fn it_stops_when_told_and_passes_over_capos_without_room() {
        assert_eq!(best_keys(&tune(), &[0], &|done, _| done < 3), None);
        let found = best_keys(&tune(), &[0, 30], &|_, total| total == 12);
        assert_eq!(found.map(|keys| keys.len()), Some(12));
    }
}
