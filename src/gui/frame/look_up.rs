//! The strip in which a command is found by its name: under the top bar, in columns by what the
//! commands act on, with their keys. What is typed narrows it; Enter does the one that is marked.
//! What can't be done now is grey and says why. Made from the table, so nothing is missing.

use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::icons;
use crate::gui::icons::Icon;
use crate::gui::possible::Now;
use crate::gui::shortcuts;
use crate::gui::shortcuts::About;
use crate::gui::shortcuts::Deed;
use crate::gui::shortcuts::Shortcut;
use crate::gui::theme;
use crate::gui::words;
use egui::Align;
use egui::Button;
use egui::EventFilter;
use egui::Id;
use egui::Key;
use egui::Label;
use egui::Layout;
use egui::RichText;
use egui::ScrollArea;
use egui::TextEdit;
use egui::Ui;
use egui::Vec2;

/// Height of a row.
const ROW: f32 = 24.0;
/// The most letters of several keys beside a name.
const LONGEST_KEYS: usize = 16;
/// Columns are not made shorter than this.
const FEWEST_ROWS: usize = 12;
/// The least width of a column.
const COLUMN: f32 = 340.0;

/// What the strip remembers between frames.
#[derive(Debug, Default)]
pub struct LookUpState {
    /// Whether it is open.
    pub open: bool,
    text: String,
    /// Which of the commands found is marked.
    marked: usize,
    is_new: bool,
}

impl LookUpState {
    /// Opens it, empty.
    pub fn open(&mut self) {
        *self = Self {
            open: true,
            is_new: true,
            ..Self::default()
        };
    }
}

/// A command in the strip.
struct Entry {
    row: &'static Shortcut,
    why_not: Option<String>,
}

/// Shows the strip.
pub fn look_up_ui(ui: &mut Ui, now: Now<'_>, state: &mut LookUpState, actions: &mut Actions) {
    let id = Id::unique("command field");
    let found = found(now, &state.text);
    let (mut step, mut taken) = (0, false);
    if ui.memory(|memory| memory.has_focus(id)) {
        ui.input_mut(|input| {
            step += input.count_and_consume_key(egui::Modifiers::NONE, Key::ArrowDown);
            step += found.len().saturating_sub(1)
                * input.count_and_consume_key(egui::Modifiers::NONE, Key::ArrowUp);
            taken = input.consume_key(egui::Modifiers::NONE, Key::Enter);
        });
    }
    state.marked = (state.marked + step)
        .checked_rem(found.len())
        .unwrap_or_default();
    let marked = found.get(state.marked);
    head_ui(ui, id, marked, state, actions);
    let mut asked = None;
    if taken {
        asked = marked
            .filter(|entry| entry.why_not.is_none())
            .map(|entry| entry.row.deed);
    }
    ScrollArea::vertical()
        .id_salt("commands")
        .auto_shrink(false)
        .show(ui, |ui| {
            let by_key = step > 0;
            asked = asked.or(columns_ui(ui, &found, state.marked, by_key));
        });
    if let Some(deed) = asked {
        state.open = false;
        actions.window(Command::FocusGrid);
        actions.window(Command::Do(deed));
    }
}

/// The commands that have everything that was typed in their names, in the order in which they are
/// shown.
fn found(now: Now<'_>, text: &str) -> Vec<Entry> {
    let wanted = text.to_lowercase();
    let fits = |row: &&Shortcut| {
        let about = row.deed.about().words();
        let name = format!("{about} {}", row.name()).to_lowercase();
        wanted.split_whitespace().all(|part| name.contains(part))
    };
    let of = |about: About| shortcuts::deeds().filter(move |row| row.deed.about() == about);
    let rows = About::ALL.into_iter().flat_map(of).filter(fits);
    rows.map(|row| Entry {
        row,
        why_not: now.why_not(row.deed),
    })
    .collect()
}

fn head_ui(
    ui: &mut Ui,
    id: Id,
    marked: Option<&Entry>,
    state: &mut LookUpState,
    actions: &mut Actions,
) {
    let p = theme::palette(ui.visuals());
    ui.horizontal(|ui| {
        ui.label(RichText::new("Do…").font(theme::bold(theme::BODY)));
        let field = TextEdit::singleline(&mut state.text)
            .id(id)
            .hint_text("part of a command's name")
            .event_filter(EventFilter {
                tab: false,
                horizontal_arrows: true,
                vertical_arrows: true,
                escape: false,
            })
            .desired_width(280.0);
        let response = ui.add(field).accessible_name("what to do");
        if std::mem::take(&mut state.is_new) {
            response.request_focus();
        }
        if response.changed() {
            state.marked = 0;
        }
        if response.lost_focus() && ui.input(|i| i.key_pressed(Key::Escape)) {
            state.open = false;
            actions.window(Command::FocusGrid);
        }
        let words = match marked {
            None => "No command has that name".into(),
            Some(entry) => match &entry.why_not {
                Some(why) => format!("{}: not now, {why}", entry.row.name()),
                None => format!("Enter: {}", entry.row.name()),
            },
        };
        let words = RichText::new(words::sentence(&words)).color(p.ink_soft);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let close = icons::button(ui, Icon::Close, "close commands", "Close (Esc)", None);
            if close.clicked() {
                state.open = false;
                actions.window(Command::FocusGrid);
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(Label::new(words).truncate());
            });
        });
    });
}

