//! How long the voicing search takes: forty chord symbols on a whole neck, single chords, and the
//! same chord by plain enumeration (every fret on every string, every finger on every fretted
//! string) on a neck of seven frets, beside the search on that same neck, for the ratio.

use criterion::Criterion;
use criterion::Throughput;
use std::hint::black_box;
use thumbwalk::instrument::Finger;
use thumbwalk::instrument::Fretboard;
use thumbwalk::instrument::Grip;
use thumbwalk::instrument::Hand;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::Shape;
use thumbwalk::instrument::StringIdx;
use thumbwalk::instrument::playable::why_not_on;
use thumbwalk::theory::Chord;
use thumbwalk::theory::ChordSymbol;
use thumbwalk::theory::PcSet;
use thumbwalk::theory::PitchClass;
use thumbwalk::voicing::Wish;
use thumbwalk::voicing::voicings;

const FORTY: [&str; 40] = [
    "C", "Am", "G", "Dm", "Cmaj7", "Fmaj7", "Bbmaj7", "Ebmaj7", "G7", "C7", "F7", "A7", "Dm7",
    "Gm7", "Cm7", "Em7", "Bm7b5", "F#m7b5", "Em7b5", "Cdim7", "F#dim7", "C6", "Eb6", "Am6", "C6/9",
    "G9", "Am9", "Bbmaj9", "Dm11", "G13", "Bb13", "E7b9", "A7b9", "C7#9", "F7#11", "C7alt",
    "G7sus4", "C/E", "D/F#", "AmMaj7",
];

fn chord(symbol: &str) -> Chord {
    match ChordSymbol::parse(symbol) {
        Ok(symbol) => symbol.chord().clone(),
        Err(error) => panic!("{symbol}: {error}"),
    }
}

fn define(c: &mut Criterion) {
    let (guitar, hand, wish) = (Instrument::default(), Hand::default(), Wish::default());
    let all: Vec<Chord> = FORTY.iter().map(|s| chord(s)).collect();
    let mut group = c.benchmark_group("whole neck");
    group.throughput(Throughput::Elements(40));
    group.bench_function("forty chords", |b| {
        b.iter(|| {
            let count = |chord| voicings(black_box(chord), &guitar, &hand, &wish).len();
            all.iter().map(count).sum::<usize>()
        });
    });
    group.throughput(Throughput::Elements(1));
    for symbol in ["C7", "Cmaj7", "G13", "C7alt", "C/E"] {
        let chord = chord(symbol);
        group.bench_function(symbol, |b| {
            b.iter(|| voicings(black_box(&chord), &guitar, &hand, &wish));
        });
    }
    group.finish();
    let short = Instrument {
        frets: 7,
        ..Instrument::default()
    };
    let mut group = c.benchmark_group("seven frets, C7");
    group.sample_size(10);
    let seventh = chord("C7");
    group.bench_function("search", |b| {
        b.iter(|| voicings(black_box(&seventh), &short, &hand, &wish));
    });
    group.bench_function("plain enumeration", |b| {
        b.iter(|| plain(black_box(&seventh), &short, &hand));
    });
    group.finish();
    assert_eq!(
        plain(&seventh, &short, &hand),
        voicings(&seventh, &short, &hand, &wish).len()
    );
}

/// How many shapes can be played, by trying everything.
fn plain(chord: &Chord, guitar: &Instrument, hand: &Hand) -> usize {
    let n = usize::from(guitar.n_strings());
    let board = Fretboard::new(guitar);
    let base = usize::from(guitar.last_fret()) + 2;
    let mut count = 0;
    for mut code in 0..base.pow(6) {
        let mut shape = Shape::silent(guitar.n_strings());
        for s in (0u8..).take(n) {
            let fret = u8::try_from(code % base)
                .ok()
                .and_then(|d| d.checked_sub(1));
            shape = shape.with(StringIdx(s), fret);
            code /= base;
        }
        if sounds(chord, guitar, &shape) && any_finger(shape, &board, hand) {
            count += 1;
        }
    }
    count
}

fn sounds(chord: &Chord, guitar: &Instrument, shape: &Shape) -> bool {
    let mut notes = shape.sounding();
    let pitch = |(s, fret)| guitar.pitch(s, fret);
    let Some((thumb, bass)) = notes.next().and_then(|n| Some((n.0, pitch(n)?))) else {
        return false;
    };
    let mut classes = PcSet::EMPTY.with(bass.pitch_class());
    let mut n_notes = 1;
    for note in notes {
        let Some(pitch) = pitch(note).filter(|p| *p > bass) else {
            return false;
        };
        classes = classes.with(pitch.pitch_class());
        n_notes += 1;
    }
    let root: PitchClass = chord.root().pitch_class();
    thumb.0 <= 2
        && bass.pitch_class() == root
        && (3..=4).contains(&n_notes)
        && chord.required().is_subset_of(classes)
        && classes.is_subset_of(chord.pitch_classes())
}

fn any_finger(shape: Shape, board: &Fretboard, hand: &Hand) -> bool {
    let held: Vec<StringIdx> = shape.sounding().filter(|n| n.1 > 0).map(|n| n.0).collect();
    (0..4usize.pow(u32::try_from(held.len()).unwrap_or(0))).any(|mut code| {
        let mut grip = Grip::unfingered(shape);
        for string in &held {
            grip = grip.with_finger(*string, Finger::FOUR.get(code % 4).copied());
            code /= 4;
        }
        why_not_on(&grip, board, hand).is_none()
    })
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    define(&mut criterion);
    criterion.final_summary();
}
