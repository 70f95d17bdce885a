//! Which pieces of a voice stand under one beam, and which make a triplet. Both stay within a beat
//! (common practice in metres whose beats are counted one by one).

use super::pieces::Piece;
use crate::theory::TICKS_PER_BEAT;
use std::ops::Range;

/// Pieces under one beam, at least two each: notes that follow one another within a beat.
#[must_use]
pub fn beams(pieces: &[Piece]) -> Vec<Range<usize>> {
    let joins = |before: &Piece, piece: &Piece| {
        let beamable = |p: &Piece| p.written.value.is_beamable() && is_struck(p);
        beamable(before) && beamable(piece) && beat(before) == beat(piece)
    };
    runs(pieces, joins)
}

/// Pieces that belong to one triplet, rests among them.
#[must_use]
pub fn triplets(pieces: &[Piece]) -> Vec<Range<usize>> {
    let joins = |before: &Piece, piece: &Piece| {
        before.written.triplet && piece.written.triplet && beat(before) == beat(piece)
    };
    let mut groups = runs(pieces, joins);
    groups.retain(|group| {
        let own = pieces.get(group.clone()).unwrap_or_default();
        own.iter().any(is_struck)
    });
    groups
}

fn is_struck(piece: &Piece) -> bool {
    !piece.notes().is_empty()
}

const fn beat(piece: &Piece) -> u32 {
    piece.at.0 / TICKS_PER_BEAT
}

/// Longest runs of two or more pieces in which each joins the one before.
fn runs(pieces: &[Piece], joins: impl Fn(&Piece, &Piece) -> bool) -> Vec<Range<usize>> {
    let mut groups = Vec::new();
    let mut start = 0;
    for (i, pair) in pieces.windows(2).enumerate() {
        let [before, piece] = pair else { continue };
        if !joins(before, piece) {
            groups.push(start..i + 1);
            start = i + 1;
        }
    }
    groups.push(start..pieces.len());
    groups.retain(|group| group.len() > 1);
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::rhythm::Value;
    use crate::score::rhythm::Written;
    use crate::score::rhythm::pieces::Sounding;
    use crate::score::rhythm::pieces::What;
    use crate::theory::Ticks;

    fn pieces(text: &str) -> Vec<Piece> {
        // `q` `e` `s` values, `E` an eighth of a triplet, `.` an eighth rest.
        let mut at = 0;
        let mut all = Vec::new();
        for sign in text.chars() {
            let (value, length, triplet) = match sign {
                'q' => (Value::Quarter, 960, false),
                's' => (Value::Sixteenth, 240, false),
                'E' => (Value::Eighth, 320, true),
                _ => (Value::Eighth, 480, false),
            };
            let what = if sign == '.' {
                What::Rest
            } else {
                What::Notes(vec![Sounding {
                    note: 0,
                    from_before: false,
                    into_next: false,
                }])
            };
            all.push(Piece {
                at: Ticks(at),
                length: Ticks(length),
                written: Written {
                    value,
                    dotted: false,
                    triplet,
                },
                what,
            });
            at += length;
        }
        all
    }

    #[test]
    fn beams_and_triplets_stay_within_a_beat() {
        let said = |groups: Vec<Range<usize>>| {
            let words = groups.iter().map(|g| format!("{}-{}", g.start, g.end));
            words.collect::<Vec<String>>().join(" ")
        };
        for (text, beamed, triplets_of) in [
            ("eeeeq", "0-2 2-4", ""),
            ("essq", "0-3", ""),
            ("e.qe", "", ""),
            (".eqq", "", ""),
            ("EEEq", "0-3", "0-3"),
            ("EEEEEE", "0-3 3-6", "0-3 3-6"),
        ] {
            assert_eq!(said(beams(&pieces(text))), beamed, "{text}");
            assert_eq!(said(triplets(&pieces(text))), triplets_of, "{text}");
        }
    }
}
