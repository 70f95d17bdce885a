//! The sheet area: the pages as they will be handed out, with small pages to jump by at the left
//! and the words on the sheet at the right. Pages are laid out again only when the tune has
//! changed. Export writes exactly what is shown.

mod fill;
mod page;
mod pick;
mod set;
mod shown;
mod texts;
mod zoom;

use super::actions::Actions;
use super::actions::Command;
use super::controls;
use super::named;
use super::named::Named;
use super::theme;
use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Choruses;
use crate::document::Document;
use crate::document::Edit;
use crate::score::pages::Page;
use crate::session::Action;
use crate::session::Area;
use crate::session::Selection;
use crate::session::Session;
use crate::session::export;
use crate::session::sheet_pages;
use crate::session::sheet_pages::SheetPages;
use egui::CentralPanel;
use egui::Frame;
use egui::Id;
use egui::Margin;
use egui::Panel;
use egui::Pos2;
use egui::Rect;
use egui::ScrollArea;
use egui::Sense;
use egui::Stroke;
use egui::StrokeKind;
use egui::Ui;
use egui::Vec2;
use set::ExportSet;
use std::sync::Arc;
use zoom::Zoom;

const GAP: f32 = 24.0;
const THUMBNAIL: f32 = 88.0;
/// Room that a page needs to have small ones beside it.
const LEAST_PAGE: f32 = 300.0;

/// Pages and what they were laid out from.
#[derive(Debug)]
struct Laid {
    document: Arc<Document>,
    arrangement: Arc<Arrangement>,
    pages: Vec<Page>,
    /// The chorus on each page, from 1.
    choruses: Vec<u8>,
}

/// What the area remembers between frames.
#[derive(Debug)]
pub struct SheetState {
    laid: Option<Laid>,
    /// How large pages are shown.
    zoom: Zoom,
    /// Percent of the width at hand that they fill now.
    shown_percent: f32,
    /// The page to scroll to.
    go_to: Option<usize>,
    /// What is exported in one go.
    pub set: ExportSet,
}

impl Default for SheetState {
    fn default() -> Self {
        Self {
            laid: None,
            zoom: Zoom::default(),
            shown_percent: 100.0,
            go_to: None,
            set: ExportSet::default(),
        }
    }
}

impl SheetState {
    /// Gives the pages back while they are not looked at; a long tune has many.
    pub fn put_away(&mut self) {
        self.laid = None;
    }

    /// Lays the pages out again if the tune has changed.
    fn refresh(&mut self, session: &Session) {
        let document = session.document();
        let Some(arrangement) = session.arrangement() else {
            self.laid = None;
            return;
        };
        let is_fresh = self.laid.as_ref().is_some_and(|laid| {
            Arc::ptr_eq(&laid.document, document) && Arc::ptr_eq(&laid.arrangement, arrangement)
        });
        if is_fresh || session.is_solving() {
            return;
        }
        let SheetPages { pages, choruses } = sheet_pages::of(document, arrangement);
        self.laid = Some(Laid {
            document: Arc::clone(document),
            arrangement: Arc::clone(arrangement),
            pages,
            choruses,
        });
    }
}

/// Which chorus is shown, if there are several.
fn chorus_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let now = session.document().choruses;
    if now.count < 2 {
        return;
    }
    let mut sheet = session.document().sheet;
    ui.horizontal(|ui| {
        ui.label("Chorus to show")
            .on_hover_text("On the pages, in text and in notation");
        let (shown, last) = (u16::from(now.on_sheet), u16::from(now.count));
        let chosen = controls::number(ui, "Number of the chorus", shown, 1..=last, "");
        if let Some(number) = chosen {
            let on_sheet = u8::try_from(number).unwrap_or(1);
            actions.edit(Edit::SetChoruses(Choruses { on_sheet, ..now }));
        }
    });
    let words = "All choruses, one after another";
    if ui.checkbox(&mut sheet.all_choruses, words).changed() {
        actions.edit(Edit::SetSheet(sheet));
    }
}

/// Words, what to show, paper and zoom.
fn options_ui(ui: &mut Ui, session: &Session, state: &mut SheetState, actions: &mut Actions) {
    let n_pages = state.laid.as_ref().map_or(0, |laid| laid.pages.len());
    texts::texts_ui(ui, session, n_pages, actions);
    ui.separator();
    chorus_ui(ui, session, actions);
    set::set_ui(ui, &mut state.set, actions);
    dpi_ui(ui, session, actions);
    ui.separator();
    shown::shown_ui(ui, session.document(), actions);
    ui.separator();
    zoom::zoom_ui(ui, &mut state.zoom, state.shown_percent);
}

/// How fine pages are as pictures.
fn dpi_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    let now = session.picture_dpi();
    ui.horizontal(|ui| {
        ui.label("Pictures (.png)")
            .on_hover_text("Dots per inch: more are finer, and larger files");
        let words = |dpi: u16| format!("{dpi} dpi");
        controls::plain_choice(ui, "Resolution of pictures", &words(now), |ui| {
            for dpi in export::PICTURE_DPI {
                if ui.selectable_label(dpi == now, words(dpi)).clicked() {
                    actions.act(Action::SetPictureDpi(dpi));
                }
            }
        });
    });
}

