//! The menu of what is selected, under the right button of the pointer and under the menu key: the
//! commands that make sense there, called as in the table, with their keys. A cell's menu opens those
//! of its chord, its bar and its section. It means the selected run of bars if the pointer is in it.

use super::GridState;
use super::layout::Rows;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::gui::actions::Actions;
use crate::gui::actions::Command;
use crate::gui::controls;
use crate::gui::possible::Now;
use crate::gui::shortcuts;
use crate::gui::shortcuts::Deed;
use crate::gui::theme;
use crate::gui::words;
use crate::session::Action;
use crate::session::Fill;
use crate::session::Selection;
use crate::session::Session;
use crate::session::TuneEntry;
use crate::session::bars_words;
use crate::theory::Articulation;
use crate::theory::ThumbMove;
use egui::Align;
use egui::Button;
use egui::Id;
use egui::Layout;
use egui::Popup;
use egui::PopupKind;
use egui::Pos2;
use egui::Response;
use egui::RichText;
use egui::SetOpenCommand;
use egui::Ui;
use egui::containers::menu::SubMenuButton;
use egui::containers::menu::menu_style;

/// What a menu is about.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum On {
    /// The selected bars.
    Bar,
    /// The section of the selected bar.
    Section,
    /// The chord at the selected place.
    Chord,
    /// The selected cell.
    Cell(Lane),
}

/// A menu that is open.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct OpenMenu {
    on: On,
    at: Pos2,
    /// Whether it has been shown yet.
    shown: bool,
}

const THUMB: &[Deed] = &{
    let mut all = [Deed::Thumb(ThumbMove::Root); ThumbMove::ALL.len()];
    let mut idx = 0;
    while idx < all.len() {
        all[idx] = Deed::Thumb(ThumbMove::ALL[idx]);
        idx += 1;
    }
    all
};

const FINGERS: &[Deed] = &[
    Deed::Pluck(Articulation::Ring),
    Deed::Pluck(Articulation::Short),
    Deed::Unpluck,
    Deed::NextSlide,
    Deed::Ahead,
];

const TUNE: &[Deed] = &[
    Deed::Tune(TuneEntry::Semitones(1)),
    Deed::Tune(TuneEntry::Semitones(-1)),
    Deed::Tune(TuneEntry::Octaves(1)),
    Deed::Tune(TuneEntry::Octaves(-1)),
    Deed::Tune(TuneEntry::Longer(true)),
    Deed::Tune(TuneEntry::Longer(false)),
    Deed::Tune(TuneEntry::Later(true)),
    Deed::Tune(TuneEntry::Later(false)),
    Deed::Tune(TuneEntry::Tie),
    Deed::Tune(TuneEntry::Dot),
    Deed::Tune(TuneEntry::Triplet),
    Deed::Tune(TuneEntry::Rest),
    Deed::Tune(TuneEntry::Remove),
];

const BAR: &[&[Deed]] = &[
    &[Deed::CopyBars, Deed::CutBars],
    &[Deed::PasteBars, Deed::PasteBefore, Deed::PasteOver],
    &[
        Deed::DuplicateBars,
        Deed::RepeatBars(2),
        Deed::RepeatBars(3),
        Deed::RepeatBars(7),
        Deed::RepeatToEnd,
    ],
    &[
        Deed::Fill(Fill::Plucks),
        Deed::Fill(Fill::Thumb),
        Deed::Fill(Fill::Voicings),
    ],
    &[Deed::InsertBar, Deed::InsertBefore, Deed::DeleteBars],
    &[
        Deed::Lock,
        Deed::NextWay,
        Deed::HearBar,
        Deed::Play,
        Deed::Loop,
    ],
];

const SECTION: &[&[Deed]] = &[
    &[Deed::RenameSection],
    &[Deed::InsertSection(true), Deed::InsertSection(false)],
    &[
        Deed::DuplicateSection,
        Deed::MoveSection(false),
        Deed::MoveSection(true),
    ],
    &[Deed::BeginSection, Deed::JoinSection, Deed::DeleteSection],
];

