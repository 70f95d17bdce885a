//! Locks: what is locked stays through every rewrite, what is not may change, and a lock of any
//! size is one step of undo. Goes through the session, as keys and buttons do.

use std::collections::BTreeSet;
use std::sync::Arc;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::document::Approach;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::document::LineSettings;
use thumbwalk::document::MAX_BARS;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::Walk;
use thumbwalk::session::Action;
use thumbwalk::session::Extent;
use thumbwalk::session::Hold;
use thumbwalk::session::Selection;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Pluck;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

/// Our own; bar 6 holds the chord of bar 5 over.
const CHART: &str = "Title: Two Lamps\nKey: C\nTempo: 120\n[A]\n| Dm7 | G7 | Cmaj7 | A7 |\n\
                     [B]\n| Fmaj7 | % | Em7 A7 | Dm7 G7 |\n";

fn session_of(chart: &str) -> Session {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(chart.into()));
    session.settle();
    session
}

fn rewrite(session: &mut Session, change: impl FnOnce(&mut LineSettings)) {
    let mut line = session.document().line.clone();
    change(&mut line);
    session.act(Action::Edit(Edit::SetLine(line)));
    session.settle();
}

fn select(session: &mut Session, lane: Lane, (bar, beat): (usize, u32), to_bar: Option<usize>) {
    let place = Place {
        bar,
        at: Ticks::of_beat(beat),
    };
    session.act(Action::Select(Selection {
        lane,
        place,
        to_bar,
    }));
}

fn arrangement(session: &Session) -> &Arrangement {
    session.arrangement().expect("an arrangement")
}

/// What is struck: place, lane, string and fret, and how long the fingers let it ring.
type Struck = (Place, Lane, u8, u8, Option<Articulation>);

fn struck(session: &Session, wanted: impl Fn(Place, Lane) -> bool) -> BTreeSet<Struck> {
    let notes = arrangement(session).notes.iter();
    notes
        .filter(|note| wanted(note.place, note.lane))
        .map(|note| {
            let how = (note.lane == Lane::Fingers).then_some(note.articulation);
            (note.place, note.lane, note.string.0, note.fret, how)
        })
        .collect()
}

fn at_random(seed: u64) -> impl Fn(&mut LineSettings) {
    let walks = [Walk::TwoApproaches, Walk::Runs, Walk::Mixed, Walk::Plain];
    let sides = [Approach::Above, Approach::Easiest, Approach::Below];
    let pick = |n: usize| usize::try_from(seed).expect("small") % n;
    let (walk, approach) = (walks[pick(4)], sides[pick(3)]);
    move |line| {
        line.seed = 1000 + seed;
        line.walk = walk;
        line.approach = approach;
        // The tune's pattern of the fingers changes as well.
        let strike = Pluck::new(Ticks::of_beat(1), Articulation::Short);
        line.plucks = (seed % 2 == 1).then(|| vec![strike]);
    }
}

/// Locks an extent of a written line, rewrites it with many seeds, and looks whether the notes in
/// `locked` and only these are the same every time.
fn keeps(
    extent: Extent,
    selection: (Lane, (usize, u32), Option<usize>),
    locked: fn(&Struck) -> bool,
) {
    let mut session = session_of(CHART);
    rewrite(&mut session, |line| line.walk = Walk::Mixed);
    let (lane, place, to_bar) = selection;
    select(&mut session, lane, place, to_bar);
    let before = struck(&session, |_, _| true);
    session.act(Action::Lock(extent));
    session.settle();
    let kept: BTreeSet<Struck> = before.iter().copied().filter(locked).collect();
    assert!(!kept.is_empty());
    let mut changed = BTreeSet::new();
    for seed in 0..24 {
        rewrite(&mut session, at_random(seed));
        let after = struck(&session, |_, _| true);
        let same: BTreeSet<Struck> = after.iter().copied().filter(locked).collect();
        assert_eq!(same, kept, "{extent:?}, seed {seed}");
        changed.extend(before.difference(&after).copied());
    }
    let free = before.difference(&kept);
    let thumb = |note: &&Struck| note.1 == Lane::Thumb;
    let n_free = free.clone().filter(thumb).count();
    let n_changed = changed.iter().filter(thumb).count();
    assert!(
        n_changed * 2 >= n_free,
        "{extent:?}: {n_changed} of {n_free} thumb notes changed"
    );
}

#[test]
fn a_locked_bar_stays_through_every_rewrite() {
    let bar = |note: &Struck| note.0.bar == 2;
    keeps(Extent::Bars, (Lane::Thumb, (2, 0), Some(2)), bar);
}

#[test]
fn a_locked_bar_keeps_the_chord_that_is_held_over_into_it() {
    let bar = |note: &Struck| note.0.bar == 5;
    keeps(Extent::Bars, (Lane::Fingers, (5, 0), Some(5)), bar);
}

