//! What helps a chord whose grip is missing, thin, wide or can't be held as chosen. Every remedy
//! that is a click has been tried: the search finds a grip once it is taken. Answers are kept from
//! one edit to the next, because a tune asks for the same chords again and again. Never decides anything.

use super::finding::Fix;
use super::finding::Remedy;
use super::judge::WIDE_STRETCH;
use super::phase::Span;
use super::problem::Problem;
use crate::instrument::Hand;
use crate::instrument::Shape;
use crate::instrument::Term;
use crate::theory::Chord;
use crate::theory::HouseStyle;
use crate::theory::PcSet;
use crate::voicing;
use crate::voicing::Limit;
use crate::voicing::Voicing;
use crate::voicing::WayOut;
use std::collections::HashMap;
use std::sync::Arc;

/// The widest reach that is offered, in thousandths of the adult default.
const WIDEST_REACH: u16 = 1150;

/// What was found out about chords. It holds as long as instrument, hand and wish stay.
#[derive(Default)]
pub struct KnownChords {
    ways: HashMap<Arc<Chord>, Ways>,
    plainer: HashMap<Arc<Chord>, Option<String>>,
    full: HashMap<Arc<Chord>, Arc<[Voicing]>>,
}

/// The limits that keep a chord from sounding whole.
#[derive(Clone, Default)]
struct Ways {
    alone: Vec<WayOut>,
    together: Option<(Limit, Limit)>,
}

/// Finds remedies for the grips of one problem.
pub struct GripDesk<'a> {
    problem: &'a Problem,
    known: &'a mut KnownChords,
}

impl<'a> GripDesk<'a> {
    /// A desk that goes on from what is known.
    pub const fn new(problem: &'a Problem, known: &'a mut KnownChords) -> Self {
        Self { problem, known }
    }

    /// For a chord without a grip.
    pub fn unreachable(&mut self, span: &Span, chord: &Arc<Chord>) -> Vec<Remedy> {
        let ways = self.ways(chord);
        let mut remedies = lifted(span, &ways);
        if let Some(text) = self.plainer(chord) {
            remedies.push(write_instead(span, &text));
        }
        if let Some((first, second)) = ways.together
            && let (Some((first, _)), Some((second, _))) = (switch(first), switch(second))
        {
            remedies.push(Remedy::advice(format!("{first} and {second}")));
        }
        if let Some(way) = ways.alone.iter().find(|way| way.limit == Limit::Reach) {
            let shape = way.nearest.grip.shape;
            remedies.push(Remedy::advice(format!(
                "set a wider reach if the hand has it; then there is {shape}"
            )));
        }
        if remedies.is_empty() {
            remedies.push(Remedy::advice("choose a plainer chord or another tuning"));
        }
        remedies
    }

    /// For a grip with a wide stretch. `choices` are the voicings that the search chose from.
    pub fn wide(&mut self, span: &Span, chord: &Arc<Chord>, choices: &[Voicing]) -> Vec<Remedy> {
        let is_narrow = |voicing: &&Voicing| voicing.effort.of(Term::Stretch) < WIDE_STRETCH;
        let narrower = choices.iter().find(is_narrow).map(|v| v.grip.shape);
        // Beside a chosen shape the search had no choice.
        let narrower = narrower.or_else(|| {
            let all = self.full(chord);
            all.iter().find(is_narrow).map(|v| v.grip.shape)
        });
        let mut remedies = Vec::new();
        if let Some(shape) = narrower {
            let words = format!("use {shape}, a narrower grip");
            remedies.push(Remedy::click(words, use_shape(span, shape)));
        }
        remedies.push(Remedy::advice(
            "warm up first, take breaks, stop if it hurts",
        ));
        remedies
    }

    /// For a grip that leaves out tones that the chord names.
    pub fn thinned(&mut self, span: &Span, chord: &Arc<Chord>, voicing: &Voicing) -> Vec<Remedy> {
        let mut remedies = Vec::new();
        if span.shape.is_some() && !self.full(chord).is_empty() {
            remedies.push(leave_shape(span));
        }
        remedies.extend(lifted(span, &self.ways(chord)));
        let sounding: PcSet = voicing
            .notes
            .iter()
            .map(|note| note.pitch.pitch_class())
            .collect();
        let says_so = |plain: &Chord| plain.required().minus(sounding).is_empty();
        if let Some(plain) = chord.plainer().into_iter().find(says_so) {
            let text = plain.printed(HouseStyle::Letters);
            remedies.push(write_instead(span, &text));
        }
        if remedies.is_empty() {
            remedies.push(Remedy::advice(
                "take it as the plainer chord that it sounds",
            ));
        }
        remedies
    }

