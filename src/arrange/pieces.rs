//! The time of one chord cut into pieces with a grip each, where there is a tune. A piece begins with
//! the chord, and with every note of the tune during which the fingers strike: the hand then takes
//! the chord anew with that note on top, so that whatever the fingers strike sounds under the tune.
//! Notes of the tune without a strike pass by within their piece.

use super::moments::Event;
use super::moments::Moment;
use super::result::Place;
use crate::theory::Midi;
use crate::theory::Spelling;

/// A note of the tune in time.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Sung {
    /// When it is struck, in ticks from the start of the tune.
    pub starts: u64,
    /// When it ends.
    pub ends: u64,
    /// What sounds.
    pub pitch: Midi,
    /// How it is spelled.
    pub spelling: Spelling,
}

/// A stretch of a chord's time with one grip.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Piece {
    /// Where it begins.
    pub place: Place,
    /// When.
    pub begins: u64,
    /// The note of the tune on top.
    pub top: Option<Sung>,
}

/// The notes of the tune among moments, in order.
#[must_use]
pub fn sung(moments: &[Moment]) -> Vec<Sung> {
    let note = |moment: &Moment| match moment.event {
        Event::Tune(note) => Some(Sung {
            starts: moment.ticks,
            ends: moment.ticks + u64::from(note.length.0),
            pitch: note.pitch,
            spelling: note.spelling,
        }),
        _ => None,
    };
    let mut sung: Vec<Sung> = moments.iter().filter_map(note).collect();
    // One voice: a note ends where the next one begins.
    let next: Vec<u64> = sung.iter().skip(1).map(|note| note.starts).collect();
    for (note, next) in sung.iter_mut().zip(next) {
        note.ends = note.ends.min(next);
    }
    sung
}

/// The note of the tune that sounds at a moment.
#[must_use]
pub fn sung_at(sung: &[Sung], ticks: u64) -> Option<Sung> {
    let begun = sung.partition_point(|note| note.starts <= ticks);
    let last = sung.get(begun.checked_sub(1)?)?;
    (ticks < last.ends).then_some(*last)
}

/// The pieces of a chord that the hand takes at `from` and leaves at `until`; `moments` are those in
/// between.
#[must_use]
pub fn pieces(from: (Place, u64), until: u64, moments: &[Moment], sung: &[Sung]) -> Vec<Piece> {
    let (place, begins) = from;
    let mut pieces = vec![Piece {
        place,
        begins,
        top: sung_at(sung, begins),
    }];
    let strikes: Vec<u64> = moments
        .iter()
        .filter(|moment| matches!(moment.event, Event::Pluck(_)))
        .map(|moment| moment.ticks)
        .collect();
    let sings = |moment: &&Moment| matches!(moment.event, Event::Tune(_));
    for moment in moments.iter().filter(sings) {
        let Some(note) = sung_at(sung, moment.ticks) else {
            continue;
        };
        let end = note.ends.min(until);
        let struck_under = strikes.iter().any(|at| (note.starts..end).contains(at));
        if moment.ticks > begins && struck_under {
            pieces.push(Piece {
                place: moment.place,
                begins: moment.ticks,
                top: Some(note),
            });
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::moments::bar_starts;
    use crate::arrange::moments::moments;
    use crate::arrange::problem::BarPlan;
    use crate::arrange::problem::TunePlan;
    use crate::theory::Articulation;
    use crate::theory::Key;
    use crate::theory::Pluck;
    use crate::theory::Ticks;

    /// Where the pieces of a whole bar begin and what they have on top. Notes as eighth and length
    /// in eighths and pitch, plucks as eighths.
    fn cut(tune: &[(u32, u32, u8)], plucks: &[u32]) -> Vec<(u64, Option<u8>)> {
        let note = |(at, length, pitch): &(u32, u32, u8)| {
            let pitch = Midi::new(*pitch).expect("in range");
            TunePlan {
                at: Ticks(at * 480),
                length: Ticks(length * 480),
                pitch,
                spelling: Key::C_MAJOR.spell(pitch.pitch_class(), true),
            }
        };
        let bar = BarPlan {
            length: Ticks(3840),
            chords: Vec::new(),
            thumb: Vec::new(),
            plucks: plucks
                .iter()
                .map(|at| Pluck::new(Ticks(at * 480), Articulation::Ring))
                .collect(),
            slides: Vec::new(),
            tune: tune.iter().map(note).collect(),
        };
        let bars = [bar];
        let moments = moments(&bars, &bar_starts(&bars));
        let sung = sung(&moments);
        let pieces = pieces((Place::default(), 0), 3840, &moments, &sung);
        let short = |piece: &Piece| (piece.begins / 480, piece.top.map(|n| n.pitch.number()));
        pieces.iter().map(short).collect()
    }

    #[test]
    fn a_piece_begins_with_every_tune_note_that_is_struck_under() {
        assert_eq!(cut(&[], &[1, 5]), [(0, None)]);
        let quarters = [(0, 2, 64), (2, 2, 65), (4, 2, 67), (6, 2, 69)];
        assert_eq!(cut(&quarters, &[1, 5]), [(0, Some(64)), (4, Some(67))]);
        assert_eq!(
            cut(&quarters, &[0, 2, 4, 6]),
            [(0, Some(64)), (2, Some(65)), (4, Some(67)), (6, Some(69))]
        );
        // A strike in a rest belongs to the piece before; a rest at the front has no note on top.
        assert_eq!(cut(&[(2, 1, 64)], &[1, 3]), [(0, None)]);
        assert_eq!(cut(&[(2, 2, 64)], &[3]), [(0, None), (2, Some(64))]);
        // Struck once in a long note.
        assert_eq!(cut(&[(0, 8, 64)], &[1, 5]), [(0, Some(64))]);
    }

    #[test]
    fn one_voice_means_that_a_note_ends_where_the_next_begins() {
        assert_eq!(
            cut(&[(0, 8, 64), (2, 2, 65)], &[1, 3]),
            [(0, Some(64)), (2, Some(65))]
        );
    }
}
