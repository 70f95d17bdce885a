//! Where strings and frets lie on the screen. Fret n stands at L(1 − 2^(−n/12)) of the scale, as
//! on the instrument, so distances look the way they feel; a left-handed view is the mirror image.
//! Pure arithmetic; never paints.

use crate::instrument::Instrument;
use crate::instrument::StringIdx;
use egui::Pos2;
use egui::Rect;
use egui::pos2;

/// The thumb plays this string and lower ones.
pub const HIGHEST_THUMB_STRING: u8 = 4;

/// The board on the screen.
#[derive(Clone, Copy, Debug)]
pub struct Board {
    /// From the nut to the last fret shown, all strings.
    pub rect: Rect,
    /// Frets shown, counted from the nut.
    pub last_fret: u8,
    /// Room for open strings beside the nut.
    pub open_room: f32,
    n_strings: u8,
    capo: u8,
    mirrored: bool,
}

impl Board {
    /// Fits the board into an area, so that frets up to `need` (from the nut) are seen.
    #[must_use]
    pub fn new(area: Rect, instrument: &Instrument, need: u8) -> Self {
        let open_room = 44.0;
        let mut rect = area;
        if instrument.left_handed {
            rect.max.x -= open_room;
        } else {
            rect.min.x += open_room;
        }
        Self {
            rect,
            last_fret: need.max(15).min(instrument.frets),
            open_room,
            n_strings: instrument.n_strings(),
            capo: instrument.capo,
            mirrored: instrument.left_handed,
        }
    }

    /// How far along the board a fret (from the nut) stands, 0 at the nut, 1 at the last one.
    fn share(&self, fret: u8) -> f32 {
        let at = |n: u8| 1.0 - (-f32::from(n) / 12.0).exp2();
        at(fret) / at(self.last_fret)
    }

    fn x(&self, share: f32) -> f32 {
        if self.mirrored {
            self.rect.right() - share * self.rect.width()
        } else {
            self.rect.left() + share * self.rect.width()
        }
    }

    /// The line of a fret, counted from the nut.
    #[must_use]
    pub fn fret_x(&self, fret: u8) -> f32 {
        self.x(self.share(fret))
    }

    /// The line of a string; the highest-pitched is at the top, as in tablature.
    #[must_use]
    pub fn string_y(&self, string: StringIdx) -> f32 {
        let from_top = f32::from(self.n_strings.saturating_sub(1).saturating_sub(string.0));
        let step = self.rect.height() / f32::from(self.n_strings.max(1));
        self.rect.top() + step * (from_top + 0.5)
    }

    /// Half of the room between two strings.
    #[must_use]
    pub fn half_string(&self) -> f32 {
        self.rect.height() / f32::from(self.n_strings.max(1)) / 2.0
    }

    /// The middle of the place where a fret (from the capo) is held; open strings stand beside
    /// the nut or the capo.
    #[must_use]
    pub fn place(&self, string: StringIdx, fret: u8) -> Pos2 {
        let real = fret.saturating_add(self.capo);
        let side = if self.mirrored { 1.0 } else { -1.0 };
        let x = if fret == 0 {
            self.fret_x(self.capo) + side * 18.0
        } else {
            let before = self.fret_x(real.saturating_sub(1));
            before.midpoint(self.fret_x(real))
        };
        pos2(x, self.string_y(string))
    }

    /// The whole field of a fret (from the capo, at least 1) on a string.
    #[must_use]
    pub fn field(&self, string: StringIdx, fret: u8) -> Rect {
        let real = fret.saturating_add(self.capo);
        let (a, b) = (self.fret_x(real.saturating_sub(1)), self.fret_x(real));
        let y = self.string_y(string);
        let half = self.half_string();
        Rect::from_min_max(pos2(a.min(b), y - half), pos2(a.max(b), y + half))
    }

    /// The string and fret (from the capo) at a point; `None` behind the capo or off the board.
    #[must_use]
    pub fn at(&self, point: Pos2) -> Option<(StringIdx, u8)> {
        let string = (0..self.n_strings)
            .map(StringIdx)
            .find(|s| (self.string_y(*s) - point.y).abs() <= self.half_string())?;
        let beyond = |fret: u8| {
            let x = self.fret_x(fret);
            if self.mirrored {
                point.x < x
            } else {
                point.x > x
            }
        };
        let real = (self.capo..self.last_fret).rev().find(|fret| beyond(*fret));
        match real {
            Some(fret) => Some((string, fret + 1 - self.capo)),
            None => {
                ((point.x - self.fret_x(self.capo)).abs() <= self.open_room).then_some((string, 0))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::vec2;

    fn board(left_handed: bool, capo: u8) -> Board {
        let instrument = Instrument {
            left_handed,
            capo,
            ..Instrument::default()
        };
        let area = Rect::from_min_size(Pos2::ZERO, vec2(1000.0, 120.0));
        Board::new(area, &instrument, 12)
    }

    #[test]
    fn the_twelfth_fret_halves_the_string() {
        // Equal temperament: 2^(−12/12) = 1/2 of the scale; fret 7 leaves 2^(−7/12) = 0.6674.
        let b = board(false, 0);
        let scale = (b.fret_x(12) - b.rect.left()) * 2.0;
        let seventh = (b.fret_x(7) - b.rect.left()) / scale;
        assert!((seventh - (1.0 - 0.667_42)).abs() < 1e-4);
    }

    #[test]
    fn a_click_on_a_place_finds_its_string_and_fret() {
        for left_handed in [false, true] {
            for capo in [0, 3] {
                let b = board(left_handed, capo);
                for string in 0..6 {
                    for fret in 0..10 {
                        let place = (StringIdx(string), fret);
                        assert_eq!(b.at(b.place(place.0, place.1)), Some(place));
                    }
                }
            }
        }
    }

    #[test]
    fn the_left_handed_view_is_the_mirror_image() {
        let (right, left) = (board(false, 0), board(true, 0));
        for fret in 0..12 {
            let a = right.fret_x(fret) - right.rect.left();
            let b = left.rect.right() - left.fret_x(fret);
            assert!((a - b).abs() < 0.01);
        }
    }
}
