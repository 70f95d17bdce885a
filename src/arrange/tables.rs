//! Tables of a solved problem, kept so that an edit costs only what it changes. Row *i* of the
//! first table says what it costs to get to each node of layer *i*, row *i* of the second what
//! comes after it.
//!
//! After an edit most layers are the same as before. Rows in front of the first difference are
//! taken over. Behind the last difference rows are computed only until one differs from the old
//! one by the same amount at every node: from there on every choice is the old one, and the rest
//! of the table is taken over with that amount added. The result equals that of solving from
//! nothing, to the unit. Old rows between the two are given back before new ones are made, so that
//! a change of the whole tune needs no room for two tables.

use super::layer_cache::Having;
use super::layers::Layers;
use super::rows::Cell;
use super::rows::Pool;
use super::rows::Row;
use super::trellis::BestPath;
use super::trellis::Entry;
use super::trellis::Layered;
use super::trellis::NoPath;
use super::trellis::UNREACHED;
use super::trellis::is_dead;
use super::trellis::next_row;
use super::trellis::read_back;
use super::trellis::row_after;
use crate::instrument::Cost;

/// A problem with its tables.
pub struct Solved {
    layers: Layers,
    before: Vec<Row<Entry>>,
    after: Vec<Row<Cost>>,
}

/// Which layers of two problems are the same.
struct Overlap {
    /// So many layers from the front, with the edges between them.
    front: usize,
    /// From this layer of the new problem on, with the edges between them.
    back_from: usize,
    /// Layers the new problem has more (or fewer, if negative).
    longer_by: isize,
}

impl Overlap {
    /// Only rows that are still there count.
    fn of<T: Cell>(new: &Layers, old: &Layers, rows: &[Row<T>]) -> Self {
        let (n_new, n_old) = (new.n_layers(), old.n_layers());
        let held = |b: usize| rows.get(b).is_some_and(Row::is_held);
        let same = |a: usize, b: usize| held(b) && new.same_nodes(a, old, b);
        let joined = |a: usize, b: usize| new.same_edges(a, old, b);
        let mut front = 0;
        while front < n_new.min(n_old)
            && same(front, front)
            && (front == 0 || joined(front - 1, front - 1))
        {
            front += 1;
        }
        let mut n_back = 0;
        while n_back < n_new.min(n_old) {
            let (a, b) = (n_new - 1 - n_back, n_old - 1 - n_back);
            if !same(a, b) || (n_back > 0 && !joined(a, b)) {
                break;
            }
            n_back += 1;
        }
        let longer_by = n_new as isize - n_old as isize;
        Self {
            front,
            back_from: n_new - n_back,
            longer_by,
        }
    }

    fn old_of(&self, layer: usize) -> Option<usize> {
        layer.checked_add_signed(-self.longer_by)
    }

    /// Gives back the old rows that nothing can be taken over from.
    fn let_go<T: Cell>(&self, old: &mut [Row<T>]) {
        let until = self.old_of(self.back_from).unwrap_or(0);
        for row in old.get_mut(self.front..until).unwrap_or_default() {
            row.let_go();
        }
    }
}

impl Solved {
    /// Solves a problem, taking over what it has in common with an earlier one, which is not
    /// [whole](Self::is_whole) any more afterwards.
    ///
    /// # Errors
    /// If it is told to stop, or some layer cannot be reached.
    pub fn new(
        layers: Layers,
        earlier: Option<&mut Self>,
        keep_going: &mut dyn FnMut(usize) -> bool,
    ) -> Result<Self, NoPath> {
        let overlap = earlier.map(|old| {
            let overlap = Overlap::of(&layers, &old.layers, &old.before);
            overlap.let_go(&mut old.before);
            (&*old, overlap)
        });
        let mut pool = Pool::default();
        let mut solved = Self {
            layers,
            before: Vec::new(),
            after: Vec::new(),
        };
        if let Some((old, overlap)) = &overlap {
            let front = old.before.iter().take(overlap.front);
            solved.before.extend(front.map(|row| row.moved(0)));
        }
        let taken_over = solved.before.last();
        let mut last: Option<Vec<Entry>> = taken_over.map(|row| row.cells().collect());
        for layer in solved.before.len()..solved.layers.n_layers() {
            let offset = solved.before.last().map_or(Cost::ZERO, |row| row.offset);
            let mut cells = next_row(&solved.layers, layer, last.as_deref());
            if is_dead(&cells) {
                return Err(NoPath::DeadEnd { layer });
            }
            solved.before.push(pool.row(&mut cells, offset));
            last = Some(cells);
            if let Some((old, overlap)) = &overlap
                && layer >= overlap.back_from
                && solved.take_over_rest(layer, old, overlap)
            {
                break;
            }
            if !keep_going(layer + 1) {
                return Err(NoPath::Cancelled);
            }
        }
        Ok(solved)
    }

    /// If the row differs from the old one by one amount everywhere, takes the rest over.
    fn take_over_rest(&mut self, layer: usize, old: &Self, overlap: &Overlap) -> bool {
        let Some(old_layer) = overlap.old_of(layer) else {
            return false;
        };
        let (Some(new_row), Some(old_row)) = (self.before.last(), old.before.get(old_layer)) else {
            return false;
        };
        let Some(by) = steady_difference(new_row, old_row) else {
            return false;
        };
        let rest = old.before.iter().skip(old_layer + 1);
        self.before.extend(rest.map(|row| row.moved(by)));
        true
    }

