//! How far two fingers spread: comfort and limit for every pair, scaled to a hand. Lengths are
//! whole micrometres and compared as integers. A `Reach` is a comparison that can be read out:
//! what a grip needs between two fingers and what this hand has.

use super::fretboard::Fretboard;
use super::grip::Finger;
use super::grip::Grip;
use super::grip::StringIdx;
use super::hand::Hand;
use super::hand::REACH_PERMILLE;
use std::fmt;

/// Comfort and limit of one pair of fingers.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Span {
    /// Up to here a spread costs nothing (µm).
    pub comfort_um: u32,
    /// Beyond this the hand does not reach (µm).
    pub limit_um: u32,
}

/// Pairs of fingers with comfort and limit in mm for the adult default.
///
/// Comfort is 0.8 of the mean flat-hand span, computed from finger lengths and spreading angles
/// of 51 young adults (Chatzioglou, Pinar & Govsa 2024) with knuckles 20 mm apart. Limits are
/// calibrated on the textbook drop-2 and drop-3 shapes: on a 650 mm scale with nylon spread all
/// of them must be playable between frets 5 and 9 but `x6958x`, and one reach over frets 1 to 5
/// must not be.
const SPANS_MM: [(Finger, Finger, u32, u32); 6] = [
    (Finger::Index, Finger::Middle, 33, 58),
    (Finger::Middle, Finger::Ring, 30, 52),
    (Finger::Ring, Finger::Little, 44, 58),
    (Finger::Index, Finger::Ring, 60, 92),
    (Finger::Middle, Finger::Little, 73, 98),
    (Finger::Index, Finger::Little, 98, 122),
];

/// How far along the neck the thumb may lie from the lowest finger in use, in mm for the adult
/// default: about one fret in the first positions (our own choice).
const THUMB_OVER_MM: u32 = 40;

/// The span of two fingers of a hand; `None` for the thumb or twice the same finger.
#[must_use]
pub fn span(hand: &Hand, a: Finger, b: Finger) -> Option<Span> {
    let (low, high) = if a < b { (a, b) } else { (b, a) };
    let reach = u32::from(hand.reach_permille);
    SPANS_MM
        .iter()
        .find(|(i, j, ..)| *i == low && *j == high)
        // Millimetres times thousandths are micrometres.
        .map(|(.., comfort, limit)| Span {
            comfort_um: comfort * reach,
            limit_um: limit * reach,
        })
}

/// The reach, in thousandths of the adult default, of a hand whose index and little finger lie so
/// many millimetres apart when it is spread flat without force. The mean adult hand, whose comfort
/// is 0.8 of that, has 1000. Brought into what is offered.
#[must_use]
pub fn reach_of_span(span_mm: u16) -> u16 {
    let comfort_mm = SPANS_MM
        .iter()
        .find(|(i, j, ..)| (*i, *j) == (Finger::Index, Finger::Little))
        .map_or(1, |(.., comfort, _)| *comfort);
    let permille = (u32::from(span_mm) * 800 + comfort_mm / 2) / comfort_mm;
    let permille = u16::try_from(permille).unwrap_or(u16::MAX);
    permille.clamp(*REACH_PERMILLE.start(), *REACH_PERMILLE.end())
}

/// The widest a hand can spread between any two fingers (µm).
#[must_use]
pub fn widest_um(hand: &Hand) -> u32 {
    let widest = SPANS_MM.iter().map(|(.., limit)| *limit).max();
    widest.unwrap_or(0) * u32::from(hand.reach_permille)
}

/// How far along the neck a thumb over the edge may lie from the lowest finger in use (µm).
#[must_use]
pub fn thumb_over_um(hand: &Hand) -> u32 {
    THUMB_OVER_MM * u32::from(hand.reach_permille)
}

