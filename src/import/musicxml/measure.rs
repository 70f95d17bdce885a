//! A part as its bars come by: what is written in each of them at which place, in quarter notes from
//! its beginning, with everything that runs on from bar to bar (divisions, transposition, key,
//! metre). Decides nothing about the tune as a whole.
//!
//! Elements: MusicXML 4.0, W3C Music Notation Community Group, 2021.

use super::barline;
use super::barline::Barlines;
use super::element::Element;
use super::element::number;
use super::element::whole_number;
use super::harmony;
use super::marks::Marks;
use super::transpose::Transpose;
use crate::import::notices::Notices;
use crate::theory::Harmony;
use crate::theory::Key;
use crate::theory::Letter;
use crate::theory::Midi;
use crate::theory::Mode;
use crate::theory::Spelling;
use std::collections::BTreeSet;

/// Voices that are told apart in one part; what comes in further ones counts to the last.
const MAX_VOICES: usize = 64;

/// A note with a pitch.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Note {
    /// Quarters from the beginning of the bar.
    pub(super) at: f64,
    /// Quarters.
    pub(super) length: f64,
    /// What sounds.
    pub(super) pitch: Midi,
    pub(super) spelling: Spelling,
    /// Place in [`Part::voices`].
    pub(super) voice: usize,
    /// Whether it goes on from the note before it.
    pub(super) tied: bool,
}

/// What is written in a bar.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Measure {
    /// Quarters that the time signature asks for; `None` if there is none.
    pub(super) nominal: Option<f64>,
    /// Quarters that notes and rests reach.
    pub(super) filled: f64,
    pub(super) implicit: bool,
    pub(super) notes: Vec<Note>,
    pub(super) chords: Vec<(f64, Harmony)>,
    /// The rehearsal mark.
    pub(super) section: Option<String>,
    pub(super) lines: Barlines,
}

/// A voice on a staff.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Voice {
    pub(super) staff: i32,
    pub(super) name: String,
    pub(super) n_notes: usize,
}

/// A part with what was read of it so far.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Part {
    pub(super) measures: Vec<Measure>,
    pub(super) voices: Vec<Voice>,
    /// Staves that are tablature.
    pub(super) tab_staves: BTreeSet<i32>,
    pub(super) first_key: Option<Key>,
    /// Upper and lower number of the first time signature.
    pub(super) first_time: Option<(u32, u32)>,
    pub(super) marks: Marks,
    pub(super) notices: Notices,
    /// Kinds of things that a chart has no place for.
    pub(super) dropped: BTreeSet<&'static str>,
    divisions: Option<f64>,
    transpose: Transpose,
    key: Option<Key>,
    time: Option<(u32, u32)>,
    /// Bars that a sign asks to repeat, one after the other.
    repeats: Option<usize>,
}

/// Where the reader is in a bar.
struct Cursor {
    bar: usize,
    at: f64,
    /// Where the last note began, for those that sound with it.
    last: f64,
    measure: Measure,
}

impl Part {
    pub(super) fn n_notes(&self) -> usize {
        self.measures
            .iter()
            .map(|measure| measure.notes.len())
            .sum()
    }

    pub(super) fn n_chords(&self) -> usize {
        self.measures
            .iter()
            .map(|measure| measure.chords.len())
            .sum()
    }

    /// Takes the next bar; `measure` says how it is written, `content` holds what is in it.
    pub(super) fn take(&mut self, measure: &Element, content: &Element) {
        let mut cursor = Cursor {
            bar: self.measures.len(),
            at: 0.0,
            last: 0.0,
            measure: Measure {
                implicit: measure.attribute("implicit") == Some("yes"),
                ..Measure::default()
            },
        };
        for element in content.children() {
            match element.name() {
                "note" => self.note(element, &mut cursor),
                "backup" => {
                    let length = self.length(element, &cursor);
                    cursor.at = (cursor.at - length).max(0.0);
                }
                "forward" => {
                    cursor.at += self.length(element, &cursor);
                    cursor.measure.filled = cursor.measure.filled.max(cursor.at);
                }
                "attributes" => self.attributes(element, &cursor),
                "harmony" => self.harmony(element, &mut cursor),
                "direction" | "sound" => self.direction(element, &mut cursor),
                "barline" => {
                    let before = self.measures.last_mut().map(|before| &mut before.lines);
                    let own = &mut cursor.measure.lines;
                    barline::read(element, own, before, |message| {
                        self.notices.at(cursor.bar, message);
                    });
                }
                "figured-bass" => {
                    self.dropped.insert("figured bass");
                }
                _ => {}
            }
        }
        let mut measure = cursor.measure;
        measure.nominal = self
            .time
            .map(|(count, unit)| f64::from(count) * 4.0 / f64::from(unit));
        self.repeat_before(&mut measure, cursor.bar);
        self.measures.push(measure);
    }

