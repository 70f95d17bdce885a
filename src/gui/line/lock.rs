//! The row that locks and unlocks: two menus with every extent from the selected cell to the whole
//! tune, each item saying what it would lock. The key `l` does the smallest one that is selected.

use crate::gui::actions::Actions;
use crate::gui::shortcuts;
use crate::gui::shortcuts::Deed;
use crate::session::Action;
use crate::session::Extent;
use crate::session::Session;
use egui::Button;
use egui::Popup;
use egui::Ui;
use egui::Vec2;

/// Shows the two menus.
pub fn lock_ui(ui: &mut Ui, session: &Session, actions: &mut Actions) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let hint = "Keep what the tool has; every rewrite leaves it as it is";
        menu_ui(ui, session, ("Lock", hint), actions, Action::Lock);
        let hint = "Leave what is decided to the tool again";
        menu_ui(ui, session, ("Unlock", hint), actions, Action::Unlock);
    });
}

fn menu_ui(
    ui: &mut Ui,
    session: &Session,
    (verb, hint): (&str, &str),
    actions: &mut Actions,
    action: impl Fn(Extent) -> Action,
) {
    let (document, selection) = (session.document(), session.selection());
    let button = ui.add(Button::new(verb).min_size(Vec2::new(72.0, 28.0)));
    let button = button.on_hover_text(hint);
    Popup::menu(&button)
        .accessible_name(format!("{verb} menu"))
        .show(|ui| {
            ui.set_min_width(180.0);
            let by_key = Extent::of_selection(selection);
            for extent in Extent::ALL {
                let words = format!("{verb} {}", extent.words(document, selection));
                let mut item = Button::new(&words).frame_when_inactive(false);
                if extent == by_key {
                    item = item.shortcut_text(shortcuts::key_of(Deed::Lock, ui.ctx()));
                }
                if ui.add(item).accessible_name(words).clicked() {
                    actions.act(action(extent));
                }
            }
        });
}
