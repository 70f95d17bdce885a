//! The words of a command line one after the other: which are options, what stands behind an option,
//! and how it is told that one of them makes no sense.

use crate::batch::help::Topic;
use lexopt::Arg;
use lexopt::Parser;
use lexopt::ValueExt as _;
use std::ffi::OsString;
use std::fmt;

/// A command line that makes no sense, with the usage of the command it came nearest to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Usage {
    message: String,
    topic: Topic,
}

impl fmt::Display for Usage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let call = self
            .topic
            .word()
            .map_or_else(String::new, |word| format!(" {word}"));
        write!(
            f,
            "{}\n{}\nSee `thumbwalk{call} --help`",
            self.message,
            self.topic.usage()
        )
    }
}

/// One word, or an option.
pub enum Typed {
    /// An option without its hyphens.
    Long(String),
    /// Anything else.
    Word(OsString),
}

/// The words still to be read, and the command they belong to.
pub struct Words {
    parser: Parser,
    /// The command.
    pub topic: Topic,
}

impl Words {
    /// The words of a command line that has named no command yet.
    pub fn of(args: impl IntoIterator<Item = OsString>) -> Self {
        Self {
            parser: Parser::from_args(args),
            topic: Topic::Main,
        }
    }

    pub(super) fn wrong(&self, message: impl Into<String>) -> Usage {
        Usage {
            message: message.into(),
            topic: self.topic,
        }
    }

    pub(super) fn unknown(&self, option: &str) -> Usage {
        let hyphens = if option.chars().count() == 1 {
            "-"
        } else {
            "--"
        };
        self.wrong(format!("there is no option `{hyphens}{option}` here"))
    }

    pub(super) fn next(&mut self) -> Result<Option<Typed>, Usage> {
        let topic = self.topic;
        let wrong = |message: String| Usage { message, topic };
        match self.parser.next().map_err(|e| wrong(e.to_string()))? {
            None => Ok(None),
            Some(Arg::Long(option)) => Ok(Some(Typed::Long(option.into()))),
            Some(Arg::Short(letter)) => Ok(Some(Typed::Long(letter.into()))),
            Some(Arg::Value(word)) => Ok(Some(Typed::Word(word))),
        }
    }

    pub(super) fn value(&mut self, option: &str, expected: &str) -> Result<OsString, Usage> {
        let value = self.parser.value();
        value.map_err(|_| self.wrong(format!("`{option}` needs {expected}")))
    }

    pub(super) fn read<T>(
        &mut self,
        option: &str,
        expected: &str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Result<T, Usage> {
        let typed = self.value(option, expected)?;
        let text = typed.string().map_err(|e| self.wrong(e.to_string()))?;
        read(&text).ok_or_else(|| self.wrong(format!("`{option} {text}`: expected {expected}")))
    }
}
