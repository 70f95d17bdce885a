//! A judge of its own for arrangements: it reads nothing but the notes and holds them against the
//! rules of the hand as a player would state them (one finger in one place, fingers in order,
//! reach in millimetres, barres, the right hand's string order). It shares no code with the
//! search; geometry is computed here from the fret formula x = L(1 − 2^(−n/12)).

use proptest::prelude::*;
use std::collections::BTreeMap;
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

const SCALE_MM: f64 = 648.0;
const NUT_SPREAD_MM: f64 = 43.0;
const SADDLE_SPREAD_MM: f64 = 58.0;

/// Limits of reach in millimetres between two fingers (hand model of the project's documentation).
fn limit_mm(a: Finger, b: Finger) -> f64 {
    match (a, b) {
        (Finger::Index, Finger::Middle) => 58.0,
        (Finger::Middle, Finger::Ring) => 52.0,
        (Finger::Ring, Finger::Little) => 58.0,
        (Finger::Index, Finger::Ring) => 92.0,
        (Finger::Middle, Finger::Little) => 98.0,
        _ => 122.0,
    }
}

fn fret_mm(fret: u8) -> f64 {
    SCALE_MM * (1.0 - 2f64.powf(-f64::from(fret) / 12.0))
}

fn tip_mm(string: u8, fret: u8) -> (f64, f64) {
    let x = fret_mm(fret);
    let x = x - (0.35 * (x - fret_mm(fret - 1))).min(8.0);
    let spread = NUT_SPREAD_MM + (SADDLE_SPREAD_MM - NUT_SPREAD_MM) * x / SCALE_MM;
    // Strings fan out from the middle of the neck.
    (x, spread * (f64::from(string) / 5.0 - 0.5))
}

/// When a note is held: start and end in ticks from the start of the tune.
fn held(note: &PlayedNote, bar_ticks: u64) -> (u64, u64) {
    let start = note.place.bar as u64 * bar_ticks + u64::from(note.place.at.0);
    (start, start + u64::from(note.length.0))
}

fn judge(arrangement: &Arrangement, bar_ticks: u64, hand: &Hand) -> Vec<String> {
    let mut faults = Vec::new();
    let notes: Vec<(u64, u64, &PlayedNote)> = arrangement
        .notes
        .iter()
        .map(|note| {
            let (start, end) = held(note, bar_ticks);
            (start, end, note)
        })
        .collect();
    let mut onsets: Vec<u64> = notes.iter().map(|(start, _, _)| *start).collect();
    onsets.dedup();
    for (start, _, note) in notes.iter().filter(|(_, _, n)| n.slide_from.is_some()) {
        if note.slide_from.map(|from| from.abs_diff(note.fret)) != Some(1) || note.fret == 0 {
            faults.push(format!("a slide at {start} that is no semitone"));
        }
        let others = notes
            .iter()
            .filter(|(at, _, other)| at == start && other.lane == note.lane);
        let way = |n: &PlayedNote| n.slide_from.map(|from| i16::from(n.fret) - i16::from(from));
        if others.clone().any(|(_, _, other)| way(other) != way(note)) {
            faults.push(format!("fingers that do not slide as one at {start}"));
        }
    }
    for (start, _, _) in notes.iter().filter(|(start, end, _)| start == end) {
        faults.push(format!("a note without length at {start}"));
    }
    for onset in onsets {
        let sounding: Vec<&PlayedNote> = notes
            .iter()
            .filter(|(start, end, _)| *start <= onset && onset < *end)
            .map(|(_, _, note)| *note)
            .collect();
        let struck: Vec<&PlayedNote> = notes
            .iter()
            .filter(|(start, _, _)| *start == onset)
            .map(|(_, _, n)| *n)
            .collect();
        // Where a slide begins and where it ends: both must be held.
        let begins: Vec<PlayedNote> = sounding
            .iter()
            .map(|note| PlayedNote {
                fret: struck
                    .iter()
                    .find(|n| n.string == note.string)
                    .and_then(|n| n.slide_from)
                    .unwrap_or(note.fret),
                ..**note
            })
            .collect();
        let begins: Vec<&PlayedNote> = begins.iter().collect();
        for fault in left_hand(&sounding, hand)
            .into_iter()
            .chain(left_hand(&begins, hand))
            .chain(right_hand(&struck))
        {
            let place = |note: &&PlayedNote| {
                let finger = note.finger.map_or('0', Finger::digit);
                format!("{}/{}:{finger}", note.string.0, note.fret)
            };
            let places: Vec<String> = sounding.iter().map(place).collect();
            faults.push(format!(
                "bar {} tick {}: {fault} in {}",
                onset / bar_ticks + 1,
                onset % bar_ticks,
                places.join(" ")
            ));
        }
    }
    faults
}

