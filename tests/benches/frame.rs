//! How long the window's own code takes for one frame, layout of text and shapes included, drawing
//! on the screen not: 32, 500 and 2,000 bars at the beginning, in the middle and at the end, with
//! strips open [4 ms]. Aims are those of a release build; medians and the slowest of 100 frames.

#![allow(
    clippy::print_stdout,
    reason = "a bench program that prints its result"
)]

use egui::Context;
use egui::Event;
use egui::Key;
use egui::Modifiers;
use egui::RawInput;
use egui::Rect;
use egui::Vec2;
use egui::pos2;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use thumbwalk::gui::App;
use thumbwalk::gui::install_look;
use thumbwalk::session::Action;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;

/// Frames measured at a time.
const FRAMES: usize = 100;

/// A chart in sections of sixteen bars.
fn chart(n_bars: usize) -> String {
    let symbols = [
        "Dm7", "G13", "Cmaj7", "A7(b9)", "Fmaj7", "Bm7b5 E7", "Am7", "D7",
    ];
    let mut text = String::from("Title: Long walk\nKey: C\n");
    for bar in 0..n_bars {
        if bar.is_multiple_of(16) {
            text.push_str(&format!("[{}]\n", bar / 16 + 1));
        }
        let end = if bar % 4 == 3 { "\n" } else { "" };
        text.push_str(&format!("{} |{end}", symbols[bar % symbols.len()]));
        if bar % 16 == 15 && !text.ends_with('\n') {
            text.push('\n');
        }
    }
    text
}

/// A window without a screen.
struct Window {
    ctx: Context,
    app: App,
    frame: eframe::Frame,
    time_s: f64,
}

impl Window {
    fn open(n_bars: usize) -> Self {
        let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
        session.act(Action::OpenText(chart(n_bars)));
        session.settle();
        assert_eq!(session.document().n_bars(), n_bars);
        let ctx = Context::default();
        install_look(&ctx);
        let mut window = Self {
            ctx,
            app: App::for_test(session),
            frame: eframe::Frame::_new_kittest(),
            time_s: 0.0,
        };
        window.rest();
        window
    }

    /// One frame of 1400 by 900 points; how long it took.
    fn draw(&mut self, events: Vec<Event>) -> Duration {
        self.time_s += 0.1;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(
                pos2(0.0, 0.0),
                Vec2::new(1400.0, 900.0),
            )),
            time: Some(self.time_s),
            events,
            ..RawInput::default()
        };
        let start = Instant::now();
        let mut output = self.ctx.run_ui(input, |ui| {
            eframe::App::logic(&mut self.app, ui, &mut self.frame);
            eframe::App::ui(&mut self.app, ui, &mut self.frame);
        });
        let took = start.elapsed();
        assert!(!output.shapes.is_empty());
        output.textures_delta.clear();
        took
    }

    /// Lets what moves come to rest.
    fn rest(&mut self) {
        for _ in 0..40 {
            self.draw(Vec::new());
        }
        self.app.session_mut().settle();
        self.draw(Vec::new());
    }

    fn press(&mut self, modifiers: Modifiers, key: Key) {
        let event = |pressed| Event::Key {
            key,
            physical_key: None,
            pressed,
            repeat: false,
            modifiers,
        };
        self.draw(vec![event(true), event(false)]);
        self.rest();
    }

    fn measure(&mut self, what: &str) {
        let all = (0..FRAMES).map(|_| self.draw(Vec::new())).collect();
        tell(what, all);
    }

    /// Frames in which an arrow moves the selection, there and back.
    fn measure_steps(&mut self, what: &str) {
        let step = |idx: usize| Event::Key {
            key: if idx % 16 < 8 {
                Key::ArrowLeft
            } else {
                Key::ArrowRight
            },
            physical_key: None,
            pressed: true,
            repeat: false,
            modifiers: Modifiers::NONE,
        };
        let all = (0..FRAMES).map(|idx| self.draw(vec![step(idx)])).collect();
        tell(what, all);
    }
}

fn tell(what: &str, mut all: Vec<Duration>) {
    all.sort();
    let ms = |took: Duration| took.as_secs_f64() * 1e3;
    let (median, most) = (all[FRAMES / 2], all[FRAMES - 1]);
    println!("{what}: {:.2} ms, slowest {:.2} ms", ms(median), ms(most));
}

fn main() {
    for n_bars in [32, 500, 2000] {
        let mut window = Window::open(n_bars);
        window.measure(&format!("{n_bars} bars, at the beginning"));
        let mut selection = *window.app.session().selection();
        selection.place.bar = n_bars / 2;
        window.app.session_mut().act(Action::Select(selection));
        window.press(Modifiers::NONE, Key::ArrowRight);
        window.measure(&format!("{n_bars} bars, in the middle"));
        window.press(Modifiers::NONE, Key::End);
        window.measure(&format!("{n_bars} bars, at the end"));
        window.measure_steps(&format!("{n_bars} bars, a step by key"));
        window.press(Modifiers::SHIFT, Key::T);
        window.measure(&format!("{n_bars} bars, at the end, with the tune's lane"));
        window.press(Modifiers::COMMAND | Modifiers::SHIFT, Key::F);
        window.measure(&format!("{n_bars} bars, with a chord found everywhere"));
        window.press(Modifiers::NONE, Key::Escape);
        window.press(Modifiers::COMMAND, Key::Enter);
        window.measure(&format!("{n_bars} bars, with the strip of commands"));
        window.press(Modifiers::NONE, Key::Escape);
        window.ctx.enable_accesskit();
        window.rest();
        window.measure(&format!("{n_bars} bars, with a screen reader"));
    }
}
