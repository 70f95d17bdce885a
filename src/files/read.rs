//! Reads files of unknown origin: limits their size before they are in memory, takes UTF-8 with
//! or without a byte-order mark, and makes all line ends equal. Says nothing about what the text
//! means; that is decided by those who asked for it.

use super::error::FileError;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// The most bytes of a file that is read: 32 MiB, far beyond any chart or project.
pub const MAX_FILE_BYTES: u64 = 32 * 1024 * 1024;

/// The bytes of a file, at most [`MAX_FILE_BYTES`].
///
/// # Errors
/// If the system refuses or the file is larger.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, FileError> {
    read_bytes_up_to(path, MAX_FILE_BYTES)
}

fn read_bytes_up_to(path: &Path, limit: u64) -> Result<Vec<u8>, FileError> {
    let refused = |error: std::io::Error| FileError::from_system("open the file", &error, path);
    let file = File::open(path).map_err(refused)?;
    if file.metadata().map_err(refused)?.is_dir() {
        return Err(refused(std::io::ErrorKind::IsADirectory.into()));
    }
    bytes_up_to(file, limit, "open the file", path)
}

/// The bytes of a stream, at most [`MAX_FILE_BYTES`]; `path` is only for the message.
///
/// # Errors
/// If the system refuses or there are more bytes.
pub fn stream_bytes(stream: impl Read, path: &Path) -> Result<Vec<u8>, FileError> {
    bytes_up_to(stream, MAX_FILE_BYTES, "read", path)
}

fn bytes_up_to(
    stream: impl Read,
    limit: u64,
    doing: &'static str,
    path: &Path,
) -> Result<Vec<u8>, FileError> {
    let mut bytes = Vec::new();
    // One byte more than allowed, so that a file that grows meanwhile or a pipe is caught too.
    stream
        .take(limit + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| FileError::from_system(doing, &error, path))?;
    if u64::try_from(bytes.len()).unwrap_or(u64::MAX) > limit {
        return Err(FileError::TooLarge {
            limit,
            path: path.into(),
        });
    }
    Ok(bytes)
}

/// The text of a file: UTF-8, without a byte-order mark, lines ended by `\n`.
///
/// # Errors
/// If the system refuses, the file is too large, or it is not UTF-8.
pub fn read_text(path: &Path) -> Result<String, FileError> {
    text_from_bytes(read_bytes(path)?, path)
}

/// Bytes from anywhere as text, in the same way as [`read_text`]; `path` is only for the message.
///
/// # Errors
/// If the bytes are not UTF-8.
pub fn text_from_bytes(bytes: Vec<u8>, path: &Path) -> Result<String, FileError> {
    let text = String::from_utf8(bytes).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let before = error.as_bytes().get(..good).unwrap_or_default();
        FileError::NotText {
            line: before.split(|byte| *byte == b'\n').count(),
            path: path.into(),
        }
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    Ok(text.replace("\r\n", "\n").replace('\r', "\n"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(bytes: &[u8], expected: &str) {
        let text = text_from_bytes(bytes.into(), Path::new("a.txt")).expect("text");
        assert_eq!(text, expected);
    }

    #[test]
    fn marks_and_line_ends_of_every_system_are_taken() {
        check(b"a\r\nb\r\n", "a\nb\n");
        check(b"a\rb", "a\nb");
        check(b"\xEF\xBB\xBFKey: Bb\n", "Key: Bb\n");
        check("Ti♭".as_bytes(), "Ti♭");
        check(b"", "");
    }

    #[test]
    fn bytes_that_are_no_text_are_refused_with_the_line() {
        let error = text_from_bytes(b"one\ntwo \xFF".into(), Path::new("a.txt"));
        assert!(matches!(error, Err(FileError::NotText { line: 2, .. })));
    }

    #[test]
    fn a_file_beyond_the_limit_is_refused() {
        let folder = tempfile::tempdir().expect("folder");
        let path = folder.path().join("long");
        std::fs::write(&path, [0; 11]).expect("written");
        assert!(read_bytes_up_to(&path, 11).is_ok());
        assert!(matches!(
            read_bytes_up_to(&path, 10),
            Err(FileError::TooLarge { limit: 10, .. })
        ));
    }

    #[test]
    fn a_missing_file_and_a_folder_are_named_in_words() {
        let folder = tempfile::tempdir().expect("folder");
        let message = |path: &Path| read_text(path).expect_err("refused").to_string();
        let missing = message(&folder.path().join("none.ron"));
        assert!(missing.starts_with("cannot open the file: there is no such file"));
        assert!(missing.ends_with("none.ron"));
        assert!(message(folder.path()).contains("this is a folder"));
    }
}
