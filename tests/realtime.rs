//! The rule of the audio thread: while rendering nothing is allocated and nothing is freed, also
//! when timelines are swapped in and out. The allocator of this test program counts offenders.

#![allow(missing_docs, reason = "a test program")]

mod sound_support;

use assert_no_alloc::AllocDisabler;
use assert_no_alloc::assert_no_alloc;
use assert_no_alloc::violation_count;
use sound_support::RATE;
use sound_support::timeline_of;
use sound_support::walking_bars;
use std::time::Duration;
use std::time::Instant;
use thumbwalk::device::LoadMeter;
use thumbwalk::sound::CountIn;
use thumbwalk::sound::NextPass;
use thumbwalk::sound::Remote;
use thumbwalk::sound::Renderer;
use thumbwalk::sound::Row;
use thumbwalk::sound::Swap;
use thumbwalk::sound::transport;

#[global_allocator]
static COUNTING: AllocDisabler = AllocDisabler;

fn render_some(renderer: &mut Renderer, blocks: usize) {
    let meter = LoadMeter::default();
    let mut out = [0.0; 256];
    assert_no_alloc(|| {
        for _ in 0..blocks {
            let from = Instant::now();
            renderer.render(&mut out);
            meter.note(from.elapsed(), Duration::from_millis(2));
        }
    });
}

#[test]
fn rendering_allocates_and_frees_nothing() {
    let a = timeline_of(&walking_bars(2, 140));
    let b = timeline_of(&walking_bars(2, 200));
    let (mut remote, mut renderer) = transport(RATE);
    render_some(&mut renderer, 10);
    remote.set_timeline(Box::new(a.clone()), Swap::Stop);
    remote.set_click(true);
    remote.set_loop(Some((1000, 90_000)));
    let count_in = CountIn {
        beats: 2,
        frames_per_beat: 5000,
    };
    remote.play_from(0, Some(count_in));
    render_some(&mut renderer, 1500);
    for n in 0..200u64 {
        let next = if n % 2 == 0 { &b } else { &a };
        let swap = Swap::Map {
            from: 10 * n,
            to: 11 * n,
            stretch: 1.1,
        };
        remote.set_timeline(Box::new(next.clone()), swap);
        remote.set_row_gain(Row::Thumb, 0.5);
        remote.set_gain(0.7);
        render_some(&mut renderer, 1 + usize::from(n % 3 == 0) * 20);
    }
    // The next tempo waits, is replaced, and takes over where the loop comes round.
    for n in 0..20u64 {
        remote.set_next(Some(NextPass {
            timeline: Box::new(b.clone()),
            range: (1000, 3000 + n),
            at_pass: n % 3,
        }));
        render_some(&mut renderer, 1 + usize::from(n % 2 == 0) * 40);
    }
    remote.set_next(None);
    finish(&mut remote, &mut renderer);
    assert_eq!(violation_count(), 0);
    // The proof that the count works: one deliberate offence on this thread.
    assert_no_alloc(|| drop(std::hint::black_box(vec![1u8; 64])));
    assert!(violation_count() > 0);
}

/// Without a listener on the way back the ring fills up: the old timelines then wait in the
/// renderer, and come back when there is room.
fn finish(remote: &mut Remote, renderer: &mut Renderer) {
    remote.stop();
    let mut freed = 0;
    for _ in 0..400 {
        render_some(renderer, 20);
        freed += remote.poll();
    }
    assert_eq!(freed, 200 + 20, "every replaced timeline has come back");
    assert!(!remote.playhead().running);
}
