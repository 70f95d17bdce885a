//! The written thumb line of a document: asks the writer for it and puts its notes into the
//! arranger's bars, each at its own pitch. What the user decided is locked; where that and a rule
//! are at odds the decision stands, and the conflict becomes a finding.

use crate::arrange::BarPlan;
use crate::arrange::Finding;
use crate::arrange::FindingKind;
use crate::arrange::Fix;
use crate::arrange::Place;
use crate::arrange::Remedy;
use crate::arrange::ThumbPlan;
use crate::arrange::ThumbWish;
use crate::document::Approach;
use crate::document::BarLine;
use crate::document::Document;
use crate::document::Walk;
use crate::theory::Midi;
use crate::theory::Rule;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::theory::scale;
use crate::thumb;
use crate::thumb::Line;
use crate::thumb::LineBar;
use crate::thumb::LineProblem;
use crate::thumb::Lock;
use crate::thumb::Rung;
use crate::thumb::WayOut;

/// Semitones between the lowest and the highest note of a written line: from the lowest string to
/// about the fifth fret of the fourth.
const RANGE_SEMITONES: i32 = 15;

/// Writes the line of a document into its bars, if it wants one, from the pitch on that a line before
/// it has led to; returns what is at odds, and the pitch that it leads to itself.
pub fn write_line(
    document: &Document,
    bars: &mut [BarPlan],
    begins_at: Option<Midi>,
) -> (Vec<Finding>, Option<Midi>) {
    let Some(mut problem) = line_problem(document, bars) else {
        return (Vec::new(), None);
    };
    problem.begins_at = begins_at;
    let (line, conflicts) = thumb::write_anyway(&problem);
    for note in &line.notes {
        let slots = bars.get_mut(note.bar).map(|bar| &mut bar.thumb);
        let slot = slots.and_then(|slots| slots.iter_mut().find(|slot| slot.at == note.at));
        if let Some(slot) = slot.filter(|slot| !is_placed(slot.wish)) {
            slot.wish = match note.pitch {
                Some(pitch) => ThumbWish::Note(note.thumb_move, pitch),
                None => ThumbWish::Move(note.thumb_move),
            };
        }
    }
    let finding = |conflict| finding(&problem, conflict);
    let findings = conflicts.into_iter().map(finding);
    (findings.collect(), line.leads_to)
}

/// The written line of a document's bars; `None` if none is wanted.
pub fn line_of(document: &Document, bars: &[BarPlan]) -> Option<Line> {
    let problem = line_problem(document, bars)?;
    Some(thumb::write_anyway(&problem).0)
}

/// What the writer is asked; nothing if no line is wanted.
fn line_problem(document: &Document, bars: &[BarPlan]) -> Option<LineProblem> {
    if !line_is_written(document) {
        return None;
    }
    let form = document.form();
    let asked = bars.iter().zip(document.bars()).enumerate();
    let line_bars: Vec<LineBar> = asked
        .map(|(number, (plan, bar))| LineBar {
            leads_to: form.leads_to(number),
            ..line_bar(document, plan, bar.line)
        })
        .collect();
    let rung = rung_of(document.line.walk);
    // Before another chorus the last beat leads back to the beginning.
    let (key, meter) = (document.key, document.meter);
    let mut problem = LineProblem::new(key, meter, &line_bars, rung, form.again);
    problem.seed = document.line.seed;
    problem.range = range_of(document);
    problem.rules = problem.rules.minus(document.line.rules_off);
    for span in &mut problem.spans {
        span.scale = scale::chosen_scale(&span.chord, document.key, &document.line.scales);
    }
    take_sides(&mut problem, document.line.approach);
    Some(problem)
}

/// Whether a line is written. A plain walk is left to the arranger, unless some bar asks for more:
/// then all bars are written, so that every bar knows the note it leads to.
#[must_use]
pub fn line_is_written(document: &Document) -> bool {
    let more = |walk: Walk| walk != Walk::Plain;
    let asks = |line: BarLine| {
        line.walk.is_some_and(more) || line.moves.is_some() || line.riff == Some(true)
    };
    more(document.line.walk) || document.bars().any(|bar| asks(bar.line))
}

/// The rung of the writer for a way of walking, where a line is written.
#[must_use]
pub const fn rung_of(walk: Walk) -> Rung {
    match walk {
        Walk::Roots => Rung::Roots,
        Walk::Plain => Rung::LastBeat,
        Walk::TwoApproaches => Rung::TwoApproaches,
        Walk::Runs => Rung::Runs,
        Walk::Mixed => Rung::Mixed,
    }
}

