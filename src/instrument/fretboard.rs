//! Where fingertips meet strings, in micrometres. Frets count from the capo, geometry from the
//! real nut; every place is rounded once to a whole micrometre, so that distances are compared as
//! integers and give the same answer on every machine. Knows nothing of hands or of chords.

use super::grip::MAX_STRINGS;
use super::grip::StringIdx;
use super::tuning::Instrument;
use super::tuning::StringSet;

/// The highest fret any instrument here can have, counted from the nut.
pub const MAX_FRET: u8 = 36;

const N_FRETS: usize = MAX_FRET as usize + 1;

/// 2^(−1/12): how much sounding length is left one fret higher (equal temperament).
const SEMITONE: f64 = 0.943_874_312_681_693_5;

/// A fingertip lies this far behind its fret at most (mm) …
const BEHIND_FRET_MM: f64 = 8.0;
/// … or this part of the gap to the fret below, where frets are close together.
const BEHIND_FRET_OF_GAP: f64 = 0.35;

/// Distance from the nut to a fret: L(1 − 2^(−n/12)), in the unit of `scale`. Computed by
/// multiplication only, never by a power function, which differs between platforms.
fn fret_place(scale: f64, fret: u8) -> f64 {
    scale * (1.0 - sounding_part(fret))
}

/// Where a fingertip sits to hold a fret: just behind it, `x(n) − min(8 mm, 0.35 of the gap)`.
fn tip_place_mm(scale_mm: f64, fret: u8) -> f64 {
    let Some(below) = fret.checked_sub(1) else {
        return 0.0;
    };
    let x = fret_place(scale_mm, fret);
    let gap = x - fret_place(scale_mm, below);
    x - (BEHIND_FRET_OF_GAP * gap).min(BEHIND_FRET_MM)
}

/// 2^(−n/12), with exact halves at the octaves.
fn sounding_part(fret: u8) -> f64 {
    let octaves = (0..fret / 12).fold(1.0, |part, _| part * 0.5);
    (0..fret % 12).fold(octaves, |part, _| part * SEMITONE)
}

/// Distance between the outer strings at nut and saddle in mm. The figures hold for six strings;
/// with more or fewer the gaps between neighbours stay the same.
fn outer_spread_mm(strings: StringSet, n_strings: u8) -> (f64, f64) {
    let (nut, saddle) = match strings {
        StringSet::Nylon => (43.0, 58.0),
        StringSet::Steel => (36.0, 56.0),
    };
    let gaps = f64::from(n_strings.saturating_sub(1)) / 5.0;
    (nut * gaps, saddle * gaps)
}

/// The playing surface: places of fingertips along and across the neck in micrometres.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fretboard {
    n_strings: u8,
    last_fret: u8,
    tips: [i32; N_FRETS],
    lines: [[i32; N_FRETS]; MAX_STRINGS],
}

impl Fretboard {
    /// Measures an instrument. Frets beyond [`MAX_FRET`] are left out.
    #[must_use]
    pub fn new(instrument: &Instrument) -> Self {
        let n_strings = instrument.n_strings();
        let capo = instrument.capo.min(MAX_FRET);
        let last_fret = instrument.last_fret().min(MAX_FRET - capo);
        let scale = instrument.scale_mm;
        let (nut, saddle) = outer_spread_mm(instrument.strings, n_strings);
        let outer = f64::from(n_strings.saturating_sub(1).max(1));
        let mut tips = [0; N_FRETS];
        let mut lines = [[0; N_FRETS]; MAX_STRINGS];
        for (fret, tip) in (0..=last_fret).zip(&mut tips) {
            *tip = micrometres(tip_place_mm(scale, fret + capo));
        }
        for (string, line) in (0u8..n_strings).zip(&mut lines) {
            // From the middle of the neck: −½ is the lowest-pitched string, +½ the highest.
            let across = f64::from(string) / outer - 0.5;
            for (fret, y) in (0..=last_fret).zip(line) {
                let part = tip_place_mm(scale, fret + capo) / scale;
                *y = micrometres(across * (nut + (saddle - nut) * part));
            }
        }
        Self {
            n_strings,
            last_fret,
            tips,
            lines,
        }
    }

    /// How many strings.
    #[must_use]
    pub const fn n_strings(&self) -> u8 {
        self.n_strings
    }

