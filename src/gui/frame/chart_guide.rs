//! What a chart can say besides its chords, folded away on the start page: one example in each line,
//! and what it means. The whole grammar stands with the reader of charts.

use crate::gui::controls;
use crate::gui::theme;
use egui::Grid;
use egui::RichText;
use egui::Ui;

/// Examples, and what they say.
const LINES: [(&str, &str); 9] = [
    (
        "Title: Evening   Key: G   Tempo: 138",
        "lines before the bars, one for each",
    ),
    (
        "Meter: 3/4",
        "three beats in a bar; also 4/4, 5/4, 6/8, 12/8",
    ),
    ("Pickup: 1", "the first bar has one beat"),
    ("[A]", "a section begins"),
    ("|: Am7 | D7 :|", "a repeat"),
    ("|1. Gmaj7 :|2. G6 |", "a first and a second ending"),
    ("C . . G7", "two chords in a bar, the second on beat 4"),
    ("%   and   N.C.", "the bar before again; no chord"),
    ("ii | V7/ii", "degrees of the key"),
];

/// Shows the guide under its heading.
pub fn guide_ui(ui: &mut Ui) {
    controls::foldable(ui, "chart guide", "How a chart is written", false, |ui| {
        Grid::new("chart guide lines")
            .num_columns(2)
            .spacing([16.0, 4.0])
            .show(ui, |ui| {
                for (example, meaning) in LINES {
                    ui.label(RichText::new(example).font(theme::bold(theme::BODY)));
                    ui.label(meaning);
                    ui.end_row();
                }
            });
    });
}

#[cfg(test)]
mod tests {
    use crate::session::Action;
    use crate::session::Session;
    use crate::session::SoundChoice;
    use std::sync::Arc;

    /// Everything that the guide shows, in one chart.
    const CHART: &str = "Title: Evening\nKey: G\nTempo: 138\nMeter: 4/4\nPickup: 1\n[A]\nN.C. \
        |: Am7 | D7 :|\n|: Am7 |1. Gmaj7 :|2. G6 |\nC . . G7 | % | ii | V7/ii\n";

    #[test]
    fn what_the_guide_shows_is_read() {
        for (example, _) in super::LINES {
            for part in example.split("   ").filter(|part| *part != "and") {
                let shown = part.replace("3/4", "4/4");
                assert!(CHART.contains(&shown), "{part:?}");
            }
        }
        let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
        session.act(Action::OpenText(CHART.into()));
        assert_eq!(session.document().n_bars(), 10, "{:?}", session.notices());
        assert_eq!(session.notices(), []);
    }
}
