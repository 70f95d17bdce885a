//! Writes an arrangement to a file; the format follows from the ending. The one list of formats,
//! for the window and the command line alike. Never leaves half a file behind, and never leaves a
//! page out without a word: a format that holds one page only gets a file for each.

use super::ladder::Ladder;
use super::sheet_pages;
pub use super::sheet_pages::on_sheet;
pub use super::sheet_pages::page_options;
use crate::arrange::Arrangement;
use crate::document::Document;
use crate::export::chart_text;
use crate::export::midi;
use crate::export::moves_csv;
use crate::export::musicxml;
use crate::export::mxl;
use crate::export::pdf;
use crate::export::png;
use crate::export::svg;
use crate::export::tab_text;
use crate::export::wav;
use crate::files;
use crate::score::pages::Page;
use std::path::Path;
use std::path::PathBuf;

/// What can be asked of an export beside the project's own settings.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ExportOptions {
    /// Dots per inch of pictures, within [`png::DPI`].
    pub dpi: u16,
}

impl Default for ExportOptions {
    fn default() -> Self {
        Self {
            dpi: png::USUAL_DPI,
        }
    }
}

/// Dots per inch of pictures that a window offers.
pub const PICTURE_DPI: [u16; 4] = [96, png::USUAL_DPI, 300, 600];

/// A format whose files are pages.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum PageFormat {
    /// All pages in one file.
    Pdf,
    /// A drawing for each.
    Svg,
    /// A picture for each.
    Png,
}

impl PageFormat {
    /// What messages call what is written.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Pdf | Self::Svg => "pages",
            Self::Png => "pictures",
        }
    }
}

/// The format of pages that the name of a file asks for, if it asks for pages.
#[must_use]
pub fn page_format(path: &Path) -> Option<PageFormat> {
    let ending = path.extension()?.to_ascii_lowercase();
    match ending.to_str()? {
        "pdf" => Some(PageFormat::Pdf),
        "svg" => Some(PageFormat::Svg),
        "png" => Some(PageFormat::Png),
        _ => None,
    }
}

