//! Remedies of findings: for each of them a tune in which a finding offers it; taking it makes the
//! finding go away, and one undo brings the tune back as it was.

use std::sync::Arc;
use thumbwalk::arrange::Finding;
use thumbwalk::arrange::FindingKind;
use thumbwalk::arrange::Fix;
use thumbwalk::arrange::Place;
use thumbwalk::document::BarLine;
use thumbwalk::document::Edit;
use thumbwalk::document::LineSettings;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::Walk;
use thumbwalk::instrument::Hand;
use thumbwalk::instrument::Shape;
use thumbwalk::instrument::StringIdx;
use thumbwalk::instrument::Term;
use thumbwalk::session::Action;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::MoveSet;
use thumbwalk::theory::Pluck;
use thumbwalk::theory::Rule;
use thumbwalk::theory::Side;
use thumbwalk::theory::Slide;
use thumbwalk::theory::Sliding;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;
use thumbwalk::voicing;

/// A chart, changed by edits, solved.
fn tune(bars: &str, edits: &[Edit]) -> Session {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(format!("Key: C\n[A]\n{bars}\n")));
    for edit in edits {
        session.act(Action::Edit(edit.clone()));
        session.act(Action::EndStep);
    }
    session.settle();
    assert!(session.notices().is_empty(), "{:?}", session.notices());
    session
}

fn findings(session: &Session) -> Vec<Finding> {
    let arrangement = session.arrangement().expect("an arrangement");
    arrangement.findings.clone()
}

/// Every fix that a tune is offered, with the finding that offers it.
fn offers(session: &Session) -> Vec<(Finding, Fix)> {
    let findings = findings(session);
    let fixes = findings.iter().flat_map(|finding| {
        let fixes = finding.remedies.iter().filter_map(|r| r.fix.clone());
        fixes.map(|fix| (finding.clone(), fix))
    });
    fixes.collect()
}

/// The first offer that is wanted.
#[track_caller]
fn offer(session: &Session, wanted: impl Fn(&Fix) -> bool) -> (Finding, Fix) {
    let found = offers(session).into_iter().find(|(_, fix)| wanted(fix));
    found.unwrap_or_else(|| panic!("not offered: {:#?}", findings(session)))
}

/// Takes the wanted remedy; the finding goes, undo brings the document back, redo changes it again.
#[track_caller]
fn helps(session: &mut Session, wanted: impl Fn(&Fix) -> bool) {
    let (finding, fix) = offer(session, wanted);
    let before = Arc::clone(session.document());
    session.act(Action::TakeRemedy(fix.clone()));
    session.settle();
    assert!(session.notices().is_empty(), "{:?}", session.notices());
    assert_ne!(*session.document(), before, "{fix:?} changed nothing");
    let after = Arc::clone(session.document());
    let same = |other: &Finding| {
        (other.kind, other.place, &other.message) == (finding.kind, finding.place, &finding.message)
    };
    let left = findings(session);
    assert!(!left.iter().any(same), "{fix:?} left {left:#?}");
    session.act(Action::Undo);
    assert_eq!(*session.document(), before, "{fix:?} was not one step");
    session.settle();
    assert!(findings(session).iter().any(same), "{fix:?}");
    session.act(Action::Redo);
    assert_eq!(*session.document(), after);
    session.settle();
}

fn hand(change: impl Fn(&mut Hand)) -> Edit {
    let mut hand = Hand::default();
    change(&mut hand);
    Edit::SetHand(hand)
}

fn line(change: impl Fn(&mut LineSettings)) -> Edit {
    let mut line = thumbwalk::document::Document::default().line;
    change(&mut line);
    Edit::SetLine(line)
}

fn thumb(bar: usize, at: Ticks, cell: ThumbCell) -> Edit {
    Edit::SetThumb {
        bar,
        at,
        cell: Some(cell),
    }
}

fn plucks(bar: usize, plucks: &[(Ticks, Articulation)]) -> Edit {
    let plucks = plucks.iter().map(|(at, how)| Pluck::new(*at, *how));
    Edit::SetPlucks {
        bar,
        plucks: Some(plucks.collect()),
    }
}