    /// Fills a bar that only says that an earlier one comes again.
    fn repeat_before(&mut self, measure: &mut Measure, bar: usize) {
        let Some(back) = self.repeats.filter(|_| measure.notes.is_empty()) else {
            return;
        };
        let Some(before) = bar.checked_sub(back).and_then(|i| self.measures.get(i)) else {
            return;
        };
        measure.notes.clone_from(&before.notes);
        measure.filled = measure.filled.max(before.filled);
        if measure.chords.is_empty() {
            measure.chords.clone_from(&before.chords);
        }
        let message = "the sign that repeats what stands before is written out";
        self.notices.at(bar, message);
    }

    /// The `duration` of an element in quarters.
    fn length(&mut self, element: &Element, cursor: &Cursor) -> f64 {
        let Some(duration) = element.number_of("duration").filter(|d| *d >= 0.0) else {
            let message = "a note without a length that can be read is left out";
            self.notices.at(cursor.bar, message);
            return 0.0;
        };
        let divisions = self.divisions.unwrap_or_else(|| {
            let message = "the file does not say how it counts lengths; quarters are taken";
            self.notices.at(cursor.bar, message);
            1.0
        });
        duration / divisions
    }

    fn note(&mut self, element: &Element, cursor: &mut Cursor) {
        self.note_dropped(element);
        if element.has("grace") {
            self.notices.at(cursor.bar, "grace notes are left out");
            return;
        }
        let length = self.length(element, cursor);
        let at = if element.has("chord") {
            cursor.last
        } else {
            cursor.last = cursor.at;
            cursor.at += length;
            cursor.measure.filled = cursor.measure.filled.max(cursor.at);
            cursor.last
        };
        if element.has("rest") {
            return;
        }
        let left_out = if element.has("cue") {
            Some("cue notes are left out")
        } else if element.has("unpitched") {
            Some("notes without a pitch are left out")
        } else if element.text_of("notehead") == "slash" {
            Some("slashes are rhythm, not a tune, and are left out")
        } else {
            None
        };
        if let Some(message) = left_out {
            self.notices.at(cursor.bar, message);
            return;
        }
        let Some((pitch, spelling)) = self.pitch(element, cursor.bar) else {
            let message = "a note whose pitch cannot be read is left out";
            self.notices.at(cursor.bar, message);
            return;
        };
        if length <= 0.0 {
            return;
        }
        let stops = |e: &Element| e.attribute("type") == Some("stop");
        let tied = element.all("tie").any(stops)
            || element.all("notations").any(|n| n.all("tied").any(stops));
        let voice = self.voice(element);
        cursor.measure.notes.push(Note {
            at,
            length,
            pitch,
            spelling,
            voice,
            tied,
        });
    }

    fn pitch(&mut self, element: &Element, bar: usize) -> Option<(Midi, Spelling)> {
        let pitch = element.child("pitch")?;
        let letter = Letter::from_char(pitch.text_of("step").chars().next()?)?;
        let octave = whole_number(pitch.text_of("octave")).filter(|o| (-2..=12).contains(o))?;
        let alter = pitch.number_of("alter").unwrap_or(0.0);
        if alter.fract() != 0.0 {
            let message = "quarter tones are brought to the nearest semitone";
            self.notices.at(bar, message);
        }
        let alter = alter.round();
        let alter = (alter.abs() <= 3.0).then_some(alter as i8)?;
        self.transpose.pitch(Spelling::new(letter, alter), octave)
    }

