//! Tunings and the instrument as built: open strings, capo, scale length, frets, string spread.
//! Known tunings are one table; any other is read from its open strings as text, with or without
//! octave numbers. Never guesses silently: a text that is no tuning is refused with a reason.

use super::fretboard::MAX_FRET;
use super::grip::MAX_STRINGS;
use super::grip::StringIdx;
use crate::theory::Letter;
use crate::theory::Midi;
use crate::theory::Spelling;

/// Known tunings: name, and open strings from the lowest-pitched place (common practice). The
/// seventh string of a jazz seven-string is an A below the sixth (the older custom, an octave
/// below the fifth string); the B of rock players is offered beside it.
const KNOWN: &[(&str, &[u8])] = &[
    ("standard", &[40, 45, 50, 55, 59, 64]),
    ("drop D", &[38, 45, 50, 55, 59, 64]),
    ("D modal", &[38, 45, 50, 55, 57, 62]),
    ("open G", &[38, 43, 50, 55, 59, 62]),
    ("half step down", &[39, 44, 49, 54, 58, 63]),
    ("seven-string A", &[33, 40, 45, 50, 55, 59, 64]),
    ("seven-string B", &[35, 40, 45, 50, 55, 59, 64]),
];

/// Other ways to write a known tuning's name.
const ALIASES: &[(&str, &str)] = &[
    ("7-string", "seven-string A"),
    ("seven-string", "seven-string A"),
    ("7-string A", "seven-string A"),
    ("7-string B", "seven-string B"),
    ("DADGAD", "D modal"),
];

/// Where open strings lie when no octave is given: each takes the octave nearest to these, which
/// end at the first string (the standard tuning, continued downwards in fourths).
const NEAREST_TO: [u8; MAX_STRINGS] = [30, 35, 40, 45, 50, 55, 59, 64];

/// Open strings outside these pitches are refused (C1 to E5).
const OPEN_RANGE: (u8, u8) = (24, 76);