/// The commands side by side in as many columns as there is room for; gives the one that was
/// pressed.
fn columns_ui(ui: &mut Ui, found: &[Entry], marked: usize, by_key: bool) -> Option<Deed> {
    let mut asked = None;
    let groups: Vec<&[Entry]> = found
        .chunk_by(|a, b| a.row.deed.about() == b.row.deed.about())
        .collect();
    let width = ui.available_width() - 12.0;
    let n_columns = ((width / COLUMN) as usize).clamp(1, 4);
    let gap = 24.0;
    let column = (width - gap * (n_columns as f32 - 1.0)) / n_columns as f32;
    let lengths: Vec<usize> = groups.iter().map(|group| group.len()).collect();
    let per_column = rows_per_column(&lengths, n_columns);
    let mut number = 0;
    let mut rest = groups.as_slice();
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = gap;
        while !rest.is_empty() {
            let n_groups = n_fitting(rest.iter().map(|group| group.len()), per_column);
            let (here, after) = rest.split_at(n_groups.min(rest.len()));
            rest = after;
            ui.vertical(|ui| {
                ui.set_width(column);
                ui.spacing_mut().item_spacing.y = 0.0;
                for group in here {
                    let about = group.first().map(|entry| entry.row.deed.about());
                    let heading = about.map_or("", About::words);
                    ui.add_space(theme::STEP);
                    ui.label(RichText::new(heading).font(theme::bold(theme::SMALL)));
                    for entry in *group {
                        let is_marked = number == marked;
                        let row = entry_ui(ui, entry, is_marked);
                        if row.clicked() {
                            asked = Some(entry.row.deed);
                        }
                        if is_marked && by_key {
                            row.scroll_to_me(None);
                        }
                        number += 1;
                    }
                }
            });
        }
    });
    asked
}

/// How many groups, each under a heading, stand in a column of so many rows; at least one.
fn n_fitting(lengths: impl Iterator<Item = usize>, per_column: usize) -> usize {
    let mut n_rows = 0;
    let fits = |length: &usize| {
        let fits = n_rows == 0 || n_rows + length < per_column;
        n_rows += length + 1;
        fits
    };
    lengths.take_while(fits).count()
}

/// The fewest rows in which all groups stand in so many columns; a few always look well.
fn rows_per_column(lengths: &[usize], n_columns: usize) -> usize {
    let all: usize = lengths.iter().map(|length| length + 1).sum();
    let columns = |per_column: usize| {
        let mut rest = lengths;
        let mut n = 0;
        while !rest.is_empty() {
            let here = n_fitting(rest.iter().copied(), per_column);
            rest = rest.get(here..).unwrap_or_default();
            n += 1;
        }
        n
    };
    (FEWEST_ROWS..all)
        .find(|rows| columns(*rows) <= n_columns)
        .unwrap_or(all.max(FEWEST_ROWS))
}

fn entry_ui(ui: &mut Ui, entry: &Entry, is_marked: bool) -> egui::Response {
    let row = entry.row;
    // A name that can be read matters more than a second key.
    let all = shortcuts::keys_of(row.deed, ui.ctx().os().is_mac());
    let keys = if all.chars().count() <= LONGEST_KEYS {
        all
    } else {
        shortcuts::key_of(row.deed, ui.ctx())
    };
    let words = words::sentence(&row.name());
    let mut name = format!("{}: {}", row.deed.about().words(), row.name());
    if let Some(why) = &entry.why_not {
        name.push_str(&format!(" (not now: {why})"));
    }
    let size = Vec2::new(ui.available_width(), ROW);
    let button = Button::selectable(is_marked, words)
        .shortcut_text(keys)
        .truncate()
        .min_size(size);
    let item = ui.add_enabled(entry.why_not.is_none(), button);
    let item = match &entry.why_not {
        Some(why) => item.on_disabled_hover_text(words::sentence(why)),
        None => item,
    };
    item.accessible_name(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_groups_stand_in_as_many_columns_as_there_are() {
        let lengths = [15, 9, 9, 20, 25, 9, 16, 14, 9];
        for n_columns in 1..=4 {
            let per_column = rows_per_column(&lengths, n_columns);
            let (mut rest, mut n) = (&lengths[..], 0);
            while !rest.is_empty() {
                rest = &rest[n_fitting(rest.iter().copied(), per_column)..];
                n += 1;
            }
            assert!(n <= n_columns, "{n} columns for {n_columns}");
        }
        assert_eq!(rows_per_column(&[3, 2], 4), FEWEST_ROWS);
    }
}
