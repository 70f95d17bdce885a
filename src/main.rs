//! The program: reads the command line, opens the window if no job was asked for, and sets the
//! exit code. Holds no logic of its own.

use std::io::BufWriter;
use std::io::stderr;
use std::io::stdin;
use std::io::stdout;
use std::path::PathBuf;
use std::process::ExitCode;
use thumbwalk::batch;
use thumbwalk::batch::Console;
use thumbwalk::batch::Exit;
use thumbwalk::batch::Outcome;

fn main() -> ExitCode {
    let mut console = Console {
        input: &mut stdin(),
        out: &mut BufWriter::new(stdout()),
        err: &mut stderr(),
    };
    let exit = match batch::run(std::env::args_os().skip(1), &mut console) {
        Outcome::Done(exit) => exit,
        Outcome::OpenWindow(path) => open_window(path, &mut console),
    };
    ExitCode::from(exit.code())
}

#[cfg(feature = "gui")]
fn open_window(path: Option<PathBuf>, console: &mut Console<'_>) -> Exit {
    match thumbwalk::gui::run(path) {
        Ok(()) => Exit::Fine,
        Err(reason) => {
            // The system's own words come last; before them stand places in its source.
            let reason = reason.rsplit(": ").next().unwrap_or(&reason);
            let help = if has_display() {
                "Drawing it needs OpenGL: install the driver of the graphics card (Debian and Ubuntu: \
                 libgl1 libegl1 libgl1-mesa-dri)"
            } else {
                "Start the program from a desktop with a display"
            };
            console.say(&format!(
                "thumbwalk: the window cannot open: {}\n{help}. Without a window there is the command \
                 line; see `thumbwalk --help`",
                reason.trim_end_matches('.')
            ));
            Exit::Refused
        }
    }
}

/// Whether there is a display, as far as the environment tells.
#[cfg(feature = "gui")]
fn has_display() -> bool {
    let named = ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"];
    !cfg!(target_os = "linux") || named.iter().any(|name| std::env::var_os(name).is_some())
}

#[cfg(not(feature = "gui"))]
fn open_window(_path: Option<PathBuf>, console: &mut Console<'_>) -> Exit {
    console.say(
        "thumbwalk: this program was built without its window; \
         see `thumbwalk --help` for what it can do",
    );
    Exit::WrongUsage
}
