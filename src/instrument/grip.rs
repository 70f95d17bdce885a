//! Shapes and grips. A shape says which strings sound at which frets; a grip adds the left-hand
//! finger for each. Strings are indexed from the lowest-numbered place of a written shape
//! (`3x443x`: index 0 is the lowest-pitched string), and named from 1 = highest as players do.

use std::fmt;

/// The most strings an instrument can have here.
pub const MAX_STRINGS: usize = 8;

/// A string by its place in a written shape: 0 is the lowest-pitched one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct StringIdx(pub u8);

impl StringIdx {
    /// The player's number, 1 = highest-pitched.
    #[must_use]
    pub const fn number(self, n_strings: u8) -> u8 {
        n_strings.saturating_sub(self.0)
    }

    /// The string with a player's number; `None` if the instrument has no such string.
    #[must_use]
    pub const fn from_number(number: u8, n_strings: u8) -> Option<Self> {
        if number >= 1 && number <= n_strings {
            Some(Self(n_strings - number))
        } else {
            None
        }
    }

    /// For indexing arrays.
    #[must_use]
    pub const fn idx(self) -> usize {
        self.0 as usize
    }
}

/// A left-hand finger.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Finger {
    /// The thumb, over the edge of the neck.
    Thumb,
    /// 1
    Index,
    /// 2
    Middle,
    /// 3
    Ring,
    /// 4
    Little,
}

impl Finger {
    /// The four fingers that lie on the board, index first.
    pub const FOUR: [Self; 4] = [Self::Index, Self::Middle, Self::Ring, Self::Little];

    /// `1` to `4`, `T` for the thumb.
    #[must_use]
    pub const fn digit(self) -> char {
        match self {
            Self::Thumb => 'T',
            Self::Index => '1',
            Self::Middle => '2',
            Self::Ring => '3',
            Self::Little => '4',
        }
    }

    /// The finger with this [`digit`](Self::digit).
    #[must_use]
    pub fn from_digit(digit: char) -> Option<Self> {
        [
            Self::Thumb,
            Self::Index,
            Self::Middle,
            Self::Ring,
            Self::Little,
        ]
        .into_iter()
        .find(|finger| finger.digit() == digit)
    }
}

/// Which strings sound at which frets. Frets count from the capo; 0 is the open string.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Shape {
    n_strings: u8,
    frets: [Option<u8>; MAX_STRINGS],
}

impl Shape {
    /// No string sounding, on an instrument with so many strings (at most [`MAX_STRINGS`]).
    #[must_use]
    pub fn silent(n_strings: u8) -> Self {
        let most = u8::try_from(MAX_STRINGS).unwrap_or(u8::MAX);
        Self {
            n_strings: n_strings.min(most),
            frets: [None; MAX_STRINGS],
        }
    }

    /// The same shape with one string changed; out of range changes nothing.
    #[must_use]
    pub fn with(mut self, string: StringIdx, fret: Option<u8>) -> Self {
        if string.0 < self.n_strings
            && let Some(place) = self.frets.get_mut(string.idx())
        {
            *place = fret;
        }
        self
    }

    /// Strings on the instrument.
    #[must_use]
    pub const fn n_strings(&self) -> u8 {
        self.n_strings
    }

    /// The fret on a string; `None` if it does not sound.
    #[must_use]
    pub fn fret(&self, string: StringIdx) -> Option<u8> {
        self.frets.get(string.idx()).copied().flatten()
    }

    /// One entry per string, lowest-pitched first.
    #[must_use]
    pub fn frets(&self) -> &[Option<u8>] {
        self.frets
            .get(..usize::from(self.n_strings))
            .unwrap_or(&self.frets)
    }

    /// Sounding strings with their frets, lowest-pitched string first.
    pub fn sounding(&self) -> impl Iterator<Item = (StringIdx, u8)> + '_ {
        (0u8..)
            .zip(self.frets())
            .filter_map(|(s, fret)| fret.map(|f| (StringIdx(s), f)))
    }

    /// Reads `3x443x`, or `10-x-9-9-11-x` where frets have two digits; `None` if it is no shape.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let parts: Vec<String> = if text.contains('-') || text.contains(' ') {
            text.split(['-', ' ']).map(str::to_owned).collect()
        } else {
            text.chars().map(String::from).collect()
        };
        if parts.is_empty() || parts.len() > MAX_STRINGS {
            return None;
        }
        let mut shape = Self::silent(u8::try_from(parts.len()).ok()?);
        for (s, part) in (0u8..).zip(&parts) {
            let fret = match part.as_str() {
                "x" | "X" => None,
                digits => Some(digits.parse::<u8>().ok().filter(|f| *f <= 36)?),
            };
            shape = shape.with(StringIdx(s), fret);
        }
        Some(shape)
    }
}

/// `3x443x`; with hyphens where a fret has two digits.
impl fmt::Display for Shape {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let wide = self.frets().iter().flatten().any(|fret| *fret > 9);
        for (i, fret) in self.frets().iter().enumerate() {
            if wide && i > 0 {
                f.write_str("-")?;
            }
            match fret {
                Some(fret) => write!(f, "{fret}")?,
                None => f.write_str("x")?,
            }
        }
        Ok(())
    }
}

/// A shape with the finger that holds each fretted string; open strings have none.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Grip {
    /// Which strings sound where.
    pub shape: Shape,
    fingers: [Option<Finger>; MAX_STRINGS],
}

impl Grip {
    /// A shape with no finger named yet.
    #[must_use]
    pub const fn unfingered(shape: Shape) -> Self {
        Self {
            shape,
            fingers: [None; MAX_STRINGS],
        }
    }

    /// The same grip with the finger of one string set; out of range changes nothing.
    #[must_use]
    pub fn with_finger(mut self, string: StringIdx, finger: Option<Finger>) -> Self {
        if string.0 < self.shape.n_strings
            && let Some(place) = self.fingers.get_mut(string.idx())
        {
            *place = finger;
        }
        self
    }

    /// The finger on a string, if it is fretted.
    #[must_use]
    pub fn finger(&self, string: StringIdx) -> Option<Finger> {
        self.fingers.get(string.idx()).copied().flatten()
    }

    /// Fretted strings: string, fret, finger; lowest-pitched string first.
    pub fn held(&self) -> impl Iterator<Item = (StringIdx, u8, Finger)> + '_ {
        self.shape
            .sounding()
            .filter_map(|(s, fret)| self.finger(s).map(|finger| (s, fret, finger)))
    }

    /// The fret and the lowest- and highest-pitched strings a finger holds, if it is in use.
    #[must_use]
    pub fn place_of(&self, finger: Finger) -> Option<(u8, StringIdx, StringIdx)> {
        let mut found = None;
        for (string, fret, holder) in self.held() {
            if holder == finger {
                let first = found.map_or(string, |(_, first, _)| first);
                found = Some((fret, first, string));
            }
        }
        found
    }

    /// Finger digits in the shape's order: `1x342x`; open strings are `0`.
    #[must_use]
    pub fn finger_text(&self) -> String {
        (0u8..)
            .zip(self.shape.frets())
            .map(|(s, fret)| match (fret, self.finger(StringIdx(s))) {
                (None, _) => 'x',
                (Some(_), Some(finger)) => finger.digit(),
                (Some(_), None) => '0',
            })
            .collect()
    }
}
