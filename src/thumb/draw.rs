//! Draws a line from the front, note by note, by weight and seed among the notes from which the
//! line can be finished: the forward half of the writer. Never meets a dead end and never goes
//! back.

use super::bars;
use super::bars::Bars;
use super::bars::Table;
use super::candidates::Candidate;
use super::endings;
use super::endings::Onward;
use super::endings::Pattern;
use super::layers::Layer;
use super::line::LineNote;
use super::problem::LineProblem;
use super::problem::Slot;
use super::random::SplitMix64;
use super::step::State;
use super::weights;
use crate::theory::Midi;
use crate::theory::MoveSet;
use crate::theory::PitchClass;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use std::collections::BTreeMap;

/// Draws the notes of a line, given what can follow each bar.
pub fn notes(bars: &Bars<'_>, onward: &[Vec<Onward>]) -> Vec<LineNote> {
    let mut drawing = Drawing {
        bars,
        notes: Vec::new(),
        state: None,
        pattern: 0,
        models: BTreeMap::new(),
        last_bar: Vec::new(),
    };
    for (bar, onward) in onward.iter().enumerate() {
        drawing.bar(bar, &bars.table(bar, onward));
    }
    drawing.notes
}

/// What tells bars of the same shape, for riffs.
type Shape = Vec<(bool, bool, bool)>;

struct Drawing<'a> {
    bars: &'a Bars<'a>,
    notes: Vec<LineNote>,
    state: Option<(State, &'a Layer<'a>)>,
    /// The bar before as a pattern.
    pattern: Pattern,
    /// The last bar of each shape.
    models: BTreeMap<Shape, Vec<ThumbMove>>,
    /// The bar before; empty if it has no chord.
    last_bar: Vec<ThumbMove>,
}

