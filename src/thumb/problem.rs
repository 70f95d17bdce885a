//! What the writer is asked: the slots of a tune with the chords over them, which moves and rules
//! hold, what is locked, the range and the seed. Built from plain bars and chords, so that neither
//! the arranger nor the document has to know how slots are classed.

use super::link;
use super::rung::Rung;
use super::slots;
use crate::theory::Chord;
use crate::theory::ChordScale;
use crate::theory::Key;
use crate::theory::Meter;
use crate::theory::Midi;
use crate::theory::MoveSet;
use crate::theory::Rule;
use crate::theory::RuleSet;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::theory::scale;
use std::sync::Arc;

/// E2 to G3: from the lowest string of standard tuning to the fifth fret of the fourth (common
/// practice of thumb bass on three strings).
const USUAL_RANGE: (Midi, Midi) = (Midi::clamped(40), Midi::clamped(55));

/// What a player has decided about one slot.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Lock {
    /// This move, at whatever pitch fits.
    Move(ThumbMove),
    /// This pitch, whatever its function; the range does not bind it.
    Pitch(Midi),
    /// This move at this pitch.
    Both(ThumbMove, Midi),
}

impl Lock {
    /// The move, if it is decided.
    #[must_use]
    pub const fn thumb_move(self) -> Option<ThumbMove> {
        match self {
            Self::Move(thumb_move) | Self::Both(thumb_move, _) => Some(thumb_move),
            Self::Pitch(_) => None,
        }
    }

    /// The pitch, if it is decided.
    #[must_use]
    pub const fn pitch(self) -> Option<Midi> {
        match self {
            Self::Pitch(pitch) | Self::Both(_, pitch) => Some(pitch),
            Self::Move(_) => None,
        }
    }
}

/// A chord for as long as it lasts, over barlines too.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Span {
    /// The chord.
    pub chord: Arc<Chord>,
    /// The scale between its tones: [`scale::scale_of`] unless the player has another.
    pub scale: ChordScale,
}

/// One place where the thumb plays.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Slot {
    /// The bar, counted from 0.
    pub bar: usize,
    /// Where in the bar.
    pub at: Ticks,
    /// The chord's place in [`LineProblem::spans`]; `None` is N.C.
    pub span: Option<usize>,
    /// Whether it is the first of its bar.
    pub first_of_bar: bool,
    /// Whether a chord begins here that did not sound before, whichever bar is heard before.
    pub first_of_chord: bool,
    /// Whether another chord begins in the slot heard next.
    pub last_before_change: bool,
    /// The place in [`LineProblem::slots`] of the slot that is heard after it, the first time it is
    /// played, if that is not the next one. The next one is then not heard after it.
    pub jumps_to: Option<usize>,
    /// Whether it lies on a strong beat: 1 and 3 of four, 1 and 4 of five, else 1.
    pub strong: bool,
    /// The rung of its bar, for the weights.
    pub rung: Rung,
    /// Moves that may be written here; a lock overrules it.
    pub allowed: MoveSet,
    /// Whether the player chose those moves for the bar.
    pub own_moves: bool,
    /// Whether its bar takes up the pattern of the bar before it.
    pub riff: bool,
    /// What the player has decided.
    pub locked: Option<Lock>,
    /// Rules that do not hold here: those that the rung of the bar does not have, and those that
    /// had to give way to a lock.
    pub excused: RuleSet,
}

/// One bar as the builder takes it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LineBar {
    /// Length (shorter for a pick-up).
    pub length: Ticks,
    /// Chords by place; `None` is N.C. A bar that does not begin with one goes on with the chord
    /// before it.
    pub chords: Vec<(Ticks, Option<Arc<Chord>>)>,
    /// Where the thumb plays, and what is locked there.
    pub slots: Vec<(Ticks, Option<Lock>)>,
    /// Its own rung, if it is not the tune's.
    pub rung: Option<Rung>,
    /// The moves that may be written in it, whatever its rung allows, if the player chose them.
    pub moves: Option<MoveSet>,
    /// Whether it takes up the pattern of the bar before it wherever it can, so that
    /// [`Rule::FreshBars`] does not hold in it.
    pub riff: bool,
    /// The bar it leads to, if that is not the next one.
    pub leads_to: Option<usize>,
}

