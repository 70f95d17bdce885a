//! The same bars over and over: so many copies after them, or until their section ends. The form
//! (repeat signs and endings) stays as it is written there.

use super::Beside;
use super::copies;
use super::put;
use crate::document::Bar;
use crate::document::Document;
use crate::document::Edit;

/// Copies one after the other.
pub(super) fn times(copies: &[Bar], times: usize) -> Vec<Bar> {
    let n_bars = copies.len().saturating_mul(times);
    copies.iter().cycle().take(n_bars).cloned().collect()
}

/// The bars over and over in place of the rest of their section; the last time they are cut off
/// where it ends. Gives the edit and the last bar.
///
/// # Errors
/// If nothing follows them there; in words for the user.
pub(super) fn to_end(
    document: &Document,
    (first, last): (usize, usize),
) -> Result<(Edit, usize), String> {
    let section = document.section_place(last);
    let end = section.map_or(last, |section| section.last);
    if end <= last {
        return Err("no bar of their section comes after the selected ones".into());
    }
    let copies = copies(document, (first, last)).unwrap_or_default();
    let over = document.bars().skip(last + 1).take(end - last);
    let bars = copies.iter().cycle().zip(over).map(|(copy, there)| Bar {
        repeat_start: there.repeat_start,
        repeat_times: there.repeat_times,
        ending: there.ending,
        ..copy.clone()
    });
    let bars: Vec<Bar> = bars.collect();
    let (edit, _) = put(document, (last + 1, end), Beside::Over, bars, "Repeat over")?;
    Ok((edit, end))
}
