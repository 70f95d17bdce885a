//! What a window at rest costs: no frame at all, and in a frame nothing for the bars that are out of
//! view. Counted in frames asked for and in what is shown, never in time.

use crate::harness::Window;
use crate::harness::click;
use crate::harness::empty;
use crate::harness::names;
use crate::harness::open;
use crate::harness::press;
use crate::harness::press_with;
use crate::harness::settle;
use crate::harness::sized;
use egui::Key;
use egui::Modifiers;
use egui::ViewportId;
use std::time::Duration;

const CTRL: Modifiers = Modifiers::COMMAND;

/// When the window asks to be drawn again by itself.
fn next_frame(window: &Window) -> Duration {
    let output = &window.output().viewport_output;
    output[&ViewportId::ROOT].repaint_delay
}

/// One more frame, which must ask for none.
fn rests(window: &mut Window, state: &str) {
    settle(window);
    window.step();
    assert_eq!(next_frame(window), Duration::MAX, "{state}");
}

#[test]
fn a_window_at_rest_asks_for_no_frame() {
    rests(&mut empty(), "start page");
    let mut window = open();
    rests(&mut window, "grid");
    press(&mut window, &[Key::ArrowRight, Key::Num5]);
    rests(&mut window, "after an edit");
    press(&mut window, &[Key::T]);
    rests(&mut window, "tune's lane");
    press_with(&mut window, Modifiers::NONE, Key::Menu);
    rests(&mut window, "menu");
    press(&mut window, &[Key::Escape]);
    for (key, state) in [(Key::Num2, "Practice"), (Key::Num3, "Sheet")] {
        press_with(&mut window, CTRL, key);
        rests(&mut window, state);
    }
    press(&mut window, &[Key::Questionmark]);
    rests(&mut window, "help page");
    press_with(&mut window, CTRL, Key::Comma);
    rests(&mut window, "preferences");
}

#[test]
fn a_field_with_the_keyboard_only_blinks() {
    let mut window = open();
    for (key, state) in [(Key::F, "find"), (Key::Enter, "commands")] {
        press_with(&mut window, CTRL, key);
        settle(&mut window);
        window.step();
        let next = next_frame(&window);
        assert!(next >= Duration::from_millis(100), "{state}: {next:?}");
        press(&mut window, &[Key::Escape]);
    }
    rests(&mut window, "left again");
}

#[test]
fn playing_asks_for_frames_and_stopping_for_none() {
    let mut window = open();
    window.key_press(Key::Space);
    window.run_steps(3);
    let next = next_frame(&window);
    assert!(next < Duration::from_millis(100), "{next:?}");
    window.key_press(Key::Space);
    window.run_steps(3);
    rests(&mut window, "stopped");
}

#[test]
fn bars_out_of_view_are_not_built() {
    let of = |n_lines: usize| {
        let lines = "Dm7 | G7 | Cmaj7 | A7\n".repeat(n_lines);
        let mut window = sized(1400.0, 900.0, Some(&format!("[A]\n{lines}")));
        let count = |window: &Window| {
            let is_bar = |name: &String| {
                let number = name.strip_prefix("bar ");
                number.is_some_and(|number| number.parse::<usize>().is_ok())
            };
            names(window).into_iter().filter(is_bar).count()
        };
        let first = count(&window);
        press(&mut window, &[Key::End]);
        click(&mut window, &format!("bar {}", n_lines * 4));
        (first, count(&window))
    };
    let (short, long) = (of(12), of(120));
    assert!(short.0 < 30, "{short:?}");
    assert_eq!(short, long);
}
