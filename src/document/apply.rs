//! Edits carried out: each is checked before anything changes, and a document is whole before and
//! after. The only place that changes a document.

use super::choruses::Choruses;
use super::choruses::MAX_CHORUSES;
use super::edit::BarPlace;
use super::edit::Edit;
use super::edit::EditError;
use super::practice::MAX_RUNGS;
use super::tune;
use super::tune::TUNE_OCTAVES;
use super::tune::TuneFault;
use super::tune::TuneNote;
use super::types::Bar;
use super::types::ChordAt;
use super::types::Document;
use super::types::Feel;
use super::types::LAY_BACK_MS;
use super::types::MAX_BARS;
use super::types::SWING_PERMILLE;
use super::types::TEMPO_BPM;
use super::types::ThumbCell;
use crate::theory::Harmony;
use crate::theory::Meter;
use crate::theory::Ticks;
use crate::theory::Transposition;
use std::sync::Arc;

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
            Edit::SetTempo(_) | Edit::SetFeel(_) | Edit::SetLayBack(_) => self.set_pace(edit)?,
            Edit::SetHouseStyle(style) => self.house_style = *style,
            Edit::SetInstrument(instrument) => {
                let fits = instrument.check();
                fits.map_err(|error| EditError::Instrument(error.to_string()))?;
                self.instrument = Arc::new(instrument.clone());
            }
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
            Edit::SetChoruses(choruses) => self.set_choruses(*choruses)?,
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
            Edit::RenameSection { .. }
            | Edit::PutSection { .. }
            | Edit::DeleteSection { .. }
            | Edit::MoveSection { .. }
            | Edit::DivideSection { .. }
            | Edit::JoinSection { .. } => self.change_sections(edit)?,
            Edit::Transpose(semitones) => self.transpose(*semitones)?,
            Edit::KeepVersion(name) => self.keep_version(name)?,
            Edit::DropVersion(number) => self.drop_version(*number)?,
            Edit::TakeDocument { document, .. } => self.become_document(document),
            Edit::Together { edits, .. } => edits.iter().try_for_each(|edit| self.change(edit))?,
        }
        Ok(())
    }

    fn set_choruses(&mut self, choruses: Choruses) -> Result<(), EditError> {
        let range = 1..=MAX_CHORUSES;
        let fits = range.contains(&choruses.count) && range.contains(&choruses.on_sheet);
        within(fits, "the number of choruses", "1 to 12")?;
        self.choruses = choruses;
        Ok(())
    }

    /// Tempo, feel and lay-back; other edits are left to others.
    fn set_pace(&mut self, edit: &Edit) -> Result<(), EditError> {
        match edit {
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
            _ => {}
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
