//! Comping rhythms of the fingers by name: terms of the trade where there are some, plain words
//! elsewhere. A pattern is laid over every bar alike; which notes are plucked is not its business.

use super::slots::usual_plucks;
use crate::theory::Articulation;
use crate::theory::Meter;
use crate::theory::Pluck;
use crate::theory::Ticks;

/// A rhythm of the fingers for every bar of a tune.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum PluckPattern {
    /// On 2 and 4 (of three beats: on 2 and 3), short.
    BackBeats,
    /// Charleston: on 1, ringing, and on the "and" of 2, short.
    Charleston,
    /// The Charleston half a beat later: on the "and" of 1, ringing, and on 3, short.
    LateCharleston,
    /// On every "and", short.
    OffBeats,
    /// Four (or as many as there are beats) short chords to the bar.
    EveryBeat,
    /// On the "and" of 1, ringing, and of 3, short: what a bar has where nobody says anything.
    TwoOffBeats,
    /// On 2, short, and before the bar line the chord of the next bar, ringing.
    Anticipation,
}

impl PluckPattern {
    /// Every pattern, in the order of the screen.
    pub const ALL: [Self; 7] = [
        Self::TwoOffBeats,
        Self::BackBeats,
        Self::Charleston,
        Self::LateCharleston,
        Self::OffBeats,
        Self::EveryBeat,
        Self::Anticipation,
    ];

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::BackBeats => "On 2 and 4",
            Self::Charleston => "Charleston",
            Self::LateCharleston => "Late Charleston",
            Self::OffBeats => "Every off-beat",
            Self::EveryBeat => "Every beat",
            Self::TwoOffBeats => "\"And\" of 1 and 3",
            Self::Anticipation => "Ahead of the bar",
        }
    }

    /// Its strikes in a full bar of a metre, by place.
    #[must_use]
    pub fn plucks(self, meter: Meter) -> Vec<Pluck> {
        let short = Articulation::Short;
        let ring = Articulation::Ring;
        let n_beats = meter.beats();
        let on = |beat: u32, articulation| Pluck::new(Ticks::of_beat(beat), articulation);
        let off = |beat: u32, articulation| Pluck::new(meter.offbeat(beat), articulation);
        let ahead = |pluck| Pluck {
            ahead: true,
            ..pluck
        };
        let mut plucks: Vec<Pluck> = match self {
            Self::BackBeats if n_beats == 3 => vec![on(1, short), on(2, short)],
            Self::BackBeats => (1..n_beats).step_by(2).map(|b| on(b, short)).collect(),
            Self::Charleston => vec![on(0, ring), off(1, short)],
            Self::LateCharleston => vec![off(0, ring), on(2, short)],
            Self::OffBeats => (0..n_beats).map(|b| off(b, short)).collect(),
            Self::EveryBeat => (0..n_beats).map(|b| on(b, short)).collect(),
            Self::TwoOffBeats => usual_plucks(meter, meter.bar(), &[]),
            Self::Anticipation => vec![on(1, short), ahead(off(n_beats.saturating_sub(1), ring))],
        };
        plucks.retain(|pluck| pluck.at < meter.bar());
        plucks
    }

    /// The pattern that has these strikes in a metre, if one has.
    #[must_use]
    pub fn of(plucks: &[Pluck], meter: Meter) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|pattern| pattern.plucks(meter) == plucks)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(pattern: PluckPattern, meter: &str) -> String {
        let meter = Meter::parse(meter).expect("a metre");
        let words = pattern.plucks(meter).into_iter().map(|pluck| {
            let beat = pluck.at.beat_idx() + 1;
            let and = if pluck.at.within_beat() > 0 { "&" } else { "" };
            let ahead = if pluck.ahead { ">" } else { "" };
            format!("{beat}{and}{}{ahead}", &pluck.articulation.word()[..1])
        });
        words.collect::<Vec<_>>().join(" ")
    }

    /// Common practice: the Charleston is a dotted quarter and an eighth, so its second stroke
    /// falls on the "and" of 2.
    #[test]
    fn patterns_fall_where_their_names_say() {
        for (pattern, meter, strikes) in [
            (PluckPattern::BackBeats, "4/4", "2s 4s"),
            (PluckPattern::BackBeats, "3/4", "2s 3s"),
            (PluckPattern::BackBeats, "6/8", "2s"),
            (PluckPattern::Charleston, "4/4", "1r 2&s"),
            (PluckPattern::LateCharleston, "4/4", "1&r 3s"),
            (PluckPattern::LateCharleston, "2/4", "1&r"),
            (PluckPattern::OffBeats, "3/4", "1&s 2&s 3&s"),
            (PluckPattern::EveryBeat, "5/4", "1s 2s 3s 4s 5s"),
            (PluckPattern::TwoOffBeats, "4/4", "1&r 3&s"),
            (PluckPattern::Anticipation, "4/4", "2s 4&r>"),
            (PluckPattern::Anticipation, "3/4", "2s 3&r>"),
        ] {
            assert_eq!(written(pattern, meter), strikes, "{pattern:?} in {meter}");
        }
    }

    #[test]
    fn a_pattern_is_known_by_its_strikes() {
        for meter in Meter::ALL {
            for pattern in PluckPattern::ALL {
                let found = PluckPattern::of(&pattern.plucks(meter), meter).expect("known");
                assert_eq!(found.plucks(meter), pattern.plucks(meter));
            }
        }
        assert_eq!(PluckPattern::of(&[], Meter::COMMON), None);
    }
}
