//! In which key a tune lies best: solves it in all twelve keys, with capos and in other tunings if
//! wanted, and ranks them by effort; keys in which the tune leaves a given range come last. Shapes
//! and places on the neck that the user decided belong to one key and are left out everywhere, also
//! in the present key, so that all are compared alike.

use super::problem::problem_from_document;
use super::voice_range::RangeFit;
use super::voice_range::VoiceRange;
use crate::arrange::Arrangement;
use crate::arrange::Arranger;
use crate::arrange::Place;
use crate::document::Document;
use crate::document::Edit;
use crate::instrument::Cost;
use crate::instrument::Tuning;
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

/// What is compared.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct KeyQuestion {
    /// Frets of the capo that are tried; none for the tune's own.
    pub capos: Vec<u8>,
    /// Tunings that are tried; none for the tune's own.
    pub tunings: Vec<Tuning>,
    /// The range that the tune should stay in.
    pub range: Option<VoiceRange>,
}

impl KeyQuestion {
    /// Capos and tunings for a document, its own where none are named; each once.
    fn for_document(&self, document: &Document) -> (Vec<u8>, Vec<Tuning>) {
        let mut capos = self.capos.clone();
        if capos.is_empty() {
            capos.push(document.instrument.capo);
        }
        capos.sort_unstable();
        capos.dedup();
        let mut tunings: Vec<Tuning> = Vec::new();
        let own = [document.instrument.tuning.clone()];
        let wanted = if self.tunings.is_empty() {
            own.iter()
        } else {
            self.tunings.iter()
        };
        for tuning in wanted {
            if tunings.iter().all(|other| other.open() != tuning.open()) {
                tunings.push(tuning.clone());
            }
        }
        (capos, tunings)
    }

    /// How many arrangements answer it.
    #[must_use]
    pub fn n_solved(&self, document: &Document) -> usize {
        let (capos, tunings) = self.for_document(document);
        12 * capos.len() * tunings.len()
    }
}

/// How a tune lies in one key.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct KeyLie {
    /// The key that sounds.
    pub key: Key,
    /// How far the tune is moved, in semitones.
    pub semitones: i8,
    /// Fret of the capo.
    pub capo: u8,
    /// The tuning.
    pub tuning: Tuning,
    /// How the tune fits the range, if one was given.
    pub fit: Option<RangeFit>,
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
    fn of(moved: &Moved, range: Option<VoiceRange>, arrangement: &Arrangement) -> Self {
        let document = &moved.document;
        let mut by_bar = vec![Cost::ZERO; document.n_bars()];
        for slot in &arrangement.slots {
            if let Some(bar) = by_bar.get_mut(slot.place.bar) {
                *bar += slot.effort.total();
            }
        }
        let faults = arrangement.findings.iter().filter(|f| f.kind.is_fault());
        Self {
            key: document.key,
            semitones: moved.semitones,
            capo: document.instrument.capo,
            tuning: document.instrument.tuning.clone(),
            fit: range.and_then(|range| range.fit(document)),
            sum: arrangement.sum,
            max: arrangement.max,
            hardest: arrangement.hardest,
            comfortable_bpm: arrangement.comfortable.map(|(bpm, _)| bpm),
            n_faults: faults.count(),
            by_bar,
        }
    }

    /// Best first: least outside the range, fewest faults, least effort, lowest capo, nearest to
    /// the present key.
    fn rank(&self) -> (u16, usize, Cost, u8, u8, i8) {
        let away = self.semitones.unsigned_abs();
        let outside = self.fit.map_or(0, |fit| fit.outside());
        (
            outside,
            self.n_faults,
            self.sum,
            self.capo,
            away,
            self.semitones,
        )
    }
}

/// So many semitones or an octave less or more, whichever of the twelve that is.
pub(super) const fn nearest(semitones: i8) -> i8 {
    (semitones - *SEMITONES.start()).rem_euclid(12) + *SEMITONES.start()
}

/// The tune as it would be in another key with another capo in another tuning.
///
/// # Errors
/// If the instrument has no such fret for a capo; in words.
pub fn moved(
    document: &Document,
    semitones: i8,
    capo: u8,
    tuning: &Tuning,
) -> Result<Document, String> {
    let mut instrument = (*document.instrument).clone();
    instrument.capo = capo;
    instrument.tuning = tuning.clone();
    instrument.check().map_err(|error| error.to_string())?;
    let transposed = document.apply(&Edit::Transpose(semitones));
    let set = |document: Document| document.apply(&Edit::SetInstrument(instrument));
    transposed.and_then(set).map_err(|error| error.to_string())
}

struct Moved {
    semitones: i8,
    /// Its place among the tunings asked for.
    tuning: usize,
    document: Document,
}

