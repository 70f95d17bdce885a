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

/// Bars 1 to 12 after a pick-up.
pub fn everything() -> (Document, Arrangement) {
    let mut player = Player::new(Instrument::default());
    let p = &mut player;
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
            ending: if bar >= 4 { 1 } else { 0 },
            ..Bar::default()
        });
    }
    // Second ending with two chords, each with its own grip, then four chords in a bar.
    p.grip(at(5, 0), 0, Some(grip("x5756x", "x1314x")));
    p.grip(at(5, 1920), 1, Some(grip("10-x-9-10-11-x", "2x134x")));
    for (ticks, string, fret, what) in [
        (0, 1, 5, ThumbMove::Root),
        (960, 0, 8, ThumbMove::Fifth),
        (1920, 0, 10, ThumbMove::Root),
        (2880, 0, 11, ThumbMove::ApproachDominant),
    ] {
        thumb(p, at(5, ticks), 960, string, fret, what);
    }
    p.strike(
        at(5, 480),
        480,
        &grip("x5756x", "x1314x"),
        Articulation::Ring,
    );
    p.strike(
        at(5, 960),
        960,
        &grip("x5756x", "x1314x"),
        Articulation::Ring,
    );
    p.strike(
        at(5, 1920),
        1920,
        &grip("10-x-9-10-11-x", "2x134x"),
        Articulation::Ring,
    );
    bars.push(Bar {
        chords: vec![chord_at("Dm7", 0), chord_at("Dm7", 2)],
        ending: 2,
        ..Bar::default()
    });
    let four = [
        ("Cmaj7", "x3545x", "x1324x"),
        ("A7", "5x565x", "1x121x"),
        ("Dm7", "x5756x", "x1314x"),
        ("G13", "3x345x", "1x123x"),
    ];
    let mut chords = Vec::new();
    for (beat, (symbol, shape, fingers)) in (0u32..).zip(four) {
        let g = grip(shape, fingers);
        p.grip(
            at(6, beat * 960),
            usize::try_from(beat).expect("small"),
            Some(g),
        );
        let (string, fret) = g.shape.sounding().next().expect("a note");
        thumb(p, at(6, beat * 960), 960, string.0, fret, ThumbMove::Root);
        p.strike(at(6, beat * 960 + 480), 480, &g, Articulation::Short);
        chords.push(chord_at(symbol, beat));
    }
    bars.push(Bar {
        chords,
        ..Bar::default()
    });
    // Slides, a ghost note, triplets and sixteenths.
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
    p.note(at(7, 2880), 960, StringIdx(2), 9).slide_from = Some(11);
    p.note(at(7, 1920), 960, StringIdx(2), 10).slide_from = Some(8);
    bars.push(Bar {
        chords: vec![chord_at("N.C.", 0)],
        repeat_start: true,
        repeat_times: 3,
        ..Bar::default()
    });
    // Long notes and a bar of rest for the fingers.
    p.grip(at(8, 0), 0, Some(grip("x3545x", "x1324x")));
    tune_note(p, at(8, 0), 2880, 5, 3);
    thumb(p, at(8, 0), 1920, 1, 3, ThumbMove::Root);
    thumb(p, at(8, 1920), 1920, 0, 3, ThumbMove::Fifth);
    tune_note(p, at(8, 2880), 960, 5, 0);
    p.strike(
        at(9, 0),
        3840,
        &grip("x3545x", "x1324x"),
        Articulation::Ring,
    );
    thumb(p, at(9, 0), 3840, 1, 3, ThumbMove::Root);
    bars.push(Bar {
        chords: vec![chord_at("Cmaj7", 0)],
        ..Bar::default()
    });
    bars.push(Bar::default());
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
