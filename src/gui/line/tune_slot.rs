//! The note of the tune at the selected place: its letter, accidental, octave and length, tie and
//! rest. Where no note sounds the letters write one; lengths are for the next note.

use super::bar::slot_words;
use super::selected::Bars;
use crate::arrange::Place;
use crate::document::TuneNote;
use crate::document::tune::note_at;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::words;
use crate::score::rhythm::Value;
use crate::session::Action;
use crate::session::Session;
use crate::session::TuneEntry;
use crate::theory::Letter;
use egui::Button;
use egui::Role;
use egui::Ui;
use egui::Vec2;
use egui::WidgetInfo;

const LENGTHS: [(Value, &str, &str); 5] = [
    (Value::Whole, "1", "whole note"),
    (Value::Half, "1/2", "half note"),
    (Value::Quarter, "1/4", "quarter note"),
    (Value::Eighth, "1/8", "eighth note"),
    (Value::Sixteenth, "1/16", "sixteenth note"),
];

/// Shows the note at a place.
pub fn tune_ui(ui: &mut Ui, session: &Session, place: Place, bars: Bars, actions: &mut Actions) {
    controls::heading(ui, &format!("Tune on {}", slot_words(session, place, bars)));
    let bar = session.document().bar(place.bar);
    let note = bar.and_then(|bar| note_at(bar, place.at));
    let mut push = |entry: TuneEntry| actions.act(Action::Tune(entry));
    letters_ui(ui, note, &mut push);
    pitch_ui(ui, note, &mut push);
    lengths_ui(ui, session, &mut push);
    joins_ui(ui, session, note, &mut push);
    let state = note.map_or_else(
        || "A letter writes a note here".to_owned(),
        |note| {
            let octave = note.spelling.octave_of(note.pitch);
            let name = note.spelling.pretty();
            format!("{name}{octave}, {}", words::length(note.length))
        },
    );
    controls::caption(ui, &state);
}

fn letters_ui(ui: &mut Ui, note: Option<&TuneNote>, push: &mut impl FnMut(TuneEntry)) {
    row_ui(ui, |ui| {
        for letter in Letter::ALL {
            let on = note.is_some_and(|note| note.spelling.letter() == letter);
            let text = letter.to_char().to_string();
            if toggle(ui, &text, 28.0, &format!("note {text}"), on) {
                push(TuneEntry::Letter(letter));
            }
        }
    });
}

fn pitch_ui(ui: &mut Ui, note: Option<&TuneNote>, push: &mut impl FnMut(TuneEntry)) {
    row_ui(ui, |ui| {
        for (text, name, entry) in [
            ("−½", "a semitone down", TuneEntry::Semitones(-1)),
            ("+½", "a semitone up", TuneEntry::Semitones(1)),
            ("−8", "an octave down", TuneEntry::Octaves(-1)),
            ("+8", "an octave up", TuneEntry::Octaves(1)),
        ] {
            let button = Button::new(text).min_size(Vec2::new(34.0, 28.0));
            let button = ui.add(button).on_hover_text(words::sentence(name));
            if button.accessible_name(name).clicked() {
                push(entry);
            }
        }
        let remove = ui.add_enabled(note.is_some(), Button::new("Remove"));
        let remove = remove.accessible_name("remove the note");
        if remove.clicked() {
            push(TuneEntry::Remove);
        }
    });
}

fn lengths_ui(ui: &mut Ui, session: &Session, push: &mut impl FnMut(TuneEntry)) {
    let pen = session.tune_pen().length;
    row_ui(ui, |ui| {
        for (value, text, name) in LENGTHS {
            if toggle(ui, text, 40.0, name, pen.value == value) {
                push(TuneEntry::Value(value));
            }
        }
    });
}

fn joins_ui(
    ui: &mut Ui,
    session: &Session,
    note: Option<&TuneNote>,
    push: &mut impl FnMut(TuneEntry),
) {
    let pen = session.tune_pen().length;
    let tied = note.is_some_and(|note| note.tied);
    row_ui(ui, |ui| {
        for (text, name, on, entry) in [
            ("Dot", "dotted", pen.dotted, TuneEntry::Dot),
            ("Triplet", "triplet", pen.triplet, TuneEntry::Triplet),
            ("Tie", "tie to the note before", tied, TuneEntry::Tie),
        ] {
            if toggle(ui, text, 44.0, name, on) {
                push(entry);
            }
        }
        let rest = Button::new("Rest").min_size(Vec2::new(44.0, 28.0));
        if ui.add(rest).clicked() {
            push(TuneEntry::Rest);
        }
    });
}

fn row_ui(ui: &mut Ui, content: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().button_padding.x = 4.0;
        content(ui);
    });
}

/// A button that is on or off; whether it was pressed.
fn toggle(ui: &mut Ui, text: &str, width: f32, name: &str, on: bool) -> bool {
    let button = Button::new(text)
        .selected(on)
        .min_size(Vec2::new(width, 28.0));
    let response = ui.add(button);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, name));
    response.on_hover_text(words::sentence(name)).clicked()
}
