//! Slides as the left hand plays them: the fingers lie a fret away, the strings are struck, and
//! all of them glide into their places as one. Says whether a grip can be reached that way, from
//! which state, and what it costs to get there. The glide itself is free: every finger keeps its
//! string.

use super::change::Changes;
use super::change::HandState;
use super::phase::PhaseSlide;
use super::trellis::LEFT_OUT;
use crate::instrument::Cost;
use crate::instrument::Grip;
use crate::instrument::StringIdx;
use crate::theory::Side;
use crate::theory::Slide;
use crate::theory::Sliding;

/// A slide that was asked for is not played; always the last resort, and always reported.
pub const UNSLID: Cost = LEFT_OUT;

/// How a phase with slides is played.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Slid {
    /// The left hand when the phase begins.
    pub entry: HandState,
    /// What it costs to go back for the slides that do not begin with the phase.
    pub cost: Cost,
}

/// The fret from which a note slides to a fret; `None` where nothing can slide: an open string,
/// or a way that would begin off the fretted part of the neck.
#[must_use]
pub fn origin(fret: u8, from: Side, last_fret: u8) -> Option<u8> {
    let origin = match from {
        Side::Below => fret.checked_sub(1)?,
        Side::Above => fret.checked_add(1).filter(|_| fret > 0)?,
    };
    (1..=last_fret).contains(&origin).then_some(origin)
}

/// The grip where a slide begins.
fn start_of(grip: &Grip, bass: Option<StringIdx>, slide: Slide, last_fret: u8) -> Option<Grip> {
    let mut start = *grip;
    for (string, fret) in grip.shape.sounding() {
        let stays = slide.what == Sliding::FingersOnly && bass == Some(string);
        if !stays {
            let origin = origin(fret, slide.from, last_fret)?;
            start.shape = start.shape.with(string, Some(origin));
        }
    }
    Some(start)
}

/// How a grip, its bass note on the string `bass`, is played with slides in order; `None` if a
/// slide has no place the hand can hold.
#[must_use]
pub fn slid(
    grip: &Grip,
    bass: Option<StringIdx>,
    slides: &[PhaseSlide],
    last_fret: u8,
    changes: &Changes,
    can_hold: &dyn Fn(&Grip) -> bool,
) -> Option<Slid> {
    let held = HandState::of_grip(grip);
    let mut slid = Slid {
        entry: held,
        cost: Cost::ZERO,
    };
    for slide in slides {
        let start = start_of(grip, bass, slide.slide, last_fret).filter(can_hold)?;
        let start = HandState::of_grip(&start);
        match slide.time_us {
            None => slid.entry = start,
            Some(time_us) => slid.cost += changes.cost(&held, &start, time_us),
        }
    }
    Some(slid)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instrument::Finger;
    use crate::instrument::Hand;
    use crate::instrument::Instrument;
    use crate::instrument::Shape;
    use crate::instrument::fretboard::Fretboard;
    use crate::instrument::playable;

    fn start(shape: &str, fingers: &str, what: Sliding, from: Side) -> Option<String> {
        let mut grip = Grip::unfingered(Shape::parse(shape).expect("a shape"));
        for (string, digit) in (0u8..).zip(fingers.chars()) {
            grip = grip.with_finger(StringIdx(string), Finger::from_digit(digit));
        }
        let board = Fretboard::new(&Instrument::default());
        let hand = Hand::default();
        let start = start_of(&grip, Some(StringIdx(0)), Slide { what, from }, 20)?;
        let holds = playable::why_not_on(&start, &board, &hand).is_none();
        holds.then(|| start.shape.to_string())
    }

    #[test]
    fn a_grip_slides_as_one_from_the_fret_beside_it() {
        use Side::Above;
        use Side::Below;
        use Sliding::FingersOnly;
        use Sliding::WholeGrip;
        for (shape, fingers, what, from, expected) in [
            ("3x343x", "1x243x", WholeGrip, Below, Some("2x232x")),
            ("3x343x", "1x243x", WholeGrip, Above, Some("4x454x")),
            ("5x554x", "2x341x", FingersOnly, Above, Some("5x665x")),
            // The index finger holds the bass and can't leave it.
            ("3x333x", "1x111x", FingersOnly, Below, None),
            // Nothing slides onto the first fret from the nut, and no open string slides.
            ("1x221x", "1x342x", WholeGrip, Below, None),
            ("3x000x", "3x000x", WholeGrip, Below, None),
            // The bass may be open if it stays.
            ("0x243x", "0x132x", FingersOnly, Below, Some("0x132x")),
        ] {
            let found = start(shape, fingers, what, from);
            assert_eq!(found.as_deref(), expected, "{shape} {what:?} {from:?}");
        }
    }
}
