//! The drill on the screen: what is drilled and how, the start, and while it runs the strip with the
//! count beside it.

use super::strip;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::theme;
use crate::session::Action;
use crate::session::DRILL_SERIES;
use crate::session::DrillSettings;
use crate::session::DrillStatus;
use crate::session::Heard;
use crate::session::Recall;
use crate::session::Session;
use crate::session::Trainer;
use egui::RichText;
use egui::Ui;

/// What the choice of moves says when no rung is chosen.
const AS_SET: &str = "As the tune is set";

/// Shows the drill.
pub fn drill_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    ui.label(RichText::new("Drill").font(theme::bold(theme::TITLE)));
    ui.label("The same bars round and round, and every time a line that is new to the thumb");
    ui.add_space(8.0);
    let settings = session.drill_settings();
    let mut wanted = settings;
    lines_ui(ui, session, &mut wanted);
    playing_ui(ui, session, &mut wanted, actions);
    if wanted != settings {
        actions.act(Action::SetDrill(wanted));
    }
    ui.add_space(8.0);
    let status = session.drill();
    ui.horizontal(|ui| match &status {
        None => {
            if ui.button("Start the drill").clicked() {
                actions.act(Action::StartDrill);
            }
        }
        Some(status) => {
            if ui.button("Stop the drill").clicked() {
                actions.act(Action::StopDrill);
            }
            ui.label(where_it_is(session, status));
        }
    });
    if let Some(status) = &status {
        ui.add_space(8.0);
        strip::strip_ui(ui, status, actions);
        if !status.is_fresh {
            controls::caption(
                ui,
                "This line is the same as the one before: what is allowed leaves no choice. Drill \
                 another rung, or leave more thumb notes to the tool",
            );
        }
    }
    ui.add_space(24.0);
}

/// Which lines: the devices, the bars, the series.
fn lines_ui(ui: &mut Ui, session: &Session, wanted: &mut DrillSettings) {
    let rungs = session.document().ladder();
    let name_of = |number: usize| rungs.get(number).map(|rung| rung.name.as_str());
    ui.horizontal_wrapped(|ui| {
        ui.label("Thumb");
        let now = wanted.rung.and_then(name_of).unwrap_or(AS_SET);
        controls::plain_choice(ui, "moves of the drill", now, |ui| {
            ui.selectable_value(&mut wanted.rung, None, AS_SET);
            for (number, rung) in rungs.iter().enumerate() {
                ui.selectable_value(&mut wanted.rung, Some(number), &rung.name);
            }
        });
        let (from, to) = wanted.range(session.document());
        let last = session.document().n_bars().max(1);
        ui.label("bars");
        let first = number_from_1(ui, "first bar of the drill", from, (1, last));
        ui.label("to");
        let end = number_from_1(ui, "last bar of the drill", to, (from + 1, last));
        if first.is_some() || end.is_some() {
            let from = first.unwrap_or(from);
            wanted.bars = Some((from, end.unwrap_or(to).max(from)));
        }
        ui.label("series");
        let most = u16::try_from(*DRILL_SERIES.end()).unwrap_or(u16::MAX);
        let series = u16::try_from(wanted.series).unwrap_or(1);
        let hint = "The same series has the same lines, so that it can be practised again";
        ui.scope(|ui| {
            if let Some(series) = controls::number(ui, "series of lines", series, 1..=most, "") {
                wanted.series = u64::from(series);
            }
        })
        .response
        .on_hover_text(hint);
    });
}

/// A place in the tune, counted from 1 on the screen; the new one, counted from 0.
fn number_from_1(
    ui: &mut Ui,
    name: &str,
    value: usize,
    (least, most): (usize, usize),
) -> Option<usize> {
    let small = |n: usize| u16::try_from(n).unwrap_or(u16::MAX);
    let range = small(least)..=small(most.max(least));
    let new = controls::number(ui, name, small(value + 1), range, "")?;
    Some(usize::from(new).saturating_sub(1))
}

/// What is heard, what is covered, and how the tempo goes.
fn playing_ui(ui: &mut Ui, session: &Session, wanted: &mut DrillSettings, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| {
        ui.label("Hear");
        controls::plain_choice(ui, "heard in the drill", wanted.heard.words(), |ui| {
            for heard in Heard::ALL {
                ui.selectable_value(&mut wanted.heard, heard, heard.words());
            }
        });
        ui.label("by heart");
        controls::plain_choice(ui, "to be known by heart", wanted.recall.words(), |ui| {
            for recall in Recall::ALL {
                ui.selectable_value(&mut wanted.recall, recall, recall.words());
            }
        });
    });
    ui.horizontal_wrapped(|ui| {
        let play = session.play();
        let trainer = play.trainer;
        let mut on = trainer.on;
        let hint = "Set in the speed trainer at the top";
        let words = format!(
            "Faster by {} % every {} passes, {} % to {} %",
            trainer.step, trainer.every, trainer.start, trainer.target
        );
        if ui.checkbox(&mut on, words).on_hover_text(hint).changed() {
            actions.act(Action::SetTrainer(Trainer { on, ..trainer }));
        }
        let mut count_in = play.count_in;
        if ui.checkbox(&mut count_in, "Count in").changed() {
            actions.act(Action::ToggleCountIn);
        }
    });
}

/// "Line 3, from memory, 90 bpm"
fn where_it_is(session: &Session, status: &DrillStatus) -> String {
    let Some(line) = status.line else {
        return "Writing the first line".into();
    };
    let percent = session.play().training.map_or(100, |now| now.percent);
    let bpm = u32::from(session.document().tempo_bpm) * u32::from(percent) / 100;
    let memory = if status.from_memory {
        ", from memory"
    } else {
        ""
    };
    format!("Line {}{memory}, {bpm} bpm", line + 1)
}
