//! Settings of the whole tune: title, key, transposing, metre, house style; plucking, thumb line,
//! where approaches come from, riff, open strings. The tune's lane, scales and rules are modules
//! beside it.

use super::keys;
use super::row_ui;
use super::rules;
use super::scale;
use super::section_ui;
use super::tune_lane;
use super::walks;
use crate::document::Approach;
use crate::document::Choruses;
use crate::document::Document;
use crate::document::Edit;
use crate::document::LineSettings;
use crate::document::MAX_CHORUSES;
use crate::document::Walk;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::words;
use crate::session::Action;
use crate::session::Session;
use crate::theory::HouseStyle;
use crate::theory::Key;
use crate::theory::Meter;
use crate::thumb::PluckPattern;
use egui::Ui;

/// Keys offered, as they are spelled in practice.
const KEYS: [&str; 24] = [
    "C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B", "Cm", "C#m", "Dm", "Ebm",
    "Em", "Fm", "F#m", "Gm", "G#m", "Am", "Bbm", "Bm",
];

const APPROACHES: [(Approach, &str); 4] = [
    (Approach::Below, "from below"),
    (Approach::Above, "from above"),
    (Approach::Alternate, "in turn"),
    (Approach::Easiest, "easiest"),
];

const STYLES: [(HouseStyle, &str); 2] = [
    (HouseStyle::Letters, "letters"),
    (HouseStyle::Signs, "signs"),
];

/// Shows the settings of the tune.
pub fn tune_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    section_ui(ui, "tune", "Tune", |ui| {
        chart_ui(ui, session.document(), actions);
        tune_lane::lane_ui(ui, session, actions);
        line_ui(ui, session.document(), actions);
        scale::scale_ui(ui, session, actions);
        rules::rules_ui(ui, session.document(), actions);
        keys::keys_ui(ui, session, actions);
    });
}

fn chart_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    title_ui(ui, document, actions);
    row_ui(ui, "Key", |ui| key_ui(ui, document, actions));
    row_ui(ui, "Transpose", |ui| transpose_ui(ui, actions));
    row_ui(ui, "Metre", |ui| {
        let mut meter = document.meter;
        controls::plain_choice(ui, "Metre", &meter.to_string(), |ui| {
            for offered in Meter::ALL {
                ui.selectable_value(&mut meter, offered, offered.to_string());
            }
        });
        if meter != document.meter {
            actions.edit(Edit::SetMeter(meter));
        }
    });
    row_ui(ui, "Chord style", |ui| {
        let mut style = document.house_style;
        let now = STYLES
            .iter()
            .find(|(s, _)| *s == style)
            .map_or("", |(_, w)| w);
        controls::plain_choice(ui, "Chord style", now, |ui| {
            for (offered, words) in STYLES {
                ui.selectable_value(&mut style, offered, words);
            }
        });
        if style != document.house_style {
            actions.edit(Edit::SetHouseStyle(style));
        }
    });
}

fn line_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    row_ui(ui, "Plucking", |ui| plucking_ui(ui, document, actions));
    row_ui(ui, "Thumb line", |ui| walk_ui(ui, document, actions));
    if walks::walks_plainly(document) {
        row_ui(ui, "Approach", |ui| approach_ui(ui, document, actions));
    }
    if crate::session::line_is_written(document) {
        row_ui(ui, "Seed", |ui| seed_ui(ui, document, actions));
    }
    row_ui(ui, "Choruses", |ui| choruses_ui(ui, document, actions));
    let before = &document.line;
    let mut after = before.clone();
    ui.checkbox(&mut after.riff, "Line as a riff")
        .on_hover_text("Bars of the same shape take the same moves, where a line is written");
    ui.checkbox(&mut after.open_strings, "Use open strings");
    ui.checkbox(&mut after.keep_hardest_easy, "Ease the hardest spot")
        .on_hover_text(
            "Makes the largest single change as small as it can be, even if the whole tune costs \
             more",
        );
    if after != *before {
        actions.edit(Edit::SetLine(after));
    }
}

fn title_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    row_ui(ui, "Title", |ui| {
        let mut title = document.title.clone();
        let field = egui::TextEdit::singleline(&mut title)
            .id(egui::Id::unique("title"))
            .hint_text("Untitled")
            .desired_width(f32::INFINITY);
        let response = ui.add(field).accessible_name("Title");
        // Written as it is typed, so that nothing typed can be lost; one step until it is left.
        if response.changed() {
            actions.act(Action::Edit(Edit::SetTitle(title)));
        }
        if response.lost_focus() {
            actions.act(Action::EndStep);
        }
    });
}

