//! Taking what one bar has to others: plucks, thumb moves, voicings moved along the neck.

use super::*;
use crate::session::Action;
use crate::session::Selection;
use crate::session::SoundChoice;
use crate::theory::Articulation;
use std::sync::Arc;

fn session(chart: &str) -> Session {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(chart.into()));
    session.settle();
    session
}

fn select(session: &mut Session, from: usize, to: usize) {
    let mut selection = Selection::default();
    selection.place.bar = from;
    selection.to_bar = Some(to);
    session.act(Action::Select(selection));
}

fn shape(session: &Session, bar: usize) -> Option<String> {
    let bar = session.document().bar(bar)?;
    Some(bar.chords.first()?.shape?.to_string())
}

#[test]
fn plucks_go_to_every_selected_bar() {
    let mut session = session("Dm7 | G7 | C6 | A7\n");
    let plucks = vec![Pluck::new(Ticks(960), Articulation::Short)];
    session.act(Action::Edit(Edit::SetPlucks {
        bar: 2,
        plucks: Some(plucks.clone()),
    }));
    // The run goes backwards: what is taken is that of the bar where it begins.
    select(&mut session, 2, 0);
    session.act(Action::Fill(Fill::Plucks));
    let of = |bar| session.document().bar(bar).map(|bar| bar.plucks.clone());
    assert_eq!(of(0), Some(Some(plucks.clone())));
    assert_eq!(of(1), Some(Some(plucks)));
    assert_eq!(of(3), Some(None));
    assert_eq!(
        session.undo_label(),
        Some("Take plucks of bar 3 to bars 1 to 3")
    );
}

#[test]
fn thumb_moves_go_slot_by_slot_and_what_stood_there_goes() {
    let mut session = session("Dm7 | G7 | C6 | A7\n");
    for (bar, at, thumb_move) in [
        (0, 0, ThumbMove::Fifth),
        (1, 480, ThumbMove::Ghost),
        (0, 1920, ThumbMove::Rest),
    ] {
        session.act(Action::Edit(Edit::SetThumb {
            bar,
            at: Ticks(at),
            cell: Some(ThumbCell::Move(thumb_move)),
        }));
    }
    session.settle();
    select(&mut session, 0, 2);
    session.act(Action::Fill(Fill::Thumb));
    let document = session.document();
    let first = document.bar(0).expect("a bar").thumb.clone();
    assert_eq!(
        first.first(),
        Some(&(Ticks(0), ThumbCell::Move(ThumbMove::Fifth)))
    );
    assert_eq!(first.len(), 4, "every beat is decided: {first:?}");
    assert_eq!(document.bar(1).map(|bar| &bar.thumb), Some(&first));
    assert_eq!(document.bar(2).map(|bar| &bar.thumb), Some(&first));
    assert_eq!(document.bar(3).map(|bar| bar.thumb.len()), Some(0));
}

#[test]
fn a_voicing_goes_to_the_same_chord_and_moves_to_others_of_its_kind() {
    let mut session = session("Key: C\nDm7 | Em7 | D-7 | G7 | Dm7\n");
    session.act(Action::Edit(Edit::SetShape {
        bar: 0,
        chord_idx: 0,
        shape: Shape::parse("x5356x"),
    }));
    session.settle();
    select(&mut session, 0, 3);
    session.act(Action::Fill(Fill::Voicings));
    assert_eq!(shape(&session, 0).as_deref(), Some("x5356x"));
    assert_eq!(shape(&session, 1).as_deref(), Some("x7578x"), "a tone up");
    assert_eq!(
        shape(&session, 2).as_deref(),
        Some("x5356x"),
        "the same chord"
    );
    assert_eq!(shape(&session, 3), None, "another kind");
    assert_eq!(shape(&session, 4), None, "not selected");
    let told = session
        .notices()
        .iter()
        .any(|n| n.text.starts_with("one chord was left"));
    assert!(told, "{:?}", session.notices());
}

#[test]
fn a_shape_moves_by_the_semitones_between_the_roots_and_not_off_the_neck() {
    // Semitones by counting: E to G are 3, E to B 7 up or 5 down.
    let document = session("E7\n").document().as_ref().clone();
    let chord = |text: &str| {
        let harmony = crate::theory::Harmony::parse(text).expect("a chord");
        harmony.chord().cloned().expect("a chord")
    };
    let on = |shape: &str, to: &str| {
        let shape = Shape::parse(shape).expect("a shape");
        shape_on(&document, &chord("E7"), &shape, &chord(to)).map(|shape| shape.to_string())
    };
    assert_eq!(
        on("x76790", "G7"),
        None,
        "an open string can't go below the nut"
    );
    assert_eq!(on("0x0100", "G7").as_deref(), Some("3x3433"));
    assert_eq!(on("12-x-12-13-12-x", "C7").as_deref(), Some("8x898x"));
    assert_eq!(on("12-x-12-13-12-x", "Bb7").as_deref(), Some("6x676x"));
    assert_eq!(on("0x010x", "Em7"), None, "another kind");
    assert_eq!(on("0x010x", "E7/B"), None, "another bass");
}

#[test]
fn one_bar_alone_is_not_filled() {
    let mut session = session("Dm7 | G7\n");
    session.act(Action::Fill(Fill::Plucks));
    assert!(session.notices().iter().any(|n| n.text.contains("Shift")));
    assert_eq!(session.undo_label(), None);
}

#[test]
fn a_voicing_put_on_another_chord_is_moved_there() {
    let mut session = session("Dm7 | Em7 | G7\n");
    let shape_of_d = Shape::parse("x5356x").expect("a shape");
    let put = |on| Action::PutVoicing {
        of: (0, 0),
        shape: shape_of_d,
        on,
    };
    session.act(put(OnChords::One((1, 0))));
    assert_eq!(shape(&session, 0), None);
    assert_eq!(shape(&session, 1).as_deref(), Some("x7578x"));
    session.act(put(OnChords::One((2, 0))));
    assert_eq!(shape(&session, 2), None);
    session.act(put(OnChords::Bars(0, 2)));
    assert_eq!(shape(&session, 0).as_deref(), Some("x5356x"));
    assert_eq!(session.undo_label(), Some("Choose voicing in bars 1 to 3"));
}
