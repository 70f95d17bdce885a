//! Written rhythm: from places and lengths in ticks to note values, rests and beams. The thumb
//! and the fingers are two voices; rhythm is written in straight eighths whatever the swing. A
//! note that rings on past its written value keeps a simple value and gets an open tie, and no
//! rest is written while it sounds. Never changes when anything is played.

pub mod groups;
pub mod pieces;

use crate::arrange::Lane;
use crate::arrange::PlayedNote;
use crate::theory::Articulation;
use crate::theory::Meter;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;

/// A note value.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Value {
    /// Four quarters.
    Whole,
    /// Two quarters.
    Half,
    /// A quarter.
    Quarter,
    /// Half a quarter.
    Eighth,
    /// A quarter of a quarter.
    Sixteenth,
}

impl Value {
    /// Whether its stem carries flags or beams.
    #[must_use]
    pub const fn is_beamable(self) -> bool {
        matches!(self, Self::Eighth | Self::Sixteenth)
    }
}

/// A value as it is written.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Written {
    /// The value.
    pub value: Value,
    /// Longer by half.
    pub dotted: bool,
    /// Three in the time of two.
    pub triplet: bool,
}

/// Value, dot, and length in sixteenths.
const VALUES: [(Value, bool, u32); 9] = [
    (Value::Whole, true, 24),
    (Value::Whole, false, 16),
    (Value::Half, true, 12),
    (Value::Half, false, 8),
    (Value::Quarter, true, 6),
    (Value::Quarter, false, 4),
    (Value::Eighth, true, 3),
    (Value::Eighth, false, 2),
    (Value::Sixteenth, false, 1),
];

const fn sixteenth(meter: Meter) -> u32 {
    if meter.is_compound() {
        TICKS_PER_BEAT / 6
    } else {
        TICKS_PER_BEAT / 4
    }
}

impl Written {
    const fn plain(value: Value) -> Self {
        Self {
            value,
            dotted: false,
            triplet: false,
        }
    }

    /// Its length.
    #[must_use]
    pub fn ticks(self, meter: Meter) -> Ticks {
        let sixteenths = VALUES
            .iter()
            .find(|(value, dotted, _)| *value == self.value && *dotted == self.dotted)
            .map_or(1, |(_, _, length)| *length);
        let ticks = sixteenths * sixteenth(meter);
        Ticks(if self.triplet { ticks * 2 / 3 } else { ticks })
    }

    /// The longest value that fits into `length` and shows the beat: it crosses a beat only if it
    /// starts on one.
    #[must_use]
    pub fn fitting(at: Ticks, length: Ticks, meter: Meter) -> Self {
        let within = at.within_beat();
        let to_beat = TICKS_PER_BEAT - within;
        let room = if within == 0 {
            length.0
        } else {
            length.0.min(to_beat)
        };
        let third = TICKS_PER_BEAT / 3;
        let quarter = TICKS_PER_BEAT / 4;
        let off_grid = !within.is_multiple_of(quarter) || !room.is_multiple_of(quarter);
        if !meter.is_compound() && room < TICKS_PER_BEAT && off_grid {
            let value = match room {
                r if r >= 2 * third => Value::Quarter,
                r if r >= third => Value::Eighth,
                _ => Value::Sixteenth,
            };
            return Self {
                triplet: true,
                ..Self::plain(value)
            };
        }
        let room = if meter.is_compound() && room > TICKS_PER_BEAT {
            room - room % TICKS_PER_BEAT
        } else {
            room
        };
        let unit = sixteenth(meter);
        let whole_beats = meter.is_compound() && room >= TICKS_PER_BEAT;
        VALUES
            .iter()
            .filter(|(_, _, length)| !whole_beats || (length * unit).is_multiple_of(TICKS_PER_BEAT))
            .find(|(_, _, length)| length * unit <= room)
            .map_or(Self::plain(Value::Sixteenth), |(value, dotted, _)| Self {
                value: *value,
                dotted: *dotted,
                triplet: false,
            })
    }
}

/// Notes of a voice that start together.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Strike {
    /// Where in the bar.
    pub at: Ticks,
    /// Places in the arrangement's list of notes.
    pub notes: Vec<usize>,
    /// The value written.
    pub written: Written,
    /// Whether it sounds on past its written value.
    pub rings_on: bool,
    /// Whether every note is stopped short.
    pub short: bool,
}

/// A rest.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Rest {
    /// Where in the bar.
    pub at: Ticks,
    /// The value written.
    pub written: Written,
}

/// One voice in one bar.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct BarVoice {
    /// Strikes by place.
    pub strikes: Vec<Strike>,
    /// Rests by place. A bar without any strike has none.
    pub rests: Vec<Rest>,
    /// Strikes under one beam, at least two each, as places in `strikes`.
    pub beams: Vec<Vec<usize>>,
}

/// A voice of the sheet.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Voice {
    /// Fingers and tune, stems up.
    Upper,
    /// Thumb, stems down.
    Lower,
}

