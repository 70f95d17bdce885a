//! What must hold for every damaged file, whatever its kind: it is read or refused in words, and what
//! is read is sound and can be kept.

use super::Kind;
use super::originals::CHART;
use std::ffi::OsString;
use std::path::Path;
use thumbwalk::batch;
use thumbwalk::batch::Console;
use thumbwalk::batch::Exit;
use thumbwalk::batch::Outcome;
use thumbwalk::document::Document;
use thumbwalk::document::tune;
use thumbwalk::export::chart_text;
use thumbwalk::files;
use thumbwalk::import::Choice;
use thumbwalk::session::Preferences;
use thumbwalk::session::open;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::HouseStyle;

/// Reads one file; whether it could be read. Panics if what was read is not sound, or if a refusal
/// has no words.
pub fn try_one(kind: Kind, bytes: &[u8]) -> bool {
    match kind {
        Kind::Chart => try_document("damaged.txt", kind, bytes),
        Kind::Project => try_document("damaged.ron", kind, bytes),
        Kind::Score => try_document("damaged.musicxml", kind, bytes),
        Kind::Symbols => try_symbols(bytes),
        Kind::Preferences => try_preferences(bytes),
        Kind::Words => try_words(bytes),
    }
}

fn in_words(message: &str) {
    assert!(message.len() > 10, "a refusal in words: {message:?}");
}

fn try_document(name: &str, kind: Kind, bytes: &[u8]) -> bool {
    match open::open_bytes(bytes.to_vec(), Path::new(name), Choice::default()) {
        Ok(opened) => {
            sound(&opened.document, kind);
            true
        }
        Err(message) => {
            in_words(&message);
            false
        }
    }
}

/// A symbol that is read is printed in both styles, and each print means the same chord.
fn try_symbols(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    let mut all = true;
    for symbol in text.split_whitespace() {
        match Harmony::parse(symbol) {
            Ok(harmony) => {
                for style in [HouseStyle::Letters, HouseStyle::Signs] {
                    let printed = harmony.printed(style);
                    let again = Harmony::parse(&printed);
                    let same = again.as_ref().is_ok_and(|a| a.chord() == harmony.chord());
                    assert!(same, "{symbol:?} is printed as {printed:?}: {again:?}");
                }
            }
            Err(error) => {
                in_words(&error.to_string());
                all = false;
            }
        }
    }
    all
}

/// Preferences that are read can be kept; broken ones are set aside.
fn try_preferences(bytes: &[u8]) -> bool {
    let folder = Path::new("preferences");
    let _ = std::fs::remove_dir_all(folder);
    std::fs::create_dir(folder).expect("a folder of our own");
    std::fs::write(folder.join(files::settings::FILE_NAME), bytes).expect("a file in it");
    let (read, told) = Preferences::load(Some(folder));
    if let Some(told) = &told {
        in_words(told);
    }
    assert!(read.new_document().bars().count() <= 1);
    read.save(folder).expect("they can be kept");
    let (again, silent) = Preferences::load(Some(folder));
    assert_eq!((&again, silent), (&read, None));
    told.is_none()
}

/// A command line does its job or says in words what is wrong with it.
fn try_words(bytes: &[u8]) -> bool {
    let words = bytes.split(|&b| b == b'\n').map(word);
    let words: Vec<OsString> = words.collect();
    // A path that leads out of the folder in which the program runs could hit anything; these two
    // commands write nothing, and chords have slashes.
    let writes = words
        .first()
        .is_none_or(|word| word != "chord" && word != "voicings");
    let outside = |word: &OsString| word.to_string_lossy().contains(['/', '\\']);
    if writes && words.iter().any(outside) {
        return false;
    }
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let outcome = batch::run(
        words,
        &mut Console {
            input: &mut CHART.as_bytes(),
            out: &mut out,
            err: &mut err,
        },
    );
    match outcome {
        Outcome::Done(Exit::Fine | Exit::Findings) => true,
        Outcome::Done(_) => {
            in_words(&String::from_utf8_lossy(&err));
            false
        }
        Outcome::OpenWindow(_) => true,
    }
}

#[cfg(unix)]
fn word(bytes: &[u8]) -> OsString {
    std::os::unix::ffi::OsStringExt::from_vec(bytes.to_vec())
}

#[cfg(not(unix))]
fn word(bytes: &[u8]) -> OsString {
    String::from_utf8_lossy(bytes).into_owned().into()
}

/// What holds for every document, wherever it came from.
fn sound(document: &Document, kind: Kind) {
    for (number, bar) in document.bars().enumerate() {
        let length = document.bar_length(number);
        assert!(length.0 > 0, "bar {number}");
        assert_eq!(
            tune::fault(&bar.tune, length),
            None,
            "bar {number}: {:?}",
            bar.tune
        );
        assert!(
            bar.chords.iter().all(|chord| chord.at < length),
            "bar {number}"
        );
    }
    let chart = chart_text::write(document);
    if kind == Kind::Score {
        // Whatever another program wrote can be kept, as a project and as a chart.
        let (again, _) =
            thumbwalk::import::chart::read(&chart).unwrap_or_else(|e| panic!("{e}\n{chart}"));
        let tune = |document: &Document| -> Vec<_> {
            document.bars().map(|bar| bar.tune.clone()).collect()
        };
        assert_eq!(tune(&again), tune(document), "{chart}");
        let project = files::text_from_document(document);
        let (again, notices) = files::project_from_text(&project).expect("our own project");
        assert_eq!((&again, notices), (document, Vec::new()));
    }
}
