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
use crate::session::ChordNumber;
use egui::Button;
use egui::Grid;
use egui::RichText;
use egui::Sense;
use egui::Ui;
use egui::Vec2;

/// Width of the rows' names.
const LABELS: f32 = 76.0;

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
pub fn compare_ui(
    ui: &mut Ui,
    pins: &[Candidate],
    (of, left_handed): (Option<ChordNumber>, bool),
    actions: &mut Actions,
) {
    let n = f32::from(u8::try_from(pins.len().max(1)).unwrap_or(4));
    let width = ((ui.available_width() - LABELS - 8.0 * n) / n).clamp(64.0, 112.0);
    Grid::new("compared voicings")
        .num_columns(pins.len() + 1)
        .min_col_width(width)
        .spacing([8.0, 4.0])
        .show(ui, |ui| {
            ui.spacing_mut().interact_size.y = 20.0;
            ui.allocate_space(Vec2::new(LABELS, 1.0));
            for (i, pin) in pins.iter().enumerate() {
                ui.vertical(|ui| head_ui(ui, i, pin, (width, of, left_handed), actions));
            }
            ui.end_row();
            for row in rows(pins) {
                row_ui(ui, &row, pins.len());
                ui.end_row();
            }
        });
}

fn row_ui(ui: &mut Ui, row: &Row, n_pins: usize) {
    let p = theme::palette(ui.visuals());
    let equal = row.all_equal() && n_pins > 1;
    ui.label(RichText::new(&row.name).small().color(p.ink_soft));
    for (i, value) in row.values.iter().enumerate() {
        let best = row.best == Some(i) && !equal && n_pins > 1;
        let font = if best {
            theme::bold(theme::SMALL)
        } else {
            theme::text(theme::SMALL)
        };
        let colour = if equal { p.ink_soft } else { p.ink };
        ui.label(RichText::new(value).font(font).color(colour));
    }
}

fn head_ui(
    ui: &mut Ui,
    place: usize,
    pin: &Candidate,
    (width, of, left_handed): (f32, Option<ChordNumber>, bool),
    actions: &mut Actions,
) {
    let p = theme::palette(ui.visuals());
    let (rect, _) = ui.allocate_exact_size(Vec2::new(width, 96.0), Sense::hover());
    diagram::paint(ui.painter(), p, rect, &pin.voicing, left_handed);
    let shape = pin.voicing.grip.shape;
    super::draggable(ui, rect, of, shape);
    let grip = pin.voicing.grip;
    for (words, action) in [
        ("Use", Action::UseVoicing(grip)),
        ("Hear", Action::HearVoicing(grip)),
        ("Unpin", Action::Unpin(place)),
    ] {
        let button = ui.add_sized([width - 22.0, 22.0], Button::new(words));
        let name = format!("{} column {shape}", words.to_lowercase());
        if button.accessible_name(name).clicked() {
            actions.act(action);
        }
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
        Row::words("fingering", pins, |c| c.voicing.grip.finger_text()),
        Row::cost("effort", pins, |c| c.voicing.effort.total()),
    ];
    let used = |term: &Term| {
        pins.iter()
            .any(|c| c.voicing.effort.of(*term) != Cost::ZERO)
    };
    for term in Term::ALL.into_iter().filter(|term| used(term)) {
        rows.push(Row::cost(term.word(), pins, |c| c.voicing.effort.of(term)));
    }
    rows.push(Row::cost("from here", pins, |c| c.from_previous.total()));
    rows.push(Row::cost("to next", pins, |c| c.to_next.total()));
    if pins.iter().any(|c| c.whole_tune.is_some()) {
        let whole = |c: &Candidate| {
            c.whole_tune
                .map_or_else(|| "–".into(), |cost| cost.to_string())
        };
        rows.push(Row::words("whole tune", pins, whole));
    }
    rows
}
