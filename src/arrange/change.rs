//! What it costs the left hand to go from one state to the next (hand model, section 5, "change"):
//! the shift of the hand along the neck, fingers that leap between strings, fingers put down, and
//! the relief that a finger gives that stays or slides. All is scaled by the time there is.
//!
//! A hand state is what the fingers hold and where the hand is. The fast cost and the named terms
//! come from one calculation, so they cannot differ.

use crate::instrument::Cost;
use crate::instrument::Effort;
use crate::instrument::Finger;
use crate::instrument::Grip;
use crate::instrument::Instrument;
use crate::instrument::Term;
use crate::instrument::fretboard::Fretboard;

/// Shift: thousandths of a point per square root of a millimetre that the index finger's home
/// place moves. One fret around fret 3 is about 30 mm: 1.1 points; five frets about 140 mm: 2.4.
/// Less than linear, because a long shift is one arm movement. The published rubric (Vélez Vásquez
/// et al. 2023) lets the spread of a grip weigh three times a fast change: with a pair of fingers
/// at its limit at 6 points, a shift of a few frets in a beat must lie around 2.
const SHIFT_PER_SQRT_MM: f64 = 200.0;
/// One finger put down that was not on its string before.
const PLACE: i32 = 200;
/// One finger that must leave a string for another, per string crossed.
const TRAVEL: i32 = 120;
/// One finger that stays where it is.
const STAYS: i32 = -150;
/// One finger that slides along its string.
const SLIDES: i32 = -80;
/// Time at which the change counts as written here, in microseconds; with less time it counts
/// more, in proportion, up to three times, with more time less, down to a half.
const EASY_TIME_US: u64 = 400_000;

/// Time of a change in which the hand stays where it is, in seconds: lifting and putting down
/// fingers. Our own starting point, to be calibrated.
const STILL_S: f64 = 0.10;
/// Time for every doubling of the distance over the width of the target (Fitts' law), in seconds.
/// Our own starting point, to be calibrated.
const PER_BIT_S: f64 = 0.08;

/// Frets that can be a home place.
const N_HOMES: usize = 40;

/// Where one finger is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
struct Held {
    /// 0: the finger holds nothing.
    fret: u8,
    low: u8,
    high: u8,
}

/// What the left hand holds, and where it is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct HandState {
    fingers: [Held; 5],
    /// The fret the index finger is at home at; 0: anywhere.
    home: u8,
}

impl HandState {
    /// A hand that holds nothing and may be anywhere.
    pub const EMPTY: Self = Self {
        fingers: [Held {
            fret: 0,
            low: 0,
            high: 0,
        }; 5],
        home: 0,
    };

    /// A hand that hovers with its index finger over a fret and holds nothing.
    #[must_use]
    pub const fn hovering(home: u8) -> Self {
        Self {
            home,
            ..Self::EMPTY
        }
    }

    /// The state that a grip asks for.
    #[must_use]
    pub fn of_grip(grip: &Grip) -> Self {
        let mut state = Self::EMPTY;
        for (string, fret, finger) in grip.held() {
            if let Some(held) = state.fingers.get_mut(finger as usize) {
                let low = if held.fret == 0 { string.0 } else { held.low };
                *held = Held {
                    fret,
                    low,
                    high: string.0,
                };
            }
        }
        state.home = home_of(&state.fingers);
        state
    }

    /// One finger on one string; the hand is where that finger asks it to be.
    #[must_use]
    pub fn one_finger(finger: Finger, string: u8, fret: u8) -> Self {
        let mut state = Self::EMPTY;
        if let Some(held) = state.fingers.get_mut(finger as usize) {
            *held = Held {
                fret,
                low: string,
                high: string,
            };
        }
        state.home = home_of(&state.fingers);
        state
    }
}

/// The fret at which the index finger is, or would be with one finger per fret.
fn home_of(fingers: &[Held; 5]) -> u8 {
    let four = fingers
        .iter()
        .zip(0u8..)
        .skip(1)
        .find(|(held, _)| held.fret > 0);
    four.map_or(0, |(held, number)| {
        (held.fret + 1).saturating_sub(number).max(1)
    })
}

