//! MusicXML to a document: the chords, the tune and the form of a lead sheet. Takes versions 1 to 4,
//! partwise and timewise. What a chart cannot hold is told in notices, each with its bars as the
//! chart counts them.
//!
//! Elements: MusicXML 4.0, W3C Music Notation Community Group, 2021.

mod barline;
mod element;
mod form;
mod harmony;
mod marks;
mod measure;
mod melody;
mod score;
mod transpose;

use super::metre;
use super::metre::tempo_of;
use super::notices::Notices;
use super::score_file::Choice;
use super::score_file::ImportError;
use super::score_file::Imported;
use super::score_file::PartInfo;
use super::text_bytes;
use crate::document::Bar;
use crate::document::ChordAt;
use crate::document::Document;
use crate::document::Feel;
use crate::document::Section;
use crate::theory::Meter;
use crate::theory::TICKS_PER_BEAT;
use crate::theory::Ticks;
use element::Source;
use element::Step;
use form::Placed;
use measure::Measure;
use measure::Part;
use melody::Scale;
use score::NamedPart;
use score::Score;
use std::sync::Arc;

/// Whether a text looks like MusicXML, so that a mistake in it is told as one.
#[must_use]
pub fn looks_like(bytes: &[u8]) -> bool {
    let head = bytes.get(..bytes.len().min(2000)).unwrap_or(bytes);
    let head: Vec<u8> = head.iter().copied().filter(|byte| *byte != 0).collect();
    let text = String::from_utf8_lossy(&head);
    let text = text
        .trim_start_matches(['\u{feff}', '\u{fffd}'])
        .trim_start();
    text.starts_with("<?xml") || text.starts_with("<!DOCTYPE") || text.starts_with("<score-")
}

/// Reads a score from the bytes of a file.
///
/// # Errors
/// Where it is no score, what is wrong and what to do.
pub fn read(bytes: &[u8], choice: Choice) -> Result<Imported, ImportError> {
    let text = text_bytes::decode(bytes)?;
    let score = score::read(&text)?;
    let parts: Vec<PartInfo> = score.parts.iter().map(info).collect();
    let mut notices = Notices::default();
    let (taken, with_chords) = chosen(&parts, choice, &mut notices)?;
    let (document, notices) = Building::new(&score, taken, with_chords).finish(notices)?;
    Ok(Imported {
        document,
        notices,
        parts,
        taken,
    })
}

/// The path of the score that a container of a compressed file names.
///
/// # Errors
/// If the container is no well-formed XML.
pub(super) fn root_file(bytes: &[u8]) -> Result<Option<String>, ImportError> {
    let text = text_bytes::decode(bytes)?;
    let mut source = Source::new(&text);
    let Step::Opened(container) = source.step()? else {
        return Ok(None);
    };
    let container = source.inside(container)?;
    let files = container
        .all("rootfiles")
        .flat_map(|files| files.all("rootfile"));
    // The first one is the score; others are the same in other formats.
    let first = files.filter_map(|file| file.attribute("full-path")).next();
    Ok(first.map(str::to_owned))
}

fn info(named: &NamedPart) -> PartInfo {
    PartInfo {
        name: named.name.clone(),
        bars: named.part.measures.len(),
        notes: named.part.n_notes(),
        chords: named.part.n_chords(),
    }
}

/// The part with the tune and the part with the chords.
fn chosen(
    parts: &[PartInfo],
    choice: Choice,
    notices: &mut Notices,
) -> Result<(usize, usize), ImportError> {
    let find = |wanted: &dyn Fn(&PartInfo) -> bool| parts.iter().position(wanted);
    let with_chords = find(&|part| part.chords > 0);
    let taken = match choice.part {
        Some(part) if part < parts.len() => part,
        Some(part) => {
            let list: Vec<String> = (1..)
                .zip(parts)
                .map(|(n, part)| format!("{n} {part}"))
                .collect();
            return Err(ImportError::whole(format!(
                "there is no part {}; there are: {}",
                part.saturating_add(1),
                list.join("; ")
            )));
        }
        None => find(&|part| part.chords > 0 && part.notes > 0)
            .or_else(|| find(&|part| part.notes > 0))
            .or(with_chords)
            .unwrap_or(0),
    };
    let name = |part: usize| parts.get(part).map_or("", |part| part.name.as_str());
    if parts.len() > 1 {
        let n = parts.len();
        let number = taken + 1;
        notices.whole(format!(
            "there are {n} parts; the tune is taken from part {number}, “{}”",
            name(taken)
        ));
    }
    let own = parts.get(taken).is_some_and(|part| part.chords > 0);
    let chords = if own {
        taken
    } else {
        with_chords.unwrap_or(taken)
    };
    if chords != taken {
        let number = chords + 1;
        notices.whole(format!(
            "the chords are taken from part {number}, “{}”",
            name(chords)
        ));
    }
    if with_chords.is_none() {
        notices.whole("there are no chord symbols in the file; write the chords in the grid");
    }
    Ok((taken, chords))
}

