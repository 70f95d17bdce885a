//! The PDF and the SVG of a sheet: they begin as the formats say, have the pages that were laid
//! out, and are the same bytes every time.

mod sheet_song;

use sheet_song::keep;
use sheet_song::tune;
use thumbwalk::export::pdf;
use thumbwalk::export::pdf::PdfMeta;
use thumbwalk::export::svg;
use thumbwalk::score::pages::PageOptions;
use thumbwalk::score::pages::lay_out;

#[test]
fn a_sheet_becomes_a_pdf_with_its_pages() {
    let (document, arrangement) = tune(16);
    let pages = lay_out(&document, &arrangement, &PageOptions::default());
    let meta = PdfMeta {
        title: document.title.clone(),
        credits: document.credits.clone(),
    };
    let bytes = pdf::write(&pages, &meta).unwrap();
    keep("tune16.pdf", &bytes);
    keep("tune16.svg", svg::write(&pages[0]).as_bytes());
    assert!(bytes.starts_with(b"%PDF-"));
    assert_eq!(bytes, pdf::write(&pages, &meta).unwrap());
}
