//! A voice of a bar without gaps: what sounds is cut into note values joined by ties, what is left
//! is rests, and the lengths add up to the bar. What rings over a bar line goes on behind it.
//! Values and rests are those of the written rhythm; nothing is lengthened.

use super::Written;
use super::rests_between;
use crate::arrange::PlayedNote;
use crate::theory::Meter;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::ThumbMove;
use crate::theory::Ticks;

/// What a piece is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum What {
    /// A rest that fills the bar.
    BarRest,
    /// A rest.
    Rest,
    /// Notes struck together, as places in the arrangement's list.
    Notes {
        /// Which.
        notes: Vec<usize>,
        /// Whether they sound on from the piece before.
        from_before: bool,
        /// Whether they sound on into the next piece.
        into_next: bool,
    },
}

/// One note value of a voice.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Piece {
    /// Where in the bar.
    pub at: Ticks,
    /// Its length.
    pub length: Ticks,
    /// Its value.
    pub written: Written,
    /// What it is.
    pub what: What,
}

/// What still sounds when a bar begins, and how far into it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Carried {
    /// Places in the arrangement's list.
    pub notes: Vec<usize>,
    /// How far; nothing sounds at 0.
    pub until: Ticks,
}

/// One bar to be filled.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Room {
    /// Its length.
    pub length: Ticks,
    /// The metre.
    pub meter: Meter,
    /// Whether what sounds at its end may go on in the bar written after it.
    pub rings_over: bool,
}

/// Fills one voice of one bar, given what is carried into it; also tells what it carries on.
#[must_use]
pub fn fill(
    room: Room,
    notes: &[(usize, &PlayedNote)],
    carried: &Carried,
) -> (Vec<Piece>, Carried) {
    let strikes = strikes(room, notes, carried);
    let mut filling = Filling {
        room,
        pieces: Vec::new(),
        cursor: 0,
    };
    let mut carries = Carried::default();
    let starts = strikes.iter().map(|s| s.at).skip(1);
    let ends: Vec<u32> = starts.chain([room.length.0]).collect();
    for (strike, end) in strikes.into_iter().zip(ends) {
        filling.rests_to(strike.at);
        let is_last = end == room.length.0;
        let rings_over = is_last && room.rings_over && strike.until > end;
        let until = strike.until.min(end);
        if rings_over {
            carries = Carried {
                notes: strike.notes.clone(),
                until: Ticks(strike.until - end),
            };
        }
        filling.sound(strike, until, rings_over);
    }
    filling.rests_to(room.length.0);
    (filling.pieces, carries)
}

struct Strike {
    at: u32,
    until: u32,
    notes: Vec<usize>,
    from_before: bool,
}

fn strikes(room: Room, notes: &[(usize, &PlayedNote)], carried: &Carried) -> Vec<Strike> {
    let mut all: Vec<Strike> = Vec::new();
    if carried.until.0 > 0 {
        all.push(Strike {
            at: 0,
            until: carried.until.0,
            notes: carried.notes.clone(),
            from_before: true,
        });
    }
    let sounds = |note: &PlayedNote| note.thumb_move != Some(ThumbMove::Rest);
    for (idx, note) in notes.iter().filter(|(_, note)| sounds(note)) {
        let at = note.place.at.0;
        if at >= room.length.0 {
            continue;
        }
        let until = match note.length.0 {
            0 => room.length.0,
            length => at.saturating_add(length),
        };
        match all
            .last_mut()
            .filter(|strike| strike.at == at && !strike.from_before)
        {
            Some(strike) => {
                strike.notes.push(*idx);
                strike.until = strike.until.max(until);
            }
            None => all.push(Strike {
                at,
                until,
                notes: vec![*idx],
                from_before: false,
            }),
        }
    }
    // A note struck where the bar begins takes the place of what is carried into it.
    let struck_at_once = all.get(1).is_some_and(|strike| strike.at == 0);
    if struck_at_once && all.first().is_some_and(|strike| strike.from_before) {
        all.remove(0);
    }
    all
}

struct Filling {
    room: Room,
    pieces: Vec<Piece>,
    cursor: u32,
}

impl Filling {
    fn sound(&mut self, strike: Strike, until: u32, into_next_bar: bool) {
        let mut from_before = strike.from_before;
        while self.cursor < until {
            let left = self.before_middle(until - self.cursor);
            let written = Written::fitting(Ticks(self.cursor), left, self.room.meter);
            let length = written.ticks(self.room.meter).0.clamp(1, left.0);
            let end = self.cursor + length;
            self.push(
                length,
                written,
                What::Notes {
                    notes: strike.notes.clone(),
                    from_before,
                    into_next: end < until || into_next_bar,
                },
            );
            from_before = true;
        }
    }

