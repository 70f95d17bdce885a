//! Random charts, arranged and held against a judge that knows nothing but the notes and the rules of
//! the hand (`playable_checker`).

mod playable_checker;

use playable_checker::judge;
use proptest::prelude::*;
use std::sync::Arc;
use thumbwalk::arrange;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::document::Approach;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::Walk;
use thumbwalk::instrument::Finger;
use thumbwalk::instrument::Hand;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Meter;
use thumbwalk::theory::Pluck;
use thumbwalk::theory::Slide;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

const SYMBOLS: &[&str] = &[
    "C", "Dm", "Eb6", "Fmaj7", "G7", "Am7", "Bm7b5", "C#dim7", "Bb9", "F#m7", "E7#9", "Ab13",
    "Gm6", "D7b9", "C/E", "Amaj9", "Dm11", "B7sus4", "Ebm7", "G7#5", "N.C.",
];

/// Strikes from beats, off-beats, ringing and ahead.
fn strikes(meter: Meter, plucks: Vec<(u32, bool, bool, bool)>) -> Vec<Pluck> {
    let pluck = |(beat, off, ring, ahead): (u32, bool, bool, bool)| {
        let beat = beat % meter.beats();
        let on = Ticks::of_beat(beat);
        Pluck {
            at: if off { meter.offbeat(beat) } else { on },
            articulation: if ring {
                Articulation::Ring
            } else {
                Articulation::Short
            },
            ahead,
        }
    };
    let mut plucks: Vec<Pluck> = plucks.into_iter().map(pluck).collect();
    plucks.sort();
    plucks.dedup_by_key(|pluck| pluck.at);
    plucks
}

/// Repeat signs around the first bars, with endings or without; beyond the bars there are, none.
fn repeat(bars: &mut [Bar], signs: usize) {
    let endings = signs % 2 == 1;
    if let Some(last) = bars.get_mut(signs / 2) {
        last.repeat_times = 2;
        last.ending = u8::from(endings);
    }
    if let (true, Some(next)) = (endings, bars.get_mut(signs / 2 + 1)) {
        next.ending = 2;
    }
}

fn random_document() -> impl Strategy<Value = Document> {
    let meter = prop::sample::select(Meter::ALL.to_vec());
    let bars = prop::collection::vec((0..SYMBOLS.len(), 0..SYMBOLS.len(), any::<bool>()), 1..5);
    let cells = prop::collection::vec((0usize..4, 0u32..5, 0..ThumbMove::ALL.len()), 0..3);
    let plucks = prop::option::of(prop::collection::vec(
        (0u32..5, any::<bool>(), any::<bool>(), any::<bool>()),
        0..4,
    ));
    let slides = prop::collection::vec((0usize..4, 0u32..5, any::<bool>(), 0usize..4), 0..4);
    let hand = (800u16..1150, prop::bool::weighted(0.8), 0usize..6);
    let approach = prop::sample::select(vec![Approach::Below, Approach::Above, Approach::Easiest]);
    let walk = (prop::sample::select(Walk::ALL.to_vec()), any::<u64>());
    (meter, bars, cells, (plucks, slides), hand, approach, walk).prop_map(
        |(
            meter,
            bars,
            cells,
            (plucks, slides),
            (reach_permille, barre, signs),
            approach,
            (walk, seed),
        )| {
            let chord = |beat: u32, idx: usize| ChordAt {
                at: Ticks::of_beat(beat),
                harmony: Harmony::parse(SYMBOLS[idx]).expect("a chord"),
                shape: None,
            };
            let bars = bars.into_iter().map(|(first, second, two)| {
                let mut chords = vec![chord(0, first)];
                if two && meter.beats() > 1 {
                    chords.push(chord(meter.beats() / 2, second));
                }
                Bar {
                    chords,
                    ..Bar::default()
                }
            });
            let mut section = Section {
                name: "A".into(),
                bars: bars.collect(),
            };
            repeat(&mut section.bars, signs);
            for (bar, beat, number) in cells {
                if let Some(bar) = section.bars.get_mut(bar)
                    && beat < meter.beats()
                {
                    let at = Ticks::of_beat(beat);
                    bar.thumb.retain(|(place, _)| *place != at);
                    bar.thumb
                        .push((at, ThumbCell::Move(ThumbMove::ALL[number])));
                    bar.thumb.sort_by_key(|(place, _)| *place);
                }
            }
            for (bar, beat, off, number) in slides {
                if let Some(bar) = section.bars.get_mut(bar)
                    && beat < meter.beats()
                {
                    let on = Ticks::of_beat(beat);
                    let at = if off { meter.offbeat(beat) } else { on };
                    bar.slides.retain(|(place, _)| *place != at);
                    bar.slides.push((at, Slide::ALL[number]));
                    bar.slides.sort_by_key(|(place, _)| *place);
                }
            }
            let plucks = plucks.map(|plucks| strikes(meter, plucks));
            let mut document = Document {
                meter,
                sections: vec![Arc::new(section)],
                ..Document::default()
            };
            document.hand = Arc::new(Hand {
                reach_permille,
                barre,
                ..Hand::default()
            });
            document.line.approach = approach;
            document.line.walk = walk;
            document.line.seed = seed;
            document.line.plucks = plucks;
            document
        },
    )
}

