//! The nodes under notes of the tune that pass by, against plain enumeration: every string, fret and
//! finger for the tune and for the bass beside what each voicing keeps, held if the order of pitches
//! and strings is right and the hand can. The same set, phase by phase. (Whether a hand can hold a
//! grip is held against a second reading of the hand model in `tests/search_oracle.rs`.)

use super::*;
use crate::arrange::Arranger;
use crate::arrange::layers::Layers;
use crate::arrange::phase::Plan;
use crate::arrange::problem::Problem;
use crate::document::Walk;
use crate::instrument::fretboard::Fretboard;
use crate::session::open;
use crate::session::problem_from_document;
use std::collections::BTreeSet;
use std::path::Path;

/// String from the lowest, fret, finger (0 is open).
type Where = (u8, u8, u8);
/// Number of the voicing, bass, tune.
type Told = (u32, Option<Where>, Option<Where>);

const FINGERS: [Finger; 4] = Finger::FOUR;

fn problem(chart: &str, walk: Walk, reach_permille: u16) -> Problem {
    let opened = open::open_text(chart, Path::new("chart"));
    let mut document = opened.expect("a chart").document;
    document.line.walk = walk;
    let mut hand = (*document.hand).clone();
    hand.reach_permille = reach_permille;
    document.hand = hand.into();
    problem_from_document(&document)
}

fn told_of(string: StringIdx, fret: u8, finger: Option<Finger>) -> Where {
    let number = finger.and_then(|finger| FINGERS.iter().position(|f| *f == finger));
    (string.0, fret, number.map_or(0, |n| n as u8 + 1))
}

/// Every place of a pitch on some strings, with every finger.
fn everywhere(problem: &Problem, pitch: Midi, strings: std::ops::Range<u8>) -> Vec<Where> {
    let mut places = Vec::new();
    for string in strings {
        for fret in 0..=problem.instrument.last_fret() {
            if problem.instrument.pitch(StringIdx(string), fret) == Some(pitch) {
                let fingers = if fret == 0 { 0..=0 } else { 1..=4 };
                places.extend(fingers.map(|finger| (string, fret, finger)));
            }
        }
    }
    places
}

/// The pitch that a phase asks of the thumb, with the one that a phase before has left sounding;
/// `None` if the phase is none of those that are tried here.
fn asked_bass(plan: &Plan, phase: usize) -> Option<Option<(ThumbMove, Midi)>> {
    match &plan.phases[phase].task {
        Task::Nothing => Some(None),
        Task::Pitched(thumb_move, pitch) => Some(Some((*thumb_move, *pitch))),
        Task::Hold => asked_bass(plan, phase.checked_sub(1)?)?.map(Some),
        _ => None,
    }
}

