//! How the tune lies in other keys: asked for by a button, then a list from the best on, each with
//! the effort bar by bar as a small picture. A press on a row moves the tune there.

use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::theme;
use crate::instrument::Cost;
use crate::session::Action;
use crate::session::KeyLie;
use crate::session::KeysStatus;
use crate::session::Session;
use egui::Button;
use egui::CornerRadius;
use egui::ProgressBar;
use egui::Rect;
use egui::Ui;
use egui::Vec2;
use egui::pos2;

/// Rows shown; the rest is of little use.
const ROWS: usize = 12;

/// Shows the comparison, closed until it is opened.
pub fn keys_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    controls::foldable(
        ui,
        "other keys",
        "Best-lying key",
        false,
        |ui| match session.keys() {
            KeysStatus::Unasked => {
                controls::caption(ui, "Solves the tune in all twelve keys");
                if ui.button("Compare keys").clicked() {
                    actions.act(Action::CompareKeys { with_capos: false });
                }
                if ui.button("With capos up to fret 5").clicked() {
                    actions.act(Action::CompareKeys { with_capos: true });
                }
            }
            KeysStatus::Working { done, total } => {
                let text = format!("{done} of {total}");
                let share = *done as f32 / (*total).max(1) as f32;
                ui.add(ProgressBar::new(share).text(text));
                if ui.button("Stop comparing").clicked() {
                    actions.act(Action::StopComparingKeys);
                }
            }
            KeysStatus::Known(found) => list_ui(ui, session, found, actions),
        },
    );
}

fn list_ui(ui: &mut Ui, session: &Session, found: &[KeyLie], actions: &mut Actions) {
    controls::caption(
        ui,
        "Effort of the whole tune; press a key to move the tune there",
    );
    let capo = session.document().instrument.capo;
    let bars = || found.iter().take(ROWS).flat_map(|lie| &lie.by_bar);
    let most = bars().copied().max().unwrap_or(Cost::ZERO);
    for (number, lie) in found.iter().enumerate().take(ROWS) {
        let is_here = lie.semitones == 0 && lie.capo == capo;
        let words = words(lie);
        let name = format!("key {}: {words}, effort {}", number + 1, lie.sum);
        let row = Button::selectable(is_here, words)
            .right_text(lie.sum.to_string())
            .min_size(Vec2::new(ui.available_width(), 24.0));
        if ui.add(row).accessible_name(name).clicked() && !is_here {
            actions.act(Action::UseKey(number));
        }
        profile(ui, &lie.by_bar, most);
    }
}

fn words(lie: &KeyLie) -> String {
    let capo = match lie.capo {
        0 => String::new(),
        fret => format!(", capo {fret}"),
    };
    let faults = match lie.n_faults {
        0 => "",
        _ => ", with faults",
    };
    format!("{}{capo}{faults}", lie.key)
}

/// The effort of every bar as columns side by side.
fn profile(ui: &mut Ui, by_bar: &[Cost], most: Cost) {
    let (_, rect) = ui.allocate_space(Vec2::new(ui.available_width(), 14.0));
    let p = theme::palette(ui.visuals());
    let width = rect.width() / by_bar.len().max(1) as f32;
    let mut left = rect.left();
    for cost in by_bar {
        let share = cost.0.max(0) as f32 / most.0.max(1) as f32;
        let top = rect.bottom() - (rect.height() * share).max(1.0);
        let gap = (width * 0.2).min(1.0);
        let column = Rect::from_min_max(pos2(left, top), pos2(left + width - gap, rect.bottom()));
        let colour = theme::between(p.effort_low, p.effort_high, share);
        ui.painter().rect_filled(column, CornerRadius::ZERO, colour);
        left += width;
    }
}
