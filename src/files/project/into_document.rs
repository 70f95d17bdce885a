//! From a project file's types to a document. What makes no sense is refused with its place; a
//! number outside its range is brought into it, and what lies outside its bar is left out, each
//! with a sentence. Never changes anything without such a sentence.

use super::ProjectError;
use super::v1::BarLineV1;
use super::v1::BarV1;
use super::v1::ChordV1;
use super::v1::HandV1;
use super::v1::InstrumentV1;
use super::v1::LineV1;
use super::v1::PlucksV1;
use super::v1::ProjectV1;
use super::v1::RungV1;
use super::v1::SheetV1;
use super::v1::TuneV1;
use super::v1::VersionV1;
use super::words;
use crate::document::BARS_PER_SYSTEM;
use crate::document::Bar;
use crate::document::BarLine;
use crate::document::ChordAt;
use crate::document::Choruses;
use crate::document::Document;
use crate::document::Feel;
use crate::document::KeptVersion;
use crate::document::LAY_BACK_MS;
use crate::document::LadderRung;
use crate::document::LineSettings;
use crate::document::MAX_BARS;
use crate::document::MAX_CHORUSES;
use crate::document::MAX_RUNGS;
use crate::document::MAX_VERSIONS;
use crate::document::SWING_PERMILLE;
use crate::document::Section;
use crate::document::SheetSettings;
use crate::document::TEMPO_BPM;
use crate::document::TUNE_OCTAVES;
use crate::document::TuneNote;
use crate::document::TuneSettings;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::instrument::Tuning;
use crate::theory::ChordScale;
use crate::theory::Harmony;
use crate::theory::Key;
use crate::theory::Meter;
use crate::theory::Pluck;
use crate::theory::Quality;
use crate::theory::ScaleChoice;
use crate::theory::Ticks;
use std::fmt::Display;
use std::ops::RangeInclusive;
use std::sync::Arc;

/// The longest bar or place that is taken: 64 beats.
const MAX_TICKS: u32 = 64 * crate::theory::TICKS_PER_BEAT;

/// What is being read just now and what there is to say about it.
struct Reader {
    place: String,
    notices: Vec<String>,
}

/// The document of a project, with a sentence for everything that had to be changed.
pub fn document_from_v1(project: ProjectV1) -> Result<(Document, Vec<String>), ProjectError> {
    let mut reader = Reader {
        place: "in the header".into(),
        notices: Vec::new(),
    };
    let document = reader.document(project)?;
    Ok((document, reader.notices))
}

impl Reader {
    fn wrong(&self, message: String) -> ProjectError {
        ProjectError::Value {
            place: self.place.clone(),
            message,
        }
    }

    fn value<T>(&self, read: Result<T, String>) -> Result<T, ProjectError> {
        read.map_err(|message| self.wrong(message))
    }

    fn note(&mut self, sentence: &str) {
        self.notices.push(format!("{}: {sentence}", self.place));
    }

    /// A number brought into its range, with a sentence if that changed it.
    fn ranged<T: PartialOrd + Copy + Display>(
        &mut self,
        what: &str,
        value: T,
        range: RangeInclusive<T>,
    ) -> T {
        let (low, high) = (*range.start(), *range.end());
        // Not a number is neither above nor below; it becomes the lowest value.
        let fitting = if value > high {
            high
        } else if value >= low {
            return value;
        } else {
            low
        };
        self.note(&format!(
            "{what} {value} is outside {low} to {high}; {fitting} is used"
        ));
        fitting
    }

