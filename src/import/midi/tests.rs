//! Small MIDI files made event by event, read back as bars: formats, tracks, grids, pick-ups, ties.
//! What the bytes mean: "Standard MIDI Files 1.0", MIDI Manufacturers Association, 1996.

use super::*;
use crate::document::TuneNote;
use crate::import::Grid;
use midly::Format;
use midly::Header;
use midly::MetaMessage;
use midly::MidiMessage;
use midly::Smf;
use midly::Timing;
use midly::TrackEvent;
use midly::TrackEventKind;
use midly::num::u4;
use midly::num::u7;
use midly::num::u15;
use midly::num::u24;
use midly::num::u28;

/// Ticks of the files in a quarter.
const QUARTER: u32 = 480;

type Events<'a> = Vec<(u32, TrackEventKind<'a>)>;

fn meta(at: u32, message: MetaMessage<'_>) -> (u32, TrackEventKind<'_>) {
    (at, TrackEventKind::Meta(message))
}

/// Notes as (quarters, quarters, key) on a channel.
fn notes(channel: u8, list: &[(f64, f64, u8)]) -> Events<'static> {
    let tick = |quarters: f64| (quarters * f64::from(QUARTER)).round() as u32;
    let both = list.iter().flat_map(|(from, length, key)| {
        let event = |vel: u8| TrackEventKind::Midi {
            channel: u4::from_int_lossy(channel),
            message: MidiMessage::NoteOn {
                key: u7::from_int_lossy(*key),
                vel: u7::from_int_lossy(vel),
            },
        };
        [(tick(*from), event(80)), (tick(from + length), event(0))]
    });
    both.collect()
}

fn file(format: Format, tracks: Vec<Events<'_>>) -> Vec<u8> {
    let tracks = tracks.into_iter().map(|mut events| {
        // Ends of notes before begins.
        let is_on = |kind: &TrackEventKind<'_>| {
            matches!(kind, TrackEventKind::Midi { message: MidiMessage::NoteOn { vel, .. }, .. } if vel.as_int() > 0)
        };
        events.sort_by_key(|(at, kind)| (*at, is_on(kind)));
        let mut now = 0;
        let mut track: Vec<TrackEvent<'_>> = Vec::new();
        for (at, kind) in events {
            let delta = u28::from_int_lossy(at - now);
            track.push(TrackEvent { delta, kind });
            now = at;
        }
        let kind = TrackEventKind::Meta(MetaMessage::EndOfTrack);
        track.push(TrackEvent { delta: u28::from_int_lossy(0), kind });
        track
    });
    let timing = Timing::Metrical(u15::from_int_lossy(QUARTER as u16));
    let smf = Smf {
        header: Header::new(format, timing),
        tracks: tracks.collect(),
    };
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes).expect("written");
    bytes
}

fn imported(bytes: &[u8]) -> Imported {
    read(bytes, Choice::default()).expect("a MIDI file")
}

fn said(imported: &Imported) -> String {
    let all: Vec<String> = imported.notices.iter().map(ToString::to_string).collect();
    all.join("\n")
}

fn tune(document: &Document) -> String {
    let one = |n: &TuneNote| {
        let tie = if n.tied { "-" } else { "" };
        format!("{tie}{}+{}:{}", n.at.0, n.length.0, n.pitch.number())
    };
    let bar = |bar: &Bar| bar.tune.iter().map(one).collect::<Vec<_>>().join(" ");
    document.bars().map(bar).collect::<Vec<_>>().join(" | ")
}

