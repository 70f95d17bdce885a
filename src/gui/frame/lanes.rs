//! The lanes drop-down of the transport: mute, solo and level of every lane. Changes are heard at
//! once and belong to listening only; the document stays as it is.

use crate::arrange::Lane;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::icons;
use crate::gui::icons::Icon;
use crate::session::Action;
use crate::session::LaneMix;
use crate::session::Mixer;
use crate::session::Session;
use egui::Button;
use egui::Grid;
use egui::Popup;
use egui::PopupCloseBehavior;
use egui::Slider;
use egui::Ui;

/// Shows the button and, when it is open, the lanes.
pub fn lanes_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let mixer = &session.play().lanes;
    let button = icons::button(
        ui,
        Icon::Lanes,
        "lanes",
        &hint(mixer),
        Some(!mixer.is_plain()),
    );
    Popup::menu(&button)
        .accessible_name("lanes")
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .show(|ui| {
            controls::in_menu(ui);
            Grid::new("lanes of the transport")
                .num_columns(4)
                .spacing([8.0, 4.0])
                .show(ui, |ui| {
                    for lane in Mixer::LANES {
                        lane_ui(ui, lane, mixer.lane(lane), actions);
                        ui.end_row();
                    }
                });
            controls::caption(ui, "Only for listening: sheets and exports stay whole");
        });
}

fn hint(mixer: &Mixer) -> String {
    let silent = Mixer::LANES.iter().filter(|lane| mixer.gain(**lane) == 0.0);
    let silent: Vec<&str> = silent.map(|lane| lane.word()).collect();
    if silent.is_empty() {
        "Mute, solo and level of the lanes".to_owned()
    } else {
        format!("Lanes; silent now: {}", silent.join(", "))
    }
}

fn lane_ui(ui: &mut Ui, lane: Lane, mix: LaneMix, actions: &mut Actions) {
    let word = lane.word();
    ui.label(words(lane));
    let mute = ui.add(Button::new("Mute").selected(mix.muted));
    if named(mute, &format!("mute {word}"), mix.muted).clicked() {
        let muted = !mix.muted;
        actions.act(Action::SetLane(lane, LaneMix { muted, ..mix }));
    }
    let solo = ui.add(Button::new("Solo").selected(mix.solo));
    if named(solo, &format!("solo {word}"), mix.solo).clicked() {
        let solo = !mix.solo;
        actions.act(Action::SetLane(lane, LaneMix { solo, ..mix }));
    }
    let mut percent = (mix.level * 100.0).round();
    ui.spacing_mut().slider_width = 112.0;
    let slider = Slider::new(&mut percent, 0.0..=100.0)
        .fixed_decimals(0)
        .suffix(" %");
    let level = controls::rail(ui, slider).accessible_name(format!("level {word}"));
    if level.changed() {
        let level = percent / 100.0;
        actions.act(Action::SetLane(lane, LaneMix { level, ..mix }));
    }
}

fn named(response: egui::Response, name: &str, on: bool) -> egui::Response {
    let info = || egui::WidgetInfo::selected(egui::Role::Button, true, on, name);
    response.widget_info(info);
    response
}

const fn words(lane: Lane) -> &'static str {
    match lane {
        Lane::Tune => "Tune",
        Lane::Fingers => "Fingers",
        Lane::Thumb => "Thumb",
    }
}
