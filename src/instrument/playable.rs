//! Whether a hand can hold a grip, said plainly: the rules one after the other, and the first one
//! that is broken as a sentence. Written to be read, not to be fast; the fast enumeration in
//! `fingerings` must agree with it, and a test compares the two.

use super::fretboard::Fretboard;
use super::grip::Finger;
use super::grip::Grip;
use super::grip::StringIdx;
use super::hand::Hand;
use super::reach;
use super::reach::Reach;
use super::tuning::Instrument;

/// Why a grip cannot be held. Strings are named by the player's numbers, 1 = highest.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum Refusal {
    /// The fret or string is not there.
    #[error("string {string} has no fret {fret}; the last one here is {last}")]
    OffNeck {
        /// String number.
        string: u8,
        /// Fret from the capo.
        fret: u8,
        /// The last fret from the capo.
        last: u8,
    },
    /// A shape for another number of strings.
    #[error("this shape has {shape} strings, the instrument has {instrument}")]
    StringCount {
        /// Strings of the shape.
        shape: u8,
        /// Strings of the instrument.
        instrument: u8,
    },
    /// A fretted string without a finger.
    #[error("no finger holds string {string}")]
    NoFinger {
        /// String number.
        string: u8,
    },
    /// A finger on an open or silent string.
    #[error("finger {} is on string {string}, which is not fretted", finger.digit())]
    IdleFinger {
        /// The finger.
        finger: Finger,
        /// String number.
        string: u8,
    },
    /// One finger at two frets.
    #[error("finger {} can't be at frets {first} and {second} at once", finger.digit())]
    TwoFrets {
        /// The finger.
        finger: Finger,
        /// One fret.
        first: u8,
        /// The other.
        second: u8,
    },
    /// A higher finger on a lower fret.
    #[error("finger {} would be on a lower fret than finger {}", high.digit(), low.digit())]
    FingerOrder {
        /// The finger with the lower number.
        low: Finger,
        /// The finger with the higher number.
        high: Finger,
    },
    /// On one fret, a higher finger on a lower-pitched string close by.
    #[error("fingers {} and {} would cross on one fret", low.digit(), high.digit())]
    Crossed {
        /// The finger with the lower number.
        low: Finger,
        /// The finger with the higher number.
        high: Finger,
    },
    /// The profile allows no barre.
    #[error("needs a barre with finger {}; this hand profile has none", finger.digit())]
    NoBarre {
        /// The finger.
        finger: Finger,
    },
    /// The barre is too long for that finger.
    #[error("finger {} would lie across {width} strings; it holds {most} at most", finger.digit())]
    BarreTooLong {
        /// The finger.
        finger: Finger,
        /// Strings it would lie across.
        width: u8,
        /// Strings it may lie across.
        most: u8,
    },
    /// A string under the barre sounds lower than the barre, or is not held by a higher finger.
    #[error("string {string} can't sound under the barre of finger {}", finger.digit())]
    UnderBarre {
        /// The finger that lies across.
        finger: Finger,
        /// String number.
        string: u8,
    },
    /// Two fingers are too far apart.
    #[error("{0}")]
    TooFar(Reach),
    /// The profile keeps the thumb behind the neck.
    #[error("needs the left thumb over the neck; this hand profile keeps it behind")]
    NoThumbOver,
    /// The thumb holds something else than the lowest string.
    #[error("the left thumb reaches only the lowest string, not string {string}")]
    ThumbString {
        /// String number.
        string: u8,
    },
    /// The thumb is too far from the fingers.
    #[error("the left thumb would be {needed} mm along the neck from finger {}; it reaches {has}", finger.digit())]
    ThumbTooFar {
        /// The lowest finger in use.
        finger: Finger,
        /// Distance in whole mm, rounded up.
        needed: u32,
        /// What the hand has, in whole mm.
        has: u32,
    },
    /// More fretted notes than fingers, whatever the fingering.
    #[error("needs more fingers than a hand has")]
    TooManyFingers,
}

/// How many strings a finger may lie across: the index all, the ring three, middle and little two
/// (our own starting points). With the thumb over the neck's edge no finger lies across more than
/// two, because the palm is turned.
#[must_use]
pub const fn longest_barre(finger: Finger, thumb_over: bool) -> u8 {
    match finger {
        Finger::Thumb => 1,
        _ if thumb_over => 2,
        Finger::Index => u8::MAX,
        Finger::Ring => 3,
        Finger::Middle | Finger::Little => 2,
    }
}

/// Strings that must lie between two fingers on one fret for them to be held the other way round.
pub const STRINGS_BETWEEN_TURNED: u8 = 2;

