//! Rows of the tables of a solved problem. A tune says much again, and what leads to a bar or follows
//! it soon costs the same from everywhere: so rows are kept relative to their least cost, and rows
//! that are alike are kept once.

use super::trellis::Entry;
use super::trellis::UNREACHED;
use crate::instrument::Cost;
use std::collections::HashMap;
use std::sync::Arc;

/// One value of a row.
pub(super) trait Cell: Copy + PartialEq {
    /// Its cost; [`UNREACHED`] if there is none.
    fn total(self) -> Cost;
    /// The same, cheaper by so much.
    fn less(self, by: Cost) -> Self;
}

impl Cell for Cost {
    fn total(self) -> Cost {
        self
    }

    fn less(self, by: Cost) -> Self {
        if self == UNREACHED {
            self
        } else {
            Self(self.0 - by.0)
        }
    }
}

impl Cell for Entry {
    fn total(self) -> Cost {
        self.total
    }

    fn less(self, by: Cost) -> Self {
        Self {
            total: self.total.less(by),
            ..self
        }
    }
}

/// A row whose costs are all `offset` higher than written.
pub(super) struct Row<T> {
    pub cells: Arc<[T]>,
    pub offset: Cost,
}

impl<T> Row<T> {
    /// The same row, dearer by so much.
    pub fn moved(&self, by: i32) -> Self {
        Self {
            cells: Arc::clone(&self.cells),
            offset: Cost(self.offset.0.saturating_add(by)),
        }
    }

    /// Whether it has not been let go.
    pub fn is_held(&self) -> bool {
        !self.cells.is_empty()
    }

    /// Gives its memory back.
    pub fn let_go(&mut self) {
        self.cells = Arc::new([]);
    }
}

/// Rows that others may be like.
pub(super) struct Pool<T> {
    known: HashMap<u64, Vec<Arc<[T]>>>,
}

impl<T> Default for Pool<T> {
    fn default() -> Self {
        Self {
            known: HashMap::new(),
        }
    }
}

impl<T: Cell> Pool<T> {
    /// A row of cells that are `offset` dearer than written.
    pub fn row(&mut self, mut cells: Vec<T>, offset: Cost) -> Row<T> {
        let totals = cells.iter().map(|cell| cell.total());
        let least = totals.min().filter(|least| *least != UNREACHED);
        let least = least.unwrap_or_default();
        for cell in &mut cells {
            *cell = cell.less(least);
        }
        let alike = self.known.entry(sample(&cells)).or_default();
        let known = alike.iter().find(|known| ***known == *cells);
        let cells = known.map(Arc::clone).unwrap_or_else(|| {
            let new: Arc<[T]> = cells.into();
            alike.push(Arc::clone(&new));
            new
        });
        let offset = offset + least;
        Row { cells, offset }
    }
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

    #[test]
    fn rows_that_differ_by_one_amount_are_kept_once() {
        let mut pool = Pool::default();
        let row = |costs: &[i32]| costs.iter().map(|c| Cost(*c)).collect::<Vec<_>>();
        let one = pool.row(row(&[7, 5, i32::MAX, 9]), Cost(100));
        let other = pool.row(row(&[12, 10, i32::MAX, 14]), Cost(200));
        let third = pool.row(row(&[12, 10, 11, 14]), Cost(200));
        assert!(Arc::ptr_eq(&one.cells, &other.cells));
        assert!(!Arc::ptr_eq(&one.cells, &third.cells));
        assert_eq!((one.offset, other.offset), (Cost(105), Cost(210)));
        assert_eq!(*one.cells, [Cost(2), Cost(0), UNREACHED, Cost(4)]);
    }

    #[test]
    fn a_row_that_nothing_reaches_stays_as_it_is() {
        let row = Pool::default().row(vec![UNREACHED; 3], Cost(4));
        assert_eq!((&*row.cells, row.offset), (&[UNREACHED; 3][..], Cost(4)));
    }
}
