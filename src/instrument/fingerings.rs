//! Every way a hand can hold a shape. Strings are taken by rising fret and handed to rising
//! fingers, so the order of the fingers holds by construction and few assignments are ever tried;
//! fixed arrays only, because the voicing search comes through here for every shape it meets.
//! Judges nothing: what a fingering costs is decided where voicings are ranked.

use super::fretboard::Fretboard;
use super::grip::Finger;
use super::grip::Grip;
use super::grip::MAX_STRINGS;
use super::grip::Shape;
use super::grip::StringIdx;
use super::hand::Hand;
use super::playable::Refusal;
use super::playable::STRINGS_BETWEEN_TURNED;
use super::playable::longest_barre;
use super::reach;
use super::reach::Place;
use super::reach::Reach;
use super::reach::Span;

/// Pairs of fingers by index (0 = index finger): 1-2, 1-3, 1-4, 2-3, 2-4, 3-4.
pub const PAIRS: [(usize, usize); 6] = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];

/// An instrument and a hand, measured and ready for many shapes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct HandOnBoard {
    board: Fretboard,
    spans: [Span; 6],
    reach_permille: u16,
    barre: bool,
    thumb_over: bool,
    thumb_um: u32,
    widest_um: u32,
}

impl HandOnBoard {
    /// Measures a hand on a board.
    #[must_use]
    pub fn new(board: Fretboard, hand: &Hand) -> Self {
        let spans = PAIRS.map(|(i, j)| {
            let finger = |i| Finger::FOUR.get(i).copied();
            finger(i)
                .zip(finger(j))
                .and_then(|(a, b)| reach::span(hand, a, b))
                .unwrap_or_default()
        });
        Self {
            board,
            spans,
            reach_permille: hand.reach_permille,
            barre: hand.barre,
            thumb_over: hand.thumb_over,
            thumb_um: reach::thumb_over_um(hand),
            widest_um: reach::widest_um(hand),
        }
    }

    /// The same, with barres only if both this and the hand allow them.
    #[must_use]
    pub fn with_barre(mut self, barre: bool) -> Self {
        self.barre &= barre;
        self
    }

    /// The board.
    #[must_use]
    pub const fn board(&self) -> &Fretboard {
        &self.board
    }

    /// Comfort and limit of the pairs in [`PAIRS`].
    #[must_use]
    pub const fn spans(&self) -> &[Span; 6] {
        &self.spans
    }

    /// The hand's reach in thousandths of the adult default.
    #[must_use]
    pub const fn reach_permille(&self) -> u16 {
        self.reach_permille
    }

    /// Whether the thumb may come over the edge.
    #[must_use]
    pub const fn thumb_over(&self) -> bool {
        self.thumb_over
    }

    /// The furthest along the neck a thumb over the edge may lie from the lowest finger (µm).
    #[must_use]
    pub const fn thumb_um(&self) -> u32 {
        self.thumb_um
    }

    /// The furthest any two fingers can be apart (µm).
    #[must_use]
    pub const fn widest_um(&self) -> u32 {
        self.widest_um
    }
}

/// One way to hold a shape.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Fingering {
    /// The finger of each string, lowest-pitched first.
    pub fingers: [Option<Finger>; MAX_STRINGS],
    /// Where the four fingers lie, index first; `None` if a finger is not in use.
    pub places: [Option<Place>; 4],
    /// Squared distances of the pairs in [`PAIRS`] (µm²); 0 where a finger is not in use.
    pub gaps_squared: [u64; 6],
}

impl Fingering {
    /// This fingering on its shape.
    #[must_use]
    pub fn grip(&self, shape: Shape) -> Grip {
        (0u8..)
            .zip(self.fingers)
            .fold(Grip::unfingered(shape), |grip, (s, finger)| {
                grip.with_finger(StringIdx(s), finger)
            })
    }
}

/// All fingerings of a shape under a hand, in the order of [`Grip`].
#[must_use]
pub fn fingerings(shape: &Shape, hand: &HandOnBoard) -> Vec<Grip> {
    let mut all = Vec::new();
    each_fingering(shape, hand, &mut |fingering| {
        all.push(fingering.grip(*shape));
    });
    all.sort_unstable();
    all
}