    /// The highest fret that can be played, counted from the capo.
    #[must_use]
    pub const fn last_fret(&self) -> u8 {
        self.last_fret
    }

    /// Micrometres from the nut to the fingertip at a fret (counted from the capo).
    #[must_use]
    pub fn tip_um(&self, fret: u8) -> i32 {
        self.tips.get(usize::from(fret)).copied().unwrap_or(0)
    }

    /// Micrometres across the neck from its middle line to a string, at a fret's fingertip.
    fn line_um(&self, string: StringIdx, fret: u8) -> i32 {
        self.lines
            .get(string.idx())
            .and_then(|line| line.get(usize::from(fret)))
            .copied()
            .unwrap_or(0)
    }

    /// Micrometres along the neck from one fret's fingertip to another's.
    #[must_use]
    pub fn along_um(&self, from: u8, to: u8) -> i32 {
        (self.tip_um(to) - self.tip_um(from)).abs()
    }

    /// Square of the straight distance between two fingertips, in µm².
    #[must_use]
    pub fn gap_squared(&self, a: (StringIdx, u8), b: (StringIdx, u8)) -> u64 {
        let along = i64::from(self.tip_um(a.1)) - i64::from(self.tip_um(b.1));
        let across = i64::from(self.line_um(a.0, a.1)) - i64::from(self.line_um(b.0, b.1));
        (along * along + across * across).unsigned_abs()
    }

    /// The straight distance between two fingertips in mm.
    #[must_use]
    pub fn gap_mm(&self, a: (StringIdx, u8), b: (StringIdx, u8)) -> f64 {
        mm(self.gap_squared(a, b).isqrt())
    }
}

/// Millimetres, for showing.
fn mm(um: u64) -> f64 {
    f64::from(u32::try_from(um).unwrap_or(u32::MAX)) / 1000.0
}

/// Rounds to whole micrometres; anything that is no sensible length becomes 0.
fn micrometres(mm: f64) -> i32 {
    let um = (mm * 1000.0).round();
    if um.abs() < 2.0e9 { um as i32 } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// sources: L(1 − 2^(−n/12)) tabulated for three scale lengths (computed table, formula as
    /// published by several luthiers).
    #[test]
    fn frets_lie_where_the_table_says() {
        let rows = [
            (1, 36.482, 36.353, 35.283),
            (2, 70.916, 70.665, 68.587),
            (5, 163.050, 162.473, 157.695),
            (7, 216.177, 215.412, 209.076),
            (12, 325.000, 323.850, 314.325),
            (15, 376.709, 375.376, 364.335),
            (20, 445.263, 443.687, 430.638),
            (24, 487.500, 485.775, 471.488),
        ];
        for (fret, a, b, c) in rows {
            for (scale, expected) in [(650.0, a), (647.7, b), (628.65, c)] {
                let got = fret_place(scale, fret);
                assert!((got - expected).abs() < 0.0006, "{scale} {fret}: {got}");
            }
        }
    }

    /// A published fret table for 25 in (635 mm) gives distances from the fret to the bridge.
    #[test]
    fn sounding_lengths_agree_with_a_published_table() {
        for (fret, to_bridge) in [(1, 599.360), (5, 475.712), (10, 356.382)] {
            let got = 635.0 - fret_place(635.0, fret);
            assert!((got - to_bridge).abs() < 0.0006, "{fret}: {got}");
        }
    }

    #[test]
    fn strings_spread_from_nut_to_saddle() {
        let board = Fretboard::new(&Instrument {
            scale_mm: 650.0,
            ..Instrument::default()
        });
        let width = |fret| board.line_um(StringIdx(5), fret) - board.line_um(StringIdx(0), fret);
        assert_eq!(width(0), 43_000);
        // The twelfth fret halves the string, so just behind it strings lie nearly as far apart as
        // half-way from 43 to 58 mm.
        assert!((width(12) - 50_500).abs() < 250, "{}", width(12));
    }

    #[test]
    fn with_a_capo_geometry_counts_from_the_nut() {
        let plain = Fretboard::new(&Instrument::default());
        let capo = Fretboard::new(&Instrument {
            capo: 3,
            ..Instrument::default()
        });
        assert_eq!(capo.along_um(1, 4), plain.along_um(4, 7));
        assert_eq!(capo.last_fret(), 17);
    }
}
