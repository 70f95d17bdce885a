//! Writes a path through the layers out as an arrangement: notes with both hands' fingers, the
//! grip of every chord, effort by moment, and findings.

use super::grip_remedies::KnownChords;
use super::judge::Judge;
use super::jumps;
use super::layers::Layers;
use super::moments::bar_starts;
use super::nodes::Node;
use super::nodes::ThumbNote;
use super::nodes::Way;
use super::phase::Phase;
use super::phase::Span;
use super::phase::Strike;
use super::phase::Task;
use super::problem::Problem;
use super::result::Arrangement;
use super::result::ChosenGrip;
use super::result::HandAtEnd;
use super::result::Lane;
use super::result::Place;
use super::result::PlayedNote;
use super::result::PluckFinger;
use super::result::SlotEffort;
use super::right_hand;
use super::sliding;
use super::trellis::BestPath;
use super::trellis::Layered;
use crate::instrument::Cost;
use crate::instrument::Effort;
use crate::instrument::Term;
use crate::theory::Articulation;
use crate::theory::Slide;
use crate::theory::Spelling;
use crate::theory::ThumbMove;
use crate::theory::Ticks;
use crate::voicing::Voicing;

/// Turns the best path into an arrangement; what it finds out about chords is kept in `known`.
#[must_use]
pub fn write_out(
    problem: &Problem,
    layers: &Layers,
    path: &BestPath,
    known: &mut KnownChords,
) -> Arrangement {
    let mut writer = Writer {
        problem,
        layers,
        out: Arrangement {
            sum: path.sum,
            max: path.max,
            ..Arrangement::default()
        },
        largest: Cost::ZERO,
        has_grip: false,
        bar_starts: bar_starts(&problem.bars),
        judge: Judge::new(problem, layers, known),
    };
    let mut before: Option<Node> = None;
    for (layer, idx) in path.nodes.iter().enumerate() {
        let phase = layers.plan().phases.get(layer);
        let (Some(phase), Some(node)) = (phase, layers.node(layer, *idx)) else {
            continue;
        };
        let Some(span) = layers.plan().spans.get(phase.span) else {
            continue;
        };
        let change = before.map_or_else(
            || layers.entry_effort(&node),
            |b| layers.edge_effort(layer - 1, &b, &node),
        );
        writer.time(layer, phase.place, (before.as_ref(), &node));
        let node_cost = layers
            .node_costs(layer)
            .get(*idx)
            .copied()
            .unwrap_or_default();
        writer.phase(&Step {
            layer,
            phase,
            span,
            node: &node,
            before: before.as_ref(),
            node_cost,
            change,
        });
        before = Some(node);
    }
    for (from, to, time_us) in jumps::heard_changes(problem, layers.plan()) {
        let node = |layer: usize| layers.node(layer, *path.nodes.get(layer)?);
        if let (Some(from), Some(there)) = (node(from), node(to)) {
            let change = (&from.exit, &there.entry);
            let bpm = layers.comfortable_in(time_us, change, problem.tempo_bpm);
            let place = layers.plan().phases.get(to).map(|phase| phase.place);
            writer.comfortable(bpm, place.unwrap_or_default());
        }
    }
    let end = jumps::end(problem, layers.plan());
    writer.out.end = end.and_then(|(layer, elsewhere, time_us)| {
        let node = layers.node(layer, *path.nodes.get(layer)?)?;
        let leading = |note: ThumbNote| ThumbNote {
            bound: note.bound && !elsewhere,
            ..note
        };
        Some(HandAtEnd {
            hand: node.exit,
            thumb: node.thumb.map(leading),
            top: node.top,
            time_us,
        })
    });
    writer.out.findings = writer.judge.findings;
    writer.out.findings.extend(problem.findings.iter().cloned());
    writer.out.findings.sort_by_key(|finding| finding.place);
    right_hand::letters(&mut writer.out.notes);
    writer
        .out
        .notes
        .sort_by_key(|note| (note.place, note.lane != Lane::Thumb, note.string));
    writer.out
}

