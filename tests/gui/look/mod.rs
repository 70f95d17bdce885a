//! How the window looks in every state, at every size and scale it must be usable at: nothing cut
//! off, nothing on something else. With `THUMBWALK_PICTURES=FOLDER` the pictures are kept to be
//! looked at; `THUMBWALK_STATES=grid,sheet` takes only states that begin so, and
//! `THUMBWALK_LOOK=dark-high` the dark theme with high contrast.

mod contrast;
mod faults;
mod picture;
mod states;

use crate::harness;
use crate::harness::Window;
use states::State;
use states::Tune;
use std::panic::catch_unwind;
use std::path::Path;
use std::path::PathBuf;
use thumbwalk::gui::App;
use thumbwalk::gui::install_look;
use thumbwalk::session::Action;
use thumbwalk::session::Theme;

/// Points of the screen, and how many of them one point of the window has.
type Size = ([f32; 2], f32);

/// A window in a state, and its letters.
fn show(
    state: &State,
    ([width, height], scale): Size,
    (theme, high_contrast): (Theme, bool),
    folder: &Path,
) -> (Window, picture::Textures) {
    let mut session = harness::silent();
    match state.tune {
        Tune::None => {}
        Tune::Chart(chart) => session.act(Action::OpenText(chart.into())),
        Tune::Sample(name) => {
            let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-projects");
            session.act(Action::Open(path.join(name).with_extension("ron")));
        }
    }
    (state.before)(&mut session, folder);
    session.settle();
    let mut wanted = session.preferences().clone();
    (wanted.theme, wanted.high_contrast) = (theme, high_contrast);
    session.act(Action::SetPreferences(Box::new(wanted)));
    let textures = picture::Textures::default();
    let mut window = egui_kittest::Harness::builder()
        .with_size(egui::vec2(width / scale, height / scale))
        .with_pixels_per_point(scale)
        .with_theme(egui::Theme::Light)
        .with_context_setup(install_look)
        .with_max_steps(16)
        .renderer(textures.clone())
        .build_eframe(move |_| App::for_test(session));
    harness::settle(&mut window);
    (state.go)(&mut window);
    (window, textures)
}

/// The theme, and whether contrast is high.
fn wanted_look() -> (Theme, bool) {
    let look = std::env::var("THUMBWALK_LOOK").unwrap_or_default();
    let theme = if look.contains("dark") {
        Theme::Dark
    } else {
        Theme::Light
    };
    (theme, look.contains("high"))
}

/// The states that are asked for, or all. Asking for one that does not exist is a mistake in typing.
fn wanted_states() -> Vec<&'static State> {
    let wanted = std::env::var("THUMBWALK_STATES").unwrap_or_default();
    states_starting(&wanted)
}

fn states_starting(wanted: &str) -> Vec<&'static State> {
    let starts: Vec<&str> = wanted.split(',').map(str::trim).collect();
    for start in &starts {
        let mut names = states::STATES.iter().map(|state| state.name);
        let known = names.any(|name| name.starts_with(start));
        assert!(known, "no state begins with `{start}`");
    }
    let is_wanted = |state: &&State| starts.iter().any(|start| state.name.starts_with(start));
    states::STATES.iter().filter(is_wanted).collect()
}

#[test]
fn states_are_chosen_by_how_their_names_begin() {
    let names = |wanted: &str| -> Vec<&str> {
        states_starting(wanted)
            .iter()
            .map(|state| state.name)
            .collect()
    };
    assert_eq!(names("").len(), states::STATES.len());
    assert_eq!(names("find-, about"), ["find-nothing", "about"]);
    assert!(catch_unwind(|| names("about,grib")).is_err());
}

/// The faults of a state at a size; its picture goes to the folder, if there is one.
fn look_at(state: &State, size: Size, pictures: Option<&Path>) -> Vec<String> {
    let ([width, height], scale) = size;
    let here = format!("{}-{width}x{height}@{scale}", state.name);
    let folder = tempfile::tempdir().expect("a folder");
    let look = wanted_look();
    let (window, textures) = show(state, size, look, folder.path());
    if let Some(to) = pictures {
        let path = to.join(format!("{here}.png"));
        picture::write(
            &path,
            &picture::draw(&window.ctx, window.output(), &textures),
        );
    }
    let faults = faults::faults(&window);
    faults
        .into_iter()
        .map(|fault| format!("{here}: {fault}"))
        .collect()
}

#[track_caller]
fn nothing_is_cut_off_or_covered(size: Size) {
    let pictures = std::env::var_os("THUMBWALK_PICTURES").map(PathBuf::from);
    let mut found = Vec::new();
    for state in wanted_states() {
        let looked = catch_unwind(|| look_at(state, size, pictures.as_deref()));
        let failed = |_| vec![format!("{} at {size:?} can't be reached", state.name)];
        found.extend(looked.unwrap_or_else(failed));
    }
    let n = found.len();
    assert!(found.is_empty(), "{n} faults:\n{}", found.join("\n"));
}

/// Words that don't stand out enough from their ground, in each theme.
fn faint_words(state: &State) -> Vec<String> {
    let mut found = Vec::new();
    let folder = tempfile::tempdir().expect("a folder");
    let size = ([1400.0, 900.0], 1.0);
    let (mut window, textures) = show(state, size, (Theme::Light, false), folder.path());
    for (theme, high) in [
        (Theme::Light, false),
        (Theme::Dark, false),
        (Theme::Light, true),
        (Theme::Dark, true),
    ] {
        let session = window.state_mut().session_mut();
        let mut wanted = session.preferences().clone();
        (wanted.theme, wanted.high_contrast) = (theme, high);
        session.act(Action::SetPreferences(Box::new(wanted)));
        window.run_steps(2);
        // WCAG 2.2, success criteria 1.4.3 and 1.4.6.
        let least = if high { 7.0 } else { 4.5 };
        let faint = contrast::faint_words(&window, &textures, least);
        let contrast = if high { ", high contrast" } else { "" };
        let here = |words| format!("{} {theme:?}{contrast}: {words}", state.name);
        found.extend(faint.into_iter().map(here));
    }
    found
}

#[test]
fn words_stand_out_from_their_ground_in_every_theme() {
    let found: Vec<String> = wanted_states().into_iter().flat_map(faint_words).collect();
    let n = found.len();
    assert!(found.is_empty(), "{n} faults:\n{}", found.join("\n"));
}

#[test]
fn in_the_smallest_window_that_is_promised_everything_has_room() {
    nothing_is_cut_off_or_covered(([1100.0, 700.0], 1.0));
}

#[test]
fn in_the_smallest_window_with_twice_as_large_text_everything_has_room() {
    nothing_is_cut_off_or_covered(([1100.0, 700.0], 2.0));
}

#[test]
fn in_a_smaller_window_everything_has_room() {
    nothing_is_cut_off_or_covered(([900.0, 600.0], 1.0));
}

#[test]
fn in_a_usual_window_everything_has_room() {
    nothing_is_cut_off_or_covered(([1600.0, 1000.0], 1.0));
}

#[test]
fn in_a_usual_window_with_twice_as_large_text_everything_has_room() {
    nothing_is_cut_off_or_covered(([1600.0, 1000.0], 2.0));
}

#[test]
fn on_the_largest_screen_everything_has_room() {
    nothing_is_cut_off_or_covered(([3840.0, 2160.0], 1.0));
}

#[test]
fn on_the_largest_screen_with_twice_as_large_text_everything_has_room() {
    nothing_is_cut_off_or_covered(([3840.0, 2160.0], 2.0));
}
