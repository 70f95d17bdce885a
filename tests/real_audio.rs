//! The whole way to the ear, as far as a machine without loudspeakers can tell: the real device
//! layer plays into a sound server with a sink that goes nowhere, another program records what
//! arrives, and pitches and moments are measured in the recording. Also what happens when the
//! server ends in the middle, and when there is none.
//!
//! Needs what `sound_support::desk` needs; where that is missing the tests say so and pass, unless
//! `CI` is set: then they fail.
//!
//! The sound card is chosen by environment variables, which a test cannot set for itself; so each
//! test starts this same program again, with the variables, to play one of the parts below.

#![cfg(feature = "audio")]
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    missing_docs,
    reason = "a test may stop at the first thing that is not as it should be, and say why"
)]

mod sound_support;

use sound_support::RATE;
use sound_support::desk::Desk;
use sound_support::desk::Held;
use sound_support::desk::find;
use sound_support::desk::first_sound;
use sound_support::desk::recorded;
use sound_support::document;
use sound_support::note;
use sound_support::one_bar;
use std::io::BufRead as _;
use std::io::BufReader;
use std::process::Stdio;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use thumbwalk::arrange::Lane;
use thumbwalk::device::DeviceError;
use thumbwalk::device::Output;
use thumbwalk::device::outputs;
use thumbwalk::score::Performance;
use thumbwalk::score::perform;
use thumbwalk::session::Action;
use thumbwalk::session::DeviceStatus;
use thumbwalk::session::Session;
use thumbwalk::sound::Bank;
use thumbwalk::sound::NoteKey;
use thumbwalk::sound::Remote;
use thumbwalk::sound::Swap;
use thumbwalk::sound::Timeline;
use thumbwalk::theory::Articulation;

const PART: &str = "THUMBWALK_AUDIO_PART";

/// Two beats of bass and off-beats at 120, swung 2 : 1.
fn music() -> Performance {
    let notes = [
        note(0, 0, 960, 1, 0, Lane::Thumb, Articulation::Short),
        note(0, 480, 480, 5, 0, Lane::Fingers, Articulation::Short),
        note(0, 960, 960, 2, 2, Lane::Thumb, Articulation::Short),
        note(0, 1440, 480, 4, 1, Lane::Fingers, Articulation::Short),
        note(0, 1920, 960, 0, 3, Lane::Thumb, Articulation::Short),
        note(0, 2400, 480, 5, 3, Lane::Fingers, Articulation::Short),
    ];
    perform(&document(1, 120), &one_bar(&notes), None)
}

/// Starts this program again to play a part.
fn start_part(desk: &Desk, part: &str) -> Held {
    let program = std::env::current_exe().unwrap();
    let child = desk
        .command(program)
        .args(["--exact", "the_part_of_the_second_program", "--nocapture"])
        .env(PART, part)
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .unwrap();
    Held(child)
}

/// What a part says, line by line, until it ends; fails after a time.
fn lines_of(part: &mut Held, each: &mut dyn FnMut(&str)) {
    let output = part.0.stdout.take().unwrap();
    for line in BufReader::new(output).lines().map_while(Result::ok) {
        each(&line);
    }
    let status = part.0.wait().unwrap();
    assert!(status.success(), "the part failed: {status}");
}

/// Not a test by itself: does nothing unless one of the tests below starts it.
#[test]
fn the_part_of_the_second_program() {
    match std::env::var(PART).as_deref() {
        Ok("play") => play_to_the_end(),
        Ok("loss") => play_until_the_server_ends(),
        Ok("nothing") => open_without_a_server(),
        Ok("outputs") => open_by_name(),
        Ok("return") => play_until_the_server_is_back(),
        _ => {}
    }
}

fn start_playing(remote: &mut Remote, repeat: bool) {
    let performance = music();
    let mut bank = Bank::new(remote.sample_rate(), performance.stringing);
    bank.prepare(&performance, &mut |_, _| true);
    let timeline = Timeline::new(&performance, &bank);
    remote.set_loop(repeat.then(|| (0, timeline.total())));
    remote.set_timeline(Box::new(timeline), Swap::Stop);
    if repeat {
        remote.set_loop(Some((0, u64::from(remote.sample_rate()))));
    }
    remote.play_from(0, None);
}

