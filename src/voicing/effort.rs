//! What it costs to hold a grip: fingers, stretch, barre, twist, place on the neck, open strings.
//! Costs are sums of integers from the weights table; the stretch is squared on whole micrometres,
//! so the same grip costs the same everywhere. Knows no chord and no time.

use super::weights;
use crate::instrument::Cost;
use crate::instrument::Effort;
use crate::instrument::Finger;
use crate::instrument::Fingering;
use crate::instrument::Grip;
use crate::instrument::HandOnBoard;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::instrument::StringSet;
use crate::instrument::Term;
use crate::instrument::fingerings::PAIRS;
use crate::instrument::fingerings::each_fingering;
use crate::instrument::reach::Place;
use crate::instrument::reach::Span;

/// The terms of a voicing's effort in thousandths of a point, before they are named.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Parts {
    pub stretch: i32,
    pub fingers: i32,
    pub barre: i32,
    pub position: i32,
    pub little: i32,
    pub twist: i32,
    pub damp: i32,
    pub omission: i32,
    pub clash: i32,
    pub register: i32,
}

impl Parts {
    pub(super) fn named(&self) -> [(Term, Cost); 10] {
        [
            (Term::Stretch, Cost(self.stretch)),
            (Term::Fingers, Cost(self.fingers)),
            (Term::Barre, Cost(self.barre)),
            (Term::Position, Cost(self.position)),
            (Term::LittleFinger, Cost(self.little)),
            (Term::Twist, Cost(self.twist)),
            (Term::Damp, Cost(self.damp)),
            (Term::Omission, Cost(self.omission)),
            (Term::Clash, Cost(self.clash)),
            (Term::Register, Cost(self.register)),
        ]
    }

    pub(super) const fn total(&self) -> i32 {
        self.hand() + self.omission + self.clash + self.register
    }

    const fn hand(&self) -> i32 {
        self.fingering() + self.position + self.damp
    }

    /// What depends on the choice of fingers.
    const fn fingering(&self) -> i32 {
        self.stretch + self.fingers + self.barre + self.little + self.twist
    }

    pub(super) fn effort(&self) -> Effort {
        Effort::of_terms(&self.named())
    }
}

/// Where on the neck things get awkward, for one instrument.
#[derive(Clone, Copy, Debug)]
pub(super) struct Neck {
    capo: u8,
    joint: u8,
}

impl Neck {
    pub(super) const fn new(instrument: &Instrument) -> Self {
        Self {
            capo: instrument.capo,
            joint: match instrument.strings {
                StringSet::Nylon => weights::JOINT_NYLON,
                StringSet::Steel => weights::JOINT_STEEL,
            },
        }
    }

    /// Position and damping: what a shape costs however it is fingered.
    pub(super) fn shape_parts(&self, shape: &Shape, parts: &mut Parts) {
        let (mut home, mut highest, mut n_open) = (u8::MAX, 0, 0);
        for (_, fret) in shape.sounding() {
            if fret == 0 {
                n_open += 1;
            } else {
                home = home.min(fret + self.capo);
                highest = highest.max(fret + self.capo);
            }
        }
        parts.damp = weights::OPEN_STRING * n_open;
        if highest == 0 {
            return;
        }
        // A capo makes strings no stiffer than the nut does, so the low frets count from it.
        let from_capo = usize::from(home - self.capo);
        parts.position = weights::LOW_FRET.get(from_capo).copied().unwrap_or(0)
            + weights::HIGH_HOME * i32::from(home.saturating_sub(7))
            + weights::PAST_JOINT * i32::from(highest.saturating_sub(self.joint));
    }
}