    fn document(&mut self, project: ProjectV1) -> Result<Document, ProjectError> {
        let key = Key::parse(&project.key).ok_or_else(|| {
            self.wrong(format!("`{}` is not a key such as `Bb major`", project.key))
        })?;
        let meter = Meter::parse(&project.meter).ok_or_else(|| {
            let offered: Vec<String> = Meter::ALL.iter().map(ToString::to_string).collect();
            self.wrong(format!(
                "meter `{}` should be one of: {}",
                project.meter,
                offered.join(", ")
            ))
        })?;
        let feel = match self.value(words::feel_from_text(&project.feel))? {
            Feel::Swing(ratio) => {
                Feel::Swing(self.ranged("swing (in thousandths)", ratio, SWING_PERMILLE))
            }
            other => other,
        };
        let lay_back_ms = self.ranged("lay-back (in milliseconds)", project.lay_back, LAY_BACK_MS);
        let tempo_bpm = self.ranged("tempo", project.tempo, TEMPO_BPM);
        let choruses = Choruses {
            count: self.ranged("choruses", project.choruses.count, 1..=MAX_CHORUSES),
            on_sheet: self.ranged(
                "the chorus on the sheet",
                project.choruses.on_sheet,
                1..=MAX_CHORUSES,
            ),
        };
        let house_style = self.value(words::value_of(&words::STYLES, &project.chord_style))?;
        let instrument = self.instrument(&project.instrument)?;
        let hand = self.hand(project.hand);
        let line = self.line(&project.line)?;
        let n_bars: usize = project.sections.iter().map(|s| s.bars.len()).sum();
        if n_bars > MAX_BARS {
            return Err(self.wrong(format!("{n_bars} bars; a tune can have at most {MAX_BARS}")));
        }
        let mut sections = Vec::new();
        let mut number = 0;
        for section in project.sections {
            let mut bars = Vec::new();
            for bar in section.bars {
                number += 1;
                self.place = format!("in bar {number}");
                bars.push(self.bar(&bar, meter, instrument.n_strings())?);
            }
            sections.push(Arc::new(Section {
                name: section.name,
                bars,
            }));
        }
        Ok(Document {
            title: project.title,
            credits: project.credits,
            key,
            meter,
            tempo_bpm,
            feel,
            lay_back_ms,
            house_style,
            instrument: Arc::new(instrument),
            hand: Arc::new(hand),
            line,
            tune: self.tune_settings(&project.tune)?,
            choruses,
            rungs: self.rungs(&project.rungs)?,
            lesson_text: project.lesson,
            sheet: self.sheet(&project.sheet)?,
            sections,
            versions: self.versions(project.versions)?,
        })
    }

    /// Kept versions. What is wrong in one is told with its name; what it keeps itself is left out.
    fn versions(&mut self, versions: Vec<VersionV1>) -> Result<Vec<KeptVersion>, ProjectError> {
        self.place = "in the header".into();
        if versions.len() > MAX_VERSIONS {
            let n = versions.len();
            self.note(&format!(
                "{n} kept versions; the first {MAX_VERSIONS} are taken"
            ));
        }
        let mut kept: Vec<KeptVersion> = Vec::new();
        for version in versions.into_iter().take(MAX_VERSIONS) {
            let VersionV1 { name, mut project } = version;
            let is_of = format!("in the kept version `{name}`");
            if !project.versions.is_empty() {
                project.versions.clear();
                self.note(&format!("versions kept {is_of} are left out"));
            }
            let (document, notices) = document_from_v1(project).map_err(|error| match error {
                ProjectError::Value { place, message } => ProjectError::Value {
                    place: format!("{is_of}, {place}"),
                    message,
                },
                other => other,
            })?;
            let notices = notices.into_iter();
            self.notices
                .extend(notices.map(|n| format!("{is_of}, {n}")));
            if kept.iter().any(|other| other.name == name) {
                self.note(&format!("two kept versions are called `{name}`"));
            }
            kept.push(KeptVersion {
                name,
                document: Arc::new(document),
            });
        }
        Ok(kept)
    }

    fn instrument(&mut self, from: &InstrumentV1) -> Result<Instrument, ProjectError> {
        let mut open = Vec::new();
        for note in from.open_strings.split_whitespace() {
            let pitch = words::pitch_from_text(note);
            open.push(pitch.ok_or_else(|| {
                self.wrong(format!(
                    "open string `{note}` should be a note with its octave, such as `E2`"
                ))
            })?);
        }
        let tuning = Tuning::new(&from.tuning, &open).ok_or_else(|| {
            self.wrong(format!(
                "{} open strings; a guitar here has 4 to 8",
                open.len()
            ))
        })?;
        let frets = self.ranged("number of frets", from.frets, 5..=36);
        Ok(Instrument {
            tuning,
            capo: self.ranged("capo", from.capo, 0..=frets.saturating_sub(5)),
            frets,
            scale_mm: self.ranged("scale length (mm)", from.scale_mm, 300.0..=900.0),
            strings: self.value(words::value_of(&words::STRING_SETS, &from.strings))?,
            left_handed: from.left_handed,
        })
    }

    fn hand(&mut self, from: HandV1) -> Hand {
        Hand {
            name: from.name,
            reach_permille: self.ranged(
                "reach of the hand (permille)",
                from.reach_permille,
                500..=1500,
            ),
            thumb_over: from.thumb_over,
            barre: from.barre,
            plucking_fingers: self.ranged("plucking fingers", from.plucking_fingers, 3..=4),
        }
    }