/// Costs of changes on one instrument.
#[derive(Clone, Debug)]
pub struct Changes {
    shift: Vec<[i32; N_HOMES]>,
    /// Where the index finger is at home at each fret, in millimetres from the nut.
    home_mm: Vec<f64>,
}

/// Parts of a change in the order Shift, Travel, Place, Guide.
type Parts = [i32; 4];

const PART_TERMS: [Term; 4] = [Term::Shift, Term::Travel, Term::Place, Term::Guide];

impl Changes {
    /// Prepares the table of shifts for an instrument.
    #[must_use]
    pub fn new(instrument: &Instrument) -> Self {
        let board = Fretboard::new(instrument);
        let shift = |from: u8, to: u8| {
            let mm = f64::from(board.along_um(from, to).abs()) / 1000.0;
            if from == 0 || to == 0 {
                0
            } else {
                rounded(SHIFT_PER_SQRT_MM * mm.sqrt())
            }
        };
        let row = |from: u8| {
            let mut row = [0; N_HOMES];
            for (to, cost) in (0u8..).zip(&mut row) {
                *cost = shift(from, to);
            }
            row
        };
        Self {
            shift: (0u8..).take(N_HOMES).map(row).collect(),
            home_mm: (0u8..)
                .take(N_HOMES)
                .map(|home| f64::from(board.tip_um(home)) / 1000.0)
                .collect(),
        }
    }

    /// About how long the hand needs for a change, in seconds: T = a + b · log2(1 + D/W), with D the
    /// way of the hand along the neck and W the width of the fret it goes to (Fitts' law in
    /// Shannon's form). An estimate; `None` where no finger is put down or moved.
    #[must_use]
    pub fn needed_s(&self, from: &HandState, to: &HandState) -> Option<f64> {
        let moves = |(was, is): (&Held, &Held)| is.fret > 0 && was != is;
        if !from.fingers.iter().zip(&to.fingers).any(moves) {
            return None;
        }
        let place = |home: u8| self.home_mm.get(usize::from(home)).copied();
        let way = match (from.home, to.home) {
            (0, _) | (_, 0) => 0.0,
            (a, b) => (place(a)? - place(b)?).abs(),
        };
        let width = place(to.home)? - place(to.home.saturating_sub(1))?;
        let bits = if way > 0.0 {
            (1.0 + way / width.abs().max(1.0)).log2()
        } else {
            0.0
        };
        Some(STILL_S + PER_BIT_S * bits)
    }

    /// The cost of going from one state to another in so many microseconds.
    #[must_use]
    pub fn cost(&self, from: &HandState, to: &HandState, time_us: u64) -> Cost {
        Cost(self.parts(from, to, scale_permille(time_us)).iter().sum())
    }

    /// The same with its terms named.
    #[must_use]
    pub fn effort(&self, from: &HandState, to: &HandState, time_us: u64) -> Effort {
        let mut effort = Effort::default();
        for (term, part) in
            PART_TERMS
                .into_iter()
                .zip(self.parts(from, to, scale_permille(time_us)))
        {
            effort.add(term, Cost(part));
        }
        effort
    }

    fn parts(&self, from: &HandState, to: &HandState, permille: i32) -> Parts {
        let row = self.shift.get(usize::from(from.home));
        let shift = row
            .and_then(|row| row.get(usize::from(to.home)))
            .copied()
            .unwrap_or(0);
        let (mut travel, mut place, mut guide) = (0, 0, 0);
        for (was, is) in from.fingers.iter().zip(&to.fingers) {
            if is.fret == 0 {
                continue;
            }
            let overlaps = was.low <= is.high && is.low <= was.high;
            if was.fret == 0 {
                place += PLACE;
            } else if !overlaps {
                place += PLACE;
                travel += TRAVEL * i32::from(was.low.abs_diff(is.low));
            } else if was.fret == is.fret {
                guide += STAYS;
            } else {
                guide += SLIDES;
            }
        }
        let scaled = |part: i32| part * permille / 1000;
        let (shift, travel, place) = (scaled(shift), scaled(travel), scaled(place));
        // A guide finger can take all of a change away, but never more than there is.
        let guide = scaled(guide).max(-(shift + travel + place));
        [shift, travel, place, guide]
    }
}