/// The first rule that a grip breaks under a hand; `None` if it can be held.
#[must_use]
pub fn why_not(grip: &Grip, instrument: &Instrument, hand: &Hand) -> Option<Refusal> {
    why_not_on(grip, &Fretboard::new(instrument), hand)
}

/// As [`why_not`], on a board that has been measured already.
#[must_use]
pub fn why_not_on(grip: &Grip, board: &Fretboard, hand: &Hand) -> Option<Refusal> {
    notes_and_fingers(grip, board)
        .or_else(|| one_fret_each(grip))
        .or_else(|| thumb(grip, board, hand))
        .or_else(|| order(grip))
        .or_else(|| barres(grip, hand))
        .or_else(|| too_far(grip, board, hand))
}

/// Rule 1: one fret per string, a finger for every fretted string and for no other.
fn notes_and_fingers(grip: &Grip, board: &Fretboard) -> Option<Refusal> {
    let n = grip.shape.n_strings();
    if n != board.n_strings() {
        return Some(Refusal::StringCount {
            shape: n,
            instrument: board.n_strings(),
        });
    }
    (0..n).map(StringIdx).find_map(|s| {
        let string = s.number(n);
        match (grip.shape.fret(s), grip.finger(s)) {
            (Some(fret), _) if fret > board.last_fret() => Some(Refusal::OffNeck {
                string,
                fret,
                last: board.last_fret(),
            }),
            (Some(1..), None) => Some(Refusal::NoFinger { string }),
            (Some(0) | None, Some(finger)) => Some(Refusal::IdleFinger { finger, string }),
            _ => None,
        }
    })
}

fn one_fret_each(grip: &Grip) -> Option<Refusal> {
    grip.held().find_map(|(_, first, finger)| {
        let (second, ..) = grip.place_of(finger)?;
        (first != second).then_some(Refusal::TwoFrets {
            finger,
            first,
            second,
        })
    })
}

/// Rule 5: the thumb holds the lowest string only, if the profile allows it, near the fingers.
fn thumb(grip: &Grip, board: &Fretboard, hand: &Hand) -> Option<Refusal> {
    let (fret, first, last) = grip.place_of(Finger::Thumb)?;
    if !hand.thumb_over {
        return Some(Refusal::NoThumbOver);
    }
    if let Some(s) = [first, last].into_iter().find(|s| s.0 != 0) {
        return Some(Refusal::ThumbString {
            string: s.number(grip.shape.n_strings()),
        });
    }
    let in_use = |finger| grip.place_of(finger).map(|(fret, ..)| (finger, fret));
    let (finger, beside) = Finger::FOUR.into_iter().find_map(in_use)?;
    let needed = board.along_um(fret, beside).unsigned_abs();
    let has = reach::thumb_over_um(hand);
    (needed > has).then_some(Refusal::ThumbTooFar {
        finger,
        needed: needed.div_ceil(1000),
        has: has / 1000,
    })
}

/// Rule 2: higher fingers on higher frets; on one fret, on higher-pitched strings, or else with
/// two strings between (a turned wrist).
fn order(grip: &Grip) -> Option<Refusal> {
    for (i, low) in Finger::FOUR.into_iter().enumerate() {
        for high in Finger::FOUR.into_iter().skip(i + 1) {
            let (Some((fret_low, low_first, low_last)), Some((fret_high, high_first, high_last))) =
                (grip.place_of(low), grip.place_of(high))
            else {
                continue;
            };
            if fret_low > fret_high {
                return Some(Refusal::FingerOrder { low, high });
            }
            let straight = low_last < high_first;
            let turned = high_last.0 + STRINGS_BETWEEN_TURNED < low_first.0;
            if fret_low == fret_high && !straight && !turned {
                return Some(Refusal::Crossed { low, high });
            }
        }
    }
    None
}

/// Rule 3: a finger on several strings is a barre.
fn barres(grip: &Grip, hand: &Hand) -> Option<Refusal> {
    let thumb_over = grip.place_of(Finger::Thumb).is_some();
    Finger::FOUR.into_iter().find_map(|finger| {
        let (fret, first, last) = grip.place_of(finger)?;
        if first == last {
            return None;
        }
        if !hand.barre {
            return Some(Refusal::NoBarre { finger });
        }
        let width = last.0 - first.0 + 1;
        let most = longest_barre(finger, thumb_over);
        if width > most {
            return Some(Refusal::BarreTooLong {
                finger,
                width,
                most,
            });
        }
        (first.0..=last.0).map(StringIdx).find_map(|s| {
            let fits = match (grip.shape.fret(s), grip.finger(s)) {
                (None, _) => true,
                (Some(_), Some(holder)) if holder == finger => true,
                (Some(here), Some(holder)) => here > fret && holder > finger,
                (Some(_), None) => false,
            };
            (!fits).then_some(Refusal::UnderBarre {
                finger,
                string: s.number(grip.shape.n_strings()),
            })
        })
    })
}

