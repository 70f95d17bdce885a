//! The bars: repeats, endings and sections at their lines, chord symbols over their places, then
//! two or three voices on either staff, each filling the bar exactly. Bars are numbered as on the sheet.

use super::harmony;
use super::note::Staff;
use super::note::VoiceWriter;
use super::start;
use super::xml::Xml;
use crate::arrange::Arrangement;
use crate::arrange::ChosenGrip;
use crate::arrange::Lane;
use crate::arrange::Place;
use crate::document::Bar;
use crate::document::Document;
use crate::instrument::Grip;
use crate::score::accidentals;
use crate::score::time_signature;
use crate::score::voices;
use crate::theory::Ticks;

/// The voices of the part: staff, lane and number. Our own import finds the tune by its number.
pub const VOICES: [(Staff, Lane, u8); 6] = [
    (Staff::Notation, Lane::Tune, 1),
    (Staff::Notation, Lane::Fingers, 2),
    (Staff::Notation, Lane::Thumb, 3),
    (Staff::Tab, Lane::Tune, 5),
    (Staff::Tab, Lane::Fingers, 6),
    (Staff::Tab, Lane::Thumb, 7),
];

/// A bar with its neighbourhood.
struct Here<'a> {
    number: usize,
    bar: &'a Bar,
    length: Ticks,
    before: Option<&'a Bar>,
    next: Option<&'a Bar>,
    /// The name of the section that begins here, if one does.
    section: Option<&'a str>,
    ends_section: bool,
}

impl Here<'_> {
    fn ending_closes(&self) -> bool {
        self.bar.ending > 0 && self.next.is_none_or(|next| next.ending != self.bar.ending)
    }

    fn ending_opens(&self) -> bool {
        self.bar.ending > 0
            && self
                .before
                .is_none_or(|before| before.ending != self.bar.ending)
    }

    /// Whether the bar written next is also the one always played next.
    fn leads_on(&self) -> bool {
        self.bar.repeat_times == 0 && !self.ending_closes() && self.next.is_some()
    }
}

/// Writes every bar; a tune without any gets one of silence, because a part must have one.
pub fn write_all(xml: &mut Xml, document: &Document, arrangement: &Arrangement) {
    let nothing = Bar::default();
    let mut bars: Vec<&Bar> = document.bars().collect();
    if bars.is_empty() {
        bars.push(&nothing);
    }
    let mut writer = BarWriter {
        document,
        arrangement,
        time: None,
        has_tune: document.has_tune(),
        writer: voices::Writer::new(document, arrangement),
        shown: Vec::new(),
    };
    let mut section_ends = document.sections.iter();
    let mut left = 0;
    for (number, bar) in bars.iter().enumerate() {
        let mut section = None;
        while left == 0 {
            let Some(next) = section_ends.next() else {
                break;
            };
            left = next.bars.len();
            section = Some(next.name.trim());
        }
        left = left.saturating_sub(1);
        writer.write(
            xml,
            &Here {
                number,
                bar,
                length: bar.length_in(document.meter),
                before: number.checked_sub(1).and_then(|i| bars.get(i)).copied(),
                next: bars.get(number + 1).copied(),
                section,
                ends_section: left == 0,
            },
        );
    }
}

struct BarWriter<'a> {
    document: &'a Document,
    arrangement: &'a Arrangement,
    /// The time signature in force.
    time: Option<(u8, u8)>,
    /// Whether the tune has a voice.
    has_tune: bool,
    writer: voices::Writer<'a>,
    /// Grips that were shown under their symbols.
    shown: Vec<(String, Grip)>,
}

