//! Rhythm outside the staff: stems up for the fingers, stems down for the thumb, with flags,
//! beams, open heads for long values, dots, staccato dots, triplets and rests (two voices as in
//! any two-part writing, common practice). Beams are level: all stems have one length.

use super::mark::Anchor;
use super::mark::Ink;
use super::mark::Meaning;
use super::measure::BarPlaces;
use super::music::BarMusic;
use super::pen::Pen;
use super::sizes;
use super::sizes::RHYTHM_SPACE;
use super::smufl;
use super::system::Scene;
use crate::score::rhythm::BarVoice;
use crate::score::rhythm::Rest;
use crate::score::rhythm::Strike;
use crate::score::rhythm::Value;
use crate::score::rhythm::Voice;

/// Which way stems point, and where they begin.
struct Side {
    /// −1 upwards, 1 downwards.
    sign: f64,
    /// Where stems begin.
    start: f64,
    /// Length of stems.
    length: f64,
    meaning: Meaning,
    voice: Voice,
}

impl Side {
    fn end(&self) -> f64 {
        self.start + self.sign * self.length
    }
}

/// Draws the rhythm of a bar.
pub fn draw(pen: &mut Pen, scene: &Scene<'_>, music: &BarMusic, places: &BarPlaces) {
    for voice in [Voice::Upper, Voice::Lower] {
        let (sign, outer) = match voice {
            Voice::Upper => (-1.0, 0.0),
            Voice::Lower => (1.0, scene.staff_height()),
        };
        let side = Side {
            sign,
            start: outer + sign * sizes::STEM_GAP,
            length: scene.stem_length(),
            meaning: Meaning::Rhythm(music.bar),
            voice,
        };
        let written = music.voice(voice);
        for (i, strike) in written.strikes.iter().enumerate() {
            let beamed = written.beams.iter().any(|group| group.contains(&i));
            side.stem(pen, strike, places.x_of(strike.at), beamed);
        }
        for group in &written.beams {
            side.beam(pen, scene, written, group, places);
        }
        for one in &written.rests {
            side.rest(pen, music.bar, *one, places.x_of(one.at));
        }
    }
}

impl Side {
    fn stem(&self, pen: &mut Pen, strike: &Strike, x: f64, beamed: bool) {
        let thick = smufl::STEM * RHYTHM_SPACE * 1.25;
        let value = strike.written.value;
        let head_y = self.start + self.sign * 0.5 * RHYTHM_SPACE;
        let open_head = match value {
            Value::Whole => Some((smufl::HEAD_WHOLE, 1.688)),
            Value::Half => Some((smufl::HEAD_HALF, smufl::HEAD_WIDTH)),
            _ => None,
        };
        let mut stem_x = x;
        let mut from = self.start;
        if let Some((head, width)) = open_head {
            let half = width * RHYTHM_SPACE / 2.0;
            pen.glyph(self.meaning, head, RHYTHM_SPACE, (x - half, head_y));
            // Stem up at the head's right, stem down at its left (SMuFL anchors).
            stem_x = x - self.sign * (half - thick / 2.0);
            from = head_y + self.sign * 0.168 * RHYTHM_SPACE;
        }
        if value != Value::Whole {
            let end = self.end();
            pen.line(self.meaning, (stem_x, from), (stem_x, end), thick);
            if !beamed {
                self.flag(pen, value, stem_x - thick / 2.0);
            }
        }
        if strike.written.dotted {
            let at = (stem_x + 0.95 * RHYTHM_SPACE, head_y);
            pen.disc(self.meaning, at, 0.2 * RHYTHM_SPACE);
        }
        if strike.short {
            let at = (x, self.end() + self.sign * 0.75);
            pen.disc(self.meaning, at, 0.3);
        }
    }

