//! How fast sound is made: rendering a full arrangement, and preparing its bank of notes. The
//! aim is at least 100 seconds of music per second of one core.

#![allow(
    clippy::print_stdout,
    missing_docs,
    reason = "a bench program says what it measured"
)]

#[path = "../sound_support/mod.rs"]
mod sound_support;

use criterion::Criterion;
use criterion::Throughput;
use criterion::criterion_group;
use criterion::criterion_main;
use sound_support::RATE;
use sound_support::full_bars;
use sound_support::timeline_of;
use sound_support::walking_bars;
use std::hint::black_box;
use std::sync::Arc;
use std::time::Duration;
use std::time::Instant;
use thumbwalk::device::BLOCK;
use thumbwalk::score::Stringing;
use thumbwalk::score::perform;
use thumbwalk::session::Action;
use thumbwalk::session::Session;
use thumbwalk::session::SoundChoice;
use thumbwalk::sound::Bank;
use thumbwalk::sound::LONGEST_S;
use thumbwalk::sound::NoteSpec;
use thumbwalk::sound::Stroke;
use thumbwalk::sound::Swap;
use thumbwalk::sound::Timeline;
use thumbwalk::sound::render_note;
use thumbwalk::sound::transport;

/// Ten seconds of a walking arrangement: elements are frames, so 4.8 million a second is 100
/// times real time. Beside it the same on an instrument that does not tell its open strings, so
/// that none answers.
fn rendering(c: &mut Criterion) {
    const SECONDS: usize = 10;
    let walking = walking_bars(8, 160);
    let mut group = c.benchmark_group("sound");
    group.sample_size(10);
    group.throughput(Throughput::Elements((SECONDS * RATE as usize) as u64));
    let mut silent = perform(&walking.0, &walking.1, None);
    silent.open.clear();
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    bank.prepare(&silent, &mut |_, _| true);
    for (name, timeline) in [
        ("render ten seconds", timeline_of(&walking)),
        (
            "render ten seconds, no open strings",
            Timeline::new(&silent, &bank),
        ),
    ] {
        group.bench_function(name, |b| {
            let (mut remote, mut renderer) = transport(RATE);
            remote.set_timeline(Box::new(timeline.clone()), Swap::Stop);
            let mut out = vec![0.0f32; 2 * 512];
            b.iter(|| {
                remote.play_from(0, None);
                for _ in 0..SECONDS * RATE as usize / 512 {
                    renderer.render(black_box(&mut out));
                }
            });
        });
    }
    group.finish();
}

fn preparing(c: &mut Criterion) {
    let spec = NoteSpec {
        sample_rate: RATE,
        pitch: 45,
        open: 40,
        stringing: Stringing::Nylon,
        stroke: Stroke::Thumb,
        strength: 84,
        variant: 0,
        longest_s: LONGEST_S,
    };
    let mut group = c.benchmark_group("sound");
    group.sample_size(10);
    group.bench_function("compute one note", |b| {
        b.iter(|| render_note(black_box(&spec)));
    });
    group.finish();
}

/// What the sound card's thread has to do for every 256 frames of a full arrangement: bass, chords
/// and tune on six strings, all of them ringing, the open strings answering. As parts of the time
/// that the frames last.
fn callback(_: &mut Criterion) {
    let timeline = timeline_of(&full_bars(8, 160));
    let (mut remote, mut renderer) = transport(RATE);
    let total = timeline.total();
    remote.set_timeline(Box::new(timeline), Swap::Stop);
    remote.set_loop(Some((0, total)));
    remote.play_from(0, None);
    let mut out = [0.0f32; 2 * BLOCK];
    let mut shares: Vec<f64> = (0..20_000)
        .map(|_| {
            let from = Instant::now();
            renderer.render(black_box(&mut out));
            from.elapsed().as_secs_f64() * f64::from(RATE) / BLOCK as f64
        })
        .collect();
    shares.sort_by(f64::total_cmp);
    let at = |part: f64| 100.0 * shares[(part * (shares.len() - 1) as f64) as usize];
    println!(
        "sound/callback of {BLOCK} frames   median {:.2} %, p99.9 {:.2} %, worst {:.2} % of its time",
        at(0.5),
        at(0.999),
        at(1.0)
    );
}

/// From the making of a session to the first note of a sample tune, solved on the way.
fn first_note(_: &mut Criterion) {
    let mut session = Session::with_sound(Arc::new(|| {}), SoundChoice::Silent);
    session.act(Action::OpenSample(0));
    session.settle();
    session.act(Action::PlayOrStop);
    let first = |session: &Session| session.sound_report().and_then(|r| r.first_note_s);
    while first(&session).is_none() {
        std::thread::sleep(Duration::from_millis(1));
        session.tick();
    }
    let ms = 1000.0 * first(&session).unwrap_or_default();
    println!(
        "sound/first note            ready {ms:.0} ms after the start, tune solved on the way"
    );
}

criterion_group!(benches, rendering, preparing, callback, first_note);
criterion_main!(benches);
