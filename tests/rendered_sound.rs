//! Sound as it leaves the renderer, measured: the exact frame of every off-beat, true peaks,
//! silence at the ends, and that neither the size of a block nor a swap of the timeline can be
//! heard. No sound card is involved and no clock is read.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    missing_docs,
    reason = "a test may stop at the first thing that is not as it should be"
)]

mod sound_support;

use sound_support::RATE;
use sound_support::cents_off;
use sound_support::document;
use sound_support::magnitude;
use sound_support::note;
use sound_support::one_bar;
use sound_support::timeline_of;
use sound_support::walking_bars;
use std::f64::consts::TAU;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::device::SilentDevice;
use thumbwalk::document::Document;
use thumbwalk::document::Feel;
use thumbwalk::export::wav;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::Shape;
use thumbwalk::score::Performance;
use thumbwalk::score::Stringing;
use thumbwalk::score::perform;
use thumbwalk::score::perform_at;
use thumbwalk::score::perform_shape;
use thumbwalk::sound::Bank;
use thumbwalk::sound::CountIn;
use thumbwalk::sound::LATENCY_FRAMES;
use thumbwalk::sound::NextPass;
use thumbwalk::sound::Row;
use thumbwalk::sound::Swap;
use thumbwalk::sound::Timeline;
use thumbwalk::sound::transport;
use thumbwalk::theory::Articulation;

/// The first frame at which two sounds differ.
fn first_difference(a: &[f32], b: &[f32]) -> Option<usize> {
    a.iter()
        .zip(b)
        .position(|(x, y)| x.to_bits() != y.to_bits())
        .map(|i| i / 2)
}

/// Fails unless each note is first heard at its second, to the frame: there the sound begins to
/// differ from that of the notes before it alone.
#[track_caller]
fn assert_notes_begin_at(performance: &Performance, expected_s: &[f64]) {
    let options = wav::WavOptions::default();
    let sound = wav::render(performance, &options);
    for (i, expected_s) in expected_s.iter().enumerate() {
        let mut before = performance.clone();
        before.notes.truncate(i);
        let onset = first_difference(&sound, &wav::render(&before, &options)).unwrap();
        let expected = expected_s * f64::from(RATE);
        assert!(
            (onset as f64 - expected).abs() <= 1.0,
            "note {i}: frame {onset}, expected {expected}"
        );
    }
}

/// Beat-upbeat ratio r puts the off-beat at r/(1+r) of the beat (definition; Benadon 2006); at 120
/// beats a minute 2 : 1 is 333.33 ms, 1 : 1 is 250 ms.
#[test]
fn off_beats_sound_on_the_computed_frame() {
    let rows: [(u16, f64); 4] = [(1000, 0.5), (1500, 0.6), (2000, 2.0 / 3.0), (3000, 0.75)];
    for (permille, part) in rows {
        let mut document = document(1, 120);
        document.feel = Feel::Swing(permille);
        let notes = [
            note(0, 0, 960, 0, 3, Lane::Thumb, Articulation::Short),
            note(0, 480, 480, 3, 0, Lane::Fingers, Articulation::Short),
            note(0, 960, 960, 1, 2, Lane::Thumb, Articulation::Short),
            note(0, 1440, 480, 4, 1, Lane::Fingers, Articulation::Short),
        ];
        let performance = perform(&document, &one_bar(&notes), None);
        let expected_s = [0.0, 0.5 * part, 0.5, 0.5 + 0.5 * part];
        println!("ratio {permille}");
        assert_notes_begin_at(&performance, &expected_s);
    }
}

/// Downbeats of the melody late over a bass in time, off-beats together: Nelias and others (2022),
/// Communications Physics 5.
#[test]
fn lay_back_is_heard_on_the_beat_and_only_there() {
    let mut document = document(1, 120);
    document.lay_back_ms = 30;
    let notes = [
        note(0, 0, 960, 0, 3, Lane::Thumb, Articulation::Short),
        note(0, 0, 480, 3, 0, Lane::Fingers, Articulation::Short),
        note(0, 480, 480, 4, 1, Lane::Fingers, Articulation::Short),
    ];
    let performance = perform(&document, &one_bar(&notes), None);
    assert_notes_begin_at(&performance, &[0.0, 0.030, 1.0 / 3.0]);
}

#[test]
fn the_size_of_a_block_makes_no_difference() {
    let timeline = timeline_of(&walking_bars(2, 168));
    let render = |block: usize| {
        let (mut remote, mut renderer) = transport(RATE);
        remote.set_timeline(Box::new(timeline.clone()), Swap::Stop);
        remote.set_click(true);
        remote.set_loop(Some((0, timeline.total() / 2)));
        let count_in = CountIn {
            beats: 2,
            frames_per_beat: 7001,
        };
        remote.play_from(0, Some(count_in));
        let mut sound = vec![0.0; 2 * 96_000];
        for part in sound.chunks_mut(2 * block) {
            renderer.render(part);
        }
        sound
    };
    let whole = render(96_000);
    assert!(whole.iter().any(|x| x.abs() > 0.01));
    for block in [1, 64, 1000] {
        assert!(render(block) == whole, "blocks of {block} frames differ");
    }
}

/// The largest magnitude of a signal read four times as densely, with a windowed sinc of 64
/// points: the measure of ITU-R BS.1770 annex 2 with a longer filter.
fn true_peak(stereo: &[f32]) -> f64 {
    let mut peak = 0.0f64;
    let half = 32;
    for side in 0..2 {
        let x: Vec<f64> = stereo
            .iter()
            .skip(side)
            .step_by(2)
            .map(|x| f64::from(*x))
            .collect();
        peak = x.iter().fold(peak, |m, x| m.max(x.abs()));
        for phase in [0.25, 0.5, 0.75] {
            let taps: Vec<f64> = (0..2 * half)
                .map(|n| {
                    let t = n as f64 - (half as f64 - 1.0) - phase;
                    let window = (0.25 * TAU * t / half as f64).cos().powi(2);
                    (TAU * 0.5 * t).sin() / (TAU * 0.5 * t) * window
                })
                .collect();
            for part in x
                .windows(2 * half)
                .filter(|p| p.iter().any(|x| x.abs() > 0.4))
            {
                let y: f64 = part.iter().zip(&taps).map(|(a, b)| a * b).sum();
                peak = peak.max(y.abs());
            }
        }
    }
    peak
}

