//! How long a sheet takes: layout and PDF of 32 bars [100 ms] and of 500 [1.5 s], and the
//! layout alone, which is what a preview waits for after a change [8 ms]. Aims are those of a release
//! build.

#[path = "../sheet_song/mod.rs"]
mod sheet_song;

use criterion::Criterion;
use criterion::criterion_group;
use criterion::criterion_main;
use thumbwalk::export::pdf;
use thumbwalk::export::pdf::PdfMeta;
use thumbwalk::export::tab_text;
use thumbwalk::score::pages::PageOptions;
use thumbwalk::score::pages::lay_out;

fn sheet(criterion: &mut Criterion) {
    for (n_bars, show_staff) in [(32, false), (32, true), (500, false), (500, true)] {
        let (document, arrangement) = sheet_song::tune(n_bars);
        let options = PageOptions {
            show_staff,
            ..PageOptions::default()
        };
        let what = if show_staff { "staff and tab" } else { "tab" };
        criterion.bench_function(&format!("lay out {n_bars} bars, {what}"), |b| {
            b.iter(|| lay_out(&document, &arrangement, &options));
        });
        criterion.bench_function(&format!("{n_bars} bars as PDF, {what}"), |b| {
            b.iter(|| {
                let pages = lay_out(&document, &arrangement, &options);
                pdf::write(&pages, &PdfMeta::default())
            });
        });
    }
    let (document, arrangement) = sheet_song::tune(32);
    criterion.bench_function("plain-text tab of 32 bars", |b| {
        b.iter(|| tab_text::write(&document, &arrangement, 100));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10).without_plots();
    targets = sheet
}
criterion_main!(benches);