impl LineBar {
    /// A bar with the usual slots, one on every beat, and nothing locked or asked.
    #[must_use]
    pub fn walking(length: Ticks, chords: Vec<(Ticks, Option<Arc<Chord>>)>) -> Self {
        Self {
            length,
            chords,
            slots: slots::beats(length)
                .into_iter()
                .map(|at| (at, None))
                .collect(),
            rung: None,
            moves: None,
            riff: false,
            leads_to: None,
        }
    }
}

/// Everything the writer needs to know.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LineProblem {
    /// For scales and for spelling what no chord spells.
    pub key: Key,
    /// For the words of conflicts and the strength of beats.
    pub meter: Meter,
    /// Chords in the order they sound.
    pub spans: Vec<Span>,
    /// Slots in the order they sound.
    pub slots: Vec<Slot>,
    /// Where the line goes after its last slot, if the tune begins again: a slot that is heard
    /// but not written.
    pub after: Option<Slot>,
    /// Rules of the craft that are switched on: those of all rungs in use.
    pub rules: RuleSet,
    /// The dice.
    pub seed: u64,
    /// Lowest and highest pitch.
    pub range: (Midi, Midi),
    /// The pitch of its first note, if a line before it has led there.
    pub begins_at: Option<Midi>,
}

impl LineProblem {
    /// The slots of a tune on a rung, with its rules, moves and weights; bars may have others.
    /// `again`: the tune begins again after its last bar, so that its last beat leads to its first
    /// chord, unless that bar leads elsewhere.
    ///
    /// A rule that the rung of a bar does not have is excused in the slots of that bar. Rules about
    /// several notes or bars hold if they hold for the last of them.
    #[must_use]
    pub fn new(key: Key, meter: Meter, bars: &[LineBar], rung: Rung, again: bool) -> Self {
        let mut builder = Builder::new(rung);
        for (index, bar) in bars.iter().enumerate() {
            builder.bar(index, bar, meter);
        }
        let Builder {
            mut slots, chords, ..
        } = builder;
        let leads_on = again && bars.last().is_some_and(|bar| bar.leads_to.is_none());
        let goal = || link::beyond(&slots, &chords, bars.len());
        let mut after = leads_on.then(goal).flatten();
        link::link(&mut slots, &mut after, bars, &chords);
        let all = slots.iter().chain(&after);
        let rules = all.fold(RuleSet::EMPTY, |set, slot| set.union(slot.rung.rules()));
        for slot in slots.iter_mut().chain(&mut after) {
            slot.excused = rules.minus(slot.rung.rules());
        }
        let span = |chord: Arc<Chord>| Span {
            scale: scale::scale_of(&chord, key),
            chord,
        };
        Self {
            key,
            meter,
            spans: chords.into_iter().map(span).collect(),
            slots,
            after,
            rules,
            seed: 0,
            range: USUAL_RANGE,
            begins_at: None,
        }
    }

    /// With another seed.
    #[must_use]
    pub const fn with_seed(mut self, seed: u64) -> Self {
        self.seed = seed;
        self
    }

    /// The slot at a place, if there is one.
    pub fn slot_mut(&mut self, bar: usize, at: Ticks) -> Option<&mut Slot> {
        self.slots
            .iter_mut()
            .find(|slot| slot.bar == bar && slot.at == at)
    }

    /// Locks the slot at a place; nothing happens if there is none.
    #[must_use]
    pub fn with_lock(mut self, bar: usize, at: Ticks, lock: Lock) -> Self {
        if let Some(slot) = self.slot_mut(bar, at) {
            slot.locked = Some(lock);
        }
        self
    }

    /// The slot with this number; the one after the last is where the tune begins again.
    #[must_use]
    pub fn slot(&self, index: usize) -> Option<&Slot> {
        let beyond = || self.after.as_ref().filter(|_| index == self.slots.len());
        self.slots.get(index).or_else(beyond)
    }

    /// Slots with the one beyond the end.
    #[must_use]
    pub fn n_slots(&self) -> usize {
        self.slots.len() + usize::from(self.after.is_some())
    }

    /// The chord and scale over a slot; `None` for N.C.
    #[must_use]
    pub fn span(&self, slot: &Slot) -> Option<&Span> {
        self.spans.get(slot.span?)
    }

    /// Whether two slots have different chords.
    #[must_use]
    pub fn chord_changes(&self, from: &Slot, to: &Slot) -> bool {
        let chord = |slot: &Slot| self.span(slot).map(|span| &span.chord);
        from.span != to.span && chord(from) != chord(to)
    }

