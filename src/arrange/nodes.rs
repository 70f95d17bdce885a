//! The nodes of one layer: every way the two hands can play one phase. A node says which voicing
//! of the span is in force, where the thumb note lies and with which finger, and the left-hand
//! states with which the phase is entered and left. Nodes are listed in a fixed order, which
//! breaks ties.

use super::change::Changes;
use super::change::HandState;
use super::moves::fingers_for;
use super::moves::move_classes;
use super::moves::thumb_strings;
use super::phase::Need;
use super::phase::Phase;
use super::phase::PhaseSlide;
use super::phase::Span;
use super::phase::Task;
use super::sliding;
use super::sliding::Slid;
use super::sliding::UNSLID;
use super::trellis::LEFT_OUT;
use crate::instrument::Cost;
use crate::instrument::Finger;
use crate::instrument::Grip;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::StringIdx;
use crate::instrument::fretboard::Fretboard;
use crate::instrument::playable;
use crate::theory::Chord;
use crate::theory::Key;
use crate::theory::Midi;
use crate::theory::MoveSet;
use crate::theory::PcSet;
use crate::theory::PitchClass;
use crate::theory::Sliding;
use crate::theory::ThumbMove;
use crate::voicing::Voicing;

/// A ringing chord is cut off because no free finger reaches the bass note (hand model, section
/// 4): about as bad as a wide stretch.
pub const CUT_RING: Cost = Cost::points(8);
/// A bass note is cut off because the fingers must strike and it can't be held with them.
pub const CUT_BASS: Cost = Cost::points(12);
/// A thumb note that has no place at all; always the last resort, and always reported.
pub const MISSED: Cost = LEFT_OUT;

/// Home places the free hand can hover over while an open string sounds.
pub(super) const HOVER_HOMES: std::ops::RangeInclusive<u8> = 1..=14;

/// A thumb note in its place.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct ThumbNote {
    /// Its function.
    pub thumb_move: ThumbMove,
    /// String.
    pub string: StringIdx,
    /// Fret from the capo.
    pub fret: u8,
    /// Finger; `None` on an open string.
    pub finger: Option<Finger>,
    /// What sounds.
    pub pitch: Midi,
    /// Whether the next bass note must be where this one leads. Not where its place or its pitch
    /// was given: that is played as it is.
    pub bound: bool,
}

/// A note of the tune in its place.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct SungPlace {
    /// String.
    pub string: StringIdx,
    /// Fret from the capo.
    pub fret: u8,
    /// Finger; `None` on an open string.
    pub finger: Option<Finger>,
    /// What sounds.
    pub pitch: Midi,
}

/// How a phase is played.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// The whole grip, bass included.
    Grip,
    /// The finger notes stay held beside another bass note.
    Beside,
    /// The chord is let go before its time.
    RingCut,
    /// The bass note is let go when the fingers strike.
    BassCut,
    /// The hand is free for the bass note.
    Free,
    /// Nothing to hold.
    Idle,
    /// The bass note has no place.
    Missed,
}

/// One way to play a phase.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Node {
    /// Index of the voicing among the span's; `None` once the chord is let go.
    pub voicing: Option<u32>,
    /// The bass note, if there is one.
    pub thumb: Option<ThumbNote>,
    /// The note of the tune, if one sounds.
    pub tune: Option<SungPlace>,
    /// The left hand when the phase begins.
    pub entry: HandState,
    /// The left hand when it ends.
    pub exit: HandState,
    /// How it is played.
    pub way: Way,
    /// Whether the slides of the phase are played.
    pub slid: bool,
    /// The top note of the chord, also once it is let go: the next one is heard after it.
    pub top: Option<Midi>,
}

/// The nodes of a layer with their costs.
#[derive(Clone, Debug, Default)]
pub struct Layer {
    /// Nodes; those with a voicing come in the order of the voicings.
    pub nodes: Vec<Node>,
    /// Their costs.
    pub costs: Vec<Cost>,
}

impl Layer {
    pub(super) fn push(&mut self, node: Node, cost: Cost) {
        self.nodes.push(node);
        self.costs.push(cost);
    }
}

/// What the nodes of a layer are made from.
pub struct Source<'a> {
    /// The instrument.
    pub instrument: &'a Instrument,
    /// Its geometry.
    pub board: &'a Fretboard,
    /// The hand.
    pub hand: &'a Hand,
    /// The key.
    pub key: Key,
    /// Costs of changes.
    pub changes: &'a Changes,
    /// The chord of the span, if any.
    pub chord: Option<&'a Chord>,
    /// Its voicings.
    pub voicings: &'a [Voicing],
    /// Pitch classes that the next thumb note may have.
    pub next_bass: PcSet,
    /// Under a tune, bass notes that may sound on from before, without fingers.
    pub struck: &'a [ThumbNote],
}

