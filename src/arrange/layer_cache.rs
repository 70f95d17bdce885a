//! Layers built so far. The same chord in the same surroundings has the same layer, in another chorus
//! as well as after an edit elsewhere. What a tune does not need is let go before more is built, but for
//! some that the next edit may come back to.

use super::built::Built;
use super::change::Changes;
use super::nodes::ThumbNote;
use super::phase::Need;
use super::phase::Phase;
use super::phase::PhaseSlide;
use super::phase::Span;
use super::phase::Task;
use super::phase::TuneSound;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::theory::Chord;
use crate::theory::Midi;
use crate::theory::PcSet;
use crate::theory::Spelling;
use std::collections::BTreeMap;
use std::collections::HashMap;
use std::collections::HashSet;
use std::sync::Arc;

/// Everything that decides the nodes of a layer while instrument, hand, key and wish stay.
#[derive(Clone, PartialEq, Eq, Hash)]
pub struct LayerKey {
    chord: Option<Arc<Chord>>,
    shape: Option<Shape>,
    again: bool,
    bass: Option<Midi>,
    task: Task,
    top: Option<(Midi, Spelling)>,
    sings: bool,
    tune: Option<TuneSound>,
    /// Bass notes that may sound on in it.
    pub struck: Vec<ThumbNote>,
    need: Need,
    carried: bool,
    is_first: bool,
    strikes: bool,
    slides: Vec<PhaseSlide>,
    until_pluck_us: u64,
    plucks_at_once: bool,
    next_bass: PcSet,
}

/// Room for layers that are kept beside those in use: some hundred, more than a few edits need.
const SPARE_BYTES: usize = 6 * 1024 * 1024;

/// Layers built so far.
#[derive(Default)]
pub struct LayerCache {
    known: HashMap<LayerKey, Known>,
    /// Counts the problems.
    turn: u64,
    changes: Option<Arc<Changes>>,
}

struct Known {
    built: Arc<Built>,
    /// The last problem that needed it.
    turn: u64,
}

impl LayerCache {
    /// Costs of changes on the one instrument that all its layers are for.
    pub fn changes(&mut self, instrument: &Instrument) -> Arc<Changes> {
        let changes = &mut self.changes;
        let changes = changes.get_or_insert_with(|| Arc::new(Changes::new(instrument)));
        Arc::clone(changes)
    }

    /// Begins another problem with layers for these keys, and forgets those it does not need, those
    /// first that were needed longest ago, until the rest is small. Returns which it has of them.
    pub fn begin(&mut self, keys: &[LayerKey]) -> Having {
        self.turn += 1;
        let mut having = Having::default();
        for key in keys {
            if let Some(known) = self.known.get_mut(key) {
                known.turn = self.turn;
                having.0.insert(Arc::as_ptr(&known.built) as usize);
            }
        }
        let mut spare: BTreeMap<u64, usize> = BTreeMap::new();
        #[expect(
            clippy::iter_over_hash_type,
            reason = "sums do not depend on the order"
        )]
        for known in self.known.values() {
            *spare.entry(known.turn).or_default() += known.built.bytes();
        }
        let mut held = 0;
        let newest = spare.range(..self.turn).rev();
        let stays = newest.take_while(|(_, bytes)| {
            held += **bytes;
            held <= SPARE_BYTES
        });
        let oldest = stays.last().map_or(self.turn, |(turn, _)| *turn);
        self.known.retain(|_, known| known.turn >= oldest);
        having
    }

    /// The layer for a key, built if it is not known.
    pub fn get(
        &mut self,
        key: LayerKey,
        build: impl FnOnce(&LayerKey) -> Option<Built>,
    ) -> Option<Arc<Built>> {
        if let Some(known) = self.known.get(&key) {
            return Some(Arc::clone(&known.built));
        }
        let built = Arc::new(build(&key)?);
        let known = Known {
            built: Arc::clone(&built),
            turn: self.turn,
        };
        self.known.insert(key, known);
        Some(built)
    }
}

/// Which layers a problem takes over.
#[derive(Default)]
pub struct Having(HashSet<usize>);

impl Having {
    /// Whether this is one of them.
    #[must_use]
    pub fn has(&self, built: &Arc<Built>) -> bool {
        self.0.contains(&(Arc::as_ptr(built) as usize))
    }
}

/// What decides the nodes of a phase. `is_first` says whether its span begins with it; then the pitch
/// classes that the next thumb note may have, and bass notes that may sound on in it.
#[must_use]
pub fn key_of(
    span: &Span,
    phase: &Phase,
    is_first: bool,
    (next_bass, struck): (PcSet, Vec<ThumbNote>),
) -> LayerKey {
    let pluck = phase.first_pluck_us.unwrap_or(phase.last_strike_us);
    LayerKey {
        chord: span.chord.clone(),
        shape: span.shape,
        again: span.again,
        bass: span.bass,
        task: phase.task.clone(),
        top: span.top,
        sings: span.sings,
        tune: phase.tune,
        struck,
        need: phase.need,
        carried: phase.carried,
        is_first,
        strikes: !phase.strikes.is_empty(),
        slides: phase.slides.clone(),
        until_pluck_us: pluck.saturating_sub(phase.begins_us),
        plucks_at_once: phase.first_pluck_us == Some(phase.begins_us),
        next_bass,
    }
}