/// Writes pages, one after the other; tells which files it made. `go_on` is asked before each page
/// with the part that is done, 0 to 1; `false` stops, and `None` is returned. Files that are whole by
/// then stay.
///
/// # Errors
/// In words: if a picture would be too large, or a file cannot be written.
pub fn write_pages(
    document: &Document,
    arrangement: &Arrangement,
    path: &Path,
    (format, dpi): (PageFormat, u16),
    go_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Option<Vec<PathBuf>>, String> {
    let pages = sheet_pages::of(document, arrangement).pages;
    if format == PageFormat::Pdf {
        return save_pdf(&pages, &about(document), path, go_on);
    }
    let n_pages = pages.len().max(1) as f32;
    let mut written = Vec::new();
    for (number, page) in (1..).zip(&pages) {
        if !go_on((number - 1) as f32 / n_pages) {
            return Ok(None);
        }
        let bytes = page_file(format, page, dpi)?;
        let path = path_of_part(path, number);
        save(&path, &bytes)?;
        written.push(path);
    }
    Ok(Some(written))
}

/// Writes pages as one PDF; `go_on` as of [`write_pages`].
fn save_pdf(
    pages: &[Page],
    about: &pdf::PdfMeta,
    path: &Path,
    go_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Option<Vec<PathBuf>>, String> {
    let n_pages = pages.len().max(1) as f32;
    let mut before_page = |page: usize| go_on(page as f32 / n_pages);
    let bytes = pdf::write_while(pages, about, &mut before_page);
    let Some(bytes) = bytes.map_err(|error| error.to_string())? else {
        return Ok(None);
    };
    save(path, &bytes)?;
    Ok(Some(vec![path.into()]))
}

fn save(path: &Path, bytes: &[u8]) -> Result<(), String> {
    files::write_bytes_atomically(path, bytes).map_err(|error| error.to_string())
}

fn about(document: &Document) -> pdf::PdfMeta {
    pdf::PdfMeta {
        title: document.title.clone(),
        credits: document.credits.clone(),
    }
}

/// Turns an arrangement into the bytes of one or more files, or says why that cannot be.
type Writer = fn(&Document, &Arrangement, &ExportOptions) -> Result<Vec<Vec<u8>>, String>;

/// A format that can be written.
pub struct Format {
    /// The ending, without a dot.
    pub ending: &'static str,
    /// What it is, for lists and file dialogs.
    pub words: &'static str,
    writer: Writer,
}

/// Every format that can be written, in the order offered; longer endings before their own tails.
pub const FORMATS: &[Format] = &[
    Format {
        ending: "pdf",
        words: "pages to hand out",
        writer: |document, arrangement, options| {
            page_files(PageFormat::Pdf, document, arrangement, options)
        },
    },
    Format {
        ending: "svg",
        words: "pages as drawings",
        writer: |document, arrangement, options| {
            page_files(PageFormat::Svg, document, arrangement, options)
        },
    },
    Format {
        ending: "png",
        words: "pages as pictures",
        writer: |document, arrangement, options| {
            page_files(PageFormat::Png, document, arrangement, options)
        },
    },
    Format {
        ending: "chart.txt",
        words: "the chart as text",
        writer: |document, _, _| Ok(vec![chart_text::write(document).into()]),
    },
    Format {
        ending: "txt",
        words: "tab as plain text",
        writer: write_text,
    },
    Format {
        ending: "wav",
        words: "sound",
        writer: write_wav,
    },
    Format {
        ending: "mid",
        words: "notes in time, for other programs",
        writer: write_midi,
    },
    Format {
        ending: "musicxml",
        words: "notation and tab, for notation programs",
        writer: |document, arrangement, _| {
            let shown = on_sheet(document, arrangement);
            Ok(vec![musicxml::write(document, shown).into()])
        },
    },
    Format {
        ending: "mxl",
        words: "the same, compressed",
        writer: |document, arrangement, _| {
            let shown = on_sheet(document, arrangement);
            Ok(vec![mxl::pack(&musicxml::write(document, shown))])
        },
    },
    Format {
        ending: "csv",
        words: "the movement table for spreadsheets",
        writer: |document, arrangement, _| {
            let shown = on_sheet(document, arrangement);
            Ok(vec![moves_csv::write(document, shown).into()])
        },
    },
];

/// Characters in a line of text: what a terminal and an e-mail show without breaking it.
const TEXT_WIDTH: usize = 80;

/// Writes the pages of all rungs of a ladder as one PDF, with boxes for the tempi; `go_on` as of
/// [`write_pages`].
///
/// # Errors
/// In words.
pub fn booklet(
    ladder: &Ladder,
    path: &Path,
    go_on: &mut dyn FnMut(f32) -> bool,
) -> Result<Option<Vec<PathBuf>>, String> {
    let first = ladder.rungs.first();
    let meta = first.map(|rung| about(&rung.document)).unwrap_or_default();
    save_pdf(&sheet_pages::of_ladder(ladder), &meta, path, go_on)
}

/// All pages in a format: one PDF, or a file for each page.
fn page_files(
    format: PageFormat,
    document: &Document,
    arrangement: &Arrangement,
    options: &ExportOptions,
) -> Result<Vec<Vec<u8>>, String> {
    let pages = sheet_pages::of(document, arrangement).pages;
    if format == PageFormat::Pdf {
        let bytes = pdf::write(&pages, &about(document)).map_err(|error| error.to_string())?;
        return Ok(vec![bytes]);
    }
    let files = pages
        .iter()
        .map(|page| page_file(format, page, options.dpi));
    files.collect()
}

/// One page as a picture or a drawing.
fn page_file(format: PageFormat, page: &Page, dpi: u16) -> Result<Vec<u8>, String> {
    match format {
        PageFormat::Png => png::write(page, dpi).map_err(|error| error.to_string()),
        PageFormat::Svg | PageFormat::Pdf => Ok(svg::write(page).into()),
    }
}

fn write_text(
    document: &Document,
    arrangement: &Arrangement,
    _: &ExportOptions,
) -> Result<Vec<Vec<u8>>, String> {
    Ok(vec![
        tab_text::write(document, on_sheet(document, arrangement), TEXT_WIDTH).into(),
    ])
}

fn write_wav(
    document: &Document,
    arrangement: &Arrangement,
    _: &ExportOptions,
) -> Result<Vec<Vec<u8>>, String> {
    let options = wav::WavOptions::default();
    let bytes = wav::write(document, arrangement, &options).map_err(|error| error.to_string())?;
    Ok(vec![bytes])
}

fn write_midi(
    document: &Document,
    arrangement: &Arrangement,
    _: &ExportOptions,
) -> Result<Vec<Vec<u8>>, String> {
    let bytes = midi::write(document, arrangement).map_err(|error| error.to_string())?;
    Ok(vec![bytes])
}

/// The format that a file's name asks for.
///
/// # Errors
/// In words, if there is no such format.
pub fn format_of(path: &Path) -> Result<&'static Format, String> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let name = name.to_lowercase();
    let mut formats = FORMATS.iter();
    let wanted = formats.find(|format| name.ends_with(&format!(".{}", format.ending)));
    wanted.ok_or_else(|| unknown(path))
}

/// The same name with another format's ending: `tune.pdf` and `tune` both become `tune.mid`.
#[must_use]
pub fn beside(path: &Path, ending: &str) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let own = format_of(path).map_or(0, |format| format.ending.len() + 1);
    let stem = name.get(..name.len().saturating_sub(own)).unwrap_or(&name);
    path.with_file_name(format!("{stem}.{ending}"))
}