fn key_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    let mut key = document.key;
    controls::plain_choice(ui, "Key", &key_words(key), |ui| {
        for offered in KEYS.iter().filter_map(|text| Key::parse(text)) {
            ui.selectable_value(&mut key, offered, key_words(offered));
        }
    });
    if key != document.key {
        actions.edit(Edit::SetKey(key));
    }
}

fn key_words(key: Key) -> String {
    words::pretty(&key.to_string())
}

fn transpose_ui(ui: &mut Ui, actions: &mut Actions) {
    ui.spacing_mut().item_spacing.x = 2.0;
    ui.spacing_mut().button_padding.x = 4.0;
    for (semitones, text, name) in [
        (-5, "−5", "a fourth down"),
        (-1, "−1", "a semitone down"),
        (1, "+1", "a semitone up"),
        (5, "+5", "a fourth up"),
    ] {
        let words = format!("transpose {name}");
        let button = ui.add(egui::Button::new(text).min_size(egui::vec2(28.0, 28.0)));
        let button = button.on_hover_text(format!("Move the whole chart {name}"));
        if button.accessible_name(words).clicked() {
            actions.edit(Edit::Transpose(semitones));
        }
    }
}

/// The rhythm of the fingers in all bars that have none of their own.
fn plucking_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    let line = &document.line;
    let meter = document.meter;
    let now = line.plucks.as_deref();
    let known = now.and_then(|plucks| PluckPattern::of(plucks, meter));
    let mut chosen = known;
    let words = match (now, known) {
        (None, _) => "Usual",
        (_, Some(pattern)) => pattern.words(),
        (_, None) => "Own",
    };
    controls::plain_choice(ui, "Plucking", words, |ui| {
        ui.selectable_value(&mut chosen, None, "Usual");
        for pattern in PluckPattern::ALL {
            ui.selectable_value(&mut chosen, Some(pattern), pattern.words());
        }
    });
    if chosen != known {
        actions.edit(Edit::SetLine(LineSettings {
            plucks: chosen.map(|pattern| pattern.plucks(meter)),
            ..line.clone()
        }));
    }
}

fn walk_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    let mut walk = document.line.walk;
    controls::plain_choice(ui, "Thumb line", walk.words(), |ui| {
        for offered in Walk::ALL {
            ui.selectable_value(&mut walk, offered, offered.words());
        }
    });
    if walk != document.line.walk {
        actions.edit(Edit::SetLine(LineSettings {
            walk,
            ..document.line.clone()
        }));
    }
}

/// The seed, to be told and typed again, and the next one.
fn seed_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    let line = &document.line;
    let mut seed = line.seed;
    let field = egui::DragValue::new(&mut seed)
        .speed(0.1)
        .update_while_editing(false);
    ui.add(field).accessible_name("Seed of the thumb line");
    if ui.button("Another line").clicked() {
        seed = seed.wrapping_add(1);
    }
    if seed != line.seed {
        actions.edit(Edit::SetLine(LineSettings {
            seed,
            ..line.clone()
        }));
    }
}

/// How often the tune is played through.
fn choruses_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    let now = document.choruses;
    let (count, most) = (u16::from(now.count), u16::from(MAX_CHORUSES));
    if let Some(count) = controls::number(ui, "Choruses", count, 1..=most, "") {
        let count = u8::try_from(count).unwrap_or(1);
        actions.edit(Edit::SetChoruses(Choruses { count, ..now }));
    }
    if now.count > 1 {
        let words = if crate::session::line_is_written(document) {
            "each with its own line"
        } else {
            "a plain walk hardly varies"
        };
        controls::caption(ui, words);
    }
}

fn approach_ui(ui: &mut Ui, document: &Document, actions: &mut Actions) {
    let mut approach = document.line.approach;
    let now = APPROACHES
        .iter()
        .find(|(a, _)| *a == approach)
        .map_or("", |(_, w)| w);
    controls::plain_choice(ui, "Approach", now, |ui| {
        for (offered, words) in APPROACHES {
            ui.selectable_value(&mut approach, offered, words);
        }
    });
    if approach != document.line.approach {
        actions.edit(Edit::SetLine(LineSettings {
            approach,
            ..document.line.clone()
        }));
    }
}
