//! What the nodes of every phase are made from: the chord with its voicings, where the thumb goes next,
//! and what bass note sounds on. Looks ahead and back in the plan; makes no node itself.

use super::change::Changes;
use super::jumps::Jumps;
use super::moves::move_classes;
use super::nodes::Source;
use super::nodes::ThumbNote;
use super::phase::Phase;
use super::phase::Plan;
use super::phase::Task;
use super::problem::Problem;
use crate::instrument::fretboard::Fretboard;
use crate::theory::Chord;
use crate::theory::Midi;
use crate::theory::PcSet;
use crate::voicing::Voicing;

/// What nodes are made from, whichever the phase.
pub struct Desk<'a> {
    /// What is asked.
    pub problem: &'a Problem,
    /// The neck.
    pub board: &'a Fretboard,
    /// Costs of changes.
    pub changes: &'a Changes,
    /// Spans and phases.
    pub plan: &'a Plan,
}

impl<'a> Desk<'a> {
    /// A phase with the source of its nodes.
    #[must_use]
    pub fn source(
        &self,
        phase: usize,
        (voicings, next_bass, struck): (&'a [Voicing], PcSet, &'a [ThumbNote]),
    ) -> Option<(&'a Phase, Source<'a>)> {
        let phase = self.plan.phases.get(phase)?;
        let span = self.plan.spans.get(phase.span)?;
        let source = Source {
            instrument: &self.problem.instrument,
            board: self.board,
            hand: &self.problem.hand,
            key: self.problem.key,
            changes: self.changes,
            chord: span.chord.as_deref(),
            voicings,
            next_bass,
            struck,
        };
        Some((phase, source))
    }

    /// Where the bass note can lie that sounds on in a phase, if one does.
    #[must_use]
    pub fn struck(&self, phase: usize, next_bass: &[PcSet]) -> Vec<ThumbNote> {
        let holds = |idx: &usize| {
            let phase = self.plan.phases.get(*idx);
            phase.is_some_and(|phase| phase.task == Task::Hold)
        };
        if !holds(&phase) {
            return Vec::new();
        }
        let origin = (0..phase).rev().find(|idx| !holds(idx));
        let found = origin.and_then(|origin| {
            let next_bass = next_bass.get(origin).copied().unwrap_or_default();
            let (phase, source) = self.source(origin, (&[], next_bass, &[]))?;
            Some(source.places(&phase.task))
        });
        let places = found.unwrap_or_default();
        places.into_iter().map(|(note, _)| note).collect()
    }
}

/// For every phase the pitch classes the thumb may have in the phase heard after it, found from the
/// end backwards, because a leading move depends on what it leads to. What is written elsewhere is
/// led to as it is by itself.
#[must_use]
pub fn next_bass(problem: &Problem, plan: &Plan, jumps: &Jumps) -> Vec<PcSet> {
    let mut sets = Vec::with_capacity(plan.phases.len());
    let mut next = PcSet::EMPTY;
    let classes = |phase: &Phase, next: PcSet| {
        let span = plan.spans.get(phase.span);
        let chord = span.and_then(|span| span.chord.as_deref());
        classes_of_phase(problem, phase, chord, next)
    };
    for (idx, phase) in plan.phases.iter().enumerate().rev() {
        let elsewhere = jumps.onward(idx, plan.phases.len());
        if let Some(goal) = elsewhere.and_then(|goal| plan.phases.get(goal)) {
            next = classes(goal, PcSet::EMPTY);
        }
        sets.push(next);
        next = classes(phase, next);
    }
    sets.reverse();
    sets
}

fn classes_of_phase(problem: &Problem, phase: &Phase, chord: Option<&Chord>, next: PcSet) -> PcSet {
    if matches!(phase.task, Task::Hold | Task::Nothing) {
        return next;
    }
    let Some(chord) = chord else {
        return PcSet::EMPTY;
    };
    match &phase.task {
        Task::Hold | Task::Nothing => next,
        Task::Grip => PcSet::EMPTY.with(chord.bass().pitch_class()),
        Task::Pitched(_, pitch) => PcSet::EMPTY.with(pitch.pitch_class()),
        Task::Exactly(_, string, fret) => {
            let pitch = problem.instrument.pitch(*string, *fret);
            pitch.map(Midi::pitch_class).into_iter().collect()
        }
        Task::Moves(moves) => moves
            .iter()
            .map(|(thumb_move, _)| move_classes(chord, *thumb_move, problem.key, next))
            .fold(PcSet::EMPTY, PcSet::union),
    }
}
