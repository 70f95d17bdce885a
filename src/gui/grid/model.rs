//! What the beat grid shows of one bar, as plain data: chords, slots, thumb and finger cells,
//! effort. Built for visible bars only, from the session; knows no rectangle and no colour.

use crate::arrange::Arrangement;
use crate::arrange::Finding;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::arrange::PlayedNote;
use crate::arrange::SlotEffort;
use crate::document::Bar;
use crate::document::ThumbCell;
use crate::gui::strike_mark::StrikeMark;
use crate::gui::words;
use crate::instrument::Cost;
use crate::session::BarLocks;
use crate::session::Hold;
use crate::session::Session;
use crate::theory::Articulation;
use crate::theory::Meter;
use crate::theory::Side;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::ThumbMove;
use crate::theory::Ticks;

/// One bar.
#[derive(Clone, Debug)]
pub struct BarView {
    /// Its number from 0.
    pub bar: usize,
    /// Whether a repeated part begins here.
    pub repeat_start: bool,
    /// How often the part ending here is played; 0 if none ends.
    pub repeat_times: u8,
    /// The ending it belongs to; 0 if none.
    pub ending: u8,
    /// What its thumb line may do, if that is not what the tune's may: `own line: runs`.
    pub own_line: Option<String>,
    /// Chords by place.
    pub chords: Vec<ChordView>,
    /// Slots by place.
    pub slots: Vec<SlotView>,
}

/// A chord symbol.
#[derive(Clone, Debug)]
pub struct ChordView {
    /// Where in the bar.
    pub at: Ticks,
    /// As shown.
    pub text: String,
    /// Whether the user chose its shape.
    pub decided: bool,
    /// Whether nothing playable was found for it.
    pub unplayable: bool,
}

/// One column.
#[derive(Clone, Debug)]
pub struct SlotView {
    /// Where in the bar.
    pub at: Ticks,
    /// Whether a beat begins here.
    pub is_beat: bool,
    /// The thumb's cell.
    pub thumb: Option<ThumbView>,
    /// The fingers' cell.
    pub fingers: Option<FingersView>,
    /// How firmly the thumb's cell is held.
    pub thumb_hold: Hold,
    /// How firmly the fingers' cell is held.
    pub fingers_hold: Hold,
    /// Effort here.
    pub effort: Option<(Cost, String)>,
    /// Whether the tune's hardest change arrives here.
    pub hardest: bool,
    /// What is found here, if anything.
    pub finding: Option<FindingView>,
}

/// What is found in a slot.
#[derive(Clone, Debug)]
pub struct FindingView {
    /// Where the first of the findings is.
    pub at: Ticks,
    /// All of them, in words.
    pub words: String,
    /// Whether one of them is a fault.
    pub is_fault: bool,
}

/// What the thumb does in a slot.
#[derive(Clone, Debug)]
pub struct ThumbView {
    /// The code shown large.
    pub code: String,
    /// The note shown small.
    pub note: String,
    /// In words, for the screen reader.
    pub words: String,
    /// Whether it sounds now.
    pub sounding: bool,
    /// From which side it slides into place, if it does.
    pub slides: Option<Side>,
}

/// What the fingers do in a slot.
#[derive(Clone, Debug)]
pub struct FingersView {
    /// How the strike looks.
    pub mark: StrikeMark,
    /// The top note shown small.
    pub top: String,
    /// In words.
    pub words: String,
    /// Whether it sounds now.
    pub sounding: bool,
}

/// From which side a note slides into its place.
fn side_of(note: &PlayedNote) -> Option<Side> {
    note.slide_from.map(|from| {
        if from < note.fret {
            Side::Below
        } else {
            Side::Above
        }
    })
}

fn slide_words(note: &PlayedNote) -> &'static str {
    match side_of(note) {
        Some(Side::Below) => ", sliding up",
        Some(Side::Above) => ", sliding down",
        None => "",
    }
}

/// The columns of a bar: every division of every beat that fits in its length.
pub fn slots(meter: Meter, length: Ticks) -> impl Iterator<Item = Ticks> {
    let part = TICKS_PER_BEAT / meter.divisions();
    (0..)
        .map(move |i| Ticks(i * part))
        .take_while(move |at| at.0 < length.0)
}

/// The column that a place falls into.
#[must_use]
pub fn slot_of(meter: Meter, at: Ticks) -> Ticks {
    let part = TICKS_PER_BEAT / meter.divisions();
    Ticks(at.0 / part * part)
}