    fn rungs(&mut self, from: &[RungV1]) -> Result<Vec<LadderRung>, ProjectError> {
        self.place = "in the ladder".into();
        if from.len() > MAX_RUNGS {
            self.note(&format!(
                "{} rungs; the first {MAX_RUNGS} are kept",
                from.len()
            ));
        }
        let mut rungs = Vec::new();
        for rung in from.iter().take(MAX_RUNGS) {
            let moves = rung.moves.as_deref();
            let reached = rung.reached.iter();
            let reached = reached.map(|bpm| self.ranged("tempo reached", *bpm, TEMPO_BPM));
            rungs.push(LadderRung {
                name: rung.name.clone(),
                reached: reached.collect(),
                walk: self.value(words::value_of(&words::WALKS, &rung.walk))?,
                moves: self.value(moves.map(words::moves_from_words).transpose())?,
                slides: rung.slides,
                tune: rung.tune,
                advice: rung.advice.clone(),
            });
        }
        Ok(rungs)
    }

    fn tune_settings(&mut self, from: &TuneV1) -> Result<TuneSettings, ProjectError> {
        Ok(TuneSettings {
            density: self.value(words::value_of(&words::DENSITIES, &from.density))?,
            octaves: self.ranged("octaves of the tune", from.octaves, TUNE_OCTAVES),
        })
    }

    /// The tune of a bar. A note that does not fit in it is cut or left out, with a sentence.
    fn tune(
        &mut self,
        from: &[(u32, u32, String)],
        length: u32,
    ) -> Result<Vec<TuneNote>, ProjectError> {
        let mut notes = Vec::new();
        for (at, long, text) in from {
            let (pitch, spelling, tied) = self.value(words::tune_note_from_text(text))?;
            if !self.fits(*at, length, &format!("the tune's {text}")) {
                continue;
            }
            let long = self.ranged("length of a tune note", *long, 1..=length - at);
            notes.push(TuneNote {
                at: Ticks(*at),
                length: Ticks(long),
                pitch,
                spelling,
                tied,
            });
        }
        let mut notes = self.by_place(notes, |note| note.at, "note of the tune");
        let next: Vec<Ticks> = notes.iter().skip(1).map(|note| note.at).collect();
        for (note, next) in notes.iter_mut().zip(next) {
            let room = next.0 - note.at.0;
            note.length = Ticks(self.ranged("length of a tune note", note.length.0, 1..=room));
        }
        Ok(notes)
    }

    fn sheet(&mut self, from: &SheetV1) -> Result<SheetSettings, ProjectError> {
        let bars = from.bars_per_system;
        let bars = bars.map(|n| self.ranged("bars per system", n, BARS_PER_SYSTEM));
        Ok(SheetSettings {
            paper: self.value(words::value_of(&words::PAPERS, &from.paper))?,
            staff: from.staff,
            font: self.value(words::value_of(&words::SHEET_FONTS, &from.font))?,
            size: self.value(words::value_of(&words::MUSIC_SIZES, &from.size))?,
            bars_per_system: bars,
            all_choruses: from.all_choruses,
            diagrams: from.diagrams,
            fingers: from.fingers,
            pluck_letters: from.pluck_letters,
            moves: from.moves,
            move_table: from.move_table,
            table_page: from.table_page,
            student_line: from.student_line,
            lesson_text: from.lesson_text,
        })
    }

    fn line(&mut self, from: &LineV1) -> Result<LineSettings, ProjectError> {
        let plucks = from.plucks.as_ref();
        Ok(LineSettings {
            approach: self.value(words::value_of(&words::APPROACHES, &from.approach))?,
            walk: self.value(words::value_of(&words::WALKS, &from.walk))?,
            seed: from.seed,
            plucks: plucks.map(|p| self.plucks(p, MAX_TICKS)).transpose()?,
            open_strings: from.open_strings,
            keep_hardest_easy: from.keep_hardest_easy,
            riff: from.riff,
            rules_off: self.value(words::rules_from_words(&from.rules_off))?,
            scales: self.scales(&from.scales)?,
        })
    }

