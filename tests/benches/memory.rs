//! How much memory a long tune takes: 1,000 bars solved with what every voicing would make of the
//! whole tune, then one bar changed and solved again beside the old tables, as in the window. Reads
//! the peak of its own resident memory where the system tells it (Linux). The aim is 200 MB.

#![allow(
    missing_docs,
    clippy::print_stdout,
    reason = "a bench program that prints its result"
)]

#[path = "tune/mod.rs"]
mod tune;

use std::sync::Arc;
use thumbwalk::arrange::Arranger;
use thumbwalk::theory::Harmony;

/// The most memory this process had so far, in MB; `None` where `/proc` does not tell.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}

fn tell(what: &str) {
    match peak_mb() {
        Some(mb) => println!("{what}: {mb:.0} MB at most so far"),
        None => println!("{what}: this system does not tell"),
    }
}

fn main() {
    tell("before");
    let mut problem = tune::problem(1000);
    let mut arranger = Arranger::default();
    let solved = arranger.solve(&problem, &mut |_| true);
    tell("1,000 bars solved");
    let options = arranger.options(&mut |_| true);
    tell("with every voicing's whole-tune effort");
    problem.bars[500].chords[0].chord = Harmony::parse("B7b9")
        .ok()
        .and_then(|h| h.chord().cloned().map(Arc::new));
    let again = arranger.solve(&problem, &mut |_| true);
    let options_again = arranger.options(&mut |_| true);
    tell("one bar changed, both again");
    assert!([solved.is_some(), again.is_some()].iter().all(|is| *is));
    assert!(options.is_some() && options_again.is_some());
}
