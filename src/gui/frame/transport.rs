//! The transport in the top bar: play and stop, loop, count-in, click, tempo, feel and volume.

use super::lanes;
use super::topbar::divide;
use super::topbar::hint;
use super::trainer;
use crate::document::Edit;
use crate::document::Feel;
use crate::document::LAY_BACK_MS;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::icons;
use crate::gui::icons::Icon;
use crate::gui::shortcuts::Deed;
use crate::gui::theme;
use crate::session::Action;
use crate::session::Session;
use egui::PopupCloseBehavior;
use egui::Ui;
use egui::containers::menu::MenuButton;
use egui::containers::menu::MenuConfig;

/// Shows the transport.
pub fn transport_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let play = session.play();
    let can_play = session.document().n_bars() > 0;
    let (icon, name, words) = if play.playing {
        (Icon::Stop, "stop", "Stop")
    } else {
        (Icon::Play, "play", "Play from the selected bar")
    };
    ui.add_enabled_ui(can_play, |ui| {
        let words = hint(ui, words, Deed::Play);
        if icons::button(ui, icon, name, &words, Some(play.playing)).clicked() {
            actions.act(Action::PlayOrStop);
        }
    });
    let toggles = [
        (
            Icon::Loop,
            "loop",
            "Loop the selected bars, or all",
            play.looping,
            Action::ToggleLoop,
        ),
        (
            Icon::CountIn,
            "count-in",
            "Count one bar before playing",
            play.count_in,
            Action::ToggleCountIn,
        ),
        (
            Icon::Click,
            "click",
            "Click on the beats",
            play.click,
            Action::ToggleClick,
        ),
    ];
    for (icon, name, words, on, action) in toggles {
        if icons::button(ui, icon, name, words, Some(on)).clicked() {
            actions.act(action);
        }
    }
    divide(ui);
    let tempo = session.document().tempo_bpm;
    if let Some(tempo) = controls::number(ui, "Tempo", tempo, 30..=320, " bpm") {
        actions.edit(Edit::SetTempo(tempo));
    }
    feel_ui(ui, session, actions);
    trainer::trainer_ui(ui, session, actions);
    divide(ui);
    lanes::lanes_ui(ui, session, actions);
    volume_ui(ui, session, actions);
}

fn feel_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let feel = session.document().feel;
    let config = MenuConfig::new().close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    let (response, _) = MenuButton::new(feel_words(feel))
        .config(config)
        .ui(ui, |ui| {
            ui.set_min_width(200.0);
            controls::in_menu(ui);
            if ui
                .radio(feel == Feel::Straight, "Straight eighths")
                .clicked()
            {
                actions.edit(Edit::SetFeel(Feel::Straight));
            }
            let swings = matches!(feel, Feel::Swing(_));
            ui.horizontal(|ui| {
                if ui.radio(swings, "Swing, long to short").clicked() {
                    actions.edit(Edit::SetFeel(Feel::Swing(2000)));
                }
                if let Feel::Swing(permille) = feel
                    && let Some(ratio) = ratio_ui(ui, permille)
                {
                    actions.edit(Edit::SetFeel(Feel::Swing(ratio)));
                }
            });
            if ui
                .radio(feel == Feel::FollowTempo, "Follow the tempo")
                .clicked()
            {
                actions.edit(Edit::SetFeel(Feel::FollowTempo));
            }
            controls::caption(ui, "The faster the tune, the more even its eighths");
            ui.separator();
            ui.horizontal(|ui| {
                ui.label("Lay-back");
                let ms = u16::from(session.document().lay_back_ms);
                let range = u16::from(*LAY_BACK_MS.start())..=u16::from(*LAY_BACK_MS.end());
                if let Some(ms) = controls::number(ui, "lay-back", ms, range, " ms") {
                    actions.edit(Edit::SetLayBack(ms as u8));
                }
            });
            controls::caption(ui, "Fingers and tune come late on the beat; off-beats stay");
        });
    let words = "How off-beat eighths are played, and how late the beat is taken";
    response.accessible_name("feel").on_hover_text(words);
}

fn feel_words(feel: Feel) -> String {
    match feel {
        Feel::Straight => "straight".into(),
        Feel::Swing(permille) => {
            let tenths = (u32::from(permille) + 50) / 100;
            format!("swing {}.{} : 1", tenths / 10, tenths % 10)
        }
        Feel::FollowTempo => "swing by tempo".into(),
    }
}

/// How much of the ratio one point of dragging is.
const DRAG: f64 = 0.02;

/// The ratio in tenths, 1.0 to 3.5; returns thousandths.
fn ratio_ui(ui: &mut Ui, permille: u16) -> Option<u16> {
    let tenths = (permille + 50) / 100;
    let before = f64::from(tenths) / 10.0;
    let mut shown = before;
    let field = egui::DragValue::new(&mut shown)
        .range(1.0..=3.5)
        .speed(DRAG)
        // Not rounded to what is shown, or an arrow key would do nothing.
        .custom_formatter(|ratio, _| format!("{ratio:.1}"))
        .update_while_editing(false)
        .suffix(" : 1");
    let field = ui.add(field).accessible_name("swing ratio");
    let by = shown - before;
    if field.has_focus() && !field.dragged() && by.abs() < 0.05 {
        // An arrow key moves as much as a point of dragging, which is less than what is shown.
        shown = before + by / DRAG / 10.0;
    }
    let wanted = (10u16..=35).find(|t| f64::from(*t) / 10.0 + 0.05 > shown)?;
    (wanted != tenths).then_some(wanted * 100)
}

fn volume_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let (_, rect) = ui.allocate_space(egui::vec2(18.0, 28.0));
    let p = theme::palette(ui.visuals());
    icons::paint(ui.painter(), Icon::Sound, rect.center(), p.ink_soft);
    let mut volume = session.play().volume;
    let width = (ui.available_width() - 20.0).clamp(40.0, 72.0);
    ui.spacing_mut().slider_width = width;
    let slider = egui::Slider::new(&mut volume, 0.0..=1.0).show_value(false);
    let place = egui::Rect::from_center_size(
        rect.right_center() + egui::vec2(8.0 + width / 2.0, 0.0),
        egui::vec2(width, 18.0),
    );
    ui.allocate_space(egui::vec2(width + 8.0, 28.0));
    let builder = egui::UiBuilder::new().max_rect(place);
    let response = ui.scope_builder(builder, |ui| {
        // The handle is as large as the control is high.
        ui.spacing_mut().interact_size.y = 18.0;
        controls::rail(ui, slider).accessible_name("volume")
    });
    let response = response.inner;
    if response.changed() {
        actions.act(Action::SetVolume(volume));
    }
    response.on_hover_text(format!("Volume {:.0} %", volume * 100.0));
}
