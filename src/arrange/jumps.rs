//! Where the tune is heard otherwise than it is written, as the search sees it. The bass note that a
//! repeated part begins with is remembered by every way to play the part, so that what leads back to
//! it can lead exactly there: in such a part nodes stand once for every pitch that note may have.
//! Between two phases that are never heard one after the other the lines of both hands are not joined.

use super::kept_nodes::Kept;
use super::kept_nodes::Nodes;
use super::leads::leap_to;
use super::leads::targets;
use super::moments::bar_starts;
use super::moments::time_us;
use super::nodes::Node;
use super::phase::Phase;
use super::phase::Plan;
use super::phase::Strike;
use super::problem::Problem;
use crate::instrument::Cost;
use crate::theory::Midi;

/// Where phases are heard after each other that are not written so.
#[derive(Debug, Default)]
pub struct Jumps {
    /// For the last phase of a bar that leads elsewhere, the phase in force where it leads.
    onward: Vec<(usize, usize)>,
    /// Phases whose next one is not heard after them.
    seams: Vec<usize>,
    /// Whether the first phase is heard again after the last.
    again: bool,
}

impl Jumps {
    /// Those of a tune.
    #[must_use]
    pub fn of(problem: &Problem, plan: &Plan) -> Self {
        let starts = bar_starts(&problem.bars);
        let at = |bar: usize| starts.get(bar).map(|ticks| time_us(problem, *ticks));
        let mut jumps = Self::default();
        for (bar, goal) in problem.form.leading_elsewhere() {
            let (Some(ends), Some(begins)) = (at(bar + 1), at(goal)) else {
                continue;
            };
            let (Some(last), Some(there)) = (begun(plan, ends, false), begun(plan, begins, true))
            else {
                continue;
            };
            jumps.onward.push((last, there));
            let phase = plan.phases.get(last);
            if phase.is_some_and(|phase| phase.last_strike_us < ends) {
                jumps.seams.push(last);
            }
        }
        let last_bar = problem.bars.len().checked_sub(1);
        let leads_on = last_bar.is_some_and(|bar| problem.form.leads_to(bar).is_none());
        jumps.again = problem.form.again && leads_on;
        jumps
    }

    /// The phase heard after another, if that is not the next one.
    #[must_use]
    pub fn onward(&self, phase: usize, n_phases: usize) -> Option<usize> {
        let found = self.onward.iter().find(|(from, _)| *from == phase);
        let again = (self.again && phase + 1 == n_phases).then_some(0);
        found.map(|(_, goal)| *goal).or(again)
    }

    /// What each layer has to know of them.
    #[must_use]
    pub fn turns(&self, layers: &[&Nodes]) -> Vec<Turn> {
        let mut turns = vec![Turn::default(); layers.len()];
        for (from, goal) in self.onward.iter().filter(|(from, goal)| goal < from) {
            let Some(there) = layers.get(*goal) else {
                continue;
            };
            let goals = basses(there);
            for layer in goal + 1..=*from {
                if let Some(turn) = turns.get_mut(layer).filter(|turn| turn.goals.is_empty()) {
                    turn.goals.clone_from(&goals);
                    turn.is_first = layer == goal + 1;
                }
            }
            if let Some(turn) = turns.get_mut(*from) {
                turn.goes_back = true;
            }
        }
        for seam in &self.seams {
            if let Some(turn) = turns.get_mut(*seam) {
                turn.is_seam = true;
            }
        }
        if let (true, Some(first), Some(last)) = (self.again, layers.first(), turns.last_mut()) {
            last.again = basses(first);
        }
        turns
    }
}

/// Every change of the hand that is heard where two bars are not written one after the other: the
/// last phase of the one, the phase in force where the other begins, and the time from the last strike
/// to there in microseconds.
pub fn heard_changes<'a>(
    problem: &'a Problem,
    plan: &'a Plan,
) -> impl Iterator<Item = (usize, usize, u64)> + 'a {
    let starts = bar_starts(&problem.bars);
    problem.form.jumps().iter().filter_map(move |(bar, goal)| {
        let at = |bar: usize| starts.get(bar).map(|ticks| time_us(problem, *ticks));
        let ends = at(bar + 1)?;
        let (last, there) = (begun(plan, ends, false)?, begun(plan, at(*goal)?, true)?);
        let struck = struck_by(problem, &starts, (plan.phases.get(last)?, *bar));
        Some((last, there, ends.saturating_sub(struck)))
    })
}