    /// Gives back the layers that another problem does not have, and what is known of them.
    pub fn keep_only(&mut self, having: &Having) {
        let stay = self.layers.keep_only(having);
        for (row, _) in self
            .before
            .iter_mut()
            .zip(&stay)
            .filter(|(_, stays)| !*stays)
        {
            row.let_go();
        }
        for (row, _) in self
            .after
            .iter_mut()
            .zip(&stay)
            .filter(|(_, stays)| !*stays)
        {
            row.let_go();
        }
    }

    /// The layers.
    #[must_use]
    pub const fn layers(&self) -> &Layers {
        &self.layers
    }

    /// The best path.
    #[must_use]
    pub fn best_path(&self) -> BestPath {
        let last: Vec<Entry> = self
            .before
            .last()
            .map_or_else(Vec::new, |row| row.cells().collect());
        let from = |layer: usize, node: usize| Some(self.before.get(layer)?.get(node)?.from);
        let mut path = read_back(&self.layers, &last, &from);
        path.sum += self.before.last().map_or(Cost::ZERO, |row| row.offset);
        path
    }

    /// The smallest sum of a path from the front to a node, its own cost included; `None` if there
    /// is no such path.
    #[must_use]
    pub fn before(&self, layer: usize, node: usize) -> Option<Cost> {
        let row = self.before.get(layer)?;
        let total = row.get(node)?.total;
        (total != UNREACHED).then(|| total + row.offset)
    }

    /// The smallest sum of what comes after a node; `None` if nothing can, and before
    /// [`look_back`](Self::look_back).
    #[must_use]
    pub fn after(&self, layer: usize, node: usize) -> Option<Cost> {
        let row = self.after.get(layer)?;
        let rest = row.get(node)?;
        (rest != UNREACHED).then(|| rest + row.offset)
    }

    /// Whether no row of the first table has been let go.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.before.iter().all(Row::is_held)
    }

    /// Gives the first table back: [`look_back`](Self::look_back) of another problem needs the
    /// second.
    pub fn keep_second_table(&mut self) {
        self.before = Vec::new();
    }

    /// Whether the second table is filled.
    #[must_use]
    pub fn has_looked_back(&self) -> bool {
        self.after.len() == self.layers.n_layers()
    }

    /// Fills the second table, taking over what it has in common with an earlier one. Returns
    /// `false` if it was told to stop.
    pub fn look_back(
        &mut self,
        earlier: Option<&mut Self>,
        keep_going: &mut dyn FnMut(usize) -> bool,
    ) -> bool {
        let n_layers = self.layers.n_layers();
        let full = earlier.filter(|old| old.has_looked_back());
        let overlap = full.map(|old| {
            let overlap = Overlap::of(&self.layers, &old.layers, &old.after);
            overlap.let_go(&mut old.after);
            (&*old, overlap)
        });
        let mut pool = Pool::default();
        // From the last layer to the first; turned round at the end.
        let mut rows: Vec<Row<Cost>> = Vec::with_capacity(n_layers);
        if let Some((old, overlap)) = &overlap {
            let n_back = n_layers - overlap.back_from;
            rows.extend(old.after.iter().rev().take(n_back).map(|row| row.moved(0)));
        }
        let mut last: Option<Vec<Cost>> = rows.last().map(|row| row.cells().collect());
        while rows.len() < n_layers {
            let layer = n_layers - 1 - rows.len();
            let offset = rows.last().map_or(Cost::ZERO, |row| row.offset);
            let mut cells = row_after(&self.layers, layer, last.as_deref());
            let row = pool.row(&mut cells, offset);
            last = Some(cells);
            let moved_by = overlap.as_ref().and_then(|(old, overlap)| {
                let old_row = old.after.get(layer).filter(|_| layer < overlap.front)?;
                let by = steady_difference(&row, old_row)?;
                Some((old, by))
            });
            rows.push(row);
            if let Some((old, by)) = moved_by {
                let rest = old.after.iter().take(layer).rev();
                rows.extend(rest.map(|row| row.moved(by)));
            }
            if !keep_going(rows.len()) {
                return false;
            }
        }
        rows.reverse();
        self.after = rows;
        true
    }

    /// For every node of a layer the smallest sum of a path through it; `None` for a node that no
    /// path goes through. Empty before [`look_back`](Self::look_back).
    #[must_use]
    pub fn through(&self, layer: usize) -> Vec<Option<Cost>> {
        let (Some(before), Some(after)) = (self.before.get(layer), self.after.get(layer)) else {
            return Vec::new();
        };
        let offset = before.offset + after.offset;
        let pairs = before.cells().zip(after.cells());
        pairs
            .map(|(entry, rest)| {
                let reached = entry.total != UNREACHED && rest != UNREACHED;
                reached.then(|| entry.total + rest + offset)
            })
            .collect()
    }
}

/// By how much two rows differ, if it is the same amount at every node.
fn steady_difference<T: Cell>(new: &Row<T>, old: &Row<T>) -> Option<i32> {
    let (new_cells, old_cells) = (new.cells(), old.cells());
    if new_cells.len() != old_cells.len() {
        return None;
    }
    let total = |cell: T, offset: Cost| i64::from(cell.total().0) + i64::from(offset.0);
    let mut difference = None;
    for (a, b) in new_cells.zip(old_cells) {
        match (a.total() == UNREACHED, b.total() == UNREACHED) {
            (true, true) => continue,
            (false, false) => {}
            _ => return None,
        }
        let here = i32::try_from(total(a, new.offset) - total(b, old.offset)).ok()?;
        if difference.is_some_and(|by| by != here) {
            return None;
        }
        difference = Some(here);
    }
    difference
}
