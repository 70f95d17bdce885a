//! The metre of a chart that comes nearest to a time signature: the same where it is offered, else
//! one with the same beat, in which the bars keep their own length; and the tempo of its beats.

use super::notices::Notices;
use crate::document::TEMPO_BPM;
use crate::theory::Meter;

/// The nearest metre, and whether it is the signature itself.
pub(super) fn nearest(count: u32, unit: u32) -> (Meter, bool) {
    if let Some(meter) = Meter::parse(&format!("{count}/{unit}")) {
        return (meter, true);
    }
    let three = unit >= 8 && count.is_multiple_of(3) && count != 3 * unit / 4;
    let text = match (count, unit) {
        // Half notes and eighths as beats: as many quarters.
        (2, 2) => "4/4",
        (4, 8) => "2/4",
        _ if three && count > 6 => "12/8",
        _ if three => "6/8",
        (3, _) | (6, 4) => "3/4",
        _ if 4 * count == 5 * unit => "5/4",
        _ => "4/4",
    };
    (Meter::parse(text).unwrap_or(Meter::COMMON), false)
}

/// Beats a minute from quarter notes a minute, whole and within what a chart can have; where that is
/// another tempo it is said.
pub(super) fn tempo_of(quarters: f64, meter: Meter, notices: &mut Notices) -> u16 {
    let beats = if meter.is_compound() {
        quarters / 1.5
    } else {
        quarters
    };
    let (slowest, fastest) = (f64::from(*TEMPO_BPM.start()), f64::from(*TEMPO_BPM.end()));
    let tempo = beats.round().clamp(slowest, fastest);
    if (tempo - beats).abs() > 0.01 {
        notices.whole(format!(
            "the tempo of {beats:.2} beats a minute becomes {tempo}"
        ));
    }
    tempo as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signatures_get_the_metre_with_their_beat() {
        // Compound metres have dotted beats, cut time is counted in quarters: common practice.
        for (count, unit, wanted, same) in [
            (4, 4, "4/4", true),
            (12, 8, "12/8", true),
            (2, 2, "4/4", false),
            (9, 8, "12/8", false),
            (3, 8, "6/8", false),
            (6, 16, "6/8", false),
            (3, 2, "3/4", false),
            (6, 4, "3/4", false),
            (7, 8, "4/4", false),
            (10, 8, "5/4", false),
            (256, 1, "4/4", false),
        ] {
            let (meter, exact) = nearest(count, unit);
            assert_eq!(
                (meter.to_string().as_str(), exact),
                (wanted, same),
                "{count}/{unit}"
            );
        }
    }
}
