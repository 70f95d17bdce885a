//! Undo of everything: whatever is done to a tune, in any order, taking all of it back gives the
//! tune as it was, and doing all of it again gives the tune as it had become, to the last setting.
//! Between the two lie the same tunes in both directions.

mod anything;

use anything::CHART;
use anything::Dice;
use anything::action;
use proptest::prelude::*;
use std::sync::Arc;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::document::ThumbCell;
use thumbwalk::files;
use thumbwalk::session::Action;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::session::arrange_document;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

/// What is kept on disk of a document.
fn on_disk(document: &Document) -> String {
    files::text_from_document(document)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(48) })]

    #[test]
    fn all_that_was_done_is_taken_back_and_done_again(
        dice in proptest::collection::vec(any::<Dice>(), 1..40),
    ) {
        let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
        session.act(Action::OpenText(CHART.into()));
        session.settle();
        let first = Arc::clone(session.document());
        let on_disk_first = on_disk(&first);
        for one in dice {
            // Locks, voicings and ways need to know what the tool has.
            if (8..13).contains(&(one.0 % 16)) {
                session.settle();
            }
            let action = action(&session, one);
            session.act(action);
            prop_assert!(session.document().n_bars() > 0);
        }
        let last = Arc::clone(session.document());
        let mut back = vec![Arc::clone(&last)];
        while session.undo_label().is_some() {
            session.act(Action::Undo);
            back.push(Arc::clone(session.document()));
        }
        prop_assert_eq!(session.document(), &first);
        prop_assert_eq!(on_disk(session.document()), on_disk_first);
        let mut again = vec![Arc::clone(session.document())];
        while session.redo_label().is_some() {
            session.act(Action::Redo);
            again.push(Arc::clone(session.document()));
        }
        again.reverse();
        // What was undone in between and not done again since can be done again here too.
        let from = again.len().checked_sub(back.len());
        prop_assert!(from.is_some(), "{} steps back, {} again", back.len(), again.len());
        let again = &again[from.unwrap_or_default()..];
        prop_assert_eq!(again, &back[..]);
        prop_assert_eq!(on_disk(&last), on_disk(&again[0]));
        // Whatever came of it is a tune that can be saved and opened.
        let read = files::project_from_text(&on_disk(&last));
        let (read, told) = read.map_err(|error| TestCaseError::fail(error.to_string()))?;
        prop_assert_eq!(&read, last.as_ref(), "{:?}", told);
    }
}

#[test]
fn ten_thousand_edits_are_all_taken_back_and_done_again() {
    const EDITS: u16 = 10_000;
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(CHART.into()));
    let first = Arc::clone(session.document());
    for number in 0..EDITS {
        let (bar, at) = (usize::from(number) % first.n_bars(), Ticks::of_beat(1));
        let thumb_move = ThumbMove::ALL[usize::from(number / 8) % ThumbMove::ALL.len()];
        session.act(Action::Edit(match number % 4 {
            0 => Edit::SetTitle(format!("Lamp {number}")),
            1 => Edit::SetTempo(60 + number % 200),
            2 => Edit::SetLessonText(format!("Take {number} slowly.")),
            _ => Edit::SetThumb {
                bar,
                at,
                cell: Some(ThumbCell::Move(thumb_move)),
            },
        }));
        session.act(Action::EndStep);
    }
    session.settle();
    let last = Arc::clone(session.document());
    assert_eq!(
        *session.arrangement().expect("solved").as_ref(),
        arrange_document(&last)
    );
    let mut steps = 0;
    while session.undo_label().is_some() {
        session.act(Action::Undo);
        steps += 1;
    }
    assert!(
        steps > EDITS - EDITS / 20,
        "{steps} steps, less those that changed nothing"
    );
    assert_eq!(session.document(), &first);
    for _ in 0..steps {
        session.act(Action::Redo);
    }
    assert_eq!(session.document(), &last);
    assert_eq!(session.redo_label(), None);
}
