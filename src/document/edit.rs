//! Edits: the closed list of things that can change a document. Each is checked before anything
//! changes, and carries the words that undo shows.

use super::practice::LadderRung;
use super::practice::MAX_RUNGS;
use super::sheet::SheetSettings;
use super::tune;
use super::tune::TUNE_OCTAVES;
use super::tune::TuneFault;
use super::tune::TuneNote;
use super::tune::TuneSettings;
use super::types::Bar;
use super::types::BarLine;
use super::types::ChordAt;
use super::types::Document;
use super::types::Feel;
use super::types::LAY_BACK_MS;
use super::types::LineSettings;
use super::types::MAX_BARS;
use super::types::SWING_PERMILLE;
use super::types::TEMPO_BPM;
use super::types::ThumbCell;
use crate::instrument::Hand;
use crate::instrument::Instrument;
use crate::instrument::Shape;
use crate::theory::Harmony;
use crate::theory::HouseStyle;
use crate::theory::Key;
use crate::theory::Meter;
use crate::theory::Pluck;
use crate::theory::Slide;
use crate::theory::Ticks;
use crate::theory::Transposition;
use std::sync::Arc;

/// Where bars are put; it decides which section they belong to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum BarPlace {
    /// Before this bar, in its section.
    Before(usize),
    /// After this bar, in its section.
    After(usize),
}

/// One change. Bars are numbered from 0 in written order.
#[derive(Clone, PartialEq, Debug)]
pub enum Edit {
    /// The title.
    SetTitle(String),
    /// Who wrote it.
    SetCredits(String),
    /// Words for the student.
    SetLessonText(String),
    /// The key, without moving any chord.
    SetKey(Key),
    /// The metre; bars keep their chords where these still fit.
    SetMeter(Meter),
    /// Beats per minute.
    SetTempo(u16),
    /// Feel.
    SetFeel(Feel),
    /// How late fingers and tune come on the beat, in milliseconds.
    SetLayBack(u8),
    /// How chord symbols are shown.
    SetHouseStyle(HouseStyle),
    /// The instrument.
    SetInstrument(Instrument),
    /// The hand.
    SetHand(Hand),
    /// Thumb line and plucking.
    SetLine(LineSettings),
    /// What the sheet shows.
    SetSheet(SheetSettings),
    /// Writes a chord at a place, or takes it away.
    SetHarmony {
        /// Bar.
        bar: usize,
        /// Where in the bar.
        at: Ticks,
        /// What to write; `None` removes it.
        harmony: Option<Harmony>,
    },
    /// Chooses the shape of a written chord, or leaves it to the tool again.
    SetShape {
        /// Bar.
        bar: usize,
        /// Which chord of the bar.
        chord_idx: usize,
        /// The shape.
        shape: Option<Shape>,
    },
    /// Decides a thumb slot, or leaves it to the tool again.
    SetThumb {
        /// Bar.
        bar: usize,
        /// Where in the bar.
        at: Ticks,
        /// The decision.
        cell: Option<ThumbCell>,
    },
    /// Decides the strikes of the fingers in a bar, or gives the bar the tune's pattern again.
    SetPlucks {
        /// Bar.
        bar: usize,
        /// The strikes.
        plucks: Option<Vec<Pluck>>,
    },
    /// Says what the thumb line may do in a bar.
    SetBarLine {
        /// Bar.
        bar: usize,
        /// What is asked.
        line: BarLine,
    },
    /// Has the fingers, or the whole grip, slide into a place, or no longer.
    SetSlide {
        /// Bar.
        bar: usize,
        /// Where in the bar.
        at: Ticks,
        /// The slide.
        slide: Option<Slide>,
    },
    /// Writes the tune of a bar: notes in order, side by side, within the bar.
    SetTune {
        /// Bar.
        bar: usize,
        /// The notes.
        notes: Vec<TuneNote>,
    },
    /// What is asked of the tune as a whole.
    SetTuneSettings(TuneSettings),
    /// The rungs of the ladder; none for the usual ones.
    SetRungs(Vec<LadderRung>),
    /// Puts empty bars before a bar (at the end if `before` is the number of bars).
    InsertBars {
        /// Before which bar.
        before: usize,
        /// How many.
        count: usize,
    },
    /// Puts bars, with everything in them, beside a bar.
    PutBars {
        /// Where.
        place: BarPlace,
        /// The bars.
        bars: Vec<Bar>,
    },
    /// Removes bars, first and last included.
    DeleteBars {
        /// First.
        first: usize,
        /// Last.
        last: usize,
    },
    /// Moves the whole chart by semitones (−11 to 11) into another key, spelled for that key.
    Transpose(i8),
    /// Several edits as one: all of them or none.
    Together {
        /// What undo and redo call it.
        label: String,
        /// The edits, in order.
        edits: Vec<Edit>,
    },
}