/// Bass and finger notes that ring into a bar that is not heard after theirs: nobody can play them so,
/// for there the hand is somewhere else. `order` is the order in which the bars are heard.
fn rings_past(arrangement: &Arrangement, bar_ticks: u64, order: &[usize]) -> Vec<String> {
    let heard = |bar: usize| order.windows(2).any(|pair| pair == [bar, bar + 1]);
    let played = |bar: usize| order.contains(&bar);
    let notes = arrangement
        .notes
        .iter()
        .filter(|note| note.lane != Lane::Tune);
    let rings = notes.filter(|note| {
        let end = u64::from(note.place.at.0) + u64::from(note.length.0);
        let bar = note.place.bar;
        end > bar_ticks && played(bar) && played(bar + 1) && !heard(bar)
    });
    rings
        .map(|note| format!("bar {} rings into the next", note.place.bar + 1))
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_is_written_that_a_hand_cannot_play(document in random_document()) {
        let arrangement = arrange::solve(&problem_from_document(&document));
        let faults = judge(&arrangement, u64::from(document.meter.bar().0), &document.hand);
        prop_assert!(faults.is_empty(), "{faults:#?}");
        let order = document.played_order();
        let rung = rings_past(&arrangement, u64::from(document.meter.bar().0), &order);
        prop_assert!(rung.is_empty(), "{rung:#?}");
    }
}

#[test]
fn the_judge_sees_planted_faults() {
    let harmony = Harmony::parse("G7").expect("a chord");
    let chord = ChordAt {
        at: Ticks(0),
        harmony,
        shape: None,
    };
    let section = Section {
        name: String::new(),
        bars: vec![Bar {
            chords: vec![chord],
            ..Bar::default()
        }],
    };
    let document = Document {
        sections: vec![Arc::new(section)],
        ..Document::default()
    };
    let good = arrange::solve(&problem_from_document(&document));
    let bar = u64::from(document.meter.bar().0);
    assert_eq!(judge(&good, bar, &document.hand), Vec::<String>::new());
    let first = good
        .notes
        .iter()
        .position(|n| n.lane == Lane::Fingers)
        .expect("a pluck");
    let planted: [fn(&mut PlayedNote); 4] = [
        |note| note.fret += 7,
        |note| note.finger = None,
        |note| note.pluck = arrange::PluckFinger::P,
        |note| note.finger = Some(Finger::Thumb),
    ];
    for (i, plant) in planted.iter().enumerate() {
        let mut bad = good.clone();
        plant(&mut bad.notes[first]);
        assert_ne!(
            judge(&bad, bar, &document.hand),
            Vec::<String>::new(),
            "fault {i}"
        );
    }
}
