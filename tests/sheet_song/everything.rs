//! A page of everything a sheet can hold, for looking at and for geometry: pick-up, repeats with
//! endings, several chords a bar, slides, ghost notes, two-digit frets, triplets, sixteenths,
//! long tune notes, no chord, a seventh string and a capo.

use super::Player;
use super::TURNS;
use super::chord_at;
use super::grip;
use super::play_turn;
use std::sync::Arc;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::arrange::PluckFinger;
use thumbwalk::document::Bar;
use thumbwalk::document::Document;
use thumbwalk::document::Feel;
use thumbwalk::document::Section;
use thumbwalk::instrument::Finger;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::StringIdx;
use thumbwalk::instrument::Tuning;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Key;
use thumbwalk::theory::Meter;
use thumbwalk::theory::Midi;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

fn at(bar: usize, ticks: u32) -> Place {
    Place {
        bar,
        at: Ticks(ticks),
    }
}

fn tune_note(player: &mut Player, place: Place, length: u32, string: u8, fret: u8) {
    let note = player.note(place, length, StringIdx(string), fret);
    note.lane = Lane::Tune;
    note.pluck = PluckFinger::A;
    note.finger = (fret > 0).then_some(Finger::Little);
}

fn thumb(player: &mut Player, place: Place, length: u32, string: u8, fret: u8, what: ThumbMove) {
    let note = player.note(place, length, StringIdx(string), fret);
    note.thumb_move = Some(what);
    note.finger = (fret > 0).then_some(Finger::Index);
}

/// A pick-up and nine bars.
pub fn everything() -> (Document, Arrangement) {
    let mut player = Player::new(Instrument::default());
    let p = &mut player;
    let mut bars = opening(p);
    bars.push(two_grips(p));
    bars.push(four_chords(p));
    bars.push(busy(p));
    bars.extend(long_notes(p));
    let (first, second) = bars.split_at(6);
    let named = |name: &str, bars: &[Bar]| {
        Arc::new(Section {
            name: name.into(),
            bars: bars.to_vec(),
        })
    };
    let document = Document {
        title: "A Rather Long Title for a Walk Around the Block & Back".into(),
        credits: "Thumbwalk sample, our own".into(),
        tempo_bpm: 96,
        feel: Feel::Swing(1700),
        sections: vec![
            named("", &first[..1]),
            named("Verse", &first[1..]),
            named("Bridge", second),
        ],
        ..Document::default()
    };
    (document, player.finish())
}

/// Pick-up and a repeated part with its first ending.
fn opening(p: &mut Player) -> Vec<Bar> {
    let mut bars = vec![Bar {
        length: Some(Ticks(960)),
        ..Bar::default()
    }];
    tune_note(p, at(0, 0), 480, 4, 10);
    tune_note(p, at(0, 480), 480, 4, 12);
    for (bar, turn) in (1..).zip(&TURNS) {
        play_turn(p, bar, turn);
        bars.push(Bar {
            chords: vec![chord_at(turn.0, 0)],
            repeat_start: bar == 1,
            repeat_times: if bar == 4 { 2 } else { 0 },
            ending: u8::from(bar >= 4),
            ..Bar::default()
        });
    }
    bars
}

/// Second ending with two grips of one chord, one with two-digit frets.
fn two_grips(p: &mut Player) -> Bar {
    let low = grip("x5756x", "x1314x");
    let high = grip("10-x-9-10-11-x", "2x134x");
    p.grip(at(5, 0), 0, Some(low));
    p.grip(at(5, 1920), 1, Some(high));
    for (ticks, string, fret, what) in [
        (0, 1, 5, ThumbMove::Root),
        (960, 0, 8, ThumbMove::Fifth),
        (1920, 0, 10, ThumbMove::Root),
        (2880, 0, 11, ThumbMove::ApproachDominant),
    ] {
        thumb(p, at(5, ticks), 960, string, fret, what);
    }
    p.strike(at(5, 480), 480, &low, Articulation::Ring);
    p.strike(at(5, 960), 960, &low, Articulation::Ring);
    p.strike(at(5, 1920), 1920, &high, Articulation::Ring);
    Bar {
        chords: vec![chord_at("Dm7", 0), chord_at("Dm7", 2)],
        ending: 2,
        ..Bar::default()
    }
}

