//! The thumb writer against its rules. The checker below is written from the words of the rules
//! and reads only charts and finished notes: it shares no code with the writer. Every rule is also
//! shown a line that breaks it, so that a checker that sees nothing would be found out.

mod thumb_checker;

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;
use thumb_checker::Asked;
use thumb_checker::Chart;
use thumb_checker::broken;
use thumb_checker::broken_bars;
use thumb_checker::notes;
use thumbwalk::theory::ChordScale;
use thumbwalk::theory::ChordSymbol;
use thumbwalk::theory::Key;
use thumbwalk::theory::Midi;
use thumbwalk::theory::MoveSet;
use thumbwalk::theory::Rule;
use thumbwalk::theory::RuleSet;
use thumbwalk::theory::ThumbMove;
use thumbwalk::theory::Ticks;
use thumbwalk::theory::scale;
use thumbwalk::thumb;
use thumbwalk::thumb::Line;
use thumbwalk::thumb::LineBar;
use thumbwalk::thumb::LineNote;
use thumbwalk::thumb::LineProblem;
use thumbwalk::thumb::Lock;
use thumbwalk::thumb::Rung;
use thumbwalk::thumb::Slot;
use thumbwalk::thumb::WayOut;

/// Progressions of our own in every metre: long chords, two and four to a bar, chords over
/// barlines, slash basses, no chord, every family of chord.
fn charts() -> Vec<Chart> {
    [
        (
            "4/4",
            "C",
            "Dm7 | G7 | Cmaj7 | Cmaj7 | Fm7 | Bb7 | Cmaj7 A7b9 | Dm7 G7",
        ),
        (
            "4/4",
            "Bb",
            "Cm7 | F7 | Bb6 | Bb6 | Bb6 | Ebmaj7 Ab7 | Dm7b5 G7alt | Cm7 F7",
        ),
        (
            "4/4",
            "F",
            "F7 | Bb7 | F7 | Cm7 F7 | Bb7 | Bdim7 | F/C | D7b9 | Gm7 | C13 | F7 D7 | Gm7 C7",
        ),
        (
            "4/4",
            "Eb",
            "Ebmaj7 Edim7 Fm7 F#dim7 | Gm7 C7 Fm7 Bb7 | Ab6 Abm6 Eb/G Gbdim7 | Fm7 Bb7 Eb6 Bb7",
        ),
        (
            "4/4",
            "Am",
            "Am | Am/G | F#m7b5 | Fmaj7 | E7sus4 | E7#9 | N.C. | N.C. | Am6 | E+",
        ),
        ("4/4", "C", "C | C7 | F | Fm6 | C | C | N.C. G7 | C N.C."),
        (
            "3/4",
            "G",
            "Gmaj7 | Gmaj7 | Am7 | D7 | Bm7 E7 | Am7 D7 | G6 | N.C.",
        ),
        (
            "5/4",
            "Gm",
            "Gm6 | Am7b5 D7 | Gm6 | Gm6 | Ebmaj7 D7alt | Gm6",
        ),
        (
            "6/8",
            "D",
            "D6 | D6 | Em7 | A7 | Dmaj7 B7 | Em7 A7 | D6 | D6",
        ),
        ("12/8", "Cm", "Cm6 | Fm7 | Cm6 | Cm6 | Ab7 G7 | Cm6 G7#5"),
        ("2/4", "A", "A6 | F#m7 | Bm7 | E7 | A6 | A6"),
    ]
    .iter()
    .map(|(meter, key, bars)| Chart::parse(meter, key, bars))
    .collect()
}

fn written(problem: &LineProblem) -> Line {
    thumb::write(problem).unwrap_or_else(|conflict| panic!("{conflict}"))
}

/// A line for every rung, both endings and so many seeds, none of which breaks a rule; how many.
#[track_caller]
fn for_each_line(chart: &Chart, n_seeds: u64, mut look: impl FnMut(&Line)) -> usize {
    let mut n_lines = 0;
    for rung in Rung::ALL {
        for again in [false, true] {
            let problem = chart.problem(rung, again);
            for seed in 0..n_seeds {
                let line = written(&problem.clone().with_seed(seed));
                let faults = broken(chart, again, problem.rules, problem.range, &line.notes);
                let shown = shown(&line);
                assert!(faults.is_empty(), "{rung:?} {seed}: {faults:?}\n{shown}");
                look(&line);
                n_lines += 1;
            }
        }
    }
    n_lines
}

fn shown(line: &Line) -> String {
    let mut text = String::new();
    let mut bar = 0;
    for note in &line.notes {
        if note.bar != bar {
            text.push_str("| ");
            bar = note.bar;
        }
        let name = note.spelling.map_or(String::new(), |s| s.to_string());
        text.push_str(&format!("{}{name} ", note.thumb_move.code()));
    }
    text
}

/// The main promise: 11 charts × 5 rungs × 2 endings × 40 seeds = 4,400 lines, and no rule of a
/// rung is broken in any.
#[test]
fn no_line_of_any_seed_breaks_a_rule() {
    let charts = charts();
    let n_lines = charts.iter().map(|chart| for_each_line(chart, 40, |_| {}));
    assert_eq!(n_lines.sum::<usize>(), 4400);
}

/// Any set of rules may be switched on: 11 charts × 60 random sets × 5 seeds.
#[test]
fn no_set_of_rules_that_leaves_a_line_is_broken() {
    let mut dice = thumb::random::SplitMix64::new(11);
    let mut n_lines = 0;
    for chart in charts() {
        for _ in 0..60 {
            let bits = dice.next_u64();
            let on = Rule::ALL.into_iter().enumerate();
            let on = on.filter(|(index, _)| bits >> index & 1 == 1);
            let on = on.fold(RuleSet::EMPTY, |set, (_, rule)| set.with(rule));
            let mut problem = chart.problem(Rung::Mixed, bits >> 20 & 1 == 1);
            problem.rules = on;
            for seed in 0..5 {
                let line = written(&problem.clone().with_seed(seed));
                let again = problem.after.is_some();
                let faults = broken(&chart, again, on, problem.range, &line.notes);
                assert!(faults.is_empty(), "{seed}: {faults:?}\n{}", shown(&line));
                n_lines += 1;
            }
        }
    }
    assert_eq!(n_lines, 3300);
}