/// What the part with the tune says, else the first part that says it.
fn said<T>(score: &Score, tune: &Part, what: impl Fn(&Part) -> Option<T>) -> Option<T> {
    let mut parts = score.parts.iter().map(|named| &named.part);
    what(tune).or_else(|| parts.find_map(what))
}

/// The document being made.
struct Building<'a> {
    score: &'a Score,
    tune: &'a Part,
    chords: &'a Part,
    meter: Meter,
    scale: Scale,
}

impl<'a> Building<'a> {
    fn new(score: &'a Score, taken: usize, with_chords: usize) -> Self {
        static NONE: std::sync::OnceLock<Part> = std::sync::OnceLock::new();
        let part = |idx: usize| {
            let named = score.parts.get(idx).map(|named| &named.part);
            named.unwrap_or_else(|| NONE.get_or_init(Part::default))
        };
        let tune = part(taken);
        let time = said(score, tune, |part| part.first_time);
        let meter = time.map_or(Meter::COMMON, |(count, unit)| metre::nearest(count, unit).0);
        Self {
            score,
            tune,
            chords: part(with_chords),
            meter,
            scale: Scale {
                ticks_per_quarter: meter.ticks_per_quarter(),
            },
        }
    }

    fn finish(self, mut notices: Notices) -> Result<(Document, Vec<super::Notice>), ImportError> {
        let mut document = Document {
            title: self.score.title.clone(),
            credits: self.score.credits.clone(),
            lesson_text: self.score.lesson_text.clone(),
            meter: self.meter,
            ..Document::default()
        };
        for text in &self.score.rights {
            notices.whole(format!("the file says about rights: “{text}”"));
        }
        self.settings(&mut document, &mut notices);
        let own = std::ptr::eq(self.tune, self.chords);
        notices.take(self.tune.notices.clone());
        if !own {
            notices.take(self.chords.notices.clone());
        }
        let placed = form::placed(&self.tune.measures, &mut notices)?;
        document.sections = self.sections(&placed, &mut notices);
        document.tune.octaves = self.score.lanes.as_ref().map_or(0, |lanes| lanes.octaves);
        let mut dropped = self.tune.dropped.clone();
        dropped.extend(&self.chords.dropped);
        if !dropped.is_empty() {
            let list: Vec<&str> = dropped.into_iter().collect();
            notices.whole(format!(
                "left out, as a chart has no place for them: {}",
                list.join(", ")
            ));
        }
        let number = |bar: usize| {
            let place = placed.iter().position(|placed| placed.source == bar);
            place.unwrap_or(bar)
        };
        Ok((document, notices.into_list(number)))
    }

    /// Key, metre, tempo and feel.
    fn settings(&self, document: &mut Document, notices: &mut Notices) {
        match said(self.score, self.tune, |part| part.first_key) {
            Some(key) => document.key = key,
            None => notices.whole("the file names no key; C major is taken"),
        }
        let time = said(self.score, self.tune, |part| part.first_time);
        match time.map(|(count, unit)| (count, unit, metre::nearest(count, unit))) {
            None => notices.whole("the file names no metre; 4/4 is taken"),
            Some((count, unit, (meter, false))) => notices.whole(format!(
                "{count}/{unit} is not among the metres of a chart; {meter} is taken, and the bars keep their length"
            )),
            Some(_) => {}
        }
        match said(self.score, self.tune, |part| part.marks.tempo) {
            Some((quarters, bar)) => {
                if bar > 0 {
                    notices.at(
                        bar,
                        "the tempo is first said here; it counts for the whole tune",
                    );
                }
                document.tempo_bpm = tempo_of(quarters, self.meter, notices);
            }
            None => notices.whole("the file names no tempo; 120 beats a minute are taken"),
        }
        let feel = said(self.score, self.tune, |part| part.marks.feel);
        document.feel = feel.unwrap_or_else(|| {
            notices.whole("nothing says whether eighths are swung; they are played straight");
            Feel::Straight
        });
    }

    fn sections(&self, placed: &[Placed], notices: &mut Notices) -> Vec<Arc<Section>> {
        let bars = self.bars(notices);
        let mut sections: Vec<Section> = Vec::new();
        for placed in placed {
            let name = self.section_name(placed.source).filter(|_| placed.is_first);
            if name.is_some() || sections.is_empty() {
                sections.push(Section {
                    name: name.unwrap_or_default(),
                    bars: Vec::new(),
                });
            }
            let mut bar = bars.get(placed.source).cloned().unwrap_or_default();
            bar.repeat_start = placed.repeat_start;
            bar.repeat_times = placed.repeat_times;
            bar.ending = placed.ending;
            if let Some(section) = sections.last_mut() {
                section.bars.push(bar);
            }
        }
        sections.into_iter().map(Arc::new).collect()
    }

