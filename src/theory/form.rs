//! The form of a tune as it is heard: which bar follows which once repeats and endings are played,
//! told only where that differs from the order in which the bars are written. Plain numbers of bars;
//! knows no chord and no note.

/// Which bars are heard one after the other where they are not written so.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct Form {
    /// For each bar the one that is heard after it the first time it is played, if that is not the
    /// one written after it.
    leads_to: Vec<Option<usize>>,
    /// Every such pair of bars that is heard, in order.
    jumps: Vec<(usize, usize)>,
    /// The bar that is heard last; none in a tune without bars.
    last: Option<usize>,
    /// Whether the tune begins again after its last bar.
    pub again: bool,
}

impl Form {
    /// The form of a tune of `n_bars` bars that are played in this order; `again` if another chorus
    /// follows.
    #[must_use]
    pub fn of(order: &[usize], n_bars: usize, again: bool) -> Self {
        let mut first: Vec<Option<usize>> = vec![None; n_bars];
        let mut jumps = Vec::new();
        for pair in order.windows(2) {
            let &[bar, next] = pair else { continue };
            if let Some(known) = first.get_mut(bar) {
                known.get_or_insert(next);
            }
            if next != bar + 1 {
                jumps.push((bar, next));
            }
        }
        jumps.sort_unstable();
        jumps.dedup();
        let elsewhere = |(bar, next): (usize, Option<usize>)| next.filter(|n| *n != bar + 1);
        Self {
            leads_to: first.into_iter().enumerate().map(elsewhere).collect(),
            jumps,
            last: order.last().copied(),
            again,
        }
    }

    /// The bar that a bar leads to, if that is not the one written after it: the bar that is heard
    /// after it the first time it is played.
    #[must_use]
    pub fn leads_to(&self, bar: usize) -> Option<usize> {
        self.leads_to.get(bar).copied().flatten()
    }

    /// Bars that lead elsewhere than to the bar written after them, each with the bar it leads to.
    pub fn leading_elsewhere(&self) -> impl Iterator<Item = (usize, usize)> {
        let all = self.leads_to.iter().enumerate();
        all.filter_map(|(bar, next)| Some((bar, (*next)?)))
    }

    /// The bar that is heard last, if the order of bars is known.
    #[must_use]
    pub const fn last(&self) -> Option<usize> {
        self.last
    }

    /// Every two bars that are heard one after the other and not written so.
    #[must_use]
    pub fn jumps(&self) -> &[(usize, usize)] {
        &self.jumps
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_leads_to_what_is_heard_after_it_first() {
        let straight = Form::of(&[0, 1, 2], 3, false);
        assert!((0..4).all(|bar| straight.leads_to(bar).is_none()));
        assert!(straight.jumps().is_empty());
        // |: 0 1 :| 2: bar 1 goes back first and on to bar 2 only then.
        let repeated = Form::of(&[0, 1, 0, 1, 2], 3, true);
        assert_eq!(repeated.leading_elsewhere().collect::<Vec<_>>(), [(1, 0)]);
        assert_eq!(repeated.jumps(), [(1, 0)]);
        // |: 0 |1. 1 :|2. 2 || 3: bar 0 leads into the first ending.
        let endings = Form::of(&[0, 1, 0, 2, 3], 4, false);
        assert_eq!(endings.leading_elsewhere().collect::<Vec<_>>(), [(1, 0)]);
        assert_eq!(endings.jumps(), [(0, 2), (1, 0)]);
        // |1. 1 without a repeat sign is followed by what stands behind all endings.
        let skipped = Form::of(&[0, 1, 3], 4, false);
        assert_eq!(skipped.leading_elsewhere().collect::<Vec<_>>(), [(1, 3)]);
        assert_eq!(skipped.leads_to(2), None, "a bar that is never heard");
    }
}
