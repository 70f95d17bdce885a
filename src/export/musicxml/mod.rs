//! The arrangement as MusicXML 4.0, partwise: one part with a notation staff and a tab staff that
//! say the same, as written (repeats are signs, swing is a mark). Sounding pitches under a treble
//! clef with an 8 below, and no transposition: both together would be read an octave too low.
//!
//! Elements and their order: MusicXML 4.0, W3C Music Notation Community Group, 2021.

mod harmony;
mod kinds;
mod measure;
mod note;
mod pitch;
mod start;
mod xml;

use crate::arrange::Arrangement;
use crate::arrange::Lane;
use crate::document::Document;
use crate::instrument::StringSet;
use note::Staff;
use xml::Xml;

const DOCTYPE: &str = "<!DOCTYPE score-partwise PUBLIC \
    \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
    \"http://www.musicxml.org/dtds/partwise.dtd\">\n";

/// The arrangement as MusicXML text.
#[must_use]
pub fn write(document: &Document, arrangement: &Arrangement) -> String {
    let mut xml = Xml::new(DOCTYPE);
    xml.inside("score-partwise", &[("version", "4.0")], |xml| {
        about(xml, document);
        xml.inside("part-list", &[], |xml| instrument(xml, document));
        xml.inside("part", &[("id", "P1")], |xml| {
            measure::write_all(xml, document, arrangement);
        });
    });
    xml.finish()
}

/// Title, credits, words for the student, and what a reader can rely on.
fn about(xml: &mut Xml, document: &Document) {
    let title = document.title.trim();
    if !title.is_empty() {
        xml.inside("work", &[], |xml| xml.leaf("work-title", title));
    }
    xml.inside("identification", &[], |xml| {
        let credits = document.credits.trim();
        if !credits.is_empty() {
            xml.leaf_with("creator", &[("type", "arranger")], credits);
        }
        xml.inside("encoding", &[], |xml| {
            xml.leaf("software", "Thumbwalk");
            for element in ["accidental", "stem"] {
                xml.empty("supports", &[("type", "yes"), ("element", element)]);
            }
            xml.empty("supports", &[("type", "no"), ("element", "beam")]);
        });
        xml.inside("miscellaneous", &[], |xml| {
            let mut field = |name: &str, text: &str| {
                xml.leaf_with("miscellaneous-field", &[("name", name)], text);
            };
            let lesson = document.lesson_text.trim();
            if !lesson.is_empty() {
                field("lesson-text", lesson);
            }
            field("lane-voices", &lane_voices(document.has_tune()));
            if document.has_tune() && document.tune.octaves != 0 {
                field("tune-octaves", &document.tune.octaves.to_string());
            }
        });
    });
}

/// Which voice of the notation staff holds what: `tune 1, fingers 2, thumb 3`.
fn lane_voices(has_tune: bool) -> String {
    let of_staff = measure::VOICES
        .iter()
        .filter(|(staff, ..)| *staff == Staff::Notation);
    let written = of_staff.filter(|(_, lane, _)| has_tune || *lane != Lane::Tune);
    let words = written.map(|(_, lane, number)| format!("{} {number}", lane.word()));
    words.collect::<Vec<String>>().join(", ")
}

/// Programs by General MIDI 1, counted from 1; sounds by MusicXML's own list.
fn instrument(xml: &mut Xml, document: &Document) {
    let (name, sound, program) = match document.instrument.strings {
        StringSet::Nylon => ("Nylon-string guitar", "pluck.guitar.nylon-string", 25),
        StringSet::Steel => ("Steel-string guitar", "pluck.guitar.steel-string", 26),
    };
    xml.inside("score-part", &[("id", "P1")], |xml| {
        xml.leaf("part-name", "Guitar");
        xml.inside("score-instrument", &[("id", "P1-I1")], |xml| {
            xml.leaf("instrument-name", name);
            xml.leaf("instrument-sound", sound);
        });
        xml.inside("midi-instrument", &[("id", "P1-I1")], |xml| {
            xml.leaf("midi-channel", 1);
            xml.leaf("midi-program", program);
        });
    });
}
