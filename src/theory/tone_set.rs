//! The nineteen tones a chord symbol can ask for, as a set of bits with a second bit for
//! "essential". It is the one meaning behind every spelling of a chord: two symbols are the same
//! chord if root, bass and this set are equal. Never knows a root or a text.

use super::degree::Degree;

/// A tone of a chord, in the order of its degree.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Tone {
    /// 1
    Root,
    /// 2, in place of the third
    Second,
    /// ♭3
    MinorThird,
    /// 3
    Third,
    /// 4, in place of the third
    Fourth,
    /// ♭5
    FlatFifth,
    /// 5
    Fifth,
    /// ♯5
    SharpFifth,
    /// 6, where there is no seventh
    Sixth,
    /// 𝄫7
    DimSeventh,
    /// ♭7
    MinorSeventh,
    /// 7
    MajorSeventh,
    /// ♭9
    FlatNinth,
    /// 9
    Ninth,
    /// ♯9
    SharpNinth,
    /// 11
    Eleventh,
    /// ♯11
    SharpEleventh,
    /// ♭13
    FlatThirteenth,
    /// 13
    Thirteenth,
}

/// Number and alteration of every tone, in the order of [`Tone`].
const DEGREES: [(Tone, Degree); 19] = [
    (Tone::Root, Degree::new(1, 0)),
    (Tone::Second, Degree::new(2, 0)),
    (Tone::MinorThird, Degree::new(3, -1)),
    (Tone::Third, Degree::new(3, 0)),
    (Tone::Fourth, Degree::new(4, 0)),
    (Tone::FlatFifth, Degree::new(5, -1)),
    (Tone::Fifth, Degree::new(5, 0)),
    (Tone::SharpFifth, Degree::new(5, 1)),
    (Tone::Sixth, Degree::new(6, 0)),
    (Tone::DimSeventh, Degree::new(7, -2)),
    (Tone::MinorSeventh, Degree::new(7, -1)),
    (Tone::MajorSeventh, Degree::new(7, 0)),
    (Tone::FlatNinth, Degree::new(9, -1)),
    (Tone::Ninth, Degree::new(9, 0)),
    (Tone::SharpNinth, Degree::new(9, 1)),
    (Tone::Eleventh, Degree::new(11, 0)),
    (Tone::SharpEleventh, Degree::new(11, 1)),
    (Tone::FlatThirteenth, Degree::new(13, -1)),
    (Tone::Thirteenth, Degree::new(13, 0)),
];

impl Tone {
    /// Every tone by degree.
    pub fn all() -> impl Iterator<Item = Self> {
        DEGREES.iter().map(|(tone, _)| *tone)
    }

    /// Its degree above the root.
    #[must_use]
    pub fn degree(self) -> Degree {
        DEGREES
            .iter()
            .find(|(tone, _)| *tone == self)
            .map_or(Degree::ROOT, |(_, degree)| *degree)
    }

    /// The tone a degree names. Octaves are folded to the place where chord symbols count them
    /// (10 is 3, ♯4 is ♯11, ♭6 is ♭13); `None` for degrees no symbol asks for, such as ♯3.
    #[must_use]
    pub fn from_degree(degree: Degree) -> Option<Self> {
        let folded = match (degree.number(), degree.alter()) {
            (8, alter) => Degree::new(1, alter),
            (10, alter) => Degree::new(3, alter),
            (12, alter) => Degree::new(5, alter),
            (2 | 4, alter) if alter != 0 => Degree::new(degree.number() + 7, alter),
            (6, alter) if alter != 0 => Degree::new(13, alter),
            _ => degree,
        };
        DEGREES
            .iter()
            .find(|(_, own)| *own == folded)
            .map(|(tone, _)| *tone)
    }

    /// The unaltered tone that an altered fifth, ninth, eleventh or thirteenth takes the place of.
    #[must_use]
    pub const fn natural(self) -> Option<Self> {
        match self {
            Self::FlatFifth | Self::SharpFifth => Some(Self::Fifth),
            Self::FlatNinth | Self::SharpNinth => Some(Self::Ninth),
            Self::SharpEleventh => Some(Self::Eleventh),
            Self::FlatThirteenth => Some(Self::Thirteenth),
            _ => None,
        }
    }

    const fn bit(self) -> u32 {
        1 << self as u32
    }
}

/// A set of tones, each essential or not.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct ToneSet {
    present: u32,
    essential: u32,
}

const THIRDS: u32 = Tone::Third.bit() | Tone::MinorThird.bit();
const SEVENTHS: u32 = Tone::DimSeventh.bit() | Tone::MinorSeventh.bit() | Tone::MajorSeventh.bit();

impl ToneSet {
    /// The root alone.
    pub const ROOT: Self = Self {
        present: Tone::Root.bit(),
        essential: 0,
    };

    /// With a tone. Root and perfect fifth never are essential this way (common practice).
    #[must_use]
    pub const fn with(self, tone: Tone) -> Self {
        let free = matches!(tone, Tone::Root | Tone::Fifth);
        Self {
            present: self.present | tone.bit(),
            essential: if free {
                self.essential
            } else {
                self.essential | tone.bit()
            },
        }
    }

    /// With several tones.
    #[must_use]
    pub fn with_all(self, tones: &[Tone]) -> Self {
        tones.iter().fold(self, |set, tone| set.with(*tone))
    }

