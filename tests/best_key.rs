//! Comparing keys through the session: asked, stopped, used, taken back.

use std::sync::Arc;
use thumbwalk::instrument::Tuning;
use thumbwalk::session::Action;
use thumbwalk::session::KeyQuestion;
use thumbwalk::session::KeysStatus;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::session::VoiceRange;
use thumbwalk::theory::Key;

fn open() -> Session {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(
        "Key: Eb\n| Ebmaj7 | Cm7 | Fm7 | Bb7 |".into(),
    ));
    session.settle();
    session
}

fn known(session: &Session) -> Vec<(Key, i8, i32)> {
    let KeysStatus::Known(found) = session.keys() else {
        panic!("{:?}", session.keys())
    };
    let rows = found.iter().map(|lie| (lie.key, lie.semitones, lie.sum.0));
    rows.collect()
}

#[test]
fn a_key_that_is_used_has_the_effort_it_promised_and_the_list_stays() {
    let mut session = open();
    assert_eq!(*session.keys(), KeysStatus::Unasked);
    session.act(Action::CompareKeys(KeyQuestion::default()));
    assert!(matches!(
        session.keys(),
        KeysStatus::Working { total: 12, .. }
    ));
    session.settle();
    for number in [0, 5, 11, 0] {
        let (key, _, sum) = known(&session)[number];
        session.act(Action::UseKey(number));
        session.settle();
        assert_eq!(session.document().key, key);
        assert_eq!(session.arrangement().expect("solved").sum.0, sum);
        let here: Vec<_> = known(&session)
            .into_iter()
            .filter(|row| row.1 == 0)
            .collect();
        assert_eq!(here, [(key, 0, sum)], "the row of the present key");
    }
    let label = session.undo_label().map(str::to_owned);
    let (key, ..) = known(&session)[0];
    assert_eq!(label, Some(format!("Move to {key}")));
    session.act(Action::Undo);
    session.settle();
    assert_ne!(session.document().key, key);
}

#[test]
fn a_comparison_can_be_stopped_and_an_edit_makes_it_void() {
    let mut session = open();
    session.act(Action::CompareKeys(KeyQuestion {
        capos: (0..=5).collect(),
        ..KeyQuestion::default()
    }));
    session.act(Action::StopComparingKeys);
    assert_eq!(*session.keys(), KeysStatus::Unasked);
    session.settle();
    assert_eq!(*session.keys(), KeysStatus::Unasked);
    session.act(Action::CompareKeys(KeyQuestion::default()));
    session.settle();
    assert_eq!(known(&session).len(), 12);
    session.act(Action::UseKey(99));
    assert_eq!(known(&session).len(), 12);
    session.act(Action::Undo);
    session.act(Action::Edit(thumbwalk::document::Edit::SetTempo(90)));
    assert_eq!(*session.keys(), KeysStatus::Unasked);
    session.act(Action::UseKey(0));
    assert_eq!(session.document().key, Key::parse("Eb").expect("a key"));
}

/// A key in another tuning, with the range of a voice: used it is as promised, and the voice sings
/// the same notes from wherever the tune is moved to.
#[test]
fn tunings_and_a_range_go_with_the_key() {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    let chart = "Key: Eb\n| Ebmaj7 | Bb7 |\nTune: Eb5 G5 Bb5 _ | F5 _ D5 _ |\n";
    session.act(Action::OpenText(chart.into()));
    session.settle();
    let question = KeyQuestion {
        tunings: vec![Tuning::standard(), Tuning::named("drop D").expect("known")],
        range: VoiceRange::parse("A3-F4"),
        ..KeyQuestion::default()
    };
    session.act(Action::CompareKeys(question));
    session.settle();
    let found = match session.keys() {
        KeysStatus::Known(found) => Arc::clone(found),
        other => panic!("{other:?}"),
    };
    assert_eq!(found.len(), 24);
    // From D5 to Bb5 is a minor sixth, as wide as the range.
    let in_range = found
        .iter()
        .filter(|lie| lie.fit.is_some_and(|fit| fit.outside() == 0));
    let keys: Vec<String> = in_range.map(|lie| lie.key.to_string()).collect();
    assert_eq!(keys, ["Bb major", "Bb major"]);
    let sung = |lie: &thumbwalk::session::KeyLie| {
        let fit = lie.fit.expect("a range");
        i16::from(lie.semitones) + 12 * i16::from(fit.octaves)
    };
    let drop = found.iter().position(|lie| lie.tuning.name() == "drop D");
    let drop = drop.expect("a row");
    session.act(Action::HearKey(drop));
    session.act(Action::UseKey(drop));
    session.settle();
    assert_eq!(session.document().instrument.tuning.name(), "drop D");
    let here = &found[drop];
    assert_eq!(session.arrangement().expect("solved").sum, here.sum);
    let after = match session.keys() {
        KeysStatus::Known(found) => Arc::clone(found),
        other => panic!("{other:?}"),
    };
    for (before, after) in found.iter().zip(after.iter()) {
        assert_eq!(sung(after) + i16::from(here.semitones), sung(before));
    }
}

#[test]
fn without_a_tune_there_is_nothing_to_hold_against_a_range() {
    let mut session = open();
    session.act(Action::CompareKeys(KeyQuestion {
        range: VoiceRange::parse("A3-F4"),
        ..KeyQuestion::default()
    }));
    assert_eq!(*session.keys(), KeysStatus::Unasked);
    assert!(session.notices().iter().any(|n| n.text.contains("no tune")));
}
