//! How long an arrangement takes: a 32-bar tune from nothing, without and with its melody on top,
//! in all twelve keys, the same with voicings kept, the other ways of one bar, and a long chart to see how it grows.

#[path = "tune/mod.rs"]
mod tune;

use criterion::Criterion;
use criterion::criterion_group;
use criterion::criterion_main;
use std::hint::black_box;
use std::sync::Arc;
use thumbwalk::arrange;
use thumbwalk::arrange::Arranger;
use thumbwalk::session::KeyQuestion;
use thumbwalk::session::best_keys;
use thumbwalk::theory::Harmony;

fn arrange_tunes(criterion: &mut Criterion) {
    let tune = tune::problem(32);
    criterion.bench_function("arrange 32 bars from nothing", |b| {
        b.iter(|| arrange::solve(black_box(&tune)));
    });
    let sung = tune::sung_problem(32);
    criterion.bench_function("arrange 32 bars with a tune on top from nothing", |b| {
        b.iter(|| arrange::solve(black_box(&sung)));
    });
    let document = tune::document(32);
    criterion.bench_function("best key of 32 bars", |b| {
        b.iter(|| best_keys(black_box(&document), &KeyQuestion::default(), &|_, _| true));
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
        let long = tune::problem(n_bars);
        group.bench_function(format!("arrange {n_bars} bars"), |b| {
            b.iter(|| arrange::solve(black_box(&long)));
        });
    }
}

criterion_group!(benches, arrange_tunes);
criterion_main!(benches);
