//! How the tune lies in other keys: what is tried is chosen first (capos, tunings, a voice's range),
//! then a list from the best on, each with the effort bar by bar as a small picture. A press on a row
//! moves the tune there; a key can be heard first.

use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::theme;
use crate::gui::tunings;
use crate::gui::words;
use crate::instrument::Cost;
use crate::instrument::Tuning;
use crate::session::Action;
use crate::session::KeyLie;
use crate::session::KeyQuestion;
use crate::session::KeysStatus;
use crate::session::MOST_CAPO;
use crate::session::RangeFit;
use crate::session::Session;
use crate::session::VoiceRange;
use crate::theory::Midi;
use egui::Button;
use egui::CornerRadius;
use egui::DragValue;
use egui::Id;
use egui::Popup;
use egui::PopupCloseBehavior;
use egui::Rect;
use egui::Ui;
use egui::Vec2;
use egui::pos2;

/// Rows shown; the rest is of little use.
const ROWS: usize = 12;

/// Notes that a voice's range can end with, as MIDI numbers: C2 to C6 (common practice).
const VOICE: std::ops::RangeInclusive<u8> = 36..=84;

/// What is to be tried, as it was chosen last.
#[derive(Clone, Default)]
struct Wanted {
    capos: bool,
    tunings: Vec<Tuning>,
    ranged: bool,
    range: Option<VoiceRange>,
}

/// Shows the comparison, closed until it is opened.
pub fn keys_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    controls::foldable(ui, "other keys", "Best-lying key", false, |ui| {
        if let KeysStatus::Working { done, total } = session.keys() {
            let share = *done as f32 / (*total).max(1) as f32;
            ui.horizontal(|ui| {
                controls::progress(ui, share, 120.0);
                ui.label(format!("{done} of {total}"));
            });
            if ui.button("Stop comparing").clicked() {
                actions.act(Action::StopComparingKeys);
            }
            return;
        }
        controls::caption(ui, "Solves the tune in all twelve keys");
        wanted_ui(ui, session, actions);
        if let KeysStatus::Known(found) = session.keys() {
            list_ui(ui, session, found, actions);
        }
    });
}

fn wanted_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let id = Id::unique("keys wanted");
    let mut wanted = ui.data(|d| d.get_temp::<Wanted>(id)).unwrap_or_default();
    let words = format!("With capos up to fret {MOST_CAPO}");
    ui.checkbox(&mut wanted.capos, words);
    tunings_ui(ui, session, &mut wanted.tunings);
    let has_tune = session.document().has_tune();
    ui.add_enabled_ui(has_tune, |ui| {
        ui.checkbox(&mut wanted.ranged, "Within a voice's range")
            .on_hover_text(
                "Keys in which the tune leaves it come last; it may be sung in any octave",
            )
            .on_disabled_hover_text("The chart has no tune yet");
        if wanted.ranged && has_tune {
            range_ui(ui, session, &mut wanted.range);
        }
    });
    if ui.button("Compare keys").clicked() {
        actions.act(Action::CompareKeys(KeyQuestion {
            capos: if wanted.capos {
                (0..=MOST_CAPO).collect()
            } else {
                Vec::new()
            },
            tunings: wanted.tunings.clone(),
            range: wanted.range.filter(|_| wanted.ranged && has_tune),
        }));
    }
    ui.data_mut(|d| d.insert_temp(id, wanted));
}

/// Which tunings are tried; none is the tune's own.
fn tunings_ui(ui: &mut Ui, session: &Session, wanted: &mut Vec<Tuning>) {
    let own = &session.document().instrument.tuning;
    let words = match wanted.as_slice() {
        [] => format!("Tuning: {}", own.name()),
        [one] => format!("Tuning: {}", one.name()),
        several => format!("{} tunings", several.len()),
    };
    let width = ui.available_width();
    let button = ui.add(
        Button::new(words)
            .truncate()
            .min_size(Vec2::new(width.min(180.0), 28.0)),
    );
    let button = button.accessible_name("tunings to compare");
    Popup::menu(&button)
        .accessible_name("tunings to compare")
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .show(|ui| {
            controls::in_menu(ui);
            let mut offered = tunings::offered(session.preferences());
            if offered.iter().all(|known| known.open() != own.open()) {
                offered.insert(0, own.clone());
            }
            for tuning in offered {
                let place = wanted.iter().position(|w| w.open() == tuning.open());
                let mut on = place.is_some();
                let words = format!("Try {}", tuning.name());
                if ui.checkbox(&mut on, words).changed() {
                    match place {
                        Some(place) => {
                            wanted.remove(place);
                        }
                        None => wanted.push(tuning),
                    }
                }
            }
            controls::caption(ui, "None chosen: the tune's own");
        });
}

