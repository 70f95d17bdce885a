//! Anything that can be done to a tune, by numbers: four of them are an action, so that a run of
//! random numbers is a run of work, the same every time. Shared by tests and by the robot that works
//! for hours.

#![allow(
    missing_docs,
    clippy::indexing_slicing,
    reason = "shared by several test programs"
)]

use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::document::Approach;
use thumbwalk::document::BarLine;
use thumbwalk::document::Document;
use thumbwalk::document::Edit;
use thumbwalk::document::Feel;
use thumbwalk::document::Paper;
use thumbwalk::document::SheetFont;
use thumbwalk::document::ThumbCell;
use thumbwalk::document::Walk;
use thumbwalk::instrument::Instrument;
use thumbwalk::instrument::StringIdx;
use thumbwalk::score::rhythm::Value;
use thumbwalk::session::Action;
use thumbwalk::session::BarsDeed;
use thumbwalk::session::Beside;
use thumbwalk::session::Extent;
use thumbwalk::session::Fill;
use thumbwalk::session::OnChords;
use thumbwalk::session::SectionDeed;
use thumbwalk::session::Selection;
use thumbwalk::session::Session;
use thumbwalk::session::TuneEntry;
use thumbwalk::theory::Articulation;
use thumbwalk::theory::Harmony;
use thumbwalk::theory::HouseStyle;
use thumbwalk::theory::Key;
use thumbwalk::theory::Letter;
use thumbwalk::theory::Meter;
use thumbwalk::theory::Midi;
use thumbwalk::theory::Pluck;
use thumbwalk::theory::Slide;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;

/// Our own; bar 6 holds the chord of bar 5 over, and there are repeats and a tune.
pub const CHART: &str = "Title: Two Lamps\nKey: C\nTempo: 120\n[A]\n|: Dm7 | G7 | Cmaj7 | A7 :|\n\
                     [B]\n| Fmaj7 | % | Em7 A7 | Dm7 G7 |\n";

/// A tune longer than this grows no more, so that a run of copies stays quick.
const LONG: usize = 40;

/// One thing done, by four numbers that `action` reads.
pub type Dice = (u8, u8, u8, u8);

fn pick<T: Copy>(all: &[T], die: u8) -> T {
    all[usize::from(die) % all.len()]
}

fn bars_deed(a: u8) -> BarsDeed {
    match a % 11 {
        0 => BarsDeed::Copy,
        1 => BarsDeed::Cut,
        2 => BarsDeed::Paste(Beside::After, None),
        3 => BarsDeed::Paste(Beside::Before, None),
        4 => BarsDeed::Paste(Beside::Over, None),
        5 => BarsDeed::Paste(Beside::After, Some("| Bb7 | Eb6 |".into())),
        6 => BarsDeed::Duplicate,
        7 => BarsDeed::Repeat(2),
        8 => BarsDeed::RepeatToEnd,
        9 => BarsDeed::Insert(Beside::Before),
        _ => BarsDeed::Delete,
    }
}

fn section_deed(a: u8) -> SectionDeed {
    match a % 8 {
        0 => SectionDeed::Rename("Bridge".into()),
        1 => SectionDeed::Insert(Beside::After),
        2 => SectionDeed::Duplicate,
        3 => SectionDeed::Move { later: true },
        4 => SectionDeed::Move { later: false },
        5 => SectionDeed::Delete,
        6 => SectionDeed::Begin,
        _ => SectionDeed::Join,
    }
}

fn tune_entry(a: u8, b: u8) -> TuneEntry {
    match a % 14 {
        0 => TuneEntry::Rest,
        1 => TuneEntry::Remove,
        2 => TuneEntry::RemoveBefore,
        3 => TuneEntry::Tie,
        4 => TuneEntry::Semitones(pick(&[1, -1], b)),
        5 => TuneEntry::Octaves(pick(&[1, -1], b)),
        6 => TuneEntry::Longer(b > 99),
        7 => TuneEntry::Later(b > 99),
        8 => TuneEntry::Value(pick(&[Value::Whole, Value::Half, Value::Eighth], b)),
        9 => TuneEntry::Dot,
        10 => TuneEntry::Triplet,
        11 => TuneEntry::Pitch(Midi::clamped(60 + i32::from(b % 20))),
        _ => TuneEntry::Letter(pick(&[Letter::C, Letter::E, Letter::G, Letter::B], b)),
    }
}