/// Why an edit could not be made.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum EditError {
    /// There is no such bar.
    #[error("there is no bar {}; the tune has {n_bars} bars", bar + 1)]
    NoSuchBar {
        /// The bar asked for, from 0.
        bar: usize,
        /// How many there are.
        n_bars: usize,
    },
    /// There is no such chord.
    #[error("bar {} has no chord number {}", bar + 1, chord_idx + 1)]
    NoSuchChord {
        /// Bar from 0.
        bar: usize,
        /// Chord from 0.
        chord_idx: usize,
    },
    /// A place outside the bar.
    #[error("bar {} has no such beat", bar + 1)]
    OutsideBar {
        /// Bar from 0.
        bar: usize,
    },
    /// Two notes of the tune at once, or out of order.
    #[error("two notes of the tune sound at once in bar {}; it has one voice", bar + 1)]
    TuneOverlaps {
        /// Bar from 0.
        bar: usize,
    },
    /// A note of the tune that does not end in its bar.
    #[error("a note of the tune in bar {} is longer than the bar; tie it to one in the next", bar + 1)]
    TuneOutside {
        /// Bar from 0.
        bar: usize,
    },
    /// A value outside its range.
    #[error("{what} must be {range}")]
    OutOfRange {
        /// What it is.
        what: &'static str,
        /// What it may be.
        range: &'static str,
    },
    /// More bars than the program takes.
    #[error("a tune can have at most {} bars", MAX_BARS)]
    TooManyBars,
}

impl Edit {
    /// What undo and redo call it.
    #[must_use]
    pub fn label(&self) -> String {
        match self {
            Self::SetTitle(_) => "Change title".into(),
            Self::SetCredits(_) => "Change credits".into(),
            Self::SetLessonText(_) => "Change lesson text".into(),
            Self::SetKey(_) => "Change key".into(),
            Self::SetMeter(_) => "Change meter".into(),
            Self::SetTempo(_) => "Change tempo".into(),
            Self::SetFeel(_) => "Change feel".into(),
            Self::SetLayBack(_) => "Change lay-back".into(),
            Self::SetHouseStyle(_) => "Change chord style".into(),
            Self::SetInstrument(_) => "Change instrument".into(),
            Self::SetHand(_) => "Change hand".into(),
            Self::SetLine(_) => "Change line settings".into(),
            Self::SetSheet(_) => "Change sheet".into(),
            Self::SetHarmony { bar, .. } => format!("Change chord in bar {}", bar + 1),
            Self::SetShape { bar, .. } => format!("Choose voicing in bar {}", bar + 1),
            Self::SetThumb { bar, .. } => format!("Change thumb in bar {}", bar + 1),
            Self::SetPlucks { bar, .. } => format!("Change plucks in bar {}", bar + 1),
            Self::SetBarLine { bar, .. } => format!("Change thumb line in bar {}", bar + 1),
            Self::SetSlide { bar, .. } => format!("Change slide in bar {}", bar + 1),
            Self::SetTune { bar, .. } => format!("Change tune in bar {}", bar + 1),
            Self::SetTuneSettings(_) => "Change tune settings".into(),
            Self::SetRungs(_) => "Change ladder".into(),
            Self::InsertBars { count: 1, .. } => "Insert a bar".into(),
            Self::InsertBars { count, .. } => format!("Insert {count} bars"),
            Self::PutBars { bars, .. } if bars.len() == 1 => "Put a bar".into(),
            Self::PutBars { bars, .. } => format!("Put {} bars", bars.len()),
            Self::DeleteBars { first, last } if first == last => {
                format!("Delete bar {}", first + 1)
            }
            Self::DeleteBars { first, last } => {
                format!("Delete bars {} to {}", first + 1, last + 1)
            }
            Self::Transpose(_) => "Transpose".into(),
            Self::Together { label, .. } => label.clone(),
        }
    }

