//! The tune on top of bass and chords: random tunes on random charts, arranged and held against the
//! judge of the hand (`playable_checker`), and against what a listener expects: every note of the
//! tune is there, on time, at its pitch, as long as it is written, above everything else that sounds
//! with it; what is not so is reported.

mod playable_checker;

use playable_checker::held;
use playable_checker::judge;
use proptest::prelude::*;
use std::path::Path;
use std::sync::Arc;
use thumbwalk::arrange;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Arranger;
use thumbwalk::arrange::FindingKind;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::arrange::trellis::Layered;
use thumbwalk::arrange::trellis::WrittenOut;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::document::Section;
use thumbwalk::document::SungNote;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::TuneDensity;
use thumbwalk::document::TuneNote;
use thumbwalk::document::Walk;
use thumbwalk::document::tune;
use thumbwalk::instrument::Cost;
use thumbwalk::instrument::Shape;
use thumbwalk::instrument::StringIdx;
use thumbwalk::session::open::open_text;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Key;
use thumbwalk::theory::Midi;
use thumbwalk::theory::Pluck;
use thumbwalk::theory::Ticks;

const SYMBOLS: &[&str] = &[
    "C", "Dm7", "G7", "Fmaj7", "Am7", "Bm7b5", "E7#9", "Bb9", "C#dim7", "F#m7", "Ab13", "C/E",
    "D7b9", "B7sus4", "N.C.",
];

const BAR: u32 = 3840;

/// Notes from their lengths in sixths of a beat and their pitches, `None` being a rest.
fn bars_of(notes: &[(u32, Option<u8>, bool)], n_bars: usize) -> Vec<Vec<TuneNote>> {
    let mut bars = vec![Vec::new(); n_bars];
    let mut at = 0;
    for (length, pitch, tied) in notes {
        let (mut from, until) = (at, at + length * 160);
        at = until;
        let Some(pitch) = pitch.and_then(Midi::new) else {
            continue;
        };
        let mut tied = *tied;
        while from < until {
            let bar = from / BAR;
            let end = until.min((bar + 1) * BAR);
            if let Some(bar) = bars.get_mut(bar as usize) {
                bar.push(TuneNote {
                    at: Ticks(from % BAR),
                    length: Ticks(end - from),
                    pitch,
                    spelling: Key::C_MAJOR.spell(pitch.pitch_class(), true),
                    tied,
                });
            }
            (from, tied) = (end, true);
        }
    }
    bars
}

fn document(chords: &[Vec<&str>], tune: Vec<Vec<TuneNote>>) -> Document {
    let chord = |at: u32, text: &str| ChordAt {
        at: Ticks(at),
        harmony: Harmony::parse(text).expect("a chord"),
        shape: None,
    };
    let bar = |(chords, tune): (&Vec<&str>, Vec<TuneNote>)| Bar {
        chords: (0u32..)
            .zip(chords)
            .map(|(i, text)| chord(i * BAR / chords.len() as u32, text))
            .collect(),
        tune,
        ..Bar::default()
    };
    let section = Section {
        name: String::new(),
        bars: chords.iter().zip(tune).map(bar).collect(),
    };
    Document {
        sections: vec![Arc::new(section)],
        ..Document::default()
    }
}

fn random_document() -> impl Strategy<Value = Document> {
    let chords = prop::collection::vec(
        prop::collection::vec(prop::sample::select(SYMBOLS), 1..=2),
        1..4,
    );
    let length = prop::sample::select(&[2u32, 3, 4, 6, 9, 12, 24][..]);
    let pitch = prop::option::weighted(0.85, 52u8..=84);
    let notes = prop::collection::vec((length, pitch, prop::bool::weighted(0.1)), 1..16);
    let density = prop::sample::select(&TuneDensity::ALL[..]);
    let walk = (prop::sample::select(Walk::ALL.to_vec()), any::<u64>());
    let hand = (any::<bool>(), prop::bool::weighted(0.2));
    (chords, notes, density, walk, hand).prop_map(
        |(chords, notes, density, (walk, seed), (four, peak))| {
            let tune = bars_of(&notes, chords.len());
            let mut document = document(&chords, tune);
            document.tune.density = density;
            document.line.walk = walk;
            document.line.seed = seed;
            document.line.keep_hardest_easy = peak;
            Arc::make_mut(&mut document.hand).plucking_fingers = if four { 4 } else { 3 };
            document
        },
    )
}

