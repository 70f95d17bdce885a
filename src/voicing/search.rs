//! Finds every voicing of a chord that a hand can play, gives each its fingers and its effort, and
//! puts them in order. Shapes come from `shapes`, fingers from the instrument layer; here the two
//! meet. Never looks at the song: the same chord gives the same list everywhere.
//!
//! What counts as a voicing: the thumb's string is one of 6 to 4 (and 3 if asked; 7 to 4 on a
//! seven-string), it sounds the bass asked for, and every finger note lies on a higher string and
//! sounds higher. Each finger note is a chord tone; every essential tone sounds, and at least one
//! of the colours of an altered chord that names none.

use super::effort::Fingered;
use super::effort::Neck;
use super::effort::Parts;
use super::effort::best_fingering;
use super::effort::best_fingerings;
use super::shapes::Request;
use super::shapes::each_shape;
use super::sound::Pitches;
use super::sound::Sound;
use super::voiced::VoicedNote;
use super::voiced::Voicing;
use super::wish::Wish;
use crate::instrument::Fretboard;
use crate::instrument::Hand;
use crate::instrument::HandOnBoard;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::theory::Chord;
use crate::theory::Degree;
use crate::theory::Midi;

/// All playable voicings of a chord, each with its best fingering, by rising effort; ties in the
/// order of the shapes' frets.
#[must_use]
pub fn voicings(chord: &Chord, instrument: &Instrument, hand: &Hand, wish: &Wish) -> Vec<Voicing> {
    let desk = Desk::new(chord, instrument, hand, wish.barre);
    let mut found = Vec::new();
    each_shape(&desk.request, wish, &mut |shape, pitches| {
        // Most shapes that get here can't be held, so their sound is judged last.
        found.extend(
            best_fingering(shape, &desk.request.hand, desk.neck_parts(shape)).map(
                |mut fingered| {
                    desk.sound.parts(pitches, &mut fingered.parts);
                    fingered
                },
            ),
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
    each_shape(&desk.request, wish, &mut |shape, pitches| {
        let parts = desk.shape_parts(shape, pitches);
        found.extend(best_fingerings(shape, &desk.request.hand, parts, most));
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
    desk.finish(best_fingerings(shape, &desk.request.hand, parts, most))
}

/// Everything measured and looked up once for a chord on an instrument.
struct Desk<'a> {
    request: Request<'a>,
    sound: Sound,
    neck: Neck,
}

impl<'a> Desk<'a> {
    fn new(chord: &'a Chord, instrument: &'a Instrument, hand: &Hand, barre: bool) -> Self {
        Self {
            request: Request {
                chord,
                instrument,
                hand: HandOnBoard::new(Fretboard::new(instrument), hand).with_barre(barre),
                plucking_fingers: hand.plucking_fingers,
            },
            sound: Sound::new(chord),
            neck: Neck::new(instrument),
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
            let pitch = self.request.instrument.pitch(string, fret)?;
            let (degree, spelling) = self.sound.tone(pitch.number()).unwrap_or_else(|| {
                let degree = plain_degree(self.request.chord, pitch);
                (degree, degree.spelled_above(self.request.chord.root()))
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
            inversion: self.sound.guides.inversion(self.request.chord, bass.degree),
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
