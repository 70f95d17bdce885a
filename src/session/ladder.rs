//! The ladder of a tune, climbed: every rung is a full arrangement of the same chart with the devices
//! that the rung allows, and the rungs rise: each costs the hands more than the one below. Of several
//! lines the easiest is taken that does; a rung that none of them makes harder is left out with a
//! word. Everything follows from the document; no chance, no clock.

use super::problem::plucks_of;
use super::problem::problem_from_document;
use crate::arrange::Arrangement;
use crate::arrange::Arranger;
use crate::arrange::FindingKind;
use crate::document::Bar;
use crate::document::BarLine;
use crate::document::Choruses;
use crate::document::Document;
use crate::document::LadderRung;
use crate::document::TEMPO_BPM;
use crate::document::Walk;
use crate::instrument::Cost;
use crate::theory::MoveSet;
use crate::theory::Side;
use crate::theory::Slide;
use crate::theory::Sliding;
use crate::theory::Ticks;
use std::sync::Arc;

/// How many lines are tried for a rung that is to be harder than the one below.
const LINES_TRIED: u64 = 16;

/// How often slides that have no place are taken away and the rest solved again.
const SLIDE_ROUNDS: usize = 3;

/// A rung with its arrangement.
#[derive(Clone, PartialEq, Debug)]
pub struct ClimbedRung {
    /// Its number in the document's ladder, from 0.
    pub number: usize,
    /// What it allows.
    pub rung: LadderRung,
    /// The tune as it is on this rung: a project of its own.
    pub document: Arc<Document>,
    /// Its arrangement.
    pub arrangement: Arc<Arrangement>,
    /// The moves that the thumb makes.
    pub moves: MoveSet,
}

impl ClimbedRung {
    /// The effort of the whole.
    #[must_use]
    pub fn effort(&self) -> Cost {
        self.arrangement.sum
    }

    /// About the tempo up to which every change is comfortable; an estimate.
    #[must_use]
    pub fn comfortable_bpm(&self) -> Option<u16> {
        self.arrangement.comfortable.map(|(bpm, _)| bpm)
    }

    /// What cannot be played as written.
    #[must_use]
    pub fn n_faults(&self) -> usize {
        n_faults(&self.arrangement)
    }
}

/// A climbed ladder.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Ladder {
    /// Its rungs, each harder than the one before.
    pub rungs: Vec<ClimbedRung>,
    /// Rungs that could not be made harder than the one below, each with a sentence.
    pub left_out: Vec<String>,
}

/// Climbs the ladder of a document. `keep_going` is told how many rungs are done and of how many; if
/// it returns `false` the work stops and there is no ladder.
#[must_use]
pub fn climb(
    document: &Document,
    keep_going: &mut dyn FnMut(usize, usize) -> bool,
) -> Option<Ladder> {
    let rungs = document.ladder();
    let total = rungs.len();
    let mut ladder = Ladder::default();
    for (number, rung) in rungs.into_iter().enumerate() {
        if !keep_going(number, total) {
            return None;
        }
        if rung.tune && !document.has_tune() {
            let sentence = format!("{} is left out: the chart has no tune", rung.name);
            ladder.left_out.push(sentence);
            continue;
        }
        let below = ladder.rungs.last();
        let least = below.map_or(Cost(i32::MIN), ClimbedRung::effort);
        let moves = below.map_or(0, |below| below.moves.len());
        let mut go_on = || keep_going(number, total);
        match rung_above(document, (number, &rung), (least, moves), &mut go_on)? {
            Some(climbed) => ladder.rungs.push(climbed),
            None => ladder.left_out.push(format!(
                "{} is left out: in this tune it is no harder than the rung below it",
                rung.name
            )),
        }
    }
    Some(ladder)
}