/// What a listener misses of the tune, beyond what is reported.
fn missing(document: &Document, arrangement: &Arrangement) -> Vec<String> {
    let bar = u64::from(BAR);
    let mut faults = Vec::new();
    let reported = |kind: FindingKind, from: Place, until: u64| {
        arrangement.findings.iter().any(|finding| {
            let at = finding.place.bar as u64 * bar + u64::from(finding.place.at.0);
            finding.kind == kind && finding.place >= from && at < until
        })
    };
    let sung = document.sung();
    let mut played: Vec<_> = arrangement.notes.iter().collect();
    played.retain(|note| note.lane == Lane::Tune);
    for SungNote {
        bar: in_bar,
        at,
        length,
        pitch,
        ..
    } in &sung
    {
        let place = Place {
            bar: *in_bar,
            at: *at,
        };
        let begins = *in_bar as u64 * bar + u64::from(at.0);
        let until = begins + u64::from(length.0);
        let Some(note) = played.iter().find(|note| note.place == place) else {
            if !reported(FindingKind::OutOfRange, place, begins + 1) {
                faults.push(format!("no tune note at {place:?}, and no word about it"));
            }
            continue;
        };
        if note.pitch != *pitch {
            faults.push(format!(
                "{:?} instead of {pitch:?} at {place:?}",
                note.pitch
            ));
        }
        let (_, end) = held(note, bar);
        if end != until && !reported(FindingKind::CutShort, place, until) {
            faults.push(format!(
                "{place:?} ends at {end}, not at {until}, and no word about it"
            ));
        }
    }
    if played.len() > sung.len() {
        faults.push("more notes than the tune has".into());
    }
    for tune in &played {
        let (from, until) = held(tune, bar);
        for note in &arrangement.notes {
            let (a, b) = held(note, bar);
            let together = a < until && from < b;
            let above = note.pitch >= tune.pitch || note.string >= tune.string;
            if note.lane != Lane::Tune && together && above {
                faults.push(format!(
                    "{note:?} is not below the tune at {:?}",
                    tune.place
                ));
            }
        }
    }
    faults
}

/// A document and what became of it, in a few lines.
fn told(document: &Document, arrangement: &Arrangement) -> String {
    let mut text = format!("{:?} {:?}", document.tune.density, document.line.walk);
    for bar in document.bars() {
        let chords = bar
            .chords
            .iter()
            .map(|c| format!("{}@{}", c.harmony.printed(document.house_style), c.at.0));
        let chords: Vec<String> = chords.collect();
        let tune = bar
            .tune
            .iter()
            .map(|n| format!("{}:{}+{}", n.pitch.number(), n.at.0, n.length.0));
        let tune: Vec<String> = tune.collect();
        text.push_str(&format!("\n{} | {}", chords.join(" "), tune.join(" ")));
    }
    for n in &arrangement.notes {
        let finger = n.finger.map_or('0', |f| f.digit());
        text.push_str(&format!(
            "\n{}.{} +{} {:?} {}/{}:{finger} {}",
            n.place.bar,
            n.place.at.0,
            n.length.0,
            n.lane,
            n.string.0,
            n.fret,
            n.pitch.number()
        ));
    }
    for finding in &arrangement.findings {
        text.push_str(&format!("\n{:?} {}", finding.place, finding.message));
    }
    text
}