/// In plain bars approaches come from the side that the tune asks for, both of a bar as well;
/// where the range leaves no note there, from the other.
fn take_sides(problem: &mut LineProblem, approach: Approach) {
    let (unwanted, edge) = match approach {
        Approach::Below => (ThumbMove::ApproachAbove, problem.range.0),
        Approach::Above => (ThumbMove::ApproachBelow, problem.range.1),
        Approach::Alternate | Approach::Easiest => return,
    };
    let given = problem.slots.iter();
    let given: Vec<Option<Midi>> = given
        .map(|slot| slot.locked.and_then(Lock::pitch))
        .collect();
    for (index, slot) in problem.slots.iter_mut().enumerate() {
        let is_plain = slot.rung == Rung::LastBeat && !slot.own_moves;
        let goal = given.get(slot.jumps_to.unwrap_or(index + 1));
        if is_plain && goal != Some(&Some(edge)) {
            slot.allowed = slot.allowed.without(unwanted);
            slot.excused = slot.excused.with(Rule::OppositeSides);
        }
    }
}

const fn is_placed(wish: ThumbWish) -> bool {
    matches!(wish, ThumbWish::Place(..) | ThumbWish::Kept(..))
}

fn line_bar(document: &Document, bar: &BarPlan, asked: BarLine) -> LineBar {
    let lock = |slot: &ThumbPlan| match slot.wish {
        ThumbWish::Auto => None,
        ThumbWish::Move(thumb_move) => Some(Lock::Move(thumb_move)),
        ThumbWish::Note(thumb_move, pitch) => Some(Lock::Both(thumb_move, pitch)),
        ThumbWish::Kept(thumb_move, string, fret) => {
            let pitch = document.instrument.pitch(string, fret);
            pitch.map(|pitch| Lock::Both(thumb_move, pitch))
        }
        ThumbWish::Place(string, fret) => {
            let pitch = document.instrument.pitch(string, fret);
            pitch.map_or(Some(Lock::Move(ThumbMove::Rest)), |pitch| {
                Some(Lock::Pitch(pitch))
            })
        }
    };
    let chords = bar.chords.iter().map(|plan| (plan.at, plan.chord.clone()));
    let slots = bar.thumb.iter().map(|slot| (slot.at, lock(slot)));
    LineBar {
        length: bar.length,
        chords: chords.collect::<Vec<(Ticks, _)>>(),
        slots: slots.collect(),
        rung: asked.walk.map(rung_of),
        moves: asked.moves,
        riff: asked.riff.unwrap_or(document.line.riff),
        leads_to: None,
    }
}

/// From the lowest open string upwards, at least as far as the usual range of a bass line.
fn range_of(document: &Document) -> (Midi, Midi) {
    let capo = i32::from(document.instrument.capo);
    let open = document
        .instrument
        .tuning
        .open()
        .iter()
        .map(|open| open.number());
    let lowest = open.min().map_or(40, i32::from) + capo;
    (
        Midi::clamped(lowest),
        Midi::clamped(lowest.max(40) + RANGE_SEMITONES),
    )
}

/// What is at odds, with the ways out of it as remedies.
fn finding(problem: &LineProblem, conflict: thumb::Conflict) -> Finding {
    let place = Place {
        bar: conflict.bar,
        at: conflict.at,
    };
    let mut remedies: Vec<Remedy> = Vec::new();
    for way in &conflict.ways {
        remedies.extend(remedy(problem, place, *way));
    }
    remedies.push(Remedy::advice("choose another move for this beat"));
    Finding {
        kind: FindingKind::BrokenRule,
        place,
        message: conflict.message,
        remedies,
    }
}

