//! How long a user waits for the window: from the beginning of the program until its first frame
//! stands on the screen, and until the sample opened with it is solved and shown. Needs a display;
//! `tests/tools/performance` gives it one. The program is the real one, with folders as the
//! environment names them.

#![allow(
    clippy::print_stdout,
    reason = "a bench program that prints its result"
)]

use std::path::PathBuf;
use std::time::Instant;
use thumbwalk::gui;
use thumbwalk::gui::App;

/// The program, and a clock beside it.
struct Timed {
    app: App,
    begun: Instant,
    n_frames: u32,
}

impl eframe::App for Timed {
    fn logic(&mut self, ctx: &egui::Context, frame: &mut eframe::Frame) {
        if ctx.current_pass_index() == 0 {
            let ms = self.begun.elapsed().as_secs_f64() * 1e3;
            // Whoever is asked for a second frame has put the first one on the screen.
            if self.n_frames == 1 {
                println!("start/first frame: {ms:.0} ms");
            }
            let session = self.app.session();
            if self.n_frames > 1 && !session.is_solving() && session.arrangement().is_some() {
                println!("start/sample solved and shown: {ms:.0} ms");
                ctx.send_viewport_cmd(egui::ViewportCommand::Close);
            }
            self.n_frames += 1;
            ctx.request_repaint();
        }
        self.app.logic(ctx, frame);
    }

    fn ui(&mut self, ui: &mut egui::Ui, frame: &mut eframe::Frame) {
        self.app.ui(ui, frame);
    }
}

fn main() {
    let begun = Instant::now();
    let on_a_screen = ["DISPLAY", "WAYLAND_DISPLAY"].iter();
    if on_a_screen.filter_map(std::env::var_os).next().is_none() {
        println!("start: no display, nothing measured");
        return;
    }
    let sample = PathBuf::from("sample-projects/ferry-queue-blues.ron");
    let create: eframe::AppCreator<'_> = Box::new(move |cc| {
        Ok(Box::new(Timed {
            app: App::new(cc, Some(sample)),
            begun,
            n_frames: 0,
        }))
    });
    if let Err(error) = eframe::run_native("Thumbwalk", gui::options(), create) {
        println!("start: the window could not be opened: {error}");
    }
}