struct Step<'a> {
    layer: usize,
    phase: &'a Phase,
    span: &'a Span,
    node: &'a Node,
    before: Option<&'a Node>,
    node_cost: Cost,
    change: Effort,
}

struct Writer<'a> {
    problem: &'a Problem,
    layers: &'a Layers,
    out: Arrangement,
    largest: Cost,
    /// Whether there is a grip for the chord in force.
    has_grip: bool,
    bar_starts: Vec<u64>,
    judge: Judge<'a>,
}

impl Writer<'_> {
    fn time(&mut self, layer: usize, place: Place, (before, node): (Option<&Node>, &Node)) {
        let tempo = self.problem.tempo_bpm;
        let Some(before) = before else {
            let bpm = self.layers.hand_before().and_then(|(hand, time_us)| {
                let change = (&hand, &node.entry);
                self.layers.comfortable_in(time_us, change, tempo)
            });
            self.comfortable(bpm, place);
            return;
        };
        // What is not heard one after the other takes no time.
        if !self.layers.is_seam(layer - 1) {
            let pair = (before, node);
            let bpm = self.layers.comfortable_bpm(layer - 1, pair, tempo);
            self.comfortable(bpm, place);
        }
    }

    /// Takes the tempo up to which a change is comfortable that arrives at a place.
    fn comfortable(&mut self, bpm: Option<u16>, place: Place) {
        if let Some(bpm) = bpm
            && self.out.comfortable.is_none_or(|(least, _)| bpm < least)
        {
            self.out.comfortable = Some((bpm, place));
        }
    }

    fn phase(&mut self, step: &Step<'_>) {
        let voicing = self.layers.voicing(step.layer, step.node);
        let is_first = step.span.phases.start == step.layer;
        self.effort(step, voicing.filter(|_| is_first));
        if is_first && (step.span.is_written() || step.span.again) {
            let grip = ChosenGrip {
                place: step.span.place,
                held_from: step.phase.place,
                chord_idx: step.span.chord_idx,
                voicing: voicing.cloned(),
                change: step.change.clone(),
            };
            self.has_grip = grip.voicing.is_some();
            if step.span.again {
                self.out.retaken.push(grip);
            } else {
                self.out.grips.push(grip);
            }
            let choices = self.layers.voicings(step.layer);
            self.judge.grip(step.span, voicing, choices);
        }
        let here = (step.layer, step.phase, step.span);
        self.judge
            .way(here, step.node, self.has_grip, &self.out.notes);
        self.let_go(step);
        self.let_go_of_held(step);
        for strike in &step.phase.strikes {
            match *strike {
                Strike::Thumb {
                    place,
                    length,
                    silent,
                    slide,
                } => {
                    let slide = slide.filter(|_| step.node.slid);
                    if slide.is_some() {
                        // The whole hand goes to where the slide begins.
                        self.stop_ringing(step, place);
                    }
                    self.thumb(step, voicing, (place, length, silent), slide);
                }
                Strike::Fingers {
                    place,
                    length,
                    articulation,
                    slide,
                } => {
                    let slide = slide.filter(|_| step.node.slid);
                    let topped = step.span.top.is_some();
                    self.fingers(voicing, topped, (place, length, articulation), slide);
                }
                Strike::Tune {
                    place,
                    length,
                    spelling,
                    slide,
                } => {
                    let slide = slide.filter(|_| step.node.slid);
                    self.tune(step.node, (place, length), spelling, slide);
                }
            }
        }
    }

    fn effort(&mut self, step: &Step<'_>, put_down: Option<&Voicing>) {
        let mut effort = step.change.clone();
        let change = effort.total();
        let held = put_down.map(|v| v.effort.clone()).unwrap_or_default();
        let extra = Cost(step.node_cost.0 - held.total().0);
        let left_out = step.phase.tune.is_some() && step.node.tune.is_none();
        let cut = matches!(step.node.way, Way::RingCut | Way::BassCut | Way::Missed) || left_out;
        effort.add(if cut { Term::Cut } else { Term::Lead }, extra);
        effort.add_all(&held);
        if change > self.largest {
            self.largest = change;
            self.out.hardest = Some(step.phase.place);
        }
        self.out.slots.push(SlotEffort {
            place: step.phase.place,
            effort,
        });
    }

    fn thumb(
        &mut self,
        step: &Step<'_>,
        voicing: Option<&Voicing>,
        (place, length, silent): (Place, Ticks, Option<ThumbMove>),
        slide: Option<Slide>,
    ) {
        let Some(note) = step.node.thumb else { return };
        if silent == Some(ThumbMove::Rest) {
            return;
        }
        let thumb_move = silent.unwrap_or(note.thumb_move);
        let Some(length) = until_cut(step, place, length) else {
            return;
        };
        let spelling = self.spelling(step, voicing, &note);
        let short = silent.is_some();
        self.out.notes.push(PlayedNote {
            place,
            length,
            string: note.string,
            fret: note.fret,
            finger: note.finger,
            pluck: PluckFinger::P,
            lane: Lane::Thumb,
            pitch: note.pitch,
            spelling,
            thumb_move: Some(thumb_move),
            articulation: if short {
                Articulation::Short
            } else {
                Articulation::Ring
            },
            slide_from: self.origin(note.fret, slide),
        });
    }

    fn origin(&self, fret: u8, slide: Option<Slide>) -> Option<u8> {
        sliding::origin(fret, slide?.from, self.problem.instrument.last_fret())
    }

    fn spelling(&self, step: &Step<'_>, voicing: Option<&Voicing>, note: &ThumbNote) -> Spelling {
        let pc = note.pitch.pitch_class();
        let own = voicing.and_then(|v| v.notes.iter().find(|n| n.pitch == note.pitch));
        let of_chord = || step.span.chord.as_ref().and_then(|chord| chord.spell(pc));
        let leads = !note.thumb_move.leads_by().is_empty();
        let rising = note.thumb_move.rises();
        match own {
            Some(own) if !leads => own.spelling,
            _ if leads => self.problem.key.spell(pc, rising),
            _ => of_chord().unwrap_or_else(|| self.problem.key.spell(pc, rising)),
        }
    }

    /// A note of the tune, if it has a place. The right hand's finger is chosen at the end.
    fn tune(
        &mut self,
        node: &Node,
        (place, length): (Place, Ticks),
        spelling: Spelling,
        slide: Option<Slide>,
    ) {
        let Some(note) = node.tune else { return };
        self.out.notes.push(PlayedNote {
            place,
            length,
            string: note.string,
            fret: note.fret,
            finger: note.finger,
            pluck: PluckFinger::M,
            lane: Lane::Tune,
            pitch: note.pitch,
            spelling,
            thumb_move: None,
            articulation: Articulation::Ring,
            slide_from: self.origin(note.fret, slide),
        });
    }

    /// What sounded on and is let go ends here, and is reported.
    fn let_go_of_held(&mut self, step: &Step<'_>) {
        let Some(before) = step.before else { return };
        let here = step.phase.place;
        let holds = step.phase.tune.is_some_and(|sound| sound.holds);
        if holds && before.tune.is_some() && step.node.tune.is_none() {
            self.end_last(Lane::Tune, here);
            self.judge.tune_let_go(here);
        }
        if step.phase.task == Task::Nothing {
            // A ghost note is only a thump; the hand may go on.
            self.end_last(Lane::Thumb, here);
        }
        let bass = step.phase.task == Task::Hold;
        if bass && before.thumb.is_some() && step.node.thumb.is_none() {
            self.end_last(Lane::Thumb, here);
            self.judge.bass_let_go(here);
        }
    }

    /// Ends the last note of a lane at a place.
    fn end_last(&mut self, lane: Lane, here: Place) {
        let starts = &self.bar_starts;
        let ticks = |place: Place| {
            starts.get(place.bar).copied().unwrap_or_default() + u64::from(place.at.0)
        };
        let notes = self.out.notes.iter_mut().rev();
        if let Some(note) = notes.into_iter().find(|note| note.lane == lane) {
            let left = ticks(here).saturating_sub(ticks(note.place));
            let left = u32::try_from(left).unwrap_or(u32::MAX);
            note.length = note.length.min(Ticks(left));
        }
    }

    fn fingers(
        &mut self,
        voicing: Option<&Voicing>,
        topped: bool,
        (place, length, articulation): (Place, Ticks, Articulation),
        slide: Option<Slide>,
    ) {
        let Some(voicing) = voicing else { return };
        let upper = voicing
            .notes
            .iter()
            .filter(|note| note.string != voicing.thumb_string);
        // The note on top is the tune's.
        let n_upper = upper.clone().count() - usize::from(topped && upper.clone().count() > 0);
        let upper = upper.take(n_upper);
        let letters = [
            PluckFinger::I,
            PluckFinger::M,
            PluckFinger::A,
            PluckFinger::C,
        ];
        for (note, pluck) in upper.zip(letters) {
            let fret = voicing.grip.shape.fret(note.string).unwrap_or(0);
            self.out.notes.push(PlayedNote {
                place,
                length,
                string: note.string,
                fret,
                finger: voicing.grip.finger(note.string),
                pluck,
                lane: Lane::Fingers,
                pitch: note.pitch,
                spelling: note.spelling,
                thumb_move: None,
                articulation,
                slide_from: self.origin(fret, slide),
            });
        }
    }

    /// A ringing chord ends where the hand leaves it for a bass note.
    fn let_go(&mut self, step: &Step<'_>) {
        let lets_go = match step.node.way {
            // The bass note alone is held at first; the fingers come back when they strike.
            Way::RingCut | Way::BassCut | Way::Free => true,
            Way::Missed => step.node.voicing.is_none(),
            Way::Grip | Way::Beside | Way::Idle => false,
        };
        if !lets_go {
            return;
        }
        self.stop_ringing(step, step.phase.place);
    }

    /// Ends the span's finger notes that still sound at a place.
    fn stop_ringing(&mut self, step: &Step<'_>, here: Place) {
        let phases = &self.layers.plan().phases;
        let taken = phases.get(step.span.phases.start);
        let taken = taken.map_or(step.span.place, |phase| phase.place);
        // What was struck ahead of the bar can still ring in it.
        let bar_before = here.bar.checked_sub(1);
        let bar_before = bar_before.and_then(|bar| self.problem.bars.get(bar));
        let bar_before = bar_before.map_or(0, |bar| bar.length.0);
        let recent = |note: &&mut PlayedNote| note.place.bar + 1 >= here.bar;
        for note in self.out.notes.iter_mut().rev().take_while(recent) {
            let before = if note.place.bar < here.bar {
                bar_before
            } else {
                0
            };
            let left = Ticks((before + here.at.0).saturating_sub(note.place.at.0));
            if note.lane == Lane::Fingers && note.place < here && note.place >= taken {
                note.length = note.length.min(left);
            }
        }
    }
}

/// How long a bass note sounds, if it sounds at all: one that is cut, until the fingers strike.
fn until_cut(step: &Step<'_>, place: Place, length: Ticks) -> Option<Ticks> {
    if step.node.way != Way::BassCut {
        return Some(length);
    }
    let strike = |strike: &Strike| match strike {
        Strike::Fingers { place, .. } => Some(*place),
        Strike::Thumb { .. } | Strike::Tune { .. } => None,
    };
    let cut = step.phase.strikes.iter().find_map(strike);
    match cut {
        Some(cut) if cut <= place => None,
        Some(cut) if cut.bar == place.bar => {
            Some(length.min(Ticks(cut.at.0.saturating_sub(place.at.0))))
        }
        _ => Some(length),
    }
}
