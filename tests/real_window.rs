//! The main job in the real window, by keys alone: the program opens a sample tune on a display of
//! its own, a thumb note is decided, taken back and decided again, the project is saved under a
//! new name, played and recorded behind the sound card, and the window closed. The recording is held
//! against the notes of the saved project: by the physics of pitch, and by its moments.
//!
//! Needs Xvfb, xdotool, `import` and what the tests of real sound need. Where they are missing the
//! test says so and passes, unless `CI` is set: then it fails.

#![cfg(all(feature = "gui", feature = "audio"))]
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    missing_docs,
    reason = "a test may stop at the first thing that is not as it should be, and say why"
)]

mod real_screen;
mod sound_support;

use real_screen::SAMPLE;
use real_screen::Screen;
use real_screen::notes_of;
use real_screen::said_by_program;
use real_screen::wait_for;
use serde_json::Value;
use sound_support::RATE;
use sound_support::desk::AUDIBLE;
use sound_support::desk::Desk;
use sound_support::desk::find;
use sound_support::desk::first_sound;
use sound_support::desk::from_first_sound;
use sound_support::desk::recorded;
use std::path::Path;

/// Plays for some seconds and stops; the recording from the first sound on.
fn play_and_record(screen: &mut Screen<'_>, seconds: usize) -> Vec<f32> {
    let path = screen.desk.folder().join("heard.raw");
    let recorder = screen.desk.record(&path);
    screen.press(&["Home", "space"]);
    let wanted = seconds * RATE as usize;
    wait_for("sound", || {
        screen.assert_open();
        let sound = recorded(&path);
        let from = first_sound(&sound)?;
        (sound.len() > from + wanted).then_some(())
    });
    screen.press(&["space"]);
    wait_for("silence after stopping", || {
        let sound = recorded(&path);
        let end = &sound[sound.len() - RATE as usize / 4..];
        end.iter().all(|x| x.abs() < AUDIBLE).then_some(())
    });
    drop(recorder);
    from_first_sound(recorded(&path))
}

/// How much of a frequency is in a sound, by Goertzel's recurrence: G. Goertzel, "An algorithm for
/// the evaluation of finite trigonometric series", American Mathematical Monthly 65, 1958.
fn strength(sound: &[f32], hertz: f64) -> f64 {
    let turn = 2.0 * (std::f64::consts::TAU * hertz / f64::from(RATE)).cos();
    let (mut last, mut before) = (0.0, 0.0);
    for sample in sound {
        (last, before) = (f64::from(*sample) + turn * last - before, last);
    }
    last * last + before * before - turn * last * before
}

/// Whether a sound has this pitch rather than one a semitone away: A4 = 440 Hz (ISO 16), MIDI note
/// 69, twelve equal semitones; its first four partials together.
fn has_pitch(sound: &[f32], number: f64) -> bool {
    let all = |number: f64| -> f64 {
        let hertz = 440.0 * 2_f64.powf((number - 69.0) / 12.0);
        (1..=4).map(|n| strength(sound, f64::from(n) * hertz)).sum()
    };
    all(number) > 2.0 * all(number - 1.0).max(all(number + 1.0))
}

/// The notes of the first bar of a project.
fn first_bar(desk: &Desk, project: &Path) -> Vec<Value> {
    let mut notes = notes_of(desk, project);
    notes.retain(|note| note["bar"] == 1);
    notes
}

/// How far each beat of the first bar begins in the recording from where it should, in
/// milliseconds. The places are found by likeness with the same bar written to a file.
fn beats_off_ms(sound: &[f32], written: &[f32], starts: &[f64]) -> Vec<f64> {
    let frame = |seconds: f64| (seconds * f64::from(RATE)) as usize;
    let origin = first_sound(written).unwrap();
    let mut shift = 0.0;
    let mut off = Vec::new();
    for start in starts {
        let template = &written[origin + frame(*start)..][..RATE as usize / 5];
        let (at, likeness) = find(sound, template, frame(*start), RATE as usize / 10);
        let ms = (at as f64 - frame(*start) as f64) * 1000.0 / f64::from(RATE);
        println!("beat at {start:.3} s: {ms:+.1} ms, likeness {likeness:.3}");
        if off.is_empty() {
            shift = ms;
        }
        off.push(if likeness > 0.7 {
            ms - shift
        } else {
            f64::INFINITY
        });
    }
    off
}

#[test]
fn the_main_job_is_done_in_the_real_window_by_keys() {
    let Some(desk) = Desk::open(true, &["Xvfb", "xdotool", "import"]) else {
        return;
    };
    let mut screen = Screen::open(&desk, SAMPLE.as_ref());
    let opened = screen.wait_for_rest();
    assert!(!screen.title().contains('*'));

    // The fifth on beat 2 of the first bar; taken back, and decided again.
    screen.press(&["Home", "Right", "Right", "5"]);
    screen.wait_for_unsaved(true);
    assert_ne!(screen.wait_for_rest(), opened, "the decision does not show");
    screen.press(&["ctrl+z"]);
    screen.wait_for_unsaved(false);
    screen.press(&["ctrl+y"]);
    screen.wait_for_unsaved(true);
    screen.wait_for_rest();

    let kept = desk.folder().join("kept.ron");
    screen.save_as(&kept);

    // The fifth of F7 is C.
    let notes = first_bar(&desk, &kept);
    let thumb: Vec<&Value> = notes.iter().filter(|n| n["lane"] == "thumb").collect();
    let decided = thumb.iter().find(|n| n["tick"] == 960).unwrap();
    assert_eq!(decided["move"], "fifth");
    assert_eq!(decided["pitch"].as_u64().unwrap() % 12, 0);

    let wave = desk.folder().join("kept.wav");
    let words = [
        "export",
        kept.to_str().unwrap(),
        "-o",
        wave.to_str().unwrap(),
    ];
    said_by_program(&desk, &words);
    // The canonical header of 44 bytes is as long as 11 frames.
    let written = &recorded(&wave)[11..];
    let starts: Vec<f64> = (thumb.iter())
        .map(|n| n["start_s"].as_f64().unwrap())
        .collect();
    assert_eq!(starts.len(), 4);
    // A busy machine may be late: a recording with a gap proves nothing, so it is made again.
    let good = (0..3).any(|_| {
        let sound = play_and_record(&mut screen, 3);
        let alone = &sound[..RATE as usize / 3];
        let first = has_pitch(alone, thumb[0]["pitch"].as_f64().unwrap());
        let off = beats_off_ms(&sound, written, &starts);
        println!("pitch of the first note: {first}; beats off by {off:.1?} ms");
        first && off.iter().all(|ms| ms.abs() < 25.0)
    });
    assert!(good, "what was heard is not what was saved");

    screen.press(&["ctrl+q"]);
    let end = screen.end();
    assert_eq!(end.code(), Some(0));
}
