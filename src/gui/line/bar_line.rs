//! What the thumb line may do in the selected bars, where it differs from the tune: how it walks,
//! which moves it may take, whether it takes up the bar before.

use super::move_button::MoveState;
use super::move_button::move_button;
use super::move_button::moves_row;
use super::row_ui;
use super::selected::Bars;
use super::selected::VARIOUS;
use super::walks;
use crate::document::BarLine;
use crate::document::Document;
use crate::document::Edit;
use crate::document::Walk;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::session::Session;
use crate::theory::MoveSet;
use crate::theory::ThumbMove;
use egui::Ui;

/// Shows the line settings of the bars.
pub fn line_ui(ui: &mut Ui, session: &Session, bars: Bars, actions: &mut Actions) {
    let document = session.document();
    let title = format!("Thumb line of {}", bars.words());
    controls::foldable(ui, "line of the bars", &title, true, |ui| {
        row_ui(ui, "Walk", |ui| walk_ui(ui, document, bars, actions));
        row_ui(ui, "Riff", |ui| riff_ui(ui, document, bars, actions));
        moves_ui(ui, document, bars, actions);
    });
}

fn set(document: &Document, bars: Bars, change: impl Fn(BarLine) -> BarLine) -> Edit {
    bars.edit(document, "thumb line", |bar, before| {
        vec![Edit::SetBarLine {
            bar,
            line: change(before.line),
        }]
    })
}

fn walk_ui(ui: &mut Ui, document: &Document, bars: Bars, actions: &mut Actions) {
    let now = bars.common(document, |bar| bar.line.walk);
    let words = match now {
        None => VARIOUS,
        Some(walk) => walk.map_or("The tune's", Walk::words),
    };
    let mut chosen = now;
    controls::plain_choice(ui, "Walk here", words, |ui| {
        ui.selectable_value(&mut chosen, Some(None), "The tune's");
        for walk in Walk::ALL {
            ui.selectable_value(&mut chosen, Some(Some(walk)), walk.words());
        }
    });
    if chosen != now
        && let Some(walk) = chosen
    {
        actions.edit(set(document, bars, |line| BarLine { walk, ..line }));
    }
}

const RIFFS: [(Option<bool>, &str); 3] = [
    (None, "The tune's"),
    (Some(true), "Riff"),
    (Some(false), "Varied"),
];

fn riff_ui(ui: &mut Ui, document: &Document, bars: Bars, actions: &mut Actions) {
    let now = bars.common(document, |bar| bar.line.riff);
    let known = now.and_then(|riff| RIFFS.iter().find(|(offered, _)| *offered == riff));
    let mut chosen = now;
    controls::plain_choice(ui, "Riff here", known.map_or(VARIOUS, |(_, w)| w), |ui| {
        for (riff, words) in RIFFS {
            ui.selectable_value(&mut chosen, Some(riff), words);
        }
    });
    if chosen != now
        && let Some(riff) = chosen
    {
        actions.edit(set(document, bars, |line| BarLine { riff, ..line }));
    }
}

fn moves_ui(ui: &mut Ui, document: &Document, bars: Bars, actions: &mut Actions) {
    let now = bars.common(document, |bar| bar.line.moves);
    let of_walk = bars
        .each(document)
        .map(|(_, bar)| walks::moves(bar.line.walk.unwrap_or(document.line.walk)))
        .fold(MoveSet::EMPTY, MoveSet::union);
    row_ui(ui, "Moves", |ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let hint = "Allow what the walk has";
        let walk = ui.selectable_label(now == Some(None), "usual");
        let walk = walk.on_hover_text(hint);
        if walk.accessible_name("the walk's moves").clicked() && now != Some(None) {
            actions.edit(set(document, bars, |line| BarLine {
                moves: None,
                ..line
            }));
        }
        let is_own = matches!(now, Some(Some(_)));
        let own = ui.selectable_label(is_own, "own");
        let own = own.on_hover_text("Say which moves may be written here");
        if own.accessible_name("own moves").clicked() && !is_own {
            let moves = Some(of_walk);
            actions.edit(set(document, bars, |line| BarLine { moves, ..line }));
        }
    });
    match now {
        None => {
            controls::caption(ui, "The selected bars allow different moves");
        }
        Some(None) => {
            controls::caption(ui, &codes(of_walk));
        }
        Some(Some(own)) => own_ui(ui, document, bars, own, actions),
    }
}

fn own_ui(ui: &mut Ui, document: &Document, bars: Bars, own: MoveSet, actions: &mut Actions) {
    moves_row(ui, |ui| {
        for thumb_move in ThumbMove::ALL {
            let on = own.has(thumb_move);
            let state = if on { MoveState::Own } else { MoveState::Off };
            let name = format!("allow {}", thumb_move.name());
            if move_button(ui, thumb_move, &name, state) {
                let after = if on {
                    own.without(thumb_move)
                } else {
                    own.with(thumb_move)
                };
                // Without any move nothing could be written: the walk decides again.
                let moves = (!after.is_empty()).then_some(after);
                actions.edit(set(document, bars, |line| BarLine { moves, ..line }));
            }
        }
    });
}

/// The codes of some moves: `1 5 ↑1`.
fn codes(moves: MoveSet) -> String {
    let codes: Vec<&str> = moves.iter().map(ThumbMove::code).collect();
    codes.join("  ")
}
