//! The other ways of the selected bar: asked of the solver when an arrangement is complete and
//! whenever another bar is selected, and shown only while they belong to both. Nothing is solved
//! again for them.

use super::Session;
use super::solver::Job;
use crate::arrange::BarWay;
use std::sync::Arc;

/// Ways that were found, and whether more are on their way.
#[derive(Default)]
pub struct Ways {
    /// With the revision and the bar they belong to.
    found: Option<(u64, usize, Arc<Vec<BarWay>>)>,
    /// Whether an answer is still to come for the selected bar.
    awaited: bool,
}

impl Ways {
    /// Whether an answer is still to come for the selected bar.
    pub const fn are_awaited(&self) -> bool {
        self.awaited
    }

    /// Whether an answer is to be expected from now on.
    pub const fn expect(&mut self, expected: bool) {
        self.awaited = expected;
    }

    fn of(&self, revision: u64, bar: usize) -> Option<&[BarWay]> {
        let (of, at, ways) = self.found.as_ref()?;
        (*of == revision && *at == bar).then_some(ways.as_slice())
    }
}

impl Session {
    /// The best different ways to play the selected bar, at most twelve, by the effort of the
    /// whole tune; the first is the one arranged. Empty if nothing begins in the bar. `None` while
    /// they are not known, and always where the hardest change is kept easy first.
    #[must_use]
    pub fn ways(&self) -> Option<&[BarWay]> {
        self.ways.of(self.revision, self.selection.place.bar)
    }

    /// Asks for the ways of the selected bar, once the solver has told everything else.
    pub(super) fn ask_for_ways(&mut self) {
        let (revision, bar) = (self.revision, self.selection.place.bar);
        let is_solved = self.solved.as_ref().is_some_and(|(of, _)| *of == revision);
        if !is_solved || self.options.is_none() {
            return;
        }
        let is_known = self.ways().is_some();
        self.ways.expect(!is_known);
        if !is_known {
            self.solver.submit(Job::Ways { revision, bar });
        }
    }

    /// Keeps ways if they are those of the selected bar of the present document.
    pub(super) fn take_ways(&mut self, revision: u64, bar: usize, ways: Arc<Vec<BarWay>>) {
        if (revision, bar) == (self.revision, self.selection.place.bar) {
            self.ways.found = Some((revision, bar, ways));
            self.ways.expect(false);
        }
    }
}
