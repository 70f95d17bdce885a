//! Which notes of a bar carry an accidental: those that differ from the key signature, or from what
//! the same line or space had earlier in the bar. A tie carries its sign over the bar line.

use super::rhythm::pieces::Piece;
use super::rhythm::pieces::What;
use super::staff_pitch::Pitch;
use crate::arrange::PlayedNote;
use crate::theory::Key;
use crate::theory::Letter;
use crate::theory::Ticks;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Notes that carry a sign, as places in the arrangement's list; `true` for where one slides from.
pub type Signed = BTreeSet<(usize, bool)>;

/// Walks through the voices of a bar as they sound.
#[must_use]
pub fn of_bar(voices: &[&[Piece]], notes: &[PlayedNote], key: Key) -> Signed {
    let mut struck: Vec<(Ticks, bool, usize)> = Vec::new();
    for piece in voices.iter().copied().flatten() {
        let What::Notes {
            notes: here,
            from_before: false,
            ..
        } = &piece.what
        else {
            continue;
        };
        // What a note slides from stands before it.
        let slides = |idx: &usize| notes.get(*idx).is_some_and(|n| n.slide_from.is_some());
        let from = here.iter().filter(|idx| slides(idx));
        struck.extend(from.map(|idx| (piece.at, false, *idx)));
        struck.extend(here.iter().map(|idx| (piece.at, true, *idx)));
    }
    struck.sort_unstable();
    let mut lines: BTreeMap<(Letter, i32), i8> = BTreeMap::new();
    let mut signed = Signed::new();
    for (_, arrived, idx) in struck {
        let Some(note) = notes.get(idx) else {
            continue;
        };
        let pitch = if arrived {
            Some(Pitch::of(note))
        } else {
            Pitch::slid_from(note, key)
        };
        let Some(pitch) = pitch else {
            continue;
        };
        let line = (pitch.spelling.letter(), pitch.octave);
        let usual = key.alter_of(line.0);
        let before = lines.insert(line, pitch.spelling.alter()).unwrap_or(usual);
        if before != pitch.spelling.alter() {
            signed.insert((idx, !arrived));
        }
    }
    signed
}
