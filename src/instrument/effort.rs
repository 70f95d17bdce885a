//! Effort: what a grip, a change or a musical choice costs, as named terms that add up. Costs are
//! integers in thousandths of an effort point, so that sums, order and pruning are exact on every
//! machine. The weights themselves live with the searches that use them.

use std::fmt;
use std::iter::Sum;
use std::ops::Add;
use std::ops::AddAssign;

/// Thousandths of an effort point.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Cost(pub i32);

impl Cost {
    /// No cost.
    pub const ZERO: Self = Self(0);

    /// So many whole points.
    #[must_use]
    pub const fn points(points: i32) -> Self {
        Self(points * 1000)
    }

    /// In points, for showing.
    #[must_use]
    pub fn as_points(self) -> f64 {
        f64::from(self.0) / 1000.0
    }
}

impl Add for Cost {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl AddAssign for Cost {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sum for Cost {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::ZERO, Add::add)
    }
}

/// Points with one decimal: `21.4`.
impl fmt::Display for Cost {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1}", self.as_points())
    }
}

/// A reason for effort.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Term {
    /// Fingers further apart than is comfortable.
    Stretch,
    /// Fingers in use.
    Fingers,
    /// A finger laid over several strings.
    Barre,
    /// Very low frets are wide, frets above the body joint awkward.
    Position,
    /// The little finger under load.
    LittleFinger,
    /// A wrist turned so that a higher finger holds the lower-pitched string of one fret.
    Twist,
    /// Open strings that the right hand must stop.
    Damp,
    /// Chord tones left out.
    Omission,
    /// Minor ninths, and thirds too low to be clear.
    Clash,
    /// A hole between bass and chord, or notes doubled.
    Register,
    /// The index finger's home place moves along the neck.
    Shift,
    /// Fingers leap between strings.
    Travel,
    /// Fingers put down together.
    Place,
    /// A finger stays or slides along its string (less effort: never positive).
    Guide,
    /// The top note leaps.
    TopLine,
    /// How the thumb arrives in the next bass note.
    Lead,
    /// A ringing chord or a bass note is let go before its time, or left out.
    Cut,
}

impl Term {
    /// Every term, in the order shown.
    pub const ALL: [Self; 17] = [
        Self::Stretch,
        Self::Fingers,
        Self::Barre,
        Self::Position,
        Self::LittleFinger,
        Self::Twist,
        Self::Damp,
        Self::Omission,
        Self::Clash,
        Self::Register,
        Self::Shift,
        Self::Travel,
        Self::Place,
        Self::Guide,
        Self::TopLine,
        Self::Lead,
        Self::Cut,
    ];

    /// A stable word for files, JSON and the screen.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Stretch => "stretch",
            Self::Fingers => "fingers",
            Self::Barre => "barre",
            Self::Position => "position",
            Self::LittleFinger => "little finger",
            Self::Twist => "twist",
            Self::Damp => "damp",
            Self::Omission => "omission",
            Self::Clash => "clash",
            Self::Register => "register",
            Self::Shift => "shift",
            Self::Travel => "travel",
            Self::Place => "place",
            Self::Guide => "guide",
            Self::TopLine => "top line",
            Self::Lead => "lead",
            Self::Cut => "cut",
        }
    }
}

/// Named costs that add up.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct Effort {
    terms: Vec<(Term, Cost)>,
}

impl Effort {
    /// The sum of named costs; zeros are left out.
    #[must_use]
    pub fn of_terms(costs: &[(Term, Cost)]) -> Self {
        let n_terms = costs.iter().filter(|(_, cost)| *cost != Cost::ZERO).count();
        let mut effort = Self {
            terms: Vec::with_capacity(n_terms),
        };
        for (term, cost) in costs {
            effort.add(*term, *cost);
        }
        effort
    }

    /// Adds to a term; zero adds nothing.
    pub fn add(&mut self, term: Term, cost: Cost) {
        if cost == Cost::ZERO {
            return;
        }
        match self.terms.binary_search_by_key(&term, |(t, _)| *t) {
            Ok(place) => {
                if let Some((_, sum)) = self.terms.get_mut(place) {
                    *sum += cost;
                }
            }
            Err(place) => self.terms.insert(place, (term, cost)),
        }
    }

    /// Adds every term of another effort.
    pub fn add_all(&mut self, other: &Self) {
        for (term, cost) in &other.terms {
            self.add(*term, *cost);
        }
    }

    /// Terms that are not zero, in the order of [`Term::ALL`].
    #[must_use]
    pub fn terms(&self) -> &[(Term, Cost)] {
        &self.terms
    }

    /// The cost of one term.
    #[must_use]
    pub fn of(&self, term: Term) -> Cost {
        self.terms
            .iter()
            .find(|(t, _)| *t == term)
            .map_or(Cost::ZERO, |(_, cost)| *cost)
    }

    /// The sum of all terms.
    #[must_use]
    pub fn total(&self) -> Cost {
        self.terms.iter().map(|(_, cost)| *cost).sum()
    }
}
