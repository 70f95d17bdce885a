//! A judge of its own for arrangements: it reads the notes (and, for the strings that a finger lies
//! across, the grips) and holds them against the rules of the hand as a player would state them
//! (one finger in one place, fingers in order, reach in millimetres, barres, the right hand's
//! string order). It shares no code with the search; geometry is computed here from the fret
//! formula x = L(1 − 2^(−n/12)).

use std::collections::BTreeMap;
use thumbwalk::arrange::Arrangement;
use thumbwalk::arrange::Lane;
use thumbwalk::arrange::Place;
use thumbwalk::arrange::PlayedNote;
use thumbwalk::instrument::Finger;
use thumbwalk::instrument::Hand;
use thumbwalk::theory::Ticks;

const SCALE_MM: f64 = 648.0;
const NUT_SPREAD_MM: f64 = 43.0;
const SADDLE_SPREAD_MM: f64 = 58.0;

/// Limits of reach in millimetres between two fingers (hand model of the project's documentation).
fn limit_mm(a: Finger, b: Finger) -> f64 {
    match (a, b) {
        (Finger::Index, Finger::Middle) => 58.0,
        (Finger::Middle, Finger::Ring) => 52.0,
        (Finger::Ring, Finger::Little) => 58.0,
        (Finger::Index, Finger::Ring) => 92.0,
        (Finger::Middle, Finger::Little) => 98.0,
        _ => 122.0,
    }
}

fn fret_mm(fret: u8) -> f64 {
    SCALE_MM * (1.0 - 2f64.powf(-f64::from(fret) / 12.0))
}

fn tip_mm(string: u8, fret: u8) -> (f64, f64) {
    let x = fret_mm(fret);
    let x = x - (0.35 * (x - fret_mm(fret - 1))).min(8.0);
    let spread = NUT_SPREAD_MM + (SADDLE_SPREAD_MM - NUT_SPREAD_MM) * x / SCALE_MM;
    // Strings fan out from the middle of the neck.
    (x, spread * (f64::from(string) / 5.0 - 0.5))
}

/// When a note is held: start and end in ticks from the start of the tune.
pub fn held(note: &PlayedNote, bar_ticks: u64) -> (u64, u64) {
    let start = note.place.bar as u64 * bar_ticks + u64::from(note.place.at.0);
    (start, start + u64::from(note.length.0))
}

/// Everything that no hand can do.
pub fn judge(arrangement: &Arrangement, bar_ticks: u64, hand: &Hand) -> Vec<String> {
    let mut faults = Vec::new();
    let notes: Vec<(u64, u64, &PlayedNote)> = arrangement
        .notes
        .iter()
        .map(|note| {
            let (start, end) = held(note, bar_ticks);
            (start, end, note)
        })
        .collect();
    let mut onsets: Vec<u64> = notes.iter().map(|(start, _, _)| *start).collect();
    onsets.dedup();
    for (start, _, note) in notes.iter().filter(|(_, _, n)| n.slide_from.is_some()) {
        if note.slide_from.map(|from| from.abs_diff(note.fret)) != Some(1) || note.fret == 0 {
            faults.push(format!("a slide at {start} that is no semitone"));
        }
        let others = notes
            .iter()
            .filter(|(at, _, other)| at == start && other.lane == note.lane);
        let way = |n: &PlayedNote| n.slide_from.map(|from| i16::from(n.fret) - i16::from(from));
        if others.clone().any(|(_, _, other)| way(other) != way(note)) {
            faults.push(format!("fingers that do not slide as one at {start}"));
        }
    }
    for (start, _, _) in notes.iter().filter(|(start, end, _)| start == end) {
        faults.push(format!("a note without length at {start}"));
    }
    for onset in onsets {
        let sounding: Vec<&PlayedNote> = notes
            .iter()
            .filter(|(start, end, _)| *start <= onset && onset < *end)
            .map(|(_, _, note)| *note)
            .collect();
        let struck: Vec<&PlayedNote> = notes
            .iter()
            .filter(|(start, _, _)| *start == onset)
            .map(|(_, _, n)| *n)
            .collect();
        // Where a slide begins and where it ends: both must be held.
        let begins: Vec<PlayedNote> = sounding
            .iter()
            .map(|note| PlayedNote {
                fret: struck
                    .iter()
                    .find(|n| n.string == note.string)
                    .and_then(|n| n.slide_from)
                    .unwrap_or(note.fret),
                ..**note
            })
            .collect();
        let begins: Vec<&PlayedNote> = begins.iter().collect();
        let lying = lying(arrangement, onset, bar_ticks);
        for fault in left_hand(&sounding, &lying, hand)
            .into_iter()
            .chain(left_hand(&begins, &lying, hand))
            .chain(right_hand(&struck))
        {
            let place = |note: &&PlayedNote| {
                let finger = note.finger.map_or('0', Finger::digit);
                format!("{}/{}:{finger}", note.string.0, note.fret)
            };
            let places: Vec<String> = sounding.iter().map(place).collect();
            faults.push(format!(
                "bar {} tick {}: {fault} in {}",
                onset / bar_ticks + 1,
                onset % bar_ticks,
                places.join(" ")
            ));
        }
    }
    faults
}

