//! The voicing list of the selected chord: what the user filters by, and each voicing with its
//! effort from the grip before and to the grip after.

use crate::arrange::Arrangement;
use crate::arrange::Changes;
use crate::arrange::HandState;
use crate::arrange::Options;
use crate::arrange::Place;
use crate::document::Document;
use crate::document::SungNote;
use crate::instrument::Cost;
use crate::instrument::Effort;
use crate::instrument::Grip;
use crate::theory::Chord;
use crate::theory::Midi;
use crate::theory::PitchClass;
use crate::theory::Spelling;
use crate::voicing;
use crate::voicing::Bass;
use crate::voicing::Family;
use crate::voicing::Voicing;
use crate::voicing::Wish;
use std::sync::Arc;

/// The most voicings a list shows; more can't be looked through.
pub const MOST_LISTED: usize = 300;

/// A range of frets for the hand.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct PositionRange {
    /// Lowest fret.
    pub from: u8,
    /// Highest fret.
    pub to: u8,
}

/// What the voicing list is limited to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CandidateFilter {
    /// Bass note.
    pub bass: Bass,
    /// Pitch class of the top note.
    pub top_note: Option<PitchClass>,
    /// Family.
    pub family: Option<Family>,
    /// Frets.
    pub position: PositionRange,
    /// Whether grips with open strings are listed.
    pub open_strings: bool,
    /// Whether grips with a barre are listed.
    pub barre: bool,
    /// Number of notes, if only that many.
    pub notes: Option<u8>,
}

impl Default for CandidateFilter {
    fn default() -> Self {
        Self {
            bass: Bass::Root,
            top_note: None,
            family: None,
            position: PositionRange { from: 0, to: 20 },
            open_strings: true,
            barre: true,
            notes: None,
        }
    }
}

/// A voicing in the place of the selected chord.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Candidate {
    /// The voicing.
    pub voicing: Voicing,
    /// Effort of coming from the grip before.
    pub from_previous: Effort,
    /// Effort of going on to the grip after.
    pub to_next: Effort,
    /// Effort of the whole tune if it is used here, once known.
    pub whole_tune: Option<Cost>,
}

/// What the list is to be made from.
#[derive(Clone, Debug)]
pub struct ListQuestion {
    /// The document.
    pub document: Arc<Document>,
    /// The newest arrangement, for the grips around.
    pub arrangement: Option<Arc<Arrangement>>,
    /// What each shape of each chord would make of the whole tune, if that is known.
    pub options: Option<Arc<Vec<Options>>>,
    /// The selected place.
    pub place: Place,
    /// The filter.
    pub filter: CandidateFilter,
}

/// The written chord in force at a place: its bar, its number in the bar and its meaning.
#[must_use]
pub fn chord_at(document: &Document, place: Place) -> Option<(usize, usize, &Chord)> {
    let here = |bar: usize| {
        let written = document.bar(bar)?.chords.iter().enumerate();
        let mut before = written.filter(|(_, chord)| bar < place.bar || chord.at <= place.at);
        before.next_back().map(|(idx, chord)| (bar, idx, chord))
    };
    // From the place backwards: most bars have a chord, and this is asked for every bar in view.
    let last = place.bar.min(document.n_bars().checked_sub(1)?);
    let (bar, chord_idx, chord) = (0..=last).rev().find_map(here)?;
    let meant = chord.harmony.chord();
    meant.map(|chord| (bar, chord_idx, chord))
}

/// Voicings of the chord at the selected place that pass the filter, by effort, each with its
/// change from the grip before and to the grip after.
#[must_use]
pub fn list(question: &ListQuestion) -> Vec<Candidate> {
    let document = &question.document;
    let Some((bar, chord_idx, chord)) = chord_at(document, question.place) else {
        return Vec::new();
    };
    let around = Around::of(question, bar, chord_idx);
    let filter = &question.filter;
    let (instrument, hand) = (&document.instrument, &document.hand);
    let wish = wish_of(filter);
    let found = match tune_on_top(document, bar, chord_idx) {
        Some(top) => voicing::voicings_under(top, chord, instrument, hand, &wish, 1),
        None => voicing::thinned_voicings(chord, instrument, hand, &wish, 1),
    };
    let fits = |n: u8| move |voicing: &Voicing| voicing.notes.len() == usize::from(n);
    let mut listed = found
        .into_iter()
        .filter(|voicing| filter.notes.is_none_or(|n| fits(n)(voicing)))
        .filter(|voicing| filter.family.is_none_or(|family| voicing.family == family))
        .take(MOST_LISTED)
        .map(|voicing| around.candidate(around.as_in_use(voicing)))
        .collect::<Vec<_>>();
    // The grip in use may cost more than the best fingers for its shape.
    listed.sort_by_key(|candidate| candidate.voicing.effort.total());
    listed
}