/// −1 dBTP is the limit of EBU R 128.
#[test]
fn six_strings_at_full_strength_stay_below_minus_one_decibel() {
    let notes: Vec<_> = (0..6u8)
        .flat_map(|s| {
            let lane = if s < 2 { Lane::Thumb } else { Lane::Fingers };
            [0, 480, 960, 1440, 1920].map(|at| note(0, at, 480, s, 2, lane, Articulation::Ring))
        })
        .collect();
    for instrument_is_steel in [false, true] {
        let mut performance = perform(&document(1, 120), &one_bar(&notes), None);
        if instrument_is_steel {
            performance.stringing = Stringing::Steel;
        }
        performance.notes.iter_mut().for_each(|n| n.velocity = 127);
        let loud = wav::render(&performance, &wav::WavOptions::default());
        let mut twice = performance.clone();
        twice.notes.extend(performance.notes.iter().map(|n| {
            let mut again = *n;
            again.start_s += 0.001;
            again
        }));
        let louder = wav::render(&twice, &wav::WavOptions::default());
        for sound in [&loud, &louder] {
            let peak_db = 20.0 * true_peak(sound).log10();
            println!("true peak {peak_db:.2} dB");
            assert!(peak_db <= -1.0, "{peak_db:.2} dBTP");
        }
        assert!(true_peak(&loud) > 0.4, "too quiet to show anything");
    }
}

fn largest_step(stereo: &[f32]) -> f32 {
    (stereo.chunks_exact(2).zip(stereo.chunks_exact(2).skip(1)))
        .map(|(a, b)| (a[0] - b[0]).abs().max((a[1] - b[1]).abs()))
        .fold(0.0, f32::max)
}

#[test]
fn stopping_makes_no_click() {
    let timeline = timeline_of(&walking_bars(2, 120));
    for (name, stop_at) in [("soon", 9_000), ("later", 40_011), ("in a chord", 20_333)] {
        let (mut remote, mut renderer) = transport(RATE);
        remote.set_timeline(Box::new(timeline.clone()), Swap::Stop);
        remote.play_from(0, None);
        let mut before = vec![0.0; 2 * stop_at];
        renderer.settle();
        renderer.render(&mut before);
        remote.stop();
        let mut after = vec![0.0; 2 * 96_000];
        renderer.render(&mut after);
        let joint: Vec<f32> = [&before[before.len() - 2..], &after[..]].concat();
        assert!(
            largest_step(&joint) <= largest_step(&before),
            "{name}: {} after {}",
            largest_step(&joint),
            largest_step(&before)
        );
        let end = &after[2 * 72_000..];
        assert!(end.iter().all(|x| x.abs() < 1e-4), "{name}: it goes on");
    }
}

/// A seek to a place in the middle of a beat: what sounds fades, and nothing begins for a while.
#[test]
fn seeking_makes_no_click() {
    let timeline = timeline_of(&walking_bars(2, 60));
    for (leave_at, to) in [(9_000, 60_000), (40_011, 13_007), (90_333, 200_000)] {
        let (mut remote, mut renderer) = transport(RATE);
        remote.set_timeline(Box::new(timeline.clone()), Swap::Stop);
        remote.play_from(0, None);
        renderer.settle();
        let mut before = vec![0.0; 2 * leave_at];
        renderer.render(&mut before);
        remote.play_from(to, None);
        let mut after = vec![0.0; 2 * 4_000];
        renderer.render(&mut after);
        let joint: Vec<f32> = [&before[before.len() - 2..], &after[..]].concat();
        let steps = (largest_step(&before), largest_step(&joint));
        assert!(steps.1 <= steps.0, "to {to}: {steps:?}");
        let late = after[2 * 3_000..]
            .iter()
            .fold(0.0f32, |m, x| m.max(x.abs()));
        assert!(late < 0.05, "to {to}: {late}");
    }
}

#[test]
fn after_the_last_note_comes_silence() {
    let performance = perform(&document(1, 120), &walking_bars(1, 120).1, None);
    let options = wav::WavOptions::default();
    let sound = wav::render(&performance, &options);
    let last = &sound[sound.len() - 2000..];
    assert!(last.iter().all(|x| x.abs() < 3e-4), "the tail is cut off");
    let (mut remote, mut renderer) = transport(RATE);
    remote.set_timeline(Box::new(timeline_of(&walking_bars(1, 120))), Swap::Stop);
    remote.play_from(0, None);
    let mut out = vec![0.0; 2 * RATE as usize * 10];
    renderer.render(&mut out);
    assert!(out[out.len() - 4000..].iter().all(|x| *x == 0.0));
    assert!(!remote.playhead().running);
}

#[test]
fn swapping_in_the_same_music_cannot_be_heard() {
    let (document, arrangement) = walking_bars(2, 132);
    let performance = perform(&document, &arrangement, None);
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    assert!(bank.prepare(&performance, &mut |_, _| true));
    let timeline = Timeline::new(&performance, &bank);
    let play = |swaps: &[usize]| {
        let (mut remote, mut renderer) = transport(RATE);
        remote.set_timeline(Box::new(timeline.clone()), Swap::Stop);
        remote.play_from(0, None);
        let mut sound = vec![0.0; 2 * 100_000];
        for (n, part) in sound.chunks_mut(2 * 500).enumerate() {
            if swaps.contains(&n) {
                let swap = Swap::Map {
                    from: 1000,
                    to: 1000,
                    stretch: 1.0,
                };
                remote.set_timeline(Box::new(timeline.clone()), swap);
            }
            renderer.render(part);
            remote.poll();
        }
        sound
    };
    assert!(play(&[]) == play(&[17, 60, 61, 62, 150]));
}

