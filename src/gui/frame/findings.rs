//! The list of findings: where, what, and under it what would help. A click on the place goes there;
//! what can be done by a click is a button, the rest is said. Changes nothing: it asks by actions.

use super::status;
use crate::arrange::Finding;
use crate::arrange::Place;
use crate::arrange::Remedy;
use crate::gui::actions::Actions;
use crate::gui::icons;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Action;
use crate::session::Session;
use egui::Button;
use egui::Label;
use egui::Rect;
use egui::RichText;
use egui::ScrollArea;
use egui::Sense;
use egui::Ui;
use egui::UiBuilder;
use egui::Vec2;
use std::ops::Range;

/// Height of a line.
const LINE: f32 = 32.0;
/// Room between findings.
const GAP: f32 = 8.0;
/// How far remedies stand in: below the place, beside the mark.
const INDENT: f32 = 24.0;
/// The least width of the button with the place.
const PLACE: f32 = 128.0;
/// A generous width of a letter, for breaking lines without laying out the whole list.
const LETTER: f32 = 8.0;
/// What a button is wider than its words, with the room behind it.
const AROUND: f32 = 26.0;

/// One finding with its place in the list.
struct Block<'a> {
    finding: &'a Finding,
    top: f32,
    height: f32,
    /// Lines of remedies.
    lines: Vec<Range<usize>>,
}

/// Shows the list, scrolled to the finding at `reveal` if one is asked for.
pub fn findings_ui(
    ui: &mut Ui,
    session: &Session,
    reveal: &mut Option<Place>,
    actions: &mut Actions,
) {
    let findings = session.arrangement().map(|a| a.findings.as_slice());
    let width = ui.available_width() - ui.spacing().scroll.bar_width - 8.0;
    let blocks = blocks(findings.unwrap_or_default(), width);
    let height = blocks.last().map_or(0.0, |last| last.top + last.height);
    ScrollArea::vertical()
        .id_salt("findings")
        .auto_shrink(false)
        .show_viewport(ui, |ui, view| {
            ui.set_height(height);
            let origin = ui.max_rect().min;
            let rect = |block: &Block<'_>| {
                let size = Vec2::new(width, block.height);
                Rect::from_min_size(origin + Vec2::new(0.0, block.top), size)
            };
            if let Some(place) = reveal.take()
                && let Some(block) = blocks.iter().find(|b| b.finding.place == place)
            {
                ui.scroll_to_rect(rect(block), None);
            }
            for (i, block) in blocks.iter().enumerate() {
                if block.top <= view.max.y && block.top + block.height >= view.min.y {
                    let builder = UiBuilder::new().max_rect(rect(block)).id_salt(i);
                    let mut ui = ui.new_child(builder);
                    finding_ui(&mut ui, session, block, actions);
                }
            }
        });
}

fn blocks(findings: &[Finding], width: f32) -> Vec<Block<'_>> {
    let mut top = 0.0;
    let block = |finding| {
        let lines = lines(finding, width - INDENT);
        let height = lines.iter().map(|_| LINE).sum::<f32>() + LINE + GAP;
        let block = Block {
            finding,
            top,
            height,
            lines,
        };
        top += height;
        block
    };
    findings.iter().map(block).collect()
}

/// The remedies of a finding in as many lines as they need.
fn lines(finding: &Finding, width: f32) -> Vec<Range<usize>> {
    let mut lines: Vec<Range<usize>> = Vec::new();
    let mut used = 0.0;
    for (i, remedy) in finding.remedies.iter().enumerate() {
        let n_letters = u16::try_from(remedy.words.chars().count()).unwrap_or(u16::MAX);
        let needed = f32::from(n_letters) * LETTER + AROUND;
        match lines.last_mut().filter(|_| used + needed <= width) {
            Some(line) => line.end = i + 1,
            None => {
                lines.push(i..i + 1);
                used = 0.0;
            }
        }
        used += needed;
    }
    lines
}

fn finding_ui(ui: &mut Ui, session: &Session, block: &Block<'_>, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    let finding = block.finding;
    ui.spacing_mut().item_spacing.y = 0.0;
    let place = words::place(session, finding.place.bar, finding.place.at);
    ui.horizontal(|ui| {
        ui.set_height(LINE);
        let (mark, _) = ui.allocate_exact_size(Vec2::splat(INDENT - 8.0), Sense::hover());
        let is_fault = finding.kind.is_fault();
        icons::finding_mark(ui.painter(), p, mark.center(), is_fault);
        let button = Button::new(words::sentence(&place)).min_size(Vec2::new(PLACE, 24.0));
        let message = words::pretty(&finding.message);
        let name = format!("go to {place}: {message}");
        let button = ui.add(button).on_hover_text("Select it");
        if button.accessible_name(name).clicked() {
            status::select(finding.place, session, actions);
        }
        let colour = if is_fault { p.warning_text } else { p.ink };
        ui.add(Label::new(RichText::new(message).color(colour)).truncate());
    });
    for line in &block.lines {
        ui.horizontal(|ui| {
            ui.set_height(LINE);
            ui.add_space(INDENT);
            for remedy in finding.remedies.get(line.clone()).unwrap_or_default() {
                remedy_ui(ui, session, finding.place, remedy, actions);
            }
        });
    }
}

fn remedy_ui(ui: &mut Ui, session: &Session, place: Place, remedy: &Remedy, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    let words = words::sentence(&words::pretty(&remedy.words));
    let Some(fix) = &remedy.fix else {
        ui.label(RichText::new(words).small().color(p.ink_soft));
        return;
    };
    let button = ui.add(Button::new(words).min_size(Vec2::new(0.0, 24.0)));
    if button.clicked() {
        status::select(place, session, actions);
        actions.act(Action::TakeRemedy(fix.clone()));
    }
}
