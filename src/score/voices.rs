//! The three voices of written music, bar by bar: the tune with the lengths it is written in, the
//! fingers, and the thumb, each filling its bar. What the fingers strike with a note of the tune and
//! hold exactly as long shares its stem; all else they strike is a voice of its own between the outer
//! two, with stems up, but down where the tune has a head or a rest, and without rests (Gould,
//! Behind Bars, from memory: outer voices keep their stems, an inner one comes and goes as it is
//! needed). Where the tune is silent for a bar the fingers are the upper voice. Draws nothing.

use super::rhythm::groups;
use super::rhythm::pieces;
use super::rhythm::pieces::Carried;
use super::rhythm::pieces::Piece;
use super::rhythm::pieces::Room;
use super::rhythm::pieces::Sounding;
use super::rhythm::pieces::Struck;
use super::rhythm::pieces::What;
use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::PlayedNote;
use crate::document::Document;
use crate::theory::Articulation;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use std::collections::BTreeMap;
use std::ops::Range;

/// The voices of one bar.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct BarVoices {
    /// The tune; a rest that fills the bar if it is silent.
    pub tune: Vec<Piece>,
    /// The fingers, those that share a stem with the tune among them.
    pub fingers: Vec<Piece>,
    /// The thumb.
    pub thumb: Vec<Piece>,
    /// By piece of the fingers, whether it shares the stem of the tune.
    pub shared: Vec<bool>,
    /// By piece of the fingers, whether its stem goes up.
    pub fingers_up: Vec<bool>,
}

impl BarVoices {
    /// Whether the tune sounds in the bar.
    #[must_use]
    pub fn has_tune(&self) -> bool {
        sounds(&self.tune)
    }

    /// The tune with what shares its stems.
    #[must_use]
    pub fn upper(&self) -> Vec<Piece> {
        let mut upper = self.tune.clone();
        for (piece, _) in self.fingers.iter().zip(&self.shared).filter(|(_, s)| **s) {
            let same = upper.iter_mut().find(|own| own.at == piece.at);
            if let Some(What::Notes(notes)) = same.map(|own| &mut own.what) {
                notes.extend(piece.notes());
            }
        }
        upper
    }

    /// The fingers without what shares the stems of the tune.
    #[must_use]
    pub fn inner(&self) -> Vec<Piece> {
        let mut inner = self.fingers.clone();
        for (piece, _) in inner.iter_mut().zip(&self.shared).filter(|(_, s)| **s) {
            piece.what = What::Rest;
        }
        inner
    }
}

/// Whether anything sounds in a voice.
#[must_use]
pub fn sounds(pieces: &[Piece]) -> bool {
    pieces.iter().any(|piece| !piece.notes().is_empty())
}

/// Writes out the bars of a tune, one after the other.
#[derive(Clone, Debug)]
pub struct Writer<'a> {
    document: &'a Document,
    arrangement: &'a Arrangement,
    /// Written lengths of the tune's notes by bar and place.
    sung: BTreeMap<(usize, Ticks), Ticks>,
    /// What rings on: tune, fingers, thumb.
    carried: [Carried; 3],
}

impl<'a> Writer<'a> {
    /// Begins with the first bar.
    #[must_use]
    pub fn new(document: &'a Document, arrangement: &'a Arrangement) -> Self {
        let sung = document.sung().into_iter();
        Self {
            document,
            arrangement,
            sung: sung
                .map(|note| ((note.bar, note.at), note.length))
                .collect(),
            carried: Default::default(),
        }
    }

    /// The next bar; they have to be asked for in their order. `rings_over` says whether what sounds
    /// at its end may go on in the bar written after it.
    pub fn bar(&mut self, bar: usize, length: Ticks, rings_over: bool) -> BarVoices {
        let room = Room {
            length,
            meter: self.document.meter,
            rings_over,
        };
        let from = (self.arrangement.notes).partition_point(|note| note.place.bar < bar);
        let numbered = || (from..).zip(self.arrangement.notes_in_bar(bar));
        let [tune, fingers, thumb] = &mut self.carried;
        let sung = &self.sung;
        let fill = |lane: Lane, carried: &mut Carried| -> Vec<Piece> {
            let own = numbered().filter(|(_, note)| note.lane == lane && is_heard(note));
            let own: Vec<Struck> = own.map(|(idx, note)| struck(idx, note, sung)).collect();
            let (pieces, over) = pieces::fill(room, &own, carried);
            *carried = over;
            pieces
        };
        let mut voices = BarVoices {
            tune: fill(Lane::Tune, tune),
            fingers: fill(Lane::Fingers, fingers),
            thumb: fill(Lane::Thumb, thumb),
            ..BarVoices::default()
        };
        voices.shared = shared(&voices, &self.arrangement.notes);
        voices.fingers_up = directions(&voices);
        voices
    }
}

