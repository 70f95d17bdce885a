//! Small tunes for the sound tests, written as plain data so that no other part of the program
//! has to work for them.

#![allow(
    dead_code,
    missing_docs,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "shared by several test programs, each of which uses a part"
)]

pub mod desk;

use std::f64::consts::TAU;
use std::sync::Arc;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::arrange::PluckFinger;
use thumbwalk::document::Bar;
use thumbwalk::document::Document;
use thumbwalk::document::Section;
use thumbwalk::instrument::Finger;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::StringIdx;
use thumbwalk::score::Stringing;
use thumbwalk::score::perform;
use thumbwalk::sound::Bank;
use thumbwalk::sound::Timeline;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Letter;
use thumbwalk::theory::Spelling;
use thumbwalk::theory::Ticks;

pub const RATE: u32 = 48_000;

/// An empty tune in four-four.
pub fn document(n_bars: usize, tempo_bpm: u16) -> Document {
    let section = Section {
        name: "A".into(),
        bars: vec![Bar::default(); n_bars],
    };
    Document {
        tempo_bpm,
        sections: vec![Arc::new(section)],
        ..Document::default()
    }
}

/// A note on the standard guitar; strings from the lowest, 0.
pub fn note(
    bar: usize,
    at: u32,
    length: u32,
    string: u8,
    fret: u8,
    lane: Lane,
    articulation: Articulation,
) -> PlayedNote {
    let string = StringIdx(string);
    PlayedNote {
        place: Place { bar, at: Ticks(at) },
        length: Ticks(length),
        string,
        fret,
        finger: (fret > 0).then_some(Finger::Index),
        pluck: if lane == Lane::Thumb {
            PluckFinger::P
        } else {
            PluckFinger::I
        },
        lane,
        pitch: Instrument::default().pitch(string, fret).unwrap(),
        spelling: Spelling::new(Letter::C, 0),
        thumb_move: None,
        articulation,
        slide_from: None,
    }
}

/// Notes as an arrangement; they need not be sorted.
pub fn one_bar(notes: &[PlayedNote]) -> Arrangement {
    let mut notes = notes.to_vec();
    notes.sort_by_key(|n| (n.place, n.string));
    Arrangement {
        notes,
        ..Arrangement::default()
    }
}

/// Two five one in C, over and over: walking bass in quarters under short three-note chords on the
/// off-beats of 1 and 3, one of them ringing.
pub fn walking_bars(n_bars: usize, tempo_bpm: u16) -> (Document, Arrangement) {
    // (bass string and fret) x 4, (chord strings and frets) x 3: Dm7, G7, Cmaj7, A7.
    type Line = ([(u8, u8); 4], [(u8, u8); 3]);
    const LINES: [Line; 4] = [
        ([(1, 5), (0, 8), (1, 8), (0, 4)], [(2, 3), (3, 5), (4, 6)]),
        ([(0, 3), (1, 2), (1, 5), (1, 4)], [(2, 3), (3, 4), (4, 3)]),
        ([(1, 3), (1, 7), (0, 3), (0, 4)], [(2, 2), (3, 4), (4, 5)]),
        ([(0, 5), (1, 4), (0, 5), (1, 6)], [(2, 5), (3, 6), (4, 5)]),
    ];
    let mut notes = Vec::new();
    for bar in 0..n_bars {
        let (bass, chord) = LINES[bar % 4];
        for (beat, (string, fret)) in (0u32..).zip(bass) {
            let at = beat * 960;
            notes.push(note(
                bar,
                at,
                960,
                string,
                fret,
                Lane::Thumb,
                Articulation::Ring,
            ));
        }
        for (at, length, articulation) in [
            (480, 480, Articulation::Short),
            (2400, 1440, Articulation::Ring),
        ] {
            for (string, fret) in chord {
                notes.push(note(
                    bar,
                    at,
                    length,
                    string,
                    fret,
                    Lane::Fingers,
                    articulation,
                ));
            }
        }
    }
    (document(n_bars, tempo_bpm), one_bar(&notes))
}

/// The same with every chord ringing to the next and a tune in eighths on the highest string, so
/// that all six are heard all the time.
pub fn full_bars(n_bars: usize, tempo_bpm: u16) -> (Document, Arrangement) {
    let (document, walking) = walking_bars(n_bars, tempo_bpm);
    let mut notes = walking.notes;
    for chord in notes.iter_mut().filter(|n| n.lane == Lane::Fingers) {
        chord.articulation = Articulation::Ring;
        chord.length = Ticks(if chord.place.at.0 == 480 { 1920 } else { 1440 });
    }
    for eighth in 0..8 * u32::try_from(n_bars).unwrap() {
        let (bar, at) = ((eighth / 8) as usize, eighth % 8 * 480);
        let fret = [8, 7, 5, 3, 5, 7, 8, 10][(eighth * 3 % 8) as usize];
        notes.push(note(bar, at, 480, 5, fret, Lane::Tune, Articulation::Ring));
    }
    (document, one_bar(&notes))
}

/// A timeline with every note ready, on nylon strings.
pub fn timeline_of((document, arrangement): &(Document, Arrangement)) -> Timeline {
    let performance = perform(document, arrangement, None);
    let mut bank = Bank::new(RATE, Stringing::Nylon);
    assert!(bank.prepare(&performance, &mut |_, _| true));
    let timeline = Timeline::new(&performance, &bank);
    assert_eq!(timeline.missing(), 0);
    timeline
}

/// Magnitude of the Hann-windowed spectrum of a signal at one frequency.
pub fn magnitude(signal: &[f32], rate: f64, hz: f64) -> f64 {
    let n = signal.len() as f64;
    let (step_re, step_im) = ((TAU * hz / rate).cos(), (TAU * hz / rate).sin());
    let (win_re, win_im) = ((TAU / n).cos(), (TAU / n).sin());
    let (mut a, mut b) = (1.0f64, 0.0f64);
    let (mut c, mut d) = (1.0f64, 0.0f64);
    let (mut re, mut im) = (0.0, 0.0);
    for x in signal {
        let x = f64::from(*x) * (0.5 - 0.5 * c);
        re += x * a;
        im += x * b;
        (a, b) = (a * step_re - b * step_im, a * step_im + b * step_re);
        (c, d) = (c * win_re - d * win_im, c * win_im + d * win_re);
    }
    re.hypot(im)
}

/// Cents by which the strongest partial near `hz` lies above it: the top of a parabola through
/// the logarithms of the spectrum around its highest point.
pub fn cents_off(signal: &[f32], rate: f64, hz: f64) -> f64 {
    let at = |cents: f64| magnitude(signal, rate, hz * 2f64.powf(cents / 1200.0)).ln();
    let mut best = 0.0;
    for step in [8.0, 2.0] {
        let (low, mid, high) = (at(best - step), at(best), at(best + step));
        let curve = low - 2.0 * mid + high;
        best += (step * 0.5 * (low - high) / curve).clamp(-30.0, 30.0);
    }
    best
}
