//! What sounds on from one phase into the next under a tune: a bass note or a note of the tune stays on
//! its string, fret and finger, or is let go at a price. Says which nodes that joins.

use super::leads::arrives;
use super::nodes::CUT_BASS;
use super::nodes::Node;
use super::nodes::SungPlace;
use super::nodes::ThumbNote;
use super::phase::Phase;
use super::phase::Task;
use crate::instrument::Cost;

/// What it costs to let a note of the tune go before its end: more than any other cut, because the
/// tune is what is listened to.
const CUT_TUNE: Cost = Cost::points(20);

/// What has been struck before a phase and sounds on in it: it stays where it is, or is let go.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
pub struct Holds {
    /// A bass note.
    pub thumb: bool,
    /// A note of the tune.
    pub tune: bool,
}

/// A bass note and a note of the tune that sound on.
pub type Held = (Option<ThumbNote>, Option<SungPlace>);

impl Holds {
    /// What holds in a phase.
    #[must_use]
    pub fn of(phase: &Phase) -> Self {
        Self {
            thumb: phase.task == Task::Hold,
            tune: phase.tune.is_some_and(|sound| sound.holds),
        }
    }

    /// Whether anything does.
    #[must_use]
    pub const fn any(self) -> bool {
        self.thumb || self.tune
    }

    /// What a node has of it.
    #[must_use]
    pub fn held(self, node: &Node) -> Held {
        let thumb = node.thumb.filter(|_| self.thumb);
        (thumb, node.tune.filter(|_| self.tune))
    }

    /// What nodes after `node` may have of it: all of it, or less.
    pub fn ways(self, node: &Node) -> impl Iterator<Item = Held> {
        let (thumb, tune) = self.held(node);
        let thumbs = [Some(thumb), thumb.and(Some(None))];
        let tunes = [Some(tune), tune.and(Some(None))];
        let pair = move |thumb| tunes.into_iter().flatten().map(move |tune| (thumb, tune));
        thumbs.into_iter().flatten().flat_map(pair)
    }

    /// Whether what sounds on in `to` is where it was in `from`, and what begins is where the thumb
    /// leads.
    #[inline]
    #[must_use]
    pub fn joins(self, from: &Node, to: &Node) -> bool {
        // Without a tune nothing holds, and this is asked for every edge.
        if !self.any() {
            return arrives(from.thumb, to.thumb);
        }
        let (was, is) = (self.held(from), self.held(to));
        let thumb = is.0.is_none() || is.0 == was.0;
        let tune = is.1.is_none() || is.1 == was.1;
        thumb && tune && (self.thumb || arrives(from.thumb, to.thumb))
    }

    /// What it costs to let go of it.
    #[inline]
    #[must_use]
    pub fn cut(self, from: &Node, to: &Node) -> Cost {
        if !self.any() {
            return Cost::ZERO;
        }
        let (was, is) = (self.held(from), self.held(to));
        let lost = |lost: bool, cost: Cost| if lost { cost } else { Cost::ZERO };
        lost(was.0.is_some() && is.0.is_none(), CUT_BASS)
            + lost(was.1.is_some() && is.1.is_none(), CUT_TUNE)
    }
}