/// What is shown of a bar; `None` if there is no such bar.
#[must_use]
pub fn bar_view(session: &Session, bar_idx: usize) -> Option<BarView> {
    let document = session.document();
    let bar = document.bar(bar_idx)?;
    let arrangement = session.arrangement();
    let facts = Facts::new(session, bar, bar_idx);
    let slots = slots(document.meter, document.bar_length(bar_idx))
        .map(|at| facts.slot(at))
        .collect();
    let chords = bar.chords.iter().enumerate().map(|(idx, chord)| ChordView {
        at: chord.at,
        text: words::pretty(&chord.harmony.printed(document.house_style)),
        decided: chord.shape.is_some(),
        unplayable: chord.harmony.chord().is_some()
            && arrangement.is_some_and(|a| has_no_grip(a, bar_idx, idx)),
    });
    Some(BarView {
        bar: bar_idx,
        repeat_start: bar.repeat_start,
        repeat_times: bar.repeat_times,
        ending: bar.ending,
        own_line: words::own_line(&bar.line),
        chords: chords.collect(),
        slots,
    })
}

fn has_no_grip(arrangement: &Arrangement, bar: usize, chord_idx: usize) -> bool {
    let from = arrangement.grips.partition_point(|g| g.place.bar < bar);
    arrangement
        .grips
        .iter()
        .skip(from)
        .take_while(|g| g.place.bar == bar)
        .any(|g| g.chord_idx == chord_idx && g.voicing.is_none())
}

/// Everything known about one bar, looked up once.
struct Facts<'a> {
    session: &'a Session,
    bar: &'a Bar,
    bar_idx: usize,
    locks: Option<BarLocks<'a>>,
    meter: Meter,
    n_strings: u8,
    notes: Vec<(usize, &'a PlayedNote)>,
    efforts: &'a [SlotEffort],
    findings: &'a [Finding],
    hardest: Option<Place>,
}

impl<'a> Facts<'a> {
    fn new(session: &'a Session, bar: &'a Bar, bar_idx: usize) -> Self {
        let document = session.document();
        let (mut notes, mut efforts, mut hardest) = (Vec::new(), &[] as &[SlotEffort], None);
        let mut findings: &[Finding] = &[];
        if let Some(arrangement) = session.arrangement() {
            let first = arrangement.notes.partition_point(|n| n.place.bar < bar_idx);
            notes.extend((first..).zip(arrangement.notes_in_bar(bar_idx)));
            let from = arrangement.slots.partition_point(|s| s.place.bar < bar_idx);
            let to = arrangement
                .slots
                .partition_point(|s| s.place.bar <= bar_idx);
            efforts = arrangement.slots.get(from..to).unwrap_or(&[]);
            let found = &arrangement.findings;
            let from = found.partition_point(|f| f.place.bar < bar_idx);
            let to = found.partition_point(|f| f.place.bar <= bar_idx);
            findings = found.get(from..to).unwrap_or(&[]);
            hardest = arrangement.hardest;
        }
        Self {
            session,
            bar,
            bar_idx,
            locks: session.locks(bar_idx),
            meter: document.meter,
            n_strings: document.instrument.n_strings(),
            notes,
            efforts,
            findings,
            hardest,
        }
    }

    fn slot(&self, at: Ticks) -> SlotView {
        let here = |place_at: Ticks| slot_of(self.meter, place_at) == at;
        let mut effort: Option<(Cost, String)> = None;
        for slot in self.efforts.iter().filter(|s| here(s.place.at)) {
            let so_far = effort.as_ref().map_or(Cost::ZERO, |(cost, _)| *cost);
            effort = Some((so_far + slot.effort.total(), words::terms(&slot.effort)));
        }
        let hold = |lane| self.locks.as_ref().map_or(Hold::Free, |l| l.hold(lane, at));
        SlotView {
            at,
            is_beat: at.within_beat() == 0,
            thumb: self.thumb(at),
            fingers: self.fingers(at),
            thumb_hold: hold(Lane::Thumb),
            fingers_hold: hold(Lane::Fingers),
            effort,
            hardest: self
                .hardest
                .is_some_and(|h| h.bar == self.bar_idx && here(h.at)),
            finding: self.finding(at),
        }
    }

