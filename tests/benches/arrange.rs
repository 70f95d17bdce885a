//! How long an arrangement takes: a 32-bar tune from nothing, the same with voicings kept, the
//! other ways of one bar, and a long chart to see how it grows.

use criterion::Criterion;
use criterion::criterion_group;
use criterion::criterion_main;
use std::hint::black_box;
use std::sync::Arc;
use thumbwalk::arrange;
use thumbwalk::arrange::Arranger;
use thumbwalk::arrange::Problem;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Ticks;

/// Eight bars with the harmonic rhythm of a standard tune: one and two chords a bar.
const EIGHT_BARS: [&[&str]; 8] = [
    &["Fmaj7"],
    &["Em7b5", "A7b9"],
    &["Dm7", "G13"],
    &["Cm9", "F7#9"],
    &["Bbmaj7"],
    &["Bbm6", "Eb9"],
    &["Am7", "D7alt"],
    &["Gm7", "C7"],
];

fn problem(n_bars: usize) -> Problem {
    let bar = |chords: &[&str]| {
        let step = if chords.len() == 2 { 2 } else { 4 };
        let chords = (0u32..).zip(chords).map(|(i, symbol)| ChordAt {
            at: Ticks::of_beat(i * step),
            harmony: Harmony::parse(symbol).expect("a chord"),
            shape: None,
        });
        Bar {
            chords: chords.collect(),
            ..Bar::default()
        }
    };
    let bars = EIGHT_BARS
        .iter()
        .cycle()
        .take(n_bars)
        .map(|chords| bar(chords))
        .collect();
    let section = Section {
        name: "A".into(),
        bars,
    };
    problem_from_document(&Document {
        sections: vec![Arc::new(section)],
        ..Document::default()
    })
}

fn arrange_tunes(criterion: &mut Criterion) {
    let tune = problem(32);
    criterion.bench_function("arrange 32 bars from nothing", |b| {
        b.iter(|| arrange::solve(black_box(&tune)));
    });
    let mut edited = tune.clone();
    edited.bars[15].chords[0].chord = Harmony::parse("B7b9")
        .ok()
        .and_then(|h| h.chord().cloned().map(Arc::new));
    let mut arranger = Arranger::default();
    criterion.bench_function("one-bar edit in 32 bars", |b| {
        let mut problems = [&tune, &edited].into_iter().cycle();
        b.iter(|| arranger.solve(black_box(problems.next()?), &mut |_| true));
    });
    criterion.bench_function("one-bar edit with every voicing's whole-tune effort", |b| {
        let mut problems = [&tune, &edited].into_iter().cycle();
        b.iter(|| {
            arranger.solve(black_box(problems.next()?), &mut |_| true)?;
            arranger.options(&mut |_| true)
        });
    });
    arranger.solve(&tune, &mut |_| true);
    arranger.options(&mut |_| true);
    for (bar, chords) in [(12, 1), (18, 2)] {
        let name = format!("twelve ways of a bar of {chords} in 32 bars");
        criterion.bench_function(&name, |b| {
            b.iter(|| arranger.ways(black_box(bar), 12, &mut |_| true));
        });
    }
    let mut group = criterion.benchmark_group("growth");
    group.sample_size(10);
    for n_bars in [125, 250, 500, 1000] {
        let long = problem(n_bars);
        group.bench_function(format!("arrange {n_bars} bars"), |b| {
            b.iter(|| arrange::solve(black_box(&long)));
        });
    }
}

criterion_group!(benches, arrange_tunes);
criterion_main!(benches);