impl Source<'_> {
    /// All nodes of a phase of a span. `is_first` says whether the grip is put down here.
    #[must_use]
    pub fn layer(&self, span: &Span, phase: &Phase, is_first: bool) -> Layer {
        let mut layer = if span.sings {
            self.sung_layer(phase, span.top.is_some(), is_first)
        } else {
            self.unsung_layer(phase, is_first)
        };
        if !phase.slides.is_empty() {
            for (node, cost) in layer.nodes.iter().zip(&mut layer.costs) {
                if !node.slid {
                    *cost += UNSLID;
                }
            }
        }
        layer
    }

    fn unsung_layer(&self, phase: &Phase, is_first: bool) -> Layer {
        let mut layer = Layer::default();
        if self.chord.is_none() || (phase.strikes.is_empty() && self.voicings.is_empty()) {
            layer.push(idle(Way::Idle), Cost::ZERO);
            return layer;
        }
        match (&phase.task, phase.carried && !self.voicings.is_empty()) {
            (Task::Grip, true) => self.grips(&mut layer, phase, is_first),
            (_, true) => self.beside_grips(&mut layer, phase, is_first),
            (_, false) => self.free(&mut layer, &phase.task),
        }
        if layer.nodes.is_empty() || phase.task != Task::Grip {
            self.missed(&mut layer, phase, is_first);
        }
        for node in &mut layer.nodes {
            let voicing = node.voicing.and_then(|v| self.voicings.get(v as usize));
            node.top = voicing.and_then(top_of).or(node.top);
        }
        layer
    }

    /// How a grip is played with the slides of a phase, if it can be.
    fn slid(&self, phase: &Phase, grip: &Grip, bass: Option<StringIdx>) -> Option<Slid> {
        let last_fret = self.instrument.last_fret();
        let can_hold = |grip: &Grip| playable::why_not_on(grip, self.board, self.hand).is_none();
        let slides = &phase.slides;
        sliding::slid(grip, bass, slides, last_fret, self.changes, &can_hold)
    }

    pub(super) fn static_cost(&self, voicing: &Voicing, is_first: bool) -> Cost {
        if is_first {
            voicing.effort.total()
        } else {
            Cost::ZERO
        }
    }

    pub(super) fn numbered(&self) -> impl Iterator<Item = (u32, &Voicing)> {
        (0u32..).zip(self.voicings)
    }

    fn grips(&self, layer: &mut Layer, phase: &Phase, is_first: bool) {
        for (number, voicing) in self.numbered() {
            let thumb = bass_of(voicing);
            let held = self.held(phase, (number, &voicing.grip), thumb, Way::Grip);
            layer.push(held.0, held.1 + self.static_cost(voicing, is_first));
        }
    }

    /// A grip with its bass note held through a phase, with what its slides cost.
    pub(super) fn held(
        &self,
        phase: &Phase,
        (number, grip): (u32, &Grip),
        thumb: Option<ThumbNote>,
        way: Way,
    ) -> (Node, Cost) {
        let exit = HandState::of_grip(grip);
        let slid = self.slid(phase, grip, thumb.map(|note| note.string));
        let node = Node {
            voicing: Some(number),
            thumb,
            tune: None,
            entry: slid.map_or(exit, |slid| slid.entry),
            exit,
            way,
            slid: slid.is_some(),
            top: None,
        };
        (node, slid.map_or(Cost::ZERO, |slid| slid.cost))
    }

    /// Another bass note while the fingers keep the chord, and the ways out where they can't.
    fn beside_grips(&self, layer: &mut Layer, phase: &Phase, is_first: bool) {
        let places = self.places(&phase.task);
        for (number, voicing) in self.numbered() {
            let base = self.static_cost(voicing, is_first);
            let own = bass_of(voicing).map(|note| note.pitch);
            let fingers_only = without_bass(voicing);
            let lowest = voicing
                .notes
                .iter()
                .find(|n| n.string != voicing.thumb_string);
            for (note, extra) in &places {
                // A pitch that was asked for is played.
                if note.bound && note.thumb_move == ThumbMove::Octave && Some(note.pitch) == own {
                    continue;
                }
                let below = lowest.is_none_or(|n| note.string < n.string && note.pitch < n.pitch);
                for finger in fingers_for(note.fret) {
                    let thumb = ThumbNote { finger, ..*note };
                    if below && let Some(grip) = self.held_beside(&fingers_only, &thumb) {
                        let way = Way::Beside;
                        let (node, cost) = self.held(phase, (number, &grip), Some(thumb), way);
                        layer.push(node, cost + base + *extra);
                    }
                    self.push_cut(layer, phase, (number, &fingers_only), thumb, base + *extra);
                }
            }
        }
    }

    /// The grip of the fingers together with a bass note, if the hand can hold it.
    fn held_beside(&self, fingers: &Grip, thumb: &ThumbNote) -> Option<Grip> {
        let mut grip = *fingers;
        grip.shape = fingers.shape.with(thumb.string, Some(thumb.fret));
        grip = grip.with_finger(thumb.string, thumb.finger);
        playable::why_not_on(&grip, self.board, self.hand)
            .is_none()
            .then_some(grip)
    }

    fn push_cut(
        &self,
        layer: &mut Layer,
        phase: &Phase,
        (number, fingers): (u32, &Grip),
        thumb: ThumbNote,
        base: Cost,
    ) {
        let Some(entry) = lone_state(&thumb) else {
            return;
        };
        let voicing = Some(number);
        let thumb = Some(thumb);
        match phase.need {
            // Struck together with the fingers, the bass can't be let go for them.
            Need::Strike if phase.first_pluck_us == Some(phase.begins_us) => {}
            Need::Strike => {
                let exit = HandState::of_grip(fingers);
                let with_bass = |s: &PhaseSlide| s.slide.what == Sliding::WholeGrip;
                let slid = self.slid(phase, fingers, None);
                let slid = slid.filter(|_| !phase.slides.iter().any(with_bass));
                let struck = slid.map_or(exit, |slid| slid.entry);
                let pluck = phase.first_pluck_us.unwrap_or(phase.last_strike_us);
                let time = pluck.saturating_sub(phase.begins_us);
                let change = self.changes.cost(&entry, &struck, time);
                let back = slid.map_or(Cost::ZERO, |slid| slid.cost);
                let node = Node {
                    voicing,
                    thumb,
                    tune: None,
                    entry,
                    exit,
                    way: Way::BassCut,
                    slid: slid.is_some(),
                    top: None,
                };
                layer.push(node, base + CUT_BASS + change + back);
            }
            Need::Ring => {
                let node = Node {
                    voicing,
                    thumb,
                    tune: None,
                    entry,
                    exit: entry,
                    way: Way::RingCut,
                    slid: false,
                    top: None,
                };
                layer.push(node, base + CUT_RING);
            }
            Need::Free => {
                let node = Node {
                    voicing,
                    thumb,
                    tune: None,
                    entry,
                    exit: entry,
                    way: Way::Free,
                    slid: false,
                    top: None,
                };
                layer.push(node, base);
            }
        }
    }

    /// The hand is free: any finger at any place; over an open string it may hover anywhere. Each
    /// once for every top note that the chord before can have had.
    fn free(&self, layer: &mut Layer, task: &Task) {
        let mut tops: Vec<Option<Midi>> = self.voicings.iter().map(top_of).collect();
        tops.sort_unstable();
        tops.dedup();
        if tops.is_empty() {
            tops.push(None);
        }
        let mut any = Layer::default();
        self.free_for_any(&mut any, task);
        for top in tops {
            for (node, cost) in any.nodes.iter().zip(&any.costs) {
                layer.push(Node { top, ..*node }, *cost);
            }
        }
    }

    fn free_for_any(&self, layer: &mut Layer, task: &Task) {
        for (note, extra) in self.places(task) {
            for finger in fingers_for(note.fret) {
                let thumb = Some(ThumbNote { finger, ..note });
                if note.fret == 0 {
                    for home in HOVER_HOMES {
                        let state = HandState::hovering(home);
                        let node = Node {
                            voicing: None,
                            thumb,
                            tune: None,
                            entry: state,
                            exit: state,
                            way: Way::Free,
                            slid: false,
                            top: None,
                        };
                        layer.push(node, extra);
                    }
                } else if let Some(state) = lone_state(&ThumbNote { finger, ..note }) {
                    let node = Node {
                        voicing: None,
                        thumb,
                        tune: None,
                        entry: state,
                        exit: state,
                        way: Way::Free,
                        slid: false,
                        top: None,
                    };
                    layer.push(node, extra);
                }
            }
        }
    }

    /// The last resort, so that there is always a path: the note is left out, and reported.
    fn missed(&self, layer: &mut Layer, phase: &Phase, is_first: bool) {
        if !phase.carried || self.voicings.is_empty() {
            layer.push(idle(Way::Missed), MISSED);
            return;
        }
        for (number, voicing) in self.numbered() {
            let state = HandState::of_grip(&without_bass(voicing));
            let node = Node {
                voicing: Some(number),
                thumb: None,
                tune: None,
                entry: state,
                exit: state,
                way: Way::Missed,
                slid: false,
                top: None,
            };
            layer.push(node, self.static_cost(voicing, is_first) + MISSED);
        }
    }

    /// Every place where a task can be played on the thumb's strings, before fingers.
    pub(super) fn places(&self, task: &Task) -> Vec<(ThumbNote, Cost)> {
        match task {
            Task::Grip => self.where_lies(ThumbMove::Root, Cost::ZERO, None),
            Task::Hold | Task::Nothing => Vec::new(),
            Task::Moves(moves) => moves
                .iter()
                .flat_map(|(thumb_move, extra)| self.where_lies(*thumb_move, *extra, None))
                .collect(),
            Task::Pitched(thumb_move, pitch) => {
                self.where_lies(*thumb_move, Cost::ZERO, Some(*pitch))
            }
            Task::Exactly(named, string, fret) => {
                let note = self
                    .instrument
                    .pitch(*string, *fret)
                    .map(|pitch| ThumbNote {
                        thumb_move: self.function_of(*named, pitch.pitch_class()),
                        string: *string,
                        fret: *fret,
                        finger: None,
                        pitch,
                        bound: false,
                    });
                note.map(|note| (note, Cost::ZERO)).into_iter().collect()
            }
        }
    }

    /// Every place of a move on the thumb's strings, or of one pitch.
    fn where_lies(
        &self,
        thumb_move: ThumbMove,
        extra: Cost,
        exactly: Option<Midi>,
    ) -> Vec<(ThumbNote, Cost)> {
        let classes = self.classes_of(thumb_move);
        let fits = |pitch: Midi| match exactly {
            Some(asked) => asked == pitch,
            None => classes.contains(pitch.pitch_class()),
        };
        let mut places = Vec::new();
        for string in thumb_strings(self.instrument.n_strings()) {
            for fret in 0..=self.instrument.last_fret() {
                let pitch = self.instrument.pitch(string, fret);
                if let Some(pitch) = pitch.filter(|pitch| fits(*pitch)) {
                    let note = ThumbNote {
                        thumb_move,
                        string,
                        fret,
                        finger: None,
                        pitch,
                        bound: exactly.is_none(),
                    };
                    places.push((note, extra));
                }
            }
        }
        places
    }

    fn classes_of(&self, thumb_move: ThumbMove) -> PcSet {
        self.chord.map_or(PcSet::EMPTY, |chord| {
            move_classes(chord, thumb_move, self.key, self.next_bass)
        })
    }

    /// What a note at a place the user chose is for: what it is said to be for if it is, else what
    /// the chord makes of it.
    fn function_of(&self, said: Option<ThumbMove>, pc: PitchClass) -> ThumbMove {
        let fits = |m: &ThumbMove| self.classes_of(*m).contains(pc);
        let found = said
            .filter(fits)
            .or_else(|| MoveSet::TONES.iter().find(fits))
            .or_else(|| MoveSet::CHROMATIC.iter().find(fits));
        found.unwrap_or(ThumbMove::StepUp)
    }
}