#[test]
fn a_new_tempo_keeps_the_place_and_makes_no_click() {
    let (slow, fast) = (walking_bars(4, 100), walking_bars(4, 150));
    let of = |(document, arrangement): &(_, _)| perform(document, arrangement, None);
    let (slow_p, fast_p) = (of(&slow), of(&fast));
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    bank.prepare(&slow_p, &mut |_, _| true);
    bank.prepare(&fast_p, &mut |_, _| true);
    let (a, b) = (Timeline::new(&slow_p, &bank), Timeline::new(&fast_p, &bank));
    let (mut remote, mut renderer) = transport(RATE);
    remote.set_timeline(Box::new(a), Swap::Stop);
    remote.play_from(0, None);
    let mut sound = vec![0.0; 2 * 130_000];
    let (before, after) = sound.split_at_mut(2 * 65_000);
    renderer.settle();
    renderer.render(before);
    let from = remote.playhead().frame;
    let seconds = from as f64 / f64::from(RATE);
    let place = slow_p.place_at(seconds).unwrap();
    let swap = Swap::keeping_place(&slow_p, &fast_p, from, RATE);
    let Swap::Map { to, .. } = swap else {
        panic!("{swap:?}");
    };
    remote.set_timeline(Box::new(b), swap);
    renderer.render(after);
    let steps = (largest_step(before), largest_step(after));
    assert!(steps.1 <= 1.5 * steps.0, "{steps:?}");
    let (new_place, fraction) = fast_p.place_at(to as f64 / f64::from(RATE)).unwrap();
    assert_eq!(new_place.bar, place.0.bar);
    assert!((fraction - place.1).abs() < 1e-3, "{fraction} {}", place.1);
    // The reported place is some frames behind the position, and the swap maps the position.
    let lag = LATENCY_FRAMES as f64;
    let expected = to as f64 + lag * 100.0 / 150.0 + 65_000.0 - lag;
    assert!((remote.playhead().frame as f64 - expected).abs() <= 1.0);
    assert_eq!(remote.poll(), 1, "the old timeline has come back");
}

#[test]
fn a_count_in_clicks_and_then_the_music_begins() {
    let timeline = timeline_of(&walking_bars(1, 120));
    let (mut remote, mut renderer) = transport(RATE);
    remote.set_timeline(Box::new(timeline), Swap::Stop);
    let count_in = CountIn {
        beats: 4,
        frames_per_beat: 24_000,
    };
    remote.play_from(0, Some(count_in));
    let mut sound = vec![0.0; 2 * 120_000];
    renderer.settle();
    for (beat, part) in sound.chunks_mut(2 * 24_000).enumerate() {
        renderer.render(part);
        let head = remote.playhead();
        assert!(head.running);
        assert_eq!(
            head.count_left,
            4u32.saturating_sub(beat as u32),
            "beat {beat}"
        );
        let loud = |from: usize, to: usize| part[2 * from..2 * to].iter().any(|x| x.abs() > 0.01);
        assert!(
            loud(LATENCY_FRAMES, LATENCY_FRAMES + 2000),
            "beat {beat} is heard"
        );
        assert_eq!(loud(12_000, 20_000), beat == 4, "after beat {beat}");
    }
    assert_eq!(remote.playhead().frame, (24_000 - LATENCY_FRAMES) as u64);
}

#[test]
fn a_row_can_be_silenced() {
    let walking = walking_bars(1, 120);
    let performance = perform(&walking.0, &walking.1, None);
    let alone = |lane: Lane| {
        let mut part: Performance = performance.clone();
        part.notes.retain(|n| n.lane == lane);
        wav::render(&part, &wav::WavOptions::default())
    };
    let (mut remote, mut renderer) = transport(RATE);
    remote.set_timeline(Box::new(timeline_of(&walking)), Swap::Stop);
    remote.set_row_gain(Row::Thumb, 0.0);
    remote.set_gain(1.0);
    remote.play_from(0, None);
    let expected = alone(Lane::Fingers);
    renderer.settle();
    let mut sound = vec![0.0; expected.len() + 2 * LATENCY_FRAMES];
    renderer.render(&mut sound);
    let worst = (sound[2 * LATENCY_FRAMES..].iter().zip(&expected))
        .fold(0.0f32, |m, (a, b)| m.max((a - b).abs()));
    assert!(worst < 1e-5, "{worst}");
}

