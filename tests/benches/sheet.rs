//! How long a sheet takes: layout and PDF of 32 bars. The aim is 100 ms in a release build.

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
    let (document, arrangement) = sheet_song::tune(32);
    let options = PageOptions::default();
    criterion.bench_function("lay out 32 bars", |b| {
        b.iter(|| lay_out(&document, &arrangement, &options));
    });
    criterion.bench_function("lay out 32 bars and write the PDF", |b| {
        b.iter(|| {
            let pages = lay_out(&document, &arrangement, &options);
            pdf::write(&pages, &PdfMeta::default())
        });
    });
    criterion.bench_function("plain-text tab of 32 bars", |b| {
        b.iter(|| tab_text::write(&document, &arrangement, 100));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20).without_plots();
    targets = sheet
}
criterion_main!(benches);
