//! Slides into a grip and chords taken ahead of the beat: which notes slide and from where, what
//! stays, what is let go, and what is said where a slide has no place.

use std::sync::Arc;
use thumbwalk::arrange;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::FindingKind;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::instrument::Shape;
use thumbwalk::session::problem_from_document;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Meter;
use thumbwalk::theory::Pluck;
use thumbwalk::theory::Side;
use thumbwalk::theory::Slide;
use thumbwalk::theory::Sliding;
use thumbwalk::theory::Ticks;
use thumbwalk::thumb::PluckPattern;

const AND: u32 = 480;
const BEAT: u32 = 960;

fn slide(what: Sliding, from: Side) -> Slide {
    Slide { what, from }
}

/// A bar with one chord, and a shape for it if the text has one: `G7 3x343x`.
fn bar(text: &str) -> Bar {
    let (chord, shape) = text.split_once(' ').unwrap_or((text, ""));
    Bar {
        chords: vec![ChordAt {
            at: Ticks(0),
            harmony: Harmony::parse(chord).expect("a chord"),
            shape: Shape::parse(shape),
        }],
        ..Bar::default()
    }
}

fn solved(bars: Vec<Bar>) -> Arrangement {
    let section = Section {
        name: String::new(),
        bars,
    };
    let document = Document {
        sections: vec![Arc::new(section)],
        ..Document::default()
    };
    arrange::solve(&problem_from_document(&document))
}

fn at(arrangement: &Arrangement, bar: usize, at: u32) -> Vec<&PlayedNote> {
    let place = Place { bar, at: Ticks(at) };
    let notes = arrangement.notes.iter();
    notes.filter(|note| note.place == place).collect()
}

/// By how many frets the notes of a lane slide at a place, lowest string first; 0 stays.
fn glides(arrangement: &Arrangement, at_ticks: u32, lane: Lane) -> Vec<i16> {
    let notes = at(arrangement, 0, at_ticks).into_iter();
    let glide = |note: &PlayedNote| {
        let from = note.slide_from.map_or(note.fret, |from| from);
        i16::from(note.fret) - i16::from(from)
    };
    notes.filter(|note| note.lane == lane).map(glide).collect()
}

fn kinds(arrangement: &Arrangement) -> Vec<FindingKind> {
    arrangement.findings.iter().map(|f| f.kind).collect()
}

#[test]
fn fingers_slide_as_one_over_a_bass_that_stays() {
    for (side, frets) in [(Side::Below, 1), (Side::Above, -1)] {
        let mut g7 = bar("G7");
        let into = slide(Sliding::FingersOnly, side);
        g7.slides = vec![(Ticks(AND), into), (Ticks(2 * BEAT + AND), into)];
        let arrangement = solved(vec![g7]);
        for place in [AND, 2 * BEAT + AND] {
            let fingers = glides(&arrangement, place, Lane::Fingers);
            assert!(fingers.len() >= 2, "the chord is plucked");
            assert!(fingers.iter().all(|glide| *glide == frets), "{fingers:?}");
        }
        let bass = arrangement.notes.iter().filter(|n| n.lane == Lane::Thumb);
        assert!(bass.clone().count() == 4 && bass.clone().all(|n| n.slide_from.is_none()));
        assert_eq!(kinds(&arrangement), []);
    }
}

#[test]
fn the_whole_grip_slides_where_thumb_and_fingers_strike_together() {
    let mut c7 = bar("C7");
    c7.plucks = Some(vec![Pluck::new(Ticks(0), Articulation::Ring)]);
    c7.slides = vec![(Ticks(0), slide(Sliding::WholeGrip, Side::Below))];
    let arrangement = solved(vec![c7]);
    assert_eq!(glides(&arrangement, 0, Lane::Thumb), [1]);
    let fingers = glides(&arrangement, 0, Lane::Fingers);
    assert!(fingers.len() >= 2 && fingers.iter().all(|glide| *glide == 1));
    assert_eq!(kinds(&arrangement), []);
}