/// A finger's place on the board: one string, or a run of strings at one fret.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Place {
    /// Fret, counted from the capo.
    pub fret: u8,
    /// Lowest-pitched string held.
    pub first: u8,
    /// Highest-pitched string held; the finger lies on everything in between.
    pub last: u8,
}

impl Place {
    /// How many strings the finger lies across.
    #[must_use]
    pub const fn width(&self) -> u8 {
        self.last - self.first + 1
    }

    /// Square of the distance between the nearest tips of two fingers (µm²).
    #[must_use]
    pub fn gap_squared(&self, other: &Self, board: &Fretboard) -> u64 {
        let gap =
            |a: u8, b: u8| board.gap_squared((StringIdx(a), self.fret), (StringIdx(b), other.fret));
        if self.last < other.first {
            return gap(self.last, other.first);
        }
        if other.last < self.first {
            return gap(self.first, other.last);
        }
        let common = self.first.max(other.first)..=self.last.min(other.last);
        common.map(|s| gap(s, s)).min().unwrap_or(0)
    }
}

/// What a grip needs between two fingers, and what the hand has.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Reach {
    /// The two fingers, lower number first.
    pub fingers: (Finger, Finger),
    /// Distance between their nearest tips (µm).
    pub needed_um: u64,
    /// Comfort and limit of this hand.
    pub span: Span,
}

impl Reach {
    /// Whether the hand reaches.
    #[must_use]
    pub fn is_possible(&self) -> bool {
        self.needed_um <= u64::from(self.span.limit_um)
    }

    /// Need as thousandths of the limit: above 1000 the hand does not reach.
    #[must_use]
    pub fn permille_of_limit(&self) -> u64 {
        self.needed_um * 1000 / u64::from(self.span.limit_um).max(1)
    }
}

/// `needs 131 mm between 1 and 4; this hand has 122`. The need is rounded up and the limit down,
/// so that the sentence never contradicts itself.
impl fmt::Display for Reach {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "needs {} mm between {} and {}; this hand has {}",
            self.needed_um.div_ceil(1000),
            self.fingers.0.digit(),
            self.fingers.1.digit(),
            self.span.limit_um / 1000
        )
    }
}

/// Every pair of fingers of a grip (the thumb left out) with what it needs, in a fixed order:
/// 1-2, 2-3, 3-4, 1-3, 2-4, 1-4. Allocates nothing.
pub fn reaches<'a>(
    grip: &'a Grip,
    board: &'a Fretboard,
    hand: &'a Hand,
) -> impl Iterator<Item = Reach> + 'a {
    let places = Finger::FOUR.map(|finger| {
        let (fret, first, last) = grip.place_of(finger)?;
        Some(Place {
            fret,
            first: first.0,
            last: last.0,
        })
    });
    let place = move |finger| {
        let fingers = Finger::FOUR.iter().zip(places);
        let mut found = fingers.filter(move |(f, _)| **f == finger);
        found.next().and_then(|(_, place)| place)
    };
    SPANS_MM.iter().filter_map(move |(low, high, ..)| {
        let (a, b) = (place(*low)?, place(*high)?);
        Some(Reach {
            fingers: (*low, *high),
            needed_um: a.gap_squared(&b, board).isqrt(),
            span: span(hand, *low, *high)?,
        })
    })
}

/// The pair of fingers nearest to (or furthest beyond) its limit.
#[must_use]
pub fn widest_reach(grip: &Grip, board: &Fretboard, hand: &Hand) -> Option<Reach> {
    reaches(grip, board, hand).max_by_key(Reach::permille_of_limit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_measured_span_becomes_a_reach() {
        // The mean flat-hand span is 98 mm / 0.8 = 122.5 mm (source above).
        for (span_mm, permille) in [
            (0, 800),
            (98, 800),
            (110, 898),
            (122, 996),
            (123, 1004),
            (135, 1102),
            (160, 1150),
        ] {
            assert_eq!(reach_of_span(span_mm), permille, "{span_mm} mm");
        }
    }
}
