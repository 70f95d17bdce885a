//! The plucking pattern of the selected bars by name: the tune's, a named one, or one of their
//! own; and giving the same pattern to the whole section or the whole tune.

use super::row_ui;
use super::selected::Bars;
use super::selected::VARIOUS;
use crate::document::Document;
use crate::document::Edit;
use crate::document::LineSettings;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::grid::fingers;
use crate::session::Session;
use crate::theory::Pluck;
use crate::thumb::PluckPattern;
use egui::Button;
use egui::Ui;

/// Shows the pattern and where else to put it.
pub fn pattern_ui(ui: &mut Ui, session: &Session, bars: Bars, actions: &mut Actions) {
    let document = session.document();
    row_ui(ui, "Pattern", |ui| choice_ui(ui, document, bars, actions));
    row_ui(ui, "Apply to", |ui| spread_ui(ui, document, bars, actions));
}

fn choice_ui(ui: &mut Ui, document: &Document, bars: Bars, actions: &mut Actions) {
    let meter = document.meter;
    let now = bars.common(document, |bar| bar.plucks.clone());
    let words = match &now {
        None => VARIOUS,
        Some(None) => "The tune's",
        Some(Some(plucks)) => PluckPattern::of(plucks, meter).map_or("Own", PluckPattern::words),
    };
    let mut chosen: Option<Option<Vec<Pluck>>> = None;
    controls::plain_choice(ui, "Pattern here", words, |ui| {
        if ui
            .selectable_label(now == Some(None), "The tune's")
            .clicked()
        {
            chosen = Some(None);
        }
        for pattern in PluckPattern::ALL {
            let is_now = words == pattern.words();
            if ui.selectable_label(is_now, pattern.words()).clicked() {
                chosen = Some(Some(pattern.plucks(meter)));
            }
        }
    });
    let Some(plucks) = chosen else {
        return;
    };
    if now.as_ref() != Some(&plucks) {
        actions.edit(bars.edit(document, "plucks", |idx, _| {
            fingers::strikes(document, idx, plucks.clone())
        }));
    }
}

fn spread_ui(ui: &mut Ui, document: &Document, bars: Bars, actions: &mut Actions) {
    let now = bars.common(document, |bar| bar.plucks.clone());
    let differ = "The selected bars differ; choose a pattern first";
    let mut button = |text: &str, name: &str, hint: &str| {
        let button = ui.add_enabled(now.is_some(), Button::new(text));
        let button = button.on_hover_text(hint).on_disabled_hover_text(differ);
        button.accessible_name(name).clicked()
    };
    let section = button(
        "Section",
        "apply the pattern to the section",
        "Give every bar of this section the pattern of the selected one",
    );
    let tune = button(
        "Tune",
        "apply the pattern to the tune",
        "Make this the tune's pattern and let every bar follow it",
    );
    let Some(plucks) = now else {
        return;
    };
    if section {
        actions.edit(for_section(document, bars.first(), plucks));
    } else if tune {
        actions.edit(for_tune(document, plucks));
    }
}

/// The pattern in every bar of the section that a bar belongs to.
fn for_section(document: &Document, bar: usize, plucks: Option<Vec<Pluck>>) -> Edit {
    let mut first = 0;
    let mut range = 0..0;
    for section in &document.sections {
        let end = first + section.bars.len();
        if (first..end).contains(&bar) {
            range = first..end;
        }
        first = end;
    }
    let edits = range.flat_map(|idx| fingers::strikes(document, idx, plucks.clone()));
    fingers::one_step("Change plucks in the section".into(), edits.collect())
}

/// The pattern as the tune's; no bar has one of its own then.
fn for_tune(document: &Document, plucks: Option<Vec<Pluck>>) -> Edit {
    let mut edits = Vec::new();
    if let Some(plucks) = plucks {
        edits.push(Edit::SetLine(LineSettings {
            plucks: Some(plucks),
            ..document.line.clone()
        }));
    }
    let own = document
        .bars()
        .enumerate()
        .filter(|(_, b)| b.plucks.is_some());
    edits.extend(own.map(|(bar, _)| Edit::SetPlucks { bar, plucks: None }));
    fingers::one_step("Change plucks in the tune".into(), edits)
}
