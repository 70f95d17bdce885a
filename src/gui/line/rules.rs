//! The rules of the written line as check boxes, behind a heading that opens them.

use super::walks;
use crate::document::Document;
use crate::document::Edit;
use crate::document::LineSettings;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::theory::Rule;
use egui::Ui;

/// Shows the rules.
pub fn rules_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    controls::foldable(ui, "rules", "Rules of the line", false, |ui| {
        let asked = walks::rules(document);
        if !crate::session::line_is_written(document) {
            controls::caption(ui, "A plain walk writes no line, so these rules wait");
        }
        for rule in Rule::ALL {
            let mut on = !document.line.rules_off.has(rule);
            let hint = if asked.has(rule) || !crate::session::line_is_written(document) {
                rule.asks().to_owned()
            } else {
                format!("{} (this walk does not ask for it)", rule.asks())
            };
            let toggle = ui.checkbox(&mut on, rule.words()).on_hover_text(hint);
            if toggle.changed() {
                let off = document.line.rules_off;
                let rules_off = if on {
                    off.without(rule)
                } else {
                    off.with(rule)
                };
                actions.edit(Edit::SetLine(LineSettings {
                    rules_off,
                    ..document.line.clone()
                }));
            }
        }
    });
}
