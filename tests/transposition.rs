//! What must hold when everything moves up or down together. Strings and chart n semitones higher
//! leave every fret where it was, so the hands must do the same; only what is said about absolute
//! pitch (intervals too low to be clear, a bass too high) may differ, and it is known by how much.

mod chords_in_bars;

use chords_in_bars::document_of;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;
use thumbwalk::arrange;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::instrument::Cost;
use thumbwalk::instrument::Hand;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::Term;
use thumbwalk::instrument::Tuning;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Midi;
use thumbwalk::voicing::Voicing;
use thumbwalk::voicing::Wish;
use thumbwalk::voicing::fingered_voicings;

const SYMBOLS: [&str; 20] = [
    "F", "Am", "G7", "Cmaj7", "Dm7", "Bm7b5", "F#dim7", "A6", "Em6", "E7b9", "C7#9", "D13",
    "G7alt", "E9", "G7sus4", "C/E", "Dm7/C", "F#m11", "Ebmaj9", "Bb9",
];

/// A document with up to two chords in every bar.
fn document(bars: &[Vec<&str>], instrument: Instrument) -> Document {
    Document {
        instrument: Arc::new(instrument),
        ..document_of(bars)
    }
}

/// The same tune on the same frets of strings that are so many semitones higher.
fn moved(document: &Document, semitones: i8) -> Document {
    let instrument = (*document.instrument).clone();
    let open = instrument.tuning.open().iter();
    let open: Vec<Midi> = open
        .map(|string| string.up(i32::from(semitones)).expect("a pitch"))
        .collect();
    let tuning = Tuning::new("moved", &open).expect("a tuning");
    let chart = document.apply(&Edit::Transpose(semitones));
    Document {
        instrument: Arc::new(Instrument {
            tuning,
            ..instrument
        }),
        ..chart.expect("at most 11 semitones")
    }
}

/// Grips with what is in them and their efforts, but for what depends on absolute pitch.
fn held(voicings: &[Voicing]) -> BTreeMap<String, Vec<(Term, Cost)>> {
    let one = |voicing: &Voicing| {
        let grip = &voicing.grip;
        let degrees: Vec<_> = voicing.notes.iter().map(|note| note.degree).collect();
        let terms = voicing.effort.terms().iter().copied();
        let terms = terms.filter(|(term, _)| !matches!(term, Term::Clash | Term::Register));
        let name = format!("{:?} {degrees:?}", grip.held().collect::<Vec<_>>());
        (format!("{} {name}", grip.shape), terms.collect())
    };
    voicings.iter().map(one).collect()
}

/// Everything about a note but its name and pitch.
fn played(note: &PlayedNote) -> String {
    let PlayedNote {
        place,
        length,
        string,
        fret,
        finger,
        pluck,
        lane,
        thumb_move,
        articulation,
        slide_from,
        ..
    } = note;
    format!(
        "{place:?} {length:?} {string:?} {fret} {finger:?} {pluck:?} {lane:?} {thumb_move:?} \
         {articulation:?} {slide_from:?}"
    )
}

fn arranged(document: &Document) -> Arrangement {
    arrange::solve(&problem_from_document(document))
}

fn some_bars() -> impl Strategy<Value = Vec<Vec<&'static str>>> {
    let bar = prop::collection::vec(prop::sample::select(SYMBOLS.to_vec()), 1..3);
    prop::collection::vec(bar, 1..6)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn a_chord_and_all_strings_moved_together_have_the_same_grips_at_the_same_effort_but_for_pitch(
        symbol in prop::sample::select(SYMBOLS.to_vec()),
        tuning in prop::sample::select(Tuning::known()),
        capo in 0u8..6,
        semitones in -7i8..8,
    ) {
        let instrument = Instrument { tuning, capo, ..Instrument::default() };
        let here = document(&[vec![symbol]], instrument);
        let there = moved(&here, semitones);
        let all = |document: &Document| {
            let problem = problem_from_document(document);
            let chord = problem.bars[0].chords[0].chord.clone().expect("a chord");
            let (hand, wish) = (Hand::default(), Wish::default());
            fingered_voicings(&chord, &problem.instrument, &hand, &wish, usize::MAX)
        };
        let (here, there) = (all(&here), all(&there));
        prop_assert_eq!(here.len(), there.len());
        prop_assert_eq!(held(&here), held(&there));
    }

    /// Above E3 no interval is too low to be clear, and every bass is higher than C3, from where
    /// on each semitone costs 350 (the effort model's table): the sum rises by exactly that much
    /// per semitone and grip, so the choice must be the same.
    #[test]
    fn a_chart_and_all_strings_above_the_limits_of_pitch_moved_together_are_played_the_same(
        bars in some_bars(),
        easy in any::<bool>(),
        semitones in 1i8..12,
    ) {
        let tuning = Tuning::parse("E3 A3 D4 G4 B4 E5").expect("a tuning");
        let mut here = document(&bars, Instrument { tuning, ..Instrument::default() });
        here.line.keep_hardest_easy = easy;
        let there = moved(&here, semitones);
        let (here, there) = (arranged(&here), arranged(&there));
        let notes = |arrangement: &Arrangement| arrangement.notes.iter().map(played).collect::<Vec<_>>();
        prop_assert_eq!(notes(&here), notes(&there));
        for (low, high) in here.notes.iter().zip(&there.notes) {
            prop_assert_eq!(low.pitch.up(i32::from(semitones)), Some(high.pitch));
        }
        let grips = here.grips.iter().filter(|grip| grip.voicing.is_some()).count();
        let grips = i32::try_from(grips).expect("few");
        prop_assert_eq!(there.sum.0 - here.sum.0, 350 * i32::from(semitones) * grips);
        prop_assert_eq!((here.max, here.hardest), (there.max, there.hardest));
        prop_assert_eq!(here.comfortable, there.comfortable);
    }
}
