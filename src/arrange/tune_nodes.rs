//! The nodes of a phase under a tune: every way the left hand can have a bass note, the chord between
//! and a note of the tune at once. The tune note lies above everything else, the bass below; where
//! the hand cannot hold them all, first the ringing chord is cut, then the bass. A note of the tune is
//! left out only if nothing else leads on. Nodes are listed in a fixed order, which breaks ties.

use super::change::HandState;
use super::moves::fingers_for;
use super::nodes::CUT_BASS;
use super::nodes::CUT_RING;
use super::nodes::HOVER_HOMES;
use super::nodes::Layer;
use super::nodes::MISSED;
use super::nodes::Node;
use super::nodes::Source;
use super::nodes::SungPlace;
use super::nodes::ThumbNote;
use super::nodes::Way;
use super::nodes::bass_of;
use super::nodes::without_bass;
use super::phase::Need;
use super::phase::Phase;
use super::phase::Task;
use crate::instrument::Cost;
use crate::instrument::Finger;
use crate::instrument::Grip;
use crate::instrument::Shape;
use crate::instrument::StringIdx;
use crate::instrument::playable;
use crate::theory::Midi;
use crate::theory::ThumbMove;
use crate::voicing::Voicing;

/// A bass note, or none, with what it costs beyond its playing.
type Bass = (Option<ThumbNote>, Cost);
/// The same for a note of the tune.
type Tune = (Option<SungPlace>, Cost);

/// What the fingers have of a voicing under a tune.
struct Inner {
    /// Its number among the span's, if the chord is in force.
    voicing: Option<u32>,
    /// The notes between bass and tune.
    grip: Grip,
    /// Where they lie, string and pitch, from the lowest string.
    notes: Vec<(StringIdx, Midi)>,
    /// What it costs to put it down.
    cost: Cost,
}