/// Shows the area.
pub fn sheet_ui(ui: &mut Ui, session: &Session, state: &mut SheetState, actions: &mut Actions) {
    state.refresh(session);
    let p = theme::palette(ui.visuals());
    let side = Frame::new()
        .fill(p.sunk)
        .inner_margin(Margin::symmetric(12, 8));
    Panel::right("sheet texts")
        .default_size(256.0)
        .size_range(220.0..=360.0)
        .frame(side)
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("sheet options")
                .show(ui, |ui| {
                    // Room for the scroll bar, which floats over the options.
                    ui.set_max_width(ui.available_width() - 8.0);
                    options_ui(ui, session, state, actions);
                });
        });
    // A narrow window has room for the page alone.
    if ui.available_width() < THUMBNAIL + 24.0 + LEAST_PAGE {
        let ground = Frame::new().fill(p.pressed);
        CentralPanel::default()
            .frame(ground)
            .show(ui, |ui| pages_ui(ui, state, actions));
        return;
    }
    Panel::left("small pages")
        .exact_size(THUMBNAIL + 24.0)
        .resizable(false)
        .frame(side)
        .show(ui, |ui| small_pages_ui(ui, state));
    let ground = Frame::new().fill(p.pressed);
    CentralPanel::default()
        .frame(ground)
        .show(ui, |ui| pages_ui(ui, state, actions));
}

fn small_pages_ui(ui: &mut Ui, state: &mut SheetState) {
    let Some(laid) = &state.laid else {
        return;
    };
    let mut wanted = None;
    ScrollArea::vertical()
        .id_salt("small pages")
        .auto_shrink(false)
        .show(ui, |ui| {
            // The outline stands outside of the page.
            ui.add_space(1.0);
            for (i, page) in laid.pages.iter().enumerate() {
                let size = size_of(page, THUMBNAIL);
                let (_, rect) = ui.allocate_space(size);
                let named = Named::button(format!("go to page {}", i + 1));
                let id = Id::unique(("small page", i));
                let response = named::interact(ui, rect, id, Sense::click(), &named);
                if ui.is_rect_visible(rect) {
                    page::paint(ui.painter(), rect, page);
                    outline(ui, rect, response.hovered());
                }
                if response.clicked() {
                    wanted = Some(i);
                }
                controls::caption(ui, &format!("{}", i + 1));
            }
        });
    state.go_to = wanted.or(state.go_to);
}

fn pages_ui(ui: &mut Ui, state: &mut SheetState, actions: &mut Actions) {
    let Some(laid) = state.laid.as_ref().filter(|laid| !laid.pages.is_empty()) else {
        ui.centered_and_justified(|ui| ui.label("The sheet appears when the tune is arranged"));
        return;
    };
    let room = ui.available_size() - Vec2::splat(2.0 * GAP);
    let first = laid.pages.first();
    let width_of = |zoom: Zoom| first.map_or(room.x, |page| zoom.width(page, room));
    let width = width_of(state.zoom);
    state.shown_percent = 100.0 * width / width_of(Zoom::Width).max(1.0);
    let go_to = state.go_to.take();
    ScrollArea::both()
        .id_salt("pages")
        .auto_shrink(false)
        .show(ui, |ui| {
            ui.add_space(GAP);
            let whole = ui.available_width().max(width + 2.0 * GAP);
            for (i, page) in laid.pages.iter().enumerate() {
                let size = size_of(page, width);
                let (_, row) = ui.allocate_space(Vec2::new(whole, size.y + GAP));
                let left = row.left() + (whole - size.x) / 2.0;
                let rect = Rect::from_min_size(egui::pos2(left, row.top()), size);
                let words = format!("page {} of {}", i + 1, laid.pages.len());
                let id = Id::unique(("page", i));
                let named = Named::picture(words);
                let response = named::interact(ui, rect, id, Sense::click(), &named);
                let pointer = response
                    .hover_pos()
                    .filter(|_| !ui.input(|i| i.pointer.is_decidedly_dragging()));
                if let Some(found) = pointer.and_then(|at| found_at(laid, i, rect, at)) {
                    response
                        .clone()
                        .on_hover_cursor(egui::CursorIcon::PointingHand)
                        .on_hover_text_at_pointer("Go to this place in the grid");
                    if response.clicked() {
                        go_to_grid(found, actions);
                    }
                }
                if ui.is_rect_visible(rect) {
                    page::paint(ui.painter(), rect, page);
                    outline(ui, rect, false);
                }
                if go_to == Some(i) {
                    ui.scroll_to_rect(rect, Some(egui::Align::TOP));
                }
            }
        });
}

/// What a point of the screen means on a page that fills a rectangle.
fn found_at(laid: &Laid, page: usize, rect: Rect, at: Pos2) -> Option<(Place, Lane)> {
    let chorus = laid.choruses.get(page).copied().unwrap_or(1);
    let page = laid.pages.get(page)?;
    let scale = page.width / f64::from(rect.width().max(1.0));
    let from_corner = at - rect.min;
    let (x, y) = (f64::from(from_corner.x), f64::from(from_corner.y));
    pick::at(
        page,
        (x * scale, y * scale),
        &laid.document,
        laid.arrangement.chorus(chorus),
    )
}

/// Shows the grid with a place selected.
fn go_to_grid((place, lane): (Place, Lane), actions: &mut Actions) {
    actions.act(Action::ShowArea(Area::Arrange));
    actions.act(Action::Select(Selection {
        place,
        lane,
        to_bar: None,
    }));
    actions.window(Command::RevealSelection);
    actions.window(Command::FocusGrid);
}

fn size_of(page: &Page, width: f32) -> Vec2 {
    let tall = page.height / page.width.max(1.0);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the shape of a page is near 1.4"
    )]
    Vec2::new(width, width * tall as f32)
}

fn outline(ui: &Ui, rect: Rect, strong: bool) {
    let p = theme::palette(ui.visuals());
    let stroke = if strong {
        Stroke::new(2.0, p.thumb_text)
    } else {
        Stroke::new(1.0, p.outline)
    };
    ui.painter()
        .rect_stroke(rect, 0, stroke, StrokeKind::Outside);
}
