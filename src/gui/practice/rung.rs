//! One rung of the ladder as a card: what it allows and can be changed to allow, and, once it is
//! arranged, its effort beside the others', its moves, and the tempi reached on it.

use crate::document::Edit;
use crate::document::LadderRung;
use crate::document::TEMPO_BPM;
use crate::document::Walk;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::controls;
use crate::gui::theme;
use crate::instrument::Cost;
use crate::session::Action;
use crate::session::DrillSettings;
use crate::session::Session;
use crate::session::ladder::ClimbedRung;
use egui::Align;
use egui::CornerRadius;
use egui::Frame;
use egui::Layout;
use egui::Margin;
use egui::Rect;
use egui::RichText;
use egui::Stroke;
use egui::Ui;
use egui::Vec2;

/// What a card shows.
pub struct Shown<'a> {
    /// The rung's number in the ladder, from 0.
    pub number: usize,
    /// What it allows.
    pub rung: &'a LadderRung,
    /// Its place among the climbed rungs and what was found, if it was climbed.
    pub climbed: Option<(usize, &'a ClimbedRung)>,
    /// The effort of the hardest rung.
    pub most: Cost,
}

/// Shows a card.
pub fn rung_ui(ui: &mut Ui, session: &Session, shown: &Shown<'_>, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    Frame::new()
        .fill(p.card)
        .stroke(Stroke::new(1.0, p.lines))
        .corner_radius(theme::RADIUS)
        .inner_margin(Margin::symmetric(12, 8))
        .show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            ui.push_id(("rung", shown.number), |ui| {
                title_ui(ui, session, shown, actions);
                allowed_ui(ui, session, shown, actions);
                if let Some((place, climbed)) = shown.climbed {
                    effort_ui(ui, climbed, shown.most);
                    tempo_ui(ui, session, shown, (place, climbed), actions);
                }
            });
        });
    ui.add_space(4.0);
}

fn title_ui(ui: &mut Ui, session: &Session, shown: &Shown<'_>, actions: &mut Actions) {
    let number = shown.number + 1;
    ui.horizontal(|ui| {
        let title = format!("{number}   {}", shown.rung.name);
        ui.label(RichText::new(title).font(theme::bold(theme::LARGE)));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let drill = ui
                .button("Drill")
                .on_hover_text("A new line every time round");
            if drill
                .accessible_name(format!("Drill rung {number}"))
                .clicked()
            {
                let rung = Some(shown.number);
                let now = session.drill_settings();
                actions.act(Action::SetDrill(DrillSettings { rung, ..now }));
                actions.act(Action::StartDrill);
            }
            let Some((place, _)) = shown.climbed else {
                return;
            };
            let open = ui.button("Open").on_hover_text("As a project of its own");
            if open
                .accessible_name(format!("Open rung {number}"))
                .clicked()
            {
                actions.window(Command::Rung(place));
            }
            let hear = ui.button("Hear");
            if hear
                .accessible_name(format!("Hear rung {number}"))
                .clicked()
            {
                actions.act(Action::HearRung(place));
            }
        });
    });
}

/// What the rung allows, each as a choice.
fn allowed_ui(ui: &mut Ui, session: &Session, shown: &Shown<'_>, actions: &mut Actions) {
    let number = shown.number + 1;
    let mut wanted = shown.rung.clone();
    ui.horizontal_wrapped(|ui| {
        let name = format!("thumb on rung {number}");
        controls::plain_choice(ui, &name, wanted.walk.words(), |ui| {
            for walk in Walk::ALL {
                ui.selectable_value(&mut wanted.walk, walk, walk.words());
            }
        });
        let slides = ui.checkbox(&mut wanted.slides, "Slides");
        slides.accessible_name(format!("Slides on rung {number}"));
        let has_tune = session.document().has_tune();
        let tune = egui::Checkbox::new(&mut wanted.tune, "Tune on top");
        let tune = ui.add_enabled(has_tune, tune);
        tune.accessible_name(format!("Tune on rung {number}"))
            .on_disabled_hover_text("The chart has no tune yet");
    });
    if wanted != *shown.rung {
        let mut rungs = session.document().ladder();
        if let Some(rung) = rungs.get_mut(shown.number) {
            *rung = wanted;
        }
        actions.edit(Edit::SetRungs(rungs));
    }
}

fn effort_ui(ui: &mut Ui, climbed: &ClimbedRung, most: Cost) {
    let p = theme::palette(ui.visuals());
    ui.horizontal_wrapped(|ui| {
        let (_, rect) = ui.allocate_space(Vec2::new(220.0, 12.0));
        let share = climbed.effort().0.max(0) as f32 / most.0.max(1) as f32;
        let bar = Rect::from_min_size(rect.min, Vec2::new(rect.width() * share, rect.height()));
        let painter = ui.painter();
        painter.rect_filled(rect, CornerRadius::same(2), p.pressed);
        let colour = theme::between(p.effort_low, p.effort_high, share);
        painter.rect_filled(bar, CornerRadius::same(2), colour);
        let bpm = climbed.comfortable_bpm();
        let bpm = bpm.map_or_else(String::new, |bpm| {
            format!(", comfortable up to about {bpm} bpm")
        });
        ui.label(format!(
            "effort {}, hardest change {}{bpm}",
            climbed.effort(),
            climbed.arrangement.max
        ));
    });
    let moves: Vec<&str> = climbed.moves.iter().map(|m| m.code()).collect();
    controls::caption(ui, &format!("Thumb moves {}", moves.join("  ")));
}

/// The tempi reached, and a place to note the next.
fn tempo_ui(
    ui: &mut Ui,
    session: &Session,
    shown: &Shown<'_>,
    (place, climbed): (usize, &ClimbedRung),
    actions: &mut Actions,
) {
    let number = shown.number + 1;
    let reached = &shown.rung.reached;
    let latest = reached.last().copied();
    ui.horizontal_wrapped(|ui| {
        let goal = session.document().tempo_bpm;
        let words = match (latest, reached.iter().max()) {
            (Some(latest), Some(best)) if *best > latest => {
                format!("Reached {latest} bpm last, {best} at best, of {goal}")
            }
            (Some(latest), _) => format!("Reached {latest} bpm of {goal}"),
            _ => format!("No tempo noted yet; the tune goes at {goal}"),
        };
        ui.label(words);
        let name = format!("tempo to note for rung {number}");
        let id = ui.scope_id().with("tempo to note");
        let steps = crate::session::ladder::tempo_steps(climbed.document.tempo_bpm);
        let next = steps
            .iter()
            .copied()
            .find(|step| latest.is_none_or(|l| *step > l));
        let usual = next.unwrap_or(goal);
        let mut bpm = ui.data(|d| d.get_temp::<u16>(id)).unwrap_or(usual);
        let field = egui::DragValue::new(&mut bpm)
            .range(TEMPO_BPM)
            .suffix(" bpm");
        if ui.add(field).accessible_name(name).changed() {
            ui.data_mut(|d| d.insert_temp(id, bpm));
        }
        let note = ui.button("Note this tempo");
        if note
            .accessible_name(format!("Note this tempo for rung {number}"))
            .clicked()
        {
            ui.data_mut(|d| d.remove::<u16>(id));
            actions.act(Action::LogTempo { rung: place, bpm });
        }
    });
}
