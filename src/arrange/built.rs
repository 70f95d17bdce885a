//! A layer ready to be walked: its nodes, and where to find those that an edge may lead to. Which of
//! them are ever asked for follows from how the layer is come to, so only those groups are made.

use super::holds::Held;
use super::holds::Holds;
use super::kept_nodes::Kept;
use super::kept_nodes::Nodes;
use super::leads::targets;
use super::nodes::Layer;
use super::nodes::Node;
use super::nodes::ThumbNote;
use crate::theory::Midi;
use std::collections::HashMap;

/// How one phase follows another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Follows {
    /// In the same span, with the grip still wanted.
    Grip,
    /// In the same span, the grip being let go.
    LetGo,
    /// In the next span.
    Span,
}

/// The nodes of a layer, and where to find those that an edge may lead to.
#[derive(Default)]
pub struct Built {
    nodes: Nodes,
    /// Nodes of each voicing of the span, where the grip is still wanted.
    by_voicing: Groups,
    /// Nodes by the pitch of their bass note, 0 to 127, where a span begins; the last group holds those
    /// without.
    by_pitch: Groups,
    /// Nodes by the top note of the chord, in the same way, where the grip is let go.
    by_top: Groups,
    /// What sounds on in it, and its nodes by what they have of that.
    holds: Holds,
    by_held: HashMap<Held, Vec<u32>>,
}

/// Pitches and one more for none.
const N_PITCHES: usize = 129;

impl Built {
    /// A layer that is come to in one way. `n_voicings` counts those of the span.
    #[must_use]
    pub fn new(layer: &Layer, n_voicings: usize, holds: Holds, follows: Follows) -> Self {
        let nodes = Nodes::of(layer);
        let number =
            |pitch: Option<Midi>| pitch.map_or(N_PITCHES - 1, |pitch| usize::from(pitch.number()));
        let mut built = Self {
            holds,
            ..Self::default()
        };
        match follows {
            Follows::LetGo => {
                built.by_top = Groups::new(N_PITCHES, &nodes, |node| Some(number(node.top)));
            }
            Follows::Grip => {
                let voicing = |node: &Node| node.voicing.map(|voicing| voicing as usize);
                built.by_voicing = Groups::new(n_voicings, &nodes, voicing);
            }
            Follows::Span if holds.any() => {}
            Follows::Span => {
                let bass = |node: &Node| Some(number(node.thumb.map(|thumb| thumb.pitch)));
                built.by_pitch = Groups::new(N_PITCHES, &nodes, bass);
            }
        }
        if holds.any() && follows != Follows::LetGo {
            for (idx, kept) in (0u32..).zip(nodes.iter()) {
                let held = holds.held(&kept.node());
                built.by_held.entry(held).or_default().push(idx);
            }
        }
        built.nodes = nodes;
        built
    }

    /// Its nodes.
    #[must_use]
    pub const fn nodes(&self) -> &Nodes {
        &self.nodes
    }

    /// What sounds on in it.
    #[must_use]
    pub const fn holds(&self) -> Holds {
        self.holds
    }

    /// About the room it takes.
    #[must_use]
    pub fn bytes(&self) -> usize {
        let groups = [&self.by_voicing, &self.by_pitch, &self.by_top];
        let held = self.by_held.values().map(|group| group.capacity() + 16);
        self.nodes.bytes()
            + groups.iter().map(|groups| groups.bytes()).sum::<usize>()
            + 4 * held.sum::<usize>()
    }

