//! Where the thumb's notes can be held while the chord's fingers stay: the zone shaded on the
//! fretboard, and the sentence why a place lies outside. Asks the hand model; judges nothing
//! itself.

use super::layout::HIGHEST_THUMB_STRING;
use super::model;
use crate::instrument::Finger;
use crate::instrument::Fretboard;
use crate::instrument::Grip;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::instrument::playable;
use crate::instrument::playable::Refusal;
use crate::session::Session;
use crate::voicing::Voicing;

/// Frets looked at to either side of the hand.
const AROUND: u8 = 5;

/// The hand at one moment, with the fingers that hold the chord above the bass.
pub struct HandHere<'a> {
    session: &'a Session,
    board: Fretboard,
    held: Grip,
}

impl<'a> HandHere<'a> {
    /// The hand at the moment shown; `None` where there is no grip.
    #[must_use]
    pub fn new(session: &'a Session) -> Option<Self> {
        let arrangement = session.arrangement()?;
        let chosen = arrangement.grip_at(model::moment(session))?;
        let held = without_bass(chosen.voicing.as_ref()?);
        let instrument = &session.document().instrument;
        (held.shape.n_strings() == instrument.n_strings()).then(|| Self {
            session,
            board: Fretboard::new(instrument),
            held,
        })
    }

    /// Why a place can't be held while the chord rings; `None` if it can.
    #[must_use]
    pub fn why_not(&self, string: StringIdx, fret: u8) -> Option<Refusal> {
        if fret == 0 {
            return None;
        }
        if self.held.shape.fret(string) == Some(fret) {
            return None;
        }
        let shape = self.held.shape.with(string, Some(fret));
        let busy = |finger: Finger| {
            self.held
                .held()
                .any(|(held, _, holder)| holder == finger && held != string)
        };
        let free = Finger::FOUR.into_iter().filter(|finger| !busy(*finger));
        let mut refusals = free.map(|finger| {
            let grip = self.fingered(shape).with_finger(string, Some(finger));
            playable::why_not_on(&grip, &self.board, &self.session.document().hand)
        });
        let mut closest: Option<Refusal> = None;
        refusals.try_for_each(|refusal| {
            let refusal = refusal?;
            if closest
                .as_ref()
                .is_none_or(|so_far| need(&refusal) < need(so_far))
            {
                closest = Some(refusal);
            }
            Some(())
        })?;
        closest.or(Some(Refusal::TooManyFingers))
    }

    /// Every place near the hand where the thumb's note can be held.
    #[must_use]
    pub fn zone(&self) -> Vec<(StringIdx, u8)> {
        let frets = || self.held.held().map(|(_, fret, _)| fret);
        let (Some(low), Some(high)) = (frets().min(), frets().max()) else {
            return Vec::new();
        };
        let n_strings = self.held.shape.n_strings();
        let strings = (0..n_strings).map(StringIdx);
        let near = low.saturating_sub(AROUND).max(1)..=(high + AROUND).min(self.board.last_fret());
        strings
            .filter(|s| s.number(n_strings) >= HIGHEST_THUMB_STRING)
            .flat_map(|s| near.clone().map(move |fret| (s, fret)))
            .filter(|(s, fret)| self.why_not(*s, *fret).is_none())
            .collect()
    }

    fn fingered(&self, shape: Shape) -> Grip {
        self.held
            .held()
            .fold(Grip::unfingered(shape), |grip, (string, _, finger)| {
                grip.with_finger(string, Some(finger))
            })
    }
}

fn without_bass(voicing: &Voicing) -> Grip {
    let grip = &voicing.grip;
    let shape = grip.shape.with(voicing.thumb_string, None);
    grip.held()
        .filter(|(string, ..)| *string != voicing.thumb_string)
        .fold(Grip::unfingered(shape), |held, (string, _, finger)| {
            held.with_finger(string, Some(finger))
        })
}

/// How far a refusal is from playable, for telling the least hopeless reason.
fn need(refusal: &Refusal) -> u64 {
    match refusal {
        Refusal::TooFar(reach) => reach.permille_of_limit(),
        _ => u64::MAX,
    }
}