    /// Edits with the same key that follow each other are one step of undo: typing in a field,
    /// dragging a value.
    #[must_use]
    pub const fn merge_key(&self) -> Option<&'static str> {
        match self {
            Self::SetTitle(_) => Some("title"),
            Self::SetCredits(_) => Some("credits"),
            Self::SetLessonText(_) => Some("lesson"),
            Self::SetTempo(_) => Some("tempo"),
            Self::SetFeel(_) => Some("feel"),
            Self::SetLayBack(_) => Some("lay-back"),
            Self::SetHand(_) => Some("hand"),
            _ => None,
        }
    }
}

impl Document {
    /// The document after an edit.
    ///
    /// # Errors
    /// If the edit names something that is not there or a value out of range; nothing is changed
    /// then.
    pub fn apply(&self, edit: &Edit) -> Result<Self, EditError> {
        let mut next = self.clone();
        next.change(edit)?;
        Ok(next)
    }

    fn change(&mut self, edit: &Edit) -> Result<(), EditError> {
        match edit {
            Edit::SetTitle(text) => self.title.clone_from(text),
            Edit::SetCredits(text) => self.credits.clone_from(text),
            Edit::SetLessonText(text) => self.lesson_text.clone_from(text),
            Edit::SetKey(key) => self.key = *key,
            Edit::SetMeter(meter) => self.set_meter(*meter),
            Edit::SetTempo(bpm) => {
                within(
                    TEMPO_BPM.contains(bpm),
                    "the tempo",
                    "30 to 320 beats a minute",
                )?;
                self.tempo_bpm = *bpm;
            }
            Edit::SetFeel(feel) => {
                let fits = !matches!(feel, Feel::Swing(r) if !SWING_PERMILLE.contains(r));
                within(fits, "the swing ratio", "between 1 : 1 and 3.5 : 1")?;
                self.feel = *feel;
            }
            Edit::SetLayBack(ms) => {
                within(
                    LAY_BACK_MS.contains(ms),
                    "the lay-back",
                    "0 to 40 milliseconds",
                )?;
                self.lay_back_ms = *ms;
            }
            Edit::SetHouseStyle(style) => self.house_style = *style,
            Edit::SetInstrument(instrument) => self.instrument = Arc::new(instrument.clone()),
            Edit::SetHand(hand) => {
                let fits = (3..=4).contains(&hand.plucking_fingers);
                within(fits, "the number of plucking fingers", "3 or 4")?;
                self.hand = Arc::new(hand.clone());
            }
            Edit::SetLine(line) => self.line = line.clone(),
            Edit::SetSheet(sheet) => self.sheet = *sheet,
            Edit::SetHarmony { bar, at, harmony } => {
                self.check_place(*bar, *at)?;
                set_harmony(self.bar_mut(*bar)?, *at, harmony.clone());
            }
            Edit::SetShape {
                bar,
                chord_idx,
                shape,
            } => {
                let missing = EditError::NoSuchChord {
                    bar: *bar,
                    chord_idx: *chord_idx,
                };
                let chord = self
                    .bar_mut(*bar)?
                    .chords
                    .get_mut(*chord_idx)
                    .ok_or(missing)?;
                chord.shape = *shape;
            }
            Edit::SetThumb { bar, at, cell } => {
                self.check_place(*bar, *at)?;
                set_at(&mut self.bar_mut(*bar)?.thumb, *at, *cell);
            }
            Edit::SetPlucks { bar, plucks } => {
                for pluck in plucks.iter().flatten() {
                    self.check_place(*bar, pluck.at)?;
                }
                let mut plucks = plucks.clone();
                if let Some(plucks) = &mut plucks {
                    plucks.sort();
                    plucks.dedup_by_key(|pluck| pluck.at);
                }
                self.bar_mut(*bar)?.plucks = plucks;
            }
            Edit::SetBarLine { bar, line } => self.bar_mut(*bar)?.line = *line,
            Edit::SetSlide { bar, at, slide } => {
                self.check_place(*bar, *at)?;
                set_at(&mut self.bar_mut(*bar)?.slides, *at, *slide);
            }
            Edit::SetTune { bar, notes } => self.set_tune(*bar, notes)?,
            Edit::SetTuneSettings(tune) => {
                let fits = TUNE_OCTAVES.contains(&tune.octaves);
                within(fits, "the tune's octaves", "-2 to 2")?;
                self.tune = *tune;
            }
            Edit::SetRungs(rungs) => {
                within(
                    rungs.len() <= MAX_RUNGS,
                    "the number of rungs",
                    "at most 24",
                )?;
                self.rungs.clone_from(rungs);
            }
            Edit::InsertBars { before, count } => self.insert_bars(*before, *count)?,
            Edit::PutBars { place, bars } => self.put_bars(*place, bars)?,
            Edit::DeleteBars { first, last } => self.delete_bars(*first, *last)?,
            Edit::Transpose(semitones) => self.transpose(*semitones)?,
            Edit::Together { edits, .. } => edits.iter().try_for_each(|edit| self.change(edit))?,
        }
        Ok(())
    }