/// The last phase of the bar that is heard last, whether its bass note leads elsewhere than to another
/// chorus, and the time from its last strike to its end.
#[must_use]
pub fn end(problem: &Problem, plan: &Plan) -> Option<(usize, bool, u64)> {
    let last_bar = problem.bars.len().checked_sub(1)?;
    let bar = problem.form.last().unwrap_or(last_bar);
    let starts = bar_starts(&problem.bars);
    let ends = time_us(problem, *starts.get(bar + 1)?);
    let last = begun(plan, ends, false)?;
    let struck = struck_by(problem, &starts, (plan.phases.get(last)?, bar));
    // One that goes back to the first bar leads into another chorus as well.
    let leads_to = problem.form.leads_to(bar);
    let elsewhere = leads_to.map_or(bar != last_bar, |goal| goal != 0);
    Some((last, elsewhere, ends.saturating_sub(struck)))
}

/// When a phase is struck last in a bar or before it, for it may go on behind that bar; when it begins,
/// if it is not struck there.
fn struck_by(problem: &Problem, starts: &[u64], (phase, bar): (&Phase, usize)) -> u64 {
    let places = phase.strikes.iter().map(Strike::place);
    let last = places.filter(|place| place.bar <= bar).max();
    let ticks = last.and_then(|place| Some(starts.get(place.bar)? + u64::from(place.at.0)));
    ticks.map_or(phase.begins_us, |ticks| time_us(problem, ticks))
}

/// The last phase that has begun at a time, or before it.
fn begun(plan: &Plan, time_us: u64, at_once: bool) -> Option<usize> {
    let has_begun = |begins_us: u64| begins_us < time_us || at_once && begins_us == time_us;
    let n_begun = plan
        .phases
        .partition_point(|phase| has_begun(phase.begins_us));
    n_begun.checked_sub(1)
}

/// The bass notes of a layer's nodes, each pitch once; `None` for nodes without.
fn basses(layer: &Nodes) -> Vec<Option<Midi>> {
    let pitch = |kept: Kept<'_>| kept.node().thumb.map(|thumb| thumb.pitch);
    let mut pitches: Vec<Option<Midi>> = layer.iter().map(pitch).collect();
    pitches.sort_unstable();
    pitches.dedup();
    pitches
}

/// What a layer has to know of jumps.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Turn {
    /// The bass notes that the part may have begun with: every node stands once for each. Empty
    /// outside repeated parts, where every node stands once.
    goals: Vec<Option<Midi>>,
    /// Whether the layer before is the one that has those notes.
    is_first: bool,
    /// Whether the line goes back to that note from here.
    goes_back: bool,
    /// The bass notes that the tune may begin with, if it begins again after this layer.
    again: Vec<Option<Midi>>,
    /// Whether the next layer is not heard after this one.
    pub is_seam: bool,
}

impl Turn {
    /// The copy of this layer that follows a copy of the layer before: the same one, or where the
    /// part has just begun that of the node's own bass note.
    #[inline]
    #[must_use]
    pub fn copy_after(&self, copy: usize, node: &Node) -> usize {
        if self.goals.is_empty() {
            return 0;
        }
        if !self.is_first {
            return copy;
        }
        let own = node.thumb.map(|thumb| thumb.pitch);
        self.goals.binary_search(&own).unwrap_or_default()
    }

    /// Whether the line goes elsewhere from here, so that not every node leads there.
    #[must_use]
    pub fn is_asked(&self) -> bool {
        self.goes_back || !self.again.is_empty()
    }

    /// Whether a node of a copy leads where the line goes from here.
    #[inline]
    #[must_use]
    pub fn allows(&self, copy: usize, node: &Node) -> bool {
        if !self.is_asked() {
            return true;
        }
        let wanted = node.thumb.and_then(|thumb| targets(&thumb));
        let Some(wanted) = wanted else {
            return true;
        };
        let arrives = |goal: &Option<Midi>| goal.is_none() || wanted.contains(goal);
        let back = !self.goes_back || self.goals.get(copy).is_none_or(arrives);
        back && (self.again.is_empty() || self.again.iter().any(arrives))
    }

    /// The costs of all copies of a layer's nodes, with the leap of the bass where the line goes
    /// back; `None` if they are those of the nodes.
    #[must_use]
    pub fn costs(&self, layer: &Nodes) -> Option<Vec<Cost>> {
        if self.goals.is_empty() {
            return None;
        }
        let mut costs = Vec::with_capacity(self.goals.len() * layer.len());
        for goal in &self.goals {
            let pairs = layer.iter().zip(layer.costs());
            costs.extend(pairs.map(|(kept, cost)| match (self.goes_back, goal) {
                (true, Some(goal)) => *cost + leap_to(kept.node().thumb, *goal),
                _ => *cost,
            }));
        }
        Some(costs)
    }
}
