//! Everything that stands at one moment of the staff: heads of all voices, accidentals, dots, rests
//! and what notes slide from, side by side without touching. Seconds stand on both sides of their
//! stem; a voice that would run into another moves to the right; a head that two voices share is
//! struck twice (Gould, Behind Bars, from memory; common practice). Places are staff spaces from
//! the column's middle, heights steps above the bottom line. Never looks at other moments.

use super::Area;
use super::StaffVoice;
use super::TOP_LINE;
use super::rests;
use super::rests::RestAt;
use super::signs;
use super::signs::Sign;
use super::slides;
use super::slides::Slid;
use super::stems;
use super::step_of;
use crate::arrange::PlayedNote;
use crate::score::accidentals::Signed;
use crate::score::pages::smufl;
use crate::score::rhythm::Value;
use crate::score::rhythm::pieces::Piece;
use crate::score::rhythm::pieces::Sounding;
use crate::score::staff_pitch::Pitch;
use crate::theory::Articulation;
use crate::theory::Key;
use crate::theory::ThumbMove;
use crate::theory::Ticks;

/// The form of a head.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Shape {
    /// A quarter or shorter, a half or a whole.
    pub value: Value,
    /// Whether it is a cross.
    pub ghost: bool,
}

impl Shape {
    /// Its sign.
    #[must_use]
    pub const fn code(self) -> char {
        match (self.value, self.ghost) {
            (Value::Whole, false) => smufl::HEAD_WHOLE,
            (Value::Half, false) => smufl::HEAD_HALF,
            (_, false) => smufl::HEAD_BLACK,
            (Value::Whole, true) => smufl::HEAD_X_WHOLE,
            (Value::Half, true) => smufl::HEAD_X_HALF,
            (_, true) => smufl::HEAD_X_BLACK,
        }
    }

    /// Its width.
    #[must_use]
    pub fn width(self) -> f64 {
        let area = Area::of_glyph(self.code(), 0.0, 0, 1.0);
        area.right
    }

    /// How far from its middle the stem begins, towards the stem's end.
    const fn stem_joins(self) -> f64 {
        if self.ghost {
            smufl::STEM_JOINS_X
        } else {
            smufl::STEM_JOINS
        }
    }
}

/// A head.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Head {
    /// Which voice.
    pub voice: usize,
    /// Which piece of that voice.
    pub piece: usize,
    /// The note's place in the arrangement's list.
    pub note: usize,
    /// Its height.
    pub step: i32,
    /// Its left end.
    pub x: f64,
    /// Its width.
    pub width: f64,
    /// Its form.
    pub shape: Shape,
    /// Whether it sounds on from the piece before.
    pub from_before: bool,
}

impl Head {
    /// Its right end.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.x + self.width
    }

    fn area(&self) -> Area {
        let y = f64::from(self.step) / 2.0;
        Area {
            left: self.x,
            right: self.right(),
            bottom: y - 0.5,
            top: y + 0.5,
        }
    }
}

/// Heads of one voice with their stem.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Chord {
    /// Which voice.
    pub voice: usize,
    /// Which piece of that voice.
    pub piece: usize,
    /// Whether its stem goes up.
    pub up: bool,
    /// Its value.
    pub value: Value,
    /// The middle of its stem.
    pub stem_x: f64,
    /// Its lowest head.
    pub low: i32,
    /// Its highest head.
    pub high: i32,
    /// From the middle of the head farthest from the stem's end to where the stem begins.
    pub joins: f64,
    /// Whether every note is stopped short.
    pub short: bool,
    /// Whether a dot, a tie or a head beyond the stem stands where a flag would hang.
    pub is_followed: bool,
}

impl Chord {
    /// Its head nearest to the stem's end.
    #[must_use]
    pub const fn near(&self) -> i32 {
        if self.up { self.high } else { self.low }
    }

    /// About where its stem stands, if it has one.
    fn stem_area(&self) -> Area {
        let half = smufl::STEM / 2.0;
        let (low, high) = (f64::from(self.low) / 2.0, f64::from(self.high) / 2.0);
        Area {
            left: self.stem_x - half,
            right: self.stem_x + half,
            bottom: if self.up { low } else { low - 3.5 },
            top: if self.up { high + 3.5 } else { high },
        }
    }