fn idle(way: Way) -> Node {
    let state = HandState::EMPTY;
    Node {
        voicing: None,
        thumb: None,
        tune: None,
        entry: state,
        exit: state,
        way,
        slid: false,
        top: None,
    }
}

pub(super) fn bass_of(voicing: &Voicing) -> Option<ThumbNote> {
    let string = voicing.thumb_string;
    let note = voicing.notes.iter().find(|note| note.string == string)?;
    Some(ThumbNote {
        thumb_move: ThumbMove::Root,
        string,
        fret: voicing.grip.shape.fret(string)?,
        finger: voicing.grip.finger(string),
        pitch: note.pitch,
        bound: true,
    })
}

/// The highest note of a voicing.
fn top_of(voicing: &Voicing) -> Option<Midi> {
    voicing.notes.iter().map(|note| note.pitch).max()
}

/// What the fingers hold of a voicing when its bass note is left.
pub(super) fn without_bass(voicing: &Voicing) -> Grip {
    let mut grip = voicing.grip.with_finger(voicing.thumb_string, None);
    grip.shape = grip.shape.with(voicing.thumb_string, None);
    grip
}

/// The state of a hand that holds only this note; `None` if the finger would have to lie beyond
/// the nut.
fn lone_state(thumb: &ThumbNote) -> Option<HandState> {
    let Some(finger) = thumb.finger else {
        return Some(HandState::EMPTY);
    };
    let room = thumb.fret + 1 > finger as u8;
    room.then(|| HandState::one_finger(finger, thumb.string.0, thumb.fret))
}
