//! Barlines: where a repeated part begins and ends, how often it is played, and which endings begin
//! and end. A sign on the wrong side of a line is taken over to the bar it belongs to.

use super::element::Element;
use super::element::whole_number;

/// Passes that an ending can be for.
const MAX_PASS: u8 = 20;

/// What the lines around a bar say.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Barlines {
    pub(super) repeat_start: bool,
    /// How often the part ending here is played; 0 if none ends.
    pub(super) repeat_times: u8,
    /// Passes of the ending that begins here; empty if none does.
    pub(super) ending: Vec<u8>,
    pub(super) ending_stops: bool,
    /// The repeated part begins with the bar after this one.
    pub(super) next_starts: bool,
}

/// Reads a `barline` into the bar it stands in, or into the one before.
pub(super) fn read(
    element: &Element,
    own: &mut Barlines,
    before: Option<&mut Barlines>,
    mut note: impl FnMut(&str),
) {
    let location = element.attribute("location").unwrap_or("right");
    if let Some(ending) = element.child("ending") {
        match ending.attribute("type") {
            Some("start") => {
                let passes = passes(ending.attribute("number").unwrap_or(""));
                if passes.is_empty() {
                    note("an ending without a number is taken as the first");
                }
                own.ending = if passes.is_empty() { vec![1] } else { passes };
            }
            _ => own.ending_stops = true,
        }
    }
    let Some(repeat) = element.child("repeat") else {
        return;
    };
    if location == "middle" {
        note("a repeat sign within a bar is moved to the barline");
    }
    match repeat.attribute("direction") {
        Some("forward") if location == "right" => own.next_starts = true,
        Some("forward") => own.repeat_start = true,
        Some("backward") => {
            let times = repeat.attribute("times").and_then(whole_number);
            let times = times.and_then(|n| u8::try_from(n).ok()).unwrap_or(2);
            let times = times.clamp(2, MAX_PASS);
            match before {
                Some(before) if location == "left" => before.repeat_times = times,
                _ => own.repeat_times = times,
            }
        }
        _ => note("a repeat sign without a direction is left out"),
    }
}

/// `1`, `1, 2` or `1-3` as passes.
fn passes(text: &str) -> Vec<u8> {
    let mut passes = Vec::new();
    let one = |text: &str| text.trim().trim_end_matches('.').parse::<u8>().ok();
    for word in text.split([',', ' ', ';']).filter(|word| !word.is_empty()) {
        let (first, last) = word.split_once('-').unwrap_or((word, word));
        let Some((first, last)) = one(first).zip(one(last)) else {
            continue;
        };
        passes.extend((first.max(1)..=last.min(MAX_PASS)).take(usize::from(MAX_PASS)));
    }
    passes.sort_unstable();
    passes.dedup();
    passes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn endings_name_their_passes_in_every_way_the_standard_allows() {
        // MusicXML 4.0, ending-number: digits, separated by commas, or spaces for none.
        for (text, wanted) in [
            ("1", &[1][..]),
            ("1, 2", &[1, 2]),
            ("1,2,3", &[1, 2, 3]),
            ("1-3", &[1, 2, 3]),
            ("2.", &[2]),
            ("", &[]),
            (" ", &[]),
            ("x", &[]),
            (
                "1-250",
                &[
                    1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20,
                ],
            ),
        ] {
            assert_eq!(passes(text), wanted, "{text}");
        }
    }
}
