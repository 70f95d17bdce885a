//! What the ways of walking allow and ask, for showing it beside the settings. Only looks up.

use crate::document::Document;
use crate::document::Walk;
use crate::session;
use crate::theory::MoveSet;
use crate::theory::RuleSet;
use crate::thumb::rung::SlotKind;

/// Every move that a way of walking has somewhere in a bar.
pub fn moves(walk: Walk) -> MoveSet {
    let rung = session::rung_of(walk);
    let bit = |bits: u8, n: u8| bits & (1 << n) != 0;
    let kinds = (0..32).map(|bits| SlotKind {
        begins: bit(bits, 0),
        leads_to_change: bit(bits, 1),
        leads_over_bar: bit(bits, 2),
        second_of_four: bit(bits, 3),
        of_two: bit(bits, 4),
    });
    kinds.fold(MoveSet::EMPTY, |all, kind| all.union(rung.allowed(kind)))
}

/// Whether a plain walk is left anywhere.
pub fn walks_plainly(document: &Document) -> bool {
    let tune = document.line.walk;
    let plain = |walk: Option<Walk>| walk.unwrap_or(tune) == Walk::Plain;
    document.bars().any(|bar| plain(bar.line.walk))
}

/// The rules that the written line asks for in some bar; none where nobody writes one.
pub fn rules(document: &Document) -> RuleSet {
    if !session::line_is_written(document) {
        return RuleSet::EMPTY;
    }
    let tune = document.line.walk;
    let walks = document.bars().map(|bar| bar.line.walk.unwrap_or(tune));
    let asked = walks.flat_map(|walk| session::rung_of(walk).rules().iter());
    asked.fold(RuleSet::EMPTY, RuleSet::with)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::ThumbMove;

    /// `document::Walk`: runs have scale steps, two approaches have none; the mixed walk has every
    /// device. A plain walk plays roots and approaches.
    #[test]
    fn a_walk_has_the_moves_that_its_name_says() {
        assert_eq!(MoveSet::STEPS.and(moves(Walk::Runs)), MoveSet::STEPS);
        assert!(moves(Walk::TwoApproaches).has(ThumbMove::ApproachBelow));
        assert_eq!(moves(Walk::Plain).len(), 3);
        assert_eq!(MoveSet::ALL.minus(moves(Walk::Mixed)).len(), 1, "the rest");
    }
}