fn scale_permille(time_us: u64) -> i32 {
    let permille = EASY_TIME_US * 1000 / time_us.max(1);
    i32::try_from(permille.clamp(500, 3000)).unwrap_or(3000)
}

/// Rounds a non-negative number of thousandths. `sqrt` is exact to the last bit on every machine
/// (IEEE 754), so the table is the same everywhere.
#[expect(
    clippy::cast_possible_truncation,
    reason = "millimetres on a neck: at most some thousands"
)]
fn rounded(value: f64) -> i32 {
    (value + 0.5) as i32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instrument::Shape;
    use crate::instrument::StringIdx;

    fn state(shape: &str, fingers: &str) -> HandState {
        let mut grip = Grip::unfingered(Shape::parse(shape).expect("a shape"));
        for (string, digit) in (0u8..).zip(fingers.chars()) {
            grip = grip.with_finger(StringIdx(string), Finger::from_digit(digit));
        }
        HandState::of_grip(&grip)
    }

    fn terms(from: &HandState, to: &HandState, time_us: u64) -> String {
        let effort = Changes::new(&Instrument::default()).effort(from, to, time_us);
        let words = effort
            .terms()
            .iter()
            .map(|(term, cost)| format!("{} {}", term.word(), cost.0));
        words.collect::<Vec<_>>().join(", ")
    }

    #[test]
    fn staying_costs_nothing_and_never_less() {
        let g7 = state("3x343x", "1x243x");
        assert_eq!(terms(&g7, &g7, 400_000), "");
        assert_eq!(terms(&HandState::EMPTY, &g7, 400_000), "place 800");
    }

    #[test]
    fn the_same_shape_two_frets_up_is_a_shift_with_sliding_fingers() {
        let c7 = state("x3535x", "x1314x");
        let d7 = state("x5757x", "x1314x");
        // Frets 3 and 5 lie 59.5 mm apart at 648 mm (x = L(1 − 2^(−n/12))); 200 · √59.45 = 1542.
        assert_eq!(terms(&c7, &d7, 400_000), "shift 1542, guide -240");
    }

    /// Fitts' law: twice the way over the same width costs less than twice the time, and a change
    /// in place only what it takes to put fingers down.
    #[test]
    fn the_time_needed_grows_with_the_logarithm_of_the_way() {
        let changes = Changes::new(&Instrument::default());
        let at = |fret: u8| HandState::one_finger(Finger::Index, 1, fret);
        let needed = |from, to| changes.needed_s(&at(from), &at(to)).expect("a change");
        assert_eq!(changes.needed_s(&at(5), &at(5)), None);
        assert!(needed(4, 5) < needed(3, 5) && needed(3, 5) < needed(1, 5));
        assert!(needed(1, 5) - STILL_S < 2.0 * (needed(3, 5) - STILL_S));
        let other_string = HandState::one_finger(Finger::Index, 2, 5);
        let in_place = changes.needed_s(&at(5), &other_string).expect("a change");
        assert!((in_place - STILL_S).abs() < 1e-9);
    }

    #[test]
    fn half_the_time_doubles_the_effort() {
        let (c, g) = (state("x3545x", "x1324x"), state("3x443x", "1x342x"));
        let changes = Changes::new(&Instrument::default());
        let slow = changes.cost(&c, &g, 400_000);
        assert_eq!(changes.cost(&c, &g, 200_000).0, 2 * slow.0);
        assert!(changes.cost(&c, &g, 4_000_000) < slow);
        assert_eq!(
            changes.effort(&c, &g, 170_000).total(),
            changes.cost(&c, &g, 170_000)
        );
    }
}