    /// Calls `take` with every node that may follow one of the layer before, which it is come to from
    /// in the way it was built for.
    #[inline]
    pub fn following(&self, node: &Node, follows: Follows, mut take: impl FnMut(usize, Kept<'_>)) {
        // Asked for every edge: where nothing sounds on, whether the bass arrives is all of it.
        let wanted = node.thumb.and_then(|thumb| targets(&thumb));
        let arrives = |to: Option<ThumbNote>| match (wanted, to) {
            (Some(pitches), Some(to)) => pitches.contains(&Some(to.pitch)),
            _ => true,
        };
        let mut joined = |number: usize, kept: Kept<'_>| {
            let joins = if self.holds.any() {
                self.holds.joins(node, &kept.node())
            } else {
                arrives(kept.thumb())
            };
            if joins {
                take(number, kept);
            }
        };
        match (follows, node.voicing) {
            // Those that remember its top note, and those that remember none; all of them if it has
            // none itself.
            (Follows::LetGo, _) => match node.top {
                Some(top) => {
                    self.each(self.by_top.get(usize::from(top.number())), &mut joined);
                    self.each(self.by_top.get(N_PITCHES - 1), &mut joined);
                }
                None => self.every(&mut joined),
            },
            (Follows::Grip, Some(voicing)) => {
                self.each(self.by_voicing.get(voicing as usize), &mut joined);
            }
            _ if self.holds.any() => {
                for held in self.holds.ways(node) {
                    let group = self.by_held.get(&held);
                    self.each(group.map_or(&[][..], Vec::as_slice), &mut joined);
                }
            }
            // All of them, or those whose bass note is what the leading move asks for, and those
            // without one.
            (Follows::Span, _) => match wanted {
                Some(pitches) => {
                    for pitch in pitches.into_iter().flatten() {
                        self.each(self.by_pitch.get(usize::from(pitch.number())), &mut take);
                    }
                    self.each(self.by_pitch.get(N_PITCHES - 1), &mut take);
                }
                None => self.every(&mut take),
            },
            // The same, seldom enough to be looked for.
            (Follows::Grip, None) => self.every(&mut joined),
        }
    }

    #[inline]
    fn each(&self, group: &[u32], take: &mut impl FnMut(usize, Kept<'_>)) {
        for number in group {
            if let Some(kept) = self.nodes.get(*number as usize) {
                take(*number as usize, kept);
            }
        }
    }

    #[inline]
    fn every(&self, take: &mut impl FnMut(usize, Kept<'_>)) {
        for (number, kept) in self.nodes.iter().enumerate() {
            take(number, kept);
        }
    }
}

/// Numbers of nodes in groups, one group after the other.
#[derive(Default)]
struct Groups {
    /// Where each group begins; one more than there are groups.
    starts: Box<[u32]>,
    members: Box<[u32]>,
}

impl Groups {
    /// Groups of nodes, in their order within each.
    fn new(n_groups: usize, nodes: &Nodes, group_of: impl Fn(&Node) -> Option<usize>) -> Self {
        let group_of = |kept: Kept<'_>| group_of(&kept.node()).filter(|group| *group < n_groups);
        // First how many there are in each, then where the next of each goes.
        let mut next = vec![0u32; n_groups + 1];
        for group in nodes.iter().filter_map(group_of) {
            if let Some(count) = next.get_mut(group + 1) {
                *count += 1;
            }
        }
        let mut n_members = 0;
        for start in &mut next {
            n_members += *start;
            *start = n_members;
        }
        let starts: Box<[u32]> = next.as_slice().into();
        let mut members = vec![0; n_members as usize].into_boxed_slice();
        for (number, kept) in (0u32..).zip(nodes.iter()) {
            let place = group_of(kept).and_then(|group| next.get_mut(group));
            if let Some(place) = place
                && let Some(member) = members.get_mut(*place as usize)
            {
                *member = number;
                *place += 1;
            }
        }
        Self { starts, members }
    }

    #[inline]
    fn get(&self, group: usize) -> &[u32] {
        let range = self.starts.get(group).zip(self.starts.get(group + 1));
        let members = range.and_then(|(from, to)| self.members.get(*from as usize..*to as usize));
        members.unwrap_or_default()
    }

    fn bytes(&self) -> usize {
        size_of_val(&*self.starts) + size_of_val(&*self.members)
    }
}