/// Muting in the middle: the lane fades without a step, and once its fade and the room's answer to
/// it are over, the samples are those of a tune without these notes (but for the rounding that the
/// room carries along, 120 dB below full scale). Letting it sound again is as smooth.
#[test]
fn a_lane_muted_while_it_plays_leaves_the_others_to_the_sample() {
    let walking = walking_bars(4, 120);
    let mut without = walking.clone();
    without.1.notes.retain(|note| note.lane != Lane::Thumb);
    let play = |walking: &(_, _), mute_at: Option<usize>, back_at: Option<usize>| {
        let (mut remote, mut renderer) = transport(RATE);
        remote.set_timeline(Box::new(timeline_of(walking)), Swap::Stop);
        remote.play_from(0, None);
        renderer.settle();
        let mut sound = vec![0.0; 2 * 8 * RATE as usize];
        for (n, part) in sound.chunks_mut(2 * 1000).enumerate() {
            for (at, gain) in [(mute_at, 0.0), (back_at, 1.0)] {
                if at == Some(n) {
                    remote.set_row_gain(Row::Thumb, gain);
                }
            }
            renderer.render(part);
        }
        sound
    };
    let (whole, alone) = (play(&walking, None, None), play(&without, None, None));
    let muted = play(&walking, Some(100), None);
    let (frame, settled) = (2 * 100_000, 2 * (100_000 + 2 * RATE as usize));
    let heard = frame + 2 * LATENCY_FRAMES;
    assert!(muted[..frame] == whole[..frame], "nothing changes before");
    let apart = |a: &[f32], b: &[f32]| {
        let pairs = a.iter().zip(b);
        pairs.fold(0.0f32, |most, (a, b)| most.max((a - b).abs()))
    };
    let rest = apart(&muted[settled..], &alone[settled..]);
    assert!(rest < 1e-6, "the rest is untouched: {rest}");
    // The room falls by 60 dB in 0.55 s: within a second the lane lies 90 dB below full scale.
    let far = heard + 2 * RATE as usize;
    let left = apart(&muted[far..], &alone[far..]);
    assert!(left < 3.2e-5, "{left}");
    let toggled = play(&walking, Some(100), Some(160));
    // Before, after and between the sound is that of one of the two, or a mix of both.
    let allowed = largest_step(&whole).max(largest_step(&alone));
    for sound in [&muted, &toggled] {
        let step = largest_step(sound);
        assert!(step <= allowed, "{step} beyond {allowed}");
    }
    let back = apart(&toggled[2 * 360_000..], &whole[2 * 360_000..]);
    assert!(back < 1e-6, "it is back: {back}");
}

/// Two bars of a tune at so many per cent of its tempo, as a loop.
fn pass_at(tune: &(Document, Arrangement), percent: u16, bank: &mut Bank) -> Timeline {
    let performance = perform_at(&tune.0, &tune.1, Some(0..2), percent);
    assert!(bank.prepare(&performance, &mut |_, _| true));
    Timeline::new(&performance, bank)
}

/// Plays passes at rising tempos, two at each, in blocks of a size, and tells for every block how
/// often the loop had come round at its end.
fn play_passes(timelines: &[Timeline], frames: usize, block: usize) -> (Vec<f32>, Vec<u64>) {
    let (mut remote, mut renderer) = transport(RATE);
    let mut waiting = timelines.iter().cloned();
    let first = waiting.next().unwrap();
    let range = (0, first.total());
    remote.set_timeline(Box::new(first), Swap::Stop);
    remote.set_loop(Some(range));
    remote.play_from(0, None);
    renderer.settle();
    let (mut sound, mut passes) = (vec![0.0; 2 * frames], Vec::new());
    let mut taken = None;
    for part in sound.chunks_mut(2 * block) {
        let head = remote.playhead();
        if taken != Some(head.taken) {
            taken = Some(head.taken);
            remote.set_next(waiting.next().map(|timeline| NextPass {
                range: (0, timeline.total()),
                timeline: Box::new(timeline),
                at_pass: head.passes + 2,
            }));
        }
        renderer.render(part);
        passes.push(remote.playhead().passes);
        remote.poll();
    }
    (sound, passes)
}

/// At 120 beats a minute and 48 kHz a beat is 24,000 frames, at 80 % of that 30,000, at 75 %
/// 32,000: so the passes can be written out one behind the other without any rounding, and the
/// trainer's stream must be that, to the bit.
#[test]
fn passes_at_rising_tempos_follow_each_other_without_a_gap() {
    let mut tune = walking_bars(2, 120);
    tune.0.feel = Feel::Straight;
    let percents = [75, 80, 100];
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    let timelines = percents.map(|percent| pass_at(&tune, percent, &mut bank));
    let mut written_out = perform_at(&tune.0, &tune.1, Some(0..0), 100);
    for percent in percents.iter().flat_map(|p| [p, p]).chain([&100]) {
        let pass = perform_at(&tune.0, &tune.1, Some(0..2), *percent);
        written_out.notes.extend(pass.notes.iter().map(|note| {
            let mut later = *note;
            later.start_s += written_out.total_s;
            later.end_s += written_out.total_s;
            later
        }));
        written_out.total_s += pass.total_s;
    }
    let frames = 2 * 8 * (32_000 + 30_000 + 24_000) + 8 * 20_000;
    let (sound, passes) = play_passes(&timelines, frames, 128);
    assert_eq!(passes.last(), Some(&6));
    let (mut remote, mut renderer) = transport(RATE);
    remote.set_timeline(Box::new(Timeline::new(&written_out, &bank)), Swap::Stop);
    remote.play_from(0, None);
    renderer.settle();
    let mut expected = vec![0.0; 2 * frames];
    renderer.render(&mut expected);
    assert_eq!(first_difference(&sound, &expected), None);
}

/// A pass lasts its bars at its tempo: eight beats at 78 % of 120 are 8 · 60 / 93.6 s, and so on.
#[test]
fn a_pass_lasts_its_bars_at_its_tempo_to_the_frame() {
    let tune = walking_bars(2, 120);
    let percents = [78u16, 91, 97];
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    let timelines = percents.map(|percent| pass_at(&tune, percent, &mut bank));
    let beats = |percent: u16| 8.0 * 60.0 / (1.2 * f64::from(percent)) * f64::from(RATE);
    let expected = percents.iter().flat_map(|p| [beats(*p), beats(*p)]);
    let frames = expected.clone().sum::<f64>() as usize;
    let (_, passes) = play_passes(&timelines, frames + 10, 1);
    let mut from = 0;
    for (pass, expected) in (1u64..).zip(expected) {
        let to = passes.iter().position(|n| *n == pass).unwrap();
        let lasted = (to - from) as f64;
        assert!(
            (lasted - expected).abs() <= 1.0,
            "pass {pass}: {lasted} frames, expected {expected}"
        );
        from = to;
    }
}