fn shape(bar: usize, shape: Shape) -> Edit {
    Edit::SetShape {
        bar,
        chord_idx: 0,
        shape: Some(shape),
    }
}

/// A bass note on the lowest string at fret 12, which no finger holds beside a grip lower down.
const FAR: ThumbCell = ThumbCell::Place(StringIdx(0), 12);

/// A grip in the lowest frets (common practice: the open C major form).
fn low_grip() -> Edit {
    shape(0, Shape::parse("x32010").expect("a shape"))
}

/// Chords of five tones, as far as this hand and these settings let them sound.
#[test]
fn a_chord_that_needs_a_barre_or_an_open_string_is_offered_it() {
    let mut taken = [0; 4];
    for chord in ["F#13b9", "G13(b9)", "Abm9", "Bb13(#11)", "C/Db"] {
        for number in 0u8..16 {
            let (barre, open_strings) = (number & 1 > 0, number & 2 > 0);
            let (four, small) = (number & 4 > 0, number & 8 > 0);
            let hand = hand(|hand| {
                hand.reach_permille = if small { 800 } else { 1000 };
                hand.barre = barre;
                hand.plucking_fingers = if four { 4 } else { 3 };
            });
            let open = line(|line| line.open_strings = open_strings);
            let mut session = tune(chord, &[hand, open]);
            for (finding, fix) in offers(&session) {
                let (kind, in_vain) = match fix {
                    Fix::AllowBarre => (0, barre),
                    Fix::AllowOpenStrings => (1, open_strings),
                    Fix::PluckWithFour => (2, four),
                    Fix::PlainerChord { .. } => (3, false),
                    _ => continue,
                };
                assert!(!in_vain, "{chord}: {finding:?}");
                taken[kind] += 1;
                helps(&mut session, |other| *other == fix);
                session.act(Action::Undo);
                session.settle();
            }
        }
    }
    assert!(taken.iter().all(|n| *n > 0), "{taken:?}");
}

#[test]
fn five_tones_are_plucked_with_four_fingers_or_written_plainer() {
    let session = || tune("G13(b9)", &[]);
    assert_eq!(findings(&session())[0].kind, FindingKind::Thinned);
    helps(&mut session(), |fix| *fix == Fix::PluckWithFour);
    helps(&mut session(), |fix| {
        matches!(fix, Fix::PlainerChord { .. })
    });
    helps(&mut session(), |fix| matches!(fix, Fix::UseShape { .. }));
    let four = hand(|hand| hand.plucking_fingers = 4);
    assert!(findings(&tune("G13(b9)", &[four])).is_empty());
}

#[test]
fn a_chosen_shape_that_leaves_tones_out_can_be_left_to_the_tool() {
    // G13 without its thirteenth: a G7 form (common practice: root, seventh, third, fifth).
    let plain = shape(0, Shape::parse("3x343x").expect("a shape"));
    let session = || tune("G13", std::slice::from_ref(&plain));
    assert_eq!(findings(&session())[0].kind, FindingKind::Thinned);
    helps(&mut session(), |fix| matches!(fix, Fix::LeaveShape { .. }));
    let (_, fix) = offer(&session(), |fix| matches!(fix, Fix::PlainerChord { .. }));
    assert!(matches!(fix, Fix::PlainerChord { text, .. } if text == "G7"));
}

#[test]
fn a_shape_that_no_hand_holds_gives_way_to_another() {
    let wide = shape(0, Shape::parse("1x9x1x").expect("a shape"));
    let session = || tune("F7", std::slice::from_ref(&wide));
    helps(&mut session(), |fix| matches!(fix, Fix::LeaveShape { .. }));
    helps(&mut session(), |fix| matches!(fix, Fix::UseShape { .. }));
    // Common practice: the full barre form of F on the first fret.
    let barre = shape(0, Shape::parse("133211").expect("a shape"));
    let edits = [hand(|hand| hand.barre = false), barre];
    let mut session = tune("F", &edits);
    helps(&mut session, |fix| *fix == Fix::AllowBarre);
}

