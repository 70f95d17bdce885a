//! The command line: the same jobs as in the window, for scripts and for people without a
//! display. Works in two stages: `args` says what was typed, then each job does it. Results go
//! to standard output, words to standard error; never opens a window itself.

mod args;
mod arrange;
mod check;
mod chord;
mod compare;
mod console;
mod drill;
mod effort;
mod events;
mod exit;
mod export;
mod help;
mod import;
mod input;
mod keys;
mod ladder;
mod solved;
mod table;
mod trellis;
mod voicings;

pub use console::Console;
pub use exit::Exit;

use args::Command;
use std::ffi::OsString;
use std::path::PathBuf;

/// What is left to do after the command line has been read and carried out.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Outcome {
    /// Nothing; the program ends like this.
    Done(Exit),
    /// Open the window, on a file if one was named.
    OpenWindow(Option<PathBuf>),
}

/// Reads the command line (without the program's name) and does what it asks for, except opening
/// a window. A reader that has gone away (a broken pipe) is no fault.
pub fn run(args: impl IntoIterator<Item = OsString>, console: &mut Console<'_>) -> Outcome {
    let command = match args::parse(args) {
        Ok(command) => command,
        Err(usage) => {
            console.say(&format!("thumbwalk: {usage}"));
            return Outcome::Done(Exit::WrongUsage);
        }
    };
    if let Command::Window(path) = command {
        return Outcome::OpenWindow(path);
    }
    Outcome::Done(match carry_out(&command, console) {
        Ok(exit) => exit,
        Err(Failure::Refused(reason)) => {
            console.say(&format!("thumbwalk: {reason}"));
            Exit::Refused
        }
        Err(Failure::Output(error)) if error.kind() == std::io::ErrorKind::BrokenPipe => Exit::Fine,
        Err(Failure::Output(error)) => {
            console.say(&format!("thumbwalk: cannot write the result: {error}"));
            Exit::Refused
        }
    })
}

fn carry_out(command: &Command, console: &mut Console<'_>) -> Result<Exit, Failure> {
    match command {
        // The caller opens windows.
        Command::Window(_) => Ok(Exit::Fine),
        Command::Help(topic) => console.print(help::text(*topic)),
        Command::Version => console.print(concat!("thumbwalk ", env!("CARGO_PKG_VERSION"), "\n")),
        Command::Chord(wish) => chord::run(wish, console),
        Command::Voicings(wish) => voicings::run(wish, console),
        Command::Arrange(wish) => arrange::run(wish, console),
        Command::Import(wish) => import::run(wish, console),
        Command::Export(wish) => export::run(wish, console),
        Command::Check(wish) => check::run(wish, console),
        Command::Events(wish) => events::run(wish, console),
        Command::Keys(wish) => keys::run(wish, console),
        Command::Drill(wish) => drill::run(wish, console),
        Command::Compare(wish) => compare::run(wish, console),
        Command::Ladder(wish) => ladder::run(wish, console),
        Command::Trellis(wish) => trellis::run(wish, console),
    }
}

/// Why a job could not be done.
#[derive(Debug)]
pub enum Failure {
    /// The input was refused; why and what to do.
    Refused(String),
    /// The result could not be written to standard output.
    Output(std::io::Error),
}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Self {
        Self::Output(error)
    }
}

impl From<serde_json::Error> for Failure {
    fn from(error: serde_json::Error) -> Self {
        Self::Output(error.into())
    }
}
