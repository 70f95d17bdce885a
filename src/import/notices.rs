//! Collects what an importer has to say while it reads, so that the same thing in forty bars is one
//! sentence with forty bars and not forty sentences. Keeps the order in which things were met.

use super::notice::Notice;
use std::collections::BTreeSet;

/// Different sentences that are kept; a file that needs more is told about in one more.
const MOST_SENTENCES: usize = 60;

/// Runs of bars that are listed one by one.
const MOST_RUNS: usize = 12;

/// What was met so far.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Notices {
    /// Each sentence with the bars it is about, from 0; none: the whole file.
    said: Vec<(String, BTreeSet<usize>)>,
    /// Whether there was more than is kept.
    more: bool,
}

impl Notices {
    /// Something about the whole.
    pub(super) fn whole(&mut self, message: impl Into<String>) {
        self.entry(message.into());
    }

    /// Something about a bar, from 0.
    pub(super) fn at(&mut self, bar: usize, message: impl Into<String>) {
        if let Some(bars) = self.entry(message.into()) {
            bars.insert(bar);
        }
    }

    /// Everything another collection says, behind what is here.
    pub(super) fn take(&mut self, other: Self) {
        for (message, bars) in other.said {
            if let Some(own) = self.entry(message) {
                own.extend(bars);
            }
        }
        self.more |= other.more;
    }

    fn entry(&mut self, message: String) -> Option<&mut BTreeSet<usize>> {
        let known = self.said.iter().position(|(said, _)| *said == message);
        if known.is_none() {
            if self.said.len() >= MOST_SENTENCES {
                self.more = true;
                return None;
            }
            self.said.push((message, BTreeSet::new()));
        }
        let place = known.unwrap_or(self.said.len().saturating_sub(1));
        self.said.get_mut(place).map(|(_, bars)| bars)
    }

    /// As notices; `number` tells which bars of the document, from 0, a bar of the file became.
    pub(super) fn into_list(self, number: impl Fn(usize) -> usize) -> Vec<Notice> {
        let notice = |(message, bars): (String, BTreeSet<usize>)| {
            let bars: BTreeSet<usize> = bars.into_iter().map(&number).collect();
            Notice::new(place(&bars), message)
        };
        let mut list: Vec<Notice> = self.said.into_iter().map(notice).collect();
        if self.more {
            list.push(Notice::new(
                "",
                "there was more like this, which is not listed",
            ));
        }
        list
    }
}

/// `bar 3` or `bars 3, 5–9`; bars from 0.
fn place(bars: &BTreeSet<usize>) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for bar in bars {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *bar => *last = *bar,
            _ => runs.push((*bar, *bar)),
        }
    }
    let more = runs.len().saturating_sub(MOST_RUNS);
    let run = |(first, last): &(usize, usize)| match last - first {
        0 => format!("{}", first + 1),
        1 => format!("{}, {}", first + 1, last + 1),
        _ => format!("{}–{}", first + 1, last + 1),
    };
    let shown: Vec<String> = runs.iter().take(MOST_RUNS).map(run).collect();
    let word = match bars.len() {
        0 => return String::new(),
        1 => "bar",
        _ => "bars",
    };
    let rest = if more > 0 { " and more" } else { "" };
    format!("{word} {}{rest}", shown.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_sentence_is_said_once_with_all_its_bars() {
        let mut notices = Notices::default();
        for bar in [0, 2, 3, 4, 9, 2] {
            notices.at(bar, "a grace note is left out");
        }
        notices.whole("no tempo");
        notices.at(7, "a guess");
        let list = notices.into_list(|bar| bar);
        let list: Vec<String> = list.iter().map(ToString::to_string).collect();
        let expected = [
            "bars 1, 3–5, 10: a grace note is left out",
            "no tempo",
            "bar 8: a guess",
        ];
        assert_eq!(list, expected);
    }

    #[test]
    fn neither_sentences_nor_bars_grow_without_bound() {
        let mut notices = Notices::default();
        for n in 0..1000 {
            notices.at(n, format!("sentence {n}"));
            notices.at(2 * n, "sentence 0");
        }
        let list = notices.into_list(|bar| bar);
        assert_eq!(list.len(), MOST_SENTENCES + 1);
        assert!(list.iter().all(|notice| notice.place.len() < 120));
    }
}