    fn finding(&self, at: Ticks) -> Option<FindingView> {
        let here = || {
            let here = |f: &&Finding| slot_of(self.meter, f.place.at) == at;
            self.findings.iter().filter(here)
        };
        let messages: Vec<String> = here().map(|f| words::pretty(&f.message)).collect();
        Some(FindingView {
            at: here().next()?.place.at,
            words: messages.join("; "),
            is_fault: here().any(|f| f.kind.is_fault()),
        })
    }

    fn thumb(&self, at: Ticks) -> Option<ThumbView> {
        let decision = self
            .bar
            .thumb
            .iter()
            .find(|(t, _)| *t == at)
            .map(|(_, c)| *c);
        let found = self
            .notes
            .iter()
            .find(|(_, n)| n.lane == Lane::Thumb && slot_of(self.meter, n.place.at) == at);
        if let Some((idx, note)) = found {
            return Some(self.thumb_note(note, self.sounds(*idx)));
        }
        let ThumbCell::Move(thumb_move) = decision? else {
            return None;
        };
        Some(ThumbView {
            code: thumb_move.code().into(),
            note: String::new(),
            words: thumb_move.name().into(),
            sounding: false,
            slides: None,
        })
    }

    fn thumb_note(&self, note: &PlayedNote, sounding: bool) -> ThumbView {
        let spelling = note.spelling.pretty();
        let place = words::string_and_fret(note, self.n_strings);
        let function = note.thumb_move.map_or("note", ThumbMove::name);
        let silent = matches!(note.thumb_move, Some(ThumbMove::Ghost | ThumbMove::Rest));
        ThumbView {
            code: note.thumb_move.map_or("", ThumbMove::code).into(),
            note: if silent {
                String::new()
            } else {
                spelling.clone()
            },
            words: if silent {
                function.into()
            } else {
                format!("{spelling}, {function}, {place}{}", slide_words(note))
            },
            sounding,
            slides: side_of(note),
        }
    }

    fn fingers(&self, at: Ticks) -> Option<FingersView> {
        let struck =
            |n: &PlayedNote| n.lane == Lane::Fingers && slot_of(self.meter, n.place.at) == at;
        let notes = || self.notes.iter().filter(|(_, n)| struck(n));
        let (_, top) = notes().max_by_key(|(_, n)| n.pitch)?;
        let names: Vec<String> = notes().map(|(_, n)| n.spelling.pretty()).collect();
        let how = match top.articulation {
            Articulation::Ring => "ring",
            Articulation::Short => "short",
        };
        let grip = self.session.arrangement()?.grip_at(top.place);
        let ahead = grip.is_some_and(|grip| grip.place > top.place);
        let ahead_words = if ahead { ", ahead of its chord" } else { "" };
        Some(FingersView {
            mark: StrikeMark {
                articulation: top.articulation,
                ahead,
                slides: side_of(top),
            },
            top: top.spelling.pretty(),
            words: format!(
                "{how}, {}{}{ahead_words}",
                names.join(" "),
                slide_words(top)
            ),
            sounding: notes().any(|(idx, _)| self.sounds(*idx)),
        })
    }

    fn sounds(&self, note_idx: usize) -> bool {
        self.session.play().sounding.contains(&note_idx)
    }
}

impl BarView {
    /// What a cell is called: `bar 3, beat 2, thumb: A♭, approach from below, string 6 fret 4`.
    #[must_use]
    pub fn cell_name(&self, meter: Meter, slot: &SlotView, lane: Lane) -> String {
        let (what, hold) = match lane {
            Lane::Thumb => (slot.thumb.as_ref().map(|t| &t.words), slot.thumb_hold),
            Lane::Fingers => (slot.fingers.as_ref().map(|f| &f.words), slot.fingers_hold),
            Lane::Tune => (None, Hold::Free),
        };
        let place = format!("bar {}, {}", self.bar + 1, words::beat(meter, slot.at));
        let what = what.map_or("empty", String::as_str);
        let held = match hold {
            Hold::Free => "",
            Hold::Part => ", partly locked",
            Hold::Whole => ", locked",
        };
        let name = format!("{place}, {}: {what}{held}", lane.word());
        match &slot.finding {
            Some(finding) => format!("{name}. Finding: {}", finding.words),
            None => name,
        }
    }

    /// The chord written exactly at a place.
    #[must_use]
    pub fn chord_at(&self, at: Ticks) -> Option<&ChordView> {
        self.chords.iter().find(|c| c.at == at)
    }
}
