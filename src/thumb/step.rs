//! From one note to the next: whether a pair of notes obeys the rules of melody, and what a line
//! has to remember besides its last note. A state holds no more than the rules need, so that
//! there are few of them. Never looks further than one slot.

use super::candidates::Candidate;
use super::candidates::ups_to;
use super::problem::LineProblem;
use super::problem::Slot;
use crate::theory::MoveSet;
use crate::theory::PitchClass;
use crate::theory::Rule;
use crate::theory::ThumbMove;

/// The widest interval that is no leap to be answered: a perfect fifth, in semitones.
const FIFTH: i16 = 7;

/// The widest leap, in semitones.
const OCTAVE: i16 = 12;

/// What a line remembers at a slot.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct State {
    /// The note's place among the candidates of its slot.
    pub candidate: u16,
    /// The pitch of the root the chord began with; 0 if it has not sounded.
    home: u8,
    /// Where the last chromatic approach of this bar came from: −1 below, 1 above, 0 none yet.
    side: i8,
    /// Which way the next note has to step after a leap: 1 up, −1 down, 0 any.
    owes: i8,
    /// Where the line will come back to a slot, the place of that slot's note among its candidates,
    /// counted from 1; 0 elsewhere, and where it is not known.
    pub back: u16,
    /// The same for the note of a later slot that has been led to already.
    pub ahead: u16,
}

impl State {
    /// The same with other notes to go to.
    pub const fn going_to(self, back: u16, ahead: u16) -> Self {
        Self {
            back,
            ahead,
            ..self
        }
    }
}

/// A note in its slot.
#[derive(Clone, Copy)]
pub struct At<'a> {
    /// The slot.
    pub slot: &'a Slot,
    /// The note.
    pub note: Candidate,
}

/// The state of a line that begins with this note; `None` if it cannot begin so.
pub fn begin(problem: &LineProblem, at: At<'_>, candidate: u16) -> Option<State> {
    let clear = State {
        candidate,
        home: 0,
        side: 0,
        owes: 0,
        back: 0,
        ahead: 0,
    };
    if must_be_entered(problem, at) {
        return None;
    }
    remembered(problem, clear, at)
}

/// Whether two notes may follow each other, whatever was before.
pub fn may_follow(problem: &LineProblem, from: At<'_>, to: At<'_>) -> bool {
    leads(problem, from, to)
        && (!must_be_entered(problem, to) || is_entered(problem, from, to))
        && is_fresh(problem, from, to)
        && within_octave(problem, from, to)
        && breaks_silence(problem, from, to)
}

/// The state after a second note, of a pair that [`may_follow`] each other; `None` if what was
/// before forbids it.
pub fn follow(
    problem: &LineProblem,
    state: State,
    from: At<'_>,
    to: At<'_>,
    candidate: u16,
) -> Option<State> {
    if !pays(problem, state, from, to) {
        return None;
    }
    let interval = interval(from.note, to.note);
    let answers = problem.holds(Rule::AnswerLeaps, to.slot);
    // Roots of chords of a beat each are given: they leap as the chords do, and leave no room to
    // answer.
    let from_given = from.slot.first_of_chord && to.slot.first_of_chord;
    let only_note = to.slot.first_of_chord && to.slot.last_before_change;
    let owes = match interval {
        Some(leap) if answers && leap.abs() > FIFTH && !from_given && !only_note => -leap.signum(),
        _ => 0,
    };
    let new_bar = to.slot.bar != from.slot.bar;
    let carried = State {
        candidate,
        home: state.home,
        side: if new_bar { 0 } else { state.side },
        owes: i8::try_from(owes).unwrap_or(0),
        back: state.back,
        ahead: state.ahead,
    };
    remembered(problem, carried, to)
}

/// Whether a line in a state may go to a note that is heard after it but written elsewhere. What is
/// remembered there is what the notes before it in writing left: a leap over the jump need not be
/// answered.
pub fn may_jump(problem: &LineProblem, state: State, from: At<'_>, to: At<'_>) -> bool {
    may_follow(problem, from, to) && pays(problem, state, from, to)
}

/// Whether a note answers the leap before it, if one has to be answered.
fn pays(problem: &LineProblem, state: State, from: At<'_>, to: At<'_>) -> bool {
    if state.owes == 0 || to.slot.span.is_none() || !problem.holds(Rule::AnswerLeaps, to.slot) {
        return true;
    }
    let step = interval(from.note, to.note).map(|step| step * i16::from(state.owes));
    step.is_some_and(|step| (1..=2).contains(&step))
}