#[test]
fn a_new_timeline_drops_what_waits_for_the_loop() {
    let tune = walking_bars(2, 120);
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    let [slow, fast] = [50, 100].map(|percent| pass_at(&tune, percent, &mut bank));
    let (mut device, mut remote) = SilentDevice::new(RATE);
    remote.set_timeline(Box::new(slow.clone()), Swap::Stop);
    remote.set_loop(Some((0, 10_000)));
    remote.play_from(0, None);
    let next = NextPass {
        range: (0, 5_000),
        timeline: Box::new(fast),
        at_pass: 1,
    };
    remote.set_next(Some(next.clone()));
    device.advance(5_000);
    let same = Swap::Map {
        from: 0,
        to: 0,
        stretch: 1.0,
    };
    remote.set_timeline(Box::new(slow), same);
    device.advance(20_000);
    assert_eq!((remote.playhead().passes, remote.playhead().taken), (2, 0));
    assert_eq!(remote.poll(), 2, "both have come back");
    remote.set_next(Some(next));
    device.advance(10_000);
    assert_eq!(remote.playhead().taken, 1);
}

#[test]
fn what_is_auditioned_is_heard_whatever_the_lanes_are_set_to() {
    let performance = grip("3x443x");
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    bank.prepare(&performance, &mut |_, _| true);
    let play = |silenced: bool| {
        let (mut device, mut remote) = SilentDevice::new(RATE);
        for row in Row::ALL {
            remote.set_row_gain(row, if silenced { 0.0 } else { 1.0 });
        }
        let mut timeline = Timeline::new(&performance, &bank);
        timeline.hear_every_row();
        remote.hear(Box::new(timeline));
        device.advance(20_000).to_vec()
    };
    let heard = play(true);
    assert!(heard.iter().any(|x| x.abs() > 0.01) && heard == play(false));
}

#[test]
fn a_slide_glides_into_the_note_without_a_step() {
    let mut slid = note(0, 0, 1920, 2, 5, Lane::Fingers, Articulation::Ring);
    slid.slide_from = Some(4);
    let performance = perform(&document(1, 120), &one_bar(&[slid]), None);
    let sound = wav::render(&performance, &wav::WavOptions::default());
    let left: Vec<f32> = sound.iter().step_by(2).copied().collect();
    let hz = 440.0 * 2f64.powf((55.0 - 69.0) / 12.0);
    let settled = cents_off(&left[7200..36_000], f64::from(RATE), hz);
    assert!(settled.abs() < 1.0, "{settled}");
    let begins = cents_off(&left[0..2400], f64::from(RATE), hz * 2f64.powf(-1.0 / 12.0));
    assert!(begins.abs() < 45.0, "{begins}");
    let peak = left.iter().fold(0.0f32, |m, x| m.max(x.abs()));
    assert!(largest_step(&sound[2 * 2400..]) < 0.15 * peak);
}

/// "Multimedia Programming Interface and Data Specifications 1.0" (1991), WAVE form: field
/// offsets and values of a PCM file.
#[test]
fn a_wave_file_has_the_published_layout() {
    let stereo = [0.0, 1.0, -1.0, 0.5];
    let options = |sample_rate, depth| wav::WavOptions {
        sample_rate,
        depth,
        ..wav::WavOptions::default()
    };
    for (depth, bytes, rate) in [
        (wav::Depth::Bits16, 2u32, 44_100u32),
        (wav::Depth::Bits24, 3, 48_000),
    ] {
        let file = wav::wave_file(&stereo, &options(rate, depth)).unwrap();
        let word = |at: usize| u32::from_le_bytes(file[at..at + 4].try_into().unwrap());
        let half = |at: usize| u16::from_le_bytes(file[at..at + 2].try_into().unwrap());
        assert_eq!(&file[0..4], b"RIFF");
        assert_eq!(word(4) as usize, file.len() - 8);
        assert_eq!(&file[8..16], b"WAVEfmt ");
        assert_eq!((word(16), half(20), half(22)), (16, 1, 2));
        assert_eq!((word(24), word(28)), (rate, rate * 2 * bytes));
        let frame = (u32::from(half(32)), u32::from(half(34)));
        assert_eq!(frame, (2 * bytes, 8 * bytes));
        assert_eq!(&file[36..40], b"data");
        assert_eq!(word(40), 4 * bytes);
        assert_eq!(file.len() as u32, 44 + 4 * bytes);
    }
    let file = wav::wave_file(&stereo, &options(48_000, wav::Depth::Bits16)).unwrap();
    assert_eq!(&file[44..], [0, 0, 0xFF, 0x7F, 0x01, 0x80, 0x00, 0x40]);
    let file = wav::wave_file(&stereo, &options(48_000, wav::Depth::Bits24)).unwrap();
    assert_eq!(
        &file[44..],
        [0, 0, 0, 0xFF, 0xFF, 0x7F, 0x01, 0, 0x80, 0, 0, 0x40]
    );
}

#[test]
fn the_file_holds_what_is_rendered_and_can_be_cancelled() {
    let (document, arrangement) = walking_bars(1, 120);
    let options = wav::WavOptions::default();
    let sound = wav::render(&perform(&document, &arrangement, None), &options);
    let file = wav::write(&document, &arrangement, &options).unwrap();
    assert!(file == wav::wave_file(&sound, &options).unwrap());
    let mut parts = Vec::new();
    let stopped = wav::write_watched(&document, &arrangement, &options, &mut |part| {
        parts.push(part);
        parts.len() < 3
    });
    assert_eq!(stopped, Err(wav::WavError::Cancelled));
    assert!(parts.len() == 3 && parts.is_sorted());
}

/// 2,000 bars of 10 seconds: refused with the length, before anything is rendered.
#[test]
fn a_tune_of_many_hours_is_refused() {
    let mut long = document(2000, 30);
    long.meter = thumbwalk::theory::Meter::parse("5/4").unwrap();
    let options = wav::WavOptions {
        depth: wav::Depth::Bits24,
        ..wav::WavOptions::default()
    };
    let refused = wav::write(&long, &one_bar(&[]), &options);
    assert_eq!(refused, Err(wav::WavError::TooLong { hours: 5 }));
}

