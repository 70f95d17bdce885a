//! The one way to open a window in tests: the look installed, no sound card, no desktop dialogs,
//! a chart typed in and solved.

use egui_kittest::Harness;
use egui_kittest::kittest::NodeT as _;
use egui_kittest::kittest::Queryable as _;
use std::sync::Arc;
use thumbwalk::document::Document;
use thumbwalk::gui::App;
use thumbwalk::gui::install_look;
use thumbwalk::session::Action;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;

/// Eight bars in two sections; our own.
pub const CHART: &str = "Title: Mill walk\nKey: C\n[A]\nDm7 | G7 | Cmaj7 | A7\n[B]\n\
                         Dm7 | G13 | C6 | Em7 A7\n";

/// A window under test.
pub type Window = Harness<'static, App>;

/// A window of the usual size with an empty document.
pub fn empty() -> Window {
    sized(1400.0, 900.0, None)
}

/// A window of the usual size with the chart, solved.
pub fn open() -> Window {
    sized(1400.0, 900.0, Some(CHART))
}

/// A window of a size, with a chart or empty.
pub fn sized(width: f32, height: f32, chart: Option<&str>) -> Window {
    let mut session = silent();
    if let Some(chart) = chart {
        session.act(Action::OpenText(chart.into()));
        session.settle();
        assert!(session.document().n_bars() > 0, "{:?}", session.notices());
    }
    around(width, height, session)
}

/// A session without a sound card.
pub fn silent() -> Session {
    Session::with_sound(Arc::new(|| {}), SoundChoice::Silent)
}

/// A window of a size around a session.
pub fn around(width: f32, height: f32, session: Session) -> Window {
    let mut window = Harness::builder()
        .with_size(egui::vec2(width, height))
        .with_theme(egui::Theme::Light)
        .with_context_setup(install_look)
        .with_max_steps(16)
        .build_eframe(move |_| App::for_test(session));
    settle(&mut window);
    window
}

/// Lets the session answer and the window come to rest; looks for id clashes, which egui only
/// paints.
pub fn settle(window: &mut Window) {
    window.run();
    window.state_mut().session_mut().settle();
    window.run();
    let clash = window
        .output()
        .shapes
        .iter()
        .find_map(|clipped| match &clipped.shape {
            egui::Shape::Text(text) if text.galley.text().contains("use of") => {
                Some(text.galley.text().to_owned())
            }
            _ => None,
        });
    assert_eq!(clash, None, "two widgets share an id");
}

/// Clicks what has this name and lets the window settle.
pub fn click(window: &mut Window, name: &str) {
    window.get_by_label(name).click();
    settle(window);
}

/// Presses keys one after the other and lets the window settle after each.
pub fn press(window: &mut Window, keys: &[egui::Key]) {
    for key in keys {
        window.key_press(*key);
        settle(window);
    }
}

/// Presses keys so fast that all of them come in the same frame.
pub fn press_in_one_frame(window: &mut Window, keys: &[egui::Key]) {
    for key in keys {
        window.input_mut().events.push(egui::Event::Key {
            key: *key,
            physical_key: None,
            pressed: true,
            repeat: false,
            modifiers: egui::Modifiers::NONE,
        });
    }
    settle(window);
}

/// Presses a key with modifiers.
pub fn press_with(window: &mut Window, modifiers: egui::Modifiers, key: egui::Key) {
    window.key_press_modifiers(modifiers, key);
    settle(window);
}

/// Every name on the screen.
pub fn names(window: &Window) -> Vec<String> {
    let mut names = Vec::new();
    for node in window.root().children_recursive() {
        let node = node.accesskit_node();
        names.extend(node.label().or_else(|| node.value()));
    }
    names
}

/// The one name that begins like this.
#[track_caller]
pub fn name_starting(window: &Window, start: &str) -> String {
    let mut found: Vec<String> = names(window);
    found.retain(|name| name.starts_with(start));
    found.sort();
    found.dedup();
    assert_eq!(found.len(), 1, "names starting with {start:?}: {found:?}");
    found.remove(0)
}

/// The document behind the window.
pub fn document(window: &Window) -> Arc<Document> {
    Arc::clone(window.state().session().document())
}
