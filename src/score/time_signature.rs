//! The time signature of a bar that is shorter or longer than the tune's metre, for the sheet and for
//! formats in which every bar must be exactly as long as its signature says.

use crate::theory::Meter;
use crate::theory::Ticks;

/// The shortest unit of a signature: a sixty-fourth.
const SHORTEST_LOG2: u8 = 6;

/// Count of a bar and the logarithm of its unit: 4/4 is `(4, 2)`, 6/8 is `(6, 3)`. `None` for a
/// length that no signature can say.
#[must_use]
pub fn of(length: Ticks, meter: Meter) -> Option<(u8, u8)> {
    let usual = if meter.unit() == 8 { 3 } else { 2 };
    if length == meter.bar() {
        return Some((meter.count(), usual));
    }
    let whole = 4 * meter.ticks_per_quarter();
    (usual..=SHORTEST_LOG2).find_map(|log2| {
        let unit = whole >> log2;
        let count = u8::try_from(length.0 / unit).ok()?;
        (count > 0 && length.0.is_multiple_of(unit)).then_some((count, log2))
    })
}

/// The signature that stands before each bar, where it is another than the one in force. A pick-up
/// has that of the metre, whose end it is, and a length that no signature can say has none of its own.
#[must_use]
pub fn shown(lengths: &[Ticks], meter: Meter) -> Vec<Option<(u8, u8)>> {
    let mut in_force = None;
    let one = |(number, length): (usize, &Ticks)| {
        let is_pickup = number == 0 && *length < meter.bar();
        let own = of(*length, meter).filter(|_| !is_pickup);
        let now = own.or_else(|| of(meter.bar(), meter));
        let changed = now.filter(|_| now != in_force);
        in_force = now;
        changed
    };
    lengths.iter().enumerate().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn odd_bars_get_the_signature_of_their_length() {
        // Common practice: two beats of four are 2/4, a beat and a half 3/8, a dotted beat 3/8.
        let six_eight = Meter::parse("6/8").expect("a metre");
        for (length, meter, wanted) in [
            (3840, Meter::COMMON, Some((4, 2))),
            (1920, Meter::COMMON, Some((2, 2))),
            (1440, Meter::COMMON, Some((3, 3))),
            (960, six_eight, Some((3, 3))),
            (320, six_eight, Some((1, 3))),
            (1000, Meter::COMMON, None),
            (0, Meter::COMMON, None),
        ] {
            assert_eq!(of(Ticks(length), meter), wanted, "{length} in {meter}");
        }
    }

    #[test]
    fn signatures_stand_where_they_change_and_not_before_a_pick_up() {
        // Common practice: a pick-up is the end of a bar of the tune's metre.
        let common = Some((4, 2));
        for (lengths, wanted) in [
            (vec![960, 3840, 3840], vec![common, None, None]),
            (vec![3840, 1920, 3840], vec![common, Some((2, 2)), common]),
            (vec![4800, 3840], vec![Some((5, 2)), common]),
            (vec![3840, 1000, 3840], vec![common, None, None]),
        ] {
            let lengths: Vec<Ticks> = lengths.into_iter().map(Ticks).collect();
            assert_eq!(shown(&lengths, Meter::COMMON), wanted, "{lengths:?}");
        }
    }
}