/// Fingers, stretch, barre, little finger and twist of one fingering.
fn fingering_parts(fingering: &Fingering, hand: &HandOnBoard, parts: &mut Parts) {
    parts.stretch = PAIRS
        .iter()
        .zip(fingering.gaps_squared)
        .zip(hand.spans())
        .map(|((_, gap), span)| stretch(gap, *span, hand.reach_permille()))
        .sum();
    let places = &fingering.places;
    let thumb = fingering.fingers.first().copied().flatten() == Some(Finger::Thumb);
    let n_fingers = places.iter().flatten().count() + usize::from(thumb);
    parts.fingers = weights::FINGER * i32::try_from(n_fingers).unwrap_or(0);
    parts.barre = Finger::FOUR
        .iter()
        .zip(places)
        .filter_map(|(finger, place)| Some(barre(*finger, (*place)?)))
        .sum();
    parts.little = little(places);
    parts.twist = PAIRS
        .iter()
        .filter(|(i, j)| turned(places.get(*i), places.get(*j)))
        .map(|_| weights::TWIST)
        .sum();
}

/// Squared excess over comfort, measured as if the hand were the adult default.
fn stretch(gap_squared: u64, span: Span, reach_permille: u16) -> i32 {
    let comfort = u64::from(span.comfort_um);
    if gap_squared <= comfort * comfort {
        return 0;
    }
    let excess_um = (gap_squared.isqrt() - comfort) * 1000 / u64::from(reach_permille.max(1));
    let excess_um = i64::try_from(excess_um).unwrap_or(0);
    let cost = excess_um * excess_um * weights::STRETCH_PER_SQUARE_MM / 1_000_000;
    i32::try_from(cost).unwrap_or(i32::MAX / 64)
}

/// The little finger in use, the more so the further it reaches over the lowest finger.
fn little(places: &[Option<Place>; 4]) -> i32 {
    let [.., Some(little)] = places else {
        return 0;
    };
    let lowest = places.iter().flatten().next().unwrap_or(little);
    let over = lowest.first.saturating_sub(little.last);
    weights::LITTLE_FINGER + weights::LITTLE_REACHES_OVER * i32::from(over)
}

fn barre(finger: Finger, place: Place) -> i32 {
    if place.first == place.last {
        return 0;
    }
    let weights = match finger {
        Finger::Thumb | Finger::Index => weights::INDEX_BARRE,
        Finger::Middle | Finger::Ring => weights::MIDDLE_OR_RING_BARRE,
        Finger::Little => weights::LITTLE_BARRE,
    };
    weights
        .get(usize::from(place.width()))
        .copied()
        .unwrap_or(0)
}

fn turned(low: Option<&Option<Place>>, high: Option<&Option<Place>>) -> bool {
    match (low.copied().flatten(), high.copied().flatten()) {
        (Some(low), Some(high)) => low.fret == high.fret && high.last < low.first,
        _ => false,
    }
}

/// A fingering with what it costs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fingered {
    pub grip: Grip,
    pub parts: Parts,
}

impl Fingered {
    /// Cheaper first, then by frets and fingers.
    fn comes_before(&self, other: &Self) -> bool {
        (self.parts.fingering(), self.grip) < (other.parts.fingering(), other.grip)
    }
}

/// The best fingering of a shape, with the shape's own parts as given.
pub(super) fn best_fingering(shape: &Shape, hand: &HandOnBoard, parts: Parts) -> Option<Fingered> {
    let mut best: Option<Fingered> = None;
    each_fingering(shape, hand, &mut |fingering| {
        let mut parts = parts;
        fingering_parts(fingering, hand, &mut parts);
        let less = best.is_none_or(|b| parts.fingering() <= b.parts.fingering());
        if less {
            let next = Fingered {
                grip: fingering.grip(*shape),
                parts,
            };
            if best.is_none_or(|b| next.comes_before(&b)) {
                best = Some(next);
            }
        }
    });
    best
}

