//! The list of findings: where, what, and what would help. A click goes to the place.

use super::status;
use crate::arrange::Finding;
use crate::gui::actions::Actions;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Session;
use egui::Button;
use egui::RichText;
use egui::ScrollArea;
use egui::Ui;

const ROW: f32 = 28.0;

/// Shows the list.
pub fn findings_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let findings = session.arrangement().map(|a| a.findings.as_slice());
    let findings = findings.unwrap_or_default();
    ScrollArea::vertical()
        .id_salt("findings")
        .auto_shrink(false)
        .show_rows(ui, ROW, findings.len(), |ui, range| {
            for (i, finding) in findings.iter().enumerate() {
                if range.contains(&i) {
                    ui.push_id(i, |ui| finding_ui(ui, session, finding, actions));
                }
            }
        });
}

fn finding_ui(ui: &mut Ui, session: &Session, finding: &Finding, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    let place = words::place(session, finding.place.bar, finding.place.at);
    ui.horizontal(|ui| {
        ui.set_height(ROW - 4.0);
        let button = ui.add(Button::new(&place).min_size(egui::vec2(120.0, 24.0)));
        let name = format!("go to {place}: {}", finding.message);
        if button.accessible_name(name).clicked() {
            status::select(finding.place, session, actions);
        }
        let colour = if finding.kind.is_fault() {
            p.warning_text
        } else {
            p.ink
        };
        ui.label(RichText::new(&finding.message).color(colour));
        ui.label(RichText::new(&finding.remedy).color(p.ink_soft));
    });
}
