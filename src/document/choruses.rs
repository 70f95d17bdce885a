//! How often the tune is played through, each time over the same chart with a thumb line of its own.
//! What is decided in the document holds in every chorus; what is left to the dice falls anew.

use super::types::Document;

/// The most choruses a tune is played.
pub const MAX_CHORUSES: u8 = 12;

/// How often the tune is played, and which time the sheet shows.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Choruses {
    /// Times it is played through, 1 to [`MAX_CHORUSES`].
    pub count: u8,
    /// The chorus on the sheet, from 1; beyond the last one, the first.
    pub on_sheet: u8,
}

impl Default for Choruses {
    fn default() -> Self {
        Self {
            count: 1,
            on_sheet: 1,
        }
    }
}

impl Choruses {
    /// The chorus on the sheet, from 1: the first if there is none of that number.
    #[must_use]
    pub const fn shown(self) -> u8 {
        if self.on_sheet >= 1 && self.on_sheet <= self.count {
            self.on_sheet
        } else {
            1
        }
    }
}

impl Document {
    /// The tune as it is in a chorus and what follows it, from 0: its seed is as many more than the
    /// document's. Chorus 0 is the document itself, without kept versions.
    #[must_use]
    pub fn chorus(&self, number: u8) -> Self {
        let mut chorus = Self {
            versions: Vec::new(),
            ..self.clone()
        };
        chorus.line.seed = self.line.seed.wrapping_add(number.into());
        chorus.choruses.count = self.choruses.count.saturating_sub(number).max(1);
        chorus
    }
}
