//! The status line: what the solver says, how many findings there are, the sound device, and the
//! instrument and hand in use. What names a place is a link to it.

use super::sound_page;
use crate::arrange::Place;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::theme;
use crate::session::Action;
use crate::session::DeviceStatus;
use crate::session::Selection;
use crate::session::Session;
use crate::session::SolverStatus;
use egui::Align;
use egui::Button;
use egui::Layout;
use egui::ProgressBar;
use egui::RichText;
use egui::Ui;

/// Shows the status line.
pub fn status_ui(ui: &mut Ui, session: &Session, findings_open: bool, actions: &mut Actions) {
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().interact_size.y = 20.0;
        ui.spacing_mut().button_padding.y = 0.0;
        solver_ui(ui, session, actions);
        findings_ui(ui, session, findings_open, actions);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            small(ui, &player_words(session));
            small(ui, "·");
            sound_page::sound_ui(ui, session, &device_words(session), actions);
            if let Some(part) = session.play().preparing {
                small(ui, "·");
                small(ui, &preparing_words(part));
            }
            writing_ui(ui, session, actions);
        });
    });
}

fn small(ui: &mut Ui, text: &str) {
    let p = theme::palette(ui.visuals());
    ui.label(RichText::new(text).small().color(p.ink_soft));
}

fn solver_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    match session.solver() {
        SolverStatus::Working { done, total } => {
            small(ui, "looking for the easiest way to play it");
            let share = share(*done, *total);
            ui.add(
                ProgressBar::new(share)
                    .fill(theme::palette(ui.visuals()).outline)
                    .desired_width(120.0)
                    .desired_height(8.0),
            );
            if ui.small_button("Cancel").clicked() {
                actions.act(Action::CancelSolving);
            }
        }
        SolverStatus::Cancelled => {
            small(ui, "stopped; the arrangement may not fit the chart");
            if link_ui(ui, "solve again", "Look for the easiest way to play it") {
                actions.act(Action::Solve);
            }
        }
        SolverStatus::Failed(why) => {
            let p = theme::palette(ui.visuals());
            ui.label(RichText::new(why).small().color(p.warning_text));
        }
        SolverStatus::Idle => result_ui(ui, session, actions),
    }
}

/// How far an export in the background is, and the way out; drawn from right to left.
fn writing_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let Some((what, part)) = session.writing() else {
        return;
    };
    small(ui, "·");
    if ui.small_button("Cancel export").clicked() {
        actions.act(Action::CancelExport);
    }
    ui.add(
        ProgressBar::new(part)
            .fill(theme::palette(ui.visuals()).outline)
            .desired_width(80.0)
            .desired_height(8.0),
    );
    small(ui, &format!("writing {what}"));
}

fn share(done: usize, total: usize) -> f32 {
    let permille = done.saturating_mul(1000) / total.max(1);
    f32::from(u16::try_from(permille.min(1000)).unwrap_or(1000)) / 1000.0
}

fn result_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let Some(arrangement) = session.arrangement().filter(|a| !a.grips.is_empty()) else {
        small(ui, "nothing to solve yet");
        return;
    };
    small(ui, &format!("optimal · effort {}", arrangement.sum));
    let Some(place) = arrangement.hardest else {
        return;
    };
    let words = format!("hardest change {}", change_words(place));
    if link_ui(ui, &words, "Select it") {
        select(place, session, actions);
    }
    let Some((bpm, place)) = arrangement.comfortable else {
        return;
    };
    let words = format!("comfortable up to about {bpm} bpm (estimate)");
    let hint = format!(
        "The change {} needs the most time. Select it",
        change_words(place)
    );
    if link_ui(ui, &words, &hint) {
        select(place, session, actions);
    }
}

/// Words that can be clicked, after a dot.
fn link_ui(ui: &mut Ui, words: &str, hint: &str) -> bool {
    small(ui, "·");
    let p = theme::palette(ui.visuals());
    let text = RichText::new(words).small().color(p.thumb_text).underline();
    let button = ui.add(Button::new(text).frame(false));
    button.on_hover_text(hint).clicked()
}

fn change_words(place: Place) -> String {
    if place.at.0 == 0 && place.bar > 0 {
        format!("bar {} to {}", place.bar, place.bar + 1)
    } else {
        format!("in bar {}", place.bar + 1)
    }
}

/// Selects a place and scrolls to it.
pub fn select(place: Place, session: &Session, actions: &mut Actions) {
    actions.act(Action::Select(Selection {
        place,
        to_bar: None,
        ..*session.selection()
    }));
    actions.window(Command::RevealSelection);
    actions.window(Command::FocusGrid);
}

fn findings_ui(ui: &mut Ui, session: &Session, open: bool, actions: &mut Actions) {
    let n = session.arrangement().map_or(0, |a| a.findings.len());
    if n == 0 {
        return;
    }
    small(ui, "·");
    let p = theme::palette(ui.visuals());
    let words = if n == 1 {
        "1 finding".to_owned()
    } else {
        format!("{n} findings")
    };
    let text = RichText::new(words).small().color(p.warning_text);
    let button = Button::selectable(open, text).frame_when_inactive(false);
    if ui
        .add(button)
        .on_hover_text("What to look at, and what helps")
        .clicked()
    {
        actions.window(Command::ToggleFindings);
    }
}

fn preparing_words(part: f32) -> String {
    // Rounded down: 100 % would be an end that has not come.
    format!("Preparing the strings: {} %", (100.0 * part) as u8)
}

fn device_words(session: &Session) -> String {
    match &session.play().device {
        DeviceStatus::Closed => "sound not opened yet".into(),
        DeviceStatus::Open(name) if name.is_empty() => "sound ready".into(),
        DeviceStatus::Open(name) => format!("sound: {name}"),
        DeviceStatus::Missing(_) => "no sound device".into(),
    }
}

fn player_words(session: &Session) -> String {
    let document = session.document();
    let instrument = &document.instrument;
    let capo = match instrument.capo {
        0 => String::new(),
        fret => format!(", capo {fret}"),
    };
    let reach = document.hand.reach_permille / 10;
    let hand = &document.hand.name;
    format!(
        "{}{capo} · {hand}, reach {reach} %",
        instrument.tuning.name()
    )
}
