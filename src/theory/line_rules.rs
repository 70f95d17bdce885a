//! The rules of the craft, each with a name and a switch. What a rule forbids is never written;
//! what it leaves open is chosen by weight and seed. Sources: the published walking-bass lessons
//! and sheets named at each rule, else common practice. Never knows how a line is found.

/// A rule of the writer.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Rule {
    /// A chord begins with its root (or slash bass): the target note of C. Fitzgerald's "Walking
    /// bass line theory basics".
    RootFirst,
    /// So does every bar, also where the chord goes on (common practice of first lessons).
    RootOnDownbeat,
    /// A bar begins with a tone of the chord, also where the chord goes on (teaching sheets: beat
    /// 1 may be another chord tone if the chord repeats).
    ToneOnDownbeat,
    /// The last beat before a change approaches the next bass note (Fitzgerald's approach note).
    ApproachBeforeChange,
    /// The chromatic approaches of one bar come from below and above in turn.
    OppositeSides,
    /// A scale step is entered by step and goes on the same way to a tone of the chord or the next
    /// bass note. A step before a change may be leapt to (Fitzgerald's diatonic approach).
    RunsLeadOn,
    /// A leap of more than a fifth is answered by a step back, and none is wider than an octave
    /// (teaching sheets). Leaps from or to the one note of a chord of one beat need no answer.
    AnswerLeaps,
    /// A note is not struck again across a change, nor on the last beat before one, nor from a strong
    /// beat to a weak one (teaching sheets; the last beat is our own addition, since an approach
    /// that repeats the note before it is not heard as one). Two chords of a beat each over the same
    /// bass may strike it again: they have no other note.
    FreshNotes,
    /// Ghosts and rests stand alone.
    SilenceAlone,
    /// A bar does not repeat the moves of the bar before it.
    FreshBars,
    /// Every note lies in the range.
    Range,
}

impl Rule {
    /// Every rule, in the order of the screen.
    pub const ALL: [Self; 11] = [
        Self::RootFirst,
        Self::RootOnDownbeat,
        Self::ToneOnDownbeat,
        Self::ApproachBeforeChange,
        Self::OppositeSides,
        Self::RunsLeadOn,
        Self::AnswerLeaps,
        Self::FreshNotes,
        Self::SilenceAlone,
        Self::FreshBars,
        Self::Range,
    ];

    /// What the screen calls it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::RootFirst => "Root on the first beat of each chord",
            Self::RootOnDownbeat => "Root on the first beat of each bar",
            Self::ToneOnDownbeat => "Chord tone on the first beat of each bar",
            Self::ApproachBeforeChange => "Approach on the last beat before a change",
            Self::OppositeSides => "Approaches of a bar from opposite sides",
            Self::RunsLeadOn => "Runs that lead on",
            Self::AnswerLeaps => "Leaps answered by a step back",
            Self::FreshNotes => "No note struck again around a change or into a weak beat",
            Self::SilenceAlone => "Ghosts and rests stand alone",
            Self::FreshBars => "No bar like the one before",
            Self::Range => "Stay in the range",
        }
    }

    /// What it asks, as the second half of a sentence.
    #[must_use]
    pub const fn asks(self) -> &'static str {
        match self {
            Self::RootFirst => "a chord begins with its root",
            Self::RootOnDownbeat => "every bar begins with the root",
            Self::ToneOnDownbeat => "every bar begins with a chord tone",
            Self::ApproachBeforeChange => "an approach must come before the change",
            Self::OppositeSides => "the approaches of a bar come from opposite sides",
            Self::RunsLeadOn => "a scale step is entered by step and leads on",
            Self::AnswerLeaps => "a leap of more than a fifth is answered by a step back",
            Self::FreshNotes => "no note is struck again around a change or into a weak beat",
            Self::SilenceAlone => "ghosts and rests stand alone",
            Self::FreshBars => "no bar repeats the moves of the bar before it",
            Self::Range => "every note lies in the range",
        }
    }

    /// A stable ASCII word for files and JSON.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::RootFirst => "root-first",
            Self::RootOnDownbeat => "root-on-downbeat",
            Self::ToneOnDownbeat => "tone-on-downbeat",
            Self::ApproachBeforeChange => "approach-before-change",
            Self::OppositeSides => "opposite-sides",
            Self::RunsLeadOn => "runs-lead-on",
            Self::AnswerLeaps => "answer-leaps",
            Self::FreshNotes => "fresh-notes",
            Self::SilenceAlone => "silence-alone",
            Self::FreshBars => "fresh-bars",
            Self::Range => "range",
        }
    }

    /// The rule with this [`word`](Self::word).
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|rule| rule.word() == word)
    }
}

/// A set of rules.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub struct RuleSet(u16);

impl RuleSet {
    /// No rule.
    pub const EMPTY: Self = Self(0);

    /// Every rule.
    pub const ALL: Self = {
        let mut set = Self::EMPTY;
        let mut rest: &[Rule] = &Rule::ALL;
        while let [first, others @ ..] = rest {
            set = set.with(*first);
            rest = others;
        }
        set
    };

    /// With one more.
    #[must_use]
    pub const fn with(self, rule: Rule) -> Self {
        Self(self.0 | 1 << rule as u16)
    }

    /// Without one.
    #[must_use]
    pub const fn without(self, rule: Rule) -> Self {
        Self(self.0 & !(1 << rule as u16))
    }

    /// Members of either set.
    #[must_use]
    pub const fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Members that are not in the other set.
    #[must_use]
    pub const fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether the rule is a member.
    #[must_use]
    pub const fn has(self, rule: Rule) -> bool {
        self.0 & (1 << rule as u16) != 0
    }

    /// Members in the order of the screen.
    pub fn iter(self) -> impl Iterator<Item = Rule> {
        Rule::ALL.into_iter().filter(move |rule| self.has(*rule))
    }
}

impl FromIterator<Rule> for RuleSet {
    fn from_iter<I: IntoIterator<Item = Rule>>(items: I) -> Self {
        items.into_iter().fold(Self::EMPTY, Self::with)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_has_a_word_and_a_switch_of_its_own() {
        for rule in Rule::ALL {
            assert_eq!(Rule::from_word(rule.word()), Some(rule));
            assert!(!RuleSet::ALL.without(rule).has(rule));
            assert!(RuleSet::EMPTY.with(rule).iter().eq([rule]));
        }
        assert_eq!(RuleSet::ALL.iter().count(), Rule::ALL.len());
        assert_eq!(Rule::from_word("root"), None);
    }

    #[test]
    fn sets_of_rules_are_joined_and_taken_from_each_other() {
        let some = RuleSet::EMPTY.with(Rule::RootFirst).with(Rule::Range);
        let other = RuleSet::EMPTY.with(Rule::Range).with(Rule::FreshBars);
        assert!(some.minus(other).iter().eq([Rule::RootFirst]));
        assert_eq!(some.union(other).iter().count(), 3);
        assert_eq!(RuleSet::ALL.minus(RuleSet::ALL), RuleSet::EMPTY);
    }
}
