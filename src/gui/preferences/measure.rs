//! A short guide to measuring one's own hand with a ruler, and the reach that follows from it.

use super::row;
use crate::gui::controls;
use crate::instrument::Hand;
use crate::instrument::reach_of_span;
use egui::Ui;

/// The span of the mean adult hand, in millimetres.
const MEAN_MM: u16 = 122;

const STEPS: [&str; 4] = [
    "1. Warm up first. Lay the left hand flat on a table, beside a ruler.",
    "2. Spread the fingers as far as they go without force, and without pain.",
    "3. Read the millimetres between the tips of the index and the little finger, middle to middle.",
    "4. Type them here. The limits of the model are wider than that, because a curved hand on a \
     neck reaches further than a flat one.",
];

/// Shows the guide, folded at first.
pub fn measure_ui(ui: &mut Ui, hand: &mut Hand, span_mm: &mut Option<u16>) {
    controls::foldable(ui, "measure", "How to measure a hand", false, |ui| {
        for step in STEPS {
            ui.label(step);
        }
        let span = span_mm.unwrap_or(MEAN_MM);
        row(ui, "Span", |ui| {
            let typed = controls::number(ui, "Span of the hand", span, 70..=180, " mm");
            if let Some(typed) = typed {
                *span_mm = Some(typed);
            }
            let permille = reach_of_span(span);
            ui.label(format!("is a reach of {} %", (permille + 5) / 10));
            let differs = permille != hand.reach_permille;
            if ui
                .add_enabled(differs, egui::Button::new("Take this reach"))
                .clicked()
            {
                hand.reach_permille = permille;
            }
        });
    });
}
