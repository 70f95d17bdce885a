//! The sound item of the status line and the small page behind it: which output is used, which
//! others there are, and how the sound is doing, all in words.

use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::theme;
use crate::session::Action;
use crate::session::Session;
use crate::session::SoundReport;
use egui::Button;
use egui::Grid;
use egui::Popup;
use egui::PopupCloseBehavior;
use egui::RichText;
use egui::ScrollArea;
use egui::Ui;

/// Shows the item and, when it is open, the page.
pub fn sound_ui(ui: &mut Ui, session: &Session, words: &str, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    let text = RichText::new(words).small().color(p.ink_soft).underline();
    let button = ui.add(Button::new(text).frame(false));
    let button = button.on_hover_text("Sound output, and how it is doing");
    if button.clicked() {
        actions.act(Action::ListOutputs);
    }
    Popup::menu(&button)
        .accessible_name("sound")
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .show(|ui| {
            ui.set_min_width(300.0);
            controls::in_menu(ui);
            controls::heading(ui, "Output");
            outputs_ui(ui, session, actions);
            controls::heading(ui, "How it is doing");
            match session.sound_report() {
                Some(report) => report_ui(ui, &report),
                None => {
                    controls::caption(ui, "The output is opened when something is played first");
                }
            }
        });
}

fn outputs_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let play = session.play();
    if ui
        .radio(play.output.is_none(), "The system's own choice")
        .clicked()
    {
        actions.act(Action::ChooseOutput(None));
    }
    if play.outputs.is_empty() {
        controls::caption(ui, "No other output has been found");
    }
    let list = ScrollArea::vertical().max_height(128.0);
    list.show(ui, |ui| {
        for (id, name) in &play.outputs {
            let chosen = play.output.as_deref() == Some(id);
            let radio = ui.radio(chosen, name).on_hover_text(id);
            if radio.clicked() {
                actions.act(Action::ChooseOutput(Some(id.clone())));
            }
        }
    });
}

fn report_ui(ui: &mut Ui, report: &SoundReport) {
    Grid::new("how the sound is doing")
        .num_columns(2)
        .spacing([12.0, 4.0])
        .show(ui, |ui| {
            for (caption, words) in lines(report) {
                controls::caption(ui, caption);
                ui.label(words);
                ui.end_row();
            }
        });
}

fn lines(report: &SoundReport) -> [(&'static str, String); 6] {
    let name = if report.audible {
        report.name.clone()
    } else {
        "none: time passes in silence".to_owned()
    };
    let rate = f64::from(report.sample_rate);
    let buffer = match report.buffer {
        0 => "as the driver likes".to_owned(),
        frames => {
            let ms = 1000.0 * f64::from(frames) / rate.max(1.0);
            format!("{frames} frames, {ms:.0} ms")
        }
    };
    let share = |part: f32| format!("{:.1} %", 100.0 * part);
    let gaps = match report.gaps {
        0 => "none".to_owned(),
        1 => "1 since it was opened".to_owned(),
        gaps => format!("{gaps} since it was opened"),
    };
    let first = report.first_note_s.map_or_else(
        || "not yet computed".to_owned(),
        |seconds| format!("ready {seconds:.2} s after the start of the program"),
    );
    [
        ("In use", name),
        ("Sample rate", format!("{:.1} kHz", rate / 1000.0)),
        ("Buffer", buffer),
        (
            "Computing",
            format!(
                "{} of the time, 99.9 % of blocks within {}, {} at most",
                share(report.median),
                share(report.p999),
                share(report.peak)
            ),
        ),
        ("Gaps in the sound", gaps),
        ("First note", first),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_says_it_in_words() {
        let mut report = SoundReport {
            name: "Headphones".into(),
            audible: true,
            sample_rate: 44_100,
            buffer: 441,
            average: 0.03,
            peak: 0.5,
            median: 0.034,
            p999: 0.12,
            gaps: 0,
            first_note_s: Some(0.337),
        };
        let words = |report: &SoundReport| lines(report).map(|(_, words)| words).join(" | ");
        assert_eq!(
            words(&report),
            "Headphones | 44.1 kHz | 441 frames, 10 ms | 3.4 % of the time, 99.9 % of blocks \
             within 12.0 %, 50.0 % at most | none | ready 0.34 s after the start of the program"
        );
        report.audible = false;
        report.buffer = 0;
        report.gaps = 2;
        report.first_note_s = None;
        let words = words(&report);
        assert!(words.starts_with("none: time passes in silence"), "{words}");
        assert!(
            words.ends_with("2 since it was opened | not yet computed"),
            "{words}"
        );
    }
}
