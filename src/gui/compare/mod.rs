//! The tune beside another version of it: what each costs along the tune, which bars differ, hearing
//! either and taking the other, whole or bar by bar. A panel below the grid that stands in nobody's
//! way; here versions are kept, too.

mod differing;
mod profile;

use super::actions::Actions;
use super::actions::Command;
use super::controls;
use super::icons;
use super::icons::Icon;
use super::theme;
use super::tunings;
use super::words;
use crate::arrange::Comparison;
use crate::arrange::Version;
use crate::arrange::compare::Totals;
use crate::document::Edit;
use crate::session::Action;
use crate::session::Other;
use crate::session::Session;
use crate::session::VersionsDeed;
use crate::session::bars_words;
use egui::Align;
use egui::Button;
use egui::Layout;
use egui::RichText;
use egui::ScrollArea;
use egui::TextEdit;
use egui::Ui;
use egui::Vec2;

/// Width of the part where the other version is chosen.
const CHOICE: f32 = 248.0;
/// Width of the list of bars.
const LIST: f32 = 284.0;
/// Height of the profiles.
const PROFILE: f32 = 76.0;

/// What the panel remembers between frames.
#[derive(Debug, Default)]
pub struct CompareState {
    /// The name under which a version is to be kept.
    name: String,
    /// Whether all of the tune is heard, not only the selected bars.
    whole: bool,
}

/// Shows the panel.
pub fn compare_ui(ui: &mut Ui, session: &Session, state: &mut CompareState, actions: &mut Actions) {
    ui.horizontal_top(|ui| {
        let height = ui.available_height();
        ui.spacing_mut().item_spacing.x = 12.0;
        let column = |ui: &mut Ui, width: f32, content: &mut dyn FnMut(&mut Ui)| {
            let size = Vec2::new(width, height);
            ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
                ui.spacing_mut().item_spacing = Vec2::new(8.0, 4.0);
                ui.set_width(width);
                content(ui);
            });
        };
        // Without room for the list the profile shows where the versions differ.
        let has_list = ui.available_width() >= CHOICE + LIST + 184.0;
        let list = if has_list { LIST + 12.0 } else { 0.0 };
        let middle = (ui.available_width() - CHOICE - list - 12.0).max(160.0);
        column(ui, CHOICE, &mut |ui| {
            ui.horizontal(|ui| {
                ui.heading("Compare");
                if !has_list {
                    close_ui(ui, actions);
                }
            });
            choice_ui(ui, session, state, actions);
        });
        column(ui, middle, &mut |ui| {
            ScrollArea::vertical()
                .id_salt("two versions")
                .show(ui, |ui| middle_ui(ui, session, state, actions));
        });
        if !has_list {
            return;
        }
        column(ui, LIST, &mut |ui| {
            head_ui(ui, actions);
            if let Some(found) = session.comparison() {
                differing::list_ui(ui, session, found, actions);
            }
        });
    });
}

fn head_ui(ui: &mut Ui, actions: &mut Actions) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Bars that differ").font(theme::bold(theme::BODY)));
        close_ui(ui, actions);
    });
}

fn close_ui(ui: &mut Ui, actions: &mut Actions) {
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let close = icons::button(ui, Icon::Close, "close comparison", "Put away", None);
        if close.clicked() {
            actions.window(Command::ToggleCompare);
        }
    });
}

/// What the tune stands beside, and keeping it.
fn choice_ui(ui: &mut Ui, session: &Session, state: &mut CompareState, actions: &mut Actions) {
    ui.label("A is the tune as it is now. B is");
    let now = session.compared_with().map_or("Choose…", |name| name);
    controls::wide_choice(ui, "Other version", now, |ui| {
        others_ui(ui, session, actions);
    });
    let versions = &session.document().versions;
    let kept = versions
        .iter()
        .position(|kept| Some(kept.name.as_str()) == session.compared_with());
    ui.horizontal(|ui| {
        if let Some(number) = kept
            && ui
                .button("Forget it")
                .on_hover_text("Remove this version from the project")
                .accessible_name("forget this version")
                .clicked()
        {
            actions.act(Action::Versions(VersionsDeed::Stop));
            actions.edit(Edit::DropVersion(number));
        }
        if session.compared_with().is_some() && ui.button("Stop comparing").clicked() {
            actions.act(Action::Versions(VersionsDeed::Stop));
        }
    });
    ui.add_space(4.0);
    ui.horizontal(|ui| {
        let suggested = session.document().free_version_name("");
        let field = TextEdit::singleline(&mut state.name)
            .hint_text(suggested)
            .desired_width(108.0);
        let field = ui.add(field).accessible_name("Name of the kept version");
        let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
        let hint = "Keeps the tune as it is now in the project, to compare and to go back to";
        let keep = ui.button("Keep this version").on_hover_text(hint);
        if keep.clicked() || entered {
            actions.edit(Edit::KeepVersion(std::mem::take(&mut state.name)));
        }
    });
}