fn four_chords(p: &mut Player) -> Bar {
    let four = [
        ("Cmaj7", "x3545x", "x1324x"),
        ("A7", "5x565x", "1x121x"),
        ("Dm7", "x5756x", "x1314x"),
        ("G13", "3x345x", "1x123x"),
    ];
    let mut chords = Vec::new();
    for (i, (symbol, shape, fingers)) in four.into_iter().enumerate() {
        let beat = u32::try_from(i).expect("a small number");
        let held = grip(shape, fingers);
        p.grip(at(6, beat * 960), i, Some(held));
        let (string, fret) = held.shape.sounding().next().expect("a note");
        thumb(p, at(6, beat * 960), 960, string.0, fret, ThumbMove::Root);
        p.strike(at(6, beat * 960 + 480), 480, &held, Articulation::Short);
        chords.push(chord_at(symbol, beat));
    }
    Bar {
        chords,
        ..Bar::default()
    }
}

/// Slides, a ghost note, triplets and sixteenths, to be played three times.
fn busy(p: &mut Player) -> Bar {
    for (ticks, length, string, fret) in [
        (0, 320, 4, 12),
        (320, 320, 4, 13),
        (640, 320, 5, 10),
        (960, 240, 5, 12),
        (1200, 240, 5, 10),
        (1440, 480, 4, 13),
        (1920, 720, 5, 12),
        (2640, 240, 5, 13),
        (2880, 960, 5, 15),
    ] {
        tune_note(p, at(7, ticks), length, string, fret);
    }
    thumb(p, at(7, 0), 960, 0, 10, ThumbMove::Root);
    thumb(p, at(7, 960), 960, 0, 10, ThumbMove::Ghost);
    thumb(p, at(7, 1920), 480, 0, 12, ThumbMove::StepUp);
    thumb(p, at(7, 2400), 480, 0, 13, ThumbMove::StepUp);
    thumb(p, at(7, 2880), 960, 1, 10, ThumbMove::ApproachAbove);
    for (ticks, fret, from) in [(1920, 10, 8), (2880, 9, 11)] {
        tune_note(p, at(7, ticks), 960, 2, fret);
        let note = p.arrangement.notes.last_mut().expect("just added");
        note.slide_from = Some(from);
    }
    Bar {
        chords: vec![chord_at("N.C.", 0)],
        repeat_start: true,
        repeat_times: 3,
        ..Bar::default()
    }
}

/// Long notes, and a bar in which everything is held.
fn long_notes(p: &mut Player) -> [Bar; 2] {
    let held = grip("x3545x", "x1324x");
    p.grip(at(8, 0), 0, Some(held));
    tune_note(p, at(8, 0), 2880, 5, 3);
    thumb(p, at(8, 0), 1920, 1, 3, ThumbMove::Root);
    thumb(p, at(8, 1920), 1920, 0, 3, ThumbMove::Fifth);
    tune_note(p, at(8, 2880), 960, 5, 0);
    p.strike(at(9, 0), 3840, &held, Articulation::Ring);
    thumb(p, at(9, 0), 3840, 1, 3, ThumbMove::Root);
    let chords = Bar {
        chords: vec![chord_at("Cmaj7", 0)],
        ..Bar::default()
    };
    [chords, Bar::default()]
}

/// 12/8 on seven strings with a capo: thumb on the beats, fingers on the last third.
pub fn compound() -> (Document, Arrangement) {
    let open = [35, 40, 45, 50, 55, 59, 64].map(Midi::clamped);
    let instrument = Instrument {
        tuning: Tuning::new("seven strings", &open).expect("a tuning"),
        capo: 2,
        left_handed: true,
        ..Instrument::default()
    };
    let mut player = Player::new(instrument.clone());
    let p = &mut player;
    let held = grip("xx5756x", "xx1314x");
    let mut bars = Vec::new();
    for bar in 0..6 {
        p.grip(at(bar, 0), 0, Some(held));
        for beat in 0..4 {
            let what = if beat % 2 == 0 {
                ThumbMove::Root
            } else {
                ThumbMove::Octave
            };
            thumb(
                p,
                at(bar, beat * 960),
                960,
                2,
                5 + u8::from(beat % 2 == 1) * 7,
                what,
            );
            if beat != 2 {
                p.strike(at(bar, beat * 960 + 640), 320, &held, Articulation::Short);
            } else {
                for part in 0..3 {
                    tune_note(p, at(bar, beat * 960 + part * 320), 320, 6, 5);
                }
            }
        }
        bars.push(Bar {
            chords: vec![chord_at("Em7", 0)],
            ..Bar::default()
        });
    }
    let document = Document {
        title: "Slow Twelve".into(),
        key: Key::parse("Em").expect("a key"),
        meter: Meter::parse("12/8").expect("a metre"),
        tempo_bpm: 60,
        instrument: Arc::new(instrument),
        lesson_text: "Count three to every beat.\n\nThe thumb is the drummer. ".repeat(12),
        sections: vec![Arc::new(Section {
            name: String::new(),
            bars,
        })],
        ..Document::default()
    };
    (document, player.finish())
}
