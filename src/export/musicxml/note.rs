//! Notes and rests of one voice on one staff. The notation staff has fingers of both hands, the tab
//! staff strings and frets; everything else is on both. A slide is written as a grace note on the
//! fret it comes from, joined to its note by a line.

use super::pitch;
use super::xml::Xml;
use crate::arrange::Arrangement;
use crate::arrange::PlayedNote;
use crate::document::Document;
use crate::instrument::MAX_STRINGS;
use crate::score::accidentals::Signed;
use crate::score::rhythm::Value;
use crate::score::rhythm::Written;
use crate::score::rhythm::pieces::Piece;
use crate::score::rhythm::pieces::Sounding;
use crate::score::rhythm::pieces::What;
use crate::score::staff_pitch::Pitch;
use crate::theory::Articulation;
use crate::theory::ThumbMove;

/// One of the two staves of the part.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Staff {
    /// Notes on five lines.
    Notation,
    /// Frets on strings.
    Tab,
}

impl Staff {
    /// Its number.
    #[must_use]
    pub const fn number(self) -> u8 {
        match self {
            Self::Notation => 1,
            Self::Tab => 2,
        }
    }
}

/// A voice of a bar on its staff.
pub struct VoiceWriter<'a> {
    /// The tune.
    pub document: &'a Document,
    /// Its notes.
    pub arrangement: &'a Arrangement,
    /// Which staff.
    pub staff: Staff,
    /// Number of the voice, one of its own on every staff.
    pub voice: u8,
    /// Whether its rests are printed.
    pub shows_rests: bool,
    /// Notes of this bar that carry a sign.
    pub signed: &'a Signed,
}

