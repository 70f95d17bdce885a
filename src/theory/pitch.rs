//! Notes: pitch classes, sounding pitches and their spelling. A pitch is a MIDI number (A4 = 69),
//! a spelling is a letter with sharps or flats; the two meet only where a chord or a key says how
//! a pitch is to be written. Never guesses a spelling by itself.

use std::fmt;

/// One of the twelve pitch classes, C = 0.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PitchClass(u8);

impl PitchClass {
    /// The pitch class so many semitones above C; any integer is folded into the octave.
    #[must_use]
    pub const fn new(semitones: i32) -> Self {
        Self(semitones.rem_euclid(12) as u8)
    }

    /// 0 to 11, C = 0.
    #[must_use]
    pub const fn number(self) -> u8 {
        self.0
    }

    /// The pitch class so many semitones higher (or lower, if negative).
    #[must_use]
    pub const fn up(self, semitones: i32) -> Self {
        Self::new(self.0 as i32 + semitones)
    }

    /// Semitones upwards from here to `other`, 0 to 11.
    #[must_use]
    pub const fn semitones_up_to(self, other: Self) -> u8 {
        (other.0 + 12 - self.0) % 12
    }
}

/// A set of pitch classes as twelve bits.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct PcSet(u16);

impl PcSet {
    /// The empty set.
    pub const EMPTY: Self = Self(0);

    /// This set with one more member.
    #[must_use]
    pub const fn with(self, pc: PitchClass) -> Self {
        Self(self.0 | 1 << pc.0)
    }

    /// Whether the pitch class is a member.
    #[must_use]
    pub const fn contains(self, pc: PitchClass) -> bool {
        self.0 & (1 << pc.0) != 0
    }

    /// Whether every member of this set is a member of `other`.
    #[must_use]
    pub const fn is_subset_of(self, other: Self) -> bool {
        self.0 & !other.0 == 0
    }

    /// Members of either set.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Members of this set that are not in `other`.
    #[must_use]
    pub const fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// How many members.
    #[must_use]
    pub const fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Whether there is no member.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Members from C upwards.
    pub fn iter(self) -> impl Iterator<Item = PitchClass> {
        (0..12)
            .map(PitchClass::new)
            .filter(move |pc| self.contains(*pc))
    }
}

impl FromIterator<PitchClass> for PcSet {
    fn from_iter<I: IntoIterator<Item = PitchClass>>(items: I) -> Self {
        items.into_iter().fold(Self::EMPTY, Self::with)
    }
}

/// A sounding pitch as a MIDI key number, 0 to 127; 69 is A4 = 440 Hz (ISO 16).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Midi(u8);

impl Midi {
    /// The pitch with this key number; `None` above 127.
    #[must_use]
    pub const fn new(number: u8) -> Option<Self> {
        if number < 128 {
            Some(Self(number))
        } else {
            None
        }
    }

    /// The pitch with this key number, brought into 0 to 127. For constants and sums that cannot
    /// leave the range.
    #[must_use]
    pub const fn clamped(number: i32) -> Self {
        if number < 0 {
            Self(0)
        } else if number > 127 {
            Self(127)
        } else {
            Self(number as u8)
        }
    }

    /// Key number, 0 to 127.
    #[must_use]
    pub const fn number(self) -> u8 {
        self.0
    }

    /// The pitch class.
    #[must_use]
    pub const fn pitch_class(self) -> PitchClass {
        PitchClass::new(self.0 as i32)
    }

    /// So many semitones higher; `None` outside 0 to 127.
    #[must_use]
    pub fn up(self, semitones: i32) -> Option<Self> {
        u8::try_from(i32::from(self.0) + semitones)
            .ok()
            .and_then(Self::new)
    }

    /// As a note with its octave (middle C is C4), sharps for the black keys: `E2`, `F#3`.
    #[must_use]
    pub fn text(self) -> String {
        let number = i32::from(self.0);
        let natural = |letter: &Letter| letter.semitones() == number % 12;
        let octave = number / 12 - 1;
        match Letter::ALL.iter().find(|l| natural(l)) {
            Some(letter) => format!("{}{octave}", letter.to_char()),
            None => {
                let below = |letter: &&Letter| letter.semitones() + 1 == number % 12;
                let letter = Letter::ALL.iter().find(below).copied();
                format!("{}#{octave}", letter.unwrap_or(Letter::C).to_char())
            }
        }
    }

    /// The pitch of a note with its octave, such as `E2`, `F#3` or `Bb1`.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        let mut chars = text.trim().chars();
        let letter = Letter::from_char(chars.next()?)?;
        let rest = chars.as_str();
        let (alter, octave) = match rest.as_bytes().first()? {
            b'#' => (1, rest.get(1..)?),
            b'b' => (-1, rest.get(1..)?),
            _ => (0, rest),
        };
        let octave: i32 = octave.parse().ok().filter(|o| (-1..=9).contains(o))?;
        u8::try_from((octave + 1) * 12 + letter.semitones() + alter)
            .ok()
            .and_then(Self::new)
    }

    /// Frequency in hertz in equal temperament: 440 · 2^((n − 69)/12) (ISO 16:1975 for A4).
    #[must_use]
    pub fn frequency_hz(self) -> f64 {
        440.0 * f64::powf(2.0, (f64::from(self.0) - 69.0) / 12.0)
    }
}

