//! Two arrangements of a tune side by side, bar by bar as written: what each costs, and where thumb,
//! grips, strikes and tune differ. Plain data; which of the two is better is not for this module.

use super::result::Arrangement;
use super::result::Lane;
use super::result::Place;
use super::result::PlayedNote;
use crate::instrument::Cost;
use crate::instrument::Grip;
use crate::instrument::StringIdx;
use crate::theory::Articulation;
use crate::theory::Midi;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use std::collections::BTreeMap;

/// One of the two.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Version {
    /// The first.
    A,
    /// The second.
    B,
}

impl Version {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::A, Self::B];

    /// `A` or `B`.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            Self::A => 'A',
            Self::B => 'B',
        }
    }
}

/// One thing of each.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Both<T> {
    /// Of the first.
    pub a: T,
    /// Of the second.
    pub b: T,
}

impl<T> Both<T> {
    /// That of one.
    pub const fn of(&self, version: Version) -> &T {
        match version {
            Version::A => &self.a,
            Version::B => &self.b,
        }
    }
}

/// A whole arrangement in figures.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Totals {
    /// Effort of the whole.
    pub sum: Cost,
    /// The largest single change.
    pub max: Cost,
    /// Where that arrives.
    pub hardest: Option<Place>,
    /// About the tempo up to which every change is comfortable; an estimate.
    pub comfortable_bpm: Option<u16>,
    /// What cannot be played as written.
    pub n_faults: usize,
    /// Bars written.
    pub n_bars: usize,
}

/// A note of thumb or tune.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Struck {
    /// What the thumb does; `None` in the tune.
    pub thumb_move: Option<ThumbMove>,
    /// Where it is played.
    pub string: StringIdx,
    /// Fret, counted from the capo.
    pub fret: u8,
    /// What sounds.
    pub pitch: Midi,
}

/// A grip with what sounds, from the lowest string up.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Held {
    /// Strings, frets and fingers.
    pub grip: Grip,
    /// Pitches.
    pub pitches: Vec<Midi>,
}

/// Something that is not the same in both, at a moment of the bar; `None` if one has nothing there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Differs<T> {
    /// When.
    pub at: Ticks,
    /// What each has.
    pub has: Both<Option<T>>,
}

/// A bar of both.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct ComparedBar {
    /// Its number, from 0.
    pub bar: usize,
    /// Its effort; `None` if there is no such bar.
    pub effort: Both<Option<Cost>>,
    /// Thumb notes: another move, place or pitch.
    pub thumb: Vec<Differs<Struck>>,
    /// Grips taken in it: another shape, other fingers or other pitches.
    pub grips: Vec<Differs<Held>>,
    /// Strikes of the fingers: when, and ring or short.
    pub plucks: Vec<Differs<Articulation>>,
    /// Notes of the tune: another place or pitch.
    pub tune: Vec<Differs<Struck>>,
}

impl ComparedBar {
    /// Whether anything that is played in it differs, or only one of the two has it.
    #[must_use]
    pub const fn differs(&self) -> bool {
        let alike = self.thumb.is_empty()
            && self.grips.is_empty()
            && self.plucks.is_empty()
            && self.tune.is_empty();
        !alike || self.effort.a.is_some() != self.effort.b.is_some()
    }
}

/// Two arrangements side by side.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Comparison {
    /// Each as a whole.
    pub totals: Both<Totals>,
    /// As many bars as the longer one has.
    pub bars: Vec<ComparedBar>,
}

/// Compares two arrangements with so many written bars each.
#[must_use]
pub fn compare(a: (&Arrangement, usize), b: (&Arrangement, usize)) -> Comparison {
    let sides = Both {
        a: Side::of(a.0, a.1),
        b: Side::of(b.0, b.1),
    };
    let bars = (0..a.1.max(b.1)).map(|bar| {
        let (a, b) = (sides.a.bars.get(bar), sides.b.bars.get(bar));
        let none = BarPlayed::default();
        let (there, beside) = (a.unwrap_or(&none), b.unwrap_or(&none));
        ComparedBar {
            bar,
            effort: Both {
                a: a.map(|bar| bar.effort),
                b: b.map(|bar| bar.effort),
            },
            thumb: differences(&there.thumb, &beside.thumb),
            grips: differences(&there.grips, &beside.grips),
            plucks: differences(&there.plucks, &beside.plucks),
            tune: differences(&there.tune, &beside.tune),
        }
    });
    Comparison {
        bars: bars.collect(),
        totals: Both {
            a: sides.a.totals,
            b: sides.b.totals,
        },
    }
}

/// What is played in a bar, by its moments.
#[derive(Default)]
struct BarPlayed {
    effort: Cost,
    thumb: BTreeMap<Ticks, Struck>,
    grips: BTreeMap<Ticks, Held>,
    plucks: BTreeMap<Ticks, Articulation>,
    tune: BTreeMap<Ticks, Struck>,
}

struct Side {
    totals: Totals,
    bars: Vec<BarPlayed>,
}

impl Side {
    fn of(arrangement: &Arrangement, n_bars: usize) -> Self {
        let mut bars: Vec<BarPlayed> = (0..n_bars).map(|_| BarPlayed::default()).collect();
        for slot in &arrangement.slots {
            if let Some(bar) = bars.get_mut(slot.place.bar) {
                bar.effort += slot.effort.total();
            }
        }
        for note in &arrangement.notes {
            if let Some(bar) = bars.get_mut(note.place.bar) {
                match note.lane {
                    Lane::Thumb => {
                        bar.thumb.insert(note.place.at, struck(note));
                    }
                    Lane::Tune => {
                        bar.tune.insert(note.place.at, struck(note));
                    }
                    Lane::Fingers => {
                        bar.plucks.insert(note.place.at, note.articulation);
                    }
                }
            }
        }
        // Where a chord is taken anew at its own place the grip taken last is held.
        for chosen in arrangement.grips.iter().chain(&arrangement.retaken) {
            let bar = bars.get_mut(chosen.place.bar);
            if let (Some(bar), Some(voicing)) = (bar, &chosen.voicing) {
                let held = Held {
                    grip: voicing.grip,
                    pitches: voicing.notes.iter().map(|note| note.pitch).collect(),
                };
                bar.grips.insert(chosen.place.at, held);
            }
        }
        let faults = arrangement.findings.iter().filter(|f| f.kind.is_fault());
        Self {
            totals: Totals {
                sum: arrangement.sum,
                max: arrangement.max,
                hardest: arrangement.hardest,
                comfortable_bpm: arrangement.comfortable.map(|(bpm, _)| bpm),
                n_faults: faults.count(),
                n_bars,
            },
            bars,
        }
    }
}

const fn struck(note: &PlayedNote) -> Struck {
    Struck {
        thumb_move: note.thumb_move,
        string: note.string,
        fret: note.fret,
        pitch: note.pitch,
    }
}

/// What two bars do not have alike, in order.
fn differences<T: Clone + PartialEq>(
    a: &BTreeMap<Ticks, T>,
    b: &BTreeMap<Ticks, T>,
) -> Vec<Differs<T>> {
    let mut moments: Vec<Ticks> = a.keys().chain(b.keys()).copied().collect();
    moments.sort_unstable();
    moments.dedup();
    let differ = |at: &Ticks| a.get(at) != b.get(at);
    let differs = |at: Ticks| Differs {
        at,
        has: Both {
            a: a.get(&at).cloned(),
            b: b.get(&at).cloned(),
        },
    };
    moments.into_iter().filter(differ).map(differs).collect()
}
