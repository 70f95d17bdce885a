//! The status line: what the solver says, how many findings there are, the sound device, and the
//! instrument and hand in use. What names a place is a link to it.

use super::sound_page;
use crate::arrange::Place;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::controls;
use crate::gui::theme;
use crate::session::Action;
use crate::session::DeviceStatus;
use crate::session::Selection;
use crate::session::Session;
use crate::session::SolverStatus;
use egui::Align;
use egui::Button;
use egui::Layout;
use egui::RichText;
use egui::Ui;

/// Shows the status line.
pub fn status_ui(ui: &mut Ui, session: &Session, findings_open: bool, actions: &mut Actions) {
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().interact_size.y = 20.0;
        ui.spacing_mut().button_padding.y = 0.0;
        let (device, player) = (device_words(session), player_words(session));
        // What is going on comes first; who plays on what also stands in the left panel.
        let going_on = width(ui, &device) + going_on_width(ui, session);
        let with_player = going_on + width(ui, &player) + DOT;
        let whole = ui.available_width();
        let shows_player = with_player <= 0.45 * whole;
        let right = if shows_player { with_player } else { going_on };
        let findings = session.arrangement().map_or(0, |a| a.findings.len());
        let findings = findings_words(findings).map_or(0.0, |words| width(ui, &words) + 16.0);
        let until = ui.max_rect().right() - right - findings - DOT;
        solver_ui(ui, session, until, actions);
        findings_ui(ui, session, findings_open, actions);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if shows_player {
                small(ui, &player);
                small(ui, "·");
            }
            sound_page::sound_ui(ui, session, &device, actions);
            if let Some(part) = session.play().preparing {
                small(ui, "·");
                small(ui, &preparing_words(part));
            }
            writing_ui(ui, session, actions);
        });
    });
}

/// Room for a dot between two items.
const DOT: f32 = 24.0;
const WRITING_BAR: f32 = 80.0;
const CANCEL_EXPORT: &str = "Cancel export";

fn width(ui: &Ui, text: &str) -> f32 {
    let font = egui::TextStyle::Small.resolve(ui.style());
    let colour = egui::Color32::PLACEHOLDER;
    let galley = ui.painter().layout_no_wrap(text.to_owned(), font, colour);
    galley.size().x
}

/// The room that work in the background takes.
fn going_on_width(ui: &Ui, session: &Session) -> f32 {
    let preparing = session.play().preparing.map(preparing_words);
    let preparing = preparing.map_or(0.0, |words| width(ui, &words) + DOT);
    let writing = session.writing().map_or(0.0, |(what, _)| {
        let words = width(ui, &writing_words(what)) + width(ui, CANCEL_EXPORT);
        words + WRITING_BAR + 3.0 * DOT
    });
    preparing + writing
}

fn writing_words(what: &str) -> String {
    format!("writing {what}")
}

fn small(ui: &mut Ui, text: &str) {
    let p = theme::palette(ui.visuals());
    ui.label(RichText::new(text).small().color(p.ink_soft));
}

fn solver_ui(ui: &mut Ui, session: &Session, until: f32, actions: &mut Actions) {
    match session.solver() {
        SolverStatus::Working { done, total } => {
            small(ui, "looking for the easiest way to play it");
            let share = share(*done, *total);
            controls::progress(ui, share, 120.0);
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
        SolverStatus::Idle => result_ui(ui, session, until, actions),
    }
}

/// How far an export in the background is, and the way out; drawn from right to left.
fn writing_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let Some((what, part)) = session.writing() else {
        return;
    };
    small(ui, "·");
    if ui.small_button(CANCEL_EXPORT).clicked() {
        actions.act(Action::CancelExport);
    }
    controls::progress(ui, part, WRITING_BAR);
    small(ui, &writing_words(what));
}

fn share(done: usize, total: usize) -> f32 {
    let permille = done.saturating_mul(1000) / total.max(1);
    f32::from(u16::try_from(permille.min(1000)).unwrap_or(1000)) / 1000.0
}

/// Whether words still fit before what stands at the right.
fn fits(ui: &Ui, words: &str, until: f32) -> bool {
    ui.cursor().left() + DOT + width(ui, words) <= until
}

fn result_ui(ui: &mut Ui, session: &Session, until: f32, actions: &mut Actions) {
    let Some(arrangement) = session.arrangement().filter(|a| !a.grips.is_empty()) else {
        small(ui, "nothing to solve yet");
        return;
    };
    small(ui, &format!("optimal · effort {}", arrangement.sum));
    let Some(place) = arrangement.hardest else {
        return;
    };
    let words = format!("hardest change {}", change_words(place));
    if !fits(ui, &words, until) {
        return;
    }
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
    if !fits(ui, &words, until) {
        return;
    }
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
    let Some(words) = findings_words(n) else {
        return;
    };
    small(ui, "·");
    let p = theme::palette(ui.visuals());
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

fn findings_words(n: usize) -> Option<String> {
    match n {
        0 => None,
        1 => Some("1 finding".into()),
        n => Some(format!("{n} findings")),
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
