//! The one way to make a painted area react: it demands a role and a name, so that a screen
//! reader (and a test) can find everything that can be clicked. Never paints.

use egui::Id;
use egui::Rect;
use egui::Response;
use egui::Role;
use egui::Sense;
use egui::Ui;
use egui::WidgetInfo;

/// What a painted area is for a screen reader.
#[derive(Clone, Debug)]
pub struct Named {
    /// Its role.
    pub role: Role,
    /// Its name, a short phrase in lower case.
    pub name: String,
    /// Whether it is on, if it can be on or off.
    pub selected: Option<bool>,
}

impl Named {
    /// Something to press.
    #[must_use]
    pub fn button(name: impl Into<String>) -> Self {
        Self {
            role: Role::Button,
            name: name.into(),
            selected: None,
        }
    }

    /// Something that is on or off.
    #[must_use]
    pub fn toggle(name: impl Into<String>, on: bool) -> Self {
        Self {
            role: Role::Button,
            name: name.into(),
            selected: Some(on),
        }
    }

    /// A cell of the grid.
    #[must_use]
    pub fn cell(name: impl Into<String>, selected: bool) -> Self {
        Self {
            role: Role::GridCell,
            name: name.into(),
            selected: Some(selected),
        }
    }

    /// A picture with a description.
    #[must_use]
    pub fn picture(name: impl Into<String>) -> Self {
        Self {
            role: Role::Image,
            name: name.into(),
            selected: None,
        }
    }
}

/// Lets an area react and tells assistive technology what it is.
pub fn interact(ui: &Ui, rect: Rect, id: Id, sense: Sense, named: &Named) -> Response {
    let response = ui.interact(rect, id, sense);
    let enabled = ui.is_enabled();
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(named.role, enabled, &named.name);
        info.selected = named.selected;
        info
    });
    response
}