#[test]
fn the_checker_sees_every_planted_violation() {
    // One chord, then another; a note per beat as move and key number.
    use ThumbMove::ApproachAbove as Above;
    use ThumbMove::ApproachBelow as Below;
    use ThumbMove::Fifth;
    use ThumbMove::Ghost;
    use ThumbMove::Root;
    use ThumbMove::Seventh;
    use ThumbMove::StepUp;
    use ThumbMove::Third;
    let good = [
        [(Root, 48), (Third, 52), (Fifth, 55), (Above, 54)],
        [(Root, 53), (Seventh, 51), (Fifth, 48), (Below, 47)],
        [(Root, 48), (Below, 51), (Third, 52), (Fifth, 55)],
    ];
    let chart = Chart::parse("4/4", "C", "C7 | F7 | C7");
    // The range of this test reaches a little higher than the usual one.
    let range = (Midi::clamped(40), Midi::clamped(57));
    let faults_with = |bar: usize, beat: usize, note: (ThumbMove, u8)| {
        let mut notes = good;
        notes[bar][beat] = note;
        let notes = thumb_checker::notes(&notes);
        broken(&chart, false, RuleSet::ALL, range, &notes)
    };
    // The good line itself first.
    let faults = faults_with(0, 0, (Root, 48));
    assert!(faults.is_empty(), "{faults:?}");
    for (bar, beat, note, rule) in [
        (1, 0, (Third, 45), Rule::RootFirst),
        (2, 0, (Third, 52), Rule::RootOnDownbeat),
        (2, 0, (StepUp, 50), Rule::ToneOnDownbeat),
        (0, 3, (Third, 52), Rule::ApproachBeforeChange),
        (1, 1, (Below, 47), Rule::OppositeSides),
        (0, 1, (StepUp, 45), Rule::RunsLeadOn),
        (1, 2, (Fifth, 60), Rule::AnswerLeaps),
        (0, 1, (Root, 48), Rule::FreshNotes),
        (1, 2, (Below, 47), Rule::FreshNotes),
        (0, 2, (Root, 36), Rule::Range),
    ] {
        let faults = faults_with(bar, beat, note);
        assert!(
            faults.iter().any(|(found, _)| *found == Some(rule)),
            "{rule:?}: {faults:?}"
        );
    }
    let mut silent = good;
    silent[0][1] = (Ghost, 0);
    silent[0][2] = (Ghost, 0);
    let faults = broken(
        &chart,
        false,
        RuleSet::ALL,
        range,
        &thumb_checker::notes(&silent),
    );
    assert!(
        faults
            .iter()
            .any(|(found, _)| *found == Some(Rule::SilenceAlone))
    );
    let same = Chart::parse("4/4", "C", "C7 | F7 | C7 | F7");
    let end = [(Root, 53), (Seventh, 51), (Fifth, 48), (Third, 45)];
    let twice = [good[0], good[1], good[0], end];
    assert!(
        broken(
            &same,
            false,
            RuleSet::ALL,
            range,
            &thumb_checker::notes(&twice)
        )
        .is_empty()
    );
    let stuck = [
        good[0],
        [(Root, 53), (Third, 57), (Fifth, 48), (Above, 49)],
        good[0],
        end,
    ];
    let faults = broken(
        &same,
        false,
        RuleSet::ALL,
        range,
        &thumb_checker::notes(&stuck),
    );
    assert!(
        faults
            .iter()
            .any(|(found, _)| *found == Some(Rule::FreshBars)),
        "{faults:?}"
    );
}

#[test]
fn a_seed_is_a_line_and_other_seeds_are_other_lines() {
    for chart in charts() {
        let problem = chart.problem(Rung::Mixed, true);
        let lines: BTreeSet<Vec<_>> = (0..100)
            .map(|seed| {
                let problem = problem.clone().with_seed(seed);
                let line = written(&problem);
                assert_eq!(line, written(&problem));
                let notes = line.notes.iter();
                notes.map(|note| (note.thumb_move, note.pitch)).collect()
            })
            .collect();
        // Chords of a beat each leave nothing to choose but the octave of some roots.
        let free = !chart.bars.iter().all(|bar| bar.chords.len() == 4);
        let least = if free { 95 } else { 4 };
        assert!(lines.len() >= least, "{} lines", lines.len());
    }
}

#[test]
fn what_is_locked_stays_and_the_rest_is_written_around_it() {
    let mut dice = thumb::random::SplitMix64::new(3);
    let mut n_locks = 0;
    for chart in charts() {
        let problem = chart.problem(Rung::Mixed, false);
        for seed in 0..20 {
            // Cells of one line, kept while another seed writes the rest.
            let first = written(&problem.clone().with_seed(seed));
            let mut next = problem.clone().with_seed(seed + 1000);
            let kept: Vec<_> = first.notes.iter().filter(|_| dice.below(3) == 0).collect();
            for note in &kept {
                let lock = match (note.pitch, dice.below(2)) {
                    (Some(pitch), 0) => Lock::Both(note.thumb_move, pitch),
                    _ => Lock::Move(note.thumb_move),
                };
                next = next.with_lock(note.bar, note.at, lock);
            }
            let (line, conflicts) = thumb::write_anyway(&next);
            assert!(conflicts.is_empty(), "{conflicts:?}");
            for note in kept {
                let found = line.note(note.bar, note.at).expect("a note");
                assert_eq!(found.thumb_move, note.thumb_move);
                if let Some(Lock::Both(_, pitch)) =
                    next.slot_mut(note.bar, note.at).expect("a slot").locked
                {
                    assert_eq!(found.pitch, Some(pitch));
                }
                n_locks += 1;
            }
            let faults = broken(&chart, false, next.rules, next.range, &line.notes);
            assert!(faults.is_empty(), "{faults:?}\n{}", shown(&line));
        }
    }
    assert!(n_locks > 1000, "{n_locks}");
}