impl Source<'_> {
    /// All nodes of a phase in a span in which the tune sounds. `top` says whether the span's voicings
    /// have a note of the tune on top, `is_first` whether the grip is put down here.
    #[must_use]
    pub(super) fn sung_layer(&self, phase: &Phase, top: bool, is_first: bool) -> Layer {
        let mut layer = Layer::default();
        let mut add = |inner: &Inner, tunes: &[Tune], basses: &[Bass]| {
            for tune in tunes {
                for bass in basses {
                    self.together(&mut layer, phase, inner, *tune, *bass);
                }
            }
        };
        if phase.carried && !self.voicings.is_empty() {
            for (number, voicing) in self.numbered() {
                let inner = self.inner(number, voicing, top, is_first);
                let tunes = self.tunes(phase, Some(voicing).filter(|_| top));
                add(&inner, &tunes, &self.basses(phase, Some(voicing)));
            }
        } else {
            let inner = Inner {
                voicing: None,
                grip: Grip::unfingered(Shape::silent(self.instrument.n_strings())),
                notes: Vec::new(),
                cost: Cost::ZERO,
            };
            add(&inner, &self.tunes(phase, None), &self.basses(phase, None));
        }
        layer
    }

    fn inner(&self, number: u32, voicing: &Voicing, top: bool, is_first: bool) -> Inner {
        let mut grip = without_bass(voicing);
        let mut notes: Vec<(StringIdx, Midi)> = voicing
            .notes
            .iter()
            .filter(|note| note.string != voicing.thumb_string)
            .map(|note| (note.string, note.pitch))
            .collect();
        if top && let Some((string, _)) = notes.pop() {
            grip = grip.with_finger(string, None);
            grip.shape = grip.shape.with(string, None);
        }
        Inner {
            voicing: Some(number),
            grip,
            notes,
            cost: self.static_cost(voicing, is_first),
        }
    }

    /// Where the tune note of a phase can lie. `topped` is the voicing that has it on top, if one has.
    fn tunes(&self, phase: &Phase, topped: Option<&Voicing>) -> Vec<Tune> {
        let Some(sound) = phase.tune else {
            return vec![(None, Cost::ZERO)];
        };
        let mut places = Vec::new();
        if let Some(own) = topped.filter(|_| sound.own).and_then(own_of) {
            places.push((Some(own), Cost::ZERO));
            if !sound.holds {
                return places;
            }
        } else {
            for string in (0..self.instrument.n_strings()).map(StringIdx) {
                let Some(fret) = self.fret_of(string, sound.pitch) else {
                    continue;
                };
                places.extend(fingers_for(fret).map(|finger| {
                    let place = SungPlace {
                        string,
                        fret,
                        finger,
                        pitch: sound.pitch,
                    };
                    (Some(place), Cost::ZERO)
                }));
            }
        }
        // What has been struck can be let go, at a price that lies in the change.
        let left_out = if sound.holds { Cost::ZERO } else { MISSED };
        places.push((None, left_out));
        places
    }

    fn fret_of(&self, string: StringIdx, pitch: Midi) -> Option<u8> {
        let open = self.instrument.pitch(string, 0)?;
        let fret = pitch.number().checked_sub(open.number())?;
        (fret <= self.instrument.last_fret()).then_some(fret)
    }

    /// What the thumb can have in a phase.
    fn basses(&self, phase: &Phase, voicing: Option<&Voicing>) -> Vec<Bass> {
        let own = voicing.and_then(bass_of);
        let fingered = |note: &ThumbNote, extra: Cost| {
            let note = *note;
            fingers_for(note.fret).map(move |finger| (Some(ThumbNote { finger, ..note }), extra))
        };
        let mut basses: Vec<Bass> = Vec::new();
        match &phase.task {
            Task::Nothing => basses.push((None, Cost::ZERO)),
            Task::Grip if own.is_some() => basses.push((own, Cost::ZERO)),
            Task::Hold => {
                let struck = self.struck.iter();
                basses.extend(struck.flat_map(|note| fingered(note, Cost::ZERO)));
                if own.is_some() && !basses.contains(&(own, Cost::ZERO)) {
                    basses.push((own, Cost::ZERO));
                }
                basses.push((None, Cost::ZERO));
            }
            task => {
                for (note, extra) in self.places(task) {
                    // A pitch that was asked for is played.
                    let repeats = note.bound
                        && note.thumb_move == ThumbMove::Octave
                        && own.is_some_and(|own| own.pitch == note.pitch);
                    if !repeats {
                        basses.extend(fingered(&note, extra));
                    }
                }
                basses.push((None, MISSED));
            }
        }
        basses
    }

    /// Adds every way to have a bass note, what is kept of the chord, and a tune note at once.
    fn together(
        &self,
        layer: &mut Layer,
        phase: &Phase,
        inner: &Inner,
        (tune, tune_cost): Tune,
        (bass, bass_cost): Bass,
    ) {
        let cost = inner.cost + tune_cost + bass_cost;
        let missed = bass.is_none() && bass_cost != Cost::ZERO;
        let way = |usual: Way| if missed { Way::Missed } else { usual };
        let outer = (tune, bass);
        if !in_order(&[], outer) {
            return;
        }
        let Some(number) = inner.voicing else {
            self.free_states(layer, outer, (None, way(Way::Free)), cost);
            return;
        };
        if in_order(&inner.notes, outer) {
            let whole = with_notes(&inner.grip, outer);
            if self.can_hold(&whole) {
                let usual = if phase.task == Task::Grip {
                    Way::Grip
                } else {
                    Way::Beside
                };
                self.kept(layer, phase, (number, &whole), outer, (way(usual), cost));
            }
        }
        let own = phase.tune.is_some_and(|sound| sound.own) && tune.is_some();
        let whole_grip = matches!(phase.task, Task::Grip) && (own || tune.is_none());
        if whole_grip || missed {
            return;
        }
        match phase.need {
            Need::Strike => {
                let at_once = phase.first_pluck_us == Some(phase.begins_us);
                let strikes = bass.is_some() && phase.task != Task::Hold;
                if strikes && !at_once {
                    self.bass_cut(layer, phase, (number, inner), outer, cost + CUT_BASS);
                }
            }
            Need::Ring => {
                let played = (Some(number), Way::RingCut);
                self.free_states(layer, outer, played, cost + CUT_RING);
            }
            Need::Free => self.free_states(layer, outer, (Some(number), Way::Free), cost),
        }
    }

    fn can_hold(&self, grip: &Grip) -> bool {
        playable::why_not_on(grip, self.board, self.hand).is_none()
    }

    /// Everything is held through the phase.
    fn kept(
        &self,
        layer: &mut Layer,
        phase: &Phase,
        (number, grip): (u32, &Grip),
        (tune, bass): (Option<SungPlace>, Option<ThumbNote>),
        (way, cost): (Way, Cost),
    ) {
        let (node, slide_cost) = self.held(phase, (number, grip), bass, way);
        // A note that sounds already does not slide with the others.
        let sounds_on = phase.tune.is_some_and(|sound| sound.holds) && tune.is_some();
        let stays = sounds_on && !phase.slides.is_empty();
        let node = Node {
            tune,
            slid: node.slid && !stays,
            entry: if stays { node.exit } else { node.entry },
            ..node
        };
        let slide_cost = if stays { Cost::ZERO } else { slide_cost };
        layer.push(node, cost + slide_cost);
    }

    /// The bass is let go when the fingers strike; the tune note stays.
    fn bass_cut(
        &self,
        layer: &mut Layer,
        phase: &Phase,
        (number, inner): (u32, &Inner),
        (tune, bass): (Option<SungPlace>, Option<ThumbNote>),
        cost: Cost,
    ) {
        let silent = Grip::unfingered(Shape::silent(self.instrument.n_strings()));
        let before = with_notes(&silent, (tune, bass));
        let after = with_notes(&inner.grip, (tune, None));
        let ordered = in_order(&inner.notes, (tune, None));
        if !ordered || !self.can_hold(&before) || !self.can_hold(&after) {
            return;
        }
        let Some(entry) = free_state(&before) else {
            return;
        };
        let exit = HandState::of_grip(&after);
        let pluck = phase.first_pluck_us.unwrap_or(phase.last_strike_us);
        let time = pluck.saturating_sub(phase.begins_us);
        let node = Node {
            voicing: Some(number),
            thumb: bass,
            tune,
            entry,
            exit,
            way: Way::BassCut,
            slid: false,
            top: None,
        };
        layer.push(node, cost + self.changes.cost(&entry, &exit, time));
    }

    /// Bass and tune alone. A hand that holds nothing may be over any fret.
    fn free_states(
        &self,
        layer: &mut Layer,
        (tune, bass): (Option<SungPlace>, Option<ThumbNote>),
        (voicing, way): (Option<u32>, Way),
        cost: Cost,
    ) {
        let silent = Grip::unfingered(Shape::silent(self.instrument.n_strings()));
        let grip = with_notes(&silent, (tune, bass));
        if !self.can_hold(&grip) {
            return;
        }
        let mut push = |state: HandState| {
            let node = Node {
                voicing,
                thumb: bass,
                tune,
                entry: state,
                exit: state,
                way,
                slid: false,
                top: None,
            };
            layer.push(node, cost);
        };
        let sounds = tune.is_some() || bass.is_some();
        if sounds && grip.held().next().is_none() {
            HOVER_HOMES.map(HandState::hovering).for_each(push);
        } else if let Some(state) = free_state(&grip) {
            push(state);
        }
    }
}