/// Where the limiter has nothing to do everything before it is a sum, so the stems must add up to
/// the whole; 24 bits are told apart down to 2⁻²³.
#[test]
fn stems_add_up_to_the_whole() {
    let (document, arrangement) = walking_bars(2, 120);
    let options = wav::WavOptions {
        sample_rate: 44_100,
        depth: wav::Depth::Bits24,
        ..wav::WavOptions::default()
    };
    let recording = wav::Recording::prepare(&document, &arrangement, &options, &mut |_| true);
    let recording = recording.unwrap();
    let samples = |only: Option<Row>| -> Vec<i32> {
        let file = recording.write(&options, only, &mut |_| true).unwrap();
        let samples = file[44..].chunks_exact(3);
        samples
            .map(|b| i32::from_le_bytes([0, b[0], b[1], b[2]]) >> 8)
            .collect()
    };
    let whole = samples(None);
    let [tune, fingers, thumb] = Row::ALL.map(|row| samples(Some(row)));
    assert!(tune.iter().all(|x| *x == 0), "it has no notes");
    assert!(fingers != whole && thumb != whole);
    let stems = fingers.iter().zip(&thumb).map(|(a, b)| a + b);
    let worst = stems.zip(&whole).map(|(sum, x)| (sum - x).abs()).max();
    assert!(worst.unwrap() <= 4, "{worst:?} of 8388607");
    let stopped = wav::Recording::prepare(&document, &arrangement, &options, &mut |_| false);
    assert_eq!(stopped.map(|_| ()), Err(wav::WavError::Cancelled));
}

/// Renders what the change makes of the sound while it plays: the tune as it was, and how it goes
/// on after a swap at a frame.
fn changed_at(
    before: &(Document, Arrangement),
    after: &(Document, Arrangement),
    at: usize,
    frames: usize,
) -> Vec<f32> {
    let of = |(document, arrangement): &(_, _)| perform(document, arrangement, None);
    let (old, new) = (of(before), of(after));
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    bank.prepare(&old, &mut |_, _| true);
    bank.prepare(&new, &mut |_, _| true);
    let (mut remote, mut renderer) = transport(RATE);
    remote.set_timeline(Box::new(Timeline::new(&old, &bank)), Swap::Stop);
    remote.play_from(0, None);
    renderer.settle();
    let mut sound = vec![0.0; 2 * frames];
    let (first, rest) = sound.split_at_mut(2 * at);
    renderer.render(first);
    let swap = Swap::keeping_place(&old, &new, remote.playhead().frame, RATE);
    remote.set_timeline(Box::new(Timeline::new(&new, &bank)), swap);
    renderer.render(rest);
    sound
}

/// A change in the middle of a slot: what sounds goes on through it, and the next strike comes at
/// its new moment. At 120 the second beat begins at frame 24,000 and its off-beat, swung 2 : 1, at
/// 40,000; straight it is 36,000; at 160 a beat has 18,000 frames.
#[test]
fn changes_while_playing_are_heard_from_the_next_slot_on() {
    let notes = [
        note(0, 0, 960, 0, 3, Lane::Thumb, Articulation::Ring),
        note(0, 960, 960, 1, 2, Lane::Thumb, Articulation::Ring),
        note(0, 1440, 480, 3, 0, Lane::Fingers, Articulation::Short),
    ];
    let mut before = (document(1, 120), one_bar(&notes));
    before.0.feel = Feel::Swing(2000);
    let at = 28_000;
    let tempo = {
        let mut tune = before.clone();
        tune.0.tempo_bpm = 160;
        // 4,000 of 24,000 frames of the beat are gone; the off-beat is at two thirds.
        (tune, at + (16_000 - 4_000) * 3 / 4)
    };
    let swing = {
        let mut tune = before.clone();
        tune.0.feel = Feel::Straight;
        // 4,000 of 16,000 frames to the off-beat are gone: a quarter of what is then 12,000.
        (tune, at + 12_000 * 3 / 4)
    };
    let edit = {
        let mut tune = before.clone();
        tune.1.notes[2].fret = 2;
        tune.1.notes[2].pitch = Instrument::default()
            .pitch(tune.1.notes[2].string, 2)
            .unwrap();
        (tune, 40_000)
    };
    for (name, (after, strike)) in [("tempo", tempo), ("swing", swing), ("edit", edit)] {
        let frames = 60_000;
        let changed = changed_at(&before, &after, at, frames);
        let mut silent = after.clone();
        silent.1.notes.truncate(2);
        let without = changed_at(&before, &silent, at, frames);
        let onset = first_difference(&changed, &without).unwrap();
        let expected = strike + LATENCY_FRAMES;
        assert!(
            onset.abs_diff(expected) <= 2,
            "{name}: struck at {onset}, expected {expected}"
        );
        // Until then nothing has happened to the note that sounds.
        let as_before = changed_at(&before, &before, at, frames);
        let touched = first_difference(&changed, &as_before).unwrap();
        assert!(
            touched >= expected.min(40_000 + LATENCY_FRAMES) - 2,
            "{name}: the note that sounds is touched at {touched}"
        );
        assert!(
            largest_step(&changed) <= 1.5 * largest_step(&as_before),
            "{name}"
        );
    }
}

