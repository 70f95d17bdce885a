//! From a document to the question the arranger is asked. The one place where the tune's own
//! settings, a bar's decisions and the usual patterns come together.

use super::under_tune::plucks_under_tune;
use super::under_tune::tune_plans;
use super::walk::line_of;
use super::walk::write_line;
use crate::arrange::ApproachFrom;
use crate::arrange::BarPlan;
use crate::arrange::ChordPlan;
use crate::arrange::Finding;
use crate::arrange::FindingKind;
use crate::arrange::Fix;
use crate::arrange::HandAtEnd;
use crate::arrange::Place;
use crate::arrange::Problem;
use crate::arrange::Remedy;
use crate::arrange::ThumbPlan;
use crate::arrange::ThumbWish;
use crate::document::Approach;
use crate::document::Bar;
use crate::document::Document;
use crate::document::ThumbCell;
use crate::theory::Harmony;
use crate::theory::Midi;
use crate::theory::Pluck;
use crate::theory::Sliding;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::thumb;
use crate::thumb::Variety;
use crate::voicing::Wish;
use std::sync::Arc;

/// How a chorus ends, as far as the next one goes on from it.
#[derive(Clone, Copy, Default, Debug)]
pub struct ChorusEnd {
    /// How the hands come out of it.
    pub hand: Option<HandAtEnd>,
    /// The pitch that its written line leads to.
    pub leads_to: Option<Midi>,
}

/// The arranger's problem for a document.
#[must_use]
pub fn problem_from_document(document: &Document) -> Problem {
    problem_after(document, ChorusEnd::default()).0
}

/// The arranger's problem for a document that is played after a chorus that ends like this, and the
/// pitch that its own written line leads to, if there is one and the tune begins again.
#[must_use]
pub fn problem_after(document: &Document, before: ChorusEnd) -> (Problem, Option<Midi>) {
    let mut bars = bar_plans(document);
    let (mut findings, leads_to) = write_line(document, &mut bars, before.leads_to);
    for (bar, plan) in bars.iter().enumerate() {
        findings.extend(idle_slides(bar, plan));
    }
    let problem = Problem {
        key: document.key,
        meter: document.meter,
        tempo_bpm: document.tempo_bpm,
        instrument: (*document.instrument).clone(),
        hand: (*document.hand).clone(),
        wish: Wish {
            open_strings: document.line.open_strings,
            barre: document.hand.barre,
            ..Wish::default()
        },
        approach: match document.line.approach {
            Approach::Below => ApproachFrom::Below,
            Approach::Above => ApproachFrom::Above,
            Approach::Alternate => ApproachFrom::Alternate,
            Approach::Easiest => ApproachFrom::Easiest,
        },
        keep_hardest_easy: document.line.keep_hardest_easy,
        findings,
        bars,
        form: document.form(),
        before: before.hand,
    };
    (problem, leads_to)
}

/// How much the bars of a document's written thumb line differ; `None` if no line is written.
#[must_use]
pub fn line_variety(document: &Document) -> Option<Variety> {
    line_of(document, &bar_plans(document)).map(|line| line.variety)
}

fn bar_plans(document: &Document) -> Vec<BarPlan> {
    let bars = document.bars().map(|bar| bar_plan(document, bar));
    let mut bars: Vec<BarPlan> = bars.collect();
    for (bar, tune) in bars.iter_mut().zip(tune_plans(document)) {
        bar.tune = tune;
    }
    bars
}

fn bar_plan(document: &Document, bar: &Bar) -> BarPlan {
    let length = bar.length_in(document.meter);
    let slots = thumb_slots(document, bar);
    let ends = slots.iter().skip(1).copied().chain([length]);
    let thumb = slots.iter().zip(ends).map(|(at, end)| ThumbPlan {
        at: *at,
        length: Ticks(end.0.saturating_sub(at.0)),
        wish: wish_at(bar, *at),
        decided: bar.thumb.iter().any(|(place, _)| place == at),
    });
    BarPlan {
        length,
        chords: bar
            .chords
            .iter()
            .map(|chord| ChordPlan {
                at: chord.at,
                chord: match &chord.harmony {
                    Harmony::Chord(symbol) => Some(Arc::new(symbol.chord().clone())),
                    Harmony::NoChord => None,
                },
                shape: chord.shape,
            })
            .collect(),
        thumb: thumb.collect(),
        plucks: plucks_of(document, bar),
        slides: bar.slides.clone(),
        tune: Vec::new(),
    }
}

/// Slides that nothing is struck for, or that the thumb does not take part in.
fn idle_slides(bar: usize, plan: &BarPlan) -> impl Iterator<Item = Finding> {
    plan.slides.iter().filter_map(move |(at, slide)| {
        let plucked = plan.plucks.iter().any(|pluck| pluck.at == *at);
        let silent = [ThumbMove::Rest, ThumbMove::Ghost].map(ThumbWish::Move);
        let thumb = plan.thumb.iter().find(|slot| slot.at == *at);
        let thumb = thumb.is_some_and(|slot| !silent.contains(&slot.wish));
        let whole = slide.what == Sliding::WholeGrip;
        let (message, advice) = match (plucked, whole, thumb) {
            (true, false, _) | (_, true, true) => return None,
            (true, true, false) => (
                "the thumb does not strike here, so the fingers slide alone",
                "let only the fingers slide, or let the thumb strike here too",
            ),
            (false, ..) => (
                "nothing is plucked here that could slide",
                "pluck the chord here",
            ),
        };
        let place = Place { bar, at: *at };
        Some(Finding {
            kind: FindingKind::NoSlide,
            place,
            message: message.into(),
            remedies: vec![
                Remedy::click("take the slide away", Fix::RemoveSlide(place)),
                Remedy::advice(advice),
            ],
        })
    })
}

/// The strikes of the fingers in a bar: its own, else those that its tune asks for, else the whole
/// tune's pattern, else the metre's usual one.
#[must_use]
pub fn plucks_of(document: &Document, bar: &Bar) -> Vec<Pluck> {
    let length = bar.length_in(document.meter);
    let under_tune = plucks_under_tune(bar, document.tune.density, length);
    let own = bar.plucks.as_ref().or(under_tune.as_ref());
    let decided = own.or(document.line.plucks.as_ref());
    let starts = || bar.chords.iter().map(|chord| chord.at).collect::<Vec<_>>();
    let mut plucks = decided
        .cloned()
        .unwrap_or_else(|| thumb::usual_plucks(document.meter, length, &starts()));
    plucks.retain(|pluck| pluck.at < length);
    plucks
}

/// The thumb strikes on every beat, where a chord begins, and where the user put a note.
pub(super) fn thumb_slots(document: &Document, bar: &Bar) -> Vec<Ticks> {
    let length = bar.length_in(document.meter);
    let mut slots = thumb::beats(length);
    slots.extend(bar.chords.iter().map(|chord| chord.at));
    slots.extend(bar.thumb.iter().map(|(at, _)| at));
    slots.sort();
    slots.dedup();
    slots.retain(|at| *at < length);
    slots
}

fn wish_at(bar: &Bar, at: Ticks) -> ThumbWish {
    match bar.thumb.iter().find(|(place, _)| *place == at) {
        Some((_, ThumbCell::Move(thumb_move))) => ThumbWish::Move(*thumb_move),
        Some((_, ThumbCell::Place(string, fret))) => ThumbWish::Place(*string, *fret),
        Some((_, ThumbCell::Kept(thumb_move, string, fret))) => {
            ThumbWish::Kept(*thumb_move, *string, *fret)
        }
        None => ThumbWish::Auto,
    }
}
