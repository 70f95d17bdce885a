//! Finds every voicing of a chord that a hand can play. Shapes are built string by string from the
//! thumb's note upwards and dropped as soon as the essential tones no longer fit on the strings
//! left or two frets lie further apart than the hand spreads, so the search stays complete and
//! small without a table of shapes.
//!
//! What counts as a voicing: the thumb's string is one of the three lowest of 6-4 (and 3 if asked;
//! on a seven-string 7-4), it sounds the bass asked for, and every finger note lies on a
//! higher string and sounds higher. Each finger note is a chord tone; every essential tone sounds,
//! and at least one of the colours of an altered chord that names none.

use super::effort::Fingered;
use super::effort::Neck;
use super::effort::Parts;
use super::effort::best_fingering;
use super::effort::best_fingerings;
use super::sound::Pitches;
use super::sound::Sound;
use super::voiced::VoicedNote;
use super::voiced::Voicing;
use super::wish::Wish;
use crate::instrument::Fretboard;
use crate::instrument::Hand;
use crate::instrument::HandOnBoard;
use crate::instrument::Instrument;
use crate::instrument::MAX_STRINGS;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::instrument::fretboard::MAX_FRET;
use crate::theory::Chord;
use crate::theory::Degree;
use crate::theory::Midi;
use crate::theory::PcSet;
use crate::theory::PitchClass;

/// All playable voicings of a chord, each with its best fingering, by rising effort; ties in the
/// order of the shapes' frets.
#[must_use]
pub fn voicings(chord: &Chord, instrument: &Instrument, hand: &Hand, wish: &Wish) -> Vec<Voicing> {
    let desk = Desk::new(chord, instrument, hand, wish.barre);
    let mut found = Vec::new();
    each_shape(&desk, instrument, hand, wish, &mut |shape, pitches| {
        // Most shapes that get here can't be held, so their sound is judged last.
        found.extend(
            best_fingering(shape, &desk.hand, desk.neck_parts(shape)).map(|mut fingered| {
                desk.sound.parts(pitches, &mut fingered.parts);
                fingered
            }),
        );
    });
    desk.finish(found)
}

/// All playable voicings with up to `most` fingerings for each, by rising effort; ties in the
/// order of the shapes' frets, then of their fingers.
#[must_use]
pub fn fingered_voicings(
    chord: &Chord,
    instrument: &Instrument,
    hand: &Hand,
    wish: &Wish,
    most: usize,
) -> Vec<Voicing> {
    if most == 1 {
        return voicings(chord, instrument, hand, wish);
    }
    let desk = Desk::new(chord, instrument, hand, wish.barre);
    let mut found = Vec::new();
    each_shape(&desk, instrument, hand, wish, &mut |shape, pitches| {
        let parts = desk.shape_parts(shape, pitches);
        found.extend(best_fingerings(shape, &desk.hand, parts, most));
    });
    desk.finish(found)
}

/// A shape that someone chose, as voicings of a chord: its fingerings, best first, at most `most`.
/// Nothing is asked of its notes; one outside the chord gets the plain degree of its distance from
/// the root. Empty if the hand can't hold it (`instrument::fingerings::why_no_fingering` says why)
/// or nothing sounds.
#[must_use]
pub fn shape_voicings(
    chord: &Chord,
    shape: &Shape,
    instrument: &Instrument,
    hand: &Hand,
    most: usize,
) -> Vec<Voicing> {
    let desk = Desk::new(chord, instrument, hand, true);
    let mut pitches = Pitches::new();
    for (string, fret) in shape.sounding() {
        if let Some(pitch) = instrument.pitch(string, fret) {
            pitches.insert(pitch.number());
        }
    }
    let parts = desk.shape_parts(shape, &pitches);
    desk.finish(best_fingerings(shape, &desk.hand, parts, most))
}

/// Everything measured and looked up once for a chord on an instrument.
struct Desk<'a> {
    chord: &'a Chord,
    hand: HandOnBoard,
    sound: Sound,
    neck: Neck,
    instrument: &'a Instrument,
}

impl<'a> Desk<'a> {
    fn new(chord: &'a Chord, instrument: &'a Instrument, hand: &Hand, barre: bool) -> Self {
        Self {
            chord,
            hand: HandOnBoard::new(Fretboard::new(instrument), hand).with_barre(barre),
            sound: Sound::new(chord),
            neck: Neck::new(instrument),
            instrument,
        }
    }

