//! Rows of the tables of a solved problem. A tune says much again, and what leads to a bar or follows
//! it soon costs the same from everywhere: so rows are kept relative to their least cost, in no more
//! bytes than the largest number of the row needs, and rows that are alike are kept once.

use super::trellis::Entry;
use super::trellis::UNREACHED;
use crate::instrument::Cost;
use std::collections::HashMap;
use std::marker::PhantomData;
use std::sync::Arc;

/// One value of a row.
pub(super) trait Cell: Copy {
    /// Of a cost and the node it comes from, if the row tells that.
    fn new(total: Cost, from: u32) -> Self;
    /// Its cost; [`UNREACHED`] if there is none.
    fn total(self) -> Cost;
    /// The node it comes from; 0 if the row does not tell.
    fn from(self) -> u32;
}

impl Cell for Cost {
    fn new(total: Cost, _: u32) -> Self {
        total
    }

    fn total(self) -> Cost {
        self
    }

    fn from(self) -> u32 {
        0
    }
}

impl Cell for Entry {
    fn new(total: Cost, from: u32) -> Self {
        Self { total, from }
    }

    fn total(self) -> Cost {
        self.total
    }

    fn from(self) -> u32 {
        self.from
    }
}

/// Cells one after the other, each cost and each origin in as many bytes as the largest of them needs.
#[derive(Clone, PartialEq)]
struct Packed {
    bytes: Arc<[u8]>,
    cost_width: usize,
    from_width: usize,
}

/// The bytes that a number needs.
const fn width_of(number: u32) -> usize {
    (u32::BITS - number.leading_zeros()).div_ceil(8) as usize
}

/// What stands for [`UNREACHED`] in so many bytes.
const fn nothing(width: usize) -> u32 {
    u32::MAX >> (32 - 8 * width as u32)
}

/// The number in these bytes, the lowest first.
#[inline]
fn number(bytes: &[u8]) -> u32 {
    let digits = bytes.iter().rev();
    digits.fold(0, |number, byte| (number << 8) | u32::from(*byte))
}

impl Packed {
    fn cells<T: Cell>(&self) -> impl DoubleEndedIterator<Item = T> + ExactSizeIterator {
        let width = (self.cost_width + self.from_width).max(1);
        let bytes = self.bytes.chunks_exact(width);
        bytes.map(|bytes| self.cell(bytes))
    }

    fn get<T: Cell>(&self, node: usize) -> Option<T> {
        let width = self.cost_width + self.from_width;
        let begins = node.checked_mul(width)?;
        let bytes = self.bytes.get(begins..begins.checked_add(width)?)?;
        Some(self.cell(bytes))
    }

    #[inline]
    fn cell<T: Cell>(&self, bytes: &[u8]) -> T {
        let (cost, from) = bytes.split_at(self.cost_width.min(bytes.len()));
        let cost = number(cost);
        let total = if cost == nothing(self.cost_width) {
            UNREACHED
        } else {
            Cost(cost.cast_signed())
        };
        T::new(total, number(from))
    }
}

/// A row whose costs are all `offset` higher than its cells say.
pub(super) struct Row<T> {
    packed: Packed,
    /// What to add to every cost.
    pub offset: Cost,
    cells: PhantomData<T>,
}

impl<T: Cell> Row<T> {
    const fn new(packed: Packed, offset: Cost) -> Self {
        Self {
            packed,
            offset,
            cells: PhantomData,
        }
    }

    /// The same row, dearer by so much.
    pub fn moved(&self, by: i32) -> Self {
        let offset = Cost(self.offset.0.saturating_add(by));
        Self::new(self.packed.clone(), offset)
    }

    /// Its cells, without the offset.
    pub fn cells(&self) -> impl DoubleEndedIterator<Item = T> + ExactSizeIterator {
        self.packed.cells()
    }

    /// One of them.
    pub fn get(&self, node: usize) -> Option<T> {
        self.packed.get(node)
    }

    /// Whether it has not been let go.
    pub fn is_held(&self) -> bool {
        !self.packed.bytes.is_empty()
    }

    /// Gives its memory back.
    pub fn let_go(&mut self) {
        self.packed.bytes = Arc::new([]);
    }
}

/// Rows that others may be like.
#[derive(Default)]
pub(super) struct Pool {
    known: HashMap<u64, Vec<Packed>>,
    /// Used again for every row.
    buffer: Vec<u8>,
}