const CHORD: &[&[Deed]] = &[
    &[Deed::EditChord, Deed::NewChord, Deed::RemoveChord],
    &[Deed::HearGrip, Deed::FindSame],
    &[
        Deed::UsePin(1),
        Deed::UsePin(2),
        Deed::UsePin(3),
        Deed::UsePin(4),
    ],
];

impl On {
    /// Its commands, in groups.
    fn groups(self) -> Vec<&'static [Deed]> {
        const KEPT: &[Deed] = &[Deed::Lock, Deed::Clear, Deed::Hear];
        match self {
            Self::Bar => BAR.to_vec(),
            Self::Section => SECTION.to_vec(),
            Self::Chord => CHORD.to_vec(),
            Self::Cell(Lane::Thumb) => vec![THUMB, KEPT, &[Deed::AnotherLine]],
            Self::Cell(Lane::Fingers) => vec![FINGERS, KEPT],
            Self::Cell(Lane::Tune) => vec![TUNE, &[Deed::Hear]],
        }
    }

    /// What lies around it, with menus of its own.
    const fn around(self) -> &'static [(&'static str, Self)] {
        const ALL: &[(&str, On)] = &[
            ("Chord", On::Chord),
            ("Bar", On::Bar),
            ("Section", On::Section),
        ];
        match (self, ALL) {
            (Self::Cell(_), all) => all,
            (Self::Chord, [_, rest @ ..]) => rest,
            (Self::Bar, [_, _, rest @ ..]) => rest,
            _ => &[],
        }
    }

    /// What it means, in words.
    fn words(self, session: &Session) -> String {
        let selection = session.selection();
        let place = words::place(session, selection.place.bar, selection.place.at);
        let words = match self {
            Self::Bar => bars_words(selection.bars()),
            Self::Section => {
                let section = session.document().section_of(selection.place.bar);
                match section {
                    Some((section, _)) if !section.name.is_empty() => {
                        format!("section {}", section.name)
                    }
                    _ => "section without a name".into(),
                }
            }
            Self::Chord => format!("{place}, chord"),
            Self::Cell(lane) => format!("{place}, {}", lane.word()),
        };
        words::sentence(&words)
    }
}

/// Opens the menu of something under the right button: selects what it is about, unless it is in the
/// selected run of bars, which is meant then.
pub(super) fn attach(
    response: &Response,
    session: &Session,
    (on, place): (On, Place),
    actions: &mut Actions,
) {
    if !response.secondary_clicked() {
        return;
    }
    let selection = *session.selection();
    let (first, last) = selection.bars();
    let in_run = selection.to_bar.is_some() && (first..=last).contains(&place.bar);
    let lane = match on {
        On::Cell(lane) => lane,
        _ => selection.lane,
    };
    if !in_run {
        actions.act(Action::Select(Selection {
            lane,
            place,
            to_bar: None,
        }));
    }
    let on = if in_run && matches!(on, On::Cell(_)) {
        On::Bar
    } else {
        on
    };
    let at = response.interact_pointer_pos();
    let at = at.unwrap_or_else(|| response.rect.left_bottom());
    actions.window(Command::OpenMenu(Some((on, at))));
}

impl OpenMenu {
    /// The menu of something, at a point.
    #[must_use]
    pub const fn new(on: On, at: Pos2) -> Self {
        let shown = false;
        Self { on, at, shown }
    }

    /// The menu of what is selected, under it.
    #[must_use]
    pub fn of_selection(session: &Session, rows: &Rows, origin: Pos2) -> Self {
        let selection = session.selection();
        let card = rows.card(session.document(), origin, selection.place.bar);
        let lane = card.lane(selection.lane);
        let run = selection.to_bar.is_some();
        let on = if run {
            On::Bar
        } else {
            On::Cell(selection.lane)
        };
        let bottom = if run {
            card.header.bottom()
        } else {
            lane.bottom()
        };
        let x = if run {
            card.rect.left()
        } else {
            card.x_of(selection.place.at)
        };
        Self::new(on, egui::pos2(x, bottom))
    }
}