    /// For a chosen shape in whose place another voicing stands.
    pub fn unheld(
        &self,
        span: &Span,
        chord: &Chord,
        shape: Shape,
        stands_in: &Voicing,
    ) -> Vec<Remedy> {
        let (instrument, hand) = (&self.problem.instrument, &self.problem.hand);
        let held =
            |hand: &Hand| !voicing::shape_voicings(chord, &shape, instrument, hand, 1).is_empty();
        let mut remedies = Vec::new();
        let with_barre = Hand {
            barre: true,
            ..hand.clone()
        };
        if !hand.barre && held(&with_barre) {
            remedies.push(Remedy::click("allow barres", Fix::AllowBarre));
        }
        let other = stands_in.grip.shape;
        remedies.push(Remedy::click(
            format!("use {other} instead"),
            use_shape(span, other),
        ));
        remedies.push(leave_shape(span));
        let wider = Hand {
            reach_permille: WIDEST_REACH.max(hand.reach_permille),
            ..hand.clone()
        };
        if held(&wider) {
            remedies.push(Remedy::advice("set a wider reach if the hand has it"));
        }
        remedies
    }

    /// The full voicings of a chord as the tune asks for them.
    fn full(&mut self, chord: &Arc<Chord>) -> Arc<[Voicing]> {
        let full = self.known.full.entry(Arc::clone(chord));
        let full = full.or_insert_with(|| voicings(self.problem, chord).into());
        Arc::clone(full)
    }

    /// What keeps a chord from sounding whole; empty if nothing does.
    fn ways(&mut self, chord: &Arc<Chord>) -> Ways {
        let Problem {
            instrument,
            hand,
            wish,
            ..
        } = self.problem;
        let ways = self.known.ways.entry(Arc::clone(chord));
        let find = || {
            let end = voicing::dead_end(chord, instrument, hand, wish);
            end.map_or_else(Ways::default, |end| Ways {
                together: end.together.map(|(second, way)| (way.limit, second)),
                alone: end.ways_out,
            })
        };
        ways.or_insert_with(find).clone()
    }

    /// The nearest plainer chord that has a grip.
    fn plainer(&mut self, chord: &Arc<Chord>) -> Option<String> {
        let plainer = self.known.plainer.entry(Arc::clone(chord));
        let has_grip = |plain: &Chord| !voicings(self.problem, plain).is_empty();
        let find = || {
            let plain = chord.plainer().into_iter().find(has_grip)?;
            Some(plain.printed(HouseStyle::Letters))
        };
        plainer.or_insert_with(find).clone()
    }
}

fn voicings(problem: &Problem, chord: &Chord) -> Vec<Voicing> {
    voicing::voicings(chord, &problem.instrument, &problem.hand, &problem.wish)
}

/// The limits that can be lifted by a switch or by choosing a shape, each with a grip there is then.
fn lifted(span: &Span, ways: &Ways) -> Vec<Remedy> {
    let mut remedies: Vec<Remedy> = Vec::new();
    for way in &ways.alone {
        let Some((words, fix)) = switch(way.limit) else {
            continue;
        };
        // Two limits of the search can be one switch of the hand.
        if remedies.iter().all(|r| r.fix.as_ref() != Some(&fix)) {
            let shape = way.nearest.grip.shape;
            remedies.push(Remedy::click(
                format!("{words}; then there is {shape}"),
                fix,
            ));
        }
    }
    let by_shape = |way: &&WayOut| switch(way.limit).is_none() && way.limit != Limit::Reach;
    if let Some(way) = ways.alone.iter().find(by_shape) {
        let shape = way.nearest.grip.shape;
        let words = format!("use {shape}, {}", instead(way));
        remedies.push(Remedy::click(words, use_shape(span, shape)));
    }
    remedies
}

/// The switch that lifts a limit, if the document has one.
const fn switch(limit: Limit) -> Option<(&'static str, Fix)> {
    match limit {
        Limit::OpenStrings => Some(("allow open strings", Fix::AllowOpenStrings)),
        Limit::Barre | Limit::HandBarre => Some(("allow barres", Fix::AllowBarre)),
        Limit::PluckingFingers => Some(("pluck with four fingers", Fix::PluckWithFour)),
        _ => None,
    }
}

/// What the nearest shape has that the limit forbids.
fn instead(way: &WayOut) -> String {
    match (way.limit, way.nearest.bass()) {
        (Limit::BassNote, Some(bass)) => format!("over {}", bass.spelling.pretty()),
        (Limit::ThumbString, _) => "with the thumb on string 3".into(),
        (Limit::Notes, _) => "with more or fewer notes".into(),
        _ => "the nearest grip".into(),
    }
}

fn use_shape(span: &Span, shape: Shape) -> Fix {
    Fix::UseShape {
        bar: span.place.bar,
        chord_idx: span.chord_idx,
        shape,
    }
}

fn leave_shape(span: &Span) -> Remedy {
    let fix = Fix::LeaveShape {
        bar: span.place.bar,
        chord_idx: span.chord_idx,
    };
    Remedy::click("leave the voicing to the tool", fix)
}

fn write_instead(span: &Span, text: &str) -> Remedy {
    let fix = Fix::PlainerChord {
        bar: span.place.bar,
        chord_idx: span.chord_idx,
        text: text.into(),
    };
    Remedy::click(format!("write {text} instead"), fix)
}
