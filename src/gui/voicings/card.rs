//! One voicing in the list: diagram, family and inversion in words, notes, effort with a bar of
//! its terms, the change from the grip before and to the next, and what can be done with it.

use super::diagram;
use crate::gui::actions::Actions;
use crate::gui::theme;
use crate::gui::words;
use crate::instrument::Cost;
use crate::instrument::Term;
use crate::session::Action;
use crate::session::Candidate;
use crate::session::ChordNumber;
use egui::CornerRadius;
use egui::Frame;
use egui::Label;
use egui::Margin;
use egui::Response;
use egui::RichText;
use egui::Sense;
use egui::Stroke;
use egui::Ui;
use egui::Vec2;

/// Height of a card in the list, with its gap.
pub const HEIGHT: f32 = 168.0;
/// Room in a card around what it shows, outline and all.
const AROUND: f32 = 9.0;
/// From here on a stretch is called wide, as in the findings.
const WIDE: Cost = Cost::points(6);
const DIAGRAM: Vec2 = Vec2::new(96.0, 96.0);

/// What a card needs to know beside its voicing.
#[derive(Clone, Copy, Debug)]
pub struct Around {
    /// The most effort in the list: the full length of a bar.
    pub most: Cost,
    /// Whether this voicing is in use.
    pub in_use: bool,
    /// Its place among the pins.
    pub pinned: Option<usize>,
    /// Whether another one can be pinned.
    pub may_pin: bool,
    /// Whether diagrams are mirrored.
    pub left_handed: bool,
    /// The chord that the voicing belongs to.
    pub of: Option<ChordNumber>,
}

/// Shows a card.
pub fn card_ui(ui: &mut Ui, candidate: &Candidate, around: Around, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    let (fill, outline, inner) = if around.in_use {
        (p.selection, Stroke::new(2.0, p.thumb_text), 7)
    } else {
        (p.card, Stroke::new(1.0, p.lines), 8)
    };
    Frame::new()
        .fill(fill)
        .stroke(outline)
        .corner_radius(CornerRadius::same(theme::RADIUS))
        .inner_margin(Margin::same(inner))
        .show(ui, |ui| {
            // Room for the scroll bar, which floats over the list.
            ui.set_width(ui.available_width() - 8.0);
            ui.set_height(HEIGHT - 2.0 * AROUND - theme::STEP);
            ui.horizontal_top(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                ui.vertical(|ui| {
                    let (rect, _) = ui.allocate_exact_size(DIAGRAM, Sense::hover());
                    let mirrored = around.left_handed;
                    diagram::paint(ui.painter(), p, rect, &candidate.voicing, mirrored);
                    super::draggable(ui, rect, around.of, candidate.voicing.grip.shape);
                });
                ui.vertical(|ui| {
                    facts_ui(ui, candidate, around);
                    buttons_ui(ui, candidate, around, actions);
                });
            });
        });
}

fn facts_ui(ui: &mut Ui, candidate: &Candidate, around: Around) {
    let p = theme::palette(ui.visuals());
    let voicing = &candidate.voicing;
    ui.horizontal(|ui| {
        ui.label(RichText::new(voicing.grip.shape.to_string()).font(theme::bold(theme::BODY)));
        if around.in_use {
            ui.label(RichText::new("in use").small().color(p.thumb_text));
        }
        if voicing.effort.of(Term::Stretch) >= WIDE {
            let badge = RichText::new("wide stretch").small().color(p.warning_text);
            ui.label(badge).on_hover_text(
                "Warm up first and stop if it hurts; the list has voicings with less stretch",
            );
        }
    });
    let notes: Vec<String> = voicing.notes.iter().map(|n| n.spelling.pretty()).collect();
    let how = format!(
        "{}, {}",
        words::family(voicing.family),
        words::inversion(voicing.inversion)
    );
    line(ui, &how);
    line(ui, &notes.join(" "));
    effort_ui(ui, candidate, around.most);
}

/// Words that stay in one line, so that all cards have one height; whole under the pointer.
fn line(ui: &mut Ui, words: &str) -> Response {
    let p = theme::palette(ui.visuals());
    let text = RichText::new(words)
        .font(theme::text(theme::SMALL))
        .color(p.ink_soft);
    ui.add(Label::new(text).truncate())
}

fn effort_ui(ui: &mut Ui, candidate: &Candidate, most: Cost) {
    let p = theme::palette(ui.visuals());
    let effort = &candidate.voicing.effort;
    let size = Vec2::new(ui.available_width().min(200.0), 8.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    diagram::effort_bar(ui.painter(), p, rect, effort.terms(), most);
    let hint = format!("Effort {}: {}", effort.total(), words::terms(effort));
    response.on_hover_text(&hint);
    line(ui, &format!("effort {}", effort.total())).on_hover_text(&hint);
    let change_words = format!(
        "from here {} · to next {}",
        candidate.from_previous.total(),
        candidate.to_next.total()
    );
    let change = format!(
        "{hint}\nComing here: {}\nGoing on: {}",
        words::terms(&candidate.from_previous),
        words::terms(&candidate.to_next)
    );
    line(ui, &change_words).on_hover_text(change);
}

fn buttons_ui(ui: &mut Ui, candidate: &Candidate, around: Around, actions: &mut Actions) {
    let grip = candidate.voicing.grip;
    let shape = grip.shape;
    ui.add_space(theme::STEP);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().interact_size.y = 24.0;
        let hear = ui.button("Hear").accessible_name(format!("hear {shape}"));
        if hear.clicked() {
            actions.act(Action::HearVoicing(grip));
        }
        let used = ui.add_enabled(!around.in_use, egui::Button::new("Use"));
        if used.accessible_name(format!("use {shape}")).clicked() {
            actions.act(Action::UseVoicing(grip));
        }
        let words = if around.pinned.is_some() {
            "Unpin"
        } else {
            "Pin"
        };
        let may = around.pinned.is_some() || around.may_pin;
        let pin = ui.add_enabled(may, egui::Button::new(words));
        let pin = pin
            .on_disabled_hover_text("Four are pinned already; unpin one first")
            .accessible_name(format!("{} {shape}", words.to_lowercase()));
        if pin.clicked() {
            actions.act(match around.pinned {
                Some(place) => Action::Unpin(place),
                None => Action::Pin(grip),
            });
        }
    });
}
