//! What a window has room for. In a narrow one the top bar stands in two rows and one panel at a
//! side instead of two; in a low one the fretboard gives way to the grid, which must always stay.
//! Sizes are in points: twice as large text makes every window half as large.

use egui::Context;
use egui::Vec2;

/// Narrower than this the top bar needs two rows.
const ONE_ROW: f32 = 960.0;
/// Narrower than this the grid has room for one panel beside it.
const NARROW: f32 = 860.0;
/// Height that grid and fretboard need together.
const BOTH: f32 = 380.0;
/// The same under or over something else that has been opened.
const BOTH_BESIDE: f32 = 620.0;

/// How the top bar stands.
#[derive(Clone, Copy, Debug)]
pub struct TopBar {
    /// In how many rows, 1 or 2.
    pub rows: u8,
    /// Whether the left panel takes the place of the voicings.
    pub is_alone: bool,
}

impl TopBar {
    /// Height of a row.
    pub const ROW: f32 = 44.0;

    /// Height of all rows.
    #[must_use]
    pub fn height(self) -> f32 {
        f32::from(self.rows) * Self::ROW
    }
}

/// How large the window is.
#[derive(Clone, Copy, Debug)]
pub struct Room(Vec2);

impl Room {
    /// Of the window as it is now.
    #[must_use]
    pub fn of(ctx: &Context) -> Self {
        Self(ctx.content_rect().size())
    }

    /// Whether there is room for one panel at a side only.
    #[must_use]
    pub fn is_narrow(self) -> bool {
        self.0.x < NARROW
    }

    /// How the top bar stands.
    #[must_use]
    pub fn top_bar(self) -> TopBar {
        let rows = if self.0.x < ONE_ROW { 2 } else { 1 };
        TopBar {
            rows,
            is_alone: self.is_narrow(),
        }
    }

    /// The most that a panel under the grid may take.
    #[must_use]
    pub fn below(self, wanted: f32) -> f32 {
        wanted.min((0.4 * self.0.y).round())
    }

    /// Height of the strip of commands: always the same, so that the grid stays where it is while
    /// one types.
    #[must_use]
    pub fn commands(self) -> f32 {
        (0.42 * self.0.y).round()
    }
}

/// Whether the fretboard stands under the grid, if that much is left for both.
#[must_use]
pub fn has_fretboard(height: f32, is_beside_another: bool) -> bool {
    let needed = if is_beside_another { BOTH_BESIDE } else { BOTH };
    height >= needed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_of_cards_stands_over_the_fretboard_wherever_it_is_shown() {
        // A card without the tune's lane is 160 high, the lowest fretboard 150.
        for height in [300.0, 340.0, 380.0, 420.0, 628.0] {
            let grid = height - 150.0;
            assert!(!has_fretboard(height, false) || grid > 160.0 + 24.0);
        }
        assert!(has_fretboard(BOTH, false) && !has_fretboard(BOTH, true));
    }

    #[test]
    fn twice_as_large_text_makes_the_smallest_window_a_narrow_one() {
        assert!(!Room(Vec2::new(1100.0, 700.0)).is_narrow());
        assert!(Room(Vec2::new(550.0, 350.0)).is_narrow());
        assert!(Room(Vec2::new(550.0, 350.0)).below(196.0) <= 140.0);
    }
}
