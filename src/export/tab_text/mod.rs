//! Plain-text tab that lines up in any fixed-width font: chords above, a count line, one line per
//! string, the thumb's moves below, wrapped by whole bars. Every moment of a bar is a column of
//! equal width in all lines. Strings and frets are plain ASCII; only signs of codes and chords
//! may be others, one character wide each. Never lays out pages.

mod columns;
mod heading;

use crate::arrange::Arrangement;
use crate::document::Document;
use columns::BarText;

/// Fewest characters a line can be asked to have.
pub const NARROWEST: usize = 40;

/// Writes the tab in lines of at most `width` characters (at least [`NARROWEST`]; a single bar
/// that is wider stands alone). Ends with a line break.
#[must_use]
pub fn write(document: &Document, arrangement: &Arrangement, width: usize) -> String {
    let width = width.max(NARROWEST);
    let mut lines = heading::title(document, width);
    let names = heading::string_names(&document.instrument);
    let margin = names.iter().map(|n| n.chars().count()).max().unwrap_or(0);
    let bars: Vec<BarText> = columns::bars(document, arrangement);
    let room = width.saturating_sub(margin + 2);
    for section in bars.chunk_by(|_, next| !next.opens_section()) {
        let n = bars_in_line(section, room);
        for line in section.chunks(n) {
            let line: Vec<&BarText> = line.iter().collect();
            lines.extend(columns::system(&line, &names, margin));
        }
    }
    lines.extend(heading::legend(arrangement, &bars, width));
    let mut text = lines
        .iter()
        .map(|line| line.trim_end())
        .collect::<Vec<_>>()
        .join("\n");
    text.push('\n');
    text
}

/// Four bars to a line, or two, or one, so that phrases stay together.
fn bars_in_line(section: &[BarText], room: usize) -> usize {
    let fits = |n: &usize| {
        section
            .chunks(*n)
            .all(|line| line.iter().map(|b| b.width() + 1).sum::<usize>() <= room)
    };
    [4, 2].into_iter().find(fits).unwrap_or(1)
}
