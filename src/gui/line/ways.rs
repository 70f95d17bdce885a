//! Other ways to play the selected bar, cheapest first: their shapes or, where these are the same,
//! what the thumb has elsewhere, and how much more effort the whole tune then takes.

use crate::arrange::BarWay;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::shortcuts;
use crate::gui::shortcuts::Deed;
use crate::gui::words;
use crate::instrument::Cost;
use crate::session::Action;
use crate::session::Session;
use egui::Button;
use egui::CollapsingHeader;
use egui::Ui;

/// Shows the list, closed until it is opened.
pub fn ways_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    CollapsingHeader::new("Other ways")
        .id_salt("other ways")
        .show(ui, |ui| {
            let key = shortcuts::key_of(Deed::NextWay, ui.ctx());
            let Some((ways, in_use)) = session.ways_in_use() else {
                controls::caption(ui, "Not known now");
                return;
            };
            controls::caption(ui, &format!("Whole-tune effort; {key} takes the next way"));
            let least = ways.iter().map(|way| way.sum).min().unwrap_or_default();
            for (number, way) in ways.iter().enumerate() {
                let extra = Cost(way.sum.0 - least.0);
                // Ways with the shapes of one before them are told apart by the thumb.
                let alike = ways.iter().take(number).find(|w| w.shapes == way.shapes);
                let in_use_way = ways.get(in_use).filter(|w| w.shapes == way.shapes);
                let differs = differs(session, way, in_use_way.or(alike));
                let name = format!("way {}: {differs}, effort +{extra}", number + 1);
                let row = Button::selectable(number == in_use, differs)
                    .right_text(format!("+{extra}"))
                    .min_size(egui::vec2(ui.available_width(), 24.0));
                if ui.add(row).accessible_name(name).clicked() && number != in_use {
                    actions.act(Action::UseWay(number));
                }
            }
        });
}

/// The shapes; or, beside a way that has the same ones, where the thumb plays something else.
fn differs(session: &Session, way: &BarWay, beside: Option<&BarWay>) -> String {
    let shapes = way.shapes.iter().filter_map(|(_, shape)| *shape);
    let shapes: Vec<String> = shapes.map(|shape| shape.to_string()).collect();
    let document = session.document();
    let n_strings = document.instrument.n_strings();
    let is_other = |note: &&_| beside.is_some_and(|beside| !beside.thumb.contains(note));
    let other = way.thumb.iter().filter(is_other);
    let notes = other.filter_map(|(at, note)| {
        let (_, string, fret) = (*note)?;
        let beat = words::beat(document.meter, *at);
        Some(format!(
            "{beat}: {}",
            words::place_on_neck(string, fret, n_strings)
        ))
    });
    let notes: Vec<String> = notes.collect();
    match (notes.is_empty(), shapes.is_empty()) {
        (false, _) => notes.join(", "),
        (true, false) => shapes.join(" "),
        (true, true) => "as arranged".into(),
    }
}