#[test]
fn a_track_becomes_bars_with_metre_key_tempo_and_sections() {
    let conductor = vec![
        meta(0, MetaMessage::TrackName(b"A tune")),
        meta(0, MetaMessage::Copyright(b"nobody")),
        meta(0, MetaMessage::Tempo(u24::from_int_lossy(400_000))),
        meta(0, MetaMessage::KeySignature(-1, true)),
        meta(0, MetaMessage::TimeSignature(3, 2, 24, 8)),
        meta(0, MetaMessage::Marker(b"A")),
        meta(QUARTER * 3, MetaMessage::Marker(b"B")),
    ];
    let track = notes(0, &[(0.0, 1.0, 62), (1.0, 0.5, 65), (1.5, 3.5, 69)]);
    let read = imported(&file(Format::Parallel, vec![conductor, track]));
    let document = &read.document;
    assert_eq!(
        tune(document),
        "0+960:62 960+480:65 1440+1440:69 | -0+1920:69"
    );
    assert_eq!(document.title, "A tune");
    assert_eq!(
        (document.key.to_string(), document.tempo_bpm),
        ("D minor".into(), 150)
    );
    let names: Vec<&str> = document.sections.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["A", "B"]);
    assert!(document.bars().all(|bar| bar.chords.is_empty()));
    let said = said(&read);
    assert!(
        said.contains("write the chords in the grid") && said.contains("“nobody”"),
        "{said}"
    );
}

#[test]
fn played_notes_come_to_the_grid_and_small_gaps_are_filled() {
    let swung = [
        (0.01, 0.5, 60),
        (0.66, 0.2, 62),
        (0.99, 0.85, 64),
        (2.67, 0.3, 65),
        (3.0, 0.9, 67),
    ];
    let read = imported(&file(Format::SingleTrack, vec![notes(0, &swung)]));
    assert_eq!(
        tune(&read.document),
        "0+480:60 480+480:62 960+960:64 2400+480:65 2880+960:67"
    );
    assert!(matches!(read.document.feel, Feel::Swing(ratio) if (1900..=2100).contains(&ratio)));
    let said = said(&read);
    assert!(
        said.contains("brought to swung eighths, which fit best: "),
        "{said}"
    );
    let sixteenths = Choice {
        part: None,
        grid: Some(Grid::Sixteenths),
    };
    let read = super::read(
        &file(Format::SingleTrack, vec![notes(0, &swung)]),
        sixteenths,
    )
    .expect("read");
    assert_eq!(read.document.feel, Feel::Straight);
    let first: String = tune(&read.document).chars().take(20).collect();
    assert_eq!(first, "0+480:60 720+240:62 ");
}

#[test]
fn the_track_named_as_a_tune_is_taken_unless_another_is_chosen() {
    let bass = [
        vec![meta(0, MetaMessage::TrackName(b"Bass"))],
        notes(1, &[(0.0, 4.0, 40)]),
    ]
    .concat();
    let lead = [
        vec![meta(0, MetaMessage::TrackName(b"Lead synth"))],
        notes(0, &[(0.0, 4.0, 72), (0.0, 4.0, 76)]),
    ]
    .concat();
    let drums = notes(9, &[(0.0, 1.0, 36)]);
    let bytes = file(Format::Parallel, vec![bass, drums, lead]);
    let read = imported(&bytes);
    assert_eq!(tune(&read.document), "0+3840:76");
    let said = said(&read);
    for word in [
        "track 2, “Lead synth”",
        "drums",
        "bar 1: of notes struck together",
    ] {
        assert!(said.contains(word), "{word}: {said}");
    }
    let first = Choice {
        part: Some(0),
        grid: None,
    };
    assert_eq!(
        tune(&super::read(&bytes, first).expect("read").document),
        "0+3840:40"
    );
    let third = Choice {
        part: Some(2),
        grid: None,
    };
    let error = super::read(&bytes, third).expect_err("refused").to_string();
    assert!(error.contains("1 Bass; 2 Lead synth"), "{error}");
    let mixed = [notes(0, &[(0.0, 4.0, 60)]), notes(3, &[(0.0, 4.0, 64)])].concat();
    let read = imported(&file(Format::SingleTrack, vec![mixed]));
    let names: Vec<&str> = read.parts.iter().map(|part| part.name.as_str()).collect();
    assert_eq!(names, ["channel 1", "channel 4"]);
}