impl BarWriter<'_> {
    fn write(&mut self, xml: &mut Xml, here: &Here<'_>) {
        let full = self.document.meter.bar();
        let is_pickup = here.number == 0 && here.length < full;
        let number = (here.number + 1).to_string();
        let usual = time_signature::of(full, self.document.meter);
        // A pick-up is the end of a bar of the tune's own metre.
        let own = time_signature::of(here.length, self.document.meter).filter(|_| !is_pickup);
        let time = own.or(usual);
        let mut about = vec![("number", number.as_str())];
        if own.is_none() {
            about.push(("implicit", "yes"));
        }
        xml.inside("measure", &about, |xml| {
            left_line(xml, here);
            if here.number == 0 {
                start::attributes(xml, self.document, time);
                start::tempo(xml, self.document);
            } else if let Some(time) = time.filter(|_| time != self.time) {
                xml.inside("attributes", &[], |xml| start::time_element(xml, time));
            }
            self.time = time;
            if let Some(name) = here.section.filter(|name| !name.is_empty()) {
                rehearsal(xml, name);
            }
            self.harmonies(xml, here);
            self.voices(xml, here);
            right_line(xml, here);
        });
    }

    fn harmonies(&mut self, xml: &mut Xml, here: &Here<'_>) {
        let mut at = Ticks(0);
        let style = self.document.house_style;
        let chords = here.bar.chords.iter().enumerate();
        for (idx, chord) in chords.filter(|(_, chord)| chord.at < here.length) {
            if chord.at > at {
                xml.inside("forward", &[], |xml| {
                    xml.leaf("duration", chord.at.0 - at.0)
                });
                at = chord.at;
            }
            let place = Place {
                bar: here.number,
                at: chord.at,
            };
            let grip = grip_of(self.arrangement, place, idx);
            let key = grip.map(|grip| (chord.harmony.printed(style), grip));
            let is_new = key.as_ref().is_some_and(|key| !self.shown.contains(key));
            let print = is_new && self.document.sheet.diagrams;
            harmony::write(xml, chord, style, grip.as_ref(), print);
            self.shown.extend(key.filter(|_| is_new));
        }
        back(xml, at);
    }

    fn voices(&mut self, xml: &mut Xml, here: &Here<'_>) {
        let bar = (self.writer).bar(here.number, here.length, here.leads_on());
        let all = [&bar.tune, &bar.fingers, &bar.thumb];
        let key = self.document.key;
        let signed = accidentals::of_bar(&all.map(Vec::as_slice), &self.arrangement.notes, key);
        let is_silent = !all.iter().any(|pieces| voices::sounds(pieces));
        let written = |lane: &Lane| *lane != Lane::Tune || self.has_tune;
        let mut is_first = true;
        for (staff, lane, number) in VOICES.into_iter().filter(|(_, lane, _)| written(lane)) {
            if !is_first {
                back(xml, here.length);
            }
            let pieces = match lane {
                Lane::Tune => &bar.tune,
                Lane::Fingers => &bar.fingers,
                Lane::Thumb => &bar.thumb,
            };
            // One rest for a silent bar, none for a voice that is silent beside others, and none
            // between the outer voices.
            let inner = lane == Lane::Fingers && bar.has_tune();
            let upmost = if self.has_tune {
                Lane::Tune
            } else {
                Lane::Fingers
            };
            let shows_rests = if is_silent {
                lane == upmost
            } else {
                voices::sounds(pieces) && !inner
            };
            let writer = VoiceWriter {
                document: self.document,
                arrangement: self.arrangement,
                staff,
                voice: number,
                shows_rests,
                signed: &signed,
            };
            let up = |piece: usize| match lane {
                Lane::Tune => true,
                Lane::Fingers => bar.fingers_up.get(piece).copied().unwrap_or(true),
                Lane::Thumb => false,
            };
            writer.write(xml, pieces, &up);
            is_first = false;
        }
    }
}

fn back(xml: &mut Xml, by: Ticks) {
    if by.0 > 0 {
        xml.inside("backup", &[], |xml| xml.leaf("duration", by.0));
    }
}

/// The grip taken for a chord of the chart.
fn grip_of(arrangement: &Arrangement, place: Place, chord_idx: usize) -> Option<Grip> {
    let from = arrangement
        .grips
        .partition_point(|g| g.place.bar < place.bar);
    let of_bar = arrangement.grips.iter().skip(from);
    let mut of_bar = of_bar.take_while(|g| g.place.bar == place.bar);
    let wanted = |g: &&ChosenGrip| g.chord_idx == chord_idx;
    Some(of_bar.find(wanted)?.voicing.as_ref()?.grip)
}

fn rehearsal(xml: &mut Xml, name: &str) {
    xml.inside("direction", &[("placement", "above")], |xml| {
        xml.inside("direction-type", &[], |xml| xml.leaf("rehearsal", name));
        xml.leaf("staff", 1);
    });
}

fn left_line(xml: &mut Xml, here: &Here<'_>) {
    if !here.bar.repeat_start && !here.ending_opens() {
        return;
    }
    xml.inside("barline", &[("location", "left")], |xml| {
        if here.bar.repeat_start {
            xml.leaf("bar-style", "heavy-light");
        }
        if here.ending_opens() {
            ending(xml, here.bar.ending, "start");
        }
        if here.bar.repeat_start {
            xml.empty("repeat", &[("direction", "forward")]);
        }
    });
}

fn right_line(xml: &mut Xml, here: &Here<'_>) {
    let goes_back = here.bar.repeat_times > 0;
    let style = if goes_back || here.next.is_none() {
        Some("light-heavy")
    } else if here.ends_section {
        Some("light-light")
    } else {
        None
    };
    if style.is_none() && !here.ending_closes() {
        return;
    }
    xml.inside("barline", &[("location", "right")], |xml| {
        if let Some(style) = style {
            xml.leaf("bar-style", style);
        }
        if here.ending_closes() {
            let end = if goes_back { "stop" } else { "discontinue" };
            ending(xml, here.bar.ending, end);
        }
        if goes_back {
            let times = here.bar.repeat_times.to_string();
            let mut about = vec![("direction", "backward")];
            if here.bar.repeat_times > 2 && here.bar.ending == 0 {
                about.push(("times", times.as_str()));
            }
            xml.empty("repeat", &about);
        }
    });
}

fn ending(xml: &mut Xml, number: u8, end: &str) {
    let number = number.to_string();
    let about = [("number", number.as_str()), ("type", end)];
    if end == "start" {
        xml.leaf_with("ending", &about, format!("{number}."));
    } else {
        xml.empty("ending", &about);
    }
}
