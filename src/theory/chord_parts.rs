//! A chord quality taken apart: family, extension, suspension and changes. The parser puts tones
//! together from these parts; the printer and the exporters ask which parts a set of tones is
//! made of. Both directions run through [`ChordParts::tones`], so they cannot disagree.

use super::tone_set::Tone;
use super::tone_set::ToneSet;

/// The triad and the seventh a chord is stacked from.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Family {
    /// 3 5, seventh 7.
    Major,
    /// 3 5, seventh ♭7; only with a seventh.
    Dominant,
    /// ♭3 5, seventh ♭7.
    Minor,
    /// ♭3 5, seventh 7; only with a seventh.
    MinorMajor,
    /// ♭3 ♭5, seventh 𝄫7.
    Diminished,
    /// ♭3 ♭5, seventh ♭7; only with a seventh.
    HalfDiminished,
    /// ♭3 ♭5, seventh 7; only with a seventh.
    DiminishedMajor,
    /// 3 ♯5, seventh ♭7.
    Augmented,
    /// 3 ♯5, seventh 7; only with a seventh.
    AugmentedMajor,
    /// 3 ♭7 and at least one of ♭5 ♯5 ♭9 ♯9; only with a seventh.
    Altered,
    /// Root and fifth; only as a triad.
    Power,
}

/// How far thirds are stacked.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Extension {
    /// No further than the fifth.
    Triad,
    /// With the major sixth.
    Sixth,
    /// With sixth and ninth.
    SixNine,
    /// To the seventh.
    Seventh,
    /// To the ninth.
    Ninth,
    /// To the eleventh.
    Eleventh,
    /// To the thirteenth.
    Thirteenth,
}

/// What stands in place of the third.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Suspension {
    /// The fourth.
    Fourth,
    /// The second.
    Second,
    /// Both.
    Both,
}

/// One change to the stack.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Change {
    /// An altered tone instead of the natural one, if that is there: `b9`, `#11`.
    Alter(Tone),
    /// One more tone, beside all others: `add9`.
    Add(Tone),
    /// The tones of this degree number go: `no5`.
    Omit(u8),
}

/// The parts of a chord quality.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct ChordParts {
    /// Triad and seventh.
    pub family: Family,
    /// How far it is stacked.
    pub extension: Extension,
    /// What replaces the third.
    pub suspension: Option<Suspension>,
    /// Further changes: alterations first, then additions, then omissions.
    pub changes: Vec<Change>,
}

impl Family {
    /// Every family; of two equally short readings the earlier family is the usual name.
    pub const ALL: [Self; 11] = [
        Self::Major,
        Self::Dominant,
        Self::Minor,
        Self::MinorMajor,
        Self::Diminished,
        Self::HalfDiminished,
        Self::DiminishedMajor,
        Self::Augmented,
        Self::AugmentedMajor,
        Self::Altered,
        Self::Power,
    ];

    const fn third(self) -> Option<Tone> {
        match self {
            Self::Power => None,
            Self::Minor
            | Self::MinorMajor
            | Self::Diminished
            | Self::HalfDiminished
            | Self::DiminishedMajor => Some(Tone::MinorThird),
            _ => Some(Tone::Third),
        }
    }

    const fn fifth(self) -> Option<Tone> {
        match self {
            Self::Altered => None,
            Self::Diminished | Self::HalfDiminished | Self::DiminishedMajor => {
                Some(Tone::FlatFifth)
            }
            Self::Augmented | Self::AugmentedMajor => Some(Tone::SharpFifth),
            _ => Some(Tone::Fifth),
        }
    }

    const fn seventh(self) -> Option<Tone> {
        match self {
            Self::Power => None,
            Self::Diminished => Some(Tone::DimSeventh),
            Self::Major | Self::MinorMajor | Self::DiminishedMajor | Self::AugmentedMajor => {
                Some(Tone::MajorSeventh)
            }
            _ => Some(Tone::MinorSeventh),
        }
    }

    /// Whether the family exists without a seventh.
    const fn has_triad(self) -> bool {
        matches!(
            self,
            Self::Major | Self::Minor | Self::Diminished | Self::Augmented | Self::Power
        )
    }

    /// The stack of this family, before suspension and changes; `None` if there is no such
    /// chord.
    ///
    /// Implied lower extensions are optional: the 9 of eleventh and thirteenth chords, the 11 of
    /// minor thirteenths, the major third of eleventh chords. The 11 is left out of thirteenths
    /// with a major third, where it would be a minor ninth above the third (common practice).
    #[must_use]
    pub fn stack(self, extension: Extension) -> Option<ToneSet> {
        let triad = [self.third(), self.fifth()].into_iter().flatten();
        let triad = triad.fold(ToneSet::ROOT, ToneSet::with);
        if extension < Extension::Seventh {
            let sixths = matches!(self, Self::Major | Self::Minor | Self::Augmented);
            return match extension {
                Extension::Sixth if sixths => Some(triad.with(Tone::Sixth)),
                Extension::SixNine if sixths => Some(triad.with_all(&[Tone::Sixth, Tone::Ninth])),
                Extension::Triad if self.has_triad() => Some(triad.settled()),
                _ => None,
            };
        }
        let seventh = triad.with(self.seventh()?);
        if self == Self::Altered {
            let colours = [
                Tone::FlatFifth,
                Tone::SharpFifth,
                Tone::FlatNinth,
                Tone::SharpNinth,
            ];
            let altered = colours.into_iter().fold(seventh, ToneSet::with_optional);
            return (extension == Extension::Seventh).then_some(altered);
        }
        let ninth = seventh.with_optional(Tone::Ninth);
        let major_third = self.third() == Some(Tone::Third);
        Some(match extension {
            Extension::Ninth => seventh.with(Tone::Ninth),
            Extension::Eleventh if major_third => {
                ninth.with(Tone::Eleventh).with_optional(Tone::Third)
            }
            Extension::Eleventh => ninth.with(Tone::Eleventh),
            Extension::Thirteenth if major_third => ninth.with(Tone::Thirteenth),
            Extension::Thirteenth => {
                let eleventh = ninth.with_optional(Tone::Eleventh);
                eleventh.with(Tone::Thirteenth)
            }
            _ => seventh,
        })
    }
}