#[test]
fn pick_ups_compound_beats_and_odd_metres_keep_their_length() {
    let pickup = vec![
        meta(0, MetaMessage::TimeSignature(1, 2, 24, 8)),
        meta(QUARTER, MetaMessage::TimeSignature(4, 2, 24, 8)),
    ];
    let track = [pickup, notes(0, &[(0.0, 1.0, 67), (1.0, 4.0, 72)])].concat();
    let read = imported(&file(Format::SingleTrack, vec![track]));
    assert_eq!(tune(&read.document), "0+960:67 | 0+3840:72");
    assert_eq!(read.document.bar_length(0), Ticks(960));
    assert_eq!(read.document.meter, Meter::COMMON);
    let six = vec![meta(0, MetaMessage::TimeSignature(6, 3, 36, 8))];
    let track = [
        six,
        notes(0, &[(0.0, 0.5, 60), (0.5, 1.0, 62), (1.5, 1.5, 64)]),
    ]
    .concat();
    let bytes = file(Format::SingleTrack, vec![track]);
    assert_eq!(
        tune(&imported(&bytes).document),
        "0+320:60 320+640:62 960+960:64"
    );
    let triplets = Choice {
        part: None,
        grid: Some(Grid::Triplets),
    };
    assert!(read_error(&bytes, triplets).contains("no grid of triplets"));
    let seven = vec![meta(0, MetaMessage::TimeSignature(7, 3, 24, 8))];
    let track = [seven, notes(0, &[(0.0, 3.5, 60), (3.5, 1.0, 62)])].concat();
    let read = imported(&file(Format::SingleTrack, vec![track]));
    assert_eq!(read.document.bar_length(0), Ticks(3360));
    assert!(said(&read).contains("7/8 is not among"));
}

fn read_error(bytes: &[u8], choice: Choice) -> String {
    read(bytes, choice).expect_err("refused").to_string()
}

#[test]
fn a_key_that_nobody_names_is_guessed_and_told() {
    let scale = [62, 64, 66, 67, 69, 71, 73, 74, 69, 66, 62, 62];
    let list: Vec<(f64, f64, u8)> = (0..)
        .zip(scale)
        .map(|(i, key)| (f64::from(i), 1.0, key))
        .collect();
    let read = imported(&file(Format::SingleTrack, vec![notes(0, &list)]));
    assert_eq!(read.document.key.to_string(), "D major");
    assert!(said(&read).contains("by its notes it is taken as D major"));
}

/// A note that never ends sounds through all others, but is no more of the key for that.
#[test]
fn a_note_that_sounds_through_the_tune_does_not_decide_the_key() {
    let scale = [62, 64, 66, 67, 69, 71, 73, 74, 69, 66, 62, 62];
    let list = (0..).zip(scale);
    let list = list.map(|(i, key)| (f64::from(i), 1.0, key));
    let list: Vec<(f64, f64, u8)> = list.chain([(1.0, 11.0, 65)]).collect();
    let read = imported(&file(Format::SingleTrack, vec![notes(0, &list)]));
    assert_eq!(read.document.key.to_string(), "D major");
}

#[test]
fn what_cannot_be_taken_is_refused_in_words() {
    let one = || notes(0, &[(0.0, 1.0, 60)]);
    let mut two = file(Format::Parallel, vec![one(), one()]);
    two[9] = 2;
    assert!(read_error(&two, Choice::default()).contains("format 2"));
    let mut frames = file(Format::SingleTrack, vec![one()]);
    frames[12] = 0xE7;
    assert!(read_error(&frames, Choice::default()).contains("frames of a film"));
    let silent = file(Format::SingleTrack, vec![Vec::new()]);
    assert!(read_error(&silent, Choice::default()).contains("no notes"));
    assert!(read_error(b"MThd", Choice::default()).contains("no MIDI file"));
    let late = file(Format::SingleTrack, vec![notes(0, &[(100_000.0, 1.0, 60)])]);
    assert!(read_error(&late, Choice::default()).contains("2000 bars"));
    assert!(looks_like(&late) && !looks_like(b"MTrk"));
}
