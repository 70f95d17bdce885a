//! The string model note by note, measured: pitch of every note of the neck, decay, stretched
//! partials of stiff strings, and how strength and variants colour a stroke. Nothing is played.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    missing_docs,
    reason = "a test may stop at the first thing that is not as it should be"
)]

mod sound_support;

use sound_support::RATE;
use sound_support::cents_off;
use sound_support::magnitude;
use thumbwalk::score::Stringing;
use thumbwalk::sound::Kept;
use thumbwalk::sound::LONGEST_S;
use thumbwalk::sound::NoteSpec;
use thumbwalk::sound::Stroke;
use thumbwalk::sound::VARIANTS;
use thumbwalk::sound::render_note;

const OPEN: [u8; 6] = [40, 45, 50, 55, 59, 64];

fn spec(string: usize, fret: u8, stringing: Stringing, stroke: Stroke, rate: u32) -> NoteSpec {
    NoteSpec {
        sample_rate: rate,
        pitch: OPEN[string] + fret,
        open: OPEN[string],
        stringing,
        stroke,
        strength: 84,
        variant: 0,
        longest_s: LONGEST_S,
    }
}

/// ISO 16:1975: A4 = 440 Hz; equal temperament. Two cents are far below what can be heard in
/// music; the aim is one.
#[test]
fn every_fret_of_every_string_is_in_tune() {
    let mut worst: (f64, String) = (0.0, String::new());
    for stringing in [Stringing::Nylon, Stringing::Steel] {
        for rate in [44_100, 48_000] {
            for string in 0..6 {
                for fret in 0..=20u8 {
                    let stroke = if string < 3 {
                        Stroke::Thumb
                    } else {
                        Stroke::Finger
                    };
                    let spec = spec(string, fret, stringing, stroke, rate);
                    let sound = render_note(&spec);
                    let hz = 440.0 * 2f64.powf((f64::from(spec.pitch) - 69.0) / 12.0);
                    let (from, to) = (rate as usize / 20, rate as usize * 4 / 5);
                    let cents = cents_off(&sound[from..to], f64::from(rate), hz);
                    if cents.abs() > worst.0.abs() {
                        worst = (cents, format!("{spec:?}"));
                    }
                }
            }
        }
    }
    println!("largest error {:.3} cents: {}", worst.0, worst.1);
    assert!(worst.0.abs() < 1.0, "{:.3} cents: {}", worst.0, worst.1);
}

#[test]
fn a_note_is_the_same_samples_every_time_and_has_no_offset() {
    for stroke in [Stroke::Thumb, Stroke::Finger, Stroke::Muted] {
        let spec = spec(1, 3, Stringing::Nylon, stroke, RATE);
        let sound = render_note(&spec);
        assert_eq!(sound, render_note(&spec));
        let mean = sound.iter().map(|x| f64::from(*x)).sum::<f64>() / sound.len() as f64;
        let peak = sound.iter().fold(0.0f32, |m, x| m.max(x.abs()));
        assert!(mean.abs() < 1e-4 * f64::from(peak), "{stroke:?}: {mean}");
        assert!(peak < 0.6, "{stroke:?}: {peak}");
        assert!(sound.last().unwrap().abs() < 1e-6);
    }
}

/// Level in decibels of a partial around a moment.
fn level_db(sound: &[f32], hz: f64, second: f64) -> f64 {
    let rate = f64::from(RATE);
    let from = (second * rate) as usize;
    let part = &sound[from..(from + RATE as usize / 4).min(sound.len())];
    20.0 * magnitude(part, rate, hz).log10()
}

/// Heard decay of nylon strings: 2 to 5 s treble, 4 to 8 s bass (common figures, from memory;
/// listeners do not notice changes of −25 to +40 %, Järveläinen and Tolonen 2001).
#[test]
fn basses_ring_four_to_eight_seconds_and_trebles_two_to_five() {
    for (string, range) in [(0, 4.0..8.0), (1, 4.0..8.0), (3, 2.0..5.0), (5, 2.0..5.0)] {
        let sound = render_note(&spec(string, 0, Stringing::Nylon, Stroke::Finger, RATE));
        let hz = 440.0 * 2f64.powf((f64::from(OPEN[string]) - 69.0) / 12.0);
        let fall = level_db(&sound, hz, 0.1) - level_db(&sound, hz, 1.1);
        let t60_s = 60.0 / fall;
        println!("string {string}: t60 {t60_s:.2} s");
        assert!(range.contains(&t60_s), "string {string}: {t60_s:.2} s");
    }
}