/// What can be chosen: kept versions, another line, other hands, other tunings, a file.
fn others_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let document = session.document();
    let mut item = |ui: &mut Ui, words: &str, other: Other| {
        if ui.selectable_label(false, words).clicked() {
            actions.act(Action::Versions(VersionsDeed::With(other)));
        }
    };
    for (number, kept) in document.versions.iter().enumerate() {
        item(ui, &format!("Kept: {}", kept.name), Other::Kept(number));
    }
    let seed = document.line.seed.wrapping_add(1);
    item(
        ui,
        &format!("Another line (seed {seed})"),
        Other::Seed(seed),
    );
    for hand in &session.preferences().hands {
        if *hand != *document.hand {
            let words = format!("The hand {}", hand.name);
            item(ui, &words, Other::Hand(Box::new(hand.clone())));
        }
    }
    for tuning in tunings::offered(session.preferences()) {
        if tuning.open() != document.instrument.tuning.open() {
            let words = format!("The tuning {}", tuning.name());
            item(ui, &words, Other::Tuning(tuning));
        }
    }
    if ui.selectable_label(false, "A file…").clicked() {
        actions.window(Command::AskCompare);
    }
}

fn middle_ui(ui: &mut Ui, session: &Session, state: &mut CompareState, actions: &mut Actions) {
    if let Some((done, total)) = session.comparing_progress() {
        let share = done as f32 / total.max(1) as f32;
        ui.label("Solving the other version");
        controls::progress(ui, share, 240.0);
        if ui.button("Cancel").clicked() {
            actions.act(Action::Versions(VersionsDeed::Stop));
        }
        return;
    }
    let Some(found) = session.comparison() else {
        controls::caption(
            ui,
            "Choose another version of this tune at the left, or keep this one and change it: both \
             then stand here side by side, bar by bar.",
        );
        return;
    };
    for version in Version::BOTH {
        total_ui(ui, session, version, found.totals.of(version));
    }
    profile::profile_ui(ui, session, found, PROFILE, actions);
    hear_ui(ui, session, found, state, actions);
}

/// A sample of how the version is drawn, and what it costs as a whole.
fn total_ui(ui: &mut Ui, session: &Session, version: Version, totals: &Totals) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        profile::sample(ui, version);
        let hardest = totals.hardest.map(|place| {
            let meter = session.version(version).map(|document| document.meter);
            let beat = meter.map_or_else(String::new, |meter| {
                format!(", {}", words::beat(meter, place.at))
            });
            format!(
                ", hardest change {} into bar {}{beat}",
                totals.max,
                place.bar + 1
            )
        });
        let faults = match totals.n_faults {
            0 => String::new(),
            1 => ", 1 fault".into(),
            n => format!(", {n} faults"),
        };
        let text = format!(
            "{}  effort {}{}{faults}",
            version.letter(),
            totals.sum,
            hardest.unwrap_or_default()
        );
        ui.add(egui::Label::new(text).truncate());
    });
}

fn hear_ui(
    ui: &mut Ui,
    session: &Session,
    found: &Comparison,
    state: &mut CompareState,
    actions: &mut Actions,
) {
    let bars = session.selection().bars();
    let here = words::sentence(&bars_words(bars));
    ui.horizontal_wrapped(|ui| {
        ui.selectable_value(&mut state.whole, false, &here);
        ui.selectable_value(&mut state.whole, true, "Whole tune");
        for version in Version::BOTH {
            let words = format!("Hear {}", version.letter());
            if ui.button(words).clicked() {
                let whole = state.whole;
                actions.act(Action::Versions(VersionsDeed::Hear { version, whole }));
            }
        }
        if session.is_hearing() && ui.button("Stop").accessible_name("stop hearing").clicked() {
            actions.act(Action::StopHearing);
        }
        let differ = |n: usize| found.bars.get(n).is_some_and(|bar| bar.differs());
        let take = if state.whole {
            let any = found.bars.iter().any(|bar| bar.differs());
            ui.add_enabled(any, Button::new("Take B"))
                .on_hover_text("Puts B in the place of the tune; undo brings it back")
        } else {
            let any = (bars.0..=bars.1).any(differ);
            let words = format!("Take {} of B", bars_words(bars));
            ui.add_enabled(any, Button::new(words))
                .on_hover_text("Decides these bars as B plays them; undo brings them back")
        };
        let take = take.on_disabled_hover_text("A and B are played alike here");
        if take.clicked() {
            actions.act(if state.whole {
                Action::Versions(VersionsDeed::Take)
            } else {
                Action::Versions(VersionsDeed::TakeBars)
            });
        }
    });
}