impl Extension {
    /// Every extension.
    pub const ALL: [Self; 7] = [
        Self::Triad,
        Self::Sixth,
        Self::SixNine,
        Self::Seventh,
        Self::Ninth,
        Self::Eleventh,
        Self::Thirteenth,
    ];
}

const SUSPENSIONS: [Option<Suspension>; 4] = [
    None,
    Some(Suspension::Fourth),
    Some(Suspension::Second),
    Some(Suspension::Both),
];

impl ChordParts {
    /// A family and an extension without changes.
    #[must_use]
    pub const fn plain(family: Family, extension: Extension) -> Self {
        Self {
            family,
            extension,
            suspension: None,
            changes: Vec::new(),
        }
    }

    /// The tones these parts make; `None` if the family has no such extension or nothing but
    /// the root is left.
    #[must_use]
    pub fn tones(&self) -> Option<ToneSet> {
        let set = suspended(self.family.stack(self.extension)?, self.suspension);
        let set = changed(set, &self.changes).settled();
        (!set.is_bare()).then_some(set)
    }

    /// The shortest way to make these tones; `None` only for sets that no symbol can name (two
    /// sevenths at once, or nothing but a root).
    #[must_use]
    pub fn of(target: ToneSet) -> Option<Self> {
        let mut best: Option<(u32, Self)> = None;
        for family in Family::ALL {
            for extension in Extension::ALL {
                let Some(stack) = family.stack(extension) else {
                    continue;
                };
                for suspension in SUSPENSIONS {
                    let base = suspended(stack, suspension);
                    if !base.same_frame(target) {
                        continue;
                    }
                    let changes = difference(base, target);
                    let cost = changes.iter().map(|change| weight(*change)).sum();
                    if best.as_ref().is_some_and(|(least, _)| *least <= cost) {
                        continue;
                    }
                    let parts = Self {
                        family,
                        extension,
                        suspension,
                        changes,
                    };
                    if parts.tones() == Some(target) {
                        best = Some((cost, parts));
                    }
                }
            }
        }
        best.map(|(_, parts)| parts)
    }
}

/// Alterations are the commonest words of a symbol, omissions the rarest.
const fn weight(change: Change) -> u32 {
    match change {
        Change::Alter(_) => 2,
        Change::Add(_) => 3,
        Change::Omit(_) => 5,
    }
}

fn suspended(set: ToneSet, suspension: Option<Suspension>) -> ToneSet {
    let Some(suspension) = suspension else {
        return set;
    };
    let bare = set.without(Tone::Third).without(Tone::MinorThird);
    match suspension {
        Suspension::Fourth => bare.with(Tone::Fourth),
        Suspension::Second => bare.with(Tone::Second),
        Suspension::Both => bare.with(Tone::Second).with(Tone::Fourth),
    }
}

/// Alterations, then additions, then omissions, in whatever order they were written, so that
/// `7(9,b9)` keeps both ninths and `7(b5,no5)` has no fifth.
fn changed(mut set: ToneSet, changes: &[Change]) -> ToneSet {
    for change in changes {
        if let Change::Alter(tone) = change {
            set = tone.natural().map_or(set, |natural| set.without(natural));
        }
    }
    for change in changes {
        if let Change::Alter(tone) | Change::Add(tone) = change {
            set = set.with(*tone);
        }
    }
    for change in changes {
        if let Change::Omit(number) = change {
            set = set
                .iter()
                .filter(|tone| tone.degree().number() == *number)
                .fold(set, ToneSet::without);
        }
    }
    set
}

/// The changes that lead from `base` to `target`, if these words can do it at all: the caller
/// checks by applying them.
fn difference(base: ToneSet, target: ToneSet) -> Vec<Change> {
    // no word adds or omits these: they come with the family or the suspension
    let built_in = |tone: Tone| matches!(tone.degree().number(), 1 | 2 | 4 | 7);
    let missing = |tone: Tone| {
        let own_third = tone.degree().number() == 3 && base.has(tone);
        !built_in(tone)
            && !own_third
            && target.has(tone)
            && (!base.has(tone) || (target.needs(tone) && !base.needs(tone)))
    };
    let replaces = |tone: Tone| {
        tone.natural()
            .is_some_and(|natural| !base.has(natural) || !target.has(natural))
    };
    let replaced =
        |tone: Tone| Tone::all().any(|t| t.natural() == Some(tone) && missing(t) && replaces(t));
    let mut changes = Vec::new();
    for tone in Tone::all().filter(|tone| missing(*tone)) {
        changes.push(if replaces(tone) {
            Change::Alter(tone)
        } else {
            Change::Add(tone)
        });
    }
    for tone in base.iter() {
        let omit = Change::Omit(tone.degree().number());
        let gone = !built_in(tone) && !target.has(tone) && !replaced(tone);
        if gone && !changes.contains(&omit) {
            changes.push(omit);
        }
    }
    changes.sort_unstable();
    changes
}
