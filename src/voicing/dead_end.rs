//! Says why a request for voicings has no answer, and what is nearest to it. The limits are lifted
//! one at a time, the wish's before the hand's before the guitar's, and each lift that lets grips
//! through is kept, so that a teacher sees which limit to give up. Never changes a request by
//! itself, and never guesses: everything it names has been found by the search.

use super::search::voicings;
use super::voiced::Voicing;
use super::wish::Bass;
use super::wish::Wish;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::theory::Chord;
use crate::theory::HouseStyle;
use crate::theory::PcSet;
use crate::theory::PitchClass;
use std::fmt;

/// The reach up to which a wider hand is tried, in thousandths.
const WIDEST_REACH: u16 = 1150;

/// A limit of a request that rules grips out.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Limit {
    /// The range of frets.
    Frets,
    /// No open strings.
    OpenStrings,
    /// The wish has no barre.
    Barre,
    /// The top note.
    TopNote,
    /// The number of notes.
    Notes,
    /// The bass note.
    BassNote,
    /// The thumb keeps off string 3.
    ThumbString,
    /// The hand profile has no barre.
    HandBarre,
    /// How many fingers pluck.
    PluckingFingers,
    /// How far the hand reaches.
    Reach,
}

impl Limit {
    /// Every limit, in the order they are lifted.
    pub const ALL: [Self; 10] = [
        Self::Frets,
        Self::OpenStrings,
        Self::Barre,
        Self::TopNote,
        Self::Notes,
        Self::BassNote,
        Self::ThumbString,
        Self::HandBarre,
        Self::PluckingFingers,
        Self::Reach,
    ];

    /// Lifts this limit from a request; false if it was not in force.
    fn lift(self, wish: &mut Wish, hand: &mut Hand) -> bool {
        let before = (wish.clone(), hand.clone());
        match self {
            Self::Frets => wish.frets = Wish::default().frets,
            Self::OpenStrings => wish.open_strings = true,
            Self::Barre => wish.barre = true,
            Self::TopNote => (wish.top, wish.top_class) = (None, None),
            Self::Notes => wish.notes = (2, u8::MAX),
            Self::BassNote => wish.bass = Bass::Any,
            Self::ThumbString => wish.thumb_on_third_string = true,
            Self::HandBarre => (hand.barre, wish.barre) = (true, true),
            Self::PluckingFingers => hand.plucking_fingers = 4,
            Self::Reach => hand.reach_permille = hand.reach_permille.max(WIDEST_REACH),
        }
        (&*wish, &*hand) != (&before.0, &before.1)
    }

    /// What lifting it is called: `with barres allowed`.
    const fn lifted(self) -> &'static str {
        match self {
            Self::Frets => "anywhere on the neck",
            Self::OpenStrings => "with open strings",
            Self::Barre => "with barres",
            Self::TopNote => "with another top note",
            Self::Notes => "with more or fewer notes",
            Self::BassNote => "with another bass note",
            Self::ThumbString => "with the thumb on string 3 too",
            Self::HandBarre => "for a hand that can barre",
            Self::PluckingFingers => "with four plucking fingers",
            Self::Reach => "for a wider reach",
        }
    }
}

/// A limit which, lifted alone, lets grips through.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WayOut {
    /// What is lifted.
    pub limit: Limit,
    /// How many voicings there are then.
    pub count: usize,
    /// The best of them; of those elsewhere on the neck, the nearest.
    pub nearest: Voicing,
}

/// Why a request has no answer, and ways out of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DeadEnd {
    chord: String,
    asked: Vec<String>,
    needs: Option<(usize, usize)>,
    /// Limits that are each alone to blame, in the order of [`Limit::ALL`].
    pub ways_out: Vec<WayOut>,
    /// Where no single limit is to blame: the first two, in order, that are together.
    pub together: Option<(Limit, WayOut)>,
}

