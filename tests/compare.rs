//! Two versions of a tune side by side: what differs is counted again here from the notes alone,
//! kept versions are gone back to, and bars that are taken from the other version are played as
//! there. Checks against our own arrangements only.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Version;
use thumbwalk::arrange::compare;
use thumbwalk::arrange::solve;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::instrument::Cost;
use thumbwalk::instrument::Tuning;
use thumbwalk::session::Action;
use thumbwalk::session::Other;
use thumbwalk::session::Selection;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::session::VersionsDeed;
use thumbwalk::session::open;
use thumbwalk::session::problem_from_document;

const CHART: &str = "Key: C\n[A]\nDm7 | G7 | Cmaj7 | A7 |\n[B]\nDm7 | G13 | C6 | Em7 A7 |\n";

fn tune(seed: u64) -> (Document, Arrangement) {
    let opened = open::open_text(CHART, Path::new("chart"));
    let mut document = opened.expect("a chart").document;
    document.line.walk = thumbwalk::document::Walk::Mixed;
    document.line.seed = seed;
    let arrangement = solve(&problem_from_document(&document));
    (document, arrangement)
}

/// What the thumb plays in a bar, as plain numbers.
fn thumb(arrangement: &Arrangement, bar: usize) -> BTreeSet<(u32, u8, u8, u8, String)> {
    let notes = arrangement.notes_in_bar(bar);
    let thumb = notes.filter(|note| note.lane == Lane::Thumb);
    let told = thumb.map(|n| {
        let what = n.thumb_move.map_or("", |m| m.word());
        (
            n.place.at.0,
            n.string.0,
            n.fret,
            n.pitch.number(),
            what.into(),
        )
    });
    told.collect()
}

#[test]
fn an_arrangement_is_like_itself_and_the_bars_add_up() {
    let (document, arrangement) = tune(7);
    let side = (&arrangement, document.n_bars());
    let found = compare(side, side);
    assert!(found.bars.iter().all(|bar| !bar.differs()));
    let by_bar: Cost = found.bars.iter().filter_map(|bar| bar.effort.a).sum();
    assert_eq!(by_bar, arrangement.sum);
    assert_eq!(found.totals.a, found.totals.b);
}

#[test]
fn thumb_notes_that_differ_are_those_that_one_has_and_the_other_has_not() {
    let (first, a) = tune(1);
    let mut n_differing = 0;
    for seed in 2..8 {
        let (second, b) = tune(seed);
        let found = compare((&a, first.n_bars()), (&b, second.n_bars()));
        for bar in &found.bars {
            let (here, there) = (thumb(&a, bar.bar), thumb(&b, bar.bar));
            let moments: BTreeSet<u32> = here.symmetric_difference(&there).map(|n| n.0).collect();
            let told: BTreeSet<u32> = bar.thumb.iter().map(|d| d.at.0).collect();
            assert_eq!(told, moments, "seed {seed}, bar {}", bar.bar);
            n_differing += told.len();
        }
    }
    assert!(n_differing > 20, "other seeds are other lines");
}

#[test]
fn a_longer_version_has_bars_that_the_other_lacks() {
    let (long, b) = tune(1);
    let short = long.apply(&Edit::DeleteBars { first: 4, last: 7 });
    let short = short.expect("bars");
    let a = solve(&problem_from_document(&short));
    let found = compare((&a, 4), (&b, long.n_bars()));
    assert_eq!(found.bars.len(), 8);
    assert!(found.bars[4].differs() && found.bars[4].effort.a.is_none());
    assert!(found.bars[4].effort.b.is_some());
}

fn session() -> Session {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(CHART.into()));
    session.settle();
    session
}

fn differing(session: &Session) -> Vec<usize> {
    let found = session.comparison().expect("compared");
    let bars = found.bars.iter().filter(|bar| bar.differs());
    bars.map(|bar| bar.bar).collect()
}

#[test]
fn a_kept_version_is_compared_with_and_taken_back_as_one_step() {
    let mut session = session();
    session.act(Action::Edit(Edit::KeepVersion("Plain".into())));
    let mut line = session.document().line.clone();
    line.walk = thumbwalk::document::Walk::Mixed;
    session.act(Action::Edit(Edit::SetLine(line)));
    session.act(Action::Versions(VersionsDeed::With(Other::Kept(0))));
    assert_eq!(session.compared_with(), Some("Plain"));
    session.settle();
    assert!(!differing(&session).is_empty());
    let sum_of_b = session.comparison().expect("compared").totals.b.sum;
    session.act(Action::Versions(VersionsDeed::Take));
    session.settle();
    assert_eq!(session.arrangement().expect("solved").sum, sum_of_b);
    assert_eq!(differing(&session), [0_usize; 0], "it is the same now");
    assert_eq!(session.undo_label(), Some("Take Plain"));
    assert_eq!(session.document().versions.len(), 1);
    session.act(Action::Undo);
    session.settle();
    assert!(!differing(&session).is_empty());
}

/// Every bar decided as the other version has it is played like the other version. (Its effort can
/// differ a little: a bass note that is given by its place begins a phase of its own.)
#[test]
fn bars_that_are_taken_one_after_the_other_make_the_other_version() {
    let mut session = session();
    session.act(Action::Versions(VersionsDeed::With(Other::Seed(5))));
    session.settle();
    let before = differing(&session);
    assert!(before.len() > 2, "{before:?}");
    for bar in 0..8 {
        let mut selection = Selection::default();
        selection.place.bar = bar;
        session.act(Action::Select(selection));
        session.act(Action::Versions(VersionsDeed::TakeBars));
        session.settle();
        assert!(!differing(&session).contains(&bar), "bar {bar}");
    }
    assert_eq!(differing(&session), [0_usize; 0]);
    assert_eq!(session.comparison().expect("compared").totals.a.n_faults, 0);
    let label = session.undo_label();
    assert_eq!(label, Some("Take bar 8 of the other version"));
}

#[test]
fn bars_of_another_tuning_are_not_taken_but_all_of_it_is() {
    let mut session = session();
    let tuning = Tuning::named("drop D").expect("known");
    session.act(Action::Versions(VersionsDeed::With(Other::Tuning(tuning))));
    session.settle();
    let before = Arc::clone(session.document());
    session.act(Action::Versions(VersionsDeed::TakeBars));
    assert_eq!(*session.document(), before);
    let told = session.notices().last().expect("a word");
    assert!(told.text.contains("other open strings"), "{}", told.text);
    session.act(Action::Versions(VersionsDeed::Take));
    assert_eq!(session.document().instrument.tuning.name(), "drop D");
}

#[test]
fn what_cannot_be_compared_is_said_and_an_open_document_ends_a_comparison() {
    let mut session = session();
    session.act(Action::Versions(VersionsDeed::With(Other::File(
        "no such file.ron".into(),
    ))));
    assert_eq!(session.compared_with(), None);
    assert!(!session.notices().is_empty());
    session.act(Action::Versions(VersionsDeed::With(Other::Kept(3))));
    assert_eq!(session.compared_with(), None);
    session.act(Action::Versions(VersionsDeed::Hear {
        version: Version::B,
        whole: true,
    }));
    session.act(Action::Versions(VersionsDeed::Take));
    session.act(Action::Versions(VersionsDeed::With(Other::Seed(2))));
    session.act(Action::Versions(VersionsDeed::Stop));
    session.settle();
    assert_eq!(session.comparison(), None);
    session.act(Action::Versions(VersionsDeed::With(Other::Seed(2))));
    session.act(Action::New);
    session.settle();
    assert_eq!(session.compared_with(), None);
}