    fn flag(&self, pen: &mut Pen, value: Value, x: f64) {
        let code = match (value, self.voice) {
            (Value::Eighth, Voice::Upper) => smufl::FLAG_8_UP,
            (Value::Eighth, Voice::Lower) => smufl::FLAG_8_DOWN,
            (Value::Sixteenth, Voice::Upper) => smufl::FLAG_16_UP,
            (Value::Sixteenth, Voice::Lower) => smufl::FLAG_16_DOWN,
            _ => return,
        };
        pen.glyph(self.meaning, code, RHYTHM_SPACE, (x, self.end()));
    }

    fn beam(
        &self,
        pen: &mut Pen,
        scene: &Scene<'_>,
        voice: &BarVoice,
        group: &[usize],
        places: &BarPlaces,
    ) {
        let strikes: Vec<&Strike> = group.iter().filter_map(|i| voice.strikes.get(*i)).collect();
        let xs: Vec<f64> = strikes.iter().map(|s| places.x_of(s.at)).collect();
        let (Some(first), Some(last)) = (xs.first().copied(), xs.last().copied()) else {
            return;
        };
        self.beam_bar(pen, first, last, 0.0);
        let deeper = (smufl::BEAM + smufl::BEAM_GAP) * RHYTHM_SPACE;
        for (i, (strike, x)) in strikes.iter().zip(&xs).enumerate() {
            if strike.written.value != Value::Sixteenth {
                continue;
            }
            let is_16 = |s: &&Strike| s.written.value == Value::Sixteenth;
            let next = strikes.get(i + 1).filter(|s| is_16(s));
            let before = i
                .checked_sub(1)
                .and_then(|b| strikes.get(b))
                .filter(|s| is_16(s));
            let stub = 1.1 * RHYTHM_SPACE;
            match (next.and(xs.get(i + 1)), before) {
                (Some(next_x), _) => self.beam_bar(pen, *x, *next_x, deeper),
                (None, Some(_)) => {}
                (None, None) if i == 0 => self.beam_bar(pen, *x, *x + stub, deeper),
                (None, None) => self.beam_bar(pen, *x - stub, *x, deeper),
            }
        }
        if strikes.iter().any(|s| s.written.triplet) {
            let style = scene.style(sizes::TAB_TRIPLET);
            let y = match self.voice {
                Voice::Upper => self.end() - 0.5,
                Voice::Lower => self.end() + 0.5 + style.cap(),
            };
            let middle = f64::midpoint(first, last);
            pen.text(self.meaning, style, Anchor::Middle, (middle, y), "3");
        }
    }

    /// One level of a beam, `depth` inwards from the stems' ends.
    fn beam_bar(&self, pen: &mut Pen, from: f64, to: f64, depth: f64) {
        let thick = smufl::BEAM * RHYTHM_SPACE;
        let half_stem = smufl::STEM * RHYTHM_SPACE * 0.625;
        let outer = self.end() - self.sign * depth;
        let top = if self.sign < 0.0 {
            outer
        } else {
            outer - thick
        };
        let size = (to - from + 2.0 * half_stem, thick);
        pen.filled(self.meaning, (from - half_stem, top), size, Ink::Black);
    }

    fn rest(&self, pen: &mut Pen, bar: usize, rest: Rest, x: f64) {
        let meaning = Meaning::Rest(bar);
        let (code, width, lift) = match rest.written.value {
            Value::Whole => (smufl::REST_WHOLE, 1.13, 0.3),
            Value::Half => (smufl::REST_HALF, 1.13, 0.3),
            Value::Quarter => (smufl::REST_QUARTER, 1.08, 0.0),
            Value::Eighth => (smufl::REST_8, 1.0, -0.15),
            Value::Sixteenth => (smufl::REST_16, 1.28, -0.65),
        };
        let middle = self.start + self.sign * 1.7 * RHYTHM_SPACE;
        let at = (x - width * RHYTHM_SPACE / 2.0, middle + lift * RHYTHM_SPACE);
        pen.glyph(meaning, code, RHYTHM_SPACE, at);
        if rest.written.dotted {
            let dot = (x + (width / 2.0 + 0.4) * RHYTHM_SPACE, middle - 0.3);
            pen.disc(meaning, dot, 0.2 * RHYTHM_SPACE);
        }
    }
}
