//! Where a job reads and writes: standard input, output and error, or buffers in a test. Results
//! and words never mix: what a script reads goes to `out`, what a person reads to `err`.

use super::Exit;
use super::Failure;
use serde::Serialize;
use std::io::Read;
use std::io::Write;

/// The three streams of a job.
pub struct Console<'a> {
    /// For a chart given as `-`.
    pub input: &'a mut dyn Read,
    /// For results.
    pub out: &'a mut dyn Write,
    /// For words.
    pub err: &'a mut dyn Write,
}

impl Console<'_> {
    /// Writes a result.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn print(&mut self, text: &str) -> Result<Exit, Failure> {
        self.out.write_all(text.as_bytes())?;
        self.out.flush()?;
        Ok(Exit::Fine)
    }

    /// Writes a result as one line of JSON.
    ///
    /// # Errors
    /// If it cannot be written.
    pub fn print_json(&mut self, value: &impl Serialize) -> Result<Exit, Failure> {
        serde_json::to_writer(&mut self.out, value)?;
        self.print("\n")
    }

    /// Writes words for a person.
    pub fn say(&mut self, words: &str) {
        // When nobody can be told, there is nobody to tell that either.
        drop(writeln!(self.err, "{words}"));
    }
}