/// Why a shape cannot be held at all; `None` if it can. Names what the fingering that misses by
/// least would need.
#[must_use]
pub fn why_no_fingering(shape: &Shape, hand: &HandOnBoard) -> Option<Refusal> {
    let n = shape.n_strings();
    if n != hand.board.n_strings() {
        return Some(Refusal::StringCount {
            shape: n,
            instrument: hand.board.n_strings(),
        });
    }
    let last = hand.board.last_fret();
    if let Some((s, fret)) = shape.sounding().find(|(_, fret)| *fret > last) {
        return Some(Refusal::OffNeck {
            string: s.number(n),
            fret,
            last,
        });
    }
    let mut possible = false;
    each_fingering(shape, hand, &mut |_| possible = true);
    if possible {
        return None;
    }
    let mut nearest: Option<Reach> = None;
    let mut search = Search::new(shape, hand);
    search.within_reach = false;
    search.run(&mut |fingering| {
        let miss = |reach: &Reach| reach.permille_of_limit();
        let widest = widest(fingering, hand).filter(|reach| !reach.is_possible());
        if let Some(reach) = widest
            && nearest.is_none_or(|n| miss(&reach) < miss(&n))
        {
            nearest = Some(reach);
        }
    });
    Some(nearest.map_or(Refusal::TooManyFingers, Refusal::TooFar))
}

fn widest(fingering: &Fingering, hand: &HandOnBoard) -> Option<Reach> {
    PAIRS
        .iter()
        .zip(fingering.gaps_squared)
        .zip(hand.spans)
        .filter_map(|(((i, j), gap), span)| {
            let in_use = |i: usize| {
                fingering.places.get(i).copied().flatten()?;
                Finger::FOUR.get(i).copied()
            };
            Some(Reach {
                fingers: (in_use(*i)?, in_use(*j)?),
                needed_um: gap.isqrt(),
                span,
            })
        })
        .max_by_key(Reach::permille_of_limit)
}

/// Calls `visit` with every fingering of a shape that the hand can hold.
pub fn each_fingering(shape: &Shape, hand: &HandOnBoard, visit: &mut impl FnMut(&Fingering)) {
    if shape.n_strings() == hand.board.n_strings()
        && shape
            .frets()
            .iter()
            .flatten()
            .all(|f| *f <= hand.board.last_fret())
    {
        Search::new(shape, hand).run(visit);
    }
}

/// One search over the fingerings of a shape.
struct Search<'a> {
    hand: &'a HandOnBoard,
    frets: [Option<u8>; MAX_STRINGS],
    /// Fretted strings as (fret, string), by rising fret, then string.
    held: [(u8, u8); MAX_STRINGS],
    n_held: usize,
    within_reach: bool,
    thumb: Option<u8>,
    now: Fingering,
}

impl<'a> Search<'a> {
    fn new(shape: &Shape, hand: &'a HandOnBoard) -> Self {
        let mut search = Self {
            hand,
            frets: [None; MAX_STRINGS],
            held: [(0, 0); MAX_STRINGS],
            n_held: 0,
            within_reach: true,
            thumb: None,
            now: Fingering::default(),
        };
        for (place, fret) in search.frets.iter_mut().zip(shape.frets()) {
            *place = *fret;
        }
        search
    }

    fn run(&mut self, visit: &mut impl FnMut(&Fingering)) {
        self.hold(0);
        self.next(0, 0, 0, visit);
        let low_string = self.frets.first().copied().flatten().filter(|f| *f > 0);
        if let (true, Some(fret)) = (self.hand.thumb_over, low_string) {
            self.thumb = Some(fret);
            self.set_finger(0, Some(Finger::Thumb));
            self.hold(1);
            self.next(0, 0, 0, visit);
            self.thumb = None;
            self.set_finger(0, None);
        }
    }

    /// Lists the fretted strings from `first` on by rising fret, for the four fingers.
    fn hold(&mut self, first: usize) {
        self.n_held = 0;
        for (s, fret) in (0u8..).zip(self.frets).skip(first) {
            if let (Some(fret @ 1..), Some(place)) = (fret, self.held.get_mut(self.n_held)) {
                *place = (fret, s);
                self.n_held += 1;
            }
        }
        if let Some(held) = self.held.get_mut(..self.n_held) {
            held.sort_unstable();
        }
    }

    fn set_finger(&mut self, string: u8, finger: Option<Finger>) {
        if let Some(place) = self.now.fingers.get_mut(usize::from(string)) {
            *place = finger;
        }
    }