    fn no_such_bar(&self, bar: usize) -> EditError {
        EditError::NoSuchBar {
            bar,
            n_bars: self.n_bars(),
        }
    }

    /// The section a bar is in, and the bar's number inside it. A lock of the whole tune is
    /// thousands of edits, so this walks over sections, not over bars.
    fn locate(&self, bar: usize) -> Result<(usize, usize), EditError> {
        let mut left = bar;
        for (idx, section) in self.sections.iter().enumerate() {
            if left < section.bars.len() {
                return Ok((idx, left));
            }
            left -= section.bars.len();
        }
        Err(self.no_such_bar(bar))
    }

    fn check_place(&self, bar: usize, at: Ticks) -> Result<(), EditError> {
        let (section, idx) = self.locate(bar)?;
        let section = self.sections.get(section);
        let own = section.and_then(|section| section.bars.get(idx)?.length);
        if at < own.unwrap_or_else(|| self.meter.bar()) {
            Ok(())
        } else {
            Err(EditError::OutsideBar { bar })
        }
    }

    fn bar_mut(&mut self, bar: usize) -> Result<&mut Bar, EditError> {
        let (section, idx) = self.locate(bar)?;
        let section = self.sections.get_mut(section).map(Arc::make_mut);
        section
            .and_then(|section| section.bars.get_mut(idx))
            .ok_or(EditError::NoSuchBar { bar, n_bars: bar })
    }

    fn set_tune(&mut self, bar: usize, notes: &[TuneNote]) -> Result<(), EditError> {
        let length = self.bar_length(bar);
        let written = self.bar_mut(bar)?;
        match tune::fault(notes, length) {
            Some(TuneFault::Outside) => return Err(EditError::TuneOutside { bar }),
            Some(TuneFault::Overlap) => return Err(EditError::TuneOverlaps { bar }),
            None => written.tune = notes.to_vec(),
        }
        Ok(())
    }

    fn set_meter(&mut self, meter: Meter) {
        self.meter = meter;
        let full = meter.bar();
        for section in &mut self.sections {
            for bar in &mut Arc::make_mut(section).bars {
                let length = bar.length.filter(|own| *own < full).unwrap_or(full);
                bar.length = (length < full).then_some(length);
                bar.chords.retain(|chord| chord.at < length);
                bar.thumb.retain(|(at, _)| *at < length);
                bar.slides.retain(|(at, _)| *at < length);
                bar.tune.retain(|note| note.at < length);
                for note in &mut bar.tune {
                    note.length.0 = note.length.0.min(length.0 - note.at.0);
                }
                if let Some(plucks) = &mut bar.plucks {
                    plucks.retain(|pluck| pluck.at < length);
                }
            }
        }
    }