    /// Whether it has a flag.
    fn is_flagged(&self, voices: &[StaffVoice]) -> bool {
        let voice = voices.get(self.voice);
        self.value.is_beamable() && voice.is_some_and(|voice| !voice.is_beamed(self.piece))
    }

    /// About where its flag hangs, if it has one.
    fn flag_area(&self) -> Area {
        const HEIGHT: f64 = 3.4;
        let end = stems::end(self.near(), self.up, self.value) / 2.0;
        Area {
            left: self.stem_x,
            right: self.stem_x + smufl::FLAG_WIDTH,
            bottom: if self.up { end - HEIGHT } else { end - 0.5 },
            top: if self.up { end + 0.5 } else { end + HEIGHT },
        }
    }

    /// Whether it has a stem.
    #[must_use]
    pub fn has_stem(&self) -> bool {
        self.value != Value::Whole
    }
}

/// What stands at one moment.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Cluster {
    /// Where in the bar.
    pub at: Ticks,
    /// Heads, voice by voice, each from its stem's beginning.
    pub heads: Vec<Head>,
    /// Chords, voice by voice.
    pub chords: Vec<Chord>,
    /// Accidentals.
    pub signs: Vec<Sign>,
    /// Dots: left end and height.
    pub dots: Vec<(f64, i32)>,
    /// Leger lines: left end, right end and height.
    pub legers: Vec<(f64, f64, i32)>,
    /// What notes slide from.
    pub slides: Vec<Slid>,
    /// Rests.
    pub rests: Vec<RestAt>,
    /// Needed left of the column's middle.
    pub left: f64,
    /// Needed right of it.
    pub right: f64,
}

/// The clusters of a bar.
#[must_use]
pub fn all(voices: &[StaffVoice], notes: &[PlayedNote], signed: &Signed, key: Key) -> Vec<Cluster> {
    let mut moments: Vec<Ticks> = voices
        .iter()
        .flat_map(|voice| voice.pieces.iter().map(|piece| piece.at))
        .collect();
    moments.sort_unstable();
    moments.dedup();
    let one = |at| one(at, voices, notes, signed, key);
    moments.into_iter().map(one).collect()
}

fn one(
    at: Ticks,
    voices: &[StaffVoice],
    notes: &[PlayedNote],
    signed: &Signed,
    key: Key,
) -> Cluster {
    let mut cluster = Cluster {
        at,
        ..Cluster::default()
    };
    for (i, voice) in voices.iter().enumerate() {
        let here = voice.pieces.binary_search_by_key(&at, |piece| piece.at);
        let found = here.ok().and_then(|p| Some((p, voice.pieces.get(p)?)));
        if let Some((p, piece)) = found {
            cluster.add_chord((i, p), piece, voice.is_up(p), notes);
        }
    }
    cluster.add_dots(voices);
    cluster.add_legers();
    let mut obstacles: Vec<Area> = cluster.heads.iter().map(Head::area).collect();
    obstacles.extend(cluster.legers.iter().map(|(left, right, step)| Area {
        left: *left,
        right: *right,
        bottom: f64::from(*step) / 2.0 - 0.1,
        top: f64::from(*step) / 2.0 + 0.1,
    }));
    let stems = cluster.chords.iter().filter(|chord| chord.has_stem());
    obstacles.extend(stems.map(Chord::stem_area));
    let flagged = cluster
        .chords
        .iter()
        .filter(|chord| chord.is_flagged(voices));
    obstacles.extend(flagged.map(Chord::flag_area));
    cluster.add_signs(notes, signed, &mut obstacles);
    cluster.slides = slides::before(&cluster, notes, signed, key, &mut obstacles);
    cluster.rests = rests::at(at, voices, notes, &cluster);
    cluster.measure(voices, &obstacles);
    cluster
}