/// Strings on which the fingers of the grip in force lie, by finger and fret: a finger that is put
/// across several strings reaches from all of them, whichever are struck.
fn lying(arrangement: &Arrangement, onset: u64, bar_ticks: u64) -> BTreeMap<(Finger, u8), Vec<u8>> {
    let mut lying: BTreeMap<(Finger, u8), Vec<u8>> = BTreeMap::new();
    let place = Place {
        bar: (onset / bar_ticks) as usize,
        at: Ticks((onset % bar_ticks) as u32),
    };
    let grip = arrangement.grip_at(place);
    if let Some(voicing) = grip.and_then(|grip| grip.voicing.as_ref()) {
        for (string, fret, finger) in voicing.grip.held() {
            lying.entry((finger, fret)).or_default().push(string.0);
        }
    }
    lying
}

fn left_hand(
    sounding: &[&PlayedNote],
    lying: &BTreeMap<(Finger, u8), Vec<u8>>,
    hand: &Hand,
) -> Vec<String> {
    let mut faults = Vec::new();
    let mut places: BTreeMap<Finger, Vec<(u8, u8)>> = BTreeMap::new();
    let mut strings = BTreeMap::new();
    for note in sounding {
        // A bass note repeated on its string is the same place held on.
        let before = strings.insert(note.string, (note.fret, note.finger));
        if before.is_some_and(|b| b != (note.fret, note.finger)) {
            faults.push(format!("two notes on string {:?}", note.string));
        }
        match (note.finger, note.fret) {
            (None, 0) => {}
            (None, fret) => faults.push(format!("fret {fret} without a finger")),
            (Some(_), 0) => faults.push("a finger on an open string".into()),
            (Some(finger), fret) => places
                .entry(finger)
                .or_default()
                .push((note.string.0, fret)),
        }
    }
    if let Some(over) = places.get(&Finger::Thumb)
        && (!hand.thumb_over || over.iter().any(|(string, _)| *string != 0))
    {
        faults.push("the thumb lies where it can't".into());
    }
    for (finger, held) in &mut places {
        held.sort_unstable();
        held.dedup();
        let fret = held[0].1;
        if held.iter().any(|(_, f)| *f != fret) {
            faults.push(format!("{finger:?} at two frets"));
        }
        let (low, high) = (held[0].0, held[held.len() - 1].0);
        if held.len() > 1 && !hand.barre {
            faults.push(format!("{finger:?} lies across although the hand does not"));
        }
        for (string, (fret_there, finger_there)) in &strings {
            let under = string.0 > low && string.0 < high && *finger_there != Some(*finger);
            let fits = *fret_there >= fret && finger_there.is_some_and(|other| other > *finger);
            if held.len() > 1 && under && !fits {
                faults.push(format!(
                    "string {string:?} lies under the barre of {finger:?}"
                ));
            }
        }
    }
    let scale = f64::from(hand.reach_permille) / 1000.0;
    for (a, at) in &places {
        for (b, bt) in places.range(*a..).filter(|(b, _)| *b > a) {
            if at[0].1 > bt[0].1 {
                faults.push(format!(
                    "{a:?} at fret {} above {b:?} at {}",
                    at[0].1, bt[0].1
                ));
            }
            let across = |finger: Finger, held: &[(u8, u8)]| {
                let fret = held[0].1;
                let strings = lying.get(&(finger, fret)).into_iter().flatten();
                let mut all: Vec<(u8, u8)> = strings.map(|string| (*string, fret)).collect();
                all.extend(held);
                let (low, high) = (all.iter().min().copied(), all.iter().max().copied());
                let run = low.map_or(0, |p| p.0)..=high.map_or(0, |p| p.0);
                run.map(|string| (string, fret)).collect::<Vec<_>>()
            };
            let (at_run, bt_run) = (across(*a, at), across(*b, bt));
            let gaps = at_run.iter().flat_map(|p| {
                bt_run.iter().map(move |q| {
                    let ((ax, ay), (bx, by)) = (tip_mm(p.0, p.1), tip_mm(q.0, q.1));
                    (ax - bx).hypot(ay - by)
                })
            });
            let nearest = gaps.fold(f64::INFINITY, f64::min);
            if nearest > limit_mm(*a, *b) * scale + 0.01 {
                faults.push(format!("{a:?} to {b:?} needs {nearest:.1} mm"));
            }
        }
    }
    faults
}

fn right_hand(struck: &[&PlayedNote]) -> Vec<String> {
    let mut faults = Vec::new();
    let mut by_string: Vec<_> = struck.iter().map(|n| (n.string, n.pluck)).collect();
    by_string.sort_unstable();
    if by_string.windows(2).any(|pair| pair[0].1 >= pair[1].1) {
        faults.push(format!("fingers cross: {by_string:?}"));
    }
    for note in struck {
        if (note.lane == Lane::Thumb) != (note.pluck.letter() == 'p') {
            faults.push(format!(
                "{:?} plucked by {}",
                note.lane,
                note.pluck.letter()
            ));
        }
    }
    faults
}
