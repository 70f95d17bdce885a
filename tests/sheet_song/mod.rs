//! A small tune arranged by hand for the tests of sheets: ii V I VI in shell-like drop 2 and
//! drop 3 grips, thumb on every beat with an approach on the fourth, fingers on two off-beats.
//! Our own material. Builds plain values only, so these tests need no solver.

#![allow(dead_code, reason = "each test binary uses its own part")]

pub mod everything;
pub mod random;

use std::path::Path;
use std::sync::Arc;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::ChosenGrip;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::arrange::PluckFinger;
use thumbwalk::document::Bar;
use thumbwalk::document::ChordAt;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::instrument::Effort;
use thumbwalk::instrument::Finger;
use thumbwalk::instrument::Grip;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::Shape;
use thumbwalk::instrument::StringIdx;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::ChordSymbol;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::Key;
use thumbwalk::theory::Midi;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;
use thumbwalk::voicing::Family;
use thumbwalk::voicing::Voicing;

/// A grip from `x5756x` and its fingers `x1324x`.
pub fn grip(shape: &str, fingers: &str) -> Grip {
    let mut grip = Grip::unfingered(Shape::parse(shape).expect("a shape"));
    for (s, digit) in (0u8..).zip(fingers.chars()) {
        grip = grip.with_finger(StringIdx(s), Finger::from_digit(digit));
    }
    grip
}

pub fn voicing(grip: Grip) -> Voicing {
    let lowest = grip.shape.sounding().next().map(|(s, _)| s);
    Voicing {
        grip,
        thumb_string: lowest.unwrap_or(StringIdx(0)),
        notes: Vec::new(),
        family: Family::Drop3,
        inversion: Some(0),
        effort: Effort::default(),
    }
}

pub fn chord_at(symbol: &str, beat: u32) -> ChordAt {
    let harmony = if symbol == "N.C." {
        Harmony::NoChord
    } else {
        Harmony::Chord(ChordSymbol::parse(symbol).expect("a chord symbol"))
    };
    ChordAt {
        at: Ticks::of_beat(beat),
        harmony,
        shape: None,
    }
}

