//! Which notes a slot could hold at all: moves that are allowed or locked there and the rules of
//! the single slot leave standing, each at every pitch that its definition gives. Leading moves
//! get their pitches from the notes of the next slot, so lists are made from the end backwards.
//! Never looks at what came before.

use super::problem::LineProblem;
use super::problem::Lock;
use super::problem::Slot;
use crate::theory::Chord;
use crate::theory::MoveSet;
use crate::theory::PcSet;
use crate::theory::PitchClass;
use crate::theory::Rule;
use crate::theory::ThumbMove;

/// A note that a slot could hold.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Candidate {
    /// What it is for.
    pub thumb_move: ThumbMove,
    /// Its pitch as a MIDI key number; `None` for ghosts and rests.
    pub pitch: Option<u8>,
    /// Whether it has to lead where its move says; a player's own pitch that leads nowhere does
    /// not have to.
    pub bound: bool,
}

impl Candidate {
    /// Whether it belongs to a family of moves.
    pub const fn is(self, family: MoveSet) -> bool {
        family.has(self.thumb_move)
    }
}

/// The moves that are left in a slot once locks and the rules of the single slot are obeyed.
pub fn moves(problem: &LineProblem, slot: &Slot) -> MoveSet {
    let wanted = match slot.locked {
        Some(Lock::Move(own) | Lock::Both(own, _)) => MoveSet::EMPTY.with(own),
        Some(Lock::Pitch(_)) => MoveSet::ALL.minus(MoveSet::SILENT),
        None => slot.allowed,
    };
    if slot.span.is_none() {
        return wanted.and(MoveSet::SILENT);
    }
    let mut left = wanted;
    let approaches = slot.last_before_change && !slot.first_of_chord;
    if slot.first_of_chord && problem.holds(Rule::RootFirst, slot) {
        left = left.and(MoveSet::of(&[ThumbMove::Root]));
    }
    if slot.first_of_bar && !approaches {
        if problem.holds(Rule::RootOnDownbeat, slot) {
            left = left.and(MoveSet::ROOTS);
        }
        if problem.holds(Rule::ToneOnDownbeat, slot) {
            left = left.and(MoveSet::TONES);
        }
    }
    if approaches && problem.holds(Rule::ApproachBeforeChange, slot) {
        left = left.and(MoveSet::APPROACHES);
    }
    left
}

/// The pitch classes of a move to a tone of the chord; empty for every other move. A suspended
/// fourth or second stands for the third, a sixth for the seventh.
pub fn tone_classes(chord: &Chord, thumb_move: ThumbMove) -> PcSet {
    let numbers: &[u8] = match thumb_move {
        ThumbMove::Root | ThumbMove::Octave => {
            return PcSet::EMPTY.with(chord.bass().pitch_class());
        }
        ThumbMove::Third => &[3, 4, 2],
        ThumbMove::Fifth => &[5],
        ThumbMove::Seventh => &[7, 6],
        _ => &[],
    };
    let with_number = |number: &u8| {
        let mut tones = chord.tones().iter();
        tones.find(|tone| tone.degree.number() == *number)
    };
    let found = numbers.iter().find_map(with_number);
    let root = chord.root().pitch_class();
    found
        .map(|tone| tone.degree.above(root))
        .into_iter()
        .collect()
}

/// What a slot could hold, given what the next one could; sorted.
pub fn candidates(problem: &LineProblem, slot: &Slot, next: &[Candidate]) -> Vec<Candidate> {
    let list = List {
        problem,
        slot,
        moves: moves(problem, slot),
    };
    let mut found = Vec::new();
    for thumb_move in list.moves.iter() {
        list.add(thumb_move, next, &mut found);
    }
    list.add_free(&mut found);
    found.sort_unstable();
    found.dedup();
    found
}

struct List<'a> {
    problem: &'a LineProblem,
    slot: &'a Slot,
    moves: MoveSet,
}

