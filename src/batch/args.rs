//! What was typed, as close to the typing as possible. Only the words themselves are checked here:
//! no file is looked at, so everything in this folder can be tested with plain text. What the words
//! mean for a document is decided by the jobs.

use super::help::Topic;
use options::Options;
use std::ffi::OsString;
use std::path::PathBuf;
use words::Typed;
use words::Words;

mod command;
mod options;
mod wishes;
mod words;

pub use wishes::ArrangeWish;
pub use wishes::Changes;
pub use wishes::ChordWish;
pub use wishes::ChorusWish;
pub use wishes::CompareWish;
pub use wishes::DrillWish;
pub use wishes::ExportWish;
pub use wishes::FileWish;
pub use wishes::ImportWish;
pub use wishes::KeysWish;
pub use wishes::LadderWish;
pub use wishes::OtherSource;
pub use wishes::Source;
pub use wishes::VoicingsWish;
pub use words::Usage;

/// One command line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Command {
    /// No job: the window.
    Window(Option<PathBuf>),
    /// A help text.
    Help(Topic),
    /// The version.
    Version,
    /// What a chord symbol means.
    Chord(ChordWish),
    /// The voicings of a chord.
    Voicings(VoicingsWish),
    /// From a chart to a project.
    Arrange(ArrangeWish),
    /// From other programs' files.
    Import(ImportWish),
    /// To other formats.
    Export(ExportWish),
    /// Findings.
    Check(FileWish),
    /// Notes in time.
    Events(FileWish),
    /// How the tune lies in other keys.
    Keys(KeysWish),
    /// Lines to drill.
    Drill(DrillWish),
    /// Two versions side by side.
    Compare(CompareWish),
    /// The tune on rising rungs.
    Ladder(LadderWish),
    /// The solved problem.
    Trellis(FileWish),
}

/// Reads a command line without the program's name.
///
/// # Errors
/// If it makes no sense; the error says what was expected.
pub fn parse(args: impl IntoIterator<Item = OsString>) -> Result<Command, Usage> {
    let mut words = Words::of(args);
    match words.next()? {
        None => Ok(Command::Window(None)),
        Some(Typed::Long(option)) => match option.as_str() {
            "help" | "h" => Ok(Command::Help(Topic::Main)),
            "version" | "V" => Ok(Command::Version),
            _ => Err(words.unknown(&option)),
        },
        Some(Typed::Word(word)) => match word.to_str().and_then(Topic::from_word) {
            Some(topic) => {
                words.topic = topic;
                words.command()
            }
            None => words.window(&word),
        },
    }
}

impl Words {
    fn window(mut self, word: &OsString) -> Result<Command, Usage> {
        let bare = word.to_str().filter(|w| !w.contains(['.', '/', '\\']));
        if let Some(bare) = bare {
            let known: Vec<&str> = Topic::COMMANDS.iter().filter_map(|t| t.word()).collect();
            return Err(self.wrong(format!(
                "there is no command `{bare}`; there are: {} (to open a file of that name, write `./{bare}`)",
                known.join(", ")
            )));
        }
        match self.next()? {
            None => Ok(Command::Window(Some(word.into()))),
            Some(Typed::Long(option)) => Err(self.unknown(&option)),
            Some(Typed::Word(_)) => Err(self.wrong("only one file can be opened at a time")),
        }
    }

    fn command(mut self) -> Result<Command, Usage> {
        let mut typed = Options::default();
        while let Some(word) = self.next()? {
            match word {
                Typed::Long(option) if matches!(option.as_str(), "help" | "h") => {
                    return Ok(Command::Help(self.topic));
                }
                Typed::Long(option) => self.option(&option, &mut typed)?,
                Typed::Word(word) if typed.word.is_none() => typed.word = Some(word),
                Typed::Word(word) if self.topic == Topic::Compare && typed.second.is_none() => {
                    typed.second = Some(word);
                }
                Typed::Word(word) => {
                    let word = word.to_string_lossy();
                    return Err(self.wrong(format!("`{word}` is one word too many")));
                }
            }
        }
        self.finish(typed)
    }
}

#[cfg(test)]
mod tests;