/// The lowest and the highest note.
fn range_ui(ui: &mut Ui, session: &Session, range: &mut Option<VoiceRange>) {
    let of_tune = VoiceRange::of_tune(session.document());
    let now = (*range).or(of_tune);
    let Some(now) = now else {
        return;
    };
    let (mut low, mut high) = (now.low().number(), now.high().number());
    ui.horizontal_wrapped(|ui| {
        ui.label("from");
        note_ui(ui, "Lowest note of the range", &mut low);
        ui.label("to");
        note_ui(ui, "Highest note of the range", &mut high);
        let hint = "From the lowest to the highest note of the tune as it is written";
        if ui.button("The tune's").on_hover_text(hint).clicked()
            && let Some(tune) = of_tune
        {
            (low, high) = (tune.low().number(), tune.high().number());
        }
    });
    let (low, high) = (low.min(high), high.max(low));
    *range = VoiceRange::new(Midi::clamped(low.into()), Midi::clamped(high.into()));
}

fn note_ui(ui: &mut Ui, name: &str, number: &mut u8) {
    let text = |number: f64| Midi::clamped(number.round() as i32).text();
    let field = DragValue::new(number)
        .range(VOICE)
        .speed(0.1)
        .custom_formatter(move |number, _| words::pretty(&text(number)))
        .custom_parser(|text| {
            let plain = text.replace('♯', "#").replace('♭', "b");
            Midi::from_text(&plain).map(|pitch| f64::from(pitch.number()))
        });
    ui.add(field).accessible_name(name);
}

fn list_ui(ui: &mut Ui, session: &Session, found: &[KeyLie], actions: &mut Actions) {
    controls::caption(
        ui,
        "Effort of the whole tune; press a key to move the tune there",
    );
    let instrument = &session.document().instrument;
    let bars = || found.iter().take(ROWS).flat_map(|lie| &lie.by_bar);
    let most = bars().copied().max().unwrap_or(Cost::ZERO);
    let several = found.iter().any(|lie| lie.tuning != instrument.tuning);
    for (number, lie) in found.iter().enumerate().take(ROWS) {
        let is_here = lie.semitones == 0
            && lie.capo == instrument.capo
            && lie.tuning.open() == instrument.tuning.open();
        let words = words_of(lie, several);
        let name = format!("key {}: {words}, effort {}", number + 1, lie.sum);
        let hint = words.clone();
        let row = Button::selectable(is_here, words)
            .right_text(lie.sum.to_string())
            .truncate()
            .min_size(Vec2::new(ui.available_width(), 24.0));
        let row = ui.add(row).on_hover_text(hint);
        if row.accessible_name(name).clicked() && !is_here {
            actions.act(Action::UseKey(number));
        }
        ui.horizontal(|ui| {
            let hear = ui.small_button("Hear");
            let name = format!("hear key {}", number + 1);
            if hear.accessible_name(name).clicked() {
                actions.act(Action::HearKey(number));
            }
            profile(ui, &lie.by_bar, most);
        });
    }
    if session.is_hearing() && ui.button("Stop hearing").clicked() {
        actions.act(Action::StopHearing);
    }
}

fn words_of(lie: &KeyLie, several: bool) -> String {
    let capo = match lie.capo {
        0 => String::new(),
        fret => format!(", capo {fret}"),
    };
    let tuning = if several {
        format!(", {}", lie.tuning.name())
    } else {
        String::new()
    };
    let faults = match lie.n_faults {
        0 => "",
        _ => ", with faults",
    };
    let range = lie.fit.map_or_else(String::new, range_words);
    format!("{}{capo}{tuning}{faults}{range}", lie.key)
}

/// `, 2 too high`, or nothing where the tune stays in the range.
fn range_words(fit: RangeFit) -> String {
    let below = (fit.below > 0).then(|| format!(", {} too low", fit.below));
    let above = (fit.above > 0).then(|| format!(", {} too high", fit.above));
    below.unwrap_or_default() + &above.unwrap_or_default()
}

/// The effort of every bar as columns side by side.
fn profile(ui: &mut Ui, by_bar: &[Cost], most: Cost) {
    let (_, rect) = ui.allocate_space(Vec2::new(ui.available_width(), 14.0));
    let p = theme::palette(ui.visuals());
    let width = rect.width() / by_bar.len().max(1) as f32;
    let mut left = rect.left();
    for cost in by_bar {
        let share = cost.0.max(0) as f32 / most.0.max(1) as f32;
        let top = rect.bottom() - (rect.height() * share).max(1.0);
        let gap = (width * 0.2).min(1.0);
        let column = Rect::from_min_max(pos2(left, top), pos2(left + width - gap, rect.bottom()));
        let colour = theme::between(p.effort_low, p.effort_high, share);
        ui.painter().rect_filled(column, CornerRadius::ZERO, colour);
        left += width;
    }
}
