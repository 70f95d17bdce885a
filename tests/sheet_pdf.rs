//! The PDF and the SVG of a sheet: they begin as the formats say, have the pages that were laid
//! out, and are the same bytes every time. With `SHEET_OUT` set to a folder the files are kept
//! there for looking at.

mod sheet_song;

use sheet_song::everything::compound;
use sheet_song::everything::everything;
use sheet_song::keep;
use sheet_song::tune;
use thumbwalk::arrange::Arrangement;
use thumbwalk::document::Document;
use thumbwalk::document::Paper;
use thumbwalk::document::SheetFont;
use thumbwalk::export::pdf;
use thumbwalk::export::pdf::PdfMeta;
use thumbwalk::export::svg;
use thumbwalk::export::tab_text;
use thumbwalk::score::pages::Page;
use thumbwalk::score::pages::PageOptions;
use thumbwalk::score::pages::lay_out;

fn songs() -> Vec<(&'static str, Document, Arrangement)> {
    let empty = Document::default();
    let named = |name, (document, arrangement)| (name, document, arrangement);
    vec![
        named("empty", (empty, Arrangement::default())),
        named("tune16", tune(16)),
        named("tune32", tune(32)),
        named("everything", everything()),
        named("compound", compound()),
    ]
}

fn pdf_of(document: &Document, pages: &[Page]) -> Vec<u8> {
    let meta = PdfMeta {
        title: document.title.clone(),
        credits: document.credits.clone(),
    };
    pdf::write(pages, &meta).expect("a PDF")
}

/// Pages as the file itself says: the page tree's count (ISO 32000-1, 7.7.3.2).
fn page_count(pdf: &[u8]) -> usize {
    let text = String::from_utf8_lossy(pdf);
    let after = text.split("/Count ").nth(1).unwrap_or("");
    let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().unwrap_or(0)
}

#[test]
fn every_song_becomes_a_pdf_with_its_pages_on_both_papers() {
    for (name, document, arrangement) in songs() {
        for (paper, show_staff) in [
            (Paper::A4, false),
            (Paper::Letter, false),
            (Paper::A4, true),
        ] {
            let options = PageOptions {
                paper,
                show_staff,
                ..PageOptions::default()
            };
            let pages = lay_out(&document, &arrangement, &options);
            let bytes = pdf_of(&document, &pages);
            let staff = if show_staff { "-staff" } else { "" };
            keep(&format!("{name}-{}{staff}.pdf", paper.words()), &bytes);
            assert!(bytes.starts_with(b"%PDF-1."), "{name}");
            assert!(bytes.trim_ascii_end().ends_with(b"%%EOF"), "{name}");
            assert_eq!(page_count(&bytes), pages.len(), "{name}");
        }
        let text = tab_text::write(&document, &arrangement, 100);
        keep(&format!("{name}.txt"), text.as_bytes());
    }
}

#[test]
fn the_same_sheet_gives_the_same_bytes_and_no_date() {
    let (document, arrangement) = tune(16);
    let make = || {
        let pages = lay_out(&document, &arrangement, &PageOptions::default());
        pdf_of(&document, &pages)
    };
    let first = make();
    assert_eq!(first, make());
    let text = String::from_utf8_lossy(&first);
    assert!(!text.contains("/CreationDate") && !text.contains("/ModDate"));
}

#[test]
fn a_page_becomes_a_self_contained_svg() {
    for (name, document, arrangement) in songs() {
        for page in lay_out(&document, &arrangement, &PageOptions::default()) {
            let text = svg::write(&page);
            keep(&format!("{name}.svg"), text.as_bytes());
            assert!(text.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""));
            assert!(text.contains("viewBox=\"0 0 210 297\""));
            assert!(!text.contains("<text") && !text.contains("font-family"));
            assert!(!text.contains("NaN") && !text.contains("inf"));
            assert_eq!(text.matches("<g ").count(), text.matches("</g>").count());
            assert!(!text.contains("& "), "ampersands are escaped");
        }
    }
}

/// The PDF of a sheet holds the fonts of its face and of no other, as subsets (ISO 32000-1, 9.6.4:
/// six capitals and a plus sign before the name).
#[test]
fn a_pdf_holds_the_fonts_that_its_sheet_uses() {
    let (document, arrangement) = everything();
    for (font, has, has_not) in [
        (SheetFont::Sans, "+Andika", "+Charis"),
        (SheetFont::Serif, "+Charis", "+Andika"),
    ] {
        let options = PageOptions {
            font,
            ..PageOptions::default()
        };
        let pages = lay_out(&document, &arrangement, &options);
        let bytes = pdf_of(&document, &pages);
        keep(&format!("{}.pdf", font.word()), &bytes);
        let text = String::from_utf8_lossy(&bytes);
        let name = text.contains(has) && text.contains("+Bravura");
        assert!(name && !text.contains(has_not), "{font:?}");
    }
}

/// Whether a tool answers at all.
fn has(tool: &str, argument: &str) -> bool {
    std::process::Command::new(tool)
        .arg(argument)
        .output()
        .is_ok()
}

/// Judged by tools that know nothing of the program: qpdf for the syntax of the file, poppler for
/// fonts, text and rendering. Needs python3, qpdf and poppler-utils; without them this test says
/// so and passes, unless `CI` is set.
#[test]
fn outside_tools_find_nothing_wrong_with_the_pdf() {
    let tools = [
        ("python3", "-V"),
        ("qpdf", "--version"),
        ("pdftotext", "-v"),
    ];
    if let Some((missing, _)) = tools.iter().find(|(tool, arg)| !has(tool, arg)) {
        let ci = std::env::var_os("CI").is_some();
        assert!(
            !ci,
            "{missing} is needed to judge the PDF; please install it"
        );
        eprintln!("passed over: {missing} is not installed");
        return;
    }
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/tools/pdf_check.py");
    let folder = tempfile::tempdir().unwrap();
    for (name, document, arrangement) in songs() {
        let pages = lay_out(&document, &arrangement, &PageOptions::default());
        let path = folder.path().join(format!("{name}.pdf"));
        std::fs::write(&path, pdf_of(&document, &pages)).unwrap();
        let mut wanted = vec![document.title.as_str()];
        if name == "tune16" {
            wanted.extend(["Key: C major", "Dm7", "Cmaj7", "Thumb", "page 1 of 1"]);
        }
        let done = std::process::Command::new("python3")
            .arg(script)
            .arg(&path)
            .arg(pages.len().to_string())
            .args(wanted.iter().filter(|w| !w.is_empty()))
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&done.stdout);
        let trouble = String::from_utf8_lossy(&done.stderr);
        assert!(done.status.success(), "{name}: {said}{trouble}");
    }
}