fn left_hand(sounding: &[&PlayedNote], hand: &Hand) -> Vec<String> {
    let mut faults = Vec::new();
    let mut places: BTreeMap<Finger, Vec<(u8, u8)>> = BTreeMap::new();
    let mut strings = BTreeMap::new();
    for note in sounding {
        // A bass note repeated on its string is the same place held on.
        let before = strings.insert(note.string, (note.fret, note.finger));
        if before.is_some_and(|b| b != (note.fret, note.finger)) {
            faults.push(format!("two notes on string {:?}", note.string));
        }
        match (note.finger, note.fret) {
            (None, 0) => {}
            (None, fret) => faults.push(format!("fret {fret} without a finger")),
            (Some(_), 0) => faults.push("a finger on an open string".into()),
            (Some(finger), fret) => places
                .entry(finger)
                .or_default()
                .push((note.string.0, fret)),
        }
    }
    if let Some(over) = places.get(&Finger::Thumb)
        && (!hand.thumb_over || over.iter().any(|(string, _)| *string != 0))
    {
        faults.push("the thumb lies where it can't".into());
    }
    for (finger, held) in &mut places {
        held.sort_unstable();
        held.dedup();
        let fret = held[0].1;
        if held.iter().any(|(_, f)| *f != fret) {
            faults.push(format!("{finger:?} at two frets"));
        }
        let (low, high) = (held[0].0, held[held.len() - 1].0);
        if held.len() > 1 && !hand.barre {
            faults.push(format!("{finger:?} lies across although the hand does not"));
        }
        for (string, (fret_there, finger_there)) in &strings {
            let under = string.0 > low && string.0 < high && *finger_there != Some(*finger);
            let fits = *fret_there >= fret && finger_there.is_some_and(|other| other > *finger);
            if held.len() > 1 && under && !fits {
                faults.push(format!(
                    "string {string:?} lies under the barre of {finger:?}"
                ));
            }
        }
    }
    let scale = f64::from(hand.reach_permille) / 1000.0;
    for (a, at) in &places {
        for (b, bt) in places.range(*a..).filter(|(b, _)| *b > a) {
            if at[0].1 > bt[0].1 {
                faults.push(format!(
                    "{a:?} at fret {} above {b:?} at {}",
                    at[0].1, bt[0].1
                ));
            }
            let gaps = at.iter().flat_map(|p| {
                bt.iter().map(move |q| {
                    let ((ax, ay), (bx, by)) = (tip_mm(p.0, p.1), tip_mm(q.0, q.1));
                    (ax - bx).hypot(ay - by)
                })
            });
            let nearest = gaps.fold(f64::INFINITY, f64::min);
            if nearest > limit_mm(*a, *b) * scale + 0.01 {
                faults.push(format!("{a:?} to {b:?} needs {nearest:.1} mm"));
            }
        }
    }
    faults
}

fn right_hand(struck: &[&PlayedNote]) -> Vec<String> {
    let mut faults = Vec::new();
    let mut by_string: Vec<_> = struck.iter().map(|n| (n.string, n.pluck)).collect();
    by_string.sort_unstable();
    if by_string.windows(2).any(|pair| pair[0].1 >= pair[1].1) {
        faults.push(format!("fingers cross: {by_string:?}"));
    }
    for note in struck {
        if (note.lane == Lane::Thumb) != (note.pluck.letter() == 'p') {
            faults.push(format!(
                "{:?} plucked by {}",
                note.lane,
                note.pluck.letter()
            ));
        }
    }
    faults
}

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

fn random_document() -> impl Strategy<Value = Document> {
    let meter = prop::sample::select(Meter::ALL.to_vec());
    let bars = prop::collection::vec((0..SYMBOLS.len(), 0..SYMBOLS.len(), any::<bool>()), 1..5);
    let cells = prop::collection::vec((0usize..4, 0u32..5, 0..ThumbMove::ALL.len()), 0..3);
    let plucks = prop::option::of(prop::collection::vec(
        (0u32..5, any::<bool>(), any::<bool>(), any::<bool>()),
        0..4,
    ));
    let slides = prop::collection::vec((0usize..4, 0u32..5, any::<bool>(), 0usize..4), 0..4);
    let hand = (800u16..1150, prop::bool::weighted(0.8));
    let approach = prop::sample::select(vec![Approach::Below, Approach::Above, Approach::Easiest]);
    let walk = (prop::sample::select(Walk::ALL.to_vec()), any::<u64>());
    (meter, bars, cells, (plucks, slides), hand, approach, walk).prop_map(
        |(
            meter,
            bars,
            cells,
            (plucks, slides),
            (reach_permille, barre),
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

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_is_written_that_a_hand_cannot_play(document in random_document()) {
        let arrangement = arrange::solve(&problem_from_document(&document));
        let faults = judge(&arrangement, u64::from(document.meter.bar().0), &document.hand);
        prop_assert!(faults.is_empty(), "{faults:#?}");
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