fn all_moved(document: &Document, question: &KeyQuestion) -> Vec<Moved> {
    let (capos, tunings) = question.for_document(document);
    let mut tunes = Vec::new();
    for (number, tuning) in tunings.iter().enumerate() {
        for capo in &capos {
            for semitones in SEMITONES {
                tunes.extend(
                    moved(document, semitones, *capo, tuning)
                        .ok()
                        .map(|document| Moved {
                            semitones,
                            tuning: number,
                            document,
                        }),
                );
            }
        }
    }
    tunes
}

/// All keys with the capos and tunings asked for, best first. `keep_going` is told how many are
/// solved and of how many; if it returns `false` the work stops and there is no answer. Capos the
/// neck has no room for are left out. Works on as many threads as the machine runs at once.
#[must_use]
pub fn best_keys(
    document: &Document,
    question: &KeyQuestion,
    keep_going: &(dyn Fn(usize, usize) -> bool + Sync),
) -> Option<Vec<KeyLie>> {
    let tunes = all_moved(document, question);
    let found = Mutex::new(Vec::with_capacity(tunes.len()));
    let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let stopped = AtomicBool::new(false);
    let work = || {
        while let Some(tune) = tunes.get(next.fetch_add(1, Ordering::Relaxed)) {
            let mut goes_on = |_| !stopped.load(Ordering::Relaxed);
            let problem = problem_from_document(&tune.document);
            let Some(arrangement) = Arranger::default().solve(&problem, &mut goes_on) else {
                return;
            };
            let lie = KeyLie::of(tune, question.range, &arrangement);
            found
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .push((tune.tuning, lie));
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
    found.sort_by_key(|(tuning, lie)| (lie.rank(), *tuning));
    Some(found.into_iter().map(|(_, lie)| lie).collect())
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

    fn with_capos(capos: &[u8]) -> KeyQuestion {
        KeyQuestion {
            capos: capos.into(),
            ..KeyQuestion::default()
        }
    }

    /// Each entry is what solving the moved tune by itself gives, and every key is there once.
    #[test]
    fn every_key_is_solved_as_it_would_be_by_itself() {
        let tune = tune();
        let question = KeyQuestion {
            capos: vec![3, 0, 3],
            tunings: ["standard", "drop D", "E A D G B E"]
                .map(|name| Tuning::parse(name).expect("a tuning"))
                .into(),
            range: None,
        };
        assert_eq!(question.n_solved(&tune), 48);
        let found = best_keys(&tune, &question, &|_, _| true).expect("an answer");
        assert_eq!(found.len(), 48);
        for lie in &found {
            let moved = moved(&tune, lie.semitones, lie.capo, &lie.tuning).expect("a capo");
            let alone = arrange::solve(&problem_from_document(&moved));
            assert_eq!(
                (lie.key, lie.sum, lie.max),
                (moved.key, alone.sum, alone.max)
            );
            let by_bar: Cost = lie.by_bar.iter().copied().sum();
            assert_eq!(by_bar, lie.sum, "the bars add up");
        }
        assert!(found.is_sorted_by_key(KeyLie::rank));
        let mut places: Vec<(&str, u8, u8)> = found
            .iter()
            .map(|lie| {
                let tonic = lie.key.tonic.pitch_class().number();
                (lie.tuning.name(), lie.capo, tonic)
            })
            .collect();
        places.sort_unstable();
        places.dedup();
        assert_eq!(places.len(), 48);
    }

    #[test]
    fn it_stops_when_told_and_passes_over_capos_without_room() {
        let (own, far) = (with_capos(&[0]), with_capos(&[0, 30]));
        assert_eq!(best_keys(&tune(), &own, &|done, _| done < 3), None);
        let found = best_keys(&tune(), &far, &|_, total| total == 12);
        assert_eq!(found.map(|keys| keys.len()), Some(12));
    }

    /// A tune from C4 to C5 and a voice from A3 to A4, an octave wide: one key alone fits, three
    /// semitones lower, and every other sticks out by as much as it lies away from it, at most a
    /// tritone, because the voice may take any octave.
    #[test]
    fn keys_in_which_the_tune_leaves_the_range_come_last() {
        let text = "Key: C\n| C |\nTune: C4 E4 G4 C5 |\n";
        let opened = open::open_text(text, Path::new("test"));
        let tune = opened.expect("a chart").document;
        let range = VoiceRange::parse("A3-A4").expect("a range");
        let question = KeyQuestion {
            range: Some(range),
            ..KeyQuestion::default()
        };
        let found = best_keys(&tune, &question, &|_, _| true).expect("an answer");
        let outside: Vec<u16> = found
            .iter()
            .map(|lie| lie.fit.map_or(99, |fit| fit.outside()))
            .collect();
        assert_eq!(outside, [0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6]);
        assert_eq!(found[0].semitones, -3);
        for lie in &found {
            let away = (i16::from(lie.semitones) + 3).rem_euclid(12);
            let nearest = away.min(12 - away);
            assert_eq!(
                lie.fit.map(|fit| fit.outside()),
                u16::try_from(nearest).ok()
            );
        }
    }
}