/// All that can be held, by trying everything.
fn by_trying(problem: &Problem, layers: &Layers, phase: usize) -> Option<BTreeSet<Told>> {
    let plan = layers.plan();
    let here = &plan.phases[phase];
    let span = &plan.spans[here.span];
    let sound = here
        .tune
        .filter(|sound| !(sound.own && span.top.is_some()))?;
    let asked = asked_bass(plan, phase)?;
    let n_strings = problem.instrument.n_strings();
    let board = Fretboard::new(&problem.instrument);
    let mut found = BTreeSet::new();
    for (number, voicing) in (0..).zip(layers.voicings(phase)) {
        let own = voicing
            .notes
            .iter()
            .find(|n| n.string == voicing.thumb_string)?;
        let mut kept: Vec<_> = voicing.notes.iter().filter(|n| *n != own).collect();
        if span.top.is_some() {
            kept.pop();
        }
        let mut basses: Vec<Option<Where>> = vec![None];
        if let Some((thumb_move, pitch)) = asked {
            let repeats = thumb_move == ThumbMove::Octave && pitch == own.pitch;
            if !repeats || here.task == Task::Hold {
                let places = everywhere(problem, pitch, 0..n_strings.saturating_sub(3));
                basses.extend(places.into_iter().map(Some));
            }
        }
        if here.task == Task::Hold {
            let fret = voicing.grip.shape.fret(own.string)?;
            let finger = voicing.grip.finger(own.string);
            basses.push(Some(told_of(own.string, fret, finger)));
        }
        let tunes = everywhere(problem, sound.pitch, 0..n_strings);
        let tunes = tunes.into_iter().map(Some).chain([None]);
        for tune in tunes {
            for bass in &basses {
                let mut grip = Grip::unfingered(Shape::silent(n_strings));
                let mut notes: Vec<(u8, Midi)> = Vec::new();
                let mut put = |(string, fret, finger): Where| {
                    let string = StringIdx(string);
                    grip.shape = grip.shape.with(string, Some(fret));
                    let finger = usize::from(finger).checked_sub(1);
                    grip = grip.with_finger(string, finger.map(|n| FINGERS[n]));
                    notes.extend(
                        problem
                            .instrument
                            .pitch(string, fret)
                            .map(|p| (string.0, p)),
                    );
                };
                bass.iter().copied().for_each(&mut put);
                for note in &kept {
                    let fret = voicing.grip.shape.fret(note.string)?;
                    put(told_of(note.string, fret, voicing.grip.finger(note.string)));
                }
                tune.iter().copied().for_each(&mut put);
                // The bass is the lowest in string and pitch, the tune the highest; what lies between
                // is as the voicing has it.
                let low = usize::from(bass.is_some());
                let rises = |a: &(u8, Midi), b: &(u8, Midi)| a.0 < b.0 && a.1 < b.1;
                let bass_fits = bass.is_none() || notes.iter().skip(1).all(|n| rises(&notes[0], n));
                let before = notes.len().saturating_sub(usize::from(tune.is_some()));
                let inner = notes.get(low.min(before)..before)?;
                let tune_fits = tune.is_none()
                    || inner
                        .iter()
                        .all(|n| notes.last().is_some_and(|t| rises(n, t)));
                let can = playable::why_not_on(&grip, &board, &problem.hand).is_none();
                if bass_fits && tune_fits && can {
                    found.insert((number, *bass, tune));
                }
            }
        }
    }
    Some(found)
}

/// All that is held through the phase, as the nodes have it.
fn by_nodes(layers: &Layers, phase: usize) -> BTreeSet<Told> {
    let nodes = (0..).map_while(|node| layers.node(phase, node));
    let kept = nodes.filter(|node| {
        let cut = matches!(node.way, Way::RingCut | Way::BassCut | Way::Free);
        // A bass note that is missed may also leave the hand free; then nothing of the chord is held.
        !cut && node.voicing.is_some()
    });
    let told = kept.filter_map(|node| {
        let bass = node.thumb.map(|n| told_of(n.string, n.fret, n.finger));
        let tune = node.tune.map(|n| told_of(n.string, n.fret, n.finger));
        Some((node.voicing?, bass, tune))
    });
    told.collect()
}

#[test]
fn notes_that_pass_by_can_lie_wherever_the_hand_can_have_them() {
    let chart = "Key: C\n| Cmaj7 | Am7 | Dm7 G7 | C6 |\n\
                 Tune: E4 F4 G4 A4 B4 C5 B4 A4 | G4@1 A4@1.5 B4@2 C5@2.5 E5@3 | F4 E4 D4 C4 | E4 |\n";
    let (mut n_phases, mut n_nodes) = (0, 0);
    for (walk, reach) in [
        (Walk::Mixed, 1000),
        (Walk::TwoApproaches, 1150),
        (Walk::Runs, 850),
    ] {
        let problem = problem(chart, walk, reach);
        let mut arranger = Arranger::default();
        arranger.solve(&problem, &mut |_| true).expect("solved");
        let solved = arranger.looked_back(&mut |_| true).expect("tables");
        let layers = solved.layers();
        for (number, phase) in layers.plan().phases.iter().enumerate() {
            let sings = layers.plan().spans[phase.span].sings;
            if !sings || !phase.carried || layers.voicings(number).is_empty() {
                continue;
            }
            let Some(expected) = by_trying(&problem, layers, number) else {
                continue;
            };
            let found = by_nodes(layers, number);
            assert_eq!(
                found, expected,
                "{walk:?}, {:?}, {:?}",
                phase.place, phase.task
            );
            n_phases += 1;
            n_nodes += expected.len();
        }
    }
    assert!(
        n_phases > 12 && n_nodes > 1000,
        "{n_phases} phases, {n_nodes} nodes"
    );
}
