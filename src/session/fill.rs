//! Taking what one bar has to others: its plucks, its thumb moves, its voicings. A voicing goes to
//! every chord of the same kind, moved along the neck to its root; a chord of another kind, and one
//! where the hand could not hold it, is left as it is and told. Each is one edit.

use super::NoticeKind;
use super::Session;
use super::candidates::chord_at;
use super::problem::plucks_of;
use super::status::bars_words;
use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Bar;
use crate::document::Document;
use crate::document::Edit;
use crate::document::ThumbCell;
use crate::instrument::Shape;
use crate::theory::Chord;
use crate::theory::PitchClass;
use crate::theory::Pluck;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::voicing;
use std::collections::BTreeMap;

/// What is taken from the selected bar to the others that are selected.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fill {
    /// The strikes of the fingers.
    Plucks,
    /// The moves of the thumb, slot by slot.
    Thumb,
    /// The voicings of its chords.
    Voicings,
}

/// A written chord: its bar and its number in the bar, both from 0.
pub type ChordNumber = (usize, usize);

/// Which chords get a voicing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OnChords {
    /// One.
    One(ChordNumber),
    /// All that are written in these bars, first and last included.
    Bars(usize, usize),
}

/// Edits, and how many chords had to be left as they are.
type Found = (Vec<Edit>, usize);

/// Sets the strikes of a bar (`None`: those of the tune) and takes away the slides that would be
/// left without one.
#[must_use]
pub fn strikes(document: &Document, bar: usize, plucks: Option<Vec<Pluck>>) -> Vec<Edit> {
    let Some(written) = document.bar(bar) else {
        return Vec::new();
    };
    let length = written.length_in(document.meter);
    let mut plucks = plucks;
    if let Some(plucks) = &mut plucks {
        plucks.retain(|pluck| pluck.at < length);
        plucks.sort();
    }
    let after = Bar {
        plucks: plucks.clone(),
        ..written.clone()
    };
    let struck = plucks_of(document, &after);
    let left = written
        .slides
        .iter()
        .filter(|(at, _)| !struck.iter().any(|pluck| pluck.at == *at));
    let slides = left.map(|(at, _)| Edit::SetSlide {
        bar,
        at: *at,
        slide: None,
    });
    let mut edits = vec![Edit::SetPlucks { bar, plucks }];
    edits.extend(slides);
    edits
}

/// A shape of one chord as it plays another of the same kind: moved along the neck to the nearest
/// place where all frets exist and the hand can hold it. `None` if the kinds differ (other tones,
/// or another bass above the root) or there is no such place.
#[must_use]
pub fn shape_on(document: &Document, from: &Chord, shape: &Shape, to: &Chord) -> Option<Shape> {
    if from == to {
        return Some(*shape);
    }
    let above = |chord: &Chord| {
        let (root, bass) = (chord.root().pitch_class(), chord.bass().pitch_class());
        up(root, bass)
    };
    if from.tones() != to.tones() || above(from) != above(to) {
        return None;
    }
    let (instrument, hand) = (&document.instrument, &document.hand);
    let rise = up(from.root().pitch_class(), to.root().pitch_class());
    // Of two places that are equally far, the lower one.
    let mut ways = [rise - 12, rise];
    ways.sort_by_key(|by| by.abs());
    let can_hold = |shape: &Shape| {
        let fingered = voicing::shape_voicings(to, shape, instrument, hand, 1);
        !fingered.is_empty()
    };
    let moved = ways.into_iter().filter_map(|by| {
        let mut moved = *shape;
        for (string, fret) in shape.sounding() {
            let fret = u8::try_from(i32::from(fret) + by).ok()?;
            instrument.pitch(string, fret)?;
            moved = moved.with(string, Some(fret));
        }
        Some(moved)
    });
    moved.into_iter().find(can_hold)
}

/// Semitones upwards from one pitch class to another, 0 to 11.
fn up(from: PitchClass, to: PitchClass) -> i32 {
    (i32::from(to.number()) - i32::from(from.number())).rem_euclid(12)
}