/// Writes one export with the usual options. Others are as for [`export_with`].
///
/// # Errors
/// In words: if there is no such format, or a file cannot be written.
pub fn export(
    document: &Document,
    arrangement: &Arrangement,
    path: &Path,
) -> Result<Vec<PathBuf>, String> {
    export_with(document, arrangement, path, &ExportOptions::default())
}

/// Writes one export and tells which files it made: `tune.svg`, and `tune-2.svg` and so on for
/// further pages of a format that holds one page only.
///
/// # Errors
/// In words: if there is no such format, or a file cannot be written.
pub fn export_with(
    document: &Document,
    arrangement: &Arrangement,
    path: &Path,
    options: &ExportOptions,
) -> Result<Vec<PathBuf>, String> {
    let format = format_of(path)?;
    let parts = (format.writer)(document, arrangement, options)?;
    let mut written = Vec::new();
    for (number, bytes) in (1..).zip(&parts) {
        let path = path_of_part(path, number);
        save(&path, bytes)?;
        written.push(path);
    }
    Ok(written)
}

fn path_of_part(path: &Path, number: usize) -> PathBuf {
    if number == 1 {
        return path.into();
    }
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{stem}-{number}.{ending}"))
}

fn unknown(path: &Path) -> String {
    let formats = FORMATS
        .iter()
        .map(|f| format!(".{} ({})", f.ending, f.words));
    let formats: Vec<String> = formats.collect();
    format!(
        "the ending of the name decides the format; there are {}: {}",
        formats.join(", "),
        path.display()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_of_a_set_share_their_name() {
        for (path, ending, wanted) in [
            ("out/tune", "mid", "out/tune.mid"),
            ("out/tune.pdf", "mid", "out/tune.mid"),
            (
                "St. Thomas No. 2",
                "chart.txt",
                "St. Thomas No. 2.chart.txt",
            ),
            ("tune.chart.txt", "txt", "tune.txt"),
        ] {
            assert_eq!(beside(Path::new(path), ending), Path::new(wanted));
        }
    }

    #[test]
    fn further_pages_get_a_number_before_the_ending() {
        let path = |number| path_of_part(Path::new("out/my tune.svg"), number);
        assert_eq!(path(1), Path::new("out/my tune.svg"));
        assert_eq!(path(3), Path::new("out/my tune-3.svg"));
    }
}