impl Pool {
    /// Makes a row of cells that are `offset` dearer than written, and writes them as the row has
    /// them: relative to their least cost.
    pub fn row<T: Cell>(&mut self, cells: &mut [T], offset: Cost) -> Row<T> {
        let totals = cells.iter().map(|cell| cell.total());
        let reached = totals.filter(|total| *total != UNREACHED);
        let ends = reached.fold(None, |ends: Option<(Cost, Cost)>, total| {
            let (least, dearest) = ends.unwrap_or((total, total));
            Some((least.min(total), dearest.max(total)))
        });
        let (least, dearest) = ends.unwrap_or_default();
        for cell in cells.iter_mut() {
            if cell.total() != UNREACHED {
                *cell = T::new(Cost(cell.total().0 - least.0), cell.from());
            }
        }
        // One number more, for what is not reached.
        let dearest = (dearest.0 - least.0).cast_unsigned();
        let cost_width = width_of(dearest.saturating_add(1));
        let last = cells.iter().map(|cell| cell.from()).max();
        let from_width = width_of(last.unwrap_or_default());
        pack(cells, (cost_width, from_width), &mut self.buffer);
        let alike = self.known.entry(sample(cells)).or_default();
        let is_like = |known: &&Packed| {
            let widths = (known.cost_width, known.from_width);
            widths == (cost_width, from_width) && *known.bytes == *self.buffer
        };
        let known = alike.iter().find(is_like).cloned();
        let packed = known.unwrap_or_else(|| {
            let new = Packed {
                bytes: self.buffer.as_slice().into(),
                cost_width,
                from_width,
            };
            alike.push(new.clone());
            new
        });
        Row::new(packed, offset + least)
    }
}

/// Writes cells into a buffer, so many bytes for a cost and so many for an origin.
fn pack<T: Cell>(cells: &[T], (cost_width, from_width): (usize, usize), buffer: &mut Vec<u8>) {
    let n_bytes = cells.len() * (cost_width + from_width);
    // Every number is written whole, and the next one goes over what was too much of it.
    buffer.resize(n_bytes + size_of::<u32>(), 0);
    let mut rest = buffer.as_mut_slice();
    for cell in cells {
        let cost = match cell.total() {
            UNREACHED => nothing(cost_width),
            cost => cost.0.cast_unsigned(),
        };
        for (number, width) in [(cost, cost_width), (cell.from(), from_width)] {
            if let Some(place) = rest.first_chunk_mut() {
                *place = number.to_le_bytes();
            }
            rest = rest.get_mut(width..).unwrap_or_default();
        }
    }
    buffer.truncate(n_bytes);
}

/// How many cells of a row are looked at before it is compared as a whole.
const SAMPLED: usize = 16;

/// A number that is the same for rows that are alike, and for few others.
fn sample<T: Cell>(cells: &[T]) -> u64 {
    let step = (cells.len() / SAMPLED).max(1);
    let sampled = cells.iter().step_by(step);
    // Fowler, Noll and Vo's hash (FNV-1a, 64 bits), by whole numbers instead of bytes.
    let mix = |hash: u64, n: u64| (hash ^ n).wrapping_mul(0x0100_0000_01b3);
    let start = mix(0xcbf2_9ce4_8422_2325, cells.len() as u64);
    sampled.fold(start, |hash, cell| {
        mix(hash, u64::from(cell.total().0.cast_unsigned()))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn rows_that_differ_by_one_amount_are_kept_once() {
        let mut pool = Pool::default();
        let mut row = |costs: &[i32], offset| {
            let mut cells: Vec<Cost> = costs.iter().map(|c| Cost(*c)).collect();
            pool.row(&mut cells, Cost(offset))
        };
        let one = row(&[7, 5, i32::MAX, 9], 100);
        let other = row(&[12, 10, i32::MAX, 14], 200);
        let third = row(&[12, 10, 11, 14], 200);
        assert!(Arc::ptr_eq(&one.packed.bytes, &other.packed.bytes));
        assert!(!Arc::ptr_eq(&one.packed.bytes, &third.packed.bytes));
        assert_eq!((one.offset, other.offset), (Cost(105), Cost(210)));
        let cells: Vec<Cost> = one.cells().collect();
        assert_eq!(cells, [Cost(2), Cost(0), UNREACHED, Cost(4)]);
    }

    #[test]
    fn a_row_that_nothing_reaches_stays_as_it_is() {
        let row = Pool::default().row(&mut [UNREACHED; 3], Cost(4));
        let cells: Vec<Cost> = row.cells().collect();
        assert_eq!((cells, row.offset), (vec![UNREACHED; 3], Cost(4)));
    }

    proptest! {
        /// Whatever is packed comes out again, at the edges of every width, too.
        #[test]
        fn a_row_holds_what_was_put_into_it(
            totals in prop::collection::vec((0u32..32, 0i32..3, any::<bool>(), 0u32..40), 1..40),
        ) {
            // Around powers of two, a cost near the largest there is, and the origin likewise.
            let near = |bits: u32, less: i32| ((1i64 << bits) - i64::from(less)).clamp(0, 0x7fff_fffe);
            let put: Vec<Entry> = totals
                .iter()
                .map(|(bits, less, is_there, from)| Entry {
                    total: if *is_there { Cost(near(*bits, *less) as i32) } else { UNREACHED },
                    from: near(*from, *less) as u32,
                })
                .collect();
            let mut cells = put.clone();
            let row = Pool::default().row(&mut cells, Cost::ZERO);
            let out = row.cells().map(|cell| Entry {
                total: if cell.total == UNREACHED { UNREACHED } else { cell.total + row.offset },
                ..cell
            });
            prop_assert_eq!(out.collect::<Vec<_>>(), put);
            let one_by_one: Vec<Entry> = (0..).map_while(|node| row.get(node)).collect();
            prop_assert_eq!(one_by_one, cells);
        }
    }
}
