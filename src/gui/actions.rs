//! What a frame of drawing asks for: actions for the session, and commands that concern the
//! window only. A queue, so that no request of a frame is lost; carried out after drawing.

use super::grid::menu::On;
use super::shortcuts::Deed;
use crate::arrange::Place;
use crate::document::Edit;
use crate::session::Action;
use crate::theory::Ticks;
use egui::Pos2;
use std::path::PathBuf;

/// A page that takes the place of the work until it is closed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Page {
    /// Shortcuts, the marks of the grid, cautions.
    Help,
    /// Preferences.
    Preferences,
    /// The version, and what the program is made of.
    About,
}

/// Something that concerns the window, not the work.
#[derive(Clone, PartialEq, Debug)]
pub enum Command {
    /// Ask for a file to open.
    AskOpen,
    /// Ask where to save.
    AskSaveAs,
    /// Save, asking where if there is no file yet.
    Save,
    /// Ask where to export.
    AskExport,
    /// Ask for the name of a set of exports.
    AskExportSet,
    /// Ask where to write the ladder's booklet.
    AskBooklet,
    /// Open a climbed rung, asking first if there are changes.
    Rung(usize),
    /// Start a new chart, asking first if there are changes.
    New,
    /// Open a sample by its number, asking first if there are changes.
    Sample(usize),
    /// Open a file again, asking first if there are changes.
    Recent(PathBuf),
    /// Open typed text as a chart, asking first if there are changes.
    Typed(String),
    /// Restore unsaved work of an earlier run, by its number, asking first if there are changes.
    Restore(u64),
    /// Show a page in the place of the work, or close it.
    Page(Page),
    /// Close the page in the place of the work, if one is open.
    ClosePage,
    /// Open what the clipboard holds as a chart, asking first if there are changes.
    PasteChart,
    /// Light or dark.
    ToggleTheme,
    /// Show or close the left panel.
    ToggleLine,
    /// Show or close the comparison with another version.
    ToggleCompare,
    /// Ask for a file to compare with.
    AskCompare,
    /// Show or close the list of findings.
    ToggleFindings,
    /// Show the list of findings, scrolled to a place.
    ShowFindings(Place),
    /// Write the chord of a bar at a place.
    EditChord {
        /// Bar.
        bar: usize,
        /// Where in the bar.
        at: Ticks,
    },
    /// Give other programs the text of the bars that were copied.
    ShareClip,
    /// Carry out a command of the table.
    Do(Deed),
    /// Show the strip of commands, or close it.
    LookUp,
    /// Show the strip in which places are looked for, with a text if one is given.
    Find(Option<String>),
    /// Go to the next place found, or to the one before.
    FindStep(bool),
    /// Open the menu of something at a point of the window; `None` is that of what is selected.
    OpenMenu(Option<(On, Pos2)>),
    /// Name the section of the selected bar.
    NameSection,
    /// Put the keyboard into the grid.
    FocusGrid,
    /// Scroll the grid to the selection.
    RevealSelection,
    /// Close what is open on top.
    Escape,
}

/// What was asked in a frame.
#[derive(Debug, Default)]
pub struct Actions {
    /// For the session.
    pub session: Vec<Action>,
    /// For the window.
    pub window: Vec<Command>,
}

impl Actions {
    /// Asks the session.
    pub fn act(&mut self, action: Action) {
        self.session.push(action);
    }

    /// Asks for a change of the document, as a step of its own: every control here makes one
    /// edit per gesture.
    pub fn edit(&mut self, edit: Edit) {
        self.session.push(Action::Edit(edit));
        self.session.push(Action::EndStep);
    }

    /// Asks the window.
    pub fn window(&mut self, command: Command) {
        self.window.push(command);
    }
}