/// At 120 and 2 : 1 the first off-beat, and so the next slot, is at frame 16,000 of the first beat.
#[test]
fn what_is_changed_about_a_sounding_note_is_heard_from_the_next_slot_on() {
    const SLOT: usize = 16_000 + LATENCY_FRAMES;
    let bass = note(0, 0, 1920, 0, 3, Lane::Thumb, Articulation::Ring);
    let higher = note(0, 0, 1920, 0, 7, Lane::Thumb, Articulation::Ring);
    let chord = note(0, 0, 1920, 3, 4, Lane::Fingers, Articulation::Ring);
    let tune = |notes: &[_]| (document(1, 120), one_bar(notes));
    let both = tune(&[bass, chord]);
    let (at, frames) = (5_000, 40_000);
    let as_before = changed_at(&both, &both, at, frames);
    let hz = |key: f64| 440.0 * 2f64.powf((key - 69.0) / 12.0);
    let left = |sound: &[f32]| sound.iter().step_by(2).copied().collect::<Vec<f32>>();
    let power = |sound: &[f32]| sound.iter().map(|x| x * x).sum::<f32>();
    for (name, after) in [
        ("moved", tune(&[higher, chord])),
        ("removed", tune(&[chord])),
        ("all gone", tune(&[])),
    ] {
        let changed = changed_at(&both, &after, at, frames);
        let touched = first_difference(&changed, &as_before).unwrap();
        assert!((SLOT..SLOT + 3).contains(&touched), "{name}: {touched}");
        let steps = (largest_step(&changed), largest_step(&as_before));
        assert!(steps.0 <= 1.2 * steps.1, "{name}: {steps:?}");
        // 8 ms later the bass is another one, or none: G2 is key 43, B2 is key 47.
        let part = &left(&changed)[SLOT + 1_000..SLOT + 20_000];
        let heard = |key: f64| magnitude(part, f64::from(RATE), hz(key));
        let (old, new) = (heard(43.0), heard(47.0));
        match name {
            "moved" => assert!(new > 20.0 * old, "{name}: {old} {new}"),
            "removed" => {
                let kept = magnitude(
                    &left(&as_before)[SLOT + 1_000..SLOT + 20_000],
                    f64::from(RATE),
                    hz(43.0),
                );
                assert!(old < 0.1 * kept, "{name}: {old} {kept}");
            }
            _ => assert!(
                power(&changed[2 * (SLOT + 12_000)..])
                    < 1e-3 * power(&as_before[2 * (SLOT + 12_000)..])
            ),
        }
    }
    // A note that is put beside what sounds comes in there as well.
    let alone = tune(&[bass]);
    let added = changed_at(&alone, &both, at, frames);
    let touched = first_difference(&added, &changed_at(&alone, &alone, at, frames)).unwrap();
    assert!((SLOT..SLOT + 3).contains(&touched), "added: {touched}");
}

/// Taken back before the next slot, an edit was never heard.
#[test]
fn an_edit_that_is_taken_back_at_once_cannot_be_heard() {
    let bass = note(0, 0, 1920, 0, 3, Lane::Thumb, Articulation::Ring);
    let higher = note(0, 0, 1920, 0, 7, Lane::Thumb, Articulation::Ring);
    let of = |note| perform(&document(1, 120), &one_bar(&[note]), None);
    let performances = [of(bass), of(higher), of(bass)];
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    for performance in &performances {
        bank.prepare(performance, &mut |_, _| true);
    }
    let play = |versions: &[usize]| {
        let (mut device, mut remote) = SilentDevice::new(RATE);
        let mut now = 0;
        remote.set_timeline(Box::new(Timeline::new(&performances[0], &bank)), Swap::Stop);
        remote.play_from(0, None);
        let mut sound = device.advance(4_000).to_vec();
        for version in versions {
            let (old, new) = (&performances[now], &performances[*version]);
            let head = remote.playhead();
            let swap = Swap::keeping_place(old, new, head.frame, RATE);
            let timeline = Box::new(Timeline::new(new, &bank));
            remote.set_timeline_unless_taken(timeline, swap, head.taken);
            now = *version;
            sound.extend_from_slice(device.advance(2_000));
        }
        sound.extend_from_slice(device.advance(30_000 - 2_000 * versions.len()));
        (sound, remote.poll())
    };
    let plain = play(&[]);
    for (versions, returned) in [(&[1, 2][..], 2), (&[1, 2, 1, 2], 4)] {
        let (sound, back) = play(versions);
        assert_eq!(first_difference(&sound, &plain.0), None, "{versions:?}");
        assert_eq!(back, returned, "old timelines come back");
    }
}

/// The swap was computed for what played before: carried out later, it would jump.
#[test]
fn an_edit_for_the_tempo_before_is_refused_when_the_loop_has_come_round() {
    let tune = walking_bars(2, 120);
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    let [slow, fast] = [50, 100].map(|percent| pass_at(&tune, percent, &mut bank));
    let play = |edits: bool| {
        let (mut device, mut remote) = SilentDevice::new(RATE);
        remote.set_timeline(Box::new(slow.clone()), Swap::Stop);
        remote.set_loop(Some((0, 10_000)));
        remote.set_next(Some(NextPass {
            range: (0, 5_000),
            timeline: Box::new(fast.clone()),
            at_pass: 1,
        }));
        remote.play_from(0, None);
        let mut sound = device.advance(9_900).to_vec();
        let head = remote.playhead();
        sound.extend_from_slice(device.advance(200));
        if edits {
            let same = Swap::Map {
                from: head.frame,
                to: head.frame,
                stretch: 1.0,
            };
            remote.set_timeline_unless_taken(Box::new(slow.clone()), same, head.taken);
        }
        sound.extend_from_slice(device.advance(20_000));
        (sound, remote.playhead(), remote.poll())
    };
    let (plain, edited) = (play(false), play(true));
    assert_eq!(first_difference(&plain.0, &edited.0), None);
    assert_eq!(plain.1, edited.1);
    assert_eq!(edited.2, plain.2 + 1, "what is refused comes back");
}

#[test]
fn an_empty_tune_makes_a_short_file_of_silence() {
    let document = thumbwalk::document::Document::default();
    let file = wav::write(&document, &one_bar(&[]), &wav::WavOptions::default()).unwrap();
    assert!(file.len() > 44 && file[44..].iter().all(|b| *b == 0));
}