/// Whether the tune note lies above all others, in string and pitch, and the bass below.
fn in_order(
    inner: &[(StringIdx, Midi)],
    (tune, bass): (Option<SungPlace>, Option<ThumbNote>),
) -> bool {
    let bass_fits = bass.is_none_or(|bass| {
        let above = |(string, pitch): (StringIdx, Midi)| bass.string < string && bass.pitch < pitch;
        inner.iter().copied().all(above) && tune.is_none_or(|tune| above((tune.string, tune.pitch)))
    });
    let below = |tune: SungPlace| {
        let fits =
            |(string, pitch): &(StringIdx, Midi)| *string < tune.string && *pitch < tune.pitch;
        inner.iter().all(fits)
    };
    bass_fits && tune.is_none_or(below)
}

/// A grip with a tune note and a bass note beside what it has.
fn with_notes(grip: &Grip, (tune, bass): (Option<SungPlace>, Option<ThumbNote>)) -> Grip {
    let tune = tune.map(|note| (note.string, note.fret, note.finger));
    let bass = bass.map(|note| (note.string, note.fret, note.finger));
    let mut grip = *grip;
    for (string, fret, finger) in [tune, bass].into_iter().flatten() {
        grip.shape = grip.shape.with(string, Some(fret));
        grip = grip.with_finger(string, finger);
    }
    grip
}

/// The note on top of a voicing.
fn own_of(voicing: &Voicing) -> Option<SungPlace> {
    let note = voicing.notes.last()?;
    Some(SungPlace {
        string: note.string,
        fret: voicing.grip.shape.fret(note.string)?,
        finger: voicing.grip.finger(note.string),
        pitch: note.pitch,
    })
}

/// The state of a hand that holds only these notes; `None` if the index finger would have to be
/// beyond the nut.
fn free_state(grip: &Grip) -> Option<HandState> {
    let lowest = grip
        .held()
        .filter(|(.., finger)| *finger != Finger::Thumb)
        .min_by_key(|(.., finger)| *finger);
    let room = lowest.is_none_or(|(_, fret, finger)| fret + 1 > finger as u8);
    room.then(|| HandState::of_grip(grip))
}

#[cfg(test)]
mod tests;
