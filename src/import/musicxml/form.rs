//! The order of the bars as the chart writes it: repeats, endings and sections. An ending that is
//! for several passes is written out once for each, because a bar of a chart belongs to one.

use super::measure::Measure;
use crate::document::MAX_BARS;
use crate::import::notices::Notices;
use crate::import::score_file::ImportError;

/// A bar of the chart.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Placed {
    /// The bar of the file that it is.
    pub(super) source: usize,
    /// Whether it is the first time that this bar of the file comes.
    pub(super) is_first: bool,
    pub(super) repeat_start: bool,
    pub(super) repeat_times: u8,
    pub(super) ending: u8,
}

/// A bar with the passes of its ending.
struct Signed {
    repeat_start: bool,
    repeat_times: u8,
    /// Empty: no ending. Bars of one ending share its number.
    passes: Vec<u8>,
    ending: usize,
}

/// The bars of the chart in order.
///
/// # Errors
/// If writing endings out makes more bars than the program takes.
pub(super) fn placed(
    measures: &[Measure],
    notices: &mut Notices,
) -> Result<Vec<Placed>, ImportError> {
    let signed = signed(measures);
    let mut placed: Vec<Placed> = Vec::with_capacity(signed.len());
    let mut idx = 0;
    while let Some(bar) = signed.get(idx) {
        let rest = signed.get(idx..).unwrap_or_default();
        let group = rest
            .iter()
            .take_while(|next| !bar.passes.is_empty() && next.ending == bar.ending)
            .count()
            .max(1);
        let passes = bar.passes.len().max(1);
        if passes > 1 {
            let message = "an ending for several passes is written out once for each";
            notices.at(idx, message);
        }
        for copy in 0..passes {
            for (offset, own) in rest.iter().take(group).enumerate() {
                let closes = offset + 1 == group && copy + 1 < passes;
                placed.push(Placed {
                    source: idx + offset,
                    is_first: copy == 0,
                    repeat_start: own.repeat_start && copy == 0,
                    repeat_times: if closes { 2 } else { own.repeat_times },
                    ending: own.passes.get(copy).copied().unwrap_or(0),
                });
            }
        }
        idx += group;
        if placed.len() > MAX_BARS {
            return Err(ImportError::whole(format!(
                "with its endings written out the tune has more than {MAX_BARS} bars"
            )));
        }
    }
    Ok(placed)
}

fn signed(measures: &[Measure]) -> Vec<Signed> {
    let mut signed: Vec<Signed> = Vec::with_capacity(measures.len());
    let mut passes: Vec<u8> = Vec::new();
    let mut ending = 0;
    let mut starts_next = false;
    for measure in measures {
        let lines = &measure.lines;
        let repeat_start = lines.repeat_start || starts_next;
        starts_next = lines.next_starts;
        if !lines.ending.is_empty() {
            passes.clone_from(&lines.ending);
            ending += 1;
        } else if repeat_start {
            passes.clear();
        }
        signed.push(Signed {
            repeat_start,
            repeat_times: lines.repeat_times,
            passes: passes.clone(),
            ending,
        });
        if lines.ending_stops || lines.repeat_times > 0 {
            passes.clear();
        }
    }
    signed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::import::musicxml::barline::Barlines;

    fn bar(start: bool, times: u8, ending: &[u8], stops: bool) -> Measure {
        Measure {
            lines: Barlines {
                repeat_start: start,
                repeat_times: times,
                ending: ending.to_vec(),
                ending_stops: stops,
                next_starts: false,
            },
            ..Measure::default()
        }
    }

    fn short(measures: &[Measure]) -> Vec<(usize, u8, u8)> {
        let placed = placed(measures, &mut Notices::default()).expect("few bars");
        placed
            .iter()
            .map(|p| (p.source, p.repeat_times, p.ending))
            .collect()
    }

    #[test]
    fn endings_run_to_where_they_stop() {
        let bars = [
            bar(true, 0, &[], false),
            bar(false, 0, &[1], false),
            bar(false, 2, &[], true),
            bar(false, 0, &[2], true),
            bar(false, 0, &[], false),
        ];
        let expected = [(0, 0, 0), (1, 0, 1), (2, 2, 1), (3, 0, 2), (4, 0, 0)];
        assert_eq!(short(&bars), expected);
    }

    #[test]
    fn an_ending_for_two_passes_stands_there_twice() {
        let bars = [
            bar(true, 0, &[], false),
            bar(false, 0, &[1, 2], false),
            bar(false, 2, &[], true),
            bar(false, 0, &[3], true),
        ];
        let expected = [
            (0, 0, 0),
            (1, 0, 1),
            (2, 2, 1),
            (1, 0, 2),
            (2, 2, 2),
            (3, 0, 3),
        ];
        assert_eq!(short(&bars), expected);
    }
}
