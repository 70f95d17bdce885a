//! Comparing keys through the session: asked, stopped, used, taken back.

use std::sync::Arc;
use thumbwalk::session::Action;
use thumbwalk::session::KeysStatus;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
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
    session.act(Action::CompareKeys { with_capos: false });
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
    session.act(Action::CompareKeys { with_capos: true });
    session.act(Action::StopComparingKeys);
    assert_eq!(*session.keys(), KeysStatus::Unasked);
    session.settle();
    assert_eq!(*session.keys(), KeysStatus::Unasked);
    session.act(Action::CompareKeys { with_capos: false });
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