/// The chords written in bars, with their numbers.
fn chords(document: &Document, (first, last): (usize, usize)) -> Vec<(ChordNumber, &Chord)> {
    let bars = document.bars().enumerate().skip(first);
    let bars = bars.take(last.saturating_sub(first) + 1);
    let mut all = Vec::new();
    for (bar, written) in bars {
        for (idx, chord) in written.chords.iter().enumerate() {
            if let Some(meant) = chord.harmony.chord() {
                all.push(((bar, idx), meant));
            }
        }
    }
    all
}

/// The shape that a written chord has: chosen, else as arranged.
fn shape_of(
    document: &Document,
    arrangement: Option<&Arrangement>,
    (bar, idx): ChordNumber,
) -> Option<Shape> {
    let chosen = document.bar(bar)?.chords.get(idx)?.shape;
    let played = || {
        let grips = arrangement?.grips.iter();
        let mut here = grips.skip_while(|grip| grip.place.bar < bar);
        let grip = here.find(|grip| grip.place.bar == bar && grip.chord_idx == idx)?;
        Some(grip.voicing.as_ref()?.grip.shape)
    };
    chosen.or_else(played)
}

fn set_shape((bar, chord_idx): ChordNumber, shape: Shape) -> Edit {
    Edit::SetShape {
        bar,
        chord_idx,
        shape: Some(shape),
    }
}

fn fill_plucks(document: &Document, from: usize, bars: (usize, usize)) -> Found {
    let plucks = document.bar(from).and_then(|bar| bar.plucks.clone());
    let others = (bars.0..=bars.1).filter(|bar| *bar != from);
    let edits = others.flat_map(|bar| strikes(document, bar, plucks.clone()));
    (edits.collect(), 0)
}

/// The thumb's moves in a bar: decided, else as arranged.
fn moves_of(
    document: &Document,
    arrangement: Option<&Arrangement>,
    bar: usize,
) -> BTreeMap<Ticks, ThumbMove> {
    let mut moves = BTreeMap::new();
    if let Some(arrangement) = arrangement {
        let notes = arrangement.notes_in_bar(bar);
        let thumb = notes.filter(|note| note.lane == Lane::Thumb);
        moves.extend(thumb.filter_map(|note| Some((note.place.at, note.thumb_move?))));
    }
    let decided = document.bar(bar).map(|bar| bar.thumb.as_slice());
    for (at, cell) in decided.unwrap_or_default() {
        if let ThumbCell::Move(thumb_move) | ThumbCell::Kept(thumb_move, ..) = cell {
            moves.insert(*at, *thumb_move);
        }
    }
    moves
}

fn fill_thumb(
    document: &Document,
    arrangement: Option<&Arrangement>,
    from: usize,
    bars: (usize, usize),
) -> Found {
    let moves = moves_of(document, arrangement, from);
    let mut edits = Vec::new();
    for bar in bars.0..=bars.1 {
        let decided = document.bar(bar).map(|bar| bar.thumb.as_slice());
        let decided = decided.unwrap_or_default();
        let is_decided = |at: &Ticks| decided.iter().any(|(place, _)| place == at);
        if bar != from {
            let gone = decided.iter().filter(|(at, _)| !moves.contains_key(at));
            edits.extend(gone.map(|(at, _)| Edit::SetThumb {
                bar,
                at: *at,
                cell: None,
            }));
        }
        let length = document.bar_length(bar);
        for (at, thumb_move) in moves.iter().filter(|(at, _)| **at < length) {
            // What is decided in the bar itself is left exactly as it is.
            if bar != from || !is_decided(at) {
                edits.push(Edit::SetThumb {
                    bar,
                    at: *at,
                    cell: Some(ThumbCell::Move(*thumb_move)),
                });
            }
        }
    }
    (edits, 0)
}