/// A note letter.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Letter {
    /// C
    C,
    /// D
    D,
    /// E
    E,
    /// F
    F,
    /// G
    G,
    /// A
    A,
    /// B
    B,
}

impl Letter {
    /// All letters from C upwards.
    pub const ALL: [Self; 7] = [
        Self::C,
        Self::D,
        Self::E,
        Self::F,
        Self::G,
        Self::A,
        Self::B,
    ];

    /// All letters in the order of the circle of fifths, which is the order of sharps.
    pub const BY_FIFTHS: [Self; 7] = [
        Self::F,
        Self::C,
        Self::G,
        Self::D,
        Self::A,
        Self::E,
        Self::B,
    ];

    /// Its place in [`BY_FIFTHS`](Self::BY_FIFTHS), from 0.
    #[must_use]
    pub const fn fifths(self) -> i32 {
        match self {
            Self::F => 0,
            Self::C => 1,
            Self::G => 2,
            Self::D => 3,
            Self::A => 4,
            Self::E => 5,
            Self::B => 6,
        }
    }

    /// The letter of an upper-case character A to G.
    #[must_use]
    pub fn from_char(c: char) -> Option<Self> {
        Self::ALL.into_iter().find(|letter| letter.to_char() == c)
    }

    /// The letter as an upper-case character.
    #[must_use]
    pub const fn to_char(self) -> char {
        match self {
            Self::C => 'C',
            Self::D => 'D',
            Self::E => 'E',
            Self::F => 'F',
            Self::G => 'G',
            Self::A => 'A',
            Self::B => 'B',
        }
    }

    /// Semitones of the natural note above C.
    #[must_use]
    pub const fn semitones(self) -> i32 {
        match self {
            Self::C => 0,
            Self::D => 2,
            Self::E => 4,
            Self::F => 5,
            Self::G => 7,
            Self::A => 9,
            Self::B => 11,
        }
    }

    /// The letter so many steps up the alphabet (A follows G).
    #[must_use]
    pub fn up(self, steps: i32) -> Self {
        let index = (self as i32 + steps).rem_euclid(7);
        usize::try_from(index)
            .ok()
            .and_then(|i| Self::ALL.get(i))
            .copied()
            .unwrap_or(self)
    }
}

/// A spelled note without an octave: a letter and −3 to 3 semitones of alteration.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Spelling {
    letter: Letter,
    alter: i8,
}

impl Spelling {
    /// A letter with flats (negative) or sharps (positive); beyond ±3 it is limited to ±3.
    #[must_use]
    pub const fn new(letter: Letter, alter: i8) -> Self {
        let alter = if alter < -3 {
            -3
        } else if alter > 3 {
            3
        } else {
            alter
        };
        Self { letter, alter }
    }

    /// The letter.
    #[must_use]
    pub const fn letter(self) -> Letter {
        self.letter
    }

    /// Semitones of alteration, flats negative.
    #[must_use]
    pub const fn alter(self) -> i8 {
        self.alter
    }

    /// The pitch class it sounds.
    #[must_use]
    pub const fn pitch_class(self) -> PitchClass {
        PitchClass::new(self.letter.semitones() + self.alter as i32)
    }

    /// The octave of a pitch that is spelled so, C4 being the middle C: that of its letter, so that
    /// B♯3 sounds as C4.
    #[must_use]
    pub const fn octave_of(self, pitch: Midi) -> i32 {
        let natural = pitch.number() as i32 - self.alter as i32;
        (natural - self.letter.semitones()).div_euclid(12) - 1
    }

    /// The pitch that is spelled so in an octave; `None` beyond the range of MIDI.
    #[must_use]
    pub fn in_octave(self, octave: i32) -> Option<Midi> {
        let number = (octave + 1) * 12 + self.letter.semitones() + i32::from(self.alter);
        u8::try_from(number).ok().and_then(Midi::new)
    }

    /// Spells `pc` with this letter; `None` if that needs more than three accidentals.
    #[must_use]
    pub fn with_letter(letter: Letter, pc: PitchClass) -> Option<Self> {
        let natural = PitchClass::new(letter.semitones());
        let up = i8::try_from(natural.semitones_up_to(pc)).ok()?;
        let alter = if up > 6 { up - 12 } else { up };
        (alter.abs() <= 3).then_some(Self { letter, alter })
    }

    /// With the signs ♭ and ♯, for screens and sheets.
    #[must_use]
    pub fn pretty(self) -> String {
        self.written('♭', '♯')
    }

    fn written(self, flat: char, sharp: char) -> String {
        let sign = if self.alter < 0 { flat } else { sharp };
        let mut text = String::from(self.letter.to_char());
        text.extend(std::iter::repeat_n(
            sign,
            usize::from(self.alter.unsigned_abs()),
        ));
        text
    }
}

/// ASCII, as typed: `Eb`, `F#`.
impl fmt::Display for Spelling {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.written('b', '#'))
    }
}
