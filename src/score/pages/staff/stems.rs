//! How long stems are. Three spaces and a half, an octave; shorter by degrees where they lead out of
//! the staff, as they do in two voices; to the middle line at least where they lead into it (Gould,
//! Behind Bars, and Ross, The Art of Music Engraving and Processing, both from memory).

use super::MIDDLE;
use crate::score::rhythm::Value;

/// An octave in steps.
const OCTAVE: f64 = 7.0;

/// How much of a stem may be saved at most, in steps, by its value.
const fn most_saved(value: Value) -> f64 {
    match value {
        Value::Sixteenth => 0.0,
        Value::Eighth => 1.0,
        Value::Whole | Value::Half | Value::Quarter => 2.0,
    }
}

/// Length in steps of a stem that leads away from its outermost head.
#[must_use]
pub fn length(step: i32, up: bool, value: Value) -> f64 {
    let outwards = if up { step - MIDDLE } else { MIDDLE - step };
    let saved = (f64::from(outwards - 1) * 0.5).clamp(0.0, most_saved(value));
    OCTAVE - saved
}

/// Where a stem without a beam ends, in steps above the bottom line.
#[must_use]
pub fn end(step: i32, up: bool, value: Value) -> f64 {
    let middle = f64::from(MIDDLE);
    let length = length(step, up, value);
    if up {
        (f64::from(step) + length).max(middle)
    } else {
        (f64::from(step) - length).min(middle)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stems_have_the_lengths_of_the_handbooks() {
        // Gould, Behind Bars, and Ross, The Art of Music Engraving and Processing (from memory): an
        // octave; not below two spaces and a half; leger notes reach the middle line; flags need room.
        for (step, up, value, spaces) in [
            (0, true, Value::Quarter, 3.5),
            (4, true, Value::Quarter, 3.5),
            (7, true, Value::Quarter, 3.0),
            (12, true, Value::Half, 2.5),
            (12, true, Value::Eighth, 3.0),
            (12, true, Value::Sixteenth, 3.5),
            (-7, true, Value::Quarter, 5.5),
            (8, false, Value::Quarter, 3.5),
            (-7, false, Value::Quarter, 2.5),
            (14, false, Value::Quarter, 5.0),
        ] {
            let got = (end(step, up, value) - f64::from(step)).abs() / 2.0;
            assert!((got - spaces).abs() < 1e-9, "{step} {up} {value:?}: {got}");
        }
    }
}
