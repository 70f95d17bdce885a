//! The nodes of one layer as they are kept for as long as their chord is in the tune. Thousands of them
//! share some hundred hand states and a few bass notes: each of these is kept once and named by number,
//! so that a node takes a third of the room.

use super::change::HandState;
use super::nodes::Layer;
use super::nodes::Node;
use super::nodes::SungPlace;
use super::nodes::ThumbNote;
use super::nodes::Way;
use crate::instrument::Cost;
use crate::theory::Midi;
use std::collections::HashMap;
use std::hash::BuildHasherDefault;
use std::hash::Hash;
use std::hash::Hasher;

/// The number of nothing: beyond the end of every table.
const NONE: u16 = u16::MAX;
/// The voicing of a node without one.
const NO_VOICING: u32 = u32::MAX;
/// Below it stands the key number of the top note.
const NO_TOP: u8 = 128;

/// Nodes with their costs.
#[derive(Default)]
pub struct Nodes {
    packed: Box<[Packed]>,
    thumbs: Box<[ThumbNote]>,
    tunes: Box<[SungPlace]>,
    hands: Box<[HandState]>,
    costs: Box<[Cost]>,
}

/// A node whose parts stand in the tables of its layer.
struct Packed {
    voicing: u32,
    entry: u32,
    exit: u32,
    /// There are fewer places with a finger and a move than numbers.
    thumb: u16,
    tune: u16,
    top: u8,
    way: Way,
    slid: bool,
}

/// A node that is looked up when it is asked for.
#[derive(Clone, Copy)]
pub struct Kept<'a> {
    nodes: &'a Nodes,
    packed: &'a Packed,
}

impl Kept<'_> {
    /// The node. What of it is not used is not looked up.
    #[inline(always)]
    #[must_use]
    pub fn node(self) -> Node {
        let Packed {
            voicing,
            entry,
            exit,
            thumb,
            tune,
            top,
            way,
            slid,
        } = *self.packed;
        let hand = |number: u32| self.nodes.hands.get(number as usize).copied();
        Node {
            voicing: (voicing != NO_VOICING).then_some(voicing),
            thumb: self.nodes.thumbs.get(usize::from(thumb)).copied(),
            tune: self.nodes.tunes.get(usize::from(tune)).copied(),
            entry: hand(entry).unwrap_or_default(),
            exit: hand(exit).unwrap_or_default(),
            way,
            slid,
            top: Midi::new(top),
        }
    }
}

impl Kept<'_> {
    /// Its bass note, if there is one.
    #[inline]
    #[must_use]
    pub fn thumb(self) -> Option<ThumbNote> {
        self.nodes
            .thumbs
            .get(usize::from(self.packed.thumb))
            .copied()
    }

    /// The top note of its chord.
    #[inline]
    #[must_use]
    pub const fn top(self) -> Option<Midi> {
        Midi::new(self.packed.top)
    }

    /// The left hand when the phase begins.
    #[inline]
    #[must_use]
    pub fn entry(self) -> HandState {
        let hand = self.nodes.hands.get(self.packed.entry as usize);
        hand.copied().unwrap_or_default()
    }

    /// The number of the left hand when the phase begins, among the [hands](Nodes::n_hands) of the
    /// layer.
    #[inline]
    #[must_use]
    pub const fn entry_number(self) -> usize {
        self.packed.entry as usize
    }
}

impl Nodes {
    /// Keeps the nodes of a layer.
    #[must_use]
    pub fn of(layer: &Layer) -> Self {
        let mut hands = Table::default();
        let mut thumbs = Table::default();
        let mut tunes = Table::default();
        let small = |table: usize| u16::try_from(table).unwrap_or(NONE);
        let mut pack = |node: &Node| Packed {
            voicing: node.voicing.unwrap_or(NO_VOICING),
            entry: hands.number(node.entry),
            exit: hands.number(node.exit),
            thumb: node
                .thumb
                .map_or(NONE, |note| small(thumbs.number(note) as usize)),
            tune: node
                .tune
                .map_or(NONE, |note| small(tunes.number(note) as usize)),
            top: node.top.map_or(NO_TOP, Midi::number),
            way: node.way,
            slid: node.slid,
        };
        let packed = layer.nodes.iter().map(&mut pack).collect();
        Self {
            packed,
            thumbs: thumbs.values.into(),
            tunes: tunes.values.into(),
            hands: hands.values.into(),
            costs: layer.costs.as_slice().into(),
        }
    }

    /// How many.
    #[must_use]
    pub fn len(&self) -> usize {
        self.packed.len()
    }

    /// One of them.
    #[inline]
    #[must_use]
    pub fn get(&self, number: usize) -> Option<Kept<'_>> {
        let packed = self.packed.get(number)?;
        Some(Kept {
            nodes: self,
            packed,
        })
    }

    /// All of them in order.
    pub fn iter(&self) -> impl Iterator<Item = Kept<'_>> {
        self.packed.iter().map(|packed| Kept {
            nodes: self,
            packed,
        })
    }

    /// How many different hand states they have.
    #[must_use]
    pub fn n_hands(&self) -> usize {
        self.hands.len()
    }

    /// Their costs.
    #[must_use]
    pub fn costs(&self) -> &[Cost] {
        &self.costs
    }

    /// The room they take.
    #[must_use]
    pub fn bytes(&self) -> usize {
        size_of_val(&*self.packed)
            + size_of_val(&*self.thumbs)
            + size_of_val(&*self.tunes)
            + size_of_val(&*self.hands)
            + size_of_val(&*self.costs)
    }
}

/// Values, each once, in the order in which they were met.
struct Table<T> {
    values: Vec<T>,
    numbers: HashMap<T, u32, BuildHasherDefault<Fnv>>,
}

impl<T> Default for Table<T> {
    fn default() -> Self {
        Self {
            values: Vec::new(),
            numbers: HashMap::default(),
        }
    }
}

impl<T: Copy + Eq + Hash> Table<T> {
    fn number(&mut self, value: T) -> u32 {
        // Neighbours are often alike.
        if self.values.last() == Some(&value) {
            return self.next_number() - 1;
        }
        let next = self.next_number();
        let number = *self.numbers.entry(value).or_insert(next);
        if number == next {
            self.values.push(value);
        }
        number
    }

    fn next_number(&self) -> u32 {
        u32::try_from(self.values.len()).unwrap_or(u32::MAX)
    }
}

/// Fowler, Noll and Vo's hash (FNV-1a, 64 bits): quick for the few bytes of a hand.
struct Fnv(u64);

impl Default for Fnv {
    fn default() -> Self {
        Self(0xcbf2_9ce4_8422_2325)
    }
}

impl Hasher for Fnv {
    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }

    fn finish(&self) -> u64 {
        self.0
    }
}