fn is_heard(note: &PlayedNote) -> bool {
    note.thumb_move != Some(ThumbMove::Rest)
}

fn struck(idx: usize, note: &PlayedNote, sung: &BTreeMap<(usize, Ticks), Ticks>) -> Struck {
    let place = (note.place.bar, note.place.at);
    let written = sung.get(&place).filter(|_| note.lane == Lane::Tune);
    Struck {
        note: idx,
        at: note.place.at,
        length: written.copied().unwrap_or(note.length),
    }
}

/// Pieces of a voice that are one chord, tied from value to value.
fn chains(pieces: &[Piece]) -> Vec<Range<usize>> {
    let mut chains: Vec<Range<usize>> = Vec::new();
    for (i, piece) in pieces
        .iter()
        .enumerate()
        .filter(|(_, p)| !p.notes().is_empty())
    {
        let goes_on = piece.notes().iter().all(|held| held.from_before);
        match chains.last_mut().filter(|chain| goes_on && chain.end == i) {
            Some(chain) => chain.end = i + 1,
            None => chains.push(i..i + 1),
        }
    }
    chains
}

/// Begin, end, and whether it comes from before and goes on.
fn extent(pieces: &[Piece], chain: &Range<usize>) -> Option<(u32, u32, bool, bool)> {
    let (first, last) = (
        pieces.get(chain.start)?,
        pieces.get(chain.end.checked_sub(1)?)?,
    );
    let any = |piece: &Piece, which: fn(&Sounding) -> bool| piece.notes().iter().any(which);
    let from_before = any(first, |held| held.from_before);
    let into_next = any(last, |held| held.into_next);
    Some((
        first.at.0,
        last.at.0 + last.length.0,
        from_before,
        into_next,
    ))
}

/// Which pieces of the fingers begin and end with a note of the tune; what is stopped short does not.
fn shared(voices: &BarVoices, notes: &[PlayedNote]) -> Vec<bool> {
    let mut shared = vec![false; voices.fingers.len()];
    let of_tune = chains(&voices.tune);
    let of_tune: Vec<_> = of_tune.iter().map(|c| extent(&voices.tune, c)).collect();
    let rings = |held: &Sounding| {
        let note = notes.get(held.note);
        note.is_some_and(|note| note.articulation == Articulation::Ring)
    };
    for chain in chains(&voices.fingers) {
        let own = voices.fingers.get(chain.clone()).unwrap_or_default();
        let all_ring = own.iter().flat_map(Piece::notes).all(rings);
        if all_ring && of_tune.contains(&extent(&voices.fingers, &chain)) {
            shared.get_mut(chain).unwrap_or_default().fill(true);
        }
    }
    shared
}

/// Which way the fingers' stems go; those under one beam, or tied to one another, go one way.
fn directions(voices: &BarVoices) -> Vec<bool> {
    let takes_up = |at: Ticks| {
        let mut own = voices.tune.iter();
        own.any(|piece| piece.at == at && piece.what != What::BarRest)
    };
    let apart = voices.fingers.iter().zip(&voices.shared);
    let mut up: Vec<bool> = apart
        .map(|(p, shared)| *shared || !takes_up(p.at))
        .collect();
    let inner = voices.inner();
    let mut bound = groups::beams(&inner);
    bound.extend(chains(&inner));
    loop {
        let before = up.clone();
        for group in &bound {
            let own = up.get_mut(group.clone()).unwrap_or_default();
            if own.contains(&false) {
                own.fill(false);
            }
        }
        if up == before {
            return up;
        }
    }
}

#[cfg(test)]
mod tests;