/// Why a text is no tuning.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum TuningError {
    /// A part of the text is no note.
    #[error(
        "`{0}` is no note; write open strings from the lowest, such as D A D G B E or D2 A2 D3 G3 B3 E4"
    )]
    NotANote(String),
    /// Too few or too many strings.
    #[error("{0} open strings given; an instrument has 4 to 8")]
    StringCount(usize),
    /// A string that no guitar has.
    #[error("{0} is outside the range of open strings, C1 to E5")]
    OutOfRange(String),
}

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

    /// All known tunings, the standard one first.
    #[must_use]
    pub fn known() -> Vec<Self> {
        let tuning = |(name, open): &(&str, &[u8])| Self {
            name: (*name).into(),
            open: open.iter().map(|n| Midi::clamped(i32::from(*n))).collect(),
        };
        KNOWN.iter().map(tuning).collect()
    }

    /// A known tuning by name; capitals, spaces and hyphens don't matter.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let wanted = plain(name);
        let alias = ALIASES.iter().find(|(other, _)| plain(other) == wanted);
        let wanted = alias.map_or(wanted, |(_, name)| plain(name));
        Self::known().into_iter().find(|t| plain(&t.name) == wanted)
    }

    /// A known tuning's name, or open strings from the lowest-pitched place: `D A D G B E` (each
    /// in the octave nearest to the usual one) or `D2 A2 D3 G3 B3 E4`.
    ///
    /// # Errors
    /// Names the part that is no note, a number of strings other than 4 to 8, or a string out of
    /// range.
    pub fn parse(text: &str) -> Result<Self, TuningError> {
        if let Some(known) = Self::named(text) {
            return Ok(known);
        }
        let notes = split_notes(text);
        let n = notes.len();
        if notes.is_empty() || notes.iter().any(|note| open_string(note, 40).is_none()) {
            let wrong = notes
                .into_iter()
                .find(|note| open_string(note, 40).is_none());
            return Err(TuningError::NotANote(wrong.unwrap_or_default()));
        }
        if !(4..=MAX_STRINGS).contains(&n) {
            return Err(TuningError::StringCount(n));
        }
        let mut open = Vec::with_capacity(n);
        for (note, near) in notes.iter().zip(NEAREST_TO.iter().skip(MAX_STRINGS - n)) {
            let pitch = open_string(note, i32::from(*near))
                .filter(|p| (i32::from(OPEN_RANGE.0)..=i32::from(OPEN_RANGE.1)).contains(p))
                .ok_or_else(|| TuningError::OutOfRange(note.clone()))?;
            open.push(Midi::clamped(pitch));
        }
        let same = Self::known().into_iter().find(|t| t.open == open);
        Ok(same.unwrap_or_else(|| Self {
            name: notes.join(" "),
            open,
        }))
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The same strings under a name. Known tunings keep theirs, and without a name the strings are
    /// its name.
    #[must_use]
    pub fn called(self, name: &str) -> Self {
        let is_known = Self::known().iter().any(|known| known.open == self.open);
        let name = name.trim();
        if is_known || name.is_empty() {
            return self;
        }
        Self {
            name: name.into(),
            ..self
        }
    }

    /// Its open strings as notes with octaves, lowest-pitched place first: `E2 A2 D3 G3 B3 E4`.
    #[must_use]
    pub fn notes(&self) -> String {
        let notes: Vec<String> = self.open.iter().map(|pitch| pitch.text()).collect();
        notes.join(" ")
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

/// Letters and digits only, in lower case.
fn plain(name: &str) -> String {
    let name = name.chars().filter(|c| c.is_alphanumeric());
    name.flat_map(char::to_lowercase).collect()
}

/// Notes of a text: parts between spaces, commas or hyphens; a single part is cut before every
/// letter that starts a note, so that `DADGBE` can be written as one word.
fn split_notes(text: &str) -> Vec<String> {
    let text = text.replace('♭', "b").replace('♯', "#");
    let parts: Vec<&str> = text
        .split([' ', ',', '-', '\t'])
        .filter(|part| !part.is_empty())
        .collect();
    let [word] = parts.as_slice() else {
        return parts.into_iter().map(String::from).collect();
    };
    let mut notes: Vec<String> = Vec::new();
    for c in word.chars() {
        match notes.last_mut() {
            Some(note) if !c.is_ascii_uppercase() => note.push(c),
            _ => notes.push(c.into()),
        }
    }
    notes
}

/// The MIDI number of a note's text; without an octave number, the one nearest to `near` (the
/// lower of two equally near).
fn open_string(note: &str, near: i32) -> Option<i32> {
    let mut chars = note.chars();
    let letter = Letter::from_char(chars.next()?.to_ascii_uppercase())?;
    let rest = chars.as_str();
    let octave = rest.trim_start_matches(['b', '#']);
    let signs = rest.get(..rest.len() - octave.len())?;
    let sharps = signs.matches('#').count();
    let flats = signs.matches('b').count();
    if sharps > 0 && flats > 0 || signs.len() > 2 {
        return None;
    }
    let alter = i8::try_from(sharps).ok()? - i8::try_from(flats).ok()?;
    let in_octave = letter.semitones() + i32::from(alter);
    if octave.is_empty() {
        let pc = Spelling::new(letter, alter).pitch_class();
        let up = i32::from(Midi::clamped(near).pitch_class().semitones_up_to(pc));
        return Some(near + if up >= 6 { up - 12 } else { up });
    }
    let octave = octave.parse::<u8>().ok().filter(|o| *o <= 9)?;
    Some(in_octave + 12 * (i32::from(octave) + 1))
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

/// Why an instrument's figures can't be.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum InstrumentError {
    /// Too short or too long, or no number.
    #[error("a scale length of {0} mm is not between 300 and 900")]
    Scale(f64),
    /// Too few or too many frets.
    #[error("{0} frets are not between 7 and {MAX_FRET}")]
    Frets(u8),
    /// The capo leaves too little of the neck.
    #[error("a capo at fret {capo} leaves fewer than 5 of {frets} frets")]
    Capo {
        /// Where it sits.
        capo: u8,
        /// Frets on the neck.
        frets: u8,
    },
}

impl Instrument {
    /// Checks the figures: scale 300 to 900 mm, 7 to [`MAX_FRET`] frets, five frets above the
    /// capo.
    ///
    /// # Errors
    /// Names the first figure that can't be.
    pub fn check(&self) -> Result<(), InstrumentError> {
        if !(300.0..=900.0).contains(&self.scale_mm) {
            return Err(InstrumentError::Scale(self.scale_mm));
        }
        if !(7..=MAX_FRET).contains(&self.frets) {
            return Err(InstrumentError::Frets(self.frets));
        }
        if self.last_fret() < 5 {
            return Err(InstrumentError::Capo {
                capo: self.capo,
                frets: self.frets,
            });
        }
        Ok(())
    }

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

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(tuning: &Tuning) -> Vec<u8> {
        tuning.open().iter().map(|m| m.number()).collect()
    }

    /// Open strings as MIDI numbers; common practice for each tuning. (The last row but one shows
    /// the rule for notes without octaves: the octave nearest to D3 G3 B3 E4.)
    #[test]
    fn tunings_are_read_by_name_and_by_their_strings() {
        let rows: &[(&str, &str, &[u8])] = &[
            ("standard", "standard", &[40, 45, 50, 55, 59, 64]),
            ("E A D G B E", "standard", &[40, 45, 50, 55, 59, 64]),
            ("Drop-D", "drop D", &[38, 45, 50, 55, 59, 64]),
            ("D A D G B E", "drop D", &[38, 45, 50, 55, 59, 64]),
            ("DADGBE", "drop D", &[38, 45, 50, 55, 59, 64]),
            ("D2 A2 D3 G3 A3 D4", "D modal", &[38, 45, 50, 55, 57, 62]),
            ("dadgad", "D modal", &[38, 45, 50, 55, 57, 62]),
            ("D G D G B D", "open G", &[38, 43, 50, 55, 59, 62]),
            (
                "Eb Ab Db Gb Bb Eb",
                "half step down",
                &[39, 44, 49, 54, 58, 63],
            ),
            ("7-string", "seven-string A", &[33, 40, 45, 50, 55, 59, 64]),
            (
                "B E A D G B E",
                "seven-string B",
                &[35, 40, 45, 50, 55, 59, 64],
            ),
            ("C G D A", "C G D A", &[48, 55, 62, 69]),
            (
                "C3 G2 C3 E3 G3 C4",
                "C3 G2 C3 E3 G3 C4",
                &[48, 43, 48, 52, 55, 60],
            ),
        ];
        for (text, name, open) in rows {
            let tuning = Tuning::parse(text);
            let tuning = tuning.map(|t| (t.name().to_owned(), numbers(&t)));
            assert_eq!(tuning, Ok(((*name).to_owned(), open.to_vec())), "{text}");
        }
    }

    #[test]
    fn own_tunings_have_own_names_and_known_ones_keep_theirs() {
        let own = |text: &str, name: &str| {
            let tuning = Tuning::parse(text).map(|tuning| tuning.called(name));
            tuning.map(|t| (t.name().to_owned(), t.notes()))
        };
        let told = |name: &str, notes: &str| Ok((name.to_owned(), notes.to_owned()));
        let notes = "C2 G2 D3 G3 B3 E4";
        assert_eq!(own("C G D G B E", " Low C "), told("Low C", notes));
        assert_eq!(own("C2 G2 D3 G3 B3 E4", ""), told(notes, notes));
        let dropped = "D2 A2 D3 G3 B3 E4";
        assert_eq!(own(dropped, "Mine"), told("drop D", dropped));
    }

    #[test]
    fn what_is_no_tuning_is_refused_with_a_reason() {
        let rows = [
            ("", "`` is no note"),
            ("E A D", "3 open strings given"),
            ("E A H G B E", "`H` is no note"),
            ("E A D G B E4x", "`E4x` is no note"),
            ("E0 A D G B E", "E0 is outside"),
            ("E A D G B E E A D", "9 open strings given"),
        ];
        for (text, start) in rows {
            let message = Tuning::parse(text).map_err(|e| e.to_string());
            assert!(
                message.as_ref().is_err_and(|m| m.starts_with(start)),
                "{text}: {message:?}"
            );
        }
    }

    #[test]
    fn figures_that_no_guitar_has_are_refused() {
        let plain = Instrument::default();
        assert_eq!(plain.check(), Ok(()));
        let wrong = [
            Instrument {
                scale_mm: f64::NAN,
                ..plain.clone()
            },
            Instrument {
                scale_mm: 20.0,
                ..plain.clone()
            },
            Instrument {
                frets: 200,
                ..plain.clone()
            },
            Instrument { capo: 18, ..plain },
        ];
        for instrument in wrong {
            assert!(instrument.check().is_err(), "{instrument:?}");
        }
    }
}