/// Explains an empty list of voicings; `None` if there are voicings.
#[must_use]
pub fn dead_end(
    chord: &Chord,
    instrument: &Instrument,
    hand: &Hand,
    wish: &Wish,
) -> Option<DeadEnd> {
    if !voicings(chord, instrument, hand, wish).is_empty() {
        return None;
    }
    let way_out = |limits: &[Limit]| {
        let (mut wish_then, mut hand_then) = (wish.clone(), hand.clone());
        for limit in limits {
            if !limit.lift(&mut wish_then, &mut hand_then) {
                return None;
            }
        }
        let list = voicings(chord, instrument, &hand_then, &wish_then);
        let nearest = list.iter().min_by_key(|v| frets_away(v, wish))?;
        Some(WayOut {
            limit: *limits.first()?,
            count: list.len(),
            nearest: nearest.clone(),
        })
    };
    let ways_out: Vec<WayOut> = Limit::ALL.iter().filter_map(|l| way_out(&[*l])).collect();
    let pairs = || {
        let second = |(i, first)| Limit::ALL.iter().skip(i + 1).map(move |l| (first, *l));
        Limit::ALL.into_iter().enumerate().flat_map(second)
    };
    let together = || pairs().find_map(|(a, b)| Some((b, way_out(&[a, b])?)));
    let room = usize::from(wish.notes.1.min(hand.plucking_fingers + 1));
    let tones = chord.required().union(bass_beside(chord, wish)).len();
    Some(DeadEnd {
        chord: chord.printed(HouseStyle::default()),
        asked: asked(wish, hand),
        needs: (tones > room).then_some((tones, room)),
        together: if ways_out.is_empty() {
            together()
        } else {
            None
        },
        ways_out,
    })
}

/// The bass asked for, if it is one note that the chord does not need anyway.
fn bass_beside(chord: &Chord, wish: &Wish) -> PcSet {
    let bass = wish.bass.classes(chord);
    if bass.len() == 1 { bass } else { PcSet::EMPTY }
}

/// How many frets the held notes of a voicing lie outside of the range asked for.
fn frets_away(voicing: &Voicing, wish: &Wish) -> u8 {
    let (lowest, highest) = wish.frets;
    let held = voicing.grip.held();
    let away = held.map(|(_, fret, _)| {
        lowest
            .saturating_sub(fret)
            .max(fret.saturating_sub(highest))
    });
    away.max().unwrap_or(0)
}

/// What a request asks beyond the defaults, in words.
fn asked(wish: &Wish, hand: &Hand) -> Vec<String> {
    let plain = Wish::default();
    let mut all = Vec::new();
    match wish.bass {
        Bass::Root | Bass::Any => {}
        Bass::Third => all.push("with the third in the bass".into()),
        Bass::Fifth => all.push("with the fifth in the bass".into()),
        Bass::Seventh => all.push("with the seventh in the bass".into()),
    }
    if wish.frets != plain.frets {
        all.push(format!("within frets {}–{}", wish.frets.0, wish.frets.1));
    }
    if let Some(class) = wish.top.map(|t| t.pitch_class()).or(wish.top_class) {
        all.push(format!("with {} on top", note_name(class)));
    }
    if wish.notes != plain.notes {
        all.push(format!("of {}–{} notes", wish.notes.0, wish.notes.1));
    }
    if !wish.open_strings {
        all.push("without open strings".into());
    }
    if !wish.barre || !hand.barre {
        all.push("without a barre".into());
    }
    if hand.reach_permille < Hand::default().reach_permille {
        all.push("in this hand's reach".into());
    }
    all
}

/// A note by its plainest name; the explanation has no key to spell by.
fn note_name(class: PitchClass) -> &'static str {
    const NAMES: [&str; 12] = [
        "C", "D♭", "D", "E♭", "E", "F", "F♯", "G", "A♭", "A", "B♭", "B",
    ];
    NAMES
        .get(usize::from(class.number()))
        .copied()
        .unwrap_or("?")
}

