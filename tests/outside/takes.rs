//! Writes as WAVE files, for the judge of strings, what the command line cannot be brought to
//! play: a walking tune that is interrupted, and all six strings struck again and again at full
//! strength. Prints each interrupted file's name and the frame at which the order was given.
//!
//!   takes FOLDER

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    missing_docs,
    reason = "a test program may stop at the first thing that is not as it should be"
)]

#[path = "../sound_support/mod.rs"]
mod sound_support;

use sound_support::RATE;
use sound_support::document;
use sound_support::note;
use sound_support::one_bar;
use sound_support::timeline_of;
use sound_support::walking_bars;
use std::path::PathBuf;
use thumbwalk::arrange::Lane;
use thumbwalk::export::wav;
use thumbwalk::score::Stringing;
use thumbwalk::score::perform;
use thumbwalk::sound::Remote;
use thumbwalk::sound::Swap;
use thumbwalk::sound::transport;
use thumbwalk::theory::Articulation;

/// A name, the frame of the order, and the order.
type Case = (&'static str, usize, fn(&mut Remote));

const CASES: [Case; 5] = [
    ("stop-after-a-stroke", 48_400, Remote::stop),
    ("stop-in-a-chord", 40_011, Remote::stop),
    ("stop-late", 91_234, Remote::stop),
    ("seek-back", 70_333, |remote| remote.play_from(13_007, None)),
    ("seek-on", 41_000, |remote| remote.play_from(156_000, None)),
];

fn write(name: &str, stereo: &[f32]) {
    let folder = PathBuf::from(std::env::args_os().nth(1).unwrap());
    let options = wav::WavOptions {
        sample_rate: RATE,
        depth: wav::Depth::Bits24,
        ..wav::WavOptions::default()
    };
    let file = wav::wave_file(stereo, &options).unwrap();
    std::fs::write(folder.join(format!("{name}.wav")), file).unwrap();
}

/// Every eighth at 120 beats a minute, all at once.
fn six_strings(stringing: Stringing) -> Vec<f32> {
    let notes: Vec<_> = (0..6u8)
        .flat_map(|s| {
            let lane = if s < 3 { Lane::Thumb } else { Lane::Fingers };
            (0..8u32).map(move |n| note(0, 480 * n, 480, s, 3, lane, Articulation::Ring))
        })
        .collect();
    let mut performance = perform(&document(1, 120), &one_bar(&notes), None);
    performance.stringing = stringing;
    performance.notes.iter_mut().for_each(|n| n.velocity = 127);
    wav::render(&performance, &wav::WavOptions::default())
}

fn main() {
    write("six-nylon", &six_strings(Stringing::Nylon));
    write("six-steel", &six_strings(Stringing::Steel));
    let timeline = timeline_of(&walking_bars(2, 60));
    for (name, at, order) in CASES {
        let (mut remote, mut renderer) = transport(RATE);
        remote.set_timeline(Box::new(timeline.clone()), Swap::Stop);
        remote.set_gain(1.0);
        remote.play_from(0, None);
        renderer.settle();
        let mut sound = vec![0.0; 2 * (at + 2 * RATE as usize)];
        let (before, after) = sound.split_at_mut(2 * at);
        renderer.render(before);
        order(&mut remote);
        renderer.render(after);
        write(name, &sound);
        println!("{name} {at}");
    }
}