/// Shows the menu that is open, if one is.
pub(super) fn show(ui: &Ui, now: Now<'_>, state: &mut GridState, actions: &mut Actions) {
    let Some(menu) = &mut state.menu else {
        return;
    };
    let id = Id::unique("menu of the grid");
    let set = (!menu.shown).then_some(SetOpenCommand::Bool(true));
    let (on, is_new) = (menu.on, !menu.shown);
    menu.shown = true;
    let ctx = ui.ctx().clone();
    Popup::new(id, ctx.clone(), menu.at, ui.layer_id())
        .kind(PopupKind::Menu)
        .layout(Layout::top_down_justified(Align::Min))
        .style(menu_style as fn(&mut egui::Style))
        .gap(0.0)
        .anchor_widget(super::id())
        .accessible_name("commands for what is selected")
        .open_memory(set)
        .show(|ui| {
            tighten(ui);
            ui.label(RichText::new(on.words(now.session)).font(theme::bold(theme::SMALL)));
            controls::menu_rows(ui, |ui| items_ui(ui, now, on, is_new, actions));
        });
    if !Popup::is_id_open(&ctx, id) {
        state.menu = None;
        // What a command opens has asked for the keyboard itself.
        state.want_focus = state.edit.is_none() && state.naming.is_none();
    }
}

fn items_ui(ui: &mut Ui, now: Now<'_>, on: On, focus: bool, actions: &mut Actions) {
    let mut focus = focus;
    for (i, group) in on.groups().into_iter().enumerate() {
        if i > 0 {
            ui.separator();
        }
        for deed in group {
            let item = item_ui(ui, now, *deed);
            if std::mem::take(&mut focus) {
                item.request_focus();
            }
            if item.clicked() {
                actions.window(Command::FocusGrid);
                actions.window(Command::Do(*deed));
                ui.close();
            }
        }
    }
    if !on.around().is_empty() {
        ui.separator();
    }
    for (words, around) in on.around() {
        SubMenuButton::new(*words).ui(ui, |ui| {
            tighten(ui);
            controls::menu_rows(ui, |ui| around_ui(ui, now, *around, actions));
        });
    }
}

/// The menu of what lies around something.
fn around_ui(ui: &mut Ui, now: Now<'_>, around: On, actions: &mut Actions) {
    for (i, group) in around.groups().into_iter().enumerate() {
        if i > 0 {
            ui.separator();
        }
        for deed in group {
            if item_ui(ui, now, *deed).clicked() {
                actions.window(Command::FocusGrid);
                actions.window(Command::Do(*deed));
                ui.close();
            }
        }
    }
}

/// Rows close enough for the longest menu in the smallest window.
fn tighten(ui: &mut Ui) {
    ui.set_min_width(260.0);
    let spacing = ui.spacing_mut();
    spacing.item_spacing.y = 0.0;
    spacing.interact_size.y = 22.0;
    spacing.button_padding.y = 1.0;
}

/// A command as a row of a menu; greyed, with the reason on hover, if it can't be carried out.
fn item_ui(ui: &mut Ui, now: Now<'_>, deed: Deed) -> Response {
    let row = shortcuts::row_of(deed);
    let words = row.map_or_else(String::new, |row| words::sentence(&row.name()));
    let why_not = now.why_not(deed);
    let button = Button::new(&words)
        .shortcut_text(shortcuts::key_of(deed, ui.ctx()))
        .frame_when_inactive(false);
    let item = ui.add_enabled(why_not.is_none(), button);
    let item = match why_not {
        Some(why) => item.on_disabled_hover_text(words::sentence(&why)),
        None => item,
    };
    item.accessible_name(words)
}