impl<'a> Drawing<'a> {
    fn bar(&mut self, bar: usize, table: &Table) {
        let layers = self.bars.bar_layers(bar);
        let forbidden = if self.bars.is_fresh(bar) {
            self.pattern
        } else {
            0
        };
        let kind = |layer: &Layer<'_>| {
            let slot = layer.slot;
            (
                slot.first_of_chord,
                slot.last_before_change,
                slot.span.is_some(),
            )
        };
        let shape: Shape = layers.iter().map(kind).collect();
        let riff = layers.first().is_some_and(|layer| layer.slot.riff);
        let model = if riff { self.model(&shape) } else { Vec::new() };
        let riff_row = self.bars.like(layers, &model);
        let mut pattern: Pattern = 0;
        let mut moves = Vec::with_capacity(layers.len());
        for (index, (layer, row)) in layers.iter().zip(table).enumerate() {
            let n_after = bars::recorded(layers.len(), index);
            let in_pattern = index < endings::MAX_MOVES;
            let longer = |own: Pattern| {
                if in_pattern {
                    endings::joined(pattern, own, 1)
                } else {
                    pattern
                }
            };
            let possible = |state: &State| {
                let beginning = longer(bars::pattern_of(layer, *state));
                let endings = bars::endings_of(layer, row, *state);
                endings.is_some_and(|e| e.possible(beginning, n_after, forbidden))
            };
            let open: Vec<State> = self.followers(layer).into_iter().filter(possible).collect();
            let like_model = |state: &State| {
                let row = riff_row.get(index);
                let place = layer.states.binary_search(state).ok();
                place.and_then(|place| row?.get(place).copied()) == Some(true)
            };
            let same: Vec<State> = open.iter().filter(|s| like_model(s)).copied().collect();
            let open = if same.is_empty() { open } else { same };
            let Some(state) = self.choose(layer, &open, model.get(index).copied()) else {
                return;
            };
            pattern = longer(bars::pattern_of(layer, state));
            moves.extend(self.write(layer, state));
        }
        let has_chord = layers.iter().any(|layer| layer.slot.span.is_some());
        self.last_bar.clear();
        self.last_bar.extend(moves.iter().filter(|_| has_chord));
        self.models.insert(shape, moves);
        self.pattern = pattern;
    }

    /// What a riff takes up: the last bar of this shape, which is the bar before if that has it;
    /// if there is none, the bar before slot by slot.
    fn model(&self, shape: &Shape) -> Vec<ThumbMove> {
        self.models.get(shape).unwrap_or(&self.last_bar).clone()
    }

    fn followers(&self, layer: &Layer<'_>) -> Vec<State> {
        match self.state {
            None => layer.states.clone(),
            Some((state, last)) => last.after(self.bars.problem, state, layer).collect(),
        }
    }

    /// A move by its weight, then one of its pitches by its nearness.
    fn choose(&self, layer: &Layer<'_>, open: &[State], model: Option<ThumbMove>) -> Option<State> {
        let problem = self.bars.problem;
        let slot = layer.slot;
        let mut dice = SplitMix64::of_slot(problem.seed, slot.bar as u64, slot.at.0);
        let note = |state: &State| layer.candidates.get(usize::from(state.candidate)).copied();
        let has = |m: ThumbMove| open.iter().filter_map(note).any(|n| n.thumb_move == m);
        let moves: Vec<ThumbMove> = ThumbMove::ALL.into_iter().filter(|m| has(*m)).collect();
        let last = self.notes.last().and_then(|note| note.pitch);
        let last = last.map(Midi::number);
        let weight = |m: &ThumbMove| {
            let mut notes = open.iter().filter_map(note);
            let is_fresh = |n: Candidate| n.thumb_move == *m && (last.is_none() || n.pitch != last);
            let favour = if notes.any(is_fresh) {
                weights::FRESH_FAVOUR
            } else {
                1
            };
            weights::weight(*m, slot, model) * favour
        };
        let shares: Vec<u64> = moves.iter().map(weight).collect();
        let thumb_move = *moves.get(dice.pick(&shares)?)?;
        let of_move = |state: &&State| note(state).is_some_and(|n| n.thumb_move == thumb_move);
        let states: Vec<State> = open.iter().filter(of_move).copied().collect();
        let range = (problem.range.0.number(), problem.range.1.number());
        let near = |state: &State| {
            let pitch = note(state).and_then(|n| n.pitch);
            pitch.map_or(1, |pitch| weights::nearness(thumb_move, pitch, last, range))
        };
        let shares: Vec<u64> = states.iter().map(near).collect();
        states.get(dice.pick(&shares)?).copied()
    }

    fn write(&mut self, layer: &'a Layer<'a>, state: State) -> Option<ThumbMove> {
        self.state = Some((state, layer));
        let note = layer.candidates.get(usize::from(state.candidate))?;
        let pitch = note.pitch.and_then(Midi::new);
        let spelled = |pitch: Midi| spelling(self.bars.problem, layer.slot, note.thumb_move, pitch);
        self.notes.push(LineNote {
            bar: layer.slot.bar,
            at: layer.slot.at,
            thumb_move: note.thumb_move,
            pitch,
            spelling: pitch.map(spelled),
        });
        Some(note.thumb_move)
    }
}

/// Tones are spelled by the chord, steps by the scale, approaches by the key and their direction.
fn spelling(problem: &LineProblem, slot: &Slot, thumb_move: ThumbMove, pitch: Midi) -> Spelling {
    let pc: PitchClass = pitch.pitch_class();
    let span = problem.span(slot);
    let by_chord = || span.and_then(|span| span.chord.spell(pc));
    let by_scale = || span.and_then(|span| span.scale.spell(pc));
    let own = if MoveSet::TONES.has(thumb_move) {
        by_chord()
    } else if MoveSet::STEPS.has(thumb_move) {
        by_scale()
    } else {
        None
    };
    own.unwrap_or_else(|| problem.key.spell(pc, thumb_move.rises()))
}
