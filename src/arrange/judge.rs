//! Judges what the search has chosen: grips that are missing, thin or wide, bass notes that have no
//! place, notes that are cut. Each finding carries remedies that were tried on this chord and this
//! hand where that is possible, so that none is offered in vain. Never changes the arrangement.

use super::finding::Finding;
use super::finding::FindingKind;
use super::finding::Fix;
use super::finding::Remedy;
use super::grip_remedies::GripDesk;
use super::grip_remedies::KnownChords;
use super::layers::Layers;
use super::nodes::Node;
use super::nodes::Way;
use super::phase::Phase;
use super::phase::Span;
use super::phase::Strike;
use super::problem::Problem;
use super::result::Lane;
use super::result::Place;
use super::result::PlayedNote;
use super::trellis::Layered as _;
use crate::instrument::Cost;
use crate::instrument::Term;
use crate::theory::Articulation;
use crate::theory::HouseStyle;
use crate::voicing::Voicing;

/// Stretch from which a grip carries a caution, in points.
pub(super) const WIDE_STRETCH: Cost = Cost::points(6);

/// Judges the spans and phases of one arrangement, in order.
pub struct Judge<'a> {
    problem: &'a Problem,
    layers: &'a Layers,
    grips: GripDesk<'a>,
    /// What was found.
    pub findings: Vec<Finding>,
}

impl<'a> Judge<'a> {
    /// A judge without findings.
    pub const fn new(problem: &'a Problem, layers: &'a Layers, known: &'a mut KnownChords) -> Self {
        Self {
            problem,
            layers,
            grips: GripDesk::new(problem, known),
            findings: Vec::new(),
        }
    }

    /// Reports something.
    pub fn find(
        &mut self,
        kind: FindingKind,
        place: Place,
        message: impl Into<String>,
        remedies: Vec<Remedy>,
    ) {
        self.findings.push(Finding {
            kind,
            place,
            message: message.into(),
            remedies,
        });
    }

    /// Judges the grip of a written chord.
    pub fn grip(&mut self, span: &Span, voicing: Option<&Voicing>, choices: &[Voicing]) {
        let Some(chord) = &span.chord else {
            return;
        };
        let place = span.place;
        let name = chord.printed(HouseStyle::Letters);
        match voicing {
            None => {
                let remedies = match span.top {
                    None => self.grips.unreachable(span, chord),
                    Some(_) => tune_remedies(),
                };
                let under = span.top.map_or_else(String::new, |(pitch, spelling)| {
                    let octave = spelling.octave_of(pitch);
                    format!(" with the tune's {}{octave} on top", spelling.pretty())
                });
                self.find(
                    FindingKind::Unreachable,
                    place,
                    format!("no grip for {name}{under} lies within this hand and instrument"),
                    remedies,
                );
            }
            Some(voicing) if voicing.effort.of(Term::Stretch) >= WIDE_STRETCH => {
                let remedies = self.grips.wide(span, chord, choices);
                self.find(
                    FindingKind::WideStretch,
                    place,
                    format!("{name} is a wide stretch ({})", voicing.grip.shape),
                    remedies,
                );
            }
            Some(_) => {}
        }
        let Some(voicing) = voicing else { return };
        let sounds = |pc| voicing.notes.iter().any(|n| n.pitch.pitch_class() == pc);
        let root = chord.root().pitch_class();
        let missing: Vec<String> = chord
            .tones()
            .iter()
            .filter(|tone| tone.essential && !sounds(tone.degree.above(root)))
            .map(|tone| tone.degree.pretty())
            .collect();
        if !missing.is_empty() {
            let (under, remedies) = match span.top {
                None => ("", self.grips.thinned(span, chord, voicing)),
                Some(_) => (" under the tune", tune_remedies()),
            };
            self.find(
                FindingKind::Thinned,
                place,
                format!(
                    "this grip of {name}{under} leaves out its {}",
                    missing.join(" and ")
                ),
                remedies,
            );
        }
        let chosen = span.shape.filter(|_| !span.again);
        if let Some(shape) = chosen.filter(|shape| voicing.grip.shape != *shape) {
            let remedies = self.grips.unheld(span, chord, shape, voicing);
            let but = match span.top {
                None => "can't be held by this hand",
                Some(_) => "can't be held with this note of the tune on top",
            };
            self.find(
                FindingKind::Unreachable,
                place,
                format!("the chosen shape {shape} of {name} {but}"),
                remedies,
            );
        }
    }

