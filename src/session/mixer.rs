//! How loud each lane is heard: mute, solo, level. Belongs to listening, not to the document: it
//! is remembered while the program runs and saved nowhere. Knows no sound.

use crate::arrange::Lane;

/// How one lane is heard.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LaneMix {
    /// Silent, whatever else is set.
    pub muted: bool,
    /// As long as any lane has this, only those that have it are heard.
    pub solo: bool,
    /// Loudness, 0 to 1.
    pub level: f32,
}

impl Default for LaneMix {
    fn default() -> Self {
        Self {
            muted: false,
            solo: false,
            level: 1.0,
        }
    }
}

/// All lanes.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Mixer {
    tune: LaneMix,
    fingers: LaneMix,
    thumb: LaneMix,
}

impl Mixer {
    /// Every lane, top to bottom.
    pub const LANES: [Lane; 3] = [Lane::Tune, Lane::Fingers, Lane::Thumb];

    /// How a lane is set.
    #[must_use]
    pub const fn lane(&self, lane: Lane) -> LaneMix {
        match lane {
            Lane::Tune => self.tune,
            Lane::Fingers => self.fingers,
            Lane::Thumb => self.thumb,
        }
    }

    /// Sets a lane. A level outside 0 to 1 is brought there; one that is no number is 0.
    pub const fn set(&mut self, lane: Lane, mix: LaneMix) {
        let level = if mix.level.is_nan() {
            0.0
        } else {
            mix.level.clamp(0.0, 1.0)
        };
        let place = match lane {
            Lane::Tune => &mut self.tune,
            Lane::Fingers => &mut self.fingers,
            Lane::Thumb => &mut self.thumb,
        };
        *place = LaneMix { level, ..mix };
    }

    /// How loud a lane is heard, 0 to 1. Mute is stronger than solo, as on mixing desks (common
    /// practice).
    #[must_use]
    pub fn gain(&self, lane: Lane) -> f32 {
        let any_solo = Self::LANES.iter().any(|lane| self.lane(*lane).solo);
        let mix = self.lane(lane);
        if mix.muted || (any_solo && !mix.solo) {
            0.0
        } else {
            mix.level
        }
    }

    /// Whether every lane is heard at full level.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        *self == Self::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solo_leaves_the_others_silent_and_mute_is_stronger() {
        let mix = |muted, solo, level| LaneMix { muted, solo, level };
        let plain = LaneMix::default();
        let rows = [
            ([plain, plain, plain], [1.0, 1.0, 1.0]),
            ([plain, mix(true, false, 1.0), plain], [1.0, 0.0, 1.0]),
            ([plain, mix(false, true, 0.5), plain], [0.0, 0.5, 0.0]),
            (
                [mix(false, true, 1.0), mix(false, true, 0.25), plain],
                [1.0, 0.25, 0.0],
            ),
            ([plain, plain, mix(true, true, 1.0)], [0.0, 0.0, 0.0]),
            (
                [mix(false, false, 7.0), mix(false, false, f32::NAN), plain],
                [1.0, 0.0, 1.0],
            ),
        ];
        for (lanes, gains) in rows {
            let mut mixer = Mixer::default();
            for (lane, mix) in Mixer::LANES.into_iter().zip(lanes) {
                mixer.set(lane, mix);
            }
            let heard = Mixer::LANES.map(|lane| mixer.gain(lane).to_bits());
            assert_eq!(heard, gains.map(f32::to_bits), "{lanes:?}");
        }
        assert!(Mixer::default().is_plain());
    }
}
