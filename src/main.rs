//! The program: reads the command line, opens the window if no job was asked for, and sets the
//! exit code. Holds no logic of its own.

use std::io::BufWriter;
use std::io::stderr;
use std::io::stdin;
use std::io::stdout;
use std::path::Path;
use std::process::ExitCode;
use thumbwalk::batch;
use thumbwalk::batch::Console;
use thumbwalk::batch::Exit;
use thumbwalk::batch::Outcome;

fn main() -> ExitCode {
    // Opening the window comes after the streams are free again.
    let outcome = batch::run(
        std::env::args_os().skip(1),
        &mut Console {
            input: &mut stdin(),
            out: &mut BufWriter::new(stdout().lock()),
            err: &mut stderr().lock(),
        },
    );
    let exit = match outcome {
        Outcome::Done(exit) => exit,
        Outcome::OpenWindow(path) => open_window(path.as_deref()),
    };
    ExitCode::from(exit.code())
}

fn say(words: &str) {
    let (mut input, mut out, mut err) = (stdin(), stdout(), stderr());
    let mut console = Console {
        input: &mut input,
        out: &mut out,
        err: &mut err,
    };
    console.say(&format!("thumbwalk: {words}"));
}

fn open_window(_path: Option<&Path>) -> Exit {
    say("this program was built without its window; see `thumbwalk --help` for what it can do");
    Exit::WrongUsage
}