/// Of the lines tried for a rung the arrangement that costs least among those that cost more than
/// `least`, so that there is room for the rungs above; one that can be played as written before
/// others, then one with at least so many moves. `None` if it was told to stop, `Some(None)` if no
/// line costs more.
fn rung_above(
    document: &Document,
    (number, rung): (usize, &LadderRung),
    (least, n_moves): (Cost, usize),
    keep_going: &mut dyn FnMut() -> bool,
) -> Option<Option<ClimbedRung>> {
    let varies = !matches!(rung.walk, Walk::Roots | Walk::Plain) || rung.moves.is_some();
    let tries = if varies { LINES_TRIED } else { 1 };
    let mut best: Option<((usize, bool, Cost), ClimbedRung)> = None;
    for step in 0..tries {
        let seed = document.line.seed.wrapping_add(step);
        let (tune, arrangement) = solved(on_rung(document, number, rung, seed))?;
        if !keep_going() {
            return None;
        }
        if arrangement.sum <= least {
            continue;
        }
        let moves = used_moves(&arrangement);
        let fewer = moves.len() < n_moves;
        let rank = (n_faults(&arrangement), fewer, arrangement.sum);
        if best.as_ref().is_none_or(|(before, _)| rank < *before) {
            let climbed = ClimbedRung {
                number,
                rung: rung.clone(),
                document: Arc::new(tune),
                arrangement: Arc::new(arrangement),
                moves,
            };
            best = Some((rank, climbed));
        }
    }
    Some(best.map(|(_, climbed)| climbed))
}

/// The tune as it is on a rung. What was decided of the thumb, the slides and, below the tune's rung,
/// the tune belongs to the whole arrangement and is left out; shapes and strikes stay.
pub(super) fn on_rung(
    document: &Document,
    number: usize,
    rung: &LadderRung,
    seed: u64,
) -> Document {
    let mut tune = document.clone();
    tune.line.walk = rung.walk;
    tune.line.seed = seed;
    tune.line.riff = false;
    // What a rung trains is the same in every chorus.
    tune.choruses = Choruses::default();
    tune.sheet.all_choruses = false;
    tune.rungs.clear();
    tune.lesson_text = format!("Rung {}: {}\n{}", number + 1, rung.name, rung.advice);
    tune.sheet.lesson_text = true;
    tune.sheet.move_table = true;
    for section in &mut tune.sections {
        for bar in &mut Arc::make_mut(section).bars {
            bar.thumb.clear();
            bar.slides.clear();
            bar.line = BarLine {
                moves: rung.moves,
                ..BarLine::default()
            };
            if !rung.tune {
                bar.tune.clear();
            }
        }
    }
    if rung.slides {
        slide_into_every_other_chord(&mut tune);
    }
    tune
}

/// The fingers slide from below into their first strike of every other chord.
fn slide_into_every_other_chord(document: &mut Document) {
    let from_below = Slide {
        what: Sliding::FingersOnly,
        from: Side::Below,
    };
    let mut n_chords = 0_usize;
    let mut wanted: Vec<Vec<Ticks>> = Vec::new();
    for bar in document.bars() {
        let plucks = plucks_of(document, bar);
        let mut places = Vec::new();
        for (chord_idx, chord) in bar.chords.iter().enumerate() {
            n_chords += 1;
            let end = bar.chords.get(chord_idx + 1).map(|next| next.at);
            let within = |at: &Ticks| *at >= chord.at && end.is_none_or(|end| *at < end);
            let first = plucks.iter().map(|pluck| pluck.at).find(within);
            places.extend(first.filter(|_| n_chords.is_multiple_of(2)));
        }
        wanted.push(places);
    }
    for_each_bar(document, |idx, bar| {
        let places = wanted.get(idx).into_iter().flatten();
        bar.slides = places.map(|at| (*at, from_below)).collect();
    });
}

fn for_each_bar(document: &mut Document, mut change: impl FnMut(usize, &mut Bar)) {
    let mut idx = 0;
    for section in &mut document.sections {
        for bar in &mut Arc::make_mut(section).bars {
            change(idx, bar);
            idx += 1;
        }
    }
}

/// The arrangement of a rung; slides that the hand has no place for are taken away. `None` never
/// happens unless the arranger gives up.
pub(super) fn solved(mut tune: Document) -> Option<(Document, Arrangement)> {
    let mut arranger = Arranger::default();
    for _ in 0..SLIDE_ROUNDS {
        let problem = problem_from_document(&tune);
        let arrangement = arranger.solve(&problem, &mut |_| true)?;
        let findings = arrangement.findings.iter();
        let idle: Vec<_> = findings
            .filter(|finding| finding.kind == FindingKind::NoSlide)
            .map(|finding| finding.place)
            .collect();
        if idle.is_empty() {
            return Some((tune, arrangement));
        }
        for_each_bar(&mut tune, |idx, bar| {
            let is_idle = |at: Ticks| idle.iter().any(|p| p.bar == idx && p.at == at);
            bar.slides.retain(|(at, _)| !is_idle(*at));
        });
    }
    for_each_bar(&mut tune, |_, bar| bar.slides.clear());
    let arrangement = arranger.solve(&problem_from_document(&tune), &mut |_| true)?;
    Some((tune, arrangement))
}