#[test]
fn a_lock_in_one_bar_leaves_most_of_a_long_tune_as_it_was() {
    let chart = Chart::parse("4/4", "C", &["Dm7 | G7 | Cmaj7 | A7"; 8].join(" | "));
    let problem = chart.problem(Rung::Mixed, false).with_seed(5);
    let before = written(&problem);
    let locked = problem.with_lock(16, Ticks::of_beat(1), Lock::Move(ThumbMove::Ghost));
    let after = written(&locked);
    let pairs = before.notes.iter().zip(&after.notes);
    let changed: BTreeSet<usize> = pairs.filter(|(a, b)| a != b).map(|(a, _)| a.bar).collect();
    assert!(!changed.is_empty() && changed.len() <= 6, "{changed:?}");
}

#[test]
fn conflicts_name_the_bar_and_a_way_out_that_works() {
    let chart = Chart::parse("4/4", "Bb", "Cm7 | F7 | Bb6 | Bb6 | Cm7 | F7");
    let lock = |bar, beat, m| (bar, Ticks::of_beat(beat), Lock::Move(m));
    for (locks, words) in [
        (
            vec![lock(4, 3, ThumbMove::Third)],
            "bar 5, beat 4: locked on the third, but an approach must come before the change to \
             F7; unlock it or switch the rule off",
        ),
        (
            vec![lock(1, 0, ThumbMove::Fifth)],
            "bar 2, beat 1: locked on the fifth, but a chord begins with its root; unlock it or \
             switch the rule off",
        ),
        (
            vec![
                lock(0, 1, ThumbMove::ApproachBelow),
                lock(0, 3, ThumbMove::ApproachBelow),
            ],
            "bar 1, beat 4: locked on an approach from below, but the approaches of a bar come from \
             opposite sides; unlock it or switch the rule off",
        ),
        (
            vec![lock(2, 1, ThumbMove::Ghost), lock(2, 2, ThumbMove::Rest)],
            "bar 3, beat 3: locked on a rest, but ghosts and rests stand alone; unlock it or switch \
             the rule off",
        ),
        (
            vec![(
                2,
                Ticks::of_beat(1),
                Lock::Both(ThumbMove::Third, Midi::clamped(41)),
            )],
            "bar 3, beat 2: locked on the third, which fits no note here; unlock it",
        ),
    ] {
        let mut problem = chart.problem(Rung::Mixed, false);
        for (bar, at, lock) in locks {
            problem = problem.with_lock(bar, at, lock);
        }
        let conflict = thumb::write(&problem).expect_err("a conflict");
        assert_eq!(conflict.to_string(), words);
        for way in conflict.ways {
            let mut eased = problem.clone();
            way.take(&mut eased);
            assert!(thumb::write(&eased).is_ok(), "{way:?} of {words}");
        }
    }
}

#[test]
fn bars_locked_alike_are_named_and_a_narrow_range_too() {
    let chart = Chart::parse("2/4", "C", "C6 | C6 | C6");
    let mut problem = chart.problem(Rung::Mixed, false);
    for slot in &mut problem.slots {
        slot.allowed = MoveSet::of(&[ThumbMove::Root, ThumbMove::Fifth]);
    }
    problem.rules = problem.rules.with(Rule::RootOnDownbeat);
    // Only "root fifth" is left for each bar: the root may not be struck again on 2.
    let conflict = thumb::write(&problem).expect_err("a conflict");
    assert!(
        conflict.message.contains("the moves of the bar before"),
        "{conflict}"
    );
    let (line, conflicts) = thumb::write_anyway(&problem);
    assert_eq!(line.notes.len(), 6);
    assert_eq!(conflicts.len(), 2, "{conflicts:?}");

    let mut problem = Chart::parse("4/4", "C", "C6 | F6").problem(Rung::Mixed, false);
    problem.range = (Midi::clamped(40), Midi::clamped(47));
    let conflict = thumb::write(&problem).expect_err("no C between E and B");
    assert_eq!(
        conflict.to_string(),
        "bar 1, beat 1: no note in the range fits here; widen the range"
    );
}

/// Whatever is locked, there is a line, every lock that can sound stands, and each place where a
/// rule had to give way is told.
#[test]
fn there_is_always_a_line_and_every_excuse_is_told() {
    let mut dice = thumb::random::SplitMix64::new(17);
    let mut n_conflicts = 0;
    for chart in charts() {
        for seed in 0..12 {
            let mut problem = chart.problem(Rung::Mixed, seed % 2 == 0).with_seed(seed);
            for slot in &mut problem.slots {
                if dice.below(4) == 0 {
                    let n = ThumbMove::ALL.len() as u64;
                    let thumb_move = ThumbMove::ALL[dice.below(n) as usize];
                    let pitch = Midi::clamped(40 + dice.below(16) as i32);
                    slot.locked = Some(match dice.below(3) {
                        0 => Lock::Pitch(pitch),
                        _ => Lock::Move(thumb_move),
                    });
                }
            }
            let (line, conflicts) = thumb::write_anyway(&problem);
            assert_eq!(line.notes.len(), problem.slots.len());
            let unlocked: BTreeSet<usize> = conflicts.iter().map(|conflict| conflict.bar).collect();
            for (slot, note) in problem.slots.iter().zip(&line.notes) {
                let Some(lock) = slot.locked else { continue };
                let kept = lock.thumb_move().is_none_or(|m| m == note.thumb_move)
                    && lock.pitch().is_none_or(|p| Some(p) == note.pitch);
                assert!(kept || unlocked.contains(&slot.bar), "{lock:?} {note:?}");
            }
            n_conflicts += conflicts.len();
        }
    }
    assert!(n_conflicts > 100, "{n_conflicts}");
}

#[test]
fn a_riff_repeats_itself_where_a_walk_does_not() {
    let chart = Chart::parse("4/4", "C", &["Cmaj7 | Am7 | Dm7 | G7"; 4].join(" | "));
    let walk = chart.problem(Rung::Mixed, true);
    let mut riff = walk.clone();
    for slot in &mut riff.slots {
        slot.riff = true;
    }
    let (mut riffs, mut repeated) = (Vec::new(), 0);
    for seed in 0..50 {
        let walk = written(&walk.clone().with_seed(seed)).variety;
        let riff = written(&riff.clone().with_seed(seed)).variety;
        assert_eq!((walk.n_bars, walk.n_repeated), (16, 0));
        assert!(walk.percent() >= 60, "{walk:?}");
        riffs.push(riff.percent());
        repeated += riff.n_repeated;
    }
    let mean = riffs.iter().sum::<usize>() / riffs.len();
    assert!(mean <= 35, "{mean}: {riffs:?}");
    assert!(repeated > 300, "{repeated} of 750 neighbours");
}