#[test]
fn a_wide_stretch_is_offered_a_narrower_grip() {
    let document = tune("C7", &[]);
    let document = document.document();
    let harmony = document.harmony_at(0, Ticks(0)).expect("a chord");
    let chord = harmony.chord().expect("a chord");
    let list = voicing::voicings(
        chord,
        &document.instrument,
        &document.hand,
        &voicing::Wish::default(),
    );
    let widest = list.iter().max_by_key(|v| v.effort.of(Term::Stretch));
    let widest = widest.expect("voicings").grip.shape;
    let mut session = tune("C7", &[shape(0, widest)]);
    assert_eq!(findings(&session)[0].kind, FindingKind::WideStretch);
    helps(&mut session, |fix| matches!(fix, Fix::UseShape { .. }));
}

#[test]
fn a_ringing_chord_that_is_cut_can_be_plucked_short() {
    let ring = plucks(0, &[(Ticks(0), Articulation::Ring)]);
    let far = thumb(0, Ticks::of_beat(1), FAR);
    let session = || tune("C", &[low_grip(), ring.clone(), far.clone()]);
    assert_eq!(findings(&session())[0].kind, FindingKind::CutShort);
    let start = Place::default();
    let beat_2 = Place {
        bar: 0,
        at: Ticks::of_beat(1),
    };
    helps(&mut session(), |fix| *fix == Fix::ShortenPluck(start));
    helps(&mut session(), |fix| *fix == Fix::LeaveThumb(beat_2));
    helps(&mut session(), |fix| *fix == Fix::RestThumb(beat_2));
}

#[test]
fn a_bass_note_that_is_cut_can_do_without_the_pluck() {
    let at = Ticks(Ticks::of_beat(1).0 + 480);
    let late = plucks(0, &[(at, Articulation::Ring)]);
    let far = thumb(0, Ticks::of_beat(1), FAR);
    let session = || tune("C", &[low_grip(), late.clone(), far.clone()]);
    assert_eq!(findings(&session())[0].kind, FindingKind::CutShort);
    let pluck = Place { bar: 0, at };
    helps(&mut session(), |fix| *fix == Fix::RemovePluck(pluck));
    helps(&mut session(), |fix| matches!(fix, Fix::LeaveThumb(_)));
    helps(&mut session(), |fix| matches!(fix, Fix::RestThumb(_)));
}

#[test]
fn a_bass_note_that_has_no_place_beside_its_pluck_can_do_without_it() {
    let at = Ticks::of_beat(1);
    let together = plucks(0, &[(at, Articulation::Short)]);
    let far = thumb(0, at, FAR);
    let session = || tune("C", &[low_grip(), together.clone(), far.clone()]);
    assert_eq!(findings(&session())[0].kind, FindingKind::OutOfRange);
    let place = Place { bar: 0, at };
    helps(&mut session(), |fix| *fix == Fix::RemovePluck(place));
    helps(&mut session(), |fix| *fix == Fix::LeaveThumb(place));
    helps(&mut session(), |fix| *fix == Fix::RestThumb(place));
}

/// A written line with one beat or more decided.
fn written(locks: &[(usize, u32, ThumbMove)]) -> Session {
    let mut edits = vec![line(|line| line.walk = Walk::Mixed)];
    for (bar, beat, thumb_move) in locks {
        let cell = ThumbCell::Move(*thumb_move);
        edits.push(thumb(*bar, Ticks::of_beat(*beat), cell));
    }
    tune("Dm7 | G7 | Cmaj7 | A7", &edits)
}