/// The note of the tune that sounds where a written chord begins.
fn tune_on_top(document: &Document, bar: usize, chord_idx: usize) -> Option<(Midi, Spelling)> {
    let lengths = || (document.bars()).map(|bar| bar.length_in(document.meter));
    let start_of = |bar: usize| lengths().take(bar).map(|l| u64::from(l.0)).sum::<u64>();
    let chord = document.bar(bar)?.chords.get(chord_idx)?;
    let here = start_of(bar) + u64::from(chord.at.0);
    let sung = document.sung();
    let sounds = |note: &&SungNote| {
        let begins = start_of(note.bar) + u64::from(note.at.0);
        (begins..begins + u64::from(note.length.0)).contains(&here)
    };
    // Only what began at most some bars earlier can sound.
    let near = sung.iter().rev().skip_while(|note| note.bar > bar);
    let found = near.take(64).find(sounds)?;
    Some((found.pitch, found.spelling))
}

/// One grip as a candidate for the chord at the selected place, for pinning and using.
#[must_use]
pub fn candidate_of(question: &ListQuestion, grip: &Grip) -> Option<Candidate> {
    let document = &question.document;
    let (bar, chord_idx, chord) = chord_at(document, question.place)?;
    let (instrument, hand) = (&document.instrument, &document.hand);
    let fingered = voicing::shape_voicings(chord, &grip.shape, instrument, hand, usize::MAX);
    let voicing = fingered.into_iter().find(|voicing| voicing.grip == *grip)?;
    Some(Around::of(question, bar, chord_idx).candidate(voicing))
}

fn wish_of(filter: &CandidateFilter) -> Wish {
    Wish {
        bass: filter.bass,
        notes: filter.notes.map_or(Wish::default().notes, |n| (n, n)),
        frets: (filter.position.from, filter.position.to),
        top_class: filter.top_note,
        open_strings: filter.open_strings,
        barre: filter.barre,
        ..Wish::default()
    }
}

/// The hand before and after a chord.
struct Around {
    options: Options,
    changes: Changes,
    before: Option<HandState>,
    after: Option<HandState>,
    /// What the hand holds for the chord now.
    in_use: Option<Voicing>,
    beat_us: u64,
}

impl Around {
    fn of(question: &ListQuestion, bar: usize, chord_idx: usize) -> Self {
        let grips = question
            .arrangement
            .as_ref()
            .map_or(&[][..], |a| a.grips.as_slice());
        let here = grips
            .iter()
            .position(|g| g.place.bar == bar && g.chord_idx == chord_idx);
        let state = |idx: Option<usize>| {
            let voicing = grips.get(idx?)?.voicing.as_ref()?;
            Some(HandState::of_grip(&voicing.grip))
        };
        let options = question.options.as_ref();
        Self {
            options: here
                .and_then(|i| options?.get(i).cloned())
                .unwrap_or_default(),
            changes: Changes::new(&question.document.instrument),
            before: state(here.and_then(|i| i.checked_sub(1))),
            after: state(here.map(|i| i + 1)),
            in_use: here.and_then(|i| grips.get(i)?.voicing.clone()),
            beat_us: 60_000_000 / u64::from(question.document.tempo_bpm.max(1)),
        }
    }

    /// A voicing with the fingers that are in use, if its shape is.
    fn as_in_use(&self, voicing: Voicing) -> Voicing {
        let in_use = self.in_use.as_ref();
        let same = in_use.filter(|used| used.grip.shape == voicing.grip.shape);
        same.cloned().unwrap_or(voicing)
    }

    fn candidate(&self, voicing: Voicing) -> Candidate {
        let state = HandState::of_grip(&voicing.grip);
        let change = |from: &HandState, to: &HandState| self.changes.effort(from, to, self.beat_us);
        Candidate {
            from_previous: self.before.map(|b| change(&b, &state)).unwrap_or_default(),
            to_next: self.after.map(|a| change(&state, &a)).unwrap_or_default(),
            whole_tune: self.options.get(&voicing.grip.shape).copied(),
            voicing,
        }
    }
}