    /// With a tone that a voicing may leave out.
    #[must_use]
    pub const fn with_optional(self, tone: Tone) -> Self {
        Self {
            present: self.present | tone.bit(),
            essential: self.essential & !tone.bit(),
        }
    }

    /// Without a tone.
    #[must_use]
    pub const fn without(self, tone: Tone) -> Self {
        Self {
            present: self.present & !tone.bit(),
            essential: self.essential & !tone.bit(),
        }
    }

    /// Whether the tone belongs to the chord.
    #[must_use]
    pub const fn has(self, tone: Tone) -> bool {
        self.present & tone.bit() != 0
    }

    /// Whether the tone may not be left out.
    #[must_use]
    pub const fn needs(self, tone: Tone) -> bool {
        self.essential & tone.bit() != 0
    }

    /// Whether there is a major or minor third.
    #[must_use]
    pub const fn has_third(self) -> bool {
        self.present & THIRDS != 0
    }

    /// Whether there is any seventh.
    #[must_use]
    pub const fn has_seventh(self) -> bool {
        self.present & SEVENTHS != 0
    }

    /// Whether both have the same sevenths and the same seconds and fourths, which no change to
    /// a chord can add or take away.
    #[must_use]
    pub const fn same_frame(self, other: Self) -> bool {
        let frame = SEVENTHS | Tone::Second.bit() | Tone::Fourth.bit();
        (self.present ^ other.present) & frame == 0
    }

    /// How many different sevenths there are.
    #[must_use]
    pub const fn n_sevenths(self) -> u32 {
        (self.present & SEVENTHS).count_ones()
    }

    /// Whether the root is all there is.
    #[must_use]
    pub const fn is_bare(self) -> bool {
        self.present == Tone::Root.bit()
    }

    /// Tones by degree.
    pub fn iter(self) -> impl Iterator<Item = Tone> {
        Tone::all().filter(move |tone| self.has(*tone))
    }

    /// Brings tones to the one place where each is counted, so that equal chords are equal sets:
    /// 2 and 4 are 9 and 11 beside a third, 6 is 13 beside a seventh and 13 is 6 without one, a
    /// minor third beside a major one is ♯9, a 𝄫7 without a diminished triad is 6. The third of an
    /// eleventh chord is essential again once the natural eleventh is gone, and so is the fifth of
    /// a chord that has nothing else.
    #[must_use]
    pub fn settled(self) -> Self {
        let mut set = self;
        if set.has(Tone::Third) {
            set = set.moved(Tone::MinorThird, Tone::SharpNinth);
        }
        if set.has_third() {
            set = set.moved(Tone::Second, Tone::Ninth);
            set = set.moved(Tone::Fourth, Tone::Eleventh);
        } else {
            set = set.moved_if(Tone::Ninth, Tone::Second, set.has(Tone::Second));
            set = set.moved_if(Tone::Eleventh, Tone::Fourth, set.has(Tone::Fourth));
        }
        if set.has(Tone::Third) || !set.has(Tone::FlatFifth) || set.n_sevenths() > 1 {
            set = set.moved(Tone::DimSeventh, Tone::Sixth);
        }
        set = if set.has_seventh() {
            set.moved(Tone::Sixth, Tone::Thirteenth)
        } else {
            set.moved(Tone::Thirteenth, Tone::Sixth)
        };
        if set.has(Tone::Third) && !set.has(Tone::Eleventh) {
            set = set.with(Tone::Third);
        }
        let power = Tone::Root.bit() | Tone::Fifth.bit();
        if set.present == power {
            set.essential = Tone::Fifth.bit();
        } else {
            set.essential &= !Tone::Fifth.bit();
        }
        set
    }

    fn moved(self, from: Tone, to: Tone) -> Self {
        if !self.has(from) {
            return self;
        }
        let essential = self.needs(from) || self.needs(to);
        let rest = self.without(from);
        if essential {
            rest.with(to)
        } else {
            rest.with_optional(to)
        }
    }

    fn moved_if(self, from: Tone, to: Tone, wanted: bool) -> Self {
        if wanted { self.moved(from, to) } else { self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_in_the_order_of_the_enum_and_of_the_degrees() {
        for (index, (tone, degree)) in DEGREES.iter().enumerate() {
            assert_eq!(*tone as usize, index);
            assert_eq!(tone.degree(), *degree);
            assert_eq!(Tone::from_degree(*degree), Some(*tone));
        }
        assert!(DEGREES.windows(2).all(|pair| pair[0].1 < pair[1].1));
    }

    #[test]
    fn degrees_are_counted_where_symbols_count_them() {
        assert_eq!(Tone::from_degree(Degree::new(10, 0)), Some(Tone::Third));
        let sharp_four = Tone::from_degree(Degree::new(4, 1));
        assert_eq!(sharp_four, Some(Tone::SharpEleventh));
        let flat_six = Tone::from_degree(Degree::new(6, -1));
        assert_eq!(flat_six, Some(Tone::FlatThirteenth));
        assert_eq!(Tone::from_degree(Degree::new(3, 1)), None);
    }

    #[test]
    fn settling_twice_changes_nothing_more() {
        let odd = ToneSet::ROOT.with_all(&[Tone::Third, Tone::MinorThird, Tone::Fourth]);
        let odd = odd.with_all(&[Tone::Sixth, Tone::DimSeventh, Tone::MajorSeventh]);
        assert_eq!(odd.settled(), odd.settled().settled());
        assert!(odd.settled().has(Tone::SharpNinth));
        assert!(odd.settled().has(Tone::Thirteenth));
    }
}
