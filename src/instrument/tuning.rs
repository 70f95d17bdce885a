//! Tunings and the instrument as built: open strings, capo, scale length, frets, string spread.

use super::grip::MAX_STRINGS;
use super::grip::StringIdx;
use crate::theory::Midi;

/// Open strings, lowest-pitched place first (string 6 before string 1).
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Tuning {
    name: String,
    open: Vec<Midi>,
}

impl Tuning {
    /// A tuning with a name; `None` unless it has 4 to 8 strings.
    #[must_use]
    pub fn new(name: &str, open: &[Midi]) -> Option<Self> {
        let fits = (4..=MAX_STRINGS).contains(&open.len());
        fits.then(|| Self {
            name: name.into(),
            open: open.into(),
        })
    }

    /// E A D G B E, the standard tuning (MIDI 40 45 50 55 59 64).
    #[must_use]
    pub fn standard() -> Self {
        let open = [40, 45, 50, 55, 59, 64].map(Midi::clamped).into();
        Self {
            name: "standard".into(),
            open,
        }
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Open strings, lowest-pitched place first.
    #[must_use]
    pub fn open(&self) -> &[Midi] {
        &self.open
    }

    /// How many strings.
    #[must_use]
    pub fn n_strings(&self) -> u8 {
        u8::try_from(self.open.len()).unwrap_or(u8::MAX)
    }
}

/// The set of strings, which decides spread, sound and what the sheet says.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum StringSet {
    /// Nylon: outer strings 43 mm apart at the nut, 58 mm at the saddle.
    #[default]
    Nylon,
    /// Steel: 36 mm and 56 mm.
    Steel,
}

/// The instrument as built and set up. Frets count from the capo; geometry from the real nut.
#[derive(Clone, PartialEq, Debug)]
pub struct Instrument {
    /// Open strings.
    pub tuning: Tuning,
    /// The fret the capo sits on; 0 is none.
    pub capo: u8,
    /// Frets on the neck, counted from the nut.
    pub frets: u8,
    /// Scale length in millimetres.
    pub scale_mm: f64,
    /// The set of strings.
    pub strings: StringSet,
    /// Whether views are mirrored for a left-handed player.
    pub left_handed: bool,
}

impl Default for Instrument {
    fn default() -> Self {
        Self {
            tuning: Tuning::standard(),
            capo: 0,
            frets: 20,
            scale_mm: 648.0,
            strings: StringSet::Nylon,
            left_handed: false,
        }
    }
}

impl Instrument {
    /// How many strings.
    #[must_use]
    pub fn n_strings(&self) -> u8 {
        self.tuning.n_strings()
    }

    /// The highest fret that can be played, counted from the capo.
    #[must_use]
    pub const fn last_fret(&self) -> u8 {
        self.frets.saturating_sub(self.capo)
    }

    /// What sounds at a fret (counted from the capo) of a string; `None` off the instrument.
    #[must_use]
    pub fn pitch(&self, string: StringIdx, fret: u8) -> Option<Midi> {
        if fret > self.last_fret() {
            return None;
        }
        let open = self.tuning.open().get(string.idx())?;
        open.up(i32::from(fret) + i32::from(self.capo))
    }
}
