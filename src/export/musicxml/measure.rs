//! The bars: repeats, endings and sections at their lines, chord symbols over their places, then
//! two voices on either staff, each filling the bar exactly. Bars are numbered as on the sheet.

use super::harmony;
use super::note::Staff;
use super::note::VoiceWriter;
use super::start;
use super::xml::Xml;
use crate::arrange::Arrangement;
use crate::arrange::ChosenGrip;
use crate::arrange::Place;
use crate::arrange::PlayedNote;
use crate::document::Bar;
use crate::document::Document;
use crate::export::time_signature;
use crate::instrument::Grip;
use crate::score::accidentals;
use crate::score::rhythm::Voice;
use crate::score::rhythm::pieces;
use crate::score::rhythm::pieces::Carried;
use crate::score::rhythm::pieces::Piece;
use crate::score::rhythm::pieces::Room;
use crate::theory::Ticks;

/// The voices of the part: staff, voice of the sheet, number, stems.
const VOICES: [(Staff, Voice, u8, &str); 4] = [
    (Staff::Notation, Voice::Upper, 1, "up"),
    (Staff::Notation, Voice::Lower, 2, "down"),
    (Staff::Tab, Voice::Upper, 5, "up"),
    (Staff::Tab, Voice::Lower, 6, "down"),
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
        carried: [Carried::default(), Carried::default()],
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
                length: bar.length.unwrap_or_else(|| document.meter.bar()),
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
    /// What rings into the next bar, upper voice first.
    carried: [Carried; 2],
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
        let first = (self.arrangement.notes).partition_point(|n| n.place.bar < here.number);
        let notes = (first..).zip(self.arrangement.notes_in_bar(here.number));
        let notes: Vec<(usize, &PlayedNote)> = notes.collect();
        let room = Room {
            length: here.length,
            meter: self.document.meter,
            rings_over: here.leads_on(),
        };
        let fill = |voice: Voice, carried: &mut Carried| -> Vec<Piece> {
            let own = notes.iter().filter(|(_, n)| Voice::of(n.lane) == voice);
            let own: Vec<(usize, &PlayedNote)> = own.copied().collect();
            let (pieces, over) = pieces::fill(room, &own, carried);
            *carried = over;
            pieces
        };
        let [upper_carried, lower_carried] = &mut self.carried;
        let upper = fill(Voice::Upper, upper_carried);
        let lower = fill(Voice::Lower, lower_carried);
        let key = self.document.key;
        let signed = accidentals::of_bar(&[&upper, &lower], &self.arrangement.notes, key);
        for (place, (staff, voice, number, stems)) in VOICES.into_iter().enumerate() {
            if place > 0 {
                back(xml, here.length);
            }
            let writer = VoiceWriter {
                document: self.document,
                arrangement: self.arrangement,
                staff,
                voice: number,
                stems,
                signed: &signed,
            };
            let pieces = match voice {
                Voice::Upper => &upper,
                Voice::Lower => &lower,
            };
            writer.write(xml, pieces);
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
