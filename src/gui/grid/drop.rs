//! Letting go of a voicing over the grid: it goes on the chord under the pointer, over a bar's
//! number on all chords of the bar, over a selected run on all of the run. While it is held, the
//! chords that would get it are outlined and words at the pointer say what would come of it.

use super::layout::Rows;
use super::paint;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::theme;
use crate::gui::words;
use crate::instrument::Shape;
use crate::session::Action;
use crate::session::ChordNumber;
use crate::session::OnChords;
use crate::session::Session;
use crate::session::bars_words;
use crate::session::candidates;
use crate::session::shape_on;
use crate::theory::Chord;
use egui::Align2;
use egui::DragAndDrop;
use egui::Id;
use egui::LayerId;
use egui::Order;
use egui::Pos2;
use egui::Rect;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;
use egui::Vec2;

/// A voicing that is being dragged.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct HeldVoicing {
    /// The chord that it belongs to.
    pub of: ChordNumber,
    /// The shape.
    pub shape: Shape,
}

/// Follows a voicing that is held over the grid, and puts it where it is let go.
pub(super) fn show(ui: &Ui, session: &Session, rows: &Rows, origin: Pos2, actions: &mut Actions) {
    let Some(held) = DragAndDrop::payload::<HeldVoicing>(ui.ctx()) else {
        return;
    };
    let pos = ui.input(|input| input.pointer.interact_pos());
    let Some(pos) = pos.filter(|pos| ui.clip_rect().contains(*pos)) else {
        return;
    };
    let Some(on) = target(session, rows, origin, pos) else {
        return;
    };
    let p = theme::palette(ui.visuals());
    for rect in rects(session, rows, origin, on) {
        paint::dropped(ui.painter(), p, rect);
    }
    tell(ui, pos, &promise(session, *held, on));
    if ui.input(|input| input.pointer.any_released()) {
        DragAndDrop::clear_payload(ui.ctx());
        let HeldVoicing { of, shape } = *held;
        actions.act(Action::PutVoicing { of, shape, on });
        actions.window(Command::FocusGrid);
    }
}

/// What is under a point.
fn target(session: &Session, rows: &Rows, origin: Pos2, pos: Pos2) -> Option<OnChords> {
    let document = session.document();
    let place = rows.place_at(document, origin, pos)?;
    let card = rows.card(document, origin, place.bar);
    if !card.rect.contains(pos) {
        return None;
    }
    let selection = session.selection();
    let (first, last) = selection.bars();
    if selection.to_bar.is_some() && (first..=last).contains(&place.bar) {
        return Some(OnChords::Bars(first, last));
    }
    if card.header.contains(pos) {
        return Some(OnChords::Bars(place.bar, place.bar));
    }
    let (bar, idx, _) = candidates::chord_at(document, place)?;
    Some(OnChords::One((bar, idx)))
}

fn rects(session: &Session, rows: &Rows, origin: Pos2, on: OnChords) -> Vec<Rect> {
    let document = session.document();
    match on {
        OnChords::One((bar, idx)) => {
            let card = rows.card(document, origin, bar);
            let chords = document.bar(bar).map(|bar| bar.chords.as_slice());
            let chords = chords.unwrap_or_default();
            let here = chords.get(idx).map(|chord| chord.at);
            let next = chords.get(idx + 1).map(|chord| chord.at);
            here.map(|at| card.chord(at, next)).into_iter().collect()
        }
        OnChords::Bars(first, last) => (first..=last)
            .map(|bar| rows.card(document, origin, bar).rect)
            .collect(),
    }
}

/// What would come of it, in words.
fn promise(session: &Session, held: HeldVoicing, on: OnChords) -> String {
    let document = session.document();
    let chord = |(bar, idx): ChordNumber| {
        let written = document.bar(bar)?.chords.get(idx)?;
        let name = written.harmony.printed(document.house_style);
        Some((written.harmony.chord()?, words::pretty(&name)))
    };
    let shape = held.shape;
    match on {
        OnChords::Bars(first, last) => {
            format!(
                "{shape} on all chords like it in {}",
                bars_words((first, last))
            )
        }
        OnChords::One(number) => {
            let (Some((from, of)), Some((to, name))) = (chord(held.of), chord(number)) else {
                return "There is no chord here".into();
            };
            let moved: Option<Shape> = shape_on(document, from, &shape, to as &Chord);
            match moved {
                Some(moved) => format!("{name} as {moved}"),
                None => format!("{shape} is {of}, and can't be {name}"),
            }
        }
    }
}

fn tell(ui: &Ui, pos: Pos2, words: &str) {
    let p = theme::palette(ui.visuals());
    let layer = LayerId::new(Order::Tooltip, Id::unique("held voicing"));
    let painter = ui.ctx().layer_painter(layer);
    let font = theme::text(theme::BODY);
    let galley = painter.layout_no_wrap(words.to_owned(), font, p.ink);
    let at = pos + Vec2::new(14.0, 14.0);
    let rect = Align2::LEFT_TOP.anchor_size(at, galley.size() + Vec2::new(16.0, 8.0));
    let inside = ui.ctx().content_rect();
    let shift = Vec2::new(
        (inside.right() - 4.0 - rect.right()).min(0.0),
        (inside.bottom() - 4.0 - rect.bottom()).min(0.0),
    );
    let rect = rect.translate(shift);
    let outline = Stroke::new(1.0, p.outline);
    painter.rect(rect, theme::RADIUS, p.card, outline, StrokeKind::Inside);
    painter.galley(rect.min + Vec2::new(8.0, 4.0), galley, p.ink);
}