/// A way out of a conflict in words and as a fix; `place` is where the conflict is reported.
fn remedy(problem: &LineProblem, place: Place, way: WayOut) -> Option<Remedy> {
    let place_of = |slot: usize| {
        let slot = problem.slot(slot)?;
        Some(Place {
            bar: slot.bar,
            at: slot.at,
        })
    };
    let allow = |bar: usize| {
        let words = format!("allow all moves in bar {}", bar + 1);
        Remedy::click(words, Fix::AllowAllMoves { bar })
    };
    match way {
        WayOut::Unlock { slot } => {
            let there = place_of(slot)?;
            let words = if there == place {
                "leave this beat to the tool".into()
            } else {
                format!(
                    "leave bar {}, {} to the tool",
                    there.bar + 1,
                    beat(there.at)
                )
            };
            Some(Remedy::click(words, Fix::LeaveThumb(there)))
        }
        WayOut::Excuse { rule, .. } => Some(Remedy::click(
            format!("switch off \u{201c}{}\u{201d}", rule.words()),
            Fix::SwitchRuleOff(rule),
        )),
        WayOut::Allow { slot } => Some(allow(place_of(slot)?.bar)),
        WayOut::FreeBar { bar } => {
            // Where the line ends in a bar, the next one may be the reason.
            let near = [Some(bar), Some(bar + 1), bar.checked_sub(1)];
            let has_lock = |bar: &usize| {
                let mut slots = problem.slots.iter().filter(|slot| slot.bar == *bar);
                slots.any(|slot| slot.locked.is_some())
            };
            let locked = near.into_iter().flatten().find(has_lock);
            Some(locked.map_or_else(
                || allow(bar),
                |bar| {
                    let words = format!("leave all of bar {} to the tool", bar + 1);
                    Remedy::click(words, Fix::UnlockBar { bar })
                },
            ))
        }
    }
}