#[test]
fn a_lock_against_a_rule_can_be_unlocked_or_the_rule_switched_off() {
    let mut session = written(&[(1, 0, ThumbMove::Third)]);
    let (finding, fix) = offer(&session, |fix| matches!(fix, Fix::SwitchRuleOff(_)));
    assert_eq!(finding.kind, FindingKind::BrokenRule);
    assert_eq!(fix, Fix::SwitchRuleOff(Rule::RootFirst));
    helps(&mut session, |other| *other == fix);
    assert!(session.document().line.rules_off.has(Rule::RootFirst));
    session.act(Action::Undo);
    session.settle();
    let place = finding.place;
    helps(&mut session, |fix| *fix == Fix::LeaveThumb(place));
    assert_eq!(session.selection().place, place);
}

#[test]
fn a_bar_of_locks_at_odds_can_be_unlocked_as_a_whole() {
    let silent = [
        (1, 0, ThumbMove::Ghost),
        (1, 1, ThumbMove::Rest),
        (1, 2, ThumbMove::Ghost),
        (1, 3, ThumbMove::Rest),
    ];
    let mut session = written(&silent);
    let offered = offers(&session);
    assert!(
        offered
            .iter()
            .all(|(f, _)| f.kind == FindingKind::BrokenRule),
        "{offered:#?}"
    );
    helps(&mut session, |fix| *fix == Fix::UnlockBar { bar: 1 });
    assert!(session.document().bar(1).expect("bar 2").thumb.is_empty());
}

#[test]
fn moves_that_leave_a_bar_no_line_can_be_allowed_again() {
    let moves = Some(MoveSet::of(&[ThumbMove::Seventh]));
    let own = BarLine {
        moves,
        ..BarLine::default()
    };
    let walk = line(|line| line.walk = Walk::Mixed);
    let edits = [walk, Edit::SetBarLine { bar: 1, line: own }];
    let mut session = tune("Dm7 | G7 | Cmaj7 | A7", &edits);
    helps(&mut session, |fix| *fix == Fix::AllowAllMoves { bar: 1 });
}

#[test]
fn a_slide_without_a_place_can_be_taken_away() {
    let slide = |what| Edit::SetSlide {
        bar: 0,
        at: Ticks(480),
        slide: Some(Slide {
            what,
            from: Side::Below,
        }),
    };
    // Open strings do not slide; nor does a bass note that is not struck.
    for edits in [
        vec![low_grip(), slide(Sliding::FingersOnly)],
        vec![slide(Sliding::WholeGrip)],
    ] {
        let mut session = tune("C | F", &edits);
        helps(&mut session, |fix| matches!(fix, Fix::RemoveSlide(_)));
    }
}

#[test]
fn a_remedy_for_an_older_chart_changes_nothing_and_says_so() {
    let mut session = tune("C | F", &[]);
    let before = Arc::clone(session.document());
    let nowhere = Place {
        bar: 7,
        at: Ticks(0),
    };
    for fix in [
        Fix::ShortenPluck(nowhere),
        Fix::LeaveThumb(nowhere),
        Fix::PlainerChord {
            bar: 0,
            chord_idx: 3,
            text: "C".into(),
        },
        Fix::UnlockBar { bar: 9 },
    ] {
        for notice in session.notices().to_vec() {
            session.act(Action::Dismiss(notice.id));
        }
        session.act(Action::TakeRemedy(fix.clone()));
        assert_eq!(*session.document(), before, "{fix:?}");
        assert_eq!(session.notices().len(), 1, "{fix:?}");
    }
}

#[test]
fn every_finding_says_what_helps() {
    let charts = [
        "G13(b9) | C13(#11) | F#13b9 | Dbmaj9#11/F",
        "Dm7 | G7alt | Cmaj7 | A7",
    ];
    for chart in charts {
        for barre in [true, false] {
            let hand = hand(|hand| {
                hand.barre = barre;
                hand.reach_permille = 850;
            });
            for finding in findings(&tune(chart, &[hand])) {
                assert!(!finding.remedies.is_empty(), "{finding:?}");
                let mut words: Vec<&str> =
                    finding.remedies.iter().map(|r| r.words.as_str()).collect();
                assert!(words.iter().all(|words| !words.is_empty()));
                words.sort_unstable();
                words.dedup();
                assert_eq!(words.len(), finding.remedies.len(), "{finding:?}");
            }
        }
    }
}