    /// In a bar of four beats a value that begins on the second does not hide the third, but for a
    /// half that ends with it (Gould, Behind Bars, from memory; common practice).
    fn before_middle(&self, left: u32) -> Ticks {
        let bar_of_four = self.room.length.0 == 4 * TICKS_PER_BEAT;
        let hides = bar_of_four && self.cursor == TICKS_PER_BEAT && left != 2 * TICKS_PER_BEAT;
        Ticks(if hides {
            left.min(TICKS_PER_BEAT)
        } else {
            left
        })
    }

    fn rests_to(&mut self, end: u32) {
        let bar = self.room.length;
        let meter = self.room.meter;
        if self.cursor == 0 && end == bar.0 && self.pieces.is_empty() {
            let written = Written::fitting(Ticks(0), bar, meter);
            self.push(bar.0, written, What::BarRest);
            return;
        }
        for rest in rests_between(Ticks(self.cursor), Ticks(end), bar, meter) {
            let length = rest.written.ticks(meter).0;
            self.push(length, rest.written, What::Rest);
        }
        if self.cursor < end {
            // A sliver shorter than any value keeps the bar whole.
            let left = end - self.cursor;
            let written = Written::fitting(Ticks(self.cursor), Ticks(left), meter);
            self.push(left, written, What::Rest);
        }
    }

    fn push(&mut self, length: u32, written: Written, what: What) {
        if length > 0 {
            self.pieces.push(Piece {
                at: Ticks(self.cursor),
                length: Ticks(length),
                written,
                what,
            });
            self.cursor += length;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::Lane;
    use crate::arrange::Place;
    use crate::arrange::PluckFinger;
    use crate::instrument::StringIdx;
    use crate::theory::Articulation;
    use crate::theory::Letter;
    use crate::theory::Midi;
    use crate::theory::Spelling;

    fn note(at: u32, length: u32) -> PlayedNote {
        PlayedNote {
            place: Place {
                bar: 0,
                at: Ticks(at),
            },
            length: Ticks(length),
            string: StringIdx(3),
            fret: 5,
            finger: None,
            pluck: PluckFinger::I,
            lane: Lane::Fingers,
            pitch: Midi::clamped(60),
            spelling: Spelling::new(Letter::C, 0),
            thumb_move: None,
            articulation: Articulation::Ring,
            slide_from: None,
        }
    }

    /// `r` a rest, `n` a note, with `-` on the sides where it is tied, then its length.
    fn shown(notes: &[PlayedNote], length: u32, rings_over: bool, carried: &Carried) -> String {
        let room = Room {
            length: Ticks(length),
            meter: Meter::COMMON,
            rings_over,
        };
        let notes: Vec<(usize, &PlayedNote)> = notes.iter().enumerate().collect();
        let (pieces, over) = fill(room, &notes, carried);
        let sum: u32 = pieces.iter().map(|piece| piece.length.0).sum();
        assert_eq!(sum, length, "the bar is full");
        let words = pieces.iter().map(|piece| match &piece.what {
            What::BarRest => "bar".into(),
            What::Rest => format!("r{}", piece.length.0),
            What::Notes {
                from_before,
                into_next,
                ..
            } => {
                let tie = |tied: bool| if tied { "-" } else { "" };
                format!(
                    "{}n{}{}",
                    tie(*from_before),
                    piece.length.0,
                    tie(*into_next)
                )
            }
        });
        let words: Vec<String> = words.collect();
        format!("{} | {}", words.join(" "), over.until.0)
    }

    #[test]
    fn bars_are_full_and_what_rings_is_tied() {
        // Values that show the beat, ties over beats and bar lines: common practice.
        let none = Carried::default();
        let held = Carried {
            notes: vec![0],
            until: Ticks(960),
        };
        let bar = 3840;
        assert_eq!(shown(&[], bar, true, &none), "bar | 0");
        let offbeat = [note(480, 1440)];
        assert_eq!(
            shown(&offbeat, bar, true, &none),
            "r480 n480- -n960 r1920 | 0"
        );
        let held_on = [note(480, 1920)];
        assert_eq!(
            shown(&held_on, bar, true, &none),
            "r480 n480- -n960- -n480 r480 r960 | 0"
        );
        let half = [note(960, 1920)];
        assert_eq!(shown(&half, bar, true, &none), "r960 n1920 r960 | 0");
        let last = [note(3360, 1440)];
        let rests = "r1920 r960 r480";
        assert_eq!(
            shown(&last, bar, true, &none),
            format!("{rests} n480- | 960")
        );
        assert_eq!(shown(&last, bar, false, &none), format!("{rests} n480 | 0"));
        assert_eq!(shown(&[], bar, true, &held), "-n960 r960 r1920 | 0");
        let early = [note(480, 480)];
        assert_eq!(shown(&early, bar, true, &held), "-n480 n480 r960 r1920 | 0");
        let at_once = [note(0, 480)];
        assert_eq!(
            shown(&at_once, bar, true, &held),
            "n480 r480 r960 r1920 | 0"
        );
        let odd = [note(100, 50)];
        shown(&odd, 1000, true, &none);
    }
}