impl Voice {
    /// The voice a lane is written in.
    #[must_use]
    pub const fn of(lane: Lane) -> Self {
        match lane {
            Lane::Thumb => Self::Lower,
            Lane::Tune | Lane::Fingers => Self::Upper,
        }
    }
}

/// Writes one voice of one bar. `carried` is how far into this bar notes of earlier bars still
/// sound; the second value is the same for the bar after.
#[must_use]
pub fn write_voice(
    notes: &[(usize, &PlayedNote)],
    length: Ticks,
    meter: Meter,
    carried: Ticks,
) -> (BarVoice, Ticks) {
    let mut strikes = gather(notes);
    let starts: Vec<u32> = strikes.iter().map(|(strike, _)| strike.at.0).collect();
    let mut sounding_until = carried.0;
    let mut voice = BarVoice::default();
    let any = !strikes.is_empty();
    for (i, (strike, sounds)) in strikes.iter_mut().enumerate() {
        let next = starts.get(i + 1).copied().unwrap_or(length.0);
        let gap = next.saturating_sub(strike.at.0);
        let room = if *sounds == 0 { gap } else { gap.min(*sounds) };
        strike.written = Written::fitting(strike.at, Ticks(room), meter);
        let written_end = strike.at.0 + strike.written.ticks(meter).0;
        let sound_end = strike.at.0 + *sounds;
        strike.rings_on = !strike.short && sound_end > written_end;
        add_rests(
            &mut voice.rests,
            sounding_until,
            strike.at.0,
            length.0,
            meter,
        );
        let covered = if strike.short {
            written_end
        } else {
            written_end.max(sound_end)
        };
        sounding_until = sounding_until.max(covered);
    }
    if any {
        add_rests(&mut voice.rests, sounding_until, length.0, length.0, meter);
    }
    voice.strikes = strikes.into_iter().map(|(strike, _)| strike).collect();
    voice.beams = beams(&voice.strikes, meter);
    (voice, Ticks(sounding_until.saturating_sub(length.0)))
}

/// Strikes by place, each with the longest length of its notes.
fn gather(notes: &[(usize, &PlayedNote)]) -> Vec<(Strike, u32)> {
    let mut strikes: Vec<(Strike, u32)> = Vec::new();
    for (idx, note) in notes {
        let short = note.articulation == Articulation::Short;
        match strikes.last_mut().filter(|(s, _)| s.at == note.place.at) {
            Some((strike, sounds)) => {
                strike.notes.push(*idx);
                strike.short &= short;
                *sounds = note.length.0.max(*sounds);
            }
            None => strikes.push((
                Strike {
                    at: note.place.at,
                    notes: vec![*idx],
                    written: Written::plain(Value::Quarter),
                    rings_on: false,
                    short,
                },
                note.length.0,
            )),
        }
    }
    strikes
}

/// The rests of a stretch of a bar that is so long; a sliver shorter than any value gets none.
#[must_use]
pub fn rests_between(from: Ticks, to: Ticks, bar: Ticks, meter: Meter) -> Vec<Rest> {
    let mut rests = Vec::new();
    add_rests(&mut rests, from.0, to.0, bar.0, meter);
    rests
}

fn add_rests(rests: &mut Vec<Rest>, from: u32, to: u32, bar: u32, meter: Meter) {
    let mut at = from;
    while at < to {
        let within = at % TICKS_PER_BEAT;
        let beat = at / TICKS_PER_BEAT;
        let room = if within == 0 {
            let beats = (to - at) / TICKS_PER_BEAT;
            // A half rest never hides the middle of a bar of four (common practice).
            let pair = beats >= 2 && beat.is_multiple_of(2) && bar == 4 * TICKS_PER_BEAT;
            let whole_beats = if pair { 2 } else { beats.min(1) };
            if whole_beats > 0 {
                whole_beats * TICKS_PER_BEAT
            } else {
                to - at
            }
        } else {
            (TICKS_PER_BEAT - within).min(to - at)
        };
        let written = Written::fitting(Ticks(at), Ticks(room), meter);
        let length = written.ticks(meter).0;
        if length > room {
            return; // a sliver shorter than the shortest value is not written
        }
        rests.push(Rest {
            at: Ticks(at),
            written,
        });
        at += length;
    }
}

fn beams(strikes: &[Strike], meter: Meter) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    let mut open_end = 0;
    for (i, strike) in strikes.iter().enumerate() {
        let joins = strike.written.value.is_beamable()
            && !open.is_empty()
            && open_end == strike.at.0
            && strike.at.within_beat() != 0;
        if !joins {
            groups.push(std::mem::take(&mut open));
        }
        if strike.written.value.is_beamable() {
            open.push(i);
        }
        open_end = strike.at.0 + strike.written.ticks(meter).0;
    }
    groups.push(open);
    groups.retain(|group| group.len() > 1);
    groups
}

#[cfg(test)]
mod tests;
