//! Tests of written rhythm: values, rests and beams as any theory primer gives them (common
//! practice; the order of values and dots as in MusicXML 4.0's note-type-value).

use super::*;
use crate::arrange::Place;
use crate::arrange::PluckFinger;
use crate::instrument::StringIdx;
use crate::theory::Letter;
use crate::theory::Midi;
use crate::theory::Spelling;

fn note(at: u32, length: u32, articulation: Articulation) -> PlayedNote {
    PlayedNote {
        place: Place {
            bar: 0,
            at: Ticks(at),
        },
        length: Ticks(length),
        string: StringIdx(2),
        fret: 5,
        finger: None,
        pluck: PluckFinger::I,
        lane: Lane::Fingers,
        pitch: Midi::clamped(55),
        spelling: Spelling::new(Letter::G, 0),
        thumb_move: None,
        articulation,
        slide_from: None,
    }
}

fn shown(written: Written) -> String {
    let mut text = format!("{:?}", written.value).to_lowercase();
    if written.dotted {
        text.push('.');
    }
    if written.triplet {
        text.push('3');
    }
    text
}

#[test]
fn values_fit_the_time_there_is_and_show_the_beat() {
    let table = [
        ("4/4", 0, 3840, "whole"),
        ("4/4", 0, 2880, "half."),
        ("4/4", 960, 1920, "half"),
        ("4/4", 0, 1440, "quarter."),
        ("4/4", 0, 960, "quarter"),
        ("4/4", 480, 1920, "eighth"),
        ("4/4", 480, 480, "eighth"),
        ("4/4", 240, 240, "sixteenth"),
        ("4/4", 0, 720, "eighth."),
        ("4/4", 0, 320, "eighth3"),
        ("4/4", 640, 320, "eighth3"),
        ("4/4", 0, 640, "quarter3"),
        ("12/8", 0, 960, "quarter."),
        ("12/8", 0, 320, "eighth"),
        ("12/8", 640, 320, "eighth"),
        ("12/8", 0, 640, "quarter"),
        ("6/8", 0, 1920, "half."),
        ("12/8", 0, 3840, "whole."),
    ];
    for (meter, at, length, expected) in table {
        let meter = Meter::parse(meter).unwrap();
        let written = Written::fitting(Ticks(at), Ticks(length), meter);
        assert_eq!(shown(written), expected, "{meter} {at} {length}");
        assert!(written.ticks(meter).0 <= length);
    }
}

#[test]
fn rests_fill_silence_but_never_a_ringing_note() {
    let ring = note(480, 1920, Articulation::Ring);
    let short = note(2400, 480, Articulation::Short);
    let notes = [(0, &ring), (1, &short)];
    let (voice, over) = write_voice(&notes, Ticks(3840), Meter::COMMON, Ticks(0));
    let rests: Vec<_> = voice
        .rests
        .iter()
        .map(|r| (r.at.0, shown(r.written)))
        .collect();
    assert_eq!(rests, [(0, "eighth".into()), (2880, "quarter".into())]);
    assert!(voice.strikes[0].rings_on && !voice.strikes[0].short);
    assert!(voice.strikes[1].short && !voice.strikes[1].rings_on);
    assert_eq!(over, Ticks(0));
}

#[test]
fn a_note_ringing_over_the_bar_line_takes_the_next_bars_rest_away() {
    let first = note(2400, 1920, Articulation::Ring);
    let (_, over) = write_voice(&[(0, &first)], Ticks(3840), Meter::COMMON, Ticks(0));
    assert_eq!(over, Ticks(480));
    let second = note(480, 480, Articulation::Short);
    let (voice, _) = write_voice(&[(1, &second)], Ticks(3840), Meter::COMMON, over);
    assert_eq!(voice.rests.first().map(|r| r.at), Some(Ticks(960)));
}

#[test]
fn eighths_are_beamed_within_a_beat_only() {
    let notes: Vec<PlayedNote> = [0, 480, 960, 1440, 2400]
        .map(|at| note(at, 480, Articulation::Ring))
        .to_vec();
    let numbered: Vec<(usize, &PlayedNote)> = notes.iter().enumerate().collect();
    let (voice, _) = write_voice(&numbered, Ticks(3840), Meter::COMMON, Ticks(0));
    assert_eq!(voice.beams, [vec![0, 1], vec![2, 3]]);
}

#[test]
fn notes_and_rests_of_a_short_voice_fill_the_bar_exactly() {
    for (meter, starts) in [
        ("4/4", vec![480, 2400]),
        ("3/4", vec![960, 1440]),
        ("5/4", vec![0, 2880]),
        ("12/8", vec![640, 1600, 2560]),
    ] {
        let meter = Meter::parse(meter).unwrap();
        let part = TICKS_PER_BEAT / meter.divisions();
        let notes: Vec<PlayedNote> = starts
            .iter()
            .map(|at| note(*at, part, Articulation::Short))
            .collect();
        let numbered: Vec<(usize, &PlayedNote)> = notes.iter().enumerate().collect();
        let (voice, _) = write_voice(&numbered, meter.bar(), meter, Ticks(0));
        let sum: u32 = voice
            .strikes
            .iter()
            .map(|s| s.written.ticks(meter).0)
            .chain(voice.rests.iter().map(|r| r.written.ticks(meter).0))
            .sum();
        assert_eq!(sum, meter.bar().0, "{meter}");
    }
}