/// The least sum of a way through all edges, one layer after the other, as plainly as it can be done.
fn least_sum(problem: &WrittenOut) -> Option<Cost> {
    let mut layers = problem.layers.iter();
    let mut least: Vec<Option<Cost>> = layers.next()?.iter().map(|cost| Some(*cost)).collect();
    for (nodes, edges) in layers.zip(&problem.edges) {
        let mut next: Vec<Option<Cost>> = vec![None; nodes.len()];
        for (from, to, cost) in edges {
            if let Some(so_far) = least[*from] {
                let sum = so_far + *cost + nodes[*to];
                next[*to] = Some(next[*to].map_or(sum, |best| best.min(sum)));
            }
        }
        least = next;
    }
    least.into_iter().flatten().min()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_tune_is_complete_on_top_and_playable(document in random_document()) {
        let arrangement = arrange::solve(&problem_from_document(&document));
        let mut faults = judge(&arrangement, u64::from(BAR), &document.hand);
        faults.extend(missing(&document, &arrangement));
        prop_assert!(faults.is_empty(), "{faults:#?} in {}", told(&document, &arrangement));
    }
    #[test]
    fn the_answer_is_the_least_of_all(document in random_document()) {
        let mut problem = problem_from_document(&document);
        problem.keep_hardest_easy = false;
        let (layers, path) = arrange::trellis_of(&problem).expect("an arrangement");
        prop_assert_eq!(least_sum(&WrittenOut::of(&layers)), Some(path.sum));
        let mut sum = layers.node_costs(0)[path.nodes[0]];
        for (layer, pair) in path.nodes.windows(2).enumerate() {
            let edge = layers.edge(layer, pair[0], pair[1]);
            sum = sum + edge.expect("an edge") + layers.node_costs(layer + 1)[pair[1]];
        }
        prop_assert_eq!(sum, path.sum);
        let arrangement = arrange::solve(&problem);
        let efforts = arrangement.slots.iter().map(|slot| slot.effort.total().0);
        prop_assert_eq!(efforts.sum::<i32>(), path.sum.0, "the efforts by moment add up");
    }

    #[test]
    fn an_edit_of_the_tune_equals_solving_from_nothing(
        document in random_document(),
        edits in prop::collection::vec((0usize..4, 0u32..8, 55u8..80), 1..4),
    ) {
        let mut document = document;
        document.line.keep_hardest_easy = false;
        let mut arranger = Arranger::default();
        arranger.solve(&problem_from_document(&document), &mut |_| true).expect("an arrangement");
        for (bar, eighth, pitch) in edits {
            let bar = bar % document.n_bars();
            let pitch = Midi::new(pitch).expect("in range");
            let note = TuneNote {
                at: Ticks(480 * eighth),
                length: Ticks(480),
                pitch,
                spelling: Key::C_MAJOR.spell(pitch.pitch_class(), false),
                tied: false,
            };
            let notes = tune::with_note(&document.bar(bar).expect("a bar").tune, note, Ticks(BAR));
            document = document.apply(&Edit::SetTune { bar, notes }).expect("an edit");
            let problem = problem_from_document(&document);
            let again = arranger.solve(&problem, &mut |_| true).expect("an arrangement");
            prop_assert_eq!(again, arrange::solve(&problem));
        }
    }
}

/// A chord whose shape was chosen is held in it from its beginning; taken anew under the tune, it may be
/// another. The same places of the same bar are then played with other grips.
#[test]
fn a_chord_taken_anew_is_not_taken_for_the_chord_as_chosen() {
    let document = open_text("Key: C\n| Am7 | C7 | Am7 |\n", Path::new("a.txt")).expect("a chart");
    let shape = Shape::parse("878xx8").expect("a shape");
    let edit = Edit::SetShape {
        bar: 1,
        chord_idx: 0,
        shape: Some(shape),
    };
    let document = document.document.apply(&edit).expect("a chord");
    // The thumb walks on while the chord rings.
    let plucks = [(480, Articulation::Ring), (2400, Articulation::Short)];
    let plucks = plucks.map(|(at, how)| Pluck::new(Ticks(at), how));
    let edit = Edit::SetPlucks {
        bar: 1,
        plucks: Some(plucks.into()),
    };
    let document = document.apply(&edit).expect("a bar");
    let edit = Edit::SetThumb {
        bar: 1,
        at: Ticks(960),
        cell: Some(ThumbCell::Place(StringIdx(0), 1)),
    };
    let document = document.apply(&edit).expect("a bar");
    let sung = |at: u32| {
        let pitch = Midi::new(72).expect("in range");
        let note = TuneNote {
            at: Ticks(at),
            length: Ticks(320),
            pitch,
            spelling: Key::C_MAJOR.spell(pitch.pitch_class(), false),
            tied: false,
        };
        let edit = Edit::SetTune {
            bar: 1,
            notes: vec![note],
        };
        problem_from_document(&document.apply(&edit).expect("a bar"))
    };
    let mut arranger = Arranger::default();
    for at in [0, 320, 0] {
        let problem = sung(at);
        let known = arranger.solve(&problem, &mut |_| true);
        assert_eq!(
            known,
            Some(arrange::solve(&problem)),
            "the tune begins at {at}"
        );
    }
}