#[test]
fn a_locked_section_stays_through_every_rewrite() {
    let section = |note: &Struck| note.0.bar >= 4;
    keeps(Extent::Section, (Lane::Thumb, (6, 0), None), section);
}

#[test]
fn a_locked_thumb_lane_stays_through_every_rewrite() {
    let lane = |note: &Struck| note.1 == Lane::Thumb;
    keeps(Extent::ThumbLane, (Lane::Fingers, (0, 0), None), lane);
}

#[test]
fn a_locked_fingers_lane_stays_through_every_rewrite() {
    let lane = |note: &Struck| note.1 == Lane::Fingers;
    keeps(Extent::FingersLane, (Lane::Thumb, (0, 0), None), lane);
}

#[test]
fn a_locked_lane_over_two_bars_stays_through_every_rewrite() {
    let lane = |note: &Struck| note.1 == Lane::Thumb && (1..=2).contains(&note.0.bar);
    keeps(Extent::Lane, (Lane::Thumb, (1, 0), Some(2)), lane);
}

#[test]
fn a_locked_thumb_cell_stays_through_every_rewrite() {
    let cell =
        |note: &Struck| note.1 == Lane::Thumb && note.0.bar == 1 && note.0.at == Ticks::of_beat(1);
    keeps(Extent::Cell, (Lane::Thumb, (1, 1), None), cell);
}

#[test]
fn a_locked_fingers_cell_keeps_the_grip_and_the_strikes_of_its_bar() {
    let cell = |note: &Struck| note.1 == Lane::Fingers && note.0.bar == 1;
    keeps(Extent::Cell, (Lane::Fingers, (1, 0), None), cell);
}

#[test]
fn a_locked_tune_sounds_as_before_whatever_is_asked_of_the_line() {
    for walk in Walk::ALL {
        let mut session = session_of(CHART);
        rewrite(&mut session, |line| line.walk = walk);
        let before = struck(&session, |_, _| true);
        session.act(Action::Lock(Extent::Tune));
        session.settle();
        assert_eq!(session.undo_label(), Some("Lock whole tune"));
        assert_eq!(struck(&session, |_, _| true), before, "{walk:?}");
        for seed in 0..8 {
            rewrite(&mut session, at_random(seed));
            assert_eq!(struck(&session, |_, _| true), before, "{walk:?} {seed}");
        }
    }
}

#[test]
fn a_lock_is_one_step_and_unlocking_takes_every_decision_away() {
    let mut session = session_of(CHART);
    let free = Arc::clone(session.document());
    session.act(Action::Lock(Extent::Tune));
    session.settle();
    let locked = Arc::clone(session.document());
    assert_ne!(locked, free);
    session.act(Action::Undo);
    assert_eq!(*session.document(), free);
    session.act(Action::Redo);
    assert_eq!(*session.document(), locked);
    session.act(Action::Unlock(Extent::Tune));
    assert_eq!(*session.document(), free, "nothing else was decided");
    assert_eq!(session.undo_label(), Some("Unlock whole tune"));
}

#[test]
fn what_the_user_had_decided_is_left_as_it_was() {
    let mut session = session_of(CHART);
    let cell = ThumbCell::Move(ThumbMove::Fifth);
    let at = Ticks::of_beat(2);
    session.act(Action::Edit(Edit::SetThumb {
        bar: 0,
        at,
        cell: Some(cell),
    }));
    session.settle();
    select(&mut session, Lane::Thumb, (0, 0), Some(0));
    session.act(Action::Lock(Extent::Bars));
    let bar = session.document().bar(0).cloned().expect("bar 1");
    assert_eq!(bar.thumb.len(), 4, "{:?}", bar.thumb);
    for (place, decided) in bar.thumb {
        let is_kept = matches!(decided, ThumbCell::Kept(..));
        assert_eq!(is_kept, place != at, "{place:?}");
        assert!(is_kept || decided == cell);
    }
    assert_eq!(session.undo_label(), Some("Lock bar 1"));
}

#[test]
fn a_bar_without_a_chord_has_nothing_to_lock() {
    let mut session = session_of("Key: C\n| Dm7 | N.C. | G7 |\n");
    session.act(Action::Lock(Extent::Tune));
    let bars: Vec<_> = session.document().bars().cloned().collect();
    assert!(bars[1].thumb.is_empty() && bars[1].plucks.is_none());
    assert!(bars[0].thumb.len() == 4 && bars[2].plucks.is_some());
    session.settle();
    select(&mut session, Lane::Thumb, (1, 0), Some(1));
    let before = Arc::clone(session.document());
    session.act(Action::ToggleLock);
    assert_eq!(*session.document(), before);
    assert!(
        session
            .notices()
            .iter()
            .any(|n| n.text.contains("nothing to lock"))
    );
}

