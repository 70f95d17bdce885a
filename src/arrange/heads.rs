//! The chords of a chart in the order in which they are written, each as the head of a span that has
//! no phases yet, and which chord is heard after each: the one written next, the one in force where
//! a bar leads elsewhere, or the first of the tune. Says which thumb notes may approach another
//! chord.

use super::moments::Event;
use super::moments::Moment;
use super::phase::Span;
use super::problem::Problem;
use super::result::Place;

/// A chord as it is written.
pub struct Head {
    /// When it is written, in ticks from the start of the tune.
    pub written: u64,
    /// What is known of its span before it is cut into phases.
    pub span: Span,
}

/// Where a bar ends that leads elsewhere, in ticks, and the number of the chord that is in force
/// where it leads to.
type Leaving = (u64, Option<usize>);

/// The chords of a tune in the order in which they are written.
pub struct Heads<'a> {
    problem: &'a Problem,
    all: Vec<Head>,
    /// In the order of time.
    leavings: Vec<Leaving>,
    /// The end of the tune.
    end: u64,
}

impl<'a> Heads<'a> {
    /// Those of a problem whose bars start there.
    #[must_use]
    pub fn of(problem: &'a Problem, bar_starts: &[u64]) -> Self {
        let all = written_heads(problem, bar_starts);
        let end = bar_starts.last().copied().unwrap_or(0);
        let start = |bar: usize| bar_starts.get(bar).copied().unwrap_or(end);
        let in_force = |bar: usize| {
            let n_begun = all.partition_point(|head| head.written <= start(bar));
            n_begun.checked_sub(1)
        };
        let elsewhere = problem.form.leading_elsewhere();
        let leavings = elsewhere
            .map(|(bar, goal)| (start(bar + 1), in_force(goal)))
            .collect();
        Self {
            problem,
            all,
            leavings,
            end,
        }
    }

    /// All of them.
    #[must_use]
    pub fn all(&self) -> &[Head] {
        &self.all
    }

    /// The chord written after one, if there is any.
    #[must_use]
    pub fn after(&self, number: usize) -> Option<&Head> {
        self.all.get(number + 1)
    }

    /// When the chord after one is written, or the tune ends.
    #[must_use]
    pub fn end_of(&self, number: usize) -> u64 {
        self.after(number).map_or(self.end, |next| next.written)
    }

    /// Whether the chord written after one is heard after what is written before it.
    #[must_use]
    pub fn is_next_heard(&self, number: usize) -> bool {
        self.after(number).is_none_or(|next| {
            let Place { bar, at } = next.span.place;
            let before = bar.checked_sub(1).filter(|_| at.0 == 0);
            before.is_none_or(|bar| self.problem.form.leads_to(bar).is_none())
        })
    }

    /// The thumb slots of a chord that may approach another one, in ticks: its last before each
    /// chord that is heard after it.
    #[must_use]
    pub fn approaches(&self, number: usize, moments: &[Moment]) -> Vec<u64> {
        let Some(head) = self.all.get(number) else {
            return Vec::new();
        };
        let mut begins = head.written;
        let mut slots = Vec::new();
        for (leaves, goal) in self.goals(number, head) {
            let leads_on = goal.is_some_and(|goal| {
                goal.span.chord.is_some() && goal.span.chord != head.span.chord
            });
            let is_thumb = |moment: &&Moment| matches!(moment.event, Event::Thumb(_));
            let mut before = moments.iter().filter(|moment| moment.ticks < leaves);
            let last = before.rfind(is_thumb).map(|moment| moment.ticks);
            slots.extend(last.filter(|ticks| leads_on && *ticks > begins));
            begins = leaves;
        }
        slots
    }

    /// The chords that are heard after one, each with the time when it is left for them.
    fn goals(&self, number: usize, head: &Head) -> Vec<(u64, Option<&Head>)> {
        let until = self.end_of(number);
        let first = self
            .leavings
            .partition_point(|(leaves, _)| *leaves <= head.written);
        let within = self.leavings.iter().skip(first);
        let within = within.take_while(|(leaves, _)| *leaves <= until);
        let mut goals: Vec<(u64, Option<&Head>)> = within
            .map(|(leaves, goal)| (*leaves, goal.and_then(|goal| self.all.get(goal))))
            .collect();
        if goals.last().is_none_or(|(leaves, _)| *leaves < until) {
            let again = || self.all.first().filter(|_| self.problem.form.again);
            goals.push((until, self.after(number).or_else(again)));
        }
        goals
    }
}

fn written_heads(problem: &Problem, bar_starts: &[u64]) -> Vec<Head> {
    let mut heads = Vec::new();
    let span = |place, chord_idx, chord, shape| Span {
        place,
        chord_idx,
        chord,
        shape,
        bass: None,
        top: None,
        sings: false,
        again: false,
        phases: 0..0,
    };
    for (bar, (plan, start)) in problem.bars.iter().zip(bar_starts).enumerate() {
        if bar == 0 && plan.chords.first().is_none_or(|chord| chord.at.0 > 0) {
            heads.push(Head {
                written: 0,
                span: span(Place::default(), usize::MAX, None, None),
            });
        }
        for (chord_idx, chord) in plan.chords.iter().enumerate() {
            let place = Place { bar, at: chord.at };
            heads.push(Head {
                written: start + u64::from(chord.at.0),
                span: span(place, chord_idx, chord.chord.clone(), chord.shape),
            });
        }
    }
    heads
}