impl VoiceWriter<'_> {
    /// Writes the pieces of the bar; `is_up` tells which way the stem of a piece goes.
    pub fn write(&self, xml: &mut Xml, pieces: &[Piece], is_up: &dyn Fn(usize) -> bool) {
        for (idx, piece) in pieces.iter().enumerate() {
            let stem = if is_up(idx) { "up" } else { "down" };
            match &piece.what {
                What::BarRest => self.rest(xml, piece, true),
                What::Rest => self.rest(xml, piece, false),
                What::Notes(notes) => {
                    let found = |held: &Sounding| self.arrangement.notes.get(held.note);
                    let struck = notes.iter().filter(|held| !held.from_before);
                    let struck = struck.filter_map(|held| Some((held.note, found(held)?)));
                    let struck: Vec<(usize, &PlayedNote)> = struck.collect();
                    self.slid_from(xml, &struck, stem);
                    let is_short = |(_, note): &&(usize, &PlayedNote)| {
                        note.articulation == Articulation::Short
                    };
                    let dotted = struck.iter().find(is_short).map(|(idx, _)| *idx);
                    let notes = notes.iter().filter_map(|held| Some((*held, found(held)?)));
                    for (place, (held, note)) in notes.enumerate() {
                        let dot = dotted == Some(held.note) && !held.from_before;
                        self.note(xml, (piece, stem), (held, note), (place > 0, dot));
                    }
                }
            }
        }
    }

    fn rest(&self, xml: &mut Xml, piece: &Piece, whole_bar: bool) {
        let hidden = [("print-object", "no")];
        let about = if self.shows_rests {
            &[][..]
        } else {
            &hidden[..]
        };
        xml.inside("note", about, |xml| {
            if whole_bar {
                xml.empty("rest", &[("measure", "yes")]);
            } else {
                xml.empty("rest", &[]);
            }
            xml.leaf("duration", piece.length.0);
            xml.leaf("voice", self.voice);
            if !whole_bar {
                value(xml, piece.written);
                time_modification(xml, piece.written);
            }
            xml.leaf("staff", self.staff.number());
        });
    }

    fn note(
        &self,
        xml: &mut Xml,
        (piece, stem): (&Piece, &str),
        (held, note): (Sounding, &PlayedNote),
        (in_chord, dot): (bool, bool),
    ) {
        let (from_before, into_next) = (held.from_before, held.into_next);
        xml.inside("note", &[], |xml| {
            if in_chord {
                xml.empty("chord", &[]);
            }
            let pitch = Pitch::of(note);
            xml.inside("pitch", &[], |xml| pitch::write(xml, pitch, ""));
            xml.leaf("duration", piece.length.0);
            if from_before {
                xml.empty("tie", &[("type", "stop")]);
            }
            if into_next {
                xml.empty("tie", &[("type", "start")]);
            }
            xml.leaf("voice", self.voice);
            value(xml, piece.written);
            let signed = !from_before && self.signed.contains(&(held.note, false));
            self.accidental(xml, pitch, signed);
            time_modification(xml, piece.written);
            xml.leaf("stem", stem);
            notehead(xml, note);
            xml.leaf("staff", self.staff.number());
            xml.inside("notations", &[], |xml| {
                if from_before {
                    xml.empty("tied", &[("type", "stop")]);
                }
                if into_next {
                    xml.empty("tied", &[("type", "start")]);
                }
                if note.slide_from.is_some() && !from_before {
                    self.slide(xml, note, "stop");
                }
                self.technical(xml, note);
                if dot {
                    xml.inside("articulations", &[], |xml| xml.empty("staccato", &[]));
                }
            });
        });
    }

    /// Grace notes on the frets that notes of a strike slide from.
    fn slid_from(&self, xml: &mut Xml, notes: &[(usize, &PlayedNote)], stem: &str) {
        let mut in_chord = false;
        for (idx, note) in notes {
            let (Some(pitch), Some(fret)) =
                (Pitch::slid_from(note, self.document.key), note.slide_from)
            else {
                continue;
            };
            xml.inside("note", &[], |xml| {
                xml.empty("grace", &[]);
                if in_chord {
                    xml.empty("chord", &[]);
                }
                xml.inside("pitch", &[], |xml| pitch::write(xml, pitch, ""));
                xml.leaf("voice", self.voice);
                xml.leaf("type", "eighth");
                self.accidental(xml, pitch, self.signed.contains(&(*idx, true)));
                xml.leaf("stem", stem);
                xml.leaf("staff", self.staff.number());
                xml.inside("notations", &[], |xml| {
                    self.slide(xml, note, "start");
                    if self.staff == Staff::Tab {
                        xml.inside("technical", &[], |xml| {
                            xml.leaf("string", self.string(note));
                            xml.leaf("fret", fret);
                        });
                    }
                });
            });
            in_chord = true;
        }
    }

    /// Tab has no accidentals.
    fn accidental(&self, xml: &mut Xml, pitch: Pitch, signed: bool) {
        if signed && self.staff == Staff::Notation {
            xml.leaf("accidental", pitch::sign(pitch));
        }
    }

    /// Every string of either staff has a number of its own, so that lines of one chord keep apart.
    fn slide(&self, xml: &mut Xml, note: &PlayedNote, end: &str) {
        let first = match self.staff {
            Staff::Notation => 0,
            Staff::Tab => MAX_STRINGS,
        };
        let number = (first + usize::from(self.string(note))).to_string();
        let attributes = [("type", end), ("number", &number), ("line-type", "solid")];
        xml.empty("slide", &attributes);
    }

    fn technical(&self, xml: &mut Xml, note: &PlayedNote) {
        xml.inside("technical", &[], |xml| match self.staff {
            Staff::Notation => {
                let finger = note.finger.map_or('0', crate::instrument::Finger::digit);
                xml.leaf("fingering", finger);
                xml.leaf("pluck", note.pluck.letter());
            }
            Staff::Tab => {
                xml.leaf("string", self.string(note));
                xml.leaf("fret", note.fret);
            }
        });
    }

    fn string(&self, note: &PlayedNote) -> u8 {
        note.string.number(self.document.instrument.n_strings())
    }
}

fn value(xml: &mut Xml, written: Written) {
    let name = match written.value {
        Value::Whole => "whole",
        Value::Half => "half",
        Value::Quarter => "quarter",
        Value::Eighth => "eighth",
        Value::Sixteenth => "16th",
    };
    xml.leaf("type", name);
    if written.dotted {
        xml.empty("dot", &[]);
    }
}

fn time_modification(xml: &mut Xml, written: Written) {
    if written.triplet {
        xml.inside("time-modification", &[], |xml| {
            xml.leaf("actual-notes", 3);
            xml.leaf("normal-notes", 2);
        });
    }
}

fn notehead(xml: &mut Xml, note: &PlayedNote) {
    if note.thumb_move == Some(ThumbMove::Ghost) {
        xml.leaf("notehead", "x");
    }
}
