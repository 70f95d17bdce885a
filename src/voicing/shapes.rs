//! Builds every shape that sounds a chord as asked, string by string from the thumb's note upwards.
//! A branch is dropped as soon as the tones still missing no longer fit on the strings left, or two
//! frets lie further apart than any two fingers of the hand; nothing else is dropped, so the search
//! stays complete without a table of shapes. Never looks at fingers: that comes after.

use super::sound::Pitches;
use super::wish::Wish;
use crate::instrument::Fretboard;
use crate::instrument::HandOnBoard;
use crate::instrument::Instrument;
use crate::instrument::MAX_STRINGS;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::instrument::fretboard::MAX_FRET;
use crate::theory::Chord;
use crate::theory::Midi;
use crate::theory::PcSet;
use crate::theory::PitchClass;

/// Whose voicings are built, and for which hand on which instrument.
pub(super) struct Request<'a> {
    pub chord: &'a Chord,
    pub instrument: &'a Instrument,
    /// The hand on the board, with barres only if they are asked for.
    pub hand: HandOnBoard,
    /// Fingers that pluck beside the thumb.
    pub plucking_fingers: u8,
}

/// How many strings, counted from the lowest-pitched place, the thumb may take: down from string
/// 4, or string 3 if asked.
fn thumb_strings(n_strings: u8, third_too: bool) -> u8 {
    n_strings
        .saturating_sub(if third_too { 2 } else { 3 })
        .max(1)
}

/// A chord tone on a string.
#[derive(Clone, Copy, Default)]
struct Spot {
    fret: u8,
    pitch: u8,
    class: PcSet,
}

/// The chord tones of one string by rising fret.
struct Spots {
    spots: [Spot; MAX_FRET as usize + 1],
    n: usize,
}

impl Spots {
    /// Where a string sounds one of `classes`, open or within the frets asked for.
    fn on(string: StringIdx, classes: PcSet, instrument: &Instrument, wish: &Wish) -> Self {
        let mut all = Self {
            spots: [Spot::default(); MAX_FRET as usize + 1],
            n: 0,
        };
        let last = instrument.last_fret().min(MAX_FRET);
        for fret in 0..=last {
            let allowed = match fret {
                0 => wish.open_strings,
                _ => (wish.frets.0..=wish.frets.1).contains(&fret),
            };
            let pitch = instrument.pitch(string, fret);
            let Some(pitch) = pitch.filter(|p| allowed && classes.contains(p.pitch_class())) else {
                continue;
            };
            if let Some(spot) = all.spots.get_mut(all.n) {
                *spot = Spot {
                    fret,
                    pitch: pitch.number(),
                    class: PcSet::EMPTY.with(pitch.pitch_class()),
                };
                all.n += 1;
            }
        }
        all
    }

    fn iter(&self) -> impl Iterator<Item = &Spot> {
        self.spots.iter().take(self.n)
    }
}

/// Calls `visit` with every shape that sounds the chord as asked and whose frets lie close enough
/// together for any two fingers; whether the hand can really hold it is left to the fingerings.
pub(super) fn each_shape(
    request: &Request<'_>,
    wish: &Wish,
    visit: &mut impl FnMut(&Shape, &Pitches),
) {
    let Request {
        chord,
        instrument,
        hand,
        plucking_fingers,
    } = request;
    let n_strings = instrument.n_strings();
    let root = chord.root().pitch_class();
    let tones = chord.tones().iter().map(|t| t.degree.above(root));
    let tones: PcSet = tones.collect();
    // A tune note on top may be foreign to the chord; nothing else may.
    let top = wish.top.filter(|top| !tones.contains(top.pitch_class()));
    let foreign = top.map_or(PcSet::EMPTY, |top| PcSet::EMPTY.with(top.pitch_class()));
    let spots = |s: usize, classes| {
        let string = StringIdx(u8::try_from(s).unwrap_or(u8::MAX));
        Spots::on(string, classes, instrument, wish)
    };
    let strings: [Spots; MAX_STRINGS] = std::array::from_fn(|s| spots(s, tones.union(foreign)));
    let mut build = Build {
        strings: &strings,
        board: hand.board(),
        n_strings: usize::from(n_strings),
        fewest: usize::from(wish.notes.0.max(1)),
        most: usize::from(wish.notes.1.min(plucking_fingers + 1)),
        widest: hand.widest_um(),
        wish,
        foreign,
        one_of: chord.one_of(),
        bass: 0,
        over: None,
        shape: Shape::silent(n_strings),
        pitches: [None; MAX_STRINGS],
    };
    let bass_classes = wish.bass.classes(chord);
    for thumb in 0..thumb_strings(n_strings, wish.thumb_on_third_string) {
        for spot in spots(usize::from(thumb), bass_classes).iter() {
            build.bass = spot.pitch;
            let needed = chord.required().minus(spot.class);
            // A thumb over the edge lies outside the span of the fingers.
            let over = thumb == 0 && spot.fret > 0 && hand.thumb_over();
            build.over = over.then_some((spot.fret, hand.thumb_um()));
            let span = if over {
                None
            } else {
                Frets::with(None, spot.fret)
            };
            build.put(usize::from(thumb), Some(spot));
            build.next(usize::from(thumb) + 1, 1, needed, span, visit);
            build.put(usize::from(thumb), None);
        }
    }
}