    /// Gives the `k`-th held string a finger. `floor` counts the fingers that lie on lower frets
    /// or were passed over by them; `used` counts those up to the highest finger in use.
    fn next(&mut self, k: usize, floor: usize, used: usize, visit: &mut impl FnMut(&Fingering)) {
        let Some((fret, string)) = self.held.get(k).copied().filter(|_| k < self.n_held) else {
            self.finish(visit);
            return;
        };
        // A new fret starts above every finger in use so far.
        let starts = k == 0 || self.held.get(k - 1).is_none_or(|(below, _)| *below != fret);
        let floor = if starts { used } else { floor };
        for (i, finger) in Finger::FOUR.into_iter().enumerate().skip(floor) {
            let before = self.now.places.get(i).copied().flatten();
            let after = match before {
                Some(place) if self.may_extend(finger, place, string) => Place {
                    last: string,
                    ..place
                },
                None if self.may_start(i, fret, string) => Place {
                    fret,
                    first: string,
                    last: string,
                },
                _ => continue,
            };
            self.put(i, Some(after));
            self.set_finger(string, Some(finger));
            self.next(k + 1, floor, used.max(i + 1), visit);
            self.put(i, before);
        }
        self.set_finger(string, None);
    }

    fn put(&mut self, i: usize, place: Option<Place>) {
        if let Some(slot) = self.now.places.get_mut(i) {
            *slot = place;
        }
    }

    /// Whether a finger lying at a fret may come to lie on one more string of that fret.
    fn may_extend(&self, finger: Finger, place: Place, string: u8) -> bool {
        let width = string - place.first + 1;
        let most = longest_barre(finger, self.thumb.is_some());
        // Strings between sound higher or not at all; those on higher frets get higher fingers.
        let clear = |s: u8| {
            let fret = self.frets.get(usize::from(s)).copied().flatten();
            fret.is_none_or(|f| f > place.fret)
        };
        self.hand.barre && width <= most && (place.last + 1..string).all(clear)
    }

    /// Whether finger `i` may be put on a string of a fret beside the fingers already there. All
    /// of those lie on lower-pitched strings, so only higher fingers are in question.
    fn may_start(&self, i: usize, fret: u8, string: u8) -> bool {
        let higher = self.now.places.iter().skip(i + 1).flatten();
        higher
            .filter(|place| place.fret == fret)
            .all(|place| place.last + STRINGS_BETWEEN_TURNED < string)
            && self.along_fits(i, fret)
    }

    /// Whether finger `i` at a fret is near enough to every lower finger along the neck alone,
    /// which is the least it needs however far either still extends across the strings.
    fn along_fits(&self, i: usize, fret: u8) -> bool {
        let board = &self.hand.board;
        let pairs = PAIRS.iter().zip(&self.hand.spans);
        !self.within_reach
            || pairs
                .filter(|((_, high), _)| *high == i)
                .all(|((low, _), span)| {
                    let place = self.now.places.get(*low).copied().flatten();
                    place.is_none_or(|p| {
                        board.along_um(p.fret, fret).unsigned_abs() <= span.limit_um
                    })
                })
    }

    fn finish(&mut self, visit: &mut impl FnMut(&Fingering)) {
        if self.within_reach && !self.thumb_reaches() {
            return;
        }
        for (k, ((i, j), span)) in PAIRS.iter().zip(&self.hand.spans).enumerate() {
            let place = |i: &usize| self.now.places.get(*i).copied().flatten();
            let gap = match (place(i), place(j)) {
                (Some(a), Some(b)) => a.gap_squared(&b, &self.hand.board),
                _ => 0,
            };
            let limit = u64::from(span.limit_um);
            // Whole micrometres count: the root is cut down, as in `Reach`.
            if self.within_reach && gap >= (limit + 1) * (limit + 1) {
                return;
            }
            if let Some(slot) = self.now.gaps_squared.get_mut(k) {
                *slot = gap;
            }
        }
        visit(&self.now);
    }

    fn thumb_reaches(&self) -> bool {
        let lowest = self.now.places.iter().flatten().next();
        match (self.thumb, lowest) {
            (Some(fret), Some(place)) => {
                self.hand.board.along_um(fret, place.fret).unsigned_abs() <= self.hand.thumb_um
            }
            _ => true,
        }
    }
}