/// The best fingerings of a shape, cheapest first.
pub(super) fn best_fingerings(
    shape: &Shape,
    hand: &HandOnBoard,
    parts: Parts,
    most: usize,
) -> Vec<Fingered> {
    let mut all = Vec::new();
    each_fingering(shape, hand, &mut |fingering| {
        let mut parts = parts;
        fingering_parts(fingering, hand, &mut parts);
        all.push(Fingered {
            grip: fingering.grip(*shape),
            parts,
        });
    });
    all.sort_unstable_by_key(|f| (f.parts.fingering(), f.grip));
    all.truncate(most);
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instrument::Fretboard;
    use crate::instrument::Hand;
    use crate::instrument::StringIdx;

    fn best(frets: &str, reach_permille: u16) -> Fingered {
        let guitar = Instrument::default();
        let hand = Hand {
            reach_permille,
            ..Hand::default()
        };
        let hand = HandOnBoard::new(Fretboard::new(&guitar), &hand);
        let shape = Shape::parse(frets).unwrap_or_else(|| panic!("{frets}"));
        let mut parts = Parts::default();
        Neck::new(&guitar).shape_parts(&shape, &mut parts);
        best_fingering(&shape, &hand, parts).unwrap_or_else(|| panic!("{frets}"))
    }

    /// Published rubric (Vélez Vásquez et al. 2023): spread weighs 1.5 times "a barre or four
    /// fingers".
    #[test]
    fn the_published_ratio_holds() {
        let full_barre = weights::INDEX_BARRE[6];
        assert_eq!(full_barre, 4 * weights::FINGER);
        let widest = Span {
            comfort_um: 60_000,
            limit_um: 92_000,
        };
        let at_limit = stretch(92_000 * 92_000, widest, 1000);
        let ratio = f64::from(at_limit) / f64::from(full_barre);
        assert!((ratio - 1.5).abs() < 0.05, "{ratio}");
        // A smaller hand at its own limit works just as hard.
        let small = Span {
            comfort_um: 48_000,
            limit_um: 73_600,
        };
        assert_eq!(stretch(73_600 * 73_600, small, 800), at_limit);
    }

    #[test]
    fn terms_are_charged_where_they_belong() {
        let rows: &[(&str, &[Term])] = &[
            ("xx5767", &[Term::Fingers, Term::LittleFinger]),
            ("x32010", &[Term::Fingers, Term::Position, Term::Damp]),
            ("x3x111", &[Term::Fingers, Term::Barre, Term::Position]),
        ];
        for (frets, expected) in rows {
            let effort = best(frets, 1000).parts.effort();
            let mut terms: Vec<Term> = effort.terms().iter().map(|(term, _)| *term).collect();
            terms.retain(|term| *term != Term::Stretch);
            assert_eq!(terms, *expected, "{frets}");
        }
    }

    #[test]
    fn a_turned_wrist_costs_more_than_a_straight_one() {
        let guitar = Instrument::default();
        let hand = HandOnBoard::new(Fretboard::new(&guitar), &Hand::default());
        let shape = Shape::parse("3x443x").unwrap_or_else(|| panic!("no shape"));
        let effort = |digits: &str| {
            let grip = (0u8..)
                .zip(digits.chars())
                .fold(Grip::unfingered(shape), |grip, (s, digit)| {
                    grip.with_finger(StringIdx(s), Finger::from_digit(digit))
                });
            let all = best_fingerings(&shape, &hand, Parts::default(), usize::MAX);
            let found = all.into_iter().find(|fingered| fingered.grip == grip);
            found.map(|fingered| fingered.parts.effort())
        };
        let twist = |digits| effort(digits).map(|e| e.of(Term::Twist));
        assert_eq!(twist("1x342x"), Some(Cost::ZERO));
        assert_eq!(twist("2x341x"), Some(Cost(weights::TWIST)));
        assert_eq!(effort("4x321x"), None);
    }

    #[test]
    fn a_wider_reach_never_makes_a_grip_dearer() {
        for frets in ["3x443x", "x3545x", "x7958x", "8x798x", "x1324x"] {
            let costs = [1000, 1050, 1100, 1150].map(|reach| best(frets, reach).parts.total());
            assert!(costs.is_sorted_by(|a, b| a >= b), "{frets}: {costs:?}");
        }
    }
}