/// Partials of a stiff string: fₖ = k f₀ √(1 + B k²), Fletcher 1964, JASA 36(1); B by string from
/// the tension, length and wire of a usual set. Four cents are what the chain of allpasses may
/// lack; without it the twelfth partial of the lowest steel string would be 11 flat.
#[test]
fn partials_of_stiff_strings_lie_where_the_formula_has_them() {
    let rows = [
        (Stringing::Steel, 0, 0, 9.2e-5),
        (Stringing::Steel, 1, 5, 8.9e-5),
        (Stringing::Steel, 4, 0, 6.1e-5),
        (Stringing::Nylon, 0, 0, 1.9e-5),
        (Stringing::Nylon, 3, 0, 1.2e-4),
        (Stringing::Nylon, 3, 12, 4.8e-4),
    ];
    for (stringing, string, fret, b) in rows {
        let spec = spec(string, fret, stringing, Stroke::Finger, RATE);
        let sound = render_note(&spec);
        let f0 = 440.0 * 2f64.powf((f64::from(spec.pitch) - 69.0) / 12.0);
        let mut farthest = 0.0f64;
        for k in (1..=12).map(f64::from).filter(|k| k * f0 < 2000.0) {
            let hz = k * f0 * ((1.0 + b * k * k) / (1.0 + b)).sqrt();
            // A pluck leaves out the partials with a node under the finger.
            let place = 0.18 * 2f64.powf(f64::from(fret) / 12.0);
            if (k * place - (k * place).round()).abs() > 0.15 {
                let cents = cents_off(&sound[2400..21_600], f64::from(RATE), hz);
                farthest = farthest.max(cents.abs());
                assert!(cents.abs() < 4.0, "{spec:?}, partial {k}: {cents:.2} cents");
            }
        }
        println!("{stringing:?} string {string} fret {fret}: {farthest:.2} cents");
    }
}

/// The middle of the spectrum's energy, in hertz, over the first half second.
fn centre_hz(sound: &[f32]) -> f64 {
    let bands = (1..120).map(|n| 50.0 * f64::from(n));
    let (sum, weighed) = bands.fold((0.0, 0.0), |(sum, weighed), hz| {
        let energy = magnitude(&sound[..4800], f64::from(RATE), hz).powi(2);
        (sum + energy, weighed + energy * hz)
    });
    weighed / sum
}

/// A harder stroke is brighter (common to all plucked strings), at the same loudness here.
#[test]
fn the_harder_the_brighter() {
    for (string, stroke) in [(0, Stroke::Thumb), (4, Stroke::Finger)] {
        let centre = |strength| {
            centre_hz(&render_note(&NoteSpec {
                strength,
                ..spec(string, 3, Stringing::Nylon, stroke, RATE)
            }))
        };
        let centres = [24, 60, 84, 96, 127].map(centre);
        println!("{stroke:?}: {centres:.0?}");
        assert!(centres.is_sorted_by(|a, b| a < b), "{centres:?}");
        assert!(centres[4] < 3.0 * centres[0], "{centres:?}");
    }
}

/// Steel strings are much brighter than nylon ones under the same finger (common practice): at least
/// 4 dB more between 2 and 4 kHz against the whole, and still a guitar.
#[test]
fn steel_is_much_brighter_than_nylon() {
    for (string, stroke) in [(1, Stroke::Thumb), (3, Stroke::Finger), (4, Stroke::Finger)] {
        let treble_db = |stringing| {
            let sound = render_note(&spec(string, 3, stringing, stroke, RATE));
            // A tenth of a second tells apart what lies 10 Hz apart: stiff partials are not missed.
            let grid = (6..400).map(|n| 10.0 * f64::from(n));
            let (all, treble) = grid.fold((0.0, 0.0), |(all, treble), hz| {
                let energy = magnitude(&sound[..4_800], f64::from(RATE), hz).powi(2);
                (
                    all + energy,
                    treble + if hz > 2_000.0 { energy } else { 0.0 },
                )
            });
            10.0 * f64::log10(treble / all)
        };
        let more_db = treble_db(Stringing::Steel) - treble_db(Stringing::Nylon);
        println!("{stroke:?} on string {string}: {more_db:.1} dB more treble");
        assert!((4.0..12.0).contains(&more_db), "{stroke:?}: {more_db}");
    }
}

/// Repeats of a note differ, but not in pitch or length, and by less than a change of stroke.
#[test]
fn variants_are_alike_and_not_the_same() {
    let variant = |variant| {
        render_note(&NoteSpec {
            variant,
            ..spec(2, 4, Stringing::Steel, Stroke::Finger, RATE)
        })
    };
    let all: Vec<Vec<f32>> = (0..VARIANTS).map(variant).collect();
    let centres: Vec<f64> = all.iter().map(|sound| centre_hz(sound)).collect();
    for (n, sound) in all.iter().enumerate() {
        let next = &all[(n + 1) % all.len()];
        let energy = |x: &mut dyn Iterator<Item = f32>| x.map(|x| x * x).sum::<f32>();
        let apart = energy(&mut sound.iter().zip(next).map(|(a, b)| a - b));
        let part = apart / energy(&mut sound.iter().copied());
        assert!((1e-4..0.2).contains(&part), "{n}: {part}");
        assert!((centres[n] / centres[0] - 1.0).abs() < 0.2, "{centres:?}");
    }
}

/// What is kept for a note that is soon damped is the beginning of the whole note.
#[test]
fn a_brief_note_is_the_beginning_of_the_long_one() {
    let long = spec(1, 2, Stringing::Nylon, Stroke::Thumb, RATE);
    let whole = render_note(&long);
    // Held for so long at most, kept for so long, faded out over the last quarter of a second.
    for (held_s, kept_s) in [(0.6, 1.0), (1.1, 1.5)] {
        let longest_s = Kept::of(held_s).longest_s();
        let part = render_note(&NoteSpec { longest_s, ..long });
        let frames = |seconds: f64| (seconds * f64::from(RATE)) as usize;
        assert_eq!(part.len(), frames(kept_s));
        assert!(whole.len() > 3 * part.len());
        let faded_from = frames(kept_s - 0.25);
        assert_eq!(whole[..faded_from], part[..faded_from]);
    }
    assert_eq!(Kept::of(1.2), Kept::Whole);
}
