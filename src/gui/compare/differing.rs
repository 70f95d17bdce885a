//! The list of bars that differ: effort in both and what is not alike, in words; what exactly, on
//! hover. A press selects the bar.

use super::profile;
use crate::arrange::Comparison;
use crate::arrange::compare::ComparedBar;
use crate::arrange::compare::Differs;
use crate::arrange::compare::Held;
use crate::arrange::compare::Struck;
use crate::document::Document;
use crate::gui::actions::Actions;
use crate::gui::controls;
use crate::gui::words;
use crate::instrument::Cost;
use crate::session::Session;
use crate::theory::Articulation;
use crate::theory::Meter;
use egui::Button;
use egui::ScrollArea;
use egui::Ui;
use egui::Vec2;

/// Height of a row.
const ROW: f32 = 24.0;

/// Shows the list.
pub fn list_ui(ui: &mut Ui, session: &Session, found: &Comparison, actions: &mut Actions) {
    let bars: Vec<&ComparedBar> = found.bars.iter().filter(|bar| bar.differs()).collect();
    if bars.is_empty() {
        controls::caption(ui, "None: both versions are played alike");
        return;
    }
    let (first, last) = session.selection().bars();
    ScrollArea::vertical()
        .id_salt("bars that differ")
        .auto_shrink(false)
        .show_rows(ui, ROW, bars.len(), |ui, range| {
            for bar in bars.get(range).unwrap_or_default() {
                let selected = (first..=last).contains(&bar.bar);
                let text = format!("Bar {}   {}", bar.bar + 1, counts(bar));
                let row = Button::selectable(selected, text)
                    .right_text(efforts(bar))
                    .truncate()
                    .min_size(Vec2::new(ui.available_width(), ROW));
                let row = ui.add(row).accessible_name(words_of(bar));
                if row.clicked() {
                    profile::go_to(bar, session, actions);
                }
                row.on_hover_ui(|ui| details_ui(ui, session.document(), bar));
            }
        });
}

fn effort(cost: Option<Cost>) -> String {
    cost.map_or_else(|| "–".to_owned(), |cost| cost.to_string())
}

fn efforts(bar: &ComparedBar) -> String {
    format!("{} → {}", effort(bar.effort.a), effort(bar.effort.b))
}

/// `thumb 2, grips 1`.
fn counts(bar: &ComparedBar) -> String {
    let parts = [
        ("thumb", bar.thumb.len()),
        ("grips", bar.grips.len()),
        ("strikes", bar.plucks.len()),
        ("tune", bar.tune.len()),
    ];
    let parts = parts.iter().filter(|(_, n)| *n > 0);
    let parts: Vec<String> = parts.map(|(what, n)| format!("{what} {n}")).collect();
    if bar.effort.a.is_none() {
        "only in B".into()
    } else if bar.effort.b.is_none() {
        "only in A".into()
    } else if parts.is_empty() {
        "alike".into()
    } else {
        parts.join(", ")
    }
}

/// All of it in one line, for hover and screen readers.
pub fn words_of(bar: &ComparedBar) -> String {
    format!(
        "bar {}: effort {} in A, {} in B; {}",
        bar.bar + 1,
        effort(bar.effort.a),
        effort(bar.effort.b),
        counts(bar)
    )
}

/// What each has, moment by moment.
fn details_ui(ui: &mut Ui, document: &Document, bar: &ComparedBar) {
    let n_strings = document.instrument.n_strings();
    let thumb = |note: &Struck| {
        let place = words::place_on_neck(note.string, note.fret, n_strings);
        match note.thumb_move {
            Some(thumb_move) => format!("{} on {place}", thumb_move.code()),
            None => place,
        }
    };
    let tune = |note: &Struck| words::place_on_neck(note.string, note.fret, n_strings);
    let grip = |held: &Held| format!("{} ({})", held.grip.shape, held.grip.finger_text());
    let strike = |how: &Articulation| how.word().to_owned();
    lines_ui(ui, document.meter, "thumb", &bar.thumb, thumb);
    lines_ui(ui, document.meter, "grip", &bar.grips, grip);
    lines_ui(ui, document.meter, "strike", &bar.plucks, strike);
    lines_ui(ui, document.meter, "tune", &bar.tune, tune);
}

fn lines_ui<T>(
    ui: &mut Ui,
    meter: Meter,
    what: &str,
    list: &[Differs<T>],
    told: impl Fn(&T) -> String,
) {
    for differs in list {
        let has = |side: &Option<T>| side.as_ref().map_or_else(|| "nothing".to_owned(), &told);
        ui.label(format!(
            "{}, {what}: {} → {}",
            words::sentence(&words::beat(meter, differs.at)),
            has(&differs.has.a),
            has(&differs.has.b)
        ));
    }
}
