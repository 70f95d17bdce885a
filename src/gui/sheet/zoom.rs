//! How large the pages are shown: as wide as the room, as a whole, or so many per cent of the
//! room's width, in steps. A matter of the window; paper and music stay as they are.

use crate::score::pages::Page;
use egui::Ui;
use egui::Vec2;

/// Percents that the steps go through.
const STEPS: [u16; 9] = [25, 33, 50, 67, 80, 100, 125, 150, 200];

/// Widest that a page is shown at 100 %, in points.
const WIDEST: f32 = 900.0;

/// Narrowest, however little room there is.
const NARROWEST: f32 = 160.0;

/// How large pages are shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Zoom {
    /// As wide as the room.
    #[default]
    Width,
    /// A whole page.
    Page,
    /// Percent of the width of the room.
    Percent(u16),
}

impl Zoom {
    /// The width of a page in a room.
    #[must_use]
    pub fn width(self, page: &Page, room: Vec2) -> f32 {
        let wide = room.x.clamp(NARROWEST, WIDEST);
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the shape of a page is near 1.4"
        )]
        let tall = (page.height / page.width.max(1.0)) as f32;
        match self {
            Self::Width => wide,
            Self::Page => (room.y / tall.max(0.1)).clamp(NARROWEST, wide),
            Self::Percent(percent) => wide * f32::from(percent) / 100.0,
        }
    }

    /// The next step, up or down, from a width that fills a part of the room.
    fn step(now: f32, up: bool) -> Self {
        let mut steps = STEPS.into_iter();
        let next = if up {
            steps.find(|step| f32::from(*step) > now + 1.0)
        } else {
            steps.rfind(|step| f32::from(*step) < now - 1.0)
        };
        let [least, .., most] = STEPS;
        Self::Percent(next.unwrap_or(if up { most } else { least }))
    }
}

/// Buttons for it; `shown` is the percent of the room that a page fills now.
pub fn zoom_ui(ui: &mut Ui, zoom: &mut Zoom, shown: f32) {
    ui.horizontal(|ui| {
        ui.label("Zoom");
        for (words, wanted) in [("Fit width", Zoom::Width), ("Fit page", Zoom::Page)] {
            if ui.selectable_label(*zoom == wanted, words).clicked() {
                *zoom = wanted;
            }
        }
    });
    ui.horizontal(|ui| {
        for (sign, words, up) in [
            ("−", "Show pages smaller", false),
            ("+", "Show pages larger", true),
        ] {
            let button = ui.button(sign).on_hover_text(words);
            button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, words));
            if button.clicked() {
                *zoom = Zoom::step(shown, up);
            }
        }
        ui.label(format!("{shown:.0} %"));
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    const A4: Page = Page {
        width: 210.0,
        height: 297.0,
        marks: Vec::new(),
    };

    #[test]
    fn pages_fit_the_room_as_asked() {
        let room = Vec2::new(600.0, 500.0);
        assert!((Zoom::Width.width(&A4, room) - 600.0).abs() < 0.01);
        let whole = Zoom::Page.width(&A4, room);
        assert!((whole * 297.0 / 210.0 - 500.0).abs() < 0.1, "{whole}");
        assert!((Zoom::Percent(50).width(&A4, room) - 300.0).abs() < 0.01);
        let tiny = Zoom::Page.width(&A4, Vec2::new(50.0, 20.0));
        assert!(tiny >= NARROWEST);
    }

    #[test]
    fn steps_go_both_ways_and_end() {
        assert_eq!(Zoom::step(100.0, true), Zoom::Percent(125));
        assert_eq!(Zoom::step(58.9, false), Zoom::Percent(50));
        assert_eq!(Zoom::step(200.0, true), Zoom::Percent(200));
        assert_eq!(Zoom::step(25.0, false), Zoom::Percent(25));
    }
}