/// Rule 4: every two fingers within their limit. Names the pair that misses by most.
fn too_far(grip: &Grip, board: &Fretboard, hand: &Hand) -> Option<Refusal> {
    reach::widest_reach(grip, board, hand)
        .filter(|reach| !reach.is_possible())
        .map(Refusal::TooFar)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instrument::Shape;

    /// A grip from frets and finger digits: `3x443x`, `1x342x`.
    fn grip(frets: &str, fingers: &str) -> Grip {
        let shape = Shape::parse(frets).unwrap_or_else(|| panic!("{frets}"));
        (0u8..)
            .zip(fingers.chars())
            .fold(Grip::unfingered(shape), |grip, (s, digit)| {
                grip.with_finger(StringIdx(s), Finger::from_digit(digit))
            })
    }

    fn check(hand: &Hand, rows: &[(&str, &str, &str)]) {
        for (frets, fingers, expected) in rows {
            let refusal = why_not(&grip(frets, fingers), &Instrument::default(), hand);
            let said = refusal.map(|r| r.to_string()).unwrap_or_default();
            assert_eq!(said, *expected, "{frets} {fingers}");
        }
    }

    /// Accepted rows are common practice; refused ones are built to break one rule each.
    #[test]
    fn each_rule_is_named_when_it_is_broken() {
        check(
            &Hand::default(),
            &[
                ("3x443x", "1x342x", ""),
                ("3x443x", "2x341x", ""),
                ("3x333x", "1x111x", ""),
                ("x02210", "x02310", ""),
                ("133211", "134211", ""),
                (
                    "21-x-4-4-3-x",
                    "1x342x",
                    "string 6 has no fret 21; the last one here is 20",
                ),
                ("3x443x", "1x34xx", "no finger holds string 2"),
                (
                    "x02210",
                    "x12310",
                    "finger 1 is on string 5, which is not fretted",
                ),
                ("3x443x", "1x341x", ""),
                (
                    "3x453x",
                    "1x331x",
                    "finger 3 can't be at frets 4 and 5 at once",
                ),
                (
                    "3x443x",
                    "3x221x",
                    "finger 3 would be on a lower fret than finger 2",
                ),
                (
                    "xx44xx",
                    "xx21xx",
                    "fingers 1 and 2 would cross on one fret",
                ),
                ("4xx4xx", "2xx1xx", ""),
                (
                    "4x4xxx",
                    "2x1xxx",
                    "fingers 1 and 2 would cross on one fret",
                ),
                (
                    "xx5555",
                    "xx2222",
                    "finger 2 would lie across 4 strings; it holds 2 at most",
                ),
                ("3x013x", "1x0x1x", "no finger holds string 3"),
                ("3x023x", "2x013x", ""),
                (
                    "3x033x",
                    "1x011x",
                    "string 4 can't sound under the barre of finger 1",
                ),
                (
                    "xx323x",
                    "xx313x",
                    "string 3 can't sound under the barre of finger 3",
                ),
                (
                    "1xxxx5",
                    "1xxxx4",
                    "needs 135 mm between 1 and 4; this hand has 122",
                ),
                (
                    "2x023x",
                    "Tx012x",
                    "needs the left thumb over the neck; this hand profile keeps it behind",
                ),
            ],
        );
    }

    #[test]
    fn profiles_change_what_can_be_held() {
        let no_barre = Hand {
            barre: false,
            ..Hand::default()
        };
        let said = "needs a barre with finger 1; this hand profile has none";
        check(
            &no_barre,
            &[("3x333x", "1x111x", said), ("3x333x", "1x234x", "")],
        );
        let thumb = Hand {
            thumb_over: true,
            ..Hand::default()
        };
        let far = "the left thumb would be 98 mm along the neck from finger 1; it reaches 40";
        check(
            &thumb,
            &[
                ("2x023x", "Tx012x", ""),
                ("1x321x", "Tx321x", ""),
                (
                    "x2x23x",
                    "xTx12x",
                    "the left thumb reaches only the lowest string, not string 5",
                ),
                (
                    "1xx43x",
                    "Txx21x",
                    "the left thumb would be 67 mm along the neck from finger 1; it reaches 40",
                ),
                ("1xx54x", "Txx21x", far),
                (
                    "2x3333",
                    "Tx1111",
                    "finger 1 would lie across 4 strings; it holds 2 at most",
                ),
            ],
        );
        let small = Hand {
            reach_permille: 800,
            ..Hand::default()
        };
        let reach = "needs 101 mm between 1 and 4; this hand has 97";
        check(&small, &[("1xx4xx", "1xx4xx", reach)]);
    }
}