fn play_to_the_end() {
    let (output, mut remote) = Output::open().unwrap();
    assert!(output.is_audible());
    std::thread::sleep(Duration::from_millis(500));
    start_playing(&mut remote, false);
    let begun = Instant::now();
    let mut heard = 0;
    while remote.playhead().running {
        remote.poll();
        let now = output.heard_frame(remote.playhead());
        assert!(now >= heard, "the play-head goes back: {heard} to {now}");
        heard = now;
        if let Some(loss) = output.take_loss() {
            println!("late 1");
            println!("{loss}");
            return;
        }
        assert!(begun.elapsed() < Duration::from_secs(20), "it does not end");
        std::thread::sleep(Duration::from_millis(10));
    }
    std::thread::sleep(Duration::from_millis(700));
    println!("late {}", output.late_blocks());
}

fn play_until_the_server_ends() {
    let (output, mut remote) = Output::open().unwrap();
    start_playing(&mut remote, true);
    std::thread::sleep(Duration::from_millis(400));
    println!("playing");
    let begun = Instant::now();
    let loss = loop {
        remote.poll();
        if let Some(loss) = output.take_loss() {
            break loss;
        }
        assert!(
            begun.elapsed() < Duration::from_secs(20),
            "the loss is not noticed"
        );
        std::thread::sleep(Duration::from_millis(10));
    };
    assert!(matches!(loss, DeviceError::Lost(_)));
    assert_eq!(output.take_loss(), None, "it is told once");
    println!("lost {loss}");
    drop(output);
    // The music goes on in silence, and audio can still be made.
    let (silent, mut remote) = Output::silent(RATE).unwrap();
    start_playing(&mut remote, false);
    std::thread::sleep(Duration::from_millis(300));
    assert!(remote.playhead().running && remote.playhead().frame > 0);
    assert_eq!(silent.take_loss(), None);
}

/// The whole program but its window.
fn play_until_the_server_is_back() {
    let mut session = Session::new(Arc::new(|| {}));
    session.act(Action::OpenSample(0));
    session.settle();
    session.act(Action::PlayOrStop);
    let mut wait_for = |what: &str, is_there: &dyn Fn(&Session) -> bool| {
        let begun = Instant::now();
        while !is_there(&session) {
            let patience = Duration::from_secs(60);
            assert!(begun.elapsed() < patience, "in vain: {what}");
            std::thread::sleep(Duration::from_millis(10));
            session.tick();
        }
        println!("{what}");
        session
            .play()
            .playhead
            .map(|(place, _)| (place.bar, place.at))
    };
    let says = |words: &'static str| {
        move |session: &Session| session.notices().iter().any(|n| n.text.contains(words))
    };
    let open = |session: &Session| matches!(session.play().device, DeviceStatus::Open(_));
    wait_for("playing", &|s| {
        s.play().playhead.is_some_and(|(place, _)| place.bar >= 1)
    });
    let lost = wait_for("lost", &says("the sound output stopped"));
    let back = wait_for("back", &says("Sound is back"));
    wait_for("open", &|s| open(s) && s.play().playing);
    assert!(
        back >= lost && lost.is_some(),
        "it goes on: {lost:?}, {back:?}"
    );
    for _ in 0..200 {
        session.tick();
        std::thread::sleep(Duration::from_millis(10));
    }
    let stale = says("the sound output stopped");
    assert!(!stale(&session) && session.play().playing);
}

fn open_without_a_server() {
    let error = Output::open().map(|_| ()).unwrap_err();
    println!("refused {error}");
    assert!(outputs().len() < 100, "the list is asked for as well");
}

fn open_by_name() {
    let ports = outputs();
    assert!(!ports.is_empty());
    for (i, port) in ports.iter().enumerate() {
        let again = ports.iter().skip(i + 1).any(|other| other.id == port.id);
        assert!(!again && !port.name.is_empty(), "{port:?}");
    }
    let opened = ports.iter().find_map(|port| Output::open_on(&port.id).ok());
    let (output, mut remote) = opened.expect("one of them opens");
    start_playing(&mut remote, true);
    std::thread::sleep(Duration::from_millis(600));
    let load = output.load();
    assert!(load.average > 0.0 && load.peak >= load.average, "{load:?}");
    println!("computing {load:?}");
    let refused = Output::open_on("no such output").map(|_| ()).unwrap_err();
    println!("refused {refused}");
}

#[test]
fn outputs_are_listed_and_opened_by_name() {
    let Some(desk) = Desk::open(true, &[]) else {
        return;
    };
    let mut part = start_part(&desk, "outputs");
    let (mut measured, mut refusal) = (false, String::new());
    lines_of(&mut part, &mut |line| {
        println!("{line}");
        measured |= line.starts_with("computing");
        if let Some(text) = line.strip_prefix("refused ") {
            text.clone_into(&mut refusal);
        }
    });
    assert!(measured);
    assert!(refusal.contains("no longer there"), "{refusal:?}");
}

