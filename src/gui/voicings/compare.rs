//! Pinned voicings side by side, up to four: diagram, notes, degrees, fingers, every effort term,
//! the change from the grip before and to the next. Rows in which all agree are dimmed, so that
//! the eye finds what differs.

use super::diagram;
use crate::gui::actions::Actions;
use crate::gui::theme;
use crate::instrument::Cost;
use crate::instrument::Term;
use crate::session::Action;
use crate::session::Candidate;
use egui::Align;
use egui::Label;
use egui::Layout;
use egui::RichText;
use egui::Sense;
use egui::Ui;
use egui::Vec2;

/// A row of the table: its name and one text per voicing.
struct Row {
    name: String,
    values: Vec<String>,
    /// The place of the best value, where less is better.
    best: Option<usize>,
}

impl Row {
    fn words(name: &str, pins: &[Candidate], text: impl Fn(&Candidate) -> String) -> Self {
        Self {
            name: name.into(),
            values: pins.iter().map(text).collect(),
            best: None,
        }
    }

    fn cost(name: &str, pins: &[Candidate], cost: impl Fn(&Candidate) -> Cost) -> Self {
        let costs: Vec<Cost> = pins.iter().map(cost).collect();
        let least = costs.iter().min().copied();
        let best = costs.iter().position(|c| Some(*c) == least);
        Self {
            name: name.into(),
            values: costs.iter().map(Cost::to_string).collect(),
            best,
        }
    }

    fn all_equal(&self) -> bool {
        self.values.windows(2).all(|pair| match pair {
            [a, b] => a == b,
            _ => true,
        })
    }
}

/// Shows the table of pinned voicings.
pub fn compare_ui(ui: &mut Ui, pins: &[Candidate], left_handed: bool, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    let columns = f32::from(u8::try_from(pins.len().max(1)).unwrap_or(4));
    let width = ((ui.available_width() - 4.0 * (columns - 1.0)) / columns).min(104.0);
    ui.spacing_mut().item_spacing = Vec2::new(4.0, 0.0);
    ui.horizontal(|ui| {
        for (i, pin) in pins.iter().enumerate() {
            ui.allocate_ui(Vec2::new(width, 124.0), |ui| {
                ui.vertical_centered(|ui| head_ui(ui, i, pin, left_handed, actions));
            });
        }
    });
    for row in rows(pins) {
        let equal = row.all_equal() && pins.len() > 1;
        let name = RichText::new(&row.name).small().color(p.ink_soft);
        ui.label(name);
        ui.horizontal(|ui| {
            for (i, value) in row.values.iter().enumerate() {
                let best = row.best == Some(i) && !equal && pins.len() > 1;
                let font = if best {
                    theme::bold(theme::SMALL)
                } else {
                    theme::text(theme::SMALL)
                };
                let colour = if equal { p.ink_soft } else { p.ink };
                let text = RichText::new(value).font(font).color(colour);
                let label = Label::new(text).truncate();
                let size = Vec2::new(width, 18.0);
                ui.allocate_ui_with_layout(size, Layout::top_down(Align::Center), |ui| {
                    ui.set_width(width);
                    ui.add(label);
                });
            }
        });
    }
    ui.add_space(theme::STEP);
}

fn head_ui(ui: &mut Ui, place: usize, pin: &Candidate, left_handed: bool, actions: &mut Actions) {
    let p = theme::palette(ui.visuals());
    let width = ui.available_width().min(92.0);
    let (rect, _) = ui.allocate_exact_size(Vec2::new(width, 96.0), Sense::hover());
    diagram::paint(ui.painter(), p, rect, &pin.voicing, left_handed);
    let shape = pin.voicing.grip.shape;
    let unpin = ui.small_button("Unpin");
    if unpin
        .accessible_name(format!("unpin column {shape}"))
        .clicked()
    {
        actions.act(Action::Unpin(place));
    }
}

fn rows(pins: &[Candidate]) -> Vec<Row> {
    let mut rows = vec![
        Row::words("shape", pins, |c| c.voicing.grip.shape.to_string()),
        Row::words("notes", pins, |c| {
            let notes: Vec<String> = c
                .voicing
                .notes
                .iter()
                .map(|n| n.spelling.pretty())
                .collect();
            notes.join(" ")
        }),
        Row::words("degrees", pins, |c| {
            let degrees: Vec<String> = c.voicing.notes.iter().map(|n| n.degree.pretty()).collect();
            degrees.join(" ")
        }),
        Row::words("fingers", pins, |c| c.voicing.grip.finger_text()),
        Row::cost("effort", pins, |c| c.voicing.effort.total()),
    ];
    let used = |term: &Term| {
        pins.iter()
            .any(|c| c.voicing.effort.of(*term) != Cost::ZERO)
    };
    for term in Term::ALL.into_iter().filter(|term| used(term)) {
        rows.push(Row::cost(term.word(), pins, |c| c.voicing.effort.of(term)));
    }
    rows.push(Row::cost("from the grip before", pins, |c| {
        c.from_previous.total()
    }));
    rows.push(Row::cost("to the next grip", pins, |c| c.to_next.total()));
    if pins.iter().any(|c| c.whole_tune.is_some()) {
        let whole = |c: &Candidate| {
            c.whole_tune
                .map_or_else(|| "–".into(), |cost| cost.to_string())
        };
        rows.push(Row::words("whole tune if used", pins, whole));
    }
    rows
}
