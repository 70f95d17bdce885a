//! The scale between the tones of the selected chord: one choice for all chords of its kind on its
//! degree of the key.

use crate::document::Document;
use crate::document::Edit;
use crate::document::LineSettings;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::words;
use crate::session::Session;
use crate::theory::Chord;
use crate::theory::ChordScale;
use crate::theory::ScaleChoice;
use crate::theory::scale;
use egui::Ui;

/// Shows the scale over the selected chord, if a chord is selected.
pub fn scale_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let document = session.document();
    let place = session.selection().place;
    let Some(harmony) = document.harmony_at(place.bar, place.at) else {
        return;
    };
    let Some(chord) = harmony.chord() else {
        return;
    };
    let now = scale::chosen_scale(chord, document.key, &document.line.scales);
    let usual = scale::scale_of(chord, document.key);
    let printed = words::pretty(&harmony.printed(document.house_style));
    controls::heading(ui, &format!("Scale over {printed}"));
    let mut chosen = now.name.clone();
    controls::wide_choice(
        ui,
        "Scale over the selected chord",
        &sign(&now.name),
        |ui| {
            for offered in scale::alternatives(chord, document.key) {
                let mark = if offered.name == usual.name {
                    " (usual)"
                } else {
                    ""
                };
                let item = format!("{}{mark}", sign(&offered.name));
                let notes = notes(&offered);
                let item = ui.selectable_value(&mut chosen, offered.name, item);
                item.on_hover_text(notes);
            }
        },
    );
    if chosen != now.name {
        actions.edit(Edit::SetLine(with_scale(document, chord, &usual, &chosen)));
    }
    controls::caption(ui, &notes(&now));
    let like = ScaleChoice::new(chord, document.key, &now.name);
    let kind = words::quality(like.quality);
    let degree = words::degree_of_key(like.above_tonic);
    controls::caption(ui, &format!("For every {kind} on {degree}"));
}

/// The settings with a scale for a chord and all that are like it; the usual one needs no choice.
fn with_scale(document: &Document, chord: &Chord, usual: &ChordScale, name: &str) -> LineSettings {
    let key = document.key;
    let mut line = document.line.clone();
    line.scales.retain(|choice| !choice.is_for(chord, key));
    if name != usual.name {
        line.scales.push(ScaleChoice::new(chord, key, name));
    }
    line
}

fn notes(scale: &ChordScale) -> String {
    let notes: Vec<String> = scale.notes.iter().map(|note| note.pretty()).collect();
    notes.join(" ")
}

/// Names are stored in ASCII; flats and sharps in them are signs.
fn sign(name: &str) -> String {
    words::pretty(name)
}