fn grip(shape: &str) -> Performance {
    perform_shape(&Instrument::default(), &Shape::parse(shape).unwrap(), None)
}

#[test]
fn a_bank_can_be_filled_in_parts_and_used_in_between() {
    let performance = grip("3x443x");
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    assert_eq!(bank.missing(&performance).len(), 4);
    let mut told = Vec::new();
    let complete = bank.prepare(&performance, &mut |done, of_all| {
        told.push((done, of_all));
        done < 2
    });
    assert!(!complete);
    assert_eq!(told, [(1, 4), (2, 4)]);
    assert_eq!(Timeline::new(&performance, &bank).missing(), 2);
    assert!(bank.prepare(&performance, &mut |_, _| true));
    assert_eq!(Timeline::new(&performance, &bank).missing(), 0);
    assert!(bank.missing(&performance).is_empty());
}

#[test]
fn what_is_shared_is_computed_once_and_what_is_not_needed_can_go() {
    let (first, second) = (grip("3x443x"), grip("3x343x"));
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    bank.prepare(&first, &mut |_, _| true);
    assert_eq!(bank.missing(&second).len(), 1);
    bank.prepare(&second, &mut |_, _| true);
    assert_eq!(bank.len(), 5);
    bank.trim(&second, 0);
    assert_eq!(bank.len(), 4, "what is needed stays");
    assert!(bank.missing(&second).is_empty() && bank.bytes() > 0);
}

#[test]
fn what_was_needed_longest_ago_goes_first() {
    let grips = ["3xxxxx", "5xxxxx", "7xxxxx", "3xxxxx", "9xxxxx"];
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    let mut room = 0;
    for shape in grips {
        let performance = grip(shape);
        bank.prepare(&performance, &mut |_, _| true);
        // Room for three of these notes, which are all as long.
        room = room.max(bank.bytes() / bank.len() * 3);
        bank.trim(&performance, room);
        assert!(bank.bytes() <= room);
    }
    let is_there = |shape| bank.missing(&grip(shape)).is_empty();
    assert_eq!(
        ["3xxxxx", "5xxxxx", "7xxxxx", "9xxxxx"].map(is_there),
        [true, false, true, true]
    );
}

#[test]
fn a_grip_is_rolled_from_the_thumb_up() {
    let performance = grip("x3x453");
    let starts: Vec<f64> = performance.notes.iter().map(|n| n.start_s).collect();
    assert!(starts.is_sorted_by(|a, b| a < b) && starts.len() == 4);
    let thumbs: Vec<bool> = performance.notes.iter().map(|n| n.by_thumb).collect();
    assert_eq!(thumbs, [true, false, false, false]);
    let pitches: Vec<u8> = performance.notes.iter().map(|n| n.pitch.number()).collect();
    assert_eq!(pitches, [48, 59, 64, 67]);
}

#[test]
fn a_silent_device_lets_time_pass_only_when_told() {
    let performance = grip("3x443x");
    let mut bank = Bank::new(RATE, performance.stringing);
    bank.prepare(&performance, &mut |_, _| true);
    let (mut device, mut remote) = SilentDevice::new(RATE);
    assert!(!remote.playhead().running);
    remote.hear(Box::new(Timeline::new(&performance, &bank)));
    assert!(remote.playhead().running, "orders under way count as done");
    let heard = device.advance(9_000);
    assert_eq!(heard.len(), 18_000);
    assert!(heard.iter().any(|x| x.abs() > 0.01));
    assert_eq!(remote.playhead().frame, 9_000 - LATENCY_FRAMES as u64);
    assert!(remote.take_peak() > 0.01 && remote.take_peak() < 1e-9);
    device.advance(3 * RATE as usize);
    assert!(!remote.playhead().running);
}

/// Whatever is ordered, in whatever order, the sound stays finite and under the ceiling. Orders
/// come from a fixed sequence of pseudo-random numbers.
#[test]
fn no_sequence_of_orders_breaks_the_renderer() {
    let timelines = [
        timeline_of(&walking_bars(2, 90)),
        timeline_of(&walking_bars(3, 220)),
    ];
    let mut state = 12_345u64;
    let mut random = |below: u64| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (state >> 33) % below
    };
    let (mut device, mut remote) = SilentDevice::new(RATE);
    for step in 0..600 {
        let frame = [0, random(300_000), u64::MAX, 1][random(4) as usize];
        let timeline = Box::new(timelines[random(2) as usize].clone());
        match random(10) {
            0 => remote.set_timeline(timeline, Swap::Stop),
            1 | 2 => {
                let stretch = [0.5, 1.0, 3.0, f64::INFINITY][random(4) as usize];
                let to = random(300_000);
                let from = frame.min(400_000);
                remote.set_timeline(timeline, Swap::Map { from, to, stretch });
            }
            3 | 4 => remote.play_from(frame, None),
            5 => {
                let count_in = CountIn {
                    beats: random(4) as u32,
                    frames_per_beat: random(3000),
                };
                remote.play_from(random(200_000), Some(count_in));
            }
            6 => remote.set_loop(Some((random(200_000), frame))),
            7 => remote.set_gain([0.0, 1.0, 7.0, f32::NAN][random(4) as usize]),
            8 if random(2) == 0 => remote.set_click(random(2) == 0),
            8 => remote.set_next(Some(NextPass {
                timeline,
                range: (random(100_000), frame),
                at_pass: random(3),
            })),
            _ => remote.set_row_gain(Row::Fingers, random(2) as f32),
        }
        let frames = [1, 64, 777, 4000][random(4) as usize];
        let heard = device.advance(frames);
        let fine = heard.iter().all(|x| x.is_finite() && x.abs() <= 0.8913);
        assert!(fine, "step {step}");
        remote.poll();
    }
}