    fn section_name(&self, bar: usize) -> Option<String> {
        said(self.score, self.tune, |part| {
            part.measures.get(bar)?.section.clone()
        })
    }

    /// Every bar of the file with its chords and notes.
    fn bars(&self, notices: &mut Notices) -> Vec<Bar> {
        let lanes = self.score.lanes.as_ref();
        let voice = melody::voice(self.tune, lanes);
        let mut before = melody::Before::default();
        let n_bars = self.tune.measures.len();
        let nothing = Measure::default();
        let mut bars = Vec::with_capacity(n_bars);
        for (idx, measure) in self.tune.measures.iter().enumerate() {
            let length = self.length(idx, measure, notices);
            let with_chords = self.chords.measures.get(idx).unwrap_or(&nothing);
            let voice = voice.unwrap_or(usize::MAX);
            let which = (voice, self.scale, lanes);
            bars.push(Bar {
                length: (length != self.meter.bar()).then_some(length),
                chords: self.chords(with_chords, idx, length, notices),
                tune: melody::of_bar(measure, idx, length, which, &mut before, notices),
                ..Bar::default()
            });
        }
        bars
    }

    /// How long a bar is: what the metre says, unless the bar is a pick-up, stands at a repeat or at
    /// the end and is shorter, or holds more.
    fn length(&self, idx: usize, measure: &Measure, notices: &mut Notices) -> Ticks {
        let others = self.score.parts.iter();
        let others = others.filter_map(|named| Some(named.part.measures.get(idx)?.filled));
        let filled = others.fold(measure.filled, f64::max);
        let bar_quarters = f64::from(self.meter.bar().0) / f64::from(self.scale.ticks_per_quarter);
        let full = match measure.nominal {
            Some(nominal) => nominal,
            None if filled > 0.0 => filled,
            None => bar_quarters,
        };
        let near = |a: f64, b: f64| (a - b).abs() < 0.001;
        let around = |i: usize| self.tune.measures.get(i).map(|m| &m.lines);
        let at_sign = around(idx)
            .is_some_and(|l| l.repeat_start || l.repeat_times > 0 || !l.ending.is_empty())
            || around(idx + 1).is_some_and(|l| l.repeat_start || !l.ending.is_empty());
        // A bar that was split in two, for a double line or a new system.
        let next = self.tune.measures.get(idx + 1);
        let split = next.is_some_and(|next| next.implicit);
        let at_edge = idx == 0 || idx + 1 == self.tune.measures.len() || at_sign;
        let quarters = if filled <= 0.0 || near(filled, full) {
            full
        } else if filled > full {
            notices.at(
                idx,
                "the bar holds more than its metre; it is as long as what is in it",
            );
            filled
        } else if measure.implicit || at_edge || split {
            filled
        } else {
            notices.at(
                idx,
                "the bar holds less than its metre; the rest of it is silent",
            );
            full
        };
        let (ticks, rounded) = self.scale.tick(quarters);
        if rounded {
            notices.at(idx, "the length of the bar is rounded to a tick");
        }
        let most = 64 * TICKS_PER_BEAT;
        if ticks > most {
            notices.at(idx, "the bar is longer than 64 beats and is cut there");
        }
        Ticks(ticks.clamp(1, most))
    }

    fn chords(
        &self,
        measure: &Measure,
        bar: usize,
        length: Ticks,
        notices: &mut Notices,
    ) -> Vec<ChordAt> {
        let mut chords: Vec<ChordAt> = Vec::with_capacity(measure.chords.len());
        for (quarters, harmony) in &measure.chords {
            let (mut at, rounded) = self.scale.tick(*quarters);
            if *quarters < 0.0 || at >= length.0 {
                notices.at(bar, "a chord that stands outside its bar is moved into it");
                let last_beat = length.0.saturating_sub(1) / TICKS_PER_BEAT * TICKS_PER_BEAT;
                at = at.min(last_beat);
            }
            if rounded {
                notices.at(
                    bar,
                    "places between two ticks (a 960th of a beat) are rounded",
                );
            }
            let place = chords.partition_point(|chord| chord.at.0 < at);
            match chords.get(place).filter(|chord| chord.at.0 == at) {
                Some(chord) if chord.harmony == *harmony => {}
                Some(_) => notices.at(bar, "of two chords at one place the first is taken"),
                None => chords.insert(
                    place,
                    ChordAt {
                        at: Ticks(at),
                        harmony: harmony.clone(),
                        shape: None,
                    },
                ),
            }
        }
        chords
    }
}

#[cfg(test)]
mod tests;