impl Cluster {
    fn add_chord(
        &mut self,
        (voice, piece_idx): (usize, usize),
        piece: &Piece,
        up: bool,
        notes: &[PlayedNote],
    ) {
        let mut heads: Vec<Head> = piece
            .notes()
            .iter()
            .filter_map(|held| {
                let note = notes.get(held.note)?;
                let shape = Shape {
                    value: piece.written.value,
                    ghost: note.thumb_move == Some(ThumbMove::Ghost),
                };
                Some(Head {
                    voice,
                    piece: piece_idx,
                    note: held.note,
                    step: step_of(Pitch::of(note)),
                    x: 0.0,
                    width: shape.width(),
                    shape,
                    from_before: held.from_before,
                })
            })
            .collect();
        heads.sort_by_key(|head| if up { head.step } else { -head.step });
        let (Some(first), Some(last)) = (heads.first().copied(), heads.last().copied()) else {
            return;
        };
        spread_seconds(&mut heads, up);
        let is_spread = heads.iter().any(|head| head.x > 0.0);
        let is_short = |held: &Sounding| {
            let note = notes.get(held.note);
            !held.from_before && note.is_some_and(|n| n.articulation == Articulation::Short)
        };
        let mut chord = Chord {
            voice,
            piece: piece_idx,
            up,
            value: piece.written.value,
            stem_x: if up {
                first.width / 2.0 - smufl::STEM / 2.0
            } else {
                smufl::STEM / 2.0 - first.width / 2.0
            },
            low: first.step.min(last.step),
            high: first.step.max(last.step),
            joins: first.shape.stem_joins(),
            short: piece.notes().iter().all(is_short),
            is_followed: piece.written.dotted || goes_on(piece) || (up && is_spread),
        };
        let aside = self.aside(&heads, &chord);
        chord.stem_x += aside;
        for head in &mut heads {
            head.x += aside;
        }
        self.heads.extend(heads);
        self.chords.push(chord);
    }

    /// How far a voice moves to the right so that it clears the voices before it.
    fn aside(&self, heads: &[Head], chord: &Chord) -> f64 {
        if self.heads.is_empty() {
            return 0.0;
        }
        let own_left = heads.iter().map(|h| h.x).fold(f64::INFINITY, f64::min);
        let base = heads.first().map_or(0.0, |head| head.x);
        let near = self.heads.iter().map(|head| head.width / 2.0);
        let near = near.fold(0.0, f64::max);
        let far = self.heads.iter().map(Head::right).fold(near, f64::max);
        let tries = [
            0.0,
            near - base,
            near - base + 0.25,
            far - own_left,
            far - own_left + 0.25,
        ];
        let fine = |by: &f64| !self.collides(heads, chord, *by);
        let best = tries.into_iter().find(fine);
        best.unwrap_or(far - own_left + 0.4)
    }

    fn collides(&self, heads: &[Head], chord: &Chord, by: f64) -> bool {
        const TOUCH: f64 = 0.03;
        let heads_touch = self.heads.iter().any(|a| {
            heads.iter().any(|b| {
                let apart = a.right() - TOUCH <= b.x + by || b.right() + by <= a.x + TOUCH;
                let shared =
                    a.step == b.step && a.shape == b.shape && (a.x - b.x - by).abs() < 0.01;
                !apart && !shared && (a.step - b.step).abs() <= 1
            })
        });
        let stem_in_head = |chord: &Chord, stem_x: f64, head: &Head, x: f64| {
            let beyond = if chord.up {
                head.step > chord.low
            } else {
                head.step < chord.high
            };
            let beside = stem_x > x - 0.1 && stem_x < x + head.width + 0.1;
            chord.has_stem() && beyond && beside
        };
        let stems_cross = self.chords.iter().any(|other| {
            let ours = |head| stem_in_head(other, other.stem_x, head, head.x + by);
            heads.iter().any(ours)
        });
        let stem_x = chord.stem_x + by;
        let theirs = |head: &Head| stem_in_head(chord, stem_x, head, head.x);
        heads_touch || stems_cross || self.heads.iter().any(theirs)
    }

    fn add_dots(&mut self, voices: &[StaffVoice]) {
        for chord in &self.chords {
            let piece = voices
                .get(chord.voice)
                .and_then(|v| v.pieces.get(chord.piece));
            if !piece.is_some_and(|piece| piece.written.dotted) {
                continue;
            }
            let own = self.heads.iter().filter(|h| h.voice == chord.voice);
            let mut steps: Vec<i32> = own.map(|head| head.step).collect();
            steps.sort_unstable_by_key(|step| if chord.up { -step } else { *step });
            let mut placed: Vec<i32> = Vec::new();
            for step in steps {
                // On a line it moves into the space on the voice's side.
                let aside = if chord.up { 1 } else { -1 };
                let space = if step % 2 == 0 { step + aside } else { step };
                let taken = |s: &i32| placed.contains(s) || self.dots.iter().any(|d| d.1 == *s);
                let free = [space, space - 2 * aside].into_iter().find(|s| !taken(s));
                placed.extend(free);
            }
            let in_way = self.heads.iter().filter(|head| {
                head.voice == chord.voice || placed.iter().any(|s| (s - head.step).abs() <= 1)
            });
            let right = in_way.map(Head::right).fold(chord.stem_x, f64::max);
            self.dots
                .extend(placed.into_iter().map(|s| (right + 0.3, s)));
        }
    }

