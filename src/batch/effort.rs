//! Effort as JSON: the total and every term that is not zero, in whole thousandths of a point.
//! Integers, so that another program can add them up and get exactly our sums.

use crate::instrument::Effort;
use serde::Serialize;
use serde::Serializer;
use serde::ser::SerializeMap as _;

/// `{"total": 3200, "stretch": 1200, "little_finger": 2000}`
pub struct EffortJson<'a>(pub &'a Effort);

impl Serialize for EffortJson<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let terms = self.0.terms();
        let mut map = serializer.serialize_map(Some(terms.len() + 1))?;
        map.serialize_entry("total", &self.0.total().0)?;
        for (term, cost) in terms {
            map.serialize_entry(&term.word().replace(' ', "_"), &cost.0)?;
        }
        map.end()
    }
}