/// `frets 7–9`, `fret 5`, `open strings`.
fn where_it_lies(voicing: &Voicing) -> String {
    let frets = || voicing.grip.held().map(|(_, fret, _)| fret);
    match (frets().min(), frets().max()) {
        (Some(low), Some(high)) if low == high => format!("fret {low}"),
        (Some(low), Some(high)) => format!("frets {low}–{high}"),
        _ => "the open strings".into(),
    }
}

impl fmt::Display for WayOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (count, shape) = (self.count, self.nearest.grip.shape);
        let place = where_it_lies(&self.nearest);
        match self.limit {
            Limit::Frets => write!(f, "the nearest lies at {place} ({shape})"),
            limit => {
                let are = if count == 1 { "is 1" } else { "are" };
                let number = if count == 1 {
                    String::new()
                } else {
                    format!(" {count}")
                };
                write!(f, "{} there {are}{number}, such as {shape}", limit.lifted())
            }
        }
    }
}

/// `no grip for C13 within frets 0–3; the nearest lies at frets 8–10 (8x89xA); …`
impl fmt::Display for DeadEnd {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "no grip for {}", self.chord)?;
        for part in &self.asked {
            write!(f, " {part}")?;
        }
        if let Some((needed, room)) = self.needs {
            write!(f, ": it needs {needed} notes and only {room} may sound")?;
        }
        for way in &self.ways_out {
            write!(f, "; {way}")?;
        }
        if let Some((second, way)) = &self.together {
            let first = way.limit.lifted();
            let shape = way.nearest.grip.shape;
            write!(f, "; {first} and {} there is {shape}", second.lifted())?;
        }
        if self.ways_out.is_empty() && self.together.is_none() {
            f.write_str("; no two limits lifted together help")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::ChordSymbol;

    fn explained(symbol: &str, hand: &Hand, wish: &Wish) -> Option<String> {
        let symbol = ChordSymbol::parse(symbol).unwrap_or_else(|e| panic!("{e}"));
        let found = dead_end(symbol.chord(), &Instrument::default(), hand, wish);
        found.map(|end| end.to_string())
    }

    #[test]
    fn a_request_with_answers_is_no_dead_end() {
        assert_eq!(explained("C13", &Hand::default(), &Wish::default()), None);
    }

    #[test]
    fn the_limit_to_blame_is_named_with_the_nearest_grip() {
        let rows = [
            (
                "C13",
                Hand::default(),
                Wish {
                    frets: (1, 2),
                    open_strings: false,
                    ..Wish::default()
                },
                "no grip for C13 within frets 1–2 without open strings; the nearest lies at",
            ),
            (
                "Cmaj7",
                Hand {
                    plucking_fingers: 2,
                    ..Hand::default()
                },
                Wish {
                    notes: (4, 4),
                    ..Wish::default()
                },
                "no grip for Cmaj7 of 4–4 notes; with more or fewer notes there are",
            ),
            (
                "C13(#11)",
                Hand {
                    plucking_fingers: 2,
                    ..Hand::default()
                },
                Wish::default(),
                "no grip for C13(#11): it needs 5 notes and only 3 may sound; ",
            ),
        ];
        for (symbol, hand, wish, start) in rows {
            let text = explained(symbol, &hand, &wish).unwrap_or_default();
            assert!(text.starts_with(start), "{text}");
        }
    }

    #[test]
    fn every_way_out_really_is_one() {
        let chord = ChordSymbol::parse("Dm7").unwrap_or_else(|e| panic!("{e}"));
        let wish = Wish {
            frets: (1, 1),
            open_strings: false,
            barre: false,
            top_class: Some(PitchClass::new(1)),
            ..Wish::default()
        };
        let hand = Hand::default();
        let end = dead_end(chord.chord(), &Instrument::default(), &hand, &wish);
        let end = end.unwrap_or_else(|| panic!("D♭ is no note of Dm7"));
        assert!(end.ways_out.is_empty());
        let (second, way) = end
            .together
            .unwrap_or_else(|| panic!("two limits are enough"));
        assert_eq!((way.limit, second), (Limit::Frets, Limit::TopNote));
        assert!(way.count > 0);
    }
}