#[test]
fn each_rung_brings_its_own_device() {
    let chart = Chart::parse(
        "4/4",
        "C",
        "Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | Cmaj7 | Cmaj7",
    );
    let mut n_steps = 0;
    for seed in 0..50 {
        let codes = |rung| -> Vec<Vec<ThumbMove>> {
            let line = written(&chart.problem(rung, true).with_seed(seed));
            let bars = line.notes.chunk_by(|a, b| a.bar == b.bar);
            bars.map(|bar| bar.iter().map(|note| note.thumb_move).collect())
                .collect()
        };
        let chromatic =
            |m: &ThumbMove| matches!(m, ThumbMove::ApproachBelow | ThumbMove::ApproachAbove);
        assert!(
            codes(Rung::Roots)
                .concat()
                .iter()
                .all(|m| *m == ThumbMove::Root)
        );
        for bar in codes(Rung::LastBeat).iter().take(6) {
            assert!(
                bar[..3].iter().all(|m| *m == ThumbMove::Root) && chromatic(&bar[3]),
                "{bar:?}"
            );
        }
        for bar in codes(Rung::TwoApproaches) {
            assert!(
                chromatic(&bar[1]) && chromatic(&bar[3]) && bar[1] != bar[3],
                "{bar:?}"
            );
        }
        let steps = codes(Rung::Runs).concat();
        let steps = steps
            .iter()
            .filter(|m| matches!(m, ThumbMove::StepUp | ThumbMove::StepDown));
        n_steps += steps.count();
    }
    assert!(n_steps >= 50 * 8, "{n_steps} steps in 50 runs of 8 bars");
    let all: BTreeSet<ThumbMove> = (0..200)
        .flat_map(|seed| written(&chart.problem(Rung::Mixed, true).with_seed(seed)).notes)
        .map(|note| note.thumb_move)
        .collect();
    let without_rest = ThumbMove::ALL.into_iter().filter(|m| *m != ThumbMove::Rest);
    let missing: Vec<ThumbMove> = without_rest
        .filter(|m| !all.contains(m) && *m != ThumbMove::Octave)
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// A published lesson's finding (C. Fitzgerald, "Walking bass line theory basics", and a guitar
/// version of it): G7 up to C needs five notes where the scale has four, so a chromatic note is
/// added (G A B♭ B C); down to C, G F E D fits exactly.
#[test]
fn the_runs_of_the_lesson_are_among_the_lines() {
    let chart = Chart::parse("4/4", "C", "G7 | C6");
    let mut problem = chart.problem(Rung::Mixed, false);
    problem.range = (Midi::clamped(40), Midi::clamped(57));
    let first_bar = |line: &Line| -> Vec<u8> {
        let notes = line.notes.iter().take(5);
        notes
            .filter_map(|note| note.pitch)
            .map(Midi::number)
            .collect()
    };
    let mut wanted = vec![vec![43, 45, 46, 47, 48], vec![55, 53, 52, 50, 48]];
    for seed in 0..20_000 {
        let bar = first_bar(&written(&problem.clone().with_seed(seed)));
        wanted.retain(|run| *run != bar);
        if wanted.is_empty() {
            break;
        }
    }
    assert!(wanted.is_empty(), "not found: {wanted:?}");
}

/// Shares before a change against the start weights (research notes: half a step from either side
/// .30 each, scale step .20, dominant .15), where all of them are possible.
#[test]
fn approaches_before_a_change_come_as_often_as_they_are_weighed() {
    let chart = Chart::parse("4/4", "C", "Em7 | Am7");
    let problem = chart.problem(Rung::Mixed, false);
    let mut counts: BTreeMap<ThumbMove, u32> = BTreeMap::new();
    for seed in 0..4000 {
        let line = written(&problem.clone().with_seed(seed));
        *counts.entry(line.notes[3].thumb_move).or_default() += 1;
    }
    let share = |m: ThumbMove| counts.get(&m).copied().unwrap_or(0) / 40;
    let halves = share(ThumbMove::ApproachBelow) + share(ThumbMove::ApproachAbove);
    let steps = share(ThumbMove::StepUp) + share(ThumbMove::StepDown);
    assert!((45..=80).contains(&halves), "{counts:?}");
    assert!((8..=35).contains(&steps), "{counts:?}");
    assert!(
        (5..=25).contains(&share(ThumbMove::ApproachDominant)),
        "{counts:?}"
    );
}

#[test]
fn excuses_are_edits_that_hold_in_one_place_only() {
    let chart = Chart::parse("4/4", "C", "Dm7 | G7 | C6");
    let mut problem = chart.problem(Rung::Mixed, false);
    WayOut::Excuse {
        rule: Rule::RootFirst,
        slot: 4,
    }
    .take(&mut problem);
    let problem = problem.with_lock(1, Ticks(0), Lock::Move(ThumbMove::Third));
    let line = written(&problem);
    assert_eq!(line.notes[4].thumb_move, ThumbMove::Third);
    assert_eq!(line.notes[8].thumb_move, ThumbMove::Root);
}

/// Every chord symbol of the table in every key: all its tones are in its scale and in every
/// alternative, notes rise within an octave, root first.
#[test]
fn every_chord_of_the_table_lies_in_its_scale() {
    let table: serde_json::Value =
        serde_json::from_str(include_str!("tables/chords.json")).expect("the table is JSON");
    let rows = table["chords"].as_array().expect("a list of rows");
    let keys = ["C", "Db", "F#", "Bb", "E", "Am", "Ebm", "C#m"];
    let mut n = 0;
    for row in rows {
        let symbol = row["symbol"].as_str().expect("a symbol");
        let chord = Arc::new(ChordSymbol::parse(symbol).expect(symbol).chord().clone());
        for key in keys {
            let key = Key::parse(key).expect("a key");
            for scale in scale::alternatives(&chord, key) {
                let classes = scale.pitch_classes();
                for tone in chord.tones() {
                    let pc = tone.degree.above(chord.root().pitch_class());
                    assert!(classes.contains(pc), "{symbol} in {key}: {scale:?}");
                }
                assert_eq!(scale.notes.first(), Some(&chord.root()), "{symbol}");
                let above = |note: &thumbwalk::theory::Spelling| {
                    chord
                        .root()
                        .pitch_class()
                        .semitones_up_to(note.pitch_class())
                };
                assert!(scale.notes.is_sorted_by_key(above), "{symbol}: {scale:?}");
                assert!((5..=8).contains(&scale.notes.len()), "{symbol}: {scale:?}");
                n += 1;
            }
        }
    }
    assert!(n > 2000, "{n}");
}

#[test]
fn bars_of_all_lengths_and_a_whole_book_of_them_are_written() {
    let mut chart = Chart::parse("4/4", "C", &["Dm7 | G7 | Cmaj7 A7 | N.C."; 500].join(" | "));
    let problem = chart.problem(Rung::Mixed, true);
    let line = written(&problem);
    assert_eq!(line.notes.len(), 8000);
    assert_eq!(line.variety.n_repeated, 0);
    let chords = chart.bars.iter().take(3).map(|bar| bar.chords.clone());
    let long = chords.map(|chords| LineBar::walking(Ticks::of_beat(40), chords));
    chart.bars = long.collect();
    let line = written(&chart.problem(Rung::Mixed, false));
    assert_eq!(line.notes.len(), 120);
    assert_eq!(line.variety.n_repeated, 0);
}

/// Random chords in all keys and metres, one to four a bar, some bars without: every rung has a
/// line for every chart that locks nothing, and keeps its rules.
#[test]
fn charts_without_locks_never_have_conflicts() {
    let mut dice = thumb::random::SplitMix64::new(23);
    let roots = [
        "C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B",
    ];
    let kinds = [
        "", "m", "7", "maj7", "m7", "m7b5", "dim7", "7alt", "6", "m6", "7sus4", "5", "/E",
    ];
    let mut n_lines = 0;
    for _ in 0..400 {
        let mut any = |list: &[&'static str]| list[dice.below(list.len() as u64) as usize];
        let meter = any(&["4/4", "4/4", "3/4", "5/4", "6/8", "12/8", "2/4"]);
        let key = any(&roots);
        let mut bars: Vec<String> = Vec::new();
        for _ in 0..8 {
            let chord = |any: &mut dyn FnMut(&[&'static str]) -> &'static str| match any(&kinds) {
                _ if any(&["", "", "", "", "", "", "", "N.C."]) == "N.C." => "N.C.".to_owned(),
                kind => format!("{}{kind}", any(&roots)),
            };
            let n = match (any(&["1", "1", "1", "2", "2", "4"]), meter) {
                ("1", _) => 1,
                ("2", _) | (_, "6/8" | "2/4") => 2,
                (_, "3/4") => 3,
                _ => 4,
            };
            let words: Vec<String> = (0..n).map(|_| chord(&mut any)).collect();
            bars.push(words.join(" "));
        }
        let chart = Chart::parse(meter, key, &bars.join(" | "));
        for rung in Rung::ALL {
            for again in [false, true] {
                let problem = chart.problem(rung, again).with_seed(n_lines);
                let line = thumb::write(&problem).unwrap_or_else(|conflict| {
                    panic!("{rung:?} {again} {meter} {bars:?}: {conflict}")
                });
                let faults = broken(&chart, again, problem.rules, problem.range, &line.notes);
                assert!(
                    faults.is_empty(),
                    "{rung:?} {meter} {bars:?}: {faults:?}\n{}",
                    shown(&line)
                );
                n_lines += 1;
            }
        }
    }
    assert_eq!(n_lines, 4000);
}

/// Every line there is, by trying them all: bars of two beats, few moves, a narrow range.
fn some_line_exists(chart: &Chart, problem: &LineProblem) -> bool {
    let mut open: Vec<Vec<LineNote>> = vec![Vec::new()];
    let (lowest, highest) = (problem.range.0.number(), problem.range.1.number());
    while let Some(line) = open.pop() {
        let Some(slot) = problem.slots.get(line.len()) else {
            let faults = broken(chart, false, problem.rules, problem.range, &line);
            if faults.is_empty() {
                return true;
            }
            continue;
        };
        let locked = slot.locked.and_then(Lock::thumb_move);
        let moves = ThumbMove::ALL.into_iter();
        for thumb_move in moves.filter(|m| locked.map_or(slot.allowed.has(*m), |own| own == *m)) {
            for pitch in (lowest..=highest).filter_map(Midi::new) {
                // What the note before demands at once is not tried in vain.
                let demand = line.last().and_then(|last| match last.thumb_move {
                    ThumbMove::ApproachBelow => last.pitch?.up(1),
                    ThumbMove::ApproachAbove => last.pitch?.up(-1),
                    _ => None,
                });
                if demand.is_none_or(|wanted| wanted == pitch) {
                    let mut longer = line.clone();
                    longer.push(LineNote {
                        bar: slot.bar,
                        at: slot.at,
                        thumb_move,
                        pitch: Some(pitch),
                        spelling: None,
                    });
                    // A tone that is none will not become one.
                    let tone = MoveSet::TONES.has(thumb_move);
                    let faults = broken(chart, false, RuleSet::EMPTY, problem.range, &longer);
                    let place = format!("bar {} beat {} ", slot.bar + 1, slot.at.beat_idx() + 1);
                    if !(tone && faults.iter().any(|(_, words)| words.starts_with(&place))) {
                        open.push(longer);
                    }
                }
            }
        }
    }
    false
}

/// A conflict is told exactly when trying everything finds no line either.
#[test]
fn there_is_a_conflict_only_where_no_line_exists() {
    use ThumbMove::ApproachAbove;
    use ThumbMove::ApproachBelow;
    use ThumbMove::Fifth;
    use ThumbMove::Root;
    use ThumbMove::Third;
    let mut dice = thumb::random::SplitMix64::new(31);
    let mut n = [0, 0];
    for _ in 0..150 {
        let mut any = |list: &[&'static str]| list[dice.below(list.len() as u64) as usize];
        // Chords without two tones a semitone apart: no note has two names.
        let kinds = ["C7", "C7", "F7", "Dm7", "G7", "Am7"];
        let bars = [any(&kinds), any(&kinds), any(&kinds)].join(" | ");
        let chart = Chart::parse("2/4", "C", &bars);
        let mut problem = chart.problem(Rung::TwoApproaches, false);
        problem.range = (Midi::clamped(43), Midi::clamped(51));
        for slot in &mut problem.slots {
            slot.allowed = MoveSet::of(&[Root, Fifth, ApproachAbove, ApproachBelow]);
            if dice.below(3) == 0 {
                let moves = [Root, Third, Fifth, ApproachBelow, ApproachAbove];
                slot.locked = Some(Lock::Move(moves[dice.below(5) as usize]));
            }
        }
        let free = problem
            .slots
            .iter()
            .filter(|slot| slot.locked.is_none())
            .count();
        if dice.below(4) == 0 {
            problem.rules = problem.rules.without(Rule::FreshNotes);
        }
        let exists = some_line_exists(&chart, &problem);
        let found = thumb::write(&problem);
        // Bars that are locked whole may be alike, which the checker does not know.
        if free >= 3 {
            assert_eq!(
                found.is_ok(),
                exists,
                "{bars}: {:?} {found:?}",
                problem.slots
            );
            n[usize::from(exists)] += 1;
        }
    }
    assert!(n[0] > 10 && n[1] > 10, "{n:?}");
}

/// Semitones above the root as the open library tonal lists them (its scale-type data, MIT
/// licence, read 2026; it says "mixolydian b6" and "locrian #2").
#[test]
fn scales_hold_the_notes_that_a_published_table_gives_them() {
    let root = Key::C_MAJOR.tonic;
    for (name, semitones) in [
        ("ionian", &[0, 2, 4, 5, 7, 9, 11][..]),
        ("dorian", &[0, 2, 3, 5, 7, 9, 10]),
        ("phrygian", &[0, 1, 3, 5, 7, 8, 10]),
        ("lydian", &[0, 2, 4, 6, 7, 9, 11]),
        ("mixolydian", &[0, 2, 4, 5, 7, 9, 10]),
        ("aeolian", &[0, 2, 3, 5, 7, 8, 10]),
        ("locrian", &[0, 1, 3, 5, 6, 8, 10]),
        ("melodic minor", &[0, 2, 3, 5, 7, 9, 11]),
        ("harmonic minor", &[0, 2, 3, 5, 7, 8, 11]),
        ("lydian augmented", &[0, 2, 4, 6, 8, 9, 11]),
        ("lydian dominant", &[0, 2, 4, 6, 7, 9, 10]),
        ("mixolydian b13", &[0, 2, 4, 5, 7, 8, 10]),
        ("phrygian dominant", &[0, 1, 4, 5, 7, 8, 10]),
        ("dorian b2", &[0, 1, 3, 5, 7, 9, 10]),
        ("locrian natural 9", &[0, 2, 3, 5, 6, 8, 10]),
        ("altered", &[0, 1, 3, 4, 6, 8, 10]),
        ("half-whole diminished", &[0, 1, 3, 4, 6, 7, 9, 10]),
        ("whole-half diminished", &[0, 2, 3, 5, 6, 8, 9, 11]),
        ("whole tone", &[0, 2, 4, 6, 8, 10]),
    ] {
        let scale = ChordScale::named(name, root).expect(name);
        let notes = scale.notes.iter().map(|note| note.pitch_class().number());
        assert_eq!(notes.collect::<Vec<u8>>(), semitones, "{name}");
    }
}

/// A problem whose bars have rungs, moves, riffs of their own and rules are off, at random, and
/// what the checker has to hold it to.
fn with_own_bars(
    chart: &Chart,
    dice: &mut thumb::random::SplitMix64,
    rungs: &[Rung],
    (n_moves, again): (u64, bool),
) -> (LineProblem, Vec<Asked>) {
    let mut bars = chart.bars.clone();
    let any = |dice: &mut thumb::random::SplitMix64| rungs[dice.below(rungs.len() as u64) as usize];
    let tune = any(dice);
    for bar in &mut bars {
        let own = any(dice);
        bar.rung = Some(own).filter(|_| dice.below(2) == 0);
        bar.riff = dice.below(4) == 0;
        let few = 3 + dice.below(n_moves.max(1));
        let moves = (0..few).map(|_| ThumbMove::ALL[dice.below(14) as usize]);
        let moves: MoveSet = moves.collect();
        bar.moves = Some(moves).filter(|_| n_moves > 0 && dice.below(3) == 0);
    }
    let mut problem = LineProblem::new(chart.key, chart.meter, &bars, tune, again);
    let off: RuleSet = match dice.below(3) {
        0 => Rule::ALL
            .into_iter()
            .filter(|_| dice.below(6) == 0)
            .collect(),
        _ => RuleSet::EMPTY,
    };
    problem.rules = problem.rules.minus(off);
    let asked = bars.iter().map(|bar| {
        let rung = bar.rung.unwrap_or(tune);
        let rules = rung.rules().minus(off);
        // On the lower rungs nothing but roots and approaches is left to choose.
        let of_rung = match rung {
            Rung::Roots => Some(MoveSet::ROOTS.without(ThumbMove::Octave)),
            _ => None,
        };
        Asked {
            rules: if bar.riff {
                rules.without(Rule::FreshBars)
            } else {
                rules
            },
            moves: bar.moves.or(of_rung),
        }
    });
    let asked = asked.collect();
    (problem, asked)
}

/// Charts with repeats: their bars, and the order in which players hear them (common practice: a
/// repeated part goes back to its first bar, the second ending takes the place of the first).
fn repeated_charts() -> Vec<Chart> {
    let in_order =
        |meter, key, bars, heard: &[usize]| Chart::parse(meter, key, bars).heard_as(heard);
    vec![
        // |: Dm7 | G7 |1. Em7 | A7 :|2. Fm7 | Bb7 ||
        in_order(
            "4/4",
            "C",
            "Dm7 | G7 | Em7 | A7 | Fm7 | Bb7",
            &[0, 1, 2, 3, 0, 1, 4, 5],
        ),
        // Am7 |: Dm7 G7 | Cmaj7 A7 :| Ebmaj7 | Abmaj7 ||
        in_order(
            "4/4",
            "C",
            "Am7 | Dm7 G7 | Cmaj7 A7 | Ebmaj7 | Abmaj7",
            &[0, 1, 2, 1, 2, 3, 4],
        ),
        // The part begins with the chord before it, and there are three endings.
        in_order(
            "4/4",
            "F",
            "F6 | F6 | Gm7 | C7 | A7 | Bb7 | F6 C7",
            &[0, 1, 2, 3, 1, 2, 4, 1, 2, 5, 6],
        ),
        // One bar again and again, then a part that ends on the chord it begins with.
        in_order(
            "3/4",
            "G",
            "Gmaj7 | Am7 D7 | Bm7 | Bm7 E7 | Bm7 | Am7",
            &[0, 1, 1, 1, 2, 3, 4, 2, 3, 4, 5],
        ),
        // The whole tune twice.
        in_order(
            "4/4",
            "Bb",
            "Cm7 | F7 | Bb6 | G7",
            &[0, 1, 2, 3, 0, 1, 2, 3],
        ),
        // A first ending without a repeat sign: what comes after both is heard next.
        in_order(
            "6/8",
            "D",
            "D6 | Em7 | A7 | Bm7 | N.C. | A7",
            &[0, 1, 3, 4, 5],
        ),
    ]
}

/// The last beat of a bar leads to the bar that is heard next: 6 charts × 5 rungs × 2 endings × 60
/// seeds keep every rule over the jump, and the leading notes arrive at the very pitch the line has
/// there.
#[test]
fn the_last_beat_leads_to_what_is_heard_next() {
    let mut n_leading = 0;
    for chart in repeated_charts() {
        let elsewhere = (0..).zip(&chart.bars);
        let elsewhere: Vec<(usize, usize)> = elsewhere
            .filter_map(|(bar, written)| Some((bar, written.leads_to?)))
            .collect();
        for_each_line(&chart, 60, |line| {
            let of_bar = |bar: usize| line.notes.iter().filter(move |n| n.bar == bar);
            for &(bar, goal) in &elsewhere {
                let (last, first) = (of_bar(bar).next_back(), of_bar(goal).next());
                let (last, first) = (last.expect("a note"), first.expect("a note"));
                let pitches = last.pitch.zip(first.pitch);
                let away = pitches.map(|(a, b)| i32::from(b.number()) - i32::from(a.number()));
                let wanted = match last.thumb_move {
                    ThumbMove::ApproachBelow => [1, 1],
                    ThumbMove::ApproachAbove => [-1, -1],
                    ThumbMove::ApproachDominant => [5, -7],
                    ThumbMove::StepUp => [1, 2],
                    ThumbMove::StepDown => [-1, -2],
                    _ => continue,
                };
                assert!(wanted.map(Some).contains(&away), "{}", shown(line));
                n_leading += 1;
            }
        });
    }
    assert!(n_leading > 2000, "{n_leading}");
}

/// The checker sees an approach that leads to the bar written next instead of the one heard next.
#[test]
fn the_checker_hears_repeats() {
    use ThumbMove::ApproachBelow;
    use ThumbMove::Root;
    let straight = Chart::parse("4/4", "C", "Dm7 | G7 | Cmaj7");
    let repeated = Chart::parse("4/4", "C", "Dm7 | G7 | Cmaj7").heard_as(&[0, 1, 0, 1, 2]);
    let line = |last: u8| {
        notes(&[
            [(Root, 50), (Root, 50), (Root, 50), (ApproachBelow, 42)],
            [(Root, 43), (Root, 43), (Root, 43), (ApproachBelow, last)],
            [(Root, 48), (Root, 48), (Root, 48), (Root, 48)],
        ])
    };
    let rules = Rung::LastBeat.rules();
    for (chart, right, wrong) in [(&straight, 47, 49), (&repeated, 49, 47)] {
        let range = chart.problem(Rung::LastBeat, false).range;
        assert_eq!(broken(chart, false, rules, range, &line(right)), []);
        assert!(!broken(chart, false, rules, range, &line(wrong)).is_empty());
    }
    // An octave away is another note.
    let range = repeated.problem(Rung::LastBeat, false).range;
    let faults = broken(&repeated, false, rules, range, &line(37 + 24));
    assert!(!faults.is_empty());
}

/// What no line can do over a jump is told, with a way out that was tried.
#[test]
fn a_lock_that_leads_nowhere_over_a_jump_is_told() {
    let chart = Chart::parse("4/4", "C", "Dm7 | G7 | Cmaj7").heard_as(&[0, 1, 0, 1, 2]);
    let problem = chart.problem(Rung::LastBeat, false);
    let pitch = |number| Lock::Both(ThumbMove::ApproachBelow, Midi::clamped(number));
    let last = Ticks::of_beat(3);
    assert!(thumb::write(&problem.clone().with_lock(1, last, pitch(49))).is_ok());
    let locked = problem.with_lock(1, last, pitch(47));
    let conflict = thumb::write(&locked).expect_err("B leads to C, which is not heard next");
    assert_eq!((conflict.bar, conflict.at), (1, last));
    let (line, conflicts) = thumb::write_anyway(&locked);
    assert_eq!(
        (line.notes.len(), conflicts.len()),
        (12, 1),
        "{conflicts:?}"
    );
}

/// Rungs and riffs bar by bar, without locks: 17 charts × 60 mixtures × 5 seeds, no rule that a
/// bar holds is broken, and there is never a conflict. (Not with bars of nothing but roots: before
/// another chord on the same root such a bar leaves no fresh note.)
#[test]
fn bars_keep_the_rules_of_their_own_rungs() {
    let mut dice = thumb::random::SplitMix64::new(41);
    let mut n_lines = 0;
    for chart in charts().into_iter().chain(repeated_charts()) {
        for round in 0..60 {
            let again = round % 2 == 0;
            let (problem, asked) = with_own_bars(&chart, &mut dice, &Rung::ALL[1..], (0, again));
            for seed in 0..5 {
                let line = written(&problem.clone().with_seed(seed));
                let faults = broken_bars(&chart, again, &asked, problem.range, &line.notes);
                assert!(faults.is_empty(), "{seed}: {faults:?}\n{}", shown(&line));
                n_lines += 1;
            }
        }
    }
    assert_eq!(n_lines, 5100);
}

/// Rungs, moves, riffs and locks bar by bar: 11 charts × 100 mixtures × 2 seeds. What is told as a
/// conflict excuses its neighbourhood; everywhere else every rule holds, every lock stands, and a
/// bar has only the moves that were chosen for it.
#[test]
fn bars_take_only_the_moves_chosen_for_them_or_say_so() {
    let mut dice = thumb::random::SplitMix64::new(43);
    let (mut n_clean, mut n_told, mut n_other) = (0, 0, 0);
    for chart in charts() {
        for round in 0..100 {
            let again = round % 2 == 0;
            let (mut problem, asked) = with_own_bars(&chart, &mut dice, &Rung::ALL, (16, again));
            for slot in &mut problem.slots {
                if dice.below(20) == 0 {
                    let thumb_move = ThumbMove::ALL[dice.below(14) as usize];
                    let pitch = Midi::clamped(40 + dice.below(16) as i32);
                    slot.locked = Some(match dice.below(3) {
                        0 => Lock::Pitch(pitch),
                        _ => Lock::Move(thumb_move),
                    });
                }
            }
            let lines = [0, 1].map(|seed| {
                let problem = problem.clone().with_seed(seed);
                let (line, conflicts) = thumb::write_anyway(&problem);
                if round % 10 == 0 {
                    let (same, told) = thumb::write_anyway(&problem);
                    assert_eq!((&line, &conflicts), (&same, &told));
                }
                let told = |bar: usize, apart: usize| {
                    conflicts.iter().any(|c| c.bar.abs_diff(bar) <= apart)
                };
                let freed = |bar: usize| {
                    let mut free = conflicts.iter().flat_map(|c| &c.ways);
                    free.any(
                        |way| matches!(way, WayOut::FreeBar { bar: b } if b.abs_diff(bar) <= 1),
                    )
                };
                let faults = broken_bars(&chart, again, &asked, problem.range, &line.notes);
                for (rule, bar, words) in faults {
                    // A player's own pitch need not be what it is called nor lead on, and bars
                    // that are locked whole may be alike: the checker knows no locks.
                    let near = |slot: &&Slot| slot.bar.abs_diff(bar) <= 1;
                    let mut locks = problem.slots.iter().filter(near).filter_map(|s| s.locked);
                    let excused = locks.any(|lock| match lock {
                        Lock::Pitch(_) => matches!(
                            rule,
                            None | Some(Rule::RunsLeadOn | Rule::Range | Rule::FreshBars)
                        ),
                        // Where no root has sounded, a locked octave is one of nothing.
                        Lock::Move(ThumbMove::Octave) => {
                            matches!(rule, None | Some(Rule::FreshBars))
                        }
                        _ => rule == Some(Rule::FreshBars),
                    });
                    assert!(
                        excused || told(bar, 2),
                        "{rule:?} {words}: {conflicts:?}\n{}",
                        shown(&line)
                    );
                }
                for (slot, note) in problem.slots.iter().zip(&line.notes) {
                    let right = match slot.locked {
                        Some(lock) => {
                            lock.thumb_move().is_none_or(|m| m == note.thumb_move)
                                && lock.pitch().is_none_or(|p| Some(p) == note.pitch)
                        }
                        None => slot.allowed.has(note.thumb_move),
                    };
                    assert!(
                        right || told(slot.bar, 0) || freed(slot.bar),
                        "{slot:?} {note:?} {conflicts:?}"
                    );
                }
                n_clean += usize::from(conflicts.is_empty());
                n_told += conflicts.len();
                line
            });
            n_other += usize::from(lines[0] != lines[1]);
        }
    }
    assert!(n_clean > 100 && n_told > 1000, "{n_clean} {n_told}");
    assert!(n_other > 950, "{n_other} of 1100 with another seed");
}

/// One bar that asks for a riff takes up the bar before it; the bars after it go on as they like.
#[test]
fn a_bar_takes_up_the_bar_before_it_if_it_asks_to() {
    let chart = Chart::parse("4/4", "C", "Cmaj7 | Fmaj7 | Cmaj7 | Fmaj7 | Cmaj7 | Fmaj7");
    let mut bars = chart.bars.clone();
    bars[2].riff = true;
    let problem = LineProblem::new(chart.key, chart.meter, &bars, Rung::Mixed, true);
    let (mut n_same, mut n_next) = (0, 0);
    for seed in 0..200 {
        let line = written(&problem.clone().with_seed(seed));
        let bars: Vec<Vec<ThumbMove>> = line
            .notes
            .chunk_by(|a, b| a.bar == b.bar)
            .map(|bar| bar.iter().map(|note| note.thumb_move).collect())
            .collect();
        n_same += usize::from(bars[1] == bars[2]);
        n_next += [(0, 1), (2, 3), (3, 4), (4, 5)]
            .iter()
            .filter(|(a, b)| bars[*a] == bars[*b])
            .count();
    }
    assert!(n_same >= 150, "{n_same} of 200");
    assert_eq!(n_next, 0, "every other bar differs from the one before");
}

/// Moves chosen for a bar that leave no root for its first beat: the rule stands, and the way out
/// is to allow more.
#[test]
fn moves_that_leave_no_line_are_told_and_widened() {
    let chart = Chart::parse("4/4", "Bb", "Cm7 | F7 | Bb6 | Bb6 | Cm7 | F7");
    let mut bars = chart.bars.clone();
    let chosen = MoveSet::TONES
        .without(ThumbMove::Root)
        .union(MoveSet::CHROMATIC);
    bars[4].moves = Some(chosen);
    let problem = LineProblem::new(chart.key, chart.meter, &bars, Rung::Mixed, false);
    let conflict = thumb::write(&problem).expect_err("a conflict");
    assert_eq!(
        conflict.to_string(),
        "bar 5, beat 1: a chord begins with its root, but no note that is allowed here does; allow \
         more moves or switch the rule off"
    );
    assert!(
        conflict.ways.contains(&WayOut::Allow { slot: 16 }),
        "{:?}",
        conflict.ways
    );
    let (line, conflicts) = thumb::write_anyway(&problem);
    assert_eq!(conflicts.len(), 1);
    assert_eq!(line.notes[16].thumb_move, ThumbMove::Root);
    assert!(
        line.notes[17..20]
            .iter()
            .all(|note| chosen.has(note.thumb_move))
    );
    let faults = broken(&chart, false, problem.rules, problem.range, &line.notes);
    assert!(faults.is_empty(), "{faults:?}");
}