/// Takes a note into what is remembered of root and side.
fn remembered(problem: &LineProblem, mut state: State, at: At<'_>) -> Option<State> {
    if at.slot.first_of_chord || at.slot.span.is_none() {
        state.home = 0;
    }
    let pitch = at.note.pitch.unwrap_or(0);
    match at.note.thumb_move {
        ThumbMove::Root if state.home != 0 && state.home != pitch => return None,
        ThumbMove::Root => state.home = pitch,
        ThumbMove::Octave if state.home == 0 && at.slot.locked.is_some() => {}
        ThumbMove::Octave if state.home == 0 || state.home.abs_diff(pitch) != 12 => return None,
        _ => {}
    }
    let side = match at.note.thumb_move {
        ThumbMove::ApproachBelow => -1,
        ThumbMove::ApproachAbove => 1,
        _ => return Some(state),
    };
    if problem.holds(Rule::OppositeSides, at.slot) {
        if state.side == side {
            return None;
        }
        state.side = side;
    }
    Some(state)
}

fn interval(from: Candidate, to: Candidate) -> Option<i16> {
    Some(i16::from(to.pitch?) - i16::from(from.pitch?))
}

/// Whether a leading note leads where its move says.
fn leads(problem: &LineProblem, from: At<'_>, to: At<'_>) -> bool {
    let leading = !from.note.is(MoveSet::TONES) && !from.note.is(MoveSet::SILENT);
    if !leading || !from.note.bound {
        return true;
    }
    let Some(up) = interval(from.note, to.note) else {
        return false;
    };
    let mut ups = ups_to(from.note.thumb_move, to.note.thumb_move).iter();
    let runs_on = from.note.is(MoveSet::STEPS) && !to.note.is(MoveSet::CHROMATIC);
    ups.any(|wanted| i16::from(*wanted) == up) && (!runs_on || is_step(problem, from, to, up.abs()))
}

/// Whether an interval of `size` semitones is a step of the scale: one or two semitones, and
/// inside one chord no note of its scale is passed over.
fn is_step(problem: &LineProblem, from: At<'_>, to: At<'_>, size: i16) -> bool {
    let (Some(low), Some(high)) = (
        from.note.pitch.min(to.note.pitch),
        from.note.pitch.max(to.note.pitch),
    ) else {
        return false;
    };
    let passed_over = || {
        let span = problem
            .span(from.slot)
            .filter(|_| from.slot.span == to.slot.span);
        let between = PitchClass::new(i32::from(low) + 1);
        span.is_some_and(|span| span.scale.pitch_classes().contains(between))
    };
    size == 1 || size == 2 && high - low == 2 && !passed_over()
}

/// Whether a note is a step that may not be leapt to.
fn must_be_entered(problem: &LineProblem, at: At<'_>) -> bool {
    at.note.is(MoveSet::STEPS)
        && at.note.bound
        && !at.slot.last_before_change
        && problem.holds(Rule::RunsLeadOn, at.slot)
}

/// Whether a step is entered by step, from a tone or from a step the same way.
fn is_entered(problem: &LineProblem, from: At<'_>, to: At<'_>) -> bool {
    let Some(up) = interval(from.note, to.note) else {
        return false;
    };
    let rising = to.note.thumb_move == ThumbMove::StepUp;
    let size = if rising { up } else { -up };
    let source = from.note.is(MoveSet::TONES) || from.note.thumb_move == to.note.thumb_move;
    source && is_step(problem, from, to, size)
}

/// Whether a note is not struck again where it should not be.
fn is_fresh(problem: &LineProblem, from: At<'_>, to: At<'_>) -> bool {
    if interval(from.note, to.note) != Some(0) || !problem.holds(Rule::FreshNotes, to.slot) {
        return true;
    }
    // Two chords of a beat each over the same bass have no other note.
    let changes = problem.chord_changes(from.slot, to.slot);
    let given = from.slot.first_of_chord && changes;
    let weakens = from.slot.strong && !to.slot.strong;
    // An approach that only repeats the note before it would not be heard as one.
    let into_change = changes || to.slot.last_before_change;
    given || !(into_change || weakens)
}

fn within_octave(problem: &LineProblem, from: At<'_>, to: At<'_>) -> bool {
    let wide = interval(from.note, to.note).is_some_and(|leap| leap.abs() > OCTAVE);
    !wide || !problem.holds(Rule::AnswerLeaps, to.slot)
}

fn breaks_silence(problem: &LineProblem, from: At<'_>, to: At<'_>) -> bool {
    let silent = |at: At<'_>| at.note.pitch.is_none() && at.slot.span.is_some();
    !(silent(from) && silent(to) && problem.holds(Rule::SilenceAlone, to.slot))
}
