//! Notices above the status line: what happened and what to do, each with a way to put it away.
//! They take their own room, so they never cover the grid.

use crate::gui::actions::Actions;
use crate::gui::icons;
use crate::gui::icons::Icon;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Action;
use crate::session::Notice;
use crate::session::NoticeKind;
use crate::session::Session;
use egui::Align;
use egui::Layout;
use egui::RichText;
use egui::Ui;
use egui::Vec2;

/// The most notices shown at once; older ones wait.
const MOST: usize = 3;

/// Shows the newest notices.
pub fn notices_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let notices = session.notices();
    let from = notices.len().saturating_sub(MOST);
    for notice in notices.iter().skip(from) {
        ui.push_id(notice.id, |ui| notice_ui(ui, notice, actions));
    }
}

fn notice_ui(ui: &mut Ui, notice: &Notice, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    ui.horizontal(|ui| {
        let colour = match notice.kind {
            NoticeKind::Info => p.tune,
            NoticeKind::Warning => p.fingers,
            NoticeKind::Error => p.warning,
        };
        let (_, rect) = ui.allocate_space(Vec2::new(4.0, 24.0));
        ui.painter().rect_filled(rect, 2, colour);
        let word = match notice.kind {
            NoticeKind::Info => "",
            NoticeKind::Warning => "Note",
            NoticeKind::Error => "Problem",
        };
        if !word.is_empty() {
            ui.label(RichText::new(word).font(theme::bold(theme::BODY)));
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let close = icons::button(ui, Icon::Close, "dismiss notice", "Put away", None);
            if close.clicked() {
                actions.act(Action::Dismiss(notice.id));
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let text = if word.is_empty() {
                    words::sentence(&notice.text)
                } else {
                    notice.text.clone()
                };
                ui.add(egui::Label::new(text).wrap());
            });
        });
    });
}
