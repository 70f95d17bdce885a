//! What a long tune takes in memory: half of the longest tune that is measured is opened, two lines of
//! everything mixed are written, and the pages are laid out, as in the window but without one. It stands
//! alone in its file, so that the peak of the process is its own.

#![cfg(target_os = "linux")]

use std::sync::Arc;
use thumbwalk::document::Edit;
use thumbwalk::document::Walk;
use thumbwalk::session::Action;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::session::sheet_pages;

/// Eight bars with the harmonic rhythm of a standard.
const EIGHT_BARS: &str = "| Dm7 | G13 | Cmaj7 | A7(b9) |\n| Fmaj7 | Bm7b5 E7 | Am7 | D7 |\n";

/// Most megabytes at any moment, the program's own among them. The aim for the window is 250 MB with
/// 2,000 bars, of which drawing and libraries take about 120 and notes to be heard 30. That leaves half of
/// the rest for half of the bars, and is generous: it was 77 when this was written.
const MOST_MB: f64 = 100.0;

/// The most memory this process had so far (`VmHWM` in `man 5 proc`), in MB.
fn peak_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").expect("/proc");
    let line = status.lines().find(|line| line.starts_with("VmHWM:"));
    let kilobytes = line.and_then(|line| line.split_whitespace().nth(1));
    kilobytes.expect("a peak").parse::<f64>().expect("a number") / 1024.0
}

#[test]
fn a_thousand_bars_stay_within_their_room() {
    let mut chart = String::from("Title: Long Way Round\nKey: C\nTempo: 120\n");
    for section in 1..=125 {
        chart += &format!("[{section}]\n{EIGHT_BARS}");
    }
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenText(chart));
    session.settle();
    assert_eq!(session.document().bars().count(), 1000);
    for seed in [1, 2] {
        let mut line = session.document().line.clone();
        (line.walk, line.seed) = (Walk::Mixed, seed);
        session.act(Action::Edit(Edit::SetLine(line)));
        session.settle();
    }
    let arrangement = session.arrangement().expect("an arrangement");
    assert!(
        arrangement.notes.len() > 4000,
        "{}",
        arrangement.notes.len()
    );
    let pages = sheet_pages::of(session.document(), arrangement).pages;
    assert!(pages.len() > 20, "{}", pages.len());
    let peak = peak_mb();
    println!("{peak:.0} MB");
    assert!(peak <= MOST_MB, "{peak:.0} MB");
}