    fn neck_parts(&self, shape: &Shape) -> Parts {
        let mut parts = Parts::default();
        self.neck.shape_parts(shape, &mut parts);
        parts
    }

    fn shape_parts(&self, shape: &Shape, pitches: &Pitches) -> Parts {
        let mut parts = self.neck_parts(shape);
        self.sound.parts(pitches, &mut parts);
        parts
    }

    fn finish(&self, mut found: Vec<Fingered>) -> Vec<Voicing> {
        found.sort_unstable_by_key(|f| (f.parts.total(), f.grip));
        found.iter().filter_map(|f| self.voicing(f)).collect()
    }

    fn voicing(&self, fingered: &Fingered) -> Option<Voicing> {
        let shape = fingered.grip.shape;
        let mut notes = Vec::with_capacity(shape.frets().iter().flatten().count());
        let mut pitches = Pitches::new();
        for (string, fret) in shape.sounding() {
            let pitch = self.instrument.pitch(string, fret)?;
            let (degree, spelling) = self.sound.tone(pitch.number()).unwrap_or_else(|| {
                let degree = plain_degree(self.chord, pitch);
                (degree, degree.spelled_above(self.chord.root()))
            });
            pitches.insert(pitch.number());
            notes.push(VoicedNote {
                string,
                pitch,
                degree,
                spelling,
            });
        }
        let bass = notes.first().copied()?;
        Some(Voicing {
            grip: fingered.grip,
            thumb_string: bass.string,
            family: self.sound.guides.family(pitches.rising()),
            inversion: self.sound.guides.inversion(self.chord, bass.degree),
            notes,
            effort: fingered.parts.effort(),
        })
    }
}

/// The degree of a note outside the chord, by its distance from the root.
fn plain_degree(chord: &Chord, pitch: Midi) -> Degree {
    const PLAIN: [(u8, i8); 12] = [
        (1, 0),
        (9, -1),
        (9, 0),
        (3, -1),
        (3, 0),
        (11, 0),
        (11, 1),
        (5, 0),
        (13, -1),
        (13, 0),
        (7, -1),
        (7, 0),
    ];
    let above = chord
        .root()
        .pitch_class()
        .semitones_up_to(pitch.pitch_class());
    let (number, alter) = PLAIN.get(usize::from(above)).copied().unwrap_or((1, 0));
    Degree::new(number, alter)
}

/// How many strings, counted from the lowest-pitched place, the thumb may take: down from string
/// 4, or string 3 if asked.
pub(super) fn thumb_strings(n_strings: u8, third_too: bool) -> u8 {
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
fn each_shape(
    desk: &Desk<'_>,
    instrument: &Instrument,
    hand: &Hand,
    wish: &Wish,
    visit: &mut impl FnMut(&Shape, &Pitches),
) {
    let n_strings = instrument.n_strings();
    let root = desk.chord.root().pitch_class();
    let tones = desk.chord.tones().iter().map(|t| t.degree.above(root));
    let tones: PcSet = tones.collect();
    let spots = |s: usize, classes| {
        let string = StringIdx(u8::try_from(s).unwrap_or(u8::MAX));
        Spots::on(string, classes, instrument, wish)
    };
    let strings: [Spots; MAX_STRINGS] = std::array::from_fn(|s| spots(s, tones));
    let mut build = Build {
        strings: &strings,
        board: desk.hand.board(),
        n_strings: usize::from(n_strings),
        fewest: usize::from(wish.notes.0.max(1)),
        most: usize::from(wish.notes.1.min(hand.plucking_fingers + 1)),
        widest: desk.hand.widest_um(),
        wish,
        one_of: desk.chord.one_of(),
        bass: 0,
        over: None,
        shape: Shape::silent(n_strings),
        pitches: [None; MAX_STRINGS],
    };
    let bass_classes = wish.bass.classes(desk.chord);
    for thumb in 0..thumb_strings(n_strings, wish.thumb_on_third_string) {
        for spot in spots(usize::from(thumb), bass_classes).iter() {
            build.bass = spot.pitch;
            let needed = desk.chord.required().minus(spot.class);
            // A thumb over the edge lies outside the span of the fingers.
            let over = thumb == 0 && spot.fret > 0 && desk.hand.thumb_over();
            build.over = over.then_some((spot.fret, desk.hand.thumb_um()));
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
            if spot.pitch > self.bass && self.fits(wider) {
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