    /// Whether a rule holds in a slot.
    #[must_use]
    pub const fn holds(&self, rule: Rule, slot: &Slot) -> bool {
        let against_riff = slot.riff && matches!(rule, Rule::FreshBars);
        self.rules.has(rule) && !slot.excused.has(rule) && !against_riff
    }
}

struct Builder {
    rung: Rung,
    slots: Vec<Slot>,
    chords: Vec<Arc<Chord>>,
    sounding: Option<Arc<Chord>>,
}

impl Builder {
    const fn new(rung: Rung) -> Self {
        Self {
            rung,
            slots: Vec::new(),
            chords: Vec::new(),
            sounding: None,
        }
    }

    fn bar(&mut self, index: usize, bar: &LineBar, meter: Meter) {
        let mut chords = bar.chords.iter().peekable();
        for (number, (at, locked)) in bar.slots.iter().enumerate() {
            while let Some((_, chord)) = chords.next_if(|(start, _)| start <= at) {
                self.sounding.clone_from(chord);
            }
            let (span, first_of_chord) = self.span();
            self.slots.push(Slot {
                bar: index,
                at: *at,
                span,
                first_of_bar: number == 0,
                first_of_chord,
                last_before_change: false,
                jumps_to: None,
                strong: is_strong(*at, meter),
                rung: bar.rung.unwrap_or(self.rung),
                allowed: MoveSet::EMPTY,
                own_moves: bar.moves.is_some(),
                riff: bar.riff,
                locked: *locked,
                excused: RuleSet::EMPTY,
            });
        }
        // Chords that no slot falls on still go on into the next bar.
        for (_, chord) in chords {
            self.sounding.clone_from(chord);
        }
    }

    /// The span of what sounds now, and whether it begins here.
    fn span(&mut self) -> (Option<usize>, bool) {
        let before = self.slots.last().and_then(|slot| slot.span);
        let same = before.and_then(|span| self.chords.get(span)) == self.sounding.as_ref();
        let span = match &self.sounding {
            None => None,
            Some(_) if same => before,
            Some(chord) => {
                self.chords.push(chord.clone());
                Some(self.chords.len() - 1)
            }
        };
        (span, span.is_some() && span != before)
    }
}

const fn is_strong(at: Ticks, meter: Meter) -> bool {
    if at.within_beat() > 0 {
        return false;
    }
    matches!((meter.beats(), at.beat_idx()), (_, 0) | (4, 2) | (5, 3))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::ChordSymbol;

    fn bar(chords: &[(u32, &str)]) -> LineBar {
        let chord = |text: &str| {
            let symbol = ChordSymbol::parse(text).ok()?;
            Some(Arc::new(symbol.chord().clone()))
        };
        let chords = chords
            .iter()
            .map(|(beat, text)| (Ticks::of_beat(*beat), chord(text)));
        LineBar::walking(Meter::COMMON.bar(), chords.collect())
    }

    #[test]
    fn slots_know_where_chords_begin_and_change() {
        let bars = [
            bar(&[(0, "Cm7")]),
            bar(&[(0, "Cm7"), (2, "F7")]),
            bar(&[(0, "N.C.")]),
            bar(&[(0, "Bb6")]),
        ];
        let problem = LineProblem::new(Key::C_MAJOR, Meter::COMMON, &bars, Rung::Mixed, true);
        let marks: String = problem
            .slots
            .iter()
            .map(
                |slot| match (slot.first_of_chord, slot.last_before_change) {
                    (true, false) => '[',
                    (false, true) => ']',
                    (true, true) => '#',
                    _ if slot.span.is_none() => '_',
                    _ => '.',
                },
            )
            .collect();
        assert_eq!(marks, "[....][.____[..]");
        assert_eq!(problem.spans.len(), 3, "a chord goes on over the barline");
        assert!(problem.after.is_some());
    }

    #[test]
    fn the_end_is_no_change_unless_the_tune_begins_again_elsewhere() {
        let (once, same) = ([bar(&[(0, "C")]), bar(&[(0, "F")])], [bar(&[(0, "C")])]);
        let ends = |bars: &[LineBar], again| {
            let problem = LineProblem::new(Key::C_MAJOR, Meter::COMMON, bars, Rung::Mixed, again);
            problem.slots.last().expect("slots").last_before_change
        };
        assert!(!ends(&once, false));
        assert!(ends(&once, true));
        assert!(!ends(&same, true));
    }
}