/// Lowest and highest fret in use.
#[derive(Clone, Copy)]
struct Frets {
    low: u8,
    high: u8,
}

impl Frets {
    /// One more fret; an open string changes nothing.
    fn with(frets: Option<Self>, fret: u8) -> Option<Self> {
        match (frets, fret) {
            (frets, 0) => frets,
            (None, fret) => Some(Self {
                low: fret,
                high: fret,
            }),
            (Some(frets), fret) => Some(Self {
                low: frets.low.min(fret),
                high: frets.high.max(fret),
            }),
        }
    }
}

/// A shape being built from the thumb's string upwards.
struct Build<'a> {
    strings: &'a [Spots; MAX_STRINGS],
    board: &'a Fretboard,
    n_strings: usize,
    fewest: usize,
    most: usize,
    widest: u32,
    wish: &'a Wish,
    /// The pitch class of a top note that is no chord tone.
    foreign: PcSet,
    /// Pitch classes of which at least one must sound, if any are named.
    one_of: PcSet,
    bass: u8,
    /// The fret of a bass note that the left thumb may hold, and how far it lies from the fingers
    /// at most.
    over: Option<(u8, u32)>,
    shape: Shape,
    pitches: [Option<u8>; MAX_STRINGS],
}

impl Build<'_> {
    /// Decides string `s` and all above it. `n_notes` are placed, `needed` tones are still
    /// missing, `span` are the frets in use.
    fn next(
        &mut self,
        s: usize,
        n_notes: usize,
        needed: PcSet,
        span: Option<Frets>,
        visit: &mut impl FnMut(&Shape, &Pitches),
    ) {
        let room = (self.n_strings - s).min(self.most.saturating_sub(n_notes));
        if needed.len() > room || n_notes + room < self.fewest || n_notes > self.most {
            return;
        }
        let strings = self.strings;
        let Some(spots) = strings.get(s).filter(|_| s < self.n_strings) else {
            self.finish(visit);
            return;
        };
        self.next(s + 1, n_notes, needed, span, visit);
        if room == 0 {
            return;
        }
        let top = self.wish.top.map_or(u8::MAX, Midi::number);
        for spot in spots.iter() {
            if spot.pitch > top {
                break;
            }
            let wider = Frets::with(span, spot.fret);
            let belongs = spot.pitch == top || spot.class.minus(self.foreign) == spot.class;
            if spot.pitch > self.bass && belongs && self.fits(wider) {
                self.put(s, Some(spot));
                self.next(s + 1, n_notes + 1, needed.minus(spot.class), wider, visit);
            }
        }
        self.put(s, None);
    }

    /// Puts a note on a string, or takes it away.
    fn put(&mut self, s: usize, spot: Option<&Spot>) {
        let string = StringIdx(u8::try_from(s).unwrap_or(u8::MAX));
        self.shape = self.shape.with(string, spot.map(|spot| spot.fret));
        if let Some(pitch) = self.pitches.get_mut(s) {
            *pitch = spot.map(|spot| spot.pitch);
        }
    }

    /// Whether fingers can span these frets: the distance along the neck is the least that any
    /// two of them need, whichever they are.
    fn fits(&self, frets: Option<Frets>) -> bool {
        let Some(frets) = frets else {
            return true;
        };
        let within = |a, b, um| self.board.along_um(a, b).unsigned_abs() <= um;
        let near_thumb = |(thumb, reach): (u8, u32)| {
            within(frets.low, thumb, reach + self.widest)
                && within(frets.high, thumb, reach + self.widest)
        };
        within(frets.low, frets.high, self.widest) && self.over.is_none_or(near_thumb)
    }

    fn finish(&self, visit: &mut impl FnMut(&Shape, &Pitches)) {
        let mut pitches = Pitches::new();
        self.pitches
            .iter()
            .flatten()
            .for_each(|p| pitches.insert(*p));
        let top = pitches.rising().last().copied().unwrap_or(0);
        let class = PitchClass::new(i32::from(top));
        if self.wish.top.is_none_or(|wanted| wanted.number() == top)
            && self.wish.top_class.is_none_or(|wanted| wanted == class)
            && self.has_colour(&pitches)
        {
            visit(&self.shape, &pitches);
        }
    }

    fn has_colour(&self, pitches: &Pitches) -> bool {
        let classes = pitches
            .rising()
            .iter()
            .map(|p| PitchClass::new(i32::from(*p)));
        self.one_of.is_empty() || classes.into_iter().any(|pc| self.one_of.contains(pc))
    }
}
