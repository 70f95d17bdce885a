//! The speed trainer in the transport: its switch and numbers in a drop-down, and where it is while
//! it sets the tempo.

use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::icons;
use crate::gui::icons::Icon;
use crate::gui::theme;
use crate::session::Action;
use crate::session::Session;
use crate::session::TRAINER_EVERY;
use crate::session::TRAINER_PERCENT;
use crate::session::TRAINER_STEP;
use crate::session::Trainer;
use egui::Grid;
use egui::Popup;
use egui::PopupCloseBehavior;
use egui::RichText;
use egui::Ui;

/// Shows the button, the words beside it while the trainer is at work, and the drop-down when it
/// is open.
pub fn trainer_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let trainer = session.play().trainer;
    let hint = match progress_words(session) {
        Some(words) => format!("Speed trainer: {words}"),
        None => "Speed trainer: a loop that gets faster".to_owned(),
    };
    let button = icons::button(ui, Icon::Trainer, "speed trainer", &hint, Some(trainer.on));
    if let Some(words) = progress_words(session) {
        let p = theme::palette(ui.visuals());
        ui.label(RichText::new(words).small().color(p.ink_soft));
    }
    Popup::menu(&button)
        .accessible_name("speed trainer")
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .show(|ui| {
            ui.set_min_width(220.0);
            controls::in_menu(ui);
            settings_ui(ui, session, actions);
        });
}

/// "78 % of 120, pass 3"
fn progress_words(session: &Session) -> Option<String> {
    let training = session.play().training?;
    let tempo = session.document().tempo_bpm;
    Some(format!(
        "{} % of {tempo}, pass {}",
        training.percent, training.pass
    ))
}

fn settings_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let trainer = session.play().trainer;
    let mut on = trainer.on;
    if ui.checkbox(&mut on, "Get faster while looping").changed() {
        actions.act(Action::SetTrainer(Trainer { on, ..trainer }));
    }
    let rows = [
        (
            "Start at",
            "start tempo",
            trainer.start,
            TRAINER_PERCENT,
            " %",
        ),
        ("Step", "tempo step", trainer.step, TRAINER_STEP, " %"),
        (
            "Passes at each tempo",
            "passes at a tempo",
            trainer.every,
            TRAINER_EVERY,
            "",
        ),
        (
            "Up to",
            "target tempo",
            trainer.target,
            TRAINER_PERCENT,
            " %",
        ),
    ];
    Grid::new("speed trainer numbers")
        .num_columns(2)
        .spacing([12.0, 4.0])
        .show(ui, |ui| {
            for (row, (words, name, value, range, suffix)) in rows.into_iter().enumerate() {
                ui.label(words);
                if let Some(value) = controls::number(ui, name, value, range, suffix) {
                    let mut wanted = trainer;
                    match row {
                        0 => wanted.start = value,
                        1 => wanted.step = value,
                        2 => wanted.every = value,
                        _ => wanted.target = value,
                    }
                    actions.act(Action::SetTrainer(wanted));
                }
                ui.end_row();
            }
        });
    controls::caption(ui, &way_words(trainer, session.document().tempo_bpm));
}

/// From where to where, in beats a minute.
fn way_words(trainer: Trainer, tempo: u16) -> String {
    let bpm = |percent: u16| (u32::from(tempo) * u32::from(percent) + 50) / 100;
    let steps = trainer.n_steps();
    let plural = if steps == 1 { "step" } else { "steps" };
    format!(
        "{} to {} bpm in {steps} {plural}",
        bpm(trainer.start),
        bpm(trainer.target)
    )
}
