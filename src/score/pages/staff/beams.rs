//! Where a beam lies. It slants with its outer notes, less than they do and never steeply, and lies
//! level where they are level or an inner note is nearest to it. Its ends sit on a line, hang from
//! it or straddle it (Ross, The Art of Music Engraving and Processing, and Gould, Behind Bars, both
//! from memory). Heights are spaces above the bottom line.

use super::stems;
use crate::score::rhythm::Value;

/// A stem under the beam.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Post {
    /// Where it stands, in spaces.
    pub x: f64,
    /// Its head nearest to the beam.
    pub step: i32,
    /// Its value.
    pub value: Value,
}

/// The outer edge of a beam.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Beam {
    /// Where its first stem stands.
    pub x: f64,
    /// Height there.
    pub y: f64,
    /// Rise per space.
    pub slope: f64,
}

impl Beam {
    /// Its height over a place.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        self.y + (x - self.x) * self.slope
    }
}

/// Steepest rise per space.
const STEEPEST: f64 = 0.25;

/// How far a beam may rise for an interval between its outer notes, in quarters of a space.
const fn quarters_for(interval: u32) -> i32 {
    match interval {
        0 => 0,
        1 => 1,
        2 => 2,
        3 => 4,
        4 | 5 => 5,
        6 => 6,
        _ => 8,
    }
}

/// How much shorter than a stem of its own the shortest stem under a beam may be.
const SAVED: f64 = 0.25;

/// Shortest stem under a beam: to its outer edge.
const LEAST: f64 = 2.5;

/// The beam over some stems, at least one.
#[must_use]
pub fn over(posts: &[Post], up: bool) -> Beam {
    let (Some(first), Some(last)) = (posts.first(), posts.last()) else {
        return Beam {
            x: 0.0,
            y: 0.0,
            slope: 0.0,
        };
    };
    let wide = (last.x - first.x).max(0.1);
    let sign = if up { 1.0 } else { -1.0 };
    let needs = |post: &Post| {
        let least = (stems::length(post.step, up, Value::Quarter) / 2.0 - SAVED).max(LEAST);
        // A second beam takes room inwards.
        let second = if post.value == Value::Sixteenth {
            0.5
        } else {
            0.0
        };
        sign * (f64::from(post.step) / 2.0) + least + second
    };
    let mut rise = rise(posts, up, wide);
    loop {
        let slope = f64::from(rise) * 0.25 / wide;
        let line = |post: &Post| sign * slope * (post.x - first.x);
        let highest = posts.iter().map(|p| needs(p) - line(p));
        // Beams reach the middle line, as stems do.
        let to_middle = posts.iter().map(|p| sign * 2.0 - line(p));
        let least = highest.chain(to_middle).fold(f64::NEG_INFINITY, f64::max);
        let mut y = (least * 4.0 - 1e-6).ceil() / 4.0;
        for _ in 0..4 {
            if rests_well(y) && rests_well(y + sign * f64::from(rise) * 0.25) {
                return Beam {
                    x: first.x,
                    y: sign * y,
                    slope,
                };
            }
            y += 0.25;
        }
        // A rise of half a space may never rest well at both ends.
        rise -= rise.signum();
    }
}

/// Whether the outer edge of a beam, seen from the heads, leaves no sliver of white at a line: it
/// sits (edge half a space over a line), straddles (a quarter) or hangs (on it).
fn rests_well(edge: f64) -> bool {
    let quarter = (edge * 4.0).round().rem_euclid(4.0);
    (quarter - 3.0).abs() > 0.5
}

/// Rise from the first stem to the last in quarters of a space.
fn rise(posts: &[Post], up: bool, wide: f64) -> i32 {
    let (Some(first), Some(last)) = (posts.first(), posts.last()) else {
        return 0;
    };
    let inner = posts
        .get(1..posts.len().saturating_sub(1))
        .unwrap_or_default();
    let nearest = |a: i32, b: i32| if up { a >= b } else { a <= b };
    let outer = if up {
        first.step.max(last.step)
    } else {
        first.step.min(last.step)
    };
    if inner.iter().any(|post| nearest(post.step, outer)) {
        return 0;
    }
    let interval = last.step - first.step;
    let most = (wide * STEEPEST * 4.0).floor();
    let quarters = f64::from(quarters_for(interval.unsigned_abs())).min(most);
    #[expect(clippy::cast_possible_truncation, reason = "at most eight")]
    let quarters = quarters as i32;
    quarters * interval.signum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn posts(steps: &[i32]) -> Vec<Post> {
        let mut x = 0.0;
        let mut all = Vec::new();
        for step in steps {
            all.push(Post {
                x,
                step: *step,
                value: Value::Eighth,
            });
            x += 4.0;
        }
        all
    }

    fn rise_of(steps: &[i32], up: bool) -> f64 {
        let posts = posts(steps);
        let beam = over(&posts, up);
        beam.at(posts.last().map_or(0.0, |p| p.x)) - beam.y
    }

    fn is_level(steps: &[i32], up: bool) -> bool {
        rise_of(steps, up).abs() < 1e-9
    }

    #[test]
    fn beams_slant_as_the_handbooks_say() {
        // Ross and Gould (from memory): level for repeated notes and hollow groups, a quarter of a
        // space for a second, never more than two spaces, always the way the notes go.
        for up in [true, false] {
            assert!(is_level(&[3, 3], up));
            assert!((rise_of(&[3, 4], up).abs() - 0.25).abs() < 1e-9);
            for wide in 2..12 {
                let got = rise_of(&[2, 2 + wide], up);
                assert!((0.25..=2.0).contains(&got), "{wide}: {got}");
                assert!((rise_of(&[2 + wide, 2], up) + got).abs() < 0.3, "{wide}");
            }
        }
        assert!(is_level(&[2, 6, 4], true), "the inner note is nearest");
        assert!(is_level(&[6, 2, 4], false));
    }

    #[test]
    fn stems_under_a_beam_are_long_enough_and_ends_touch_lines() {
        // Shortest stem two spaces and a half, to the middle line at least; ends sit, straddle or
        // hang (Ross, from memory).
        for up in [true, false] {
            for a in -8..16 {
                for b in -8..16 {
                    let posts = posts(&[a, b]);
                    let beam = over(&posts, up);
                    for post in &posts {
                        let y = beam.at(post.x);
                        let length = y - f64::from(post.step) / 2.0;
                        let length = if up { length } else { -length };
                        assert!(length >= 2.5 - 1e-6, "{a} {b} {up}: {length}");
                        assert!(if up { y >= 2.0 - 1e-6 } else { y <= 2.0 + 1e-6 });
                        let edge = if up { y } else { -y };
                        assert!(rests_well(edge), "{a} {b} {up}: {y}");
                    }
                }
            }
        }
    }
}
