//! The report of an import, above the notices: every sentence, and the part that the tune was taken
//! from, to be changed as long as nothing else was. It stays until it is put away.

use crate::gui::actions::Actions;
use crate::gui::icons;
use crate::gui::icons::Icon;
use crate::gui::theme;
use crate::session::Action;
use crate::session::Session;
use egui::Align;
use egui::ComboBox;
use egui::Layout;
use egui::RichText;
use egui::ScrollArea;
use egui::Ui;

/// Shows the report, if there is one.
pub fn import_report_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let Some(report) = session.import_report() else {
        return;
    };
    ui.horizontal(|ui| {
        let words = format!("What the import of {} left out or guessed", report.name);
        ui.label(RichText::new(words).font(theme::bold(theme::BODY)));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let close = icons::button(ui, Icon::Close, "close import report", "Put away", None);
            if close.clicked() {
                actions.act(Action::CloseReport);
            }
        });
    });
    if report.parts.len() > 1 {
        part_ui(ui, session, actions);
    }
    ScrollArea::vertical()
        .id_salt("import report")
        .auto_shrink([false, true])
        .max_height(132.0)
        .show(ui, |ui| {
            for sentence in &report.sentences {
                ui.horizontal_top(|ui| {
                    ui.label("–");
                    ui.add(egui::Label::new(sentence).wrap());
                });
            }
        });
}

fn part_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let Some(report) = session.import_report() else {
        return;
    };
    ui.horizontal(|ui| {
        let label = ui.label("Tune from");
        let mut taken = report.taken;
        let name = |idx: usize| {
            let part = report.parts.get(idx).map(ToString::to_string);
            format!("{}  {}", idx + 1, part.unwrap_or_default())
        };
        ui.add_enabled_ui(session.can_take_part(), |ui| {
            let list = ComboBox::from_id_salt("part of the tune")
                .selected_text(name(taken))
                .width(360.0)
                .show_ui(ui, |ui| {
                    for idx in 0..report.parts.len() {
                        ui.selectable_value(&mut taken, idx, name(idx));
                    }
                });
            let hint = "The tune was changed since; open the file again to take another part";
            list.response
                .labelled_by(label.id)
                .on_disabled_hover_text(hint);
        });
        if taken != report.taken {
            actions.act(Action::TakePart(taken));
        }
    });
}
