//! The practice area: a drill with a new line every time round, and the tune's ladder, rung by rung
//! from easy to hard, each with what it allows, what it costs this hand, and the tempi that were
//! reached. One press makes all arrangements; each can be drilled, heard, opened as a project, or
//! printed with the others as a booklet.

mod drill;
mod rung;
mod strip;

use super::actions::Actions;
use super::actions::Command;
use super::controls;
use super::theme;
use crate::document::Edit;
use crate::instrument::Cost;
use crate::session::Action;
use crate::session::LadderStatus;
use crate::session::Session;
use crate::session::ladder::ClimbedRung;
use egui::Button;
use egui::CentralPanel;
use egui::Frame;
use egui::Margin;
use egui::RichText;
use egui::ScrollArea;
use egui::Ui;

/// The widest that rows get: beyond it the eye loses the line.
const WIDEST: f32 = 880.0;

/// Shows the area.
pub fn practice_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    let frame = Frame::new()
        .fill(p.paper)
        .inner_margin(Margin::symmetric(8, 0));
    CentralPanel::default().frame(frame).show(ui, |ui| {
        ScrollArea::vertical()
            .id_salt("practice")
            .auto_shrink(false)
            .show(ui, |ui| {
                ui.add_space(12.0);
                let indent = ((ui.available_width() - WIDEST) / 2.0).max(8.0);
                ui.horizontal_top(|ui| {
                    ui.add_space(indent);
                    ui.vertical(|ui| {
                        ui.set_max_width(WIDEST.min(ui.available_width() - 8.0));
                        drill::drill_ui(ui, session, actions);
                        ladder_ui(ui, session, actions);
                    });
                });
                ui.add_space(16.0);
            });
    });
}

fn ladder_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    ui.label(RichText::new("Ladder").font(theme::bold(theme::TITLE)));
    ui.label(
        "The same tune on rising rungs. Each is a full arrangement for this hand, and each costs it \
         more than the one before.",
    );
    ui.add_space(8.0);
    let status = session.ladder();
    head_ui(ui, session, status, actions);
    ui.add_space(8.0);
    let ladder = session.document().ladder();
    let climbed: &[ClimbedRung] = match status {
        LadderStatus::Known(ladder) => &ladder.rungs,
        LadderStatus::Unasked | LadderStatus::Working { .. } => &[],
    };
    let most = climbed.iter().map(ClimbedRung::effort).max();
    for (number, rung) in ladder.iter().enumerate() {
        let place = climbed.iter().position(|other| other.number == number);
        let found = place.and_then(|place| Some((place, climbed.get(place)?)));
        let shown = rung::Shown {
            number,
            rung,
            climbed: found,
            most: most.unwrap_or(Cost::ZERO),
        };
        rung::rung_ui(ui, session, &shown, actions);
    }
    if let LadderStatus::Known(ladder) = status {
        for sentence in &ladder.left_out {
            controls::caption(ui, sentence);
        }
    }
}

/// What can be done with the whole ladder.
fn head_ui(ui: &mut Ui, session: &Session, status: &LadderStatus, actions: &mut Actions) {
    ui.horizontal_wrapped(|ui| match status {
        LadderStatus::Unasked => {
            if ui.button("Make the ladder").clicked() {
                actions.act(Action::ClimbLadder);
            }
            usual_ui(ui, session, actions);
        }
        LadderStatus::Working { done, total } => {
            let share = *done as f32 / (*total).max(1) as f32;
            controls::progress(ui, share, 220.0);
            ui.label(format!("rung {} of {total}", done + 1));
            if ui.button("Stop").clicked() {
                actions.act(Action::StopClimbing);
            }
        }
        LadderStatus::Known(ladder) => {
            let any = !ladder.rungs.is_empty();
            if ui
                .add_enabled(any, Button::new("Booklet as PDF…"))
                .clicked()
            {
                actions.window(Command::AskBooklet);
            }
            usual_ui(ui, session, actions);
        }
    });
}

/// The way back to the usual rungs, if the tune has rungs of its own.
fn usual_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let own = !session.document().rungs.is_empty();
    let hint = "Take the usual rungs again; tempi that were noted go with them";
    if own && ui.button("Usual rungs").on_hover_text(hint).clicked() {
        actions.edit(Edit::SetRungs(Vec::new()));
    }
}
