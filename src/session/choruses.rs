//! A document arranged with all its choruses: the first as the document stands, every further one
//! with the line of its own seed. Each is the optimum after the one before it, from whose last note and
//! last grip it goes on. What is wrong in a further chorus is told with its number.

use super::problem::ChorusEnd;
use super::problem::problem_after;
use super::problem::problem_from_document;
use crate::arrange::Arrangement;
use crate::arrange::Arranger;
use crate::arrange::Finding;
use crate::arrange::Progress;
use crate::document::Document;

/// The best arrangement of a document, all choruses of it, from nothing.
#[must_use]
pub fn arrange_document(document: &Document) -> Arrangement {
    let mut go_on = |_| true;
    let first = Arranger::default().solve(&problem_from_document(document), &mut go_on);
    let first = first.unwrap_or_default();
    with_choruses(document, first, &mut Vec::new(), &mut go_on).unwrap_or_default()
}

/// An arrangement with the further choruses of its document. `arrangers` are those of the choruses
/// after the first, kept from the last time. `None` if it was told to stop.
pub fn with_choruses(
    document: &Document,
    mut first: Arrangement,
    arrangers: &mut Vec<Arranger>,
    keep_going: &mut dyn FnMut(Progress) -> bool,
) -> Option<Arrangement> {
    let n_further = usize::from(document.choruses.count.saturating_sub(1));
    arrangers.resize_with(n_further, Arranger::default);
    if n_further == 0 {
        return Some(first);
    }
    let (mut problem, mut leads_to) = problem_after(document, ChorusEnd::default());
    let mut further: Vec<Arrangement> = Vec::with_capacity(n_further);
    for (number, arranger) in (1..).zip(arrangers.iter_mut()) {
        let last = further.last().unwrap_or(&first);
        let before = ChorusEnd {
            hand: last.end,
            leads_to,
        };
        let next = problem_after(&document.chorus(number), before);
        leads_to = next.1;
        let chorus = if next.0 == problem {
            // Nothing varies: this chorus is the one before again.
            last.clone()
        } else {
            arranger.solve(&next.0, keep_going)?
        };
        problem = next.0;
        let faults = chorus.findings.iter().filter(|f| f.kind.is_fault());
        let news = faults.filter(|f| !first.findings.contains(f));
        let told = news.map(|finding| Finding {
            message: format!("chorus {}: {}", number + 1, finding.message),
            ..finding.clone()
        });
        let told: Vec<Finding> = told.collect();
        first.findings.extend(told);
        further.push(chorus);
    }
    first.findings.sort_by_key(|finding| finding.place);
    first.further = further;
    Some(first)
}
