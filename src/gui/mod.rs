//! Every egui line of the program: frame, grid, fretboard, comparison, transport, theme.
//! Draws from `&Session` and pushes actions; never changes a document, opens a file or starts a
//! thread.

pub mod actions;
pub mod app;
mod app_icon;
mod compare;
mod controls;
mod dialogs;
mod focus_ring;
mod frame;
mod fretboard;
mod grid;
mod icons;
mod line;
mod named;
mod possible;
mod practice;
mod preferences;
mod sheet;
pub mod shortcuts;
mod strike_mark;
pub mod theme;
mod tunings;
mod voicings;
mod words;

pub use app::App;
pub use theme::install_look;

use std::path::PathBuf;

/// How the window is opened: its name, icon and sizes, and what draws it.
#[must_use]
pub fn options() -> eframe::NativeOptions {
    let viewport = egui::ViewportBuilder::default()
        .with_title("Thumbwalk")
        .with_app_id("thumbwalk")
        .with_icon(app_icon::icon())
        .with_inner_size([1400.0, 900.0])
        .with_min_inner_size([550.0, 350.0]);
    eframe::NativeOptions {
        viewport,
        renderer: eframe::Renderer::Glow,
        system_font_fallback: false,
        ..eframe::NativeOptions::default()
    }
}

/// Opens the window, with a file if one is given, and stays until it is closed.
///
/// # Errors
/// If no window can be opened, with the reason.
pub fn run(path: Option<PathBuf>) -> Result<(), String> {
    let create: eframe::AppCreator<'_> = Box::new(move |cc| Ok(Box::new(App::new(cc, path))));
    eframe::run_native("Thumbwalk", options(), create)
        .map_err(|error| format!("the window could not be opened: {error}"))
}