    /// Judges how a phase is played. `notes` are those written so far.
    pub fn way(
        &mut self,
        (layer, phase, span): (usize, &Phase, &Span),
        node: &Node,
        has_grip: bool,
        notes: &[PlayedNote],
    ) {
        let place = phase.place;
        let slides = phase.strikes.iter().find_map(Strike::slides);
        if let Some(place) = slides.filter(|_| !node.slid && has_grip) {
            let remedies = vec![
                Remedy::click("take the slide away", Fix::RemoveSlide(place)),
                Remedy::advice("choose another voicing, or slide from the other side"),
            ];
            self.find(
                FindingKind::NoSlide,
                place,
                "the hand has no place to slide from here",
                remedies,
            );
        }
        if phase.tune.is_some_and(|sound| !sound.holds) && node.tune.is_none() {
            self.find(
                FindingKind::OutOfRange,
                place,
                "this note of the tune has no place that the hand reaches here",
                tune_remedies(),
            );
        }
        match node.way {
            Way::Missed if has_grip => {
                let remedies = self.missed(layer, phase);
                self.find(
                    FindingKind::OutOfRange,
                    place,
                    "this thumb move has no place on the bass strings that leads on",
                    remedies,
                );
            }
            Way::RingCut => {
                let ringing = ringing_pluck(notes, span.place, place);
                let shorten =
                    |at| Remedy::click("make the pluck before it short", Fix::ShortenPluck(at));
                let mut remedies: Vec<Remedy> = ringing.map(shorten).into_iter().collect();
                remedies.extend(self.thumb_remedies(place));
                remedies.push(Remedy::advice("choose another bass note"));
                let tune = |strike: &Strike| matches!(strike, Strike::Tune { .. });
                let message = if phase.strikes.first().is_some_and(tune) {
                    "the ringing chord is let go here, no free finger reaches the tune's note"
                } else {
                    "the ringing chord is let go here, no free finger reaches the bass note"
                };
                self.find(FindingKind::CutShort, place, message, remedies);
            }
            Way::BassCut => {
                let take_away = |at| Remedy::click("take the slide away", Fix::RemoveSlide(at));
                let mut remedies: Vec<Remedy> = slides.map(take_away).into_iter().collect();
                // With several plucks after it the bass note would be let go for the next of them.
                if let [pluck] = plucks(phase)[..] {
                    remedies.push(Remedy::click(
                        "take the pluck after it away",
                        Fix::RemovePluck(pluck),
                    ));
                }
                remedies.extend(self.thumb_remedies(place));
                remedies.push(Remedy::advice("choose a bass note nearer to the grip"));
                self.find(
                    FindingKind::CutShort,
                    place,
                    "the bass note is let go when the fingers strike",
                    remedies,
                );
            }
            _ => {}
        }
    }

    /// Reports a note of the tune that ends before its time.
    pub fn tune_let_go(&mut self, place: Place) {
        let message = "the tune's note is let go here before its end";
        self.find(FindingKind::CutShort, place, message, tune_remedies());
    }

    /// Reports a bass note that ends because the hand moves for the tune.
    pub fn bass_let_go(&mut self, place: Place) {
        let message = "the bass note is let go here, where the hand moves for the tune";
        let remedies = vec![
            Remedy::advice("strike the chord with the next bass note instead"),
            Remedy::advice("let the tune pass here without a chord"),
        ];
        self.find(FindingKind::CutShort, place, message, remedies);
    }

    fn missed(&self, layer: usize, phase: &Phase) -> Vec<Remedy> {
        let mut remedies = self.thumb_remedies(phase.place);
        let n_nodes = self.layers.node_costs(layer).len();
        let mut nodes = (0..n_nodes).filter_map(|node| self.layers.node(layer, node));
        let nothing_fits = nodes.all(|node| node.way == Way::Missed);
        let struck_together = plucks(phase).first() == Some(&phase.place);
        if nothing_fits && struck_together {
            remedies.push(Remedy::click(
                "take the pluck on this beat away",
                Fix::RemovePluck(phase.place),
            ));
        }
        remedies.push(Remedy::advice("choose another voicing after this beat"));
        remedies
    }

    /// What the thumb can do instead in a slot: whatever the tool chooses, or nothing.
    fn thumb_remedies(&self, place: Place) -> Vec<Remedy> {
        let slots = self.problem.bars.get(place.bar).map(|bar| &bar.thumb);
        let slot = slots.and_then(|slots| slots.iter().find(|slot| slot.at == place.at));
        let mut remedies = Vec::new();
        if slot.is_some_and(|slot| slot.decided) {
            remedies.push(Remedy::click(
                "leave this beat to the tool",
                Fix::LeaveThumb(place),
            ));
        }
        if slot.is_some() {
            remedies.push(Remedy::click(
                "let the thumb rest here",
                Fix::RestThumb(place),
            ));
        }
        remedies
    }
}

/// What helps where the tune lies badly.
fn tune_remedies() -> Vec<Remedy> {
    vec![
        Remedy::advice("move the tune by an octave, or to another key"),
        Remedy::advice("strike fewer chords under the tune"),
    ]
}

/// Where the fingers strike in a phase.
fn plucks(phase: &Phase) -> Vec<Place> {
    let strike = |strike: &Strike| match strike {
        Strike::Fingers { place, .. } => Some(*place),
        Strike::Thumb { .. } | Strike::Tune { .. } => None,
    };
    phase.strikes.iter().filter_map(strike).collect()
}

/// Where the chord was plucked that still rings at a place.
fn ringing_pluck(notes: &[PlayedNote], from: Place, here: Place) -> Option<Place> {
    let mut notes = notes.iter().rev().take_while(|note| note.place >= from);
    let struck = notes.find(|note| note.lane == Lane::Fingers && note.place < here)?;
    (struck.articulation == Articulation::Ring).then_some(struck.place)
}