/// Symbol, shape, fingers, then string (player's number), fret and finger of the approach.
type Turn = (&'static str, &'static str, &'static str, (u8, u8, char));

pub const TURNS: [Turn; 4] = [
    ("Dm7", "x5756x", "x1314x", (6, 2, '1')),
    ("G7", "3x343x", "2x143x", (5, 2, '1')),
    ("Cmaj7", "x3545x", "x1324x", (6, 4, '1')),
    ("A7", "5x565x", "1x121x", (5, 4, '1')),
];

/// Builds arrangements note by note.
pub struct Player {
    pub instrument: Instrument,
    pub arrangement: Arrangement,
}

impl Player {
    pub fn new(instrument: Instrument) -> Self {
        Self {
            instrument,
            arrangement: Arrangement::default(),
        }
    }

    pub fn note(&mut self, at: Place, length: u32, string: StringIdx, fret: u8) -> &mut PlayedNote {
        let pitch = self.instrument.pitch(string, fret);
        let pitch = pitch.unwrap_or(Midi::clamped(60));
        self.arrangement.notes.push(PlayedNote {
            place: at,
            length: Ticks(length),
            string,
            fret,
            finger: None,
            pluck: PluckFinger::P,
            lane: Lane::Thumb,
            pitch,
            spelling: Key::C_MAJOR.spell(pitch.pitch_class(), true),
            thumb_move: None,
            articulation: Articulation::Ring,
            slide_from: None,
        });
        self.arrangement.notes.last_mut().expect("just pushed")
    }

    /// The fingers' part of a grip.
    pub fn strike(&mut self, at: Place, length: u32, grip: &Grip, articulation: Articulation) {
        let letters = [PluckFinger::I, PluckFinger::M, PluckFinger::A];
        let strings: Vec<(StringIdx, u8)> = grip.shape.sounding().skip(1).collect();
        for ((string, fret), letter) in strings.into_iter().zip(letters) {
            let finger = grip.finger(string);
            let note = self.note(at, length, string, fret);
            note.lane = Lane::Fingers;
            note.pluck = letter;
            note.finger = finger;
            note.articulation = articulation;
        }
    }

    pub fn grip(&mut self, place: Place, chord_idx: usize, grip: Option<Grip>) {
        self.arrangement.grips.push(ChosenGrip {
            held_from: place,
            place,
            chord_idx,
            voicing: grip.map(voicing),
            change: Effort::default(),
        });
    }

    pub fn finish(mut self) -> Arrangement {
        self.arrangement
            .notes
            .sort_by_key(|n| (n.place, n.lane != Lane::Thumb, n.string));
        self.arrangement
    }
}

/// One bar of the turnaround.
pub fn play_turn(player: &mut Player, bar: usize, turn: &Turn) {
    let n = 6;
    let (_, shape, fingers, (string, fret, finger)) = turn;
    let grip = grip(shape, fingers);
    let at = |ticks: u32| Place {
        bar,
        at: Ticks(ticks),
    };
    player.grip(at(0), 0, Some(grip));
    let held: Vec<(StringIdx, u8)> = grip.shape.sounding().collect();
    let (root, root_fret) = held[0];
    let fifth = StringIdx::from_number(if root.0 == 0 { 5 } else { 6 }, n).expect("a string");
    let fifth_fret = if root.0 == 0 {
        root_fret + 2
    } else {
        root_fret
    };
    let beats = [
        (0, root, root_fret, grip.finger(root), ThumbMove::Root),
        (960, fifth, fifth_fret, Some(Finger::Ring), ThumbMove::Fifth),
        (1920, root, root_fret, grip.finger(root), ThumbMove::Root),
    ];
    for (ticks, string, fret, finger, thumb_move) in beats {
        let note = player.note(at(ticks), 960, string, fret);
        note.finger = finger;
        note.thumb_move = Some(thumb_move);
    }
    let approach = StringIdx::from_number(*string, n).expect("a string");
    let above = bar % 2 == 1;
    let note = player.note(at(2880), 960, approach, *fret + u8::from(above) * 2);
    note.finger = Finger::from_digit(*finger);
    note.thumb_move = Some(if above {
        ThumbMove::ApproachAbove
    } else {
        ThumbMove::ApproachBelow
    });
    player.strike(at(480), 1920, &grip, Articulation::Ring);
    player.strike(at(2400), 480, &grip, Articulation::Short);
}

/// A tune of so many bars in sections of eight.
pub fn tune(n_bars: usize) -> (Document, Arrangement) {
    let mut player = Player::new(Instrument::default());
    let mut bars = Vec::new();
    for bar in 0..n_bars {
        let turn = &TURNS[bar % TURNS.len()];
        bars.push(Bar {
            chords: vec![chord_at(turn.0, 0)],
            ..Bar::default()
        });
        play_turn(&mut player, bar, turn);
    }
    let sections = bars
        .chunks(8)
        .zip(["A", "B", "C", "D"].iter().cycle())
        .map(|(bars, name)| {
            Arc::new(Section {
                name: (*name).into(),
                bars: bars.to_vec(),
            })
        })
        .collect();
    let document = Document {
        title: "Kitchen Table Turnaround".into(),
        credits: "Thumbwalk sample, our own".into(),
        tempo_bpm: 112,
        lesson_text: "Keep the thumb as even as footsteps and let the fingers answer on the off-beat. \
                      First play the thumb alone, then the fingers alone, then both at half the tempo."
            .into(),
        sections,
        ..Document::default()
    };
    (document, player.finish())
}

/// Where to put files for looking at, if `SHEET_OUT` names a folder.
pub fn keep(name: &str, bytes: &[u8]) {
    if let Some(folder) = std::env::var_os("SHEET_OUT") {
        let folder = std::path::PathBuf::from(folder);
        std::fs::create_dir_all(&folder).expect("a folder to write to");
        std::fs::write(folder.join(name), bytes).expect("the file can be written");
    }
}

/// Compares with a file under `tests/golden`; `UPDATE_GOLDEN=1` rewrites it.
pub fn check_golden(name: &str, got: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(name);
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        let folder = path.parent().expect("a folder");
        std::fs::create_dir_all(folder).expect("the folder can be made");
        std::fs::write(&path, got).expect("the file can be written");
    }
    let wanted = std::fs::read_to_string(&path).unwrap_or_default();
    for (i, (a, b)) in wanted.lines().zip(got.lines()).enumerate() {
        assert_eq!(a, b, "{name}, line {}; UPDATE_GOLDEN=1 accepts it", i + 1);
    }
    assert_eq!(wanted, got, "{name}; UPDATE_GOLDEN=1 accepts it");
}
