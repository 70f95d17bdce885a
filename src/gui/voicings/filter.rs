//! The filter row above the voicings: bass, top note, family, frets, open strings, barre, number
//! of notes. Each control asks the session for a new filter; the list follows by itself.

use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::words;
use crate::session::Action;
use crate::session::CandidateFilter;
use crate::session::Session;
use crate::theory::Chord;
use crate::theory::PitchClass;
use crate::voicing::Bass;
use egui::Ui;

const BASSES: [(Bass, &str); 5] = [
    (Bass::Root, "root"),
    (Bass::Third, "third"),
    (Bass::Fifth, "fifth"),
    (Bass::Seventh, "seventh"),
    (Bass::Any, "any"),
];

const POSITIONS: [(u8, u8, &str); 5] = [
    (0, 20, "whole neck"),
    (0, 4, "frets 0–4"),
    (1, 7, "frets 1–7"),
    (5, 12, "frets 5–12"),
    (8, 20, "fret 8 and up"),
];

/// Shows the filter row.
pub fn filter_ui(ui: &mut Ui, session: &Session, chord: Option<&Chord>, actions: &mut Actions) {
    let before = session.filter();
    let mut filter = before.clone();
    let half = (ui.available_width() - 8.0) / 2.0;
    ui.horizontal(|ui| {
        bass(ui, &mut filter, half);
        top_note(ui, &mut filter, chord, half);
    });
    ui.horizontal(|ui| {
        family(ui, &mut filter, half);
        notes(ui, &mut filter, half);
    });
    let whole = 2.0 * half + 8.0;
    position(ui, &mut filter, whole);
    ui.horizontal(|ui| {
        ui.checkbox(&mut filter.open_strings, "Open strings");
        ui.checkbox(&mut filter.barre, "Barre");
        if *before != CandidateFilter::default() && ui.button("Reset").clicked() {
            filter = CandidateFilter::default();
        }
    });
    if filter != *before {
        actions.act(Action::Filter(filter));
    }
}

fn bass(ui: &mut Ui, filter: &mut CandidateFilter, width: f32) {
    let now = BASSES.iter().find(|(b, _)| *b == filter.bass);
    let now = now.map_or("", |(_, words)| words);
    controls::choice(ui, "Bass", now, width, |ui| {
        for (bass, words) in BASSES {
            ui.selectable_value(&mut filter.bass, bass, words);
        }
    });
}

fn top_note(ui: &mut Ui, filter: &mut CandidateFilter, chord: Option<&Chord>, width: f32) {
    let name = |pc: PitchClass| {
        let spelling = chord.and_then(|c| c.spell(pc));
        spelling.map_or_else(|| "?".to_owned(), |s| s.pretty())
    };
    let now = filter.top_note.map_or_else(|| "any".to_owned(), name);
    controls::choice(ui, "Top note", &now, width, |ui| {
        ui.selectable_value(&mut filter.top_note, None, "any");
        for pc in chord.into_iter().flat_map(|c| c.pitch_classes().iter()) {
            ui.selectable_value(&mut filter.top_note, Some(pc), name(pc));
        }
    });
}

fn family(ui: &mut Ui, filter: &mut CandidateFilter, width: f32) {
    let now = filter.family.map_or("any", words::family);
    controls::choice(ui, "Family", now, width, |ui| {
        ui.selectable_value(&mut filter.family, None, "any");
        for family in words::FAMILIES {
            ui.selectable_value(&mut filter.family, Some(family), words::family(family));
        }
    });
}

fn position(ui: &mut Ui, filter: &mut CandidateFilter, width: f32) {
    let is = |(from, to, _): &&(u8, u8, &str)| {
        filter.position.from == *from && filter.position.to == *to
    };
    let now = POSITIONS.iter().find(is).map_or_else(
        || format!("frets {}–{}", filter.position.from, filter.position.to),
        |(_, _, words)| (*words).to_owned(),
    );
    controls::choice(ui, "Position", &now, width, |ui| {
        for (from, to, words) in POSITIONS {
            let range = crate::session::PositionRange { from, to };
            ui.selectable_value(&mut filter.position, range, words);
        }
    });
}

fn notes(ui: &mut Ui, filter: &mut CandidateFilter, width: f32) {
    let now = filter
        .notes
        .map_or_else(|| "any".to_owned(), |n| n.to_string());
    controls::choice(ui, "Notes", &now, width, |ui| {
        ui.selectable_value(&mut filter.notes, None, "any");
        for n in 3..=5 {
            ui.selectable_value(&mut filter.notes, Some(n), n.to_string());
        }
    });
}