    fn insert_bars(&mut self, before: usize, count: usize) -> Result<(), EditError> {
        let n_bars = self.n_bars();
        if before > n_bars {
            return Err(self.no_such_bar(before));
        }
        if n_bars.saturating_add(count) > MAX_BARS {
            return Err(EditError::TooManyBars);
        }
        if self.sections.is_empty() {
            self.sections.push(Arc::default());
        }
        let last = self.sections.len() - 1;
        let mut left = before;
        for (i, section) in self.sections.iter_mut().enumerate() {
            let len = section.bars.len();
            if left < len || i == last {
                let at = left.min(len);
                let bars = std::iter::repeat_n(Bar::default(), count);
                Arc::make_mut(section).bars.splice(at..at, bars);
                return Ok(());
            }
            left -= len;
        }
        Ok(())
    }

    fn put_bars(&mut self, place: BarPlace, bars: &[Bar]) -> Result<(), EditError> {
        let (beside, extra) = match place {
            BarPlace::Before(bar) => (bar, 0),
            BarPlace::After(bar) => (bar, 1),
        };
        let (section, idx) = self.locate(beside)?;
        if self.n_bars().saturating_add(bars.len()) > MAX_BARS {
            return Err(EditError::TooManyBars);
        }
        if let Some(section) = self.sections.get_mut(section) {
            let at = idx + extra;
            Arc::make_mut(section)
                .bars
                .splice(at..at, bars.iter().cloned());
        }
        Ok(())
    }

    fn delete_bars(&mut self, first: usize, last: usize) -> Result<(), EditError> {
        if first > last || last >= self.n_bars() {
            return Err(self.no_such_bar(last));
        }
        let mut start = 0;
        for section in &mut self.sections {
            let len = section.bars.len();
            let from = first.max(start) - start;
            let to = (last + 1).min(start + len).saturating_sub(start);
            if from < to {
                Arc::make_mut(section).bars.drain(from..to);
            }
            start += len;
        }
        self.sections.retain(|section| !section.bars.is_empty());
        Ok(())
    }

    fn transpose(&mut self, semitones: i8) -> Result<(), EditError> {
        within(
            (-11..=11).contains(&semitones),
            "the transposition",
            "-11 to 11 semitones",
        )?;
        let transposition = Transposition::by(self.key, i32::from(semitones));
        for section in &mut self.sections {
            for bar in &mut Arc::make_mut(section).bars {
                for chord in &mut bar.chords {
                    chord.harmony = transposition.harmony(&chord.harmony);
                    // A shape belongs to the old pitches.
                    chord.shape = None;
                }
                // So does a place on the neck; the move that a kept note makes does not.
                for (_, cell) in &mut bar.thumb {
                    if let ThumbCell::Kept(thumb_move, ..) = *cell {
                        *cell = ThumbCell::Move(thumb_move);
                    }
                }
                for note in &mut bar.tune {
                    *note = note.moved(i32::from(semitones), transposition);
                }
                bar.thumb
                    .retain(|(_, cell)| matches!(cell, ThumbCell::Move(_)));
            }
        }
        self.key = transposition.key();
        Ok(())
    }
}

fn within(fits: bool, what: &'static str, range: &'static str) -> Result<(), EditError> {
    if fits {
        Ok(())
    } else {
        Err(EditError::OutOfRange { what, range })
    }
}

fn set_harmony(bar: &mut Bar, at: Ticks, harmony: Option<Harmony>) {
    let place = bar.chords.partition_point(|chord| chord.at < at);
    let present = bar.chords.get(place).is_some_and(|chord| chord.at == at);
    match (harmony, present) {
        (Some(harmony), true) => {
            if let Some(chord) = bar.chords.get_mut(place) {
                *chord = ChordAt {
                    at,
                    harmony,
                    shape: None,
                };
            }
        }
        (Some(harmony), false) => bar.chords.insert(
            place,
            ChordAt {
                at,
                harmony,
                shape: None,
            },
        ),
        (None, true) => {
            bar.chords.remove(place);
        }
        (None, false) => {}
    }
}

fn set_at<T>(cells: &mut Vec<(Ticks, T)>, at: Ticks, cell: Option<T>) {
    cells.retain(|(place, _)| *place != at);
    if let Some(cell) = cell {
        let place = cells.partition_point(|(other, _)| *other < at);
        cells.insert(place, (at, cell));
    }
}
