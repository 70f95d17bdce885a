//! Lines that differ and come again, what the strip of a drill shows, and what it covers.

use super::*;
use crate::score::perform;
use crate::session::open;
use std::path::Path;

const BLUES: &str = "Key: F\n| F7 | Bb7 | F7 | F7 | Bb7 | Bdim7 | F7 | D7b9 |\n";
const REPEATED: &str = "Key: C\n[A] |: Dm7 | G7 | Cmaj7 | A7 :|\n";

fn chart(text: &str) -> Document {
    let opened = open::open_text(text, Path::new("test"));
    opened.expect("a chart").document
}

fn lines(document: &Document, settings: &DrillSettings, n: u64) -> Vec<DrillLine> {
    let mut lines: Vec<DrillLine> = Vec::new();
    for number in 0..n {
        let before = lines.last().map(|line| line.arrangement.as_ref());
        let line = drill_line(document, settings, number, before);
        lines.push(line.expect("it is solved"));
    }
    lines
}

fn all_moves(line: &DrillLine) -> Vec<(usize, u32, Option<ThumbMove>)> {
    moves_of(&line.arrangement, 0..usize::MAX).collect()
}

#[test]
fn every_line_differs_from_the_one_before_and_a_series_comes_again() {
    let document = chart(BLUES);
    let n_rungs = document.ladder().len();
    for rung in (1..n_rungs).map(Some).chain([None]) {
        let settings = DrillSettings {
            rung,
            ..DrillSettings::default()
        };
        let first = lines(&document, &settings, 6);
        for pair in first.windows(2) {
            let [before, after] = pair else { continue };
            assert!(after.is_fresh, "rung {rung:?}");
            assert_ne!(all_moves(before), all_moves(after), "rung {rung:?}");
        }
        assert_eq!(first, lines(&document, &settings, 6), "the same series");
        let other = DrillSettings {
            series: 2,
            ..settings
        };
        assert_ne!(first, lines(&document, &other, 6), "another series");
    }
}

#[test]
fn where_nothing_can_vary_it_is_said() {
    let document = chart(BLUES);
    let roots = DrillSettings {
        rung: Some(0),
        ..DrillSettings::default()
    };
    let fresh: Vec<bool> = lines(&document, &roots, 3)
        .iter()
        .map(|line| line.is_fresh)
        .collect();
    assert_eq!(fresh, [true, false, false]);
}

#[test]
fn only_the_bars_that_are_drilled_must_differ() {
    let document = chart(BLUES);
    let settings = DrillSettings {
        bars: Some((3, 4)),
        ..DrillSettings::default()
    };
    for pair in lines(&document, &settings, 5).windows(2) {
        let [before, after] = pair else { continue };
        let of = |line: &DrillLine| moves_of(&line.arrangement, 3..5).collect::<Vec<_>>();
        assert_ne!(of(before), of(after));
    }
}

#[test]
fn what_the_player_has_decided_stays_where_the_tune_is_drilled_as_it_is() {
    let mut document = chart(BLUES);
    let bar = Arc::make_mut(document.sections.first_mut().expect("a section"))
        .bars
        .first_mut()
        .expect("a bar");
    let third = crate::document::ThumbCell::Move(ThumbMove::Third);
    bar.thumb.push((crate::theory::Ticks::of_beat(1), third));
    for line in lines(&document, &DrillSettings::default(), 4) {
        let decided = all_moves(&line)
            .into_iter()
            .find(|(bar, at, _)| (*bar, *at) == (0, crate::theory::TICKS_PER_BEAT));
        assert_eq!(decided.and_then(|note| note.2), Some(ThumbMove::Third));
    }
}

#[test]
fn settings_are_brought_into_the_tune() {
    let document = chart(BLUES);
    let wild = DrillSettings {
        rung: Some(99),
        bars: Some((6, 400)),
        series: 0,
        ..DrillSettings::default()
    };
    let tame = wild.for_document(&document);
    assert_eq!((tame.rung, tame.bars, tame.series), (None, Some((6, 7)), 1));
    let whole = DrillSettings {
        bars: Some((0, 7)),
        ..DrillSettings::default()
    };
    assert_eq!(whole.for_document(&document).bars, None);
    assert_eq!(wild.for_document(&chart("| C |\n")).bars, None);
}

/// Bar, of the next line, covered.
fn shown(
    (document, range): (&Document, Range<usize>),
    place: DrillPlace,
    recall: Recall,
    with_next: bool,
) -> Vec<(usize, bool, bool)> {
    let settings = DrillSettings::default();
    let lines = lines(document, &settings, 2);
    let [now, next] = lines.as_slice() else {
        return Vec::new();
    };
    let bars = perform(&now.document, &now.arrangement, None).bars;
    let next = with_next.then_some(next);
    let strip = strip(&bars, range, place, recall, (now, next));
    let seen = |bar: &StripBar| (bar.written_bar, bar.is_of_next, bar.is_covered);
    strip.iter().map(seen).collect()
}

#[test]
fn the_strip_looks_ahead_in_played_order_and_into_the_next_line() {
    let document = chart(REPEATED);
    let at = |played_bar| DrillPlace {
        played_bar: Some(played_bar),
        ..DrillPlace::default()
    };
    let nothing = Recall::Nothing;
    // Four bars, played twice.
    let whole = || (&document, 0..8);
    assert_eq!(
        shown(whole(), DrillPlace::default(), nothing, true),
        [(0, false, false), (1, false, false), (2, false, false)]
    );
    assert_eq!(
        shown(whole(), at(3), nothing, true),
        [(3, false, false), (0, false, false), (1, false, false)],
        "the repeat is played with the same line"
    );
    assert_eq!(
        shown(whole(), at(6), nothing, true),
        [(2, false, false), (3, false, false), (0, true, false)]
    );
    assert_eq!(
        shown(whole(), at(7), nothing, false),
        [(3, false, false), (0, false, false), (1, false, false)],
        "the same line again until the next is written"
    );
    assert_eq!(
        shown((&document, 1..2), at(1), nothing, true),
        [(1, false, false), (1, true, false), (1, true, false)],
        "a single bar"
    );
}

#[test]
fn bars_are_covered_as_the_player_wants_to_recall_them() {
    let document = chart(REPEATED);
    let at = |from_memory, is_peeked| DrillPlace {
        played_bar: Some(7),
        from_memory,
        is_peeked,
    };
    let whole = || (&document, 0..8);
    assert_eq!(
        shown(whole(), at(false, false), Recall::EachBar, true),
        [(3, false, true), (0, true, false), (1, true, false)]
    );
    assert_eq!(
        shown(whole(), at(false, true), Recall::EachBar, true),
        [(3, false, false), (0, true, false), (1, true, false)]
    );
    assert_eq!(
        shown(whole(), at(false, false), Recall::EachLine, true),
        [(3, false, false), (0, false, true), (1, false, true)],
        "the same line comes again, covered"
    );
    assert_eq!(
        shown(whole(), at(true, false), Recall::EachLine, true),
        [(3, false, true), (0, true, false), (1, true, false)],
        "a new line is shown"
    );
    assert_eq!(
        shown(whole(), DrillPlace::default(), Recall::EachBar, true),
        [(0, false, false), (1, false, false), (2, false, false)],
        "nothing is covered while it is counted in"
    );
}
