//! A voice of a bar without gaps: what sounds is cut into note values joined by ties, what is left
//! is rests, and the lengths add up to the bar. What rings over a bar line goes on behind it. A chord
//! is as long as its longest note and ends where its voice strikes again. Values and rests are those
//! of the written rhythm; nothing is lengthened.

use super::Written;
use super::rests_between;
use crate::theory::Meter;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;

/// A note that a voice strikes in a bar.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Struck {
    /// Its place in the arrangement's list.
    pub note: usize,
    /// Where in the bar.
    pub at: Ticks,
    /// How long it is written; 0 lasts to the end of the bar.
    pub length: Ticks,
}

/// A note in a piece.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Sounding {
    /// Its place in the arrangement's list.
    pub note: usize,
    /// Whether it sounds on from the piece before.
    pub from_before: bool,
    /// Whether it sounds on into the next piece.
    pub into_next: bool,
}

/// What a piece is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum What {
    /// A rest that fills the bar.
    BarRest,
    /// A rest.
    Rest,
    /// Notes that sound together, at least one.
    Notes(Vec<Sounding>),
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

impl Piece {
    /// Its notes; none in a rest.
    #[must_use]
    pub fn notes(&self) -> &[Sounding] {
        match &self.what {
            What::Notes(notes) => notes,
            What::BarRest | What::Rest => &[],
        }
    }
}

/// What sounds on into the bar written next: notes, and how far into that bar.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Carried(Vec<(usize, Ticks)>);

impl Carried {
    /// Whether nothing sounds on.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
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
pub fn fill(room: Room, notes: &[Struck], carried: &Carried) -> (Vec<Piece>, Carried) {
    let spans = spans(room, notes, carried);
    let mut filling = Filling {
        room,
        pieces: Vec::new(),
        cursor: 0,
    };
    let mut edges: Vec<u32> = spans.iter().flat_map(|s| [s.from, s.until]).collect();
    edges.retain(|edge| *edge < room.length.0);
    edges.push(room.length.0);
    edges.sort_unstable();
    edges.dedup();
    for end in edges {
        let start = filling.cursor;
        let here: Vec<Span> = (spans.iter().copied())
            .filter(|span| span.from <= start && span.until > start)
            .collect();
        if here.is_empty() {
            filling.rests_to(end);
        } else {
            filling.sound(&here, end);
        }
    }
    let over = spans
        .iter()
        .filter(|s| s.until > room.length.0 && room.rings_over);
    let over = over.map(|s| (s.note, Ticks(s.until - room.length.0)));
    (filling.pieces, Carried(over.collect()))
}

/// How long a note is written.
#[derive(Clone, Copy)]
struct Span {
    note: usize,
    from: u32,
    until: u32,
    from_before: bool,
}

fn spans(room: Room, notes: &[Struck], carried: &Carried) -> Vec<Span> {
    let mut spans: Vec<Span> = (carried.0.iter())
        .map(|(note, until)| Span {
            note: *note,
            from: 0,
            until: until.0,
            from_before: true,
        })
        .collect();
    let inside = notes.iter().filter(|struck| struck.at < room.length);
    spans.extend(inside.map(|struck| Span {
        note: struck.note,
        from: struck.at.0,
        until: match struck.length.0 {
            0 => room.length.0,
            length => struck.at.0.saturating_add(length),
        },
        from_before: false,
    }));
    // A chord is as long as its longest note and ends where anything is struck after it.
    let all = spans.clone();
    for span in &mut spans {
        let with = |other: &&Span| other.from == span.from && other.from_before == span.from_before;
        let longest = all.iter().filter(with).map(|other| other.until).max();
        let later =
            |other: &&Span| !other.from_before && (other.from > span.from || span.from_before);
        let next = all.iter().filter(later).map(|other| other.from).min();
        let until = longest.unwrap_or(span.until);
        span.until = until.min(next.unwrap_or(u32::MAX));
    }
    spans.retain(|span| span.until > span.from);
    spans
}

struct Filling {
    room: Room,
    pieces: Vec<Piece>,
    cursor: u32,
}

impl Filling {
    /// Notes that sound together up to a place.
    fn sound(&mut self, spans: &[Span], until: u32) {
        while self.cursor < until {
            let left = self.before_middle(until - self.cursor);
            let written = Written::fitting(Ticks(self.cursor), left, self.room.meter);
            let length = written.ticks(self.room.meter).0.clamp(1, left.0);
            let (start, end) = (self.cursor, self.cursor + length);
            let goes_on = |span: &Span| {
                let over = end == self.room.length.0;
                span.until > end && (!over || self.room.rings_over)
            };
            let notes = spans.iter().map(|span| Sounding {
                note: span.note,
                from_before: span.from_before || span.from < start,
                into_next: goes_on(span),
            });
            let notes = What::Notes(notes.collect());
            self.push(length, written, notes);
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
    fn note(at: u32, length: u32) -> Struck {
        Struck {
            note: 0,
            at: Ticks(at),
            length: Ticks(length),
        }
    }

    /// `r` a rest, `n` a note, with `-` on the sides where it is tied, then its length.
    fn shown(notes: &[Struck], length: u32, rings_over: bool, carried: &Carried) -> String {
        let room = Room {
            length: Ticks(length),
            meter: Meter::COMMON,
            rings_over,
        };
        let (pieces, over) = fill(room, notes, carried);
        let sum: u32 = pieces.iter().map(|piece| piece.length.0).sum();
        assert_eq!(sum, length, "the bar is full");
        let words = pieces.iter().map(|piece| match &piece.what {
            What::BarRest => "bar".into(),
            What::Rest => format!("r{}", piece.length.0),
            What::Notes(notes) => {
                let tie = |tied: bool| if tied { "-" } else { "" };
                let shown = notes
                    .iter()
                    .map(|n| format!("{}n{}", tie(n.from_before), tie(n.into_next)));
                let shown: Vec<String> = shown.collect();
                format!("{}{}", shown.join(","), piece.length.0)
            }
        });
        let words: Vec<String> = words.collect();
        let over = over.0.iter().map(|(_, until)| until.0).max();
        format!("{} | {}", words.join(" "), over.unwrap_or(0))
    }

    #[test]
    fn bars_are_full_and_what_rings_is_tied() {
        // Values that show the beat, ties over beats and bar lines: common practice.
        let none = Carried::default();
        let held = Carried(vec![(0, Ticks(960))]);
        let bar = 3840;
        assert_eq!(shown(&[], bar, true, &none), "bar | 0");
        let offbeat = [note(480, 1440)];
        assert_eq!(
            shown(&offbeat, bar, true, &none),
            "r480 n-480 -n960 r1920 | 0"
        );
        let held_on = [note(480, 1920)];
        assert_eq!(
            shown(&held_on, bar, true, &none),
            "r480 n-480 -n-960 -n480 r480 r960 | 0"
        );
        let half = [note(960, 1920)];
        assert_eq!(shown(&half, bar, true, &none), "r960 n1920 r960 | 0");
        let last = [note(3360, 1440)];
        let rests = "r1920 r960 r480";
        assert_eq!(
            shown(&last, bar, true, &none),
            format!("{rests} n-480 | 960")
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
        let ended = [note(0, 1920), note(960, 960)];
        assert_eq!(shown(&ended, bar, true, &none), "n960 n960 r1920 | 0");
        let chord = [note(0, 480), note(0, 960)];
        assert_eq!(shown(&chord, bar, true, &none), "n,n960 r960 r1920 | 0");
        let odd = [note(100, 50)];
        shown(&odd, 1000, true, &none);
    }
}