fn setting(document: &Document, a: u8, b: u8) -> Edit {
    let mut line = document.line.clone();
    let mut sheet = document.sheet;
    let mut tune = document.tune;
    let mut hand = document.hand.as_ref().clone();
    match a % 16 {
        0 => Edit::SetTempo(60 + u16::from(b)),
        1 => Edit::SetKey(Key::parse(pick(&["Bb", "F#", "Am", "Eb"], b)).expect("a key")),
        2 => {
            let meter = pick(&["4/4", "3/4", "5/4", "6/8", "12/8"], b);
            Edit::SetMeter(Meter::parse(meter).expect("a metre"))
        }
        3 => Edit::SetFeel(pick(
            &[Feel::Straight, Feel::Swing(1700), Feel::FollowTempo],
            b,
        )),
        4 => Edit::SetLayBack(b % 41),
        5 => Edit::Transpose(i8::try_from(b % 23).expect("small") - 11),
        6 => Edit::SetTitle(format!("Lamp {b}")),
        7 => Edit::SetLessonText("Keep the thumb even.".repeat(usize::from(b % 3))),
        8 => Edit::SetHouseStyle(pick(&[HouseStyle::Letters, HouseStyle::Signs], b)),
        9 => {
            line.walk = pick(&Walk::ALL, b);
            line.seed = u64::from(b);
            Edit::SetLine(line)
        }
        10 => {
            line.riff = !line.riff;
            line.approach = pick(&[Approach::Above, Approach::Alternate], b);
            Edit::SetLine(line)
        }
        11 => {
            sheet.paper = pick(&[Paper::A4, Paper::Letter], b);
            sheet.font = pick(&SheetFont::ALL, b / 2);
            Edit::SetSheet(sheet)
        }
        12 => {
            hand.plucking_fingers = pick(&[3, 4], b);
            Edit::SetHand(hand)
        }
        13 => {
            tune.octaves = pick(&[-1, 0, 1], b);
            Edit::SetTuneSettings(tune)
        }
        14 => Edit::SetRungs(thumbwalk::document::usual_ladder(b > 99)),
        _ => {
            let mut instrument = Instrument::clone(&document.instrument);
            instrument.capo = b % 4;
            Edit::SetInstrument(instrument)
        }
    }
}

fn cell(place: Place, a: u8, b: u8) -> Edit {
    let Place { bar, at } = place;
    let at = Ticks::of_beat(at.beat_idx());
    match a % 6 {
        0 => Edit::SetHarmony {
            bar,
            at,
            harmony: Some(
                Harmony::parse(pick(&["Ebm7b5", "G13(b9)", "C/E", "N.C.", "F6"], b)).expect("one"),
            ),
        },
        1 => Edit::SetHarmony {
            bar,
            at,
            harmony: None,
        },
        2 => Edit::SetThumb {
            bar,
            at,
            cell: Some(if b > 40 {
                ThumbCell::Move(pick(&ThumbMove::ALL, b))
            } else {
                ThumbCell::Place(StringIdx(b % 3), b % 8)
            }),
        },
        3 => Edit::SetPlucks {
            bar,
            plucks: (b > 60).then(|| vec![Pluck::new(at, Articulation::Short)]),
        },
        4 => Edit::SetSlide {
            bar,
            at,
            slide: (b > 60).then(|| pick(&Slide::ALL, b)),
        },
        _ => Edit::SetBarLine {
            bar,
            line: BarLine {
                walk: Some(pick(&Walk::ALL, b)),
                riff: Some(b > 99),
                ..BarLine::default()
            },
        },
    }
}

pub fn action(session: &Session, (kind, a, b, c): Dice) -> Action {
    let document = session.document();
    let n_bars = document.n_bars();
    let place = session.selection().place;
    let grows = n_bars > LONG;
    match kind % 16 {
        0 | 1 => {
            let bar = usize::from(a) % n_bars;
            let beats = (document.bar_length(bar).0 / 960).max(1);
            Action::Select(Selection {
                lane: pick(&[Lane::Tune, Lane::Fingers, Lane::Thumb], b),
                place: Place {
                    bar,
                    at: Ticks::of_beat(u32::from(b) % beats),
                },
                to_bar: (c > 128).then(|| (bar + usize::from(c % 4)).min(n_bars - 1)),
            })
        }
        2 | 3 => Action::Edit(cell(place, a, b)),
        4 | 5 => Action::Tune(tune_entry(a, b)),
        6 if !grows => Action::Bars(bars_deed(a)),
        7 if !grows => Action::Section(section_deed(a)),
        6 | 7 => Action::Bars(BarsDeed::Delete),
        8 => Action::Fill(pick(&[Fill::Plucks, Fill::Thumb, Fill::Voicings], a)),
        9 => Action::Lock(pick(&Extent::ALL, a)),
        10 => Action::Unlock(pick(&Extent::ALL, a)),
        11 => match session.candidates().get(usize::from(a)) {
            Some(candidate) if b > 128 => Action::UseVoicing(candidate.voicing.grip),
            Some(candidate) => Action::PutVoicing {
                of: (place.bar, 0),
                shape: candidate.voicing.grip.shape,
                on: OnChords::Bars(0, n_bars - 1),
            },
            None => Action::NextWay,
        },
        12 => Action::NextWay,
        13 => pick_action(a),
        _ => Action::Edit(setting(document, a, b)),
    }
}

fn pick_action(a: u8) -> Action {
    match a % 4 {
        0 => Action::EndStep,
        1 => Action::Redo,
        2 => Action::ShowTune(true),
        _ => Action::Undo,
    }
}
