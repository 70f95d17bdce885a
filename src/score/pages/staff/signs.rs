//! Accidentals before a chord: taken in turn from the outside, the highest first, then the lowest,
//! each as far to the right as nothing stands in its way. So two a seventh apart stand under one
//! another, as do flats a sixth apart (order and distances: Gould, Behind Bars, from memory).

use super::Area;

/// White between an accidental and a head or a leger line.
const GAP: f64 = 0.22;

/// An accidental to be placed.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Sign {
    /// The note's place in the arrangement's list.
    pub note: usize,
    /// Its height.
    pub step: i32,
    /// The sign.
    pub code: char,
    /// Its left end.
    pub x: f64,
    /// Part of the full size.
    pub size: f64,
}

/// Gives every sign its place; `x` is the left end of its head before, of itself after. Boxes of the
/// signs are added to what stands in the way.
pub fn place(signs: &mut [Sign], obstacles: &mut Vec<Area>) {
    signs.sort_by_key(|sign| std::cmp::Reverse(sign.step));
    let n = signs.len();
    for turn in 0..n {
        let idx = if turn % 2 == 0 {
            turn / 2
        } else {
            n - 1 - turn / 2
        };
        let Some(sign) = signs.get_mut(idx) else {
            continue;
        };
        let mut area = Area::of_glyph(sign.code, 0.0, sign.step, sign.size);
        let origin = -area.left;
        let width = area.right - area.left;
        area.right = sign.x - GAP;
        area.left = area.right - width;
        while let Some(in_way) = obstacles.iter().find(|o| o.is_near(&area, GAP - 1e-6)) {
            area.right = in_way.left - GAP;
            area.left = area.right - width;
        }
        sign.x = area.left + origin;
        obstacles.push(area);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::pages::smufl;

    /// Lefts of signs at heights, in the order given, before one head at each.
    fn placed(alter: i8, steps: &[i32]) -> Vec<f64> {
        let mut signs: Vec<Sign> = (0..)
            .zip(steps)
            .map(|(note, step)| Sign {
                note,
                step: *step,
                code: smufl::sign(alter),
                x: 0.0,
                size: 1.0,
            })
            .collect();
        place(&mut signs, &mut Vec::new());
        signs.sort_by_key(|sign| sign.note);
        signs
            .iter()
            .map(|sign| (sign.x * 100.0).round() / 100.0)
            .collect()
    }

    #[test]
    fn distant_signs_share_a_column_and_near_ones_do_not() {
        // Gould, Behind Bars (from memory): a seventh, with flats a sixth, is far enough.
        for (alter, interval, shared) in
            [(1, 6, true), (1, 5, false), (-1, 5, true), (-1, 4, false)]
        {
            let xs = placed(alter, &[0, interval]);
            assert_eq!((xs[0] - xs[1]).abs() < 0.01, shared, "{alter} {interval}");
        }
    }

    #[test]
    fn the_highest_stands_nearest_then_the_lowest_then_what_lies_between() {
        // Gould, Behind Bars (from memory): the zigzag from the outside.
        let xs = placed(1, &[0, 2, 4]);
        assert!(xs[2] > xs[0] && xs[0] > xs[1], "{xs:?}");
    }
}
