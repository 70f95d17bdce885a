//! Throws millions of damaged files at every reader and counts what happens: each must be read or
//! refused in words, and what is read must be a document that can be saved and written as a chart.
//! By hand, in release: `cargo run --release --example mutations -- SECONDS [SEED [NAME]]`, where NAME
//! is one of the files, such as `MIDI`. A panic ends the run and names the seed of the file that caused
//! it; `tests/damaged.rs` runs a few in tests.

#[path = "../damaged_files/mod.rs"]
mod damaged_files;

use std::io::Write as _;
use std::time::Duration;
use std::time::Instant;

fn main() {
    let mut args = std::env::args().skip(1);
    let seconds = args.next().and_then(|a| a.parse().ok()).unwrap_or(60);
    let first: u64 = args.next().and_then(|a| a.parse().ok()).unwrap_or(1);
    let only = args.next();
    damaged_files::in_a_folder_of_its_own(|| run(seconds, first, only.as_deref()));
}

fn run(seconds: u64, first: u64, only: Option<&str>) {
    let corpus = damaged_files::corpus();
    let mut out = std::io::stdout();
    let wanted = |name: &str| only.is_none_or(|only| only == name);
    let n_wanted = corpus.iter().filter(|file| wanted(file.name)).count();
    let each = Duration::from_secs(seconds) / u32::try_from(n_wanted.max(1)).unwrap_or(1);
    let files = corpus.iter().enumerate();
    for (idx, original) in files.filter(|(_, file)| wanted(file.name)) {
        let begun = Instant::now();
        let (mut seed, mut read, mut refused) = (first, 0_u64, 0_u64);
        let (mut slowest, mut slowest_seed) = (Duration::ZERO, seed);
        while begun.elapsed() < each {
            let one = Instant::now();
            let bytes = damaged_files::mutated(&corpus, idx, seed);
            let outcome =
                std::panic::catch_unwind(|| damaged_files::try_one(original.kind, &bytes));
            match outcome {
                Ok(true) => read += 1,
                Ok(false) => refused += 1,
                Err(_) => {
                    let _ = writeln!(out, "{}: seed {seed} panics", original.name);
                    std::process::exit(1);
                }
            }
            if one.elapsed() > slowest {
                (slowest, slowest_seed) = (one.elapsed(), seed);
            }
            seed += 1;
        }
        let _ = writeln!(
            out,
            "{}: {} files, {read} read, {refused} refused; the slowest took {:.1} ms (seed {slowest_seed})",
            original.name,
            read + refused,
            slowest.as_secs_f64() * 1000.0
        );
    }
}