fn n_faults(arrangement: &Arrangement) -> usize {
    let findings = arrangement.findings.iter();
    findings.filter(|finding| finding.kind.is_fault()).count()
}

/// The moves that the thumb makes somewhere.
fn used_moves(arrangement: &Arrangement) -> MoveSet {
    let moves = arrangement.notes.iter();
    moves.filter_map(|note| note.thumb_move).collect()
}

/// Tempi to tick off on the way to a tempo: from about half of it in six steps, each a multiple of
/// four as on a metronome's scale (common practice), the last the tempo itself.
#[must_use]
pub fn tempo_steps(bpm: u16) -> Vec<u16> {
    let part = |tenths: u16| {
        let exact = u32::from(bpm) * u32::from(tenths) / 10;
        let fours = u16::try_from(exact / 4 * 4).unwrap_or(bpm);
        fours.clamp(*TEMPO_BPM.start(), bpm)
    };
    let mut steps: Vec<u16> = (5..10).map(part).collect();
    steps.push(bpm);
    steps.dedup();
    steps
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::open;
    use std::path::Path;

    const CHARTS: [&str; 4] = [
        "Key: Bb\n| Cm7 | F7 | Bbmaj7 | G7b9 | Cm7 | F7 | Bb6 | Bb6 |\n",
        "Key: C\n| Dm7 G7 | Cmaj7 A7 | Dm7 G7 | C6 |\n",
        "Key: G\nMeter: 3/4\n| G6 | Em7 | Am7 | D7 | G6 | G6 |\n",
        "Key: F\n| F7 | Bb7 | F7 | F7 | Bb7 | Bb7 | F7 | D7b9 | Gm7 | C7 | F7 | C7 |\n",
    ];

    fn chart(text: &str) -> Document {
        let opened = open::open_text(text, Path::new("test"));
        opened.expect("a chart").document
    }

    #[test]
    fn rungs_rise_in_effort_and_never_lose_moves() {
        for text in CHARTS {
            let document = chart(text);
            let ladder = climb(&document, &mut |_, _| true).expect("a ladder");
            assert!(ladder.rungs.len() >= 4, "{text}: {:?}", ladder.left_out);
            for pair in ladder.rungs.windows(2) {
                let [below, above] = pair else { continue };
                assert!(
                    below.effort() < above.effort(),
                    "{text}: {}",
                    above.rung.name
                );
                assert!(
                    below.moves.len() <= above.moves.len(),
                    "{text}: {}",
                    above.rung.name
                );
            }
            let named = ladder.rungs.len() + ladder.left_out.len();
            assert_eq!(
                named,
                document.ladder().len(),
                "every rung is there or named"
            );
            for rung in &ladder.rungs {
                assert_eq!(rung.n_faults(), 0, "{text}: {}", rung.rung.name);
            }
        }
    }

    #[test]
    fn a_rung_has_one_chorus_of_the_tune() {
        let mut document = chart(CHARTS[0]);
        let alone = climb(&document, &mut |_, _| true);
        document.choruses.count = 3;
        document.sheet.all_choruses = true;
        assert_eq!(climb(&document, &mut |_, _| true), alone);
    }

    #[test]
    fn every_rung_is_its_own_project_and_solves_to_its_arrangement() {
        let document = chart(CHARTS[0]);
        let ladder = climb(&document, &mut |_, _| true).expect("a ladder");
        for rung in &ladder.rungs {
            let again = crate::arrange::solve(&problem_from_document(&rung.document));
            assert_eq!(again.sum, rung.effort(), "{}", rung.rung.name);
        }
        let first = ladder.rungs.first().expect("a rung");
        assert_eq!(
            first.moves,
            [crate::theory::ThumbMove::Root].into_iter().collect()
        );
    }

    #[test]
    fn it_stops_when_told() {
        let document = chart(CHARTS[1]);
        assert_eq!(climb(&document, &mut |done, _| done < 2), None);
    }

    #[test]
    fn tempo_steps_lead_to_the_tempo() {
        assert_eq!(tempo_steps(120), [60, 72, 84, 96, 108, 120]);
        assert_eq!(tempo_steps(84), [40, 48, 56, 64, 72, 84]);
        assert_eq!(tempo_steps(30), [30]);
        for bpm in TEMPO_BPM {
            let steps = tempo_steps(bpm);
            assert!(
                steps.is_sorted() && steps.last() == Some(&bpm),
                "{bpm}: {steps:?}"
            );
        }
    }
}