/// The open strings of a first-position G can't slide, nor can a barre that also holds the bass
/// leave it.
#[test]
fn a_slide_without_a_place_is_reported_and_the_chord_is_played() {
    for (chord, what) in [
        ("G 3x0003", Sliding::WholeGrip),
        ("G 3x0003", Sliding::FingersOnly),
        ("Gm7 3x333x", Sliding::FingersOnly),
    ] {
        let mut g = bar(chord);
        g.plucks = Some(vec![Pluck::new(Ticks(0), Articulation::Ring)]);
        g.slides = vec![(Ticks(0), slide(what, Side::Below))];
        let arrangement = solved(vec![g]);
        assert!(!glides(&arrangement, 0, Lane::Fingers).is_empty());
        assert!(arrangement.notes.iter().all(|n| n.slide_from.is_none()));
        assert_eq!(kinds(&arrangement), [FindingKind::NoSlide], "{chord}");
    }
}

#[test]
fn a_slide_where_nothing_is_struck_is_reported() {
    let mut g7 = bar("G7");
    g7.slides = vec![(Ticks(BEAT + AND), slide(Sliding::FingersOnly, Side::Below))];
    assert_eq!(kinds(&solved(vec![g7])), [FindingKind::NoSlide]);
    let mut alone = bar("G7");
    alone.slides = vec![(Ticks(AND), slide(Sliding::WholeGrip, Side::Below))];
    let arrangement = solved(vec![alone]);
    assert_eq!(kinds(&arrangement), [FindingKind::NoSlide]);
    let fingers = glides(&arrangement, AND, Lane::Fingers);
    assert!(fingers.iter().all(|glide| *glide == 1), "they slide alone");
}

#[test]
fn a_slide_asks_for_a_grip_that_can_slide() {
    let plain = solved(vec![bar("E7")]);
    let mut sliding = bar("E7");
    sliding.slides = vec![(Ticks(AND), slide(Sliding::FingersOnly, Side::Below))];
    let sliding = solved(vec![sliding]);
    assert!(
        sliding.sum >= plain.sum,
        "what is asked never makes it easier"
    );
    assert_eq!(kinds(&sliding), []);
}

#[test]
fn an_anticipation_takes_the_next_grip_before_the_barline() {
    let meter = Meter::COMMON;
    let mut first = bar("C7");
    first.plucks = Some(PluckPattern::Anticipation.plucks(meter));
    let arrangement = solved(vec![first, bar("F7")]);
    let place = 3 * BEAT + AND;
    let of_f7 = arrangement.grips[1].voicing.as_ref().expect("a grip");
    let ahead: Vec<_> = at(&arrangement, 0, place);
    assert!(ahead.len() >= 2);
    for note in &ahead {
        assert_eq!(note.lane, Lane::Fingers);
        assert_eq!(of_f7.grip.shape.fret(note.string), Some(note.fret));
        assert!(note.length.0 > AND, "it rings over the barline");
    }
    let approach = at(&arrangement, 0, 3 * BEAT);
    assert_eq!(
        approach[0].length,
        Ticks(AND),
        "the hand leaves the approach for the chord"
    );
    let early = Place {
        bar: 0,
        at: Ticks(place),
    };
    let held = arrangement.grip_at(early).expect("a grip");
    assert_eq!((held.place.bar, held.held_from), (1, early));
    assert_eq!(kinds(&arrangement), []);
}

#[test]
fn nothing_is_anticipated_where_the_thumb_still_strikes_or_no_chord_follows() {
    let meter = Meter::COMMON;
    let last = |mut bar: Bar| {
        bar.plucks = Some(PluckPattern::Anticipation.plucks(meter));
        bar
    };
    let mut busy = last(bar("C7"));
    let late = Ticks(3 * BEAT + 720);
    let fifth = thumbwalk::theory::ThumbMove::Fifth;
    busy.thumb = vec![(late, thumbwalk::document::ThumbCell::Move(fifth))];
    for bars in [
        vec![busy, bar("F7")],
        vec![last(bar("C7"))],
        vec![last(bar("C7")), bar("N.C.")],
    ] {
        let arrangement = solved(bars);
        let own = arrangement.grips[0].voicing.as_ref().expect("a grip");
        let struck = at(&arrangement, 0, 3 * BEAT + AND);
        let fingers = struck.iter().filter(|n| n.lane == Lane::Fingers);
        for note in fingers.clone() {
            assert_eq!(own.grip.shape.fret(note.string), Some(note.fret));
        }
        assert!(fingers.count() >= 2);
    }
}
