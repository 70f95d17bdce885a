//! Small files of every kind that is read, ways to damage them, and what must hold for each damaged
//! one. Used by a short test and by the long run by hand. Some of them are files and command lines
//! that write: run them in a folder of their own (`in_a_folder_of_its_own`).

#![allow(
    dead_code,
    reason = "shared by two programs, each of which uses a part"
)]

mod checks;
mod originals;

pub use checks::try_one;
use originals::CHART;
use originals::COMMANDS;
use originals::MIDI;
use originals::SCORE;
use originals::SYMBOLS;
use std::path::Path;
use thumbwalk::export::mxl;
use thumbwalk::files;
use thumbwalk::session::Preferences;
use thumbwalk::session::open;

/// What a file is meant to be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// A chart as text.
    Chart,
    /// A project file.
    Project,
    /// A score of another program.
    Score,
    /// Chord symbols.
    Symbols,
    /// The program's preferences.
    Preferences,
    /// A command line, a word a line.
    Words,
}

/// A file that is well-formed.
pub struct Original {
    /// For messages.
    pub name: &'static str,
    /// What it is meant to be.
    pub kind: Kind,
    bytes: Vec<u8>,
}

impl Original {
    /// The file as it is before anything happens to it.
    pub fn whole(&self) -> &[u8] {
        &self.bytes
    }
}

/// Does something in a folder that is gone afterwards, as if the program had been started there.
/// The folder is the whole process's.
pub fn in_a_folder_of_its_own<R>(job: impl FnOnce() -> R) -> R {
    let before = std::env::current_dir().expect("a folder");
    let folder = tempfile::tempdir().expect("a folder of our own");
    std::env::set_current_dir(folder.path()).expect("into it");
    let result = job();
    std::env::set_current_dir(before).expect("back");
    result
}

/// The usual preferences with something in every list.
fn preferences() -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a folder of our own");
    let mut preferences = Preferences::default();
    preferences.remember(Path::new("a.ron"));
    preferences.save(folder.path()).expect("written");
    std::fs::read(folder.path().join(files::settings::FILE_NAME)).expect("read")
}

/// One file of every kind.
pub fn corpus() -> Vec<Original> {
    let project = open::open_text(CHART, Path::new("a.txt")).expect("a chart");
    let project = files::text_from_document(&project.document);
    let wide = SCORE.encode_utf16().flat_map(u16::to_le_bytes);
    let wide: Vec<u8> = [0xFF, 0xFE].into_iter().chain(wide).collect();
    let mut all = vec![
        ("chart text", Kind::Chart, CHART.as_bytes().to_vec()),
        ("MusicXML", Kind::Score, SCORE.as_bytes().to_vec()),
        ("MusicXML in UTF-16", Kind::Score, wide),
        ("compressed MusicXML", Kind::Score, mxl::pack(SCORE)),
        ("MIDI", Kind::Score, MIDI.to_vec()),
        ("project", Kind::Project, project.into_bytes()),
        ("chord symbols", Kind::Symbols, SYMBOLS.as_bytes().to_vec()),
        ("preferences", Kind::Preferences, preferences()),
    ];
    let commands = COMMANDS.iter();
    all.extend(commands.map(|(name, words)| (*name, Kind::Words, words.as_bytes().to_vec())));
    let all = all.into_iter();
    all.map(|(name, kind, bytes)| Original { name, kind, bytes })
        .collect()
}

/// SplitMix64: Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        let z = z ^ (z >> 31);
        (z % u64::try_from(n.max(1)).expect("small")) as usize
    }
}

/// Longest damaged file.
const MAX_BYTES: usize = 64 * 1024;

/// A file of the corpus, damaged in up to eight places.
pub fn mutated(corpus: &[Original], idx: usize, seed: u64) -> Vec<u8> {
    let mut dice = Dice(seed.wrapping_mul(0x1_0000_01B3).wrapping_add(idx as u64));
    let mut bytes = corpus[idx].bytes.clone();
    for _ in 0..=dice.below(8) {
        let at = dice.below(bytes.len().max(1));
        let end = (at + 1 + dice.below(24)).min(bytes.len());
        match dice.below(9) {
            0 if at < bytes.len() => bytes[at] ^= 1 << dice.below(8),
            1 if at < bytes.len() => bytes[at] = dice.below(256) as u8,
            2 => bytes.insert(at.min(bytes.len()), dice.below(256) as u8),
            3 if at < end => drop(bytes.drain(at..end)),
            4 if at < end => {
                // Something of the file once more, elsewhere, perhaps many times.
                let piece = bytes[at..end].to_vec();
                let to = dice.below(bytes.len());
                let times = [1, 1, 2, 40][dice.below(4)];
                bytes.splice(to..to, piece.repeat(times));
            }
            5 => bytes.truncate(at),
            6 => {
                // Digits become other numbers, some of them out of all proportion.
                let is_digit = |b: &u8| b.is_ascii_digit();
                let from = bytes.iter().skip(at).position(is_digit).map(|i| i + at);
                let words: [&[u8]; 8] = [
                    b"0",
                    b"-1",
                    b"7",
                    b"99",
                    b"65536",
                    b"4294967296",
                    b"1e9",
                    b"0.001",
                ];
                if let Some(from) = from {
                    bytes.splice(from..=from, words[dice.below(8)].iter().copied());
                }
            }
            7 => {
                let other = &corpus[dice.below(corpus.len())].bytes;
                let from = dice.below(other.len());
                let until = (from + 1 + dice.below(60)).min(other.len());
                bytes.splice(
                    at.min(bytes.len())..at.min(bytes.len()),
                    other[from..until].iter().copied(),
                );
            }
            _ if at < bytes.len() => {
                bytes[at] = [0, 0xFF, 0x7F, 0x80, b'<', b'|', b'(', b'"'][dice.below(8)]
            }
            _ => {}
        }
        bytes.truncate(MAX_BYTES);
    }
    bytes
}