/// `beat 4`, `after beat 2`.
fn beat(at: Ticks) -> String {
    let after = if at.within_beat() > 0 { "after " } else { "" };
    format!("{after}beat {}", at.beat_idx() + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Edit;
    use crate::session::open;
    use crate::session::problem_from_document;
    use crate::theory::Chord;
    use crate::theory::ChordSymbol;
    use crate::theory::MoveSet;
    use crate::theory::RuleSet;
    use crate::theory::ScaleChoice;
    use std::path::Path;

    fn document(bars: &str) -> Document {
        let opened = open::open_text(&format!("Key: C\n{bars}\n"), Path::new("test"));
        opened.expect("a chart").document
    }

    fn with_bar(document: &Document, bar: usize, line: BarLine) -> Document {
        let edit = Edit::SetBarLine { bar, line };
        document.apply(&edit).expect("a bar")
    }

    fn walking(mut document: Document, walk: Walk, seed: u64) -> Document {
        document.line.walk = walk;
        document.line.seed = seed;
        document
    }

    /// Moves of the written notes, bar by bar; bars that nobody wrote are empty.
    fn moves(document: &Document) -> Vec<Vec<ThumbMove>> {
        let bars = problem_from_document(document).bars.into_iter();
        let written = |slot: &ThumbPlan| match slot.wish {
            ThumbWish::Note(thumb_move, _) | ThumbWish::Move(thumb_move) => Some(thumb_move),
            _ => None,
        };
        bars.map(|bar| bar.thumb.iter().filter_map(written).collect())
            .collect()
    }

    #[test]
    fn a_plain_tune_is_written_only_if_a_bar_asks_for_more() {
        let plain = document("| Dm7 | G7 | Cmaj7 | A7 | Dm7 |");
        let own = |walk, moves, riff| BarLine { walk, moves, riff };
        for line in [
            own(None, None, None),
            own(Some(Walk::Plain), None, Some(false)),
        ] {
            let same = with_bar(&plain, 1, line);
            assert!(moves(&same).iter().all(Vec::is_empty), "{line:?}");
            assert_eq!(problem_from_document(&same), problem_from_document(&plain));
        }
        for line in [
            own(Some(Walk::TwoApproaches), None, None),
            own(None, Some(MoveSet::ALL), None),
            own(None, None, Some(true)),
        ] {
            let written = moves(&with_bar(&plain, 1, line));
            assert!(
                written.iter().all(|bar| bar.len() == 4),
                "{line:?} {written:?}"
            );
            let [first, _, third, ..] = &written[..] else {
                panic!("five bars")
            };
            for bar in [first, third] {
                let wanted = [ThumbMove::Root, ThumbMove::Root, ThumbMove::Root];
                assert_eq!(bar.split_last().map(|(_, roots)| roots), Some(&wanted[..]));
            }
        }
    }

    #[test]
    fn plain_bars_keep_to_the_side_that_the_tune_asks_for() {
        let plain = document("| Dm7 G7 | Cmaj7 Am7 | E7 F7 | E7 Eb7 | Dm7 |");
        for (approach, wanted) in [
            (Approach::Below, ThumbMove::ApproachBelow),
            (Approach::Above, ThumbMove::ApproachAbove),
        ] {
            let mut document = plain.clone();
            document.line.approach = approach;
            let walk = Some(Walk::TwoApproaches);
            let document = with_bar(
                &document,
                4,
                BarLine {
                    walk,
                    ..BarLine::default()
                },
            );
            for seed in 0..20 {
                let document = walking(document.clone(), Walk::Plain, seed);
                assert!(problem_from_document(&document).findings.is_empty());
                for bar in moves(&document).iter().take(4) {
                    assert_eq!(bar[..], [ThumbMove::Root, wanted, ThumbMove::Root, wanted]);
                }
            }
        }
    }

    #[test]
    fn a_bar_has_its_own_walk_and_its_own_moves() {
        let tune = walking(
            document("| Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 |"),
            Walk::Mixed,
            4,
        );
        let chosen = MoveSet::ROOTS
            .with(ThumbMove::Fifth)
            .union(MoveSet::CHROMATIC);
        let plain = BarLine {
            walk: Some(Walk::Plain),
            ..BarLine::default()
        };
        let few = BarLine {
            moves: Some(chosen),
            ..BarLine::default()
        };
        let tune = with_bar(&with_bar(&tune, 2, plain), 4, few);
        for seed in 0..50 {
            let tune = walking(tune.clone(), Walk::Mixed, seed);
            let written = moves(&tune);
            assert_eq!(
                written[2][..],
                [
                    ThumbMove::Root,
                    ThumbMove::Root,
                    ThumbMove::Root,
                    ThumbMove::ApproachBelow
                ]
            );
            assert!(written[4].iter().all(|m| chosen.has(*m)), "{written:?}");
            assert!(problem_from_document(&tune).findings.is_empty());
        }
    }

    #[test]
    fn scales_rules_and_riffs_of_the_document_reach_the_writer() {
        let chord =
            |text: &str| -> Chord { ChordSymbol::parse(text).expect("a chord").chord().clone() };
        let tune = document("| Cmaj7 | Fmaj7 | Cmaj7 | Fmaj7 | Cmaj7 | Fmaj7 |");
        let long = document("| Cmaj7 | Cmaj7 | Fmaj7 | Fmaj7 | Cmaj7 | Cmaj7 |");
        let mut lydian = long.clone();
        lydian.line.scales = vec![ScaleChoice::new(&chord("Cmaj7"), tune.key, "lydian")];
        // F and F sharp as steps over Cmaj7.
        let steps = |document: &Document| {
            let mut found = [0, 0];
            for seed in 0..60 {
                let problem = problem_from_document(&walking(document.clone(), Walk::Runs, seed));
                for (_, bar) in (0..).zip(&problem.bars).filter(|(n, _)| n % 4 < 2) {
                    for slot in &bar.thumb {
                        let ThumbWish::Note(thumb_move, pitch) = slot.wish else {
                            continue;
                        };
                        let step = MoveSet::STEPS.has(thumb_move);
                        match pitch.number() % 12 {
                            5 if step => found[0] += 1,
                            6 if step => found[1] += 1,
                            _ => {}
                        }
                    }
                }
            }
            found
        };
        assert!(matches!(steps(&long), [(1..), 0]), "{:?}", steps(&long));
        assert!(matches!(steps(&lydian), [0, (1..)]), "{:?}", steps(&lydian));

        let mut free = tune.clone();
        free.line.rules_off = RuleSet::EMPTY.with(Rule::RootFirst);
        let begins_elsewhere = |document: &Document| {
            (0..60).any(|seed| {
                let written = moves(&walking(document.clone(), Walk::Mixed, seed));
                written
                    .iter()
                    .any(|bar| bar.first() != Some(&ThumbMove::Root))
            })
        };
        assert!(begins_elsewhere(&free) && !begins_elsewhere(&tune));

        let mut riff = tune.clone();
        riff.line.riff = true;
        let alike = |document: &Document| -> usize {
            let count = |seed| {
                let written = moves(&walking(document.clone(), Walk::Mixed, seed));
                written.windows(2).filter(|pair| pair[0] == pair[1]).count()
            };
            (0..20).map(count).sum()
        };
        assert_eq!(alike(&tune), 0);
        assert!(alike(&riff) >= 50, "{} of 100", alike(&riff));
        let no = BarLine {
            riff: Some(false),
            ..BarLine::default()
        };
        for seed in 0..20 {
            let one = walking(with_bar(&riff, 2, no), Walk::Mixed, seed);
            let written = moves(&one);
            assert_ne!(written[1], written[2], "the bar that wants none");
        }
    }
}