    fn add_legers(&mut self) {
        let steps = || self.heads.iter().map(|head| head.step);
        let highest = steps().max().unwrap_or(0);
        let lowest = steps().min().unwrap_or(0);
        let above = (TOP_LINE + 2..=highest).step_by(2).map(|line| (line, true));
        let n_below = if lowest < -1 { (-lowest) / 2 } else { 0 };
        let below = (1..=n_below).map(|i| (-2 * i, false));
        let mut legers = Vec::new();
        for (line, is_above) in above.chain(below) {
            let beyond = |head: &&Head| {
                if is_above {
                    head.step >= line
                } else {
                    head.step <= line
                }
            };
            let held = || self.heads.iter().filter(beyond);
            let left = held().map(|h| h.x).fold(f64::INFINITY, f64::min);
            let right = held().map(Head::right).fold(f64::NEG_INFINITY, f64::max);
            let reach = smufl::LEGER_REACH;
            legers.push((left - reach, right + reach, line));
        }
        self.legers = legers;
    }

    fn add_signs(&mut self, notes: &[PlayedNote], signed: &Signed, obstacles: &mut Vec<Area>) {
        let carries = |head: &&Head| !head.from_before && signed.contains(&(head.note, false));
        let sign = |head: &Head| {
            let note = notes.get(head.note)?;
            Some(Sign {
                note: head.note,
                step: head.step,
                code: smufl::sign(note.spelling.alter()),
                x: head.x,
                size: 1.0,
            })
        };
        let mut all: Vec<Sign> = self.heads.iter().filter(carries).filter_map(sign).collect();
        signs::place(&mut all, obstacles);
        self.signs = all;
    }

    /// Width of a dot.
    pub const DOT: f64 = 0.4;

    /// Room for a tie that begins here.
    const TIE: f64 = 1.1;

    fn measure(&mut self, voices: &[StaffVoice], obstacles: &[Area]) {
        let mut left: f64 = 0.0;
        let mut right: f64 = 0.0;
        for area in obstacles {
            left = left.min(area.left);
            right = right.max(area.right);
        }
        for rest in &self.rests {
            left = left.min(-rest.half_width);
            right = right.max(rest.half_width + if rest.dotted { 0.8 } else { 0.0 });
        }
        for (x, _) in &self.dots {
            right = right.max(x + Self::DOT);
        }
        for chord in &self.chords {
            let Some(voice) = voices.get(chord.voice) else {
                continue;
            };
            if voice.pieces.get(chord.piece).is_some_and(goes_on) {
                let heads = self.heads.iter().filter(|h| h.voice == chord.voice);
                right = heads.map(Head::right).fold(right, f64::max).max(right) + Self::TIE;
            }
        }
        self.left = -left;
        self.right = right;
    }
}

/// Whether any note of a piece is tied to the next one.
fn goes_on(piece: &Piece) -> bool {
    piece.notes().iter().any(|held| held.into_next)
}

/// Puts heads of one chord side by side where they are a second or less apart. Expects them from
/// the stem's beginning.
fn spread_seconds(heads: &mut [Head], up: bool) {
    let mut taken: Vec<(i32, u8)> = Vec::new();
    for head in heads {
        let near = |column: u8| {
            let mut same = taken.iter().filter(|(_, c)| *c == column);
            same.any(|(step, _)| (step - head.step).abs() <= 1)
        };
        let column = (0..4).find(|c| !near(*c)).unwrap_or(4);
        taken.push((head.step, column));
        let by = f64::from(column) * (head.width - smufl::STEM);
        head.x = -head.width / 2.0 + if up { by } else { -by };
    }
}