    /// The place of a note's voice in the list of voices.
    fn voice(&mut self, element: &Element) -> usize {
        let staff = whole_number(element.text_of("staff")).unwrap_or(1);
        let name = match element.text_of("voice") {
            "" => "1",
            name => name,
        };
        let known = self
            .voices
            .iter()
            .position(|v| v.staff == staff && v.name == name);
        let idx = known.unwrap_or_else(|| {
            if self.voices.len() < MAX_VOICES {
                self.voices.push(Voice {
                    staff,
                    name: name.into(),
                    n_notes: 0,
                });
            }
            self.voices.len().saturating_sub(1)
        });
        if let Some(voice) = self.voices.get_mut(idx) {
            voice.n_notes += 1;
        }
        idx
    }

    /// Remembers what stands at a note and has no place in a chart.
    fn note_dropped(&mut self, note: &Element) {
        if note.has("lyric") {
            self.dropped.insert("lyrics");
        }
        for notation in note.all("notations").flat_map(Element::children) {
            let word = match notation.name() {
                "slur" => "slurs",
                "articulations" | "arpeggiate" | "non-arpeggiate" => "articulations",
                "ornaments" => "ornaments",
                "fermata" => "fermatas",
                "technical" => "fingerings and places on the neck",
                "glissando" | "slide" => "slides",
                "dynamics" => "dynamics",
                _ => continue,
            };
            self.dropped.insert(word);
        }
    }

    fn attributes(&mut self, element: &Element, cursor: &Cursor) {
        let bar = cursor.bar;
        if let Some(divisions) = element.number_of("divisions").filter(|d| *d > 0.0) {
            self.divisions = Some(divisions);
        }
        let of_first_staff = |e: &&Element| matches!(e.attribute("number"), None | Some("1"));
        if let Some(transpose) = element.all("transpose").find(of_first_staff) {
            self.transpose = Transpose::read(transpose);
        }
        if let Some(key) = element.all("key").find(of_first_staff) {
            self.key(key, bar);
        }
        if let Some(time) = element.all("time").find(of_first_staff) {
            self.time(time, cursor);
        }
        for clef in element
            .all("clef")
            .filter(|clef| clef.text_of("sign") == "TAB")
        {
            let staff = clef.attribute("number").and_then(whole_number);
            self.tab_staves.insert(staff.unwrap_or(1));
        }
        for style in element.all("measure-style").flat_map(Element::children) {
            if style.name() == "measure-repeat" {
                let starts = style.attribute("type") == Some("start");
                let back = usize::try_from(whole_number(style.text()).unwrap_or(1)).ok();
                self.repeats = back.filter(|back| starts && *back > 0);
            }
        }
    }

    fn key(&mut self, element: &Element, bar: usize) {
        let written = whole_number(element.text_of("fifths")).filter(|f| f.abs() <= 7);
        let Some(written) = written else {
            let message = "a key signature that is not one of the usual is left out";
            self.notices.at(bar, message);
            return;
        };
        let fifths = self.transpose.fifths(written);
        let name = element.text_of("mode");
        // Modes by their tonic: the third above it says whether they are major or minor.
        let (mode, up) = match name {
            "minor" | "aeolian" => (Mode::Minor, 0),
            "dorian" => (Mode::Minor, -1),
            "phrygian" => (Mode::Minor, 1),
            "locrian" => (Mode::Minor, 2),
            "lydian" => (Mode::Major, 1),
            "mixolydian" => (Mode::Major, -1),
            _ => (Mode::Major, 0),
        };
        let Some(key) =
            Key::with_fifths(fifths - up, mode).or_else(|| Key::with_fifths(fifths, mode))
        else {
            return;
        };
        if up != 0 {
            self.notices
                .at(bar, format!("the mode {name} is taken as {key}"));
        }
        match self.key {
            Some(before) if before != key => {
                let message = format!(
                    "the key changes to {key}; the chart has one key, the first, and the chords stay as they sound"
                );
                self.notices.at(bar, message);
            }
            _ => {}
        }
        self.key = Some(key);
        self.first_key = self.first_key.or(Some(key));
    }