fn fill_voicings(
    document: &Document,
    arrangement: Option<&Arrangement>,
    from: usize,
    bars: (usize, usize),
) -> Found {
    let start = Place {
        bar: from,
        at: Ticks(0),
    };
    let held = chord_at(document, start).map(|(bar, idx, chord)| ((bar, idx), chord));
    let mut sources = chords(document, (from, from));
    sources.extend(held.filter(|((bar, _), _)| *bar != from));
    let mut edits = Vec::new();
    let mut shapes = Vec::new();
    for (number, chord) in sources {
        if let Some(shape) = shape_of(document, arrangement, number) {
            // The bar keeps what the others get.
            edits.push(set_shape(number, shape));
            shapes.push((number, chord, shape));
        }
    }
    let mut left = 0;
    for (number, chord) in chords(document, bars) {
        if shapes.iter().any(|(own, ..)| *own == number) {
            continue;
        }
        let on = |(_, from, shape): &(ChordNumber, &Chord, Shape)| {
            shape_on(document, from, shape, chord)
        };
        // The same chord first, then one of the same kind.
        let same = shapes.iter().find(|(_, from, _)| *from == chord);
        match same.and_then(on).or_else(|| shapes.iter().find_map(on)) {
            Some(shape) => edits.push(set_shape(number, shape)),
            None => left += 1,
        }
    }
    (edits, left)
}

/// Puts a shape of one chord on others; chords of another kind are left as they are.
fn put_shape(document: &Document, (of, shape): (ChordNumber, &Shape), on: &[ChordNumber]) -> Found {
    let chord = |(bar, idx): ChordNumber| {
        let written = document.bar(bar)?.chords.get(idx)?;
        written.harmony.chord()
    };
    let mut found: Found = (Vec::new(), 0);
    for number in on {
        let put = chord(of).zip(chord(*number));
        match put.and_then(|(from, to)| shape_on(document, from, shape, to)) {
            Some(shape) => found.0.push(set_shape(*number, shape)),
            None => found.1 += 1,
        }
    }
    found
}

fn left_words(left: usize) -> String {
    match left {
        1 => "one chord was left as it is: it is of another kind, or the hand could not hold the \
              voicing there"
            .into(),
        n => format!(
            "{n} chords were left as they are: they are of another kind, or the hand could not \
             hold the voicing there"
        ),
    }
}

impl Session {
    /// Takes something of the selected bar to the other selected ones.
    pub(super) fn fill(&mut self, what: Fill) {
        let (bar, bars) = (self.selection.place.bar, self.selection.bars());
        if bars.0 == bars.1 {
            let text = "select the bars to fill first: go to the bar to take from, then press \
                        Shift with an arrow, or click another bar with Shift";
            return self.notify(NoticeKind::Info, text.into());
        }
        let fresh = self.solved.as_ref().filter(|(of, _)| *of == self.revision);
        let arrangement = fresh.map(|(_, arrangement)| arrangement.as_ref());
        let document = self.document();
        let (words, (edits, left)) = match what {
            Fill::Plucks => ("plucks", fill_plucks(document, bar, bars)),
            Fill::Thumb => ("thumb moves", fill_thumb(document, arrangement, bar, bars)),
            Fill::Voicings => ("voicings", fill_voicings(document, arrangement, bar, bars)),
        };
        let label = format!("Take {words} of bar {} to {}", bar + 1, bars_words(bars));
        self.edit_and_tell(label, edits, left);
    }

    /// Puts a shape of a chord on others of its kind.
    pub(super) fn put_voicing(&mut self, of: ChordNumber, shape: &Shape, on: OnChords) {
        let document = self.document();
        let (targets, bars) = match on {
            OnChords::One((bar, idx)) => (vec![(bar, idx)], (bar, bar)),
            OnChords::Bars(first, last) => {
                let all = chords(document, (first, last)).into_iter();
                (all.map(|(number, _)| number).collect(), (first, last))
            }
        };
        let (edits, left) = put_shape(document, (of, shape), &targets);
        let label = format!("Choose voicing in {}", bars_words(bars));
        self.edit_and_tell(label, edits, left);
    }

    fn edit_and_tell(&mut self, label: String, edits: Vec<Edit>, left: usize) {
        self.history.close_step();
        if !edits.is_empty() {
            self.edit(&Edit::Together { label, edits });
            self.history.close_step();
        }
        if left > 0 {
            self.notify(NoticeKind::Info, left_words(left));
        }
    }
}

#[cfg(test)]
mod tests;