/// Plays and records once; the number of late blocks and the recording.
fn performance_of_the_second_program(desk: &Desk) -> (u32, Vec<f32>) {
    let path = desk.folder().join("heard.raw");
    let recorder = desk.record(&path);
    let mut late = None;
    let mut part = start_part(desk, "play");
    lines_of(&mut part, &mut |line| {
        if let Some(n) = line.strip_prefix("late ") {
            late = n.parse().ok();
        }
    });
    std::thread::sleep(Duration::from_millis(300));
    drop(recorder);
    (late.unwrap(), recorded(&path))
}

#[test]
fn what_is_played_arrives_with_its_pitches_at_its_moments() {
    let Some(desk) = Desk::open(true, &[]) else {
        return;
    };
    // A busy machine may be late, or its sound server may give the stream up: a recording with a
    // gap proves nothing, so it is made again.
    let (mut late, mut sound) = performance_of_the_second_program(&desk);
    for _ in 0..3 {
        if late == 0 {
            break;
        }
        println!("{late} blocks came late, once more");
        (late, sound) = performance_of_the_second_program(&desk);
    }
    let performance = music();
    let mut bank = Bank::new(RATE, performance.stringing);
    bank.prepare(&performance, &mut |_, _| true);
    let first = first_sound(&sound).expect("silence was recorded");
    let mut origin = None;
    for note in &performance.notes {
        let template = bank.note(NoteKey::of(note, &performance)).unwrap();
        let template = &template[..RATE as usize / 8];
        let expected = origin.unwrap_or(first) + (note.start_s * f64::from(RATE)) as usize;
        let (at, likeness) = find(&sound, template, expected, RATE as usize / 20);
        let off_ms = (at as f64 - expected as f64) * 1000.0 / f64::from(RATE);
        println!(
            "{}: {off_ms:+.2} ms, likeness {likeness:.3}",
            note.pitch.number()
        );
        // A note a semitone off is less than half as like over this length.
        assert!(likeness > 0.9, "pitch {}: {likeness}", note.pitch.number());
        if origin.is_none() {
            origin = Some(at);
        } else {
            assert!(
                off_ms.abs() < 3.0,
                "pitch {}: {off_ms} ms",
                note.pitch.number()
            );
        }
    }
}

#[test]
fn a_server_that_ends_is_noticed_and_work_goes_on() {
    let Some(mut desk) = Desk::open(true, &[]) else {
        return;
    };
    let mut part = start_part(&desk, "loss");
    let mut server = desk.server.take();
    let mut told = false;
    lines_of(&mut part, &mut |line| {
        if line.contains("playing") {
            server = None;
        }
        told |= line.starts_with("lost the sound output stopped");
    });
    assert!(told);
    drop(server);
}

#[test]
fn a_server_that_comes_back_is_heard_again_from_the_same_place() {
    let Some(mut desk) = Desk::open(true, &[]) else {
        return;
    };
    let mut part = start_part(&desk, "return");
    let path = desk.folder().join("back.raw");
    let mut recorder = None;
    lines_of(&mut part, &mut |line| {
        println!("{line}");
        if line.contains("playing") {
            desk.server = None;
        } else if line.contains("lost") {
            desk.start_server();
            recorder = Some(desk.record(&path));
        }
    });
    std::thread::sleep(Duration::from_millis(300));
    drop(recorder);
    let loudest = (recorded(&path).into_iter()).fold(0.0f32, |most, x| most.max(x.abs()));
    assert!(loudest > 0.01, "nothing arrives: {loudest}");
}

/// What is said where no output can be opened.
fn refusal_on(desk: &Desk) -> String {
    let mut part = start_part(desk, "nothing");
    let mut refusal = String::new();
    lines_of(&mut part, &mut |line| {
        if let Some(text) = line.strip_prefix("refused ") {
            text.clone_into(&mut refusal);
        }
    });
    refusal
}

/// Settings of ALSA that include a file that is gone.
#[test]
fn broken_sound_settings_are_refused_in_plain_words_and_play_in_silence() {
    let Some(desk) = Desk::open(false, &[]) else {
        return;
    };
    std::fs::write(desk.folder().join("alsa.conf"), "</nowhere/alsa.conf>\n").unwrap();
    let refusal = refusal_on(&desk);
    assert!(
        !refusal.is_empty() && !refusal.contains("panicked"),
        "{refusal:?}"
    );
}

#[test]
fn without_a_server_opening_is_refused_in_plain_words() {
    let Some(desk) = Desk::open(false, &[]) else {
        return;
    };
    let refusal = refusal_on(&desk);
    assert!(
        refusal.contains("audio files can be made without it"),
        "{refusal:?}"
    );
}