    fn scales(&self, from: &[(u8, String, String)]) -> Result<Vec<ScaleChoice>, ProjectError> {
        let read = |(above, quality, scale): &(u8, String, String)| {
            let quality = self.value(words::value_of(&Quality::WORDS, quality))?;
            let known = ChordScale::named(scale, Key::C_MAJOR.tonic).is_some();
            let unknown = || self.wrong(format!("there is no scale called `{scale}`"));
            known.then_some(()).ok_or_else(unknown)?;
            Ok(ScaleChoice {
                above_tonic: above % 12,
                quality,
                scale: scale.clone(),
            })
        };
        from.iter().map(read).collect()
    }

    fn bar_line(&self, from: &BarLineV1) -> Result<BarLine, ProjectError> {
        let walk = from.walk.as_deref();
        let moves = from.moves.as_deref();
        Ok(BarLine {
            walk: self.value(walk.map(|w| words::value_of(&words::WALKS, w)).transpose())?,
            moves: self.value(moves.map(words::moves_from_words).transpose())?,
            riff: from.riff,
        })
    }

    fn plucks(&mut self, from: &PlucksV1, length: u32) -> Result<Vec<Pluck>, ProjectError> {
        let mut plucks = Vec::new();
        for (at, word) in from {
            let pluck = self.value(words::pluck_from_text(Ticks(*at), word))?;
            if self.fits(*at, length, &format!("the {word} pluck")) {
                plucks.push(pluck);
            }
        }
        Ok(self.by_place(plucks, |pluck| pluck.at, "pluck"))
    }

    fn fits(&mut self, at: u32, length: u32, what: &str) -> bool {
        if at >= length {
            self.note(&format!(
                "{what} at tick {at} lies outside the bar ({length} ticks) and is left out"
            ));
        }
        at < length
    }

    /// In order of place; of two at one place the first stays.
    fn by_place<T>(
        &mut self,
        mut items: Vec<T>,
        place: impl Fn(&T) -> Ticks,
        what: &str,
    ) -> Vec<T> {
        items.sort_by_key(|item| place(item));
        let before = items.len();
        items.dedup_by_key(|item| place(item));
        if items.len() < before {
            self.note(&format!(
                "there is more than one {what} at one place; the first is kept"
            ));
        }
        items
    }

    fn bar(&mut self, from: &BarV1, meter: Meter, n_strings: u8) -> Result<Bar, ProjectError> {
        let own_length = from
            .length
            .map(|ticks| self.ranged("length of the bar", ticks, 1..=MAX_TICKS));
        let length = own_length.unwrap_or(meter.bar().0);
        let mut chords = Vec::new();
        for chord in &from.chords {
            let read = self.chord(chord)?;
            if self.fits(chord.at, length, &chord.chord) {
                chords.push(read);
            }
        }
        let mut thumb = Vec::new();
        for (at, text) in &from.thumb {
            let cell = self.value(words::cell_from_text(text, n_strings))?;
            if self.fits(*at, length, &format!("the thumb's {text}")) {
                thumb.push((Ticks(*at), cell));
            }
        }
        let mut slides = Vec::new();
        for (at, word) in &from.slides {
            let slide = self.value(words::value_of(&words::SLIDES, word))?;
            if self.fits(*at, length, &format!("the slide {word}")) {
                slides.push((Ticks(*at), slide));
            }
        }
        let plucks = from.plucks.as_ref();
        Ok(Bar {
            chords: self.by_place(chords, |chord| chord.at, "chord"),
            thumb: self.by_place(thumb, |(at, _)| *at, "thumb move"),
            line: self.bar_line(&from.line)?,
            plucks: plucks.map(|p| self.plucks(p, length)).transpose()?,
            slides: self.by_place(slides, |(at, _)| *at, "slide"),
            tune: self.tune(&from.tune, length)?,
            length: own_length.map(Ticks),
            repeat_start: from.repeat_start,
            repeat_times: from.repeat_times,
            ending: from.ending,
        })
    }

    fn chord(&self, from: &ChordV1) -> Result<ChordAt, ProjectError> {
        let harmony = Harmony::parse(&from.chord);
        let harmony = self.value(harmony.map_err(|e| format!("chord `{}`: {e}", from.chord)))?;
        let shape = if from.shape.is_empty() {
            None
        } else {
            let shape = Shape::parse(&from.shape);
            Some(shape.ok_or_else(|| {
                self.wrong(format!(
                    "`{}` should be a shape such as `3x443x`",
                    from.shape
                ))
            })?)
        };
        Ok(ChordAt {
            at: Ticks(from.at),
            harmony,
            shape,
        })
    }
}
