//! Random arrangements for the geometry of sheets: any frets on any strings at any places of the
//! grid, ringing or short, sliding, with chords, repeats and endings. Nobody could play most of it.

use super::Player;
use super::chord_at;
use super::grip;
use proptest::prelude::*;
use std::sync::Arc;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::arrange::PluckFinger;
use thumbwalk::document::Bar;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::instrument::Finger;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::StringIdx;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Key;
use thumbwalk::theory::Meter;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

/// One random bar: for each grid place which strings sound, at which frets.
#[derive(Clone, Debug)]
pub struct RandomBar {
    thumb: Vec<Option<(u8, u8, u8)>>,
    upper: Vec<(u8, u8, bool, u8)>,
    chords: u8,
    flags: u8,
}

/// A random bar.
pub fn random_bar() -> impl Strategy<Value = RandomBar> {
    (
        proptest::collection::vec(proptest::option::of((0..3_u8, 0..20_u8, 0..12_u8)), 4),
        proptest::collection::vec((0..8_u8, 0..20_u8, any::<bool>(), 0..6_u8), 12),
        0..4_u8,
        any::<u8>(),
    )
        .prop_map(|(thumb, upper, chords, flags)| RandomBar {
            thumb,
            upper,
            chords,
            flags,
        })
}

/// A tune of random bars in a key; every third note is spelled as if the line fell.
pub fn build(meter: Meter, key: Key, plan: &[RandomBar]) -> (Document, Arrangement) {
    let mut player = Player::new(Instrument::default());
    let mut bars = Vec::new();
    for (bar, random) in plan.iter().enumerate() {
        let at = |ticks: u32| Place {
            bar,
            at: Ticks(ticks),
        };
        let length = match random.flags >> 6 {
            1 => Ticks(960),
            2 => Ticks(meter.bar().0 + 960),
            _ => meter.bar(),
        };
        let beats = length.0 / 960;
        for beat in 0..beats {
            if let Some(Some((string, fret, what))) = random.thumb.get(beat as usize % 4) {
                let note = player.note(at(beat * 960), 960, StringIdx(*string), *fret);
                let what = ThumbMove::ALL.get(usize::from(*what)).copied();
                note.thumb_move = what.filter(|what| *what != ThumbMove::Rest);
                note.finger = (*fret > 0).then_some(Finger::Ring);
            }
        }
        let part = 960 / meter.divisions();
        for (slot, (strings, fret, short, slide)) in (0_u32..).zip(&random.upper) {
            if slot * part >= length.0 {
                break;
            }
            for (i, letter) in (0..3_u8).zip([PluckFinger::I, PluckFinger::M, PluckFinger::A]) {
                if strings & (1 << i) == 0 {
                    continue;
                }
                let length = part * (1 + u32::from(slide % 4));
                let note = player.note(at(slot * part), length, StringIdx(3 + i), *fret);
                note.lane = if i == 2 { Lane::Tune } else { Lane::Fingers };
                note.pluck = letter;
                note.finger = (*fret > 0).then_some(Finger::Middle);
                note.articulation = if *short {
                    Articulation::Short
                } else {
                    Articulation::Ring
                };
                note.slide_from = (*slide == 5).then_some(fret + 1);
            }
        }
        let symbols = ["Dm7", "G13", "Cmaj7", "F#m7b5"];
        let chords: Vec<_> = (0..u32::from(random.chords))
            .filter(|beat| *beat < beats)
            .zip(symbols)
            .map(|(beat, symbol)| chord_at(symbol, beat))
            .collect();
        for (i, chord) in chords.iter().enumerate() {
            let held = grip(
                if i % 2 == 0 {
                    "x5756x"
                } else {
                    "10-x-9-9-11-x"
                },
                "x1324x",
            );
            let place = Place { bar, at: chord.at };
            player.grip(place, i, Some(held));
        }
        bars.push(Bar {
            chords,
            repeat_start: random.flags & 3 == 1,
            repeat_times: if random.flags & 12 == 4 { 3 } else { 0 },
            ending: if random.flags & 48 == 16 { 1 } else { 0 },
            length: (length != meter.bar()).then_some(length),
            ..Bar::default()
        });
    }
    let cut = bars.len() / 2;
    let sections = [("Intro", &bars[..cut]), ("A", &bars[cut..])]
        .into_iter()
        .map(|(name, bars)| {
            Arc::new(Section {
                name: name.into(),
                bars: bars.to_vec(),
            })
        })
        .collect();
    let document = Document {
        title: "Random".into(),
        key,
        meter,
        sections,
        ..Document::default()
    };
    let mut arrangement = player.finish();
    for (i, note) in arrangement.notes.iter_mut().enumerate() {
        note.spelling = key.spell(note.pitch.pitch_class(), i % 3 > 0);
    }
    (document, arrangement)
}
