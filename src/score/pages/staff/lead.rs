//! What stands at the left end of the staff: the clef, the key signature and the time signature.

use super::Area;
use crate::score::pages::smufl;
use crate::theory::Key;
use crate::theory::Letter;

/// White before the clef.
const EDGE: f64 = 0.55;

/// White behind clef and key signature.
const PAD: f64 = 0.75;

/// Steps of the sharps of a key signature above the bottom line, in order: F C G D A E B. The same
/// for every treble clef (Gould, Behind Bars, from memory; common practice).
const SHARPS: [i32; 7] = [8, 5, 9, 6, 3, 7, 4];

/// Steps of the flats: B E A D G C F.
const FLATS: [i32; 7] = [4, 7, 3, 6, 2, 5, 1];

/// The signs of a key: sign and step, in order.
fn key_signs(key: Key) -> Vec<(char, i32)> {
    use Letter::A;
    use Letter::B;
    use Letter::C;
    use Letter::D;
    use Letter::E;
    use Letter::F;
    use Letter::G;
    let sharps = [F, C, G, D, A, E, B].into_iter().zip(SHARPS);
    let flats = [B, E, A, D, G, C, F].into_iter().zip(FLATS);
    let signed = |(letter, step): (Letter, i32)| {
        let alter = key.alter_of(letter);
        (alter != 0).then(|| (smufl::sign(alter), step))
    };
    if key.fifths() < 0 {
        flats.filter_map(signed).collect()
    } else {
        sharps.filter_map(signed).collect()
    }
}

/// Signs with their places, from the clef on, and the width of it all with white behind it: where
/// the time signature or the first bar begins. In spaces.
#[must_use]
pub fn signs(key: Key) -> (Vec<(char, f64, i32)>, f64) {
    let clef = Area::of_glyph(smufl::CLEF_G_8VB, EDGE, 0, 1.0);
    let mut placed = vec![(smufl::CLEF_G_8VB, EDGE, 2)];
    let mut x = clef.right + PAD;
    for (code, step) in key_signs(key) {
        let area = Area::of_glyph(code, 0.0, step, 1.0);
        placed.push((code, x - area.left, step));
        x += area.right - area.left + 0.08;
    }
    if placed.len() > 1 {
        x += PAD - 0.08;
    }
    (placed, x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn key_signatures_stand_where_treble_clefs_have_them() {
        // Gould, Behind Bars (from memory; common practice): the order of fifths, sharps from the
        // top line, flats from the middle line.
        let steps = |name: &str| -> Vec<i32> {
            let key = Key::parse(name).expect("a key");
            key_signs(key).into_iter().map(|(_, step)| step).collect()
        };
        assert_eq!(steps("C"), [0; 0]);
        assert_eq!(steps("G"), [8]);
        assert_eq!(steps("C#"), [8, 5, 9, 6, 3, 7, 4]);
        assert_eq!(steps("F"), [4]);
        assert_eq!(steps("Cb"), [4, 7, 3, 6, 2, 5, 1]);
        assert_eq!(steps("Em"), [8]);
        assert_eq!(steps("Cm"), [4, 7, 3]);
        // Beyond seven signs the first one doubles.
        let beyond = key_signs(Key::parse("G#").expect("a key"));
        assert_eq!(beyond.first(), Some(&(smufl::sign(2), 8)));
        assert_eq!(beyond.len(), 7);
    }
}