impl List<'_> {
    fn add(&self, thumb_move: ThumbMove, next: &[Candidate], found: &mut Vec<Candidate>) {
        let candidate = |pitch| Candidate {
            thumb_move,
            pitch,
            bound: true,
        };
        if MoveSet::SILENT.has(thumb_move) {
            if self.slot.locked.and_then(Lock::pitch).is_none() {
                found.push(candidate(None));
            }
        } else if MoveSet::TONES.has(thumb_move) {
            found.extend(self.tone_pitches(thumb_move).map(|p| candidate(Some(p))));
        } else {
            let pitches = next.iter().flat_map(|goal| self.leading(thumb_move, *goal));
            found.extend(pitches.map(|p| candidate(Some(p))));
        }
    }

    fn tone_pitches(&self, thumb_move: ThumbMove) -> impl Iterator<Item = u8> {
        let span = self.problem.span(self.slot);
        let classes = span.map_or(PcSet::EMPTY, |span| tone_classes(&span.chord, thumb_move));
        // Over a slash chord the bass is "the root", even where it is the third or fifth.
        let bass = span.map(|span| span.chord.bass().pitch_class());
        let is_bass = move |p: u8| Some(PitchClass::new(p.into())) == bass;
        let hidden = !MoveSet::ROOTS.has(thumb_move) && !self.is_locked_on_move();
        let (lowest, highest) = self.pitches();
        (lowest..=highest)
            .filter(move |p| classes.contains(PitchClass::new((*p).into())))
            .filter(move |p| !(hidden && is_bass(*p)))
    }

    /// Pitches from which a move leads to a note of the next slot.
    fn leading(&self, thumb_move: ThumbMove, goal: Candidate) -> impl Iterator<Item = u8> {
        let (lowest, highest) = self.pitches();
        ups_to(thumb_move, goal.thumb_move)
            .iter()
            .filter(move |up| !self.is_named_chromatic(thumb_move, **up))
            .filter_map(move |up| u8::try_from(i16::from(goal.pitch?) - i16::from(*up)).ok())
            .filter(move |p| (lowest..=highest).contains(p) && self.may_lead(thumb_move, *p))
    }

    /// Before a change a semitone is a chromatic approach and not a step, if it may be one.
    fn is_named_chromatic(&self, thumb_move: ThumbMove, up: i8) -> bool {
        let chromatic = match (thumb_move, up) {
            (ThumbMove::StepUp, 1) => ThumbMove::ApproachBelow,
            (ThumbMove::StepDown, -1) => ThumbMove::ApproachAbove,
            _ => return false,
        };
        self.slot.last_before_change && self.moves.has(chromatic)
    }

    /// One note has one name: a chord tone is called by its tone and a note of the scale is no
    /// chromatic approach, wherever the better name is allowed. A player's own name stands.
    fn may_lead(&self, thumb_move: ThumbMove, pitch: u8) -> bool {
        let Some(span) = self.problem.span(self.slot) else {
            return false;
        };
        let pc = PitchClass::new(pitch.into());
        let in_scale = span.scale.pitch_classes().contains(pc);
        let is_step = MoveSet::STEPS.has(thumb_move);
        if self.is_locked_on_move() {
            return in_scale || !is_step;
        }
        let tone = |m: ThumbMove| tone_classes(&span.chord, m).contains(pc);
        if self.moves.and(MoveSet::TONES).iter().any(tone) {
            return false;
        }
        let step = match thumb_move {
            ThumbMove::ApproachBelow => ThumbMove::StepUp,
            ThumbMove::ApproachAbove => ThumbMove::StepDown,
            _ => return in_scale || !is_step,
        };
        self.slot.last_before_change || !(in_scale && self.moves.has(step))
    }

    /// A player's own pitch that is no tone of the chord may stand without leading anywhere.
    fn add_free(&self, found: &mut Vec<Candidate>) {
        let (Some(Lock::Pitch(pitch)), Some(span)) =
            (self.slot.locked, self.problem.span(self.slot))
        else {
            return;
        };
        let approaches = self.slot.last_before_change && !self.slot.first_of_chord;
        let must_lead = approaches && self.problem.holds(Rule::ApproachBeforeChange, self.slot);
        let tone = |m: ThumbMove| tone_classes(&span.chord, m).contains(pitch.pitch_class());
        if self.moves.has(ThumbMove::StepUp) && !must_lead && !MoveSet::TONES.iter().any(tone) {
            found.push(Candidate {
                thumb_move: ThumbMove::StepUp,
                pitch: Some(pitch.number()),
                bound: false,
            });
        }
    }

    fn is_locked_on_move(&self) -> bool {
        self.slot.locked.and_then(Lock::thumb_move).is_some()
    }

    /// Lowest and highest pitch here: the player's own, the range, or an octave more above it.
    fn pitches(&self) -> (u8, u8) {
        if let Some(own) = self.slot.locked.and_then(Lock::pitch) {
            return (own.number(), own.number());
        }
        let (lowest, highest) = self.problem.range;
        let more = if self.problem.holds(Rule::Range, self.slot) {
            0
        } else {
            12
        };
        (
            lowest.number(),
            highest.number().saturating_add(more).min(127),
        )
    }
}

/// Semitones by which a leading move may go on to another move; empty if it does not lead there.
pub const fn ups_to(thumb_move: ThumbMove, goal: ThumbMove) -> &'static [i8] {
    let goals = match thumb_move {
        ThumbMove::ApproachBelow | ThumbMove::ApproachAbove => MoveSet::TONES,
        ThumbMove::DoubleBelow => MoveSet::of(&[ThumbMove::ApproachBelow]),
        ThumbMove::DoubleAbove => MoveSet::of(&[ThumbMove::ApproachAbove]),
        ThumbMove::ApproachDominant => MoveSet::ROOTS,
        // A semitone before a chromatic approach is a double approach and no step.
        ThumbMove::StepUp if matches!(goal, ThumbMove::ApproachBelow) => return &[2],
        ThumbMove::StepDown if matches!(goal, ThumbMove::ApproachAbove) => return &[-2],
        ThumbMove::StepUp => RISING_GOALS,
        ThumbMove::StepDown => FALLING_GOALS,
        _ => MoveSet::EMPTY,
    };
    if goals.has(goal) {
        thumb_move.leads_by()
    } else {
        &[]
    }
}

/// Where a rising step may lead: on upwards, or to a tone.
const RISING_GOALS: MoveSet = MoveSet::TONES.union(MoveSet::of(&[
    ThumbMove::StepUp,
    ThumbMove::ApproachBelow,
    ThumbMove::DoubleBelow,
]));

/// Where a falling step may lead: on downwards, or to a tone.
const FALLING_GOALS: MoveSet = MoveSet::TONES.union(MoveSet::of(&[
    ThumbMove::StepDown,
    ThumbMove::ApproachAbove,
    ThumbMove::DoubleAbove,
]));