    fn time(&mut self, element: &Element, cursor: &Cursor) {
        if element.has("senza-misura") {
            self.time = None;
            let message = "there is no metre here; the bars are as long as what is in them";
            self.notices.at(cursor.bar, message);
            return;
        }
        // `3+2` over 8, and several pairs one after the other, are one bar.
        let beats = element.all("beats").map(|beats| {
            let parts = beats.text().split('+');
            let parts = parts.map(|part| whole_number(part.trim()).map(i64::from));
            parts.sum::<Option<i64>>()
        });
        let units = element
            .all("beat-type")
            .map(|unit| whole_number(unit.text()));
        let pairs: Option<Vec<(i64, i32)>> = beats.zip(units).map(|(b, u)| b.zip(u)).collect();
        let pairs = pairs.unwrap_or_default();
        let unit = pairs.iter().map(|(_, unit)| *unit).max().unwrap_or(0);
        let known = [1, 2, 4, 8, 16, 32, 64].contains(&unit)
            && pairs.iter().all(|(_, own)| *own > 0 && unit % own == 0);
        let count: i64 = pairs
            .iter()
            .map(|(beats, own)| beats * i64::from(unit / (*own).max(1)))
            .sum();
        let count = u32::try_from(count)
            .ok()
            .filter(|n| known && (1..=256).contains(n));
        let Some((count, unit)) = count.zip(u32::try_from(unit).ok()) else {
            let message = "a time signature that cannot be read is left out";
            self.notices.at(cursor.bar, message);
            return;
        };
        if cursor.at > 0.0 {
            let message = "the metre changes within a bar; it counts for the whole bar";
            self.notices.at(cursor.bar, message);
        }
        self.time = Some((count, unit));
        self.first_time = self.first_time.or(self.time);
    }

    fn harmony(&mut self, element: &Element, cursor: &mut Cursor) {
        let offset = element.number_of("offset").unwrap_or(0.0);
        let at = cursor.at + offset / self.divisions.unwrap_or(1.0);
        if element.has("frame") {
            self.dropped.insert("chord diagrams");
        }
        let key = self.key.unwrap_or(Key::C_MAJOR);
        match harmony::read(element, self.transpose, key) {
            Ok(read) => {
                if let Some(guess) = read.guess {
                    self.notices.at(cursor.bar, guess);
                }
                cursor.measure.chords.push((at, read.harmony));
            }
            Err(message) => self.notices.at(cursor.bar, message),
        }
    }

    fn direction(&mut self, element: &Element, cursor: &mut Cursor) {
        let found = self.marks.read(element, cursor.bar, &mut self.notices);
        self.dropped.extend(found.dropped);
        if found.no_chord {
            cursor.measure.chords.push((cursor.at, Harmony::NoChord));
        }
        if let Some(name) = found.section {
            if cursor.measure.section.is_some() {
                let message = "two rehearsal marks in one bar: the first one is taken";
                self.notices.at(cursor.bar, message);
                return;
            }
            if cursor.at > 0.0 {
                let message = "a rehearsal mark within a bar begins a section with the bar";
                self.notices.at(cursor.bar, message);
            }
            cursor.measure.section = Some(name);
        }
    }
}

/// Quarters of a `metronome`'s beat unit with its dots.
pub(super) fn quarters_of(metronome: &Element) -> Option<f64> {
    let plain = match metronome.text_of("beat-unit") {
        "whole" => 4.0,
        "half" => 2.0,
        "quarter" => 1.0,
        "eighth" => 0.5,
        "16th" => 0.25,
        _ => return None,
    };
    let dots = metronome.all("beat-unit-dot").count();
    Some(plain * if dots > 0 { 1.5 } else { 1.0 })
}

/// Beats per minute of a `metronome`, as the first number in it.
pub(super) fn per_minute(metronome: &Element) -> Option<f64> {
    let text = metronome.text_of("per-minute");
    let digits = |c: char| c.is_ascii_digit() || c == '.';
    let from = text.find(|c: char| c.is_ascii_digit())?;
    let text = text.get(from..)?;
    let until = text.find(|c| !digits(c)).unwrap_or(text.len());
    number(text.get(..until)?).filter(|n| *n > 0.0)
}
