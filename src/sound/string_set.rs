//! What the strings of a set are like: how long they ring and how stiff they are, open and
//! fretted. Tables by the pitch of the open string; knows nothing of what strikes them.

use super::string_loop::Decay;
use crate::score::Stringing;

/// An open string.
#[derive(Clone, Copy)]
struct Row {
    /// Its MIDI key.
    open: u8,
    /// Seconds for the fundamental and for partials at [`HIGH_HZ`] to fall by 60 dB.
    t60_s: f64,
    high_t60_s: f64,
    /// Inharmonicity B.
    b: f64,
}

const fn row(open: u8, t60_s: f64, high_t60_s: f64, b: f64) -> Row {
    Row {
        open,
        t60_s,
        high_t60_s,
        b,
    }
}

/// Decay as heard with the body's losses: treble 2 to 5 s, bass 4 to 8 s (from memory). B from
/// tension, stiffness and length as in Woodhouse 2004, Acta Acustica 90, 945 (figures from
/// memory; together they give concert pitch).
const NYLON: [Row; 6] = [
    row(40, 6.5, 0.80, 1.9e-5),
    row(45, 6.0, 0.75, 1.3e-5),
    row(50, 5.2, 0.70, 1.7e-5),
    row(55, 3.8, 0.38, 1.2e-4),
    row(59, 3.4, 0.38, 7.0e-5),
    row(64, 3.0, 0.38, 4.3e-5),
];

/// Steel rings about 1.5 times as long, and brighter. B = π³ E d⁴/(64 T L²) with E = 200 GPa and
/// L = 648 mm, d the wire or, in wound strings, its core: 0.46 0.41 0.36 0.32 mm cores, 0.41 and
/// 0.30 mm plain, 110 to 130 N, plain strings 104 N (a usual .012 set with a wound third string;
/// cores from memory). That wound E and A are stiffer than the plain E is as measured by Fastl
/// and Völk.
const STEEL: [Row; 6] = [
    row(40, 7.5, 1.20, 9.2e-5),
    row(45, 7.0, 1.15, 5.0e-5),
    row(50, 6.4, 1.10, 2.8e-5),
    row(55, 5.6, 1.00, 1.9e-5),
    row(59, 5.0, 0.95, 6.1e-5),
    row(64, 4.4, 0.90, 1.9e-5),
];

/// Where the second decay is prescribed.
const HIGH_HZ: f64 = 4000.0;

/// A fretted string dies faster than an open one: per fret, this part of the decay is left.
const DECAY_PER_FRET: f64 = 0.97;

/// How a string loses its energy.
#[must_use]
pub fn decay(stringing: Stringing, open: u8, frets: u8) -> Decay {
    let string = string(stringing, open);
    let left = DECAY_PER_FRET.powi(i32::from(frets));
    Decay {
        t60_s: string.t60_s * left,
        high_t60_s: string.high_t60_s * left,
        high_hz: HIGH_HZ,
    }
}

/// The B of fₖ = k f₀ √(1 + B k²): it goes with the square of the length that is left, so it
/// doubles every six frets.
#[must_use]
pub fn inharmonicity(stringing: Stringing, open: u8, frets: u8) -> f64 {
    string(stringing, open).b * 2f64.powf(f64::from(frets) / 6.0)
}

/// Straight lines between the rows of a table, level outside it.
fn string(stringing: Stringing, open: u8) -> Row {
    let table = match stringing {
        Stringing::Nylon => &NYLON,
        Stringing::Steel => &STEEL,
    };
    let mut found = table[0];
    for (low, high) in table.iter().zip(table.iter().skip(1)) {
        if open >= low.open {
            let part = f64::from(open - low.open) / f64::from(high.open - low.open);
            let at = |from: f64, to: f64| from + part.min(1.0) * (to - from);
            found = row(
                open,
                at(low.t60_s, high.t60_s),
                at(low.high_t60_s, high.high_t60_s),
                at(low.b, high.b),
            );
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::STEEL;
    use super::inharmonicity;
    use super::string;
    use crate::score::Stringing;
    use std::f64::consts::PI;

    /// B = π³ E d⁴/(64 T L²), Fletcher 1964: diameter in millimetres, tension in newtons.
    #[test]
    fn the_stiffness_of_steel_follows_from_its_wires() {
        let wires = [
            (0.457, 110.0),
            (0.406, 125.0),
            (0.356, 130.0),
            (0.32, 125.0),
            (0.406, 104.0),
            (0.305, 104.0),
        ];
        for (row, (mm, newton)) in STEEL.iter().zip(wires) {
            let b =
                PI.powi(3) * 200e9 * (mm * 1e-3f64).powi(4) / (64.0 * newton * 0.648f64.powi(2));
            assert!((row.b / b - 1.0).abs() < 0.06, "{}: {b:.2e}", row.open);
        }
    }

    #[test]
    fn between_two_strings_lies_the_middle_and_twelve_frets_make_it_four_times_as_stiff() {
        let middle = string(Stringing::Nylon, 57);
        assert!((middle.t60_s - 3.6).abs() < 1e-9 && (middle.b - 9.5e-5).abs() < 1e-9);
        assert!((string(Stringing::Nylon, 30).t60_s - 6.5).abs() < 1e-9);
        assert!((string(Stringing::Nylon, 80).t60_s - 3.0).abs() < 1e-9);
        let b = |fret| inharmonicity(Stringing::Steel, 40, fret);
        assert!((b(12) / b(0) - 4.0).abs() < 1e-9);
    }
}