#[test]
fn the_key_locks_what_is_free_and_unlocks_what_is_not() {
    let mut session = session_of(CHART);
    for (lane, label) in [
        (Lane::Thumb, "thumb cell in bar 2"),
        (Lane::Fingers, "fingers cell in bar 2"),
    ] {
        select(&mut session, lane, (1, 0), None);
        let place = session.selection().place;
        assert!(!session.is_locked(place, lane));
        session.act(Action::ToggleLock);
        session.settle();
        assert!(session.is_locked(place, lane));
        assert_eq!(session.undo_label(), Some(format!("Lock {label}").as_str()));
    }
    // A run of bars with something free in it is locked first.
    select(&mut session, Lane::Thumb, (1, 0), Some(2));
    session.act(Action::ToggleLock);
    assert_eq!(session.undo_label(), Some("Lock bars 2 to 3"));
    // Unlocking needs no arrangement.
    session.act(Action::ToggleLock);
    assert_eq!(session.undo_label(), Some("Unlock bars 2 to 3"));
    session.settle();
    assert!(session.document().bars().all(|bar| bar.thumb.is_empty()));
}

#[test]
fn a_fingers_cell_with_only_its_grip_or_only_its_strikes_is_partly_held() {
    let mut session = session_of(CHART);
    let hold = |s: &Session| s.locks(1).expect("bar 2").hold(Lane::Fingers, Ticks(0));
    assert_eq!(hold(&session), Hold::Free);
    session.act(Action::Edit(Edit::SetPlucks {
        bar: 1,
        plucks: Some(vec![Pluck::new(Ticks(0), Articulation::Ring)]),
    }));
    session.settle();
    assert_eq!(hold(&session), Hold::Part);
    select(&mut session, Lane::Fingers, (1, 0), None);
    session.act(Action::ToggleLock);
    assert_eq!(hold(&session), Hold::Whole);
    let bar = session.document().bar(1).cloned().expect("bar 2");
    assert_eq!(bar.plucks.map(|plucks| plucks.len()), Some(1));
}

#[test]
fn what_is_not_worked_out_yet_is_not_locked() {
    let mut session = session_of(CHART);
    session.act(Action::Edit(Edit::SetTempo(90)));
    let before = Arc::clone(session.document());
    session.act(Action::Lock(Extent::Tune));
    assert_eq!(*session.document(), before);
    assert!(
        session
            .notices()
            .iter()
            .any(|n| n.text.contains("wait until"))
    );
}

#[test]
fn the_longest_tune_is_locked_in_one_step() {
    let chart = format!(
        "Key: C\n{}",
        "[A]\n| C6 | Am7 | Dm7 | G7 |\n".repeat(MAX_BARS / 4)
    );
    let mut session = session_of(&chart);
    let free: Arc<Document> = Arc::clone(session.document());
    assert_eq!(free.n_bars(), MAX_BARS);
    session.act(Action::Lock(Extent::Tune));
    let n_locked = session
        .document()
        .bars()
        .filter(|bar| bar.thumb.len() == 4)
        .count();
    assert_eq!(n_locked, MAX_BARS);
    session.act(Action::Undo);
    assert_eq!(*session.document(), free);
}

#[test]
fn another_way_is_used_and_one_can_go_on_from_way_to_way() {
    let mut session = session_of(CHART);
    select(&mut session, Lane::Thumb, (1, 0), None);
    session.settle();
    let start = Arc::clone(session.document());
    let ways = session.ways().expect("ways").to_vec();
    assert!(ways.len() > 3);
    for (number, way) in ways.iter().enumerate().skip(1) {
        session.act(Action::NextWay);
        session.settle();
        let (shown, in_use) = session.ways_in_use().expect("remembered");
        assert_eq!((shown, in_use), (ways.as_slice(), number));
        assert_eq!(session.undo_label(), Some("Another way in bar 2"));
        let arrangement = arrangement(&session);
        for (chord_idx, shape) in &way.shapes {
            let mut grips = arrangement.grips.iter();
            let grip = grips.find(|g| g.place.bar == 1 && g.chord_idx == *chord_idx);
            let voicing = grip.and_then(|grip| grip.voicing.as_ref());
            assert_eq!(voicing.map(|voicing| voicing.grip.shape), *shape);
        }
        for (at, note) in &way.thumb {
            let mut notes = arrangement.notes_in_bar(1);
            let played = notes.find(|n| n.lane == Lane::Thumb && n.place.at == *at);
            let place = played.map(|note| (note.string, note.fret));
            assert_eq!(place, note.map(|(_, string, fret)| (string, fret)));
        }
        // A decision may spare the price of a choice that nobody asked for, never add one.
        assert!(
            arrangement.sum <= way.sum,
            "{} > {}",
            arrangement.sum,
            way.sum
        );
    }
    for _ in 1..ways.len() {
        session.act(Action::Undo);
    }
    assert_eq!(*session.document(), start);
}
