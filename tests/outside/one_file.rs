//! One damaged file from standard input, for a fuzzer that watches which code a file reaches: its
//! first byte says what it is meant to be, the rest is the file. A panic is a find. By hand:
//! `cargo install cargo-afl && cargo afl config --build`, then
//! `cargo afl build --release --example one_file`,
//! `target/release/examples/one_file --corpus FOLDER` for well-formed files to begin with, and
//! `cargo afl fuzz -i FOLDER -o ANOTHER target/release/examples/one_file`.

#[path = "../damaged_files/mod.rs"]
mod damaged_files;

use damaged_files::Kind;
use std::io::Read as _;
use std::path::Path;

const KINDS: [(u8, Kind); 4] = [
    (b'C', Kind::Chart),
    (b'P', Kind::Project),
    (b'S', Kind::Score),
    (b'Y', Kind::Symbols),
];

/// Writes the files that are damaged elsewhere, each with its first byte.
fn write_corpus(folder: &Path) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    for (idx, file) in damaged_files::corpus().iter().enumerate() {
        if let Some((letter, _)) = KINDS.iter().find(|(_, kind)| *kind == file.kind) {
            let bytes = [&[*letter], file.whole()].concat();
            std::fs::write(folder.join(format!("{idx}")), bytes)?;
        }
    }
    Ok(())
}

fn main() {
    let mut args = std::env::args_os().skip(1);
    if args.next().is_some_and(|word| word == "--corpus") {
        let folder = args.next().unwrap_or_else(|| "corpus".into());
        if write_corpus(Path::new(&folder)).is_err() {
            std::process::exit(2);
        }
        return;
    }
    let mut bytes = Vec::new();
    if std::io::stdin().read_to_end(&mut bytes).is_err() {
        std::process::exit(2);
    }
    let Some((letter, file)) = bytes.split_first() else {
        return;
    };
    if let Some((_, kind)) = KINDS.iter().find(|(of, _)| of == letter) {
        damaged_files::try_one(*kind, file);
    }
}
