//! Whole bars with everything in them: copying, pasting, duplicating, inserting, deleting. Chords go
//! on sounding until the next one is written, so a copy begins with the chord it begins under, and
//! what follows an insertion or a gap keeps the chord it had. Each is one edit.

mod repeat;

use super::NoticeKind;
use super::Session;
use super::status::Selection;
use super::status::bars_words;
use super::tune_draft::TuneDraft;
use crate::arrange::Place;
use crate::document::Bar;
use crate::document::BarPlace;
use crate::document::ChordAt;
use crate::document::Document;
use crate::document::Edit;
use crate::document::Section;
use crate::export::chart_text;
use crate::import::chart;
use crate::theory::Harmony;
use crate::theory::Meter;
use crate::theory::Ticks;
use std::sync::Arc;

/// Where bars are put, seen from the selected ones.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Beside {
    /// Before them.
    Before,
    /// After them.
    After,
    /// In their place.
    Over,
}

/// One thing done to the selected bars.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum BarsDeed {
    /// Keep a copy for pasting.
    Copy,
    /// Keep a copy and take them away.
    Cut,
    /// Put the copy here, or the bars of a chart that was copied elsewhere as text.
    Paste(Beside, Option<String>),
    /// Put a copy of them after them.
    Duplicate,
    /// Put so many copies of them after them.
    Repeat(usize),
    /// Have them over and over until their section ends, in place of what is there.
    RepeatToEnd,
    /// Put an empty bar beside them.
    Insert(Beside),
    /// Take them away.
    Delete,
}

/// Bars that were copied.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Clip {
    bars: Vec<Bar>,
    meter: Meter,
    text: String,
}

impl Clip {
    /// A copy of bars, first and last included; `None` if they do not exist.
    #[must_use]
    pub fn of(document: &Document, (first, last): (usize, usize)) -> Option<Self> {
        let bars = copies(document, (first, last))?;
        let section = Section {
            name: String::new(),
            bars: bars.clone(),
        };
        let alone = Document {
            sections: vec![Arc::new(section)],
            title: String::new(),
            credits: String::new(),
            lesson_text: String::new(),
            ..document.clone()
        };
        Some(Self {
            bars,
            meter: document.meter,
            text: chart_text::write(&alone),
        })
    }

    /// What other programs get: the chords as chart text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}

/// Bars as they can stand elsewhere.
pub(super) fn copies(document: &Document, (first, last): (usize, usize)) -> Option<Vec<Bar>> {
    let count = last.checked_sub(first)? + 1;
    let mut bars: Vec<Bar> = document.bars().skip(first).take(count).cloned().collect();
    if bars.len() < count {
        return None;
    }
    let marks = bars.iter().filter(|bar| has_mark(bar));
    let whole = marks.clone().next().is_some_and(|bar| bar.repeat_start)
        && marks
            .clone()
            .next_back()
            .is_some_and(|bar| bar.repeat_times > 0 || bar.ending > 0);
    if !whole {
        // Half of a repeat would change where the rest goes back to.
        for bar in &mut bars {
            bar.repeat_start = false;
            bar.repeat_times = 0;
            bar.ending = 0;
        }
    }
    let begin = bars.first_mut()?;
    if let Some(note) = begin.tune.first_mut().filter(|note| note.at == Ticks(0)) {
        note.tied = false;
    }
    if let Some(chord) = held_into(document, first) {
        begin.chords.insert(0, chord);
    }
    Some(bars)
}

const fn has_mark(bar: &Bar) -> bool {
    bar.repeat_start || bar.repeat_times > 0 || bar.ending > 0
}

/// The chord that sounds on into a bar from before it; `None` if the bar begins with its own.
pub(super) fn held_into(document: &Document, bar: usize) -> Option<ChordAt> {
    let here = document.bar(bar)?;
    if here
        .chords
        .first()
        .is_some_and(|chord| chord.at == Ticks(0))
    {
        return None;
    }
    let before: Vec<&Bar> = document.bars().take(bar).collect();
    let held = before.iter().rev().find_map(|bar| bar.chords.last())?;
    Some(ChordAt {
        at: Ticks(0),
        ..held.clone()
    })
}

/// Edits that give a bar back the chord that sounded on into it, where another one would now.
pub(super) fn keep_chord(held: Option<ChordAt>, after: &Document, bar: usize) -> Vec<Edit> {
    let Some(held) = held else {
        return Vec::new();
    };
    let at = Ticks(0);
    // Before the first chord of a tune it is as silent as where none is to sound.
    let sounding = after.harmony_at(bar, at).unwrap_or(&Harmony::NoChord);
    if *sounding == held.harmony || after.bar(bar).is_none() {
        return Vec::new();
    }
    let mut edits = vec![Edit::SetHarmony {
        bar,
        at,
        harmony: Some(held.harmony),
    }];
    if held.shape.is_some() {
        edits.push(Edit::SetShape {
            bar,
            chord_idx: 0,
            shape: held.shape,
        });
    }
    edits
}

/// Puts bars beside others or in their place. Gives the edit and the first of the new bars.
///
/// # Errors
/// If the document has no room; why, in words for the user.
pub fn put(
    document: &Document,
    (first, last): (usize, usize),
    beside: Beside,
    bars: Vec<Bar>,
    verb: &str,
) -> Result<(Edit, usize), String> {
    let count = bars.len();
    let (place, start) = match beside {
        Beside::Before | Beside::Over => (BarPlace::Before(first), first),
        Beside::After => (BarPlace::After(last), last + 1),
    };
    let empty = bars.iter().all(|bar| *bar == Bar::default());
    let mut edits = vec![Edit::PutBars { place, bars }];
    let mut follows = start;
    if beside == Beside::Over {
        let (first, last) = (first + count, last + count);
        edits.push(Edit::DeleteBars { first, last });
        follows = last + 1 - count;
    }
    let label = match count {
        1 => format!("{verb} a bar"),
        count => format!("{verb} {count} bars"),
    };
    // An empty bar lets the chord before go on, as it did.
    let held = held_into(document, follows).filter(|_| !empty || beside == Beside::Over);
    finish(document, label, edits, held, start + count).map(|edit| (edit, start))
}

/// Takes bars away.
///
/// # Errors
/// If none would be left; in words for the user.
pub fn delete(document: &Document, (first, last): (usize, usize)) -> Result<Edit, String> {
    if last.saturating_sub(first) + 1 >= document.n_bars() {
        return Err("a tune keeps at least one bar; put another one beside it first".into());
    }
    let edits = vec![Edit::DeleteBars { first, last }];
    let label = format!("Delete {}", bars_words((first, last)));
    let held = held_into(document, last + 1);
    finish(document, label, edits, held, first)
}

fn finish(
    document: &Document,
    label: String,
    mut edits: Vec<Edit>,
    held: Option<ChordAt>,
    follows: usize,
) -> Result<Edit, String> {
    let mut after = document.clone();
    for edit in &edits {
        after = after.apply(edit).map_err(|error| error.to_string())?;
    }
    edits.extend(keep_chord(held, &after, follows));
    // What was tied to a bar that has gone is struck.
    let mut tune = TuneDraft::new(&after);
    tune.touch(follows);
    edits.extend(tune.into_edits());
    Ok(Edit::Together { label, edits })
}

/// The bars of a chart that was copied as text.
fn bars_of_text(text: &str, meter: Meter) -> Result<Vec<Bar>, String> {
    let nothing = "the clipboard holds no bars: copy bars here, or a chart as text";
    let (document, _) = chart::read(text).map_err(|_| nothing.to_owned())?;
    let bars: Vec<Bar> = document.bars().cloned().collect();
    if bars.is_empty() {
        return Err(nothing.into());
    }
    same_meter(document.meter, meter)?;
    Ok(bars)
}

fn same_meter(from: Meter, to: Meter) -> Result<(), String> {
    if from == to {
        return Ok(());
    }
    Err(format!(
        "these bars are in {from} and the tune is in {to}; change its metre first"
    ))
}

impl Session {
    /// The bars that were copied, if any were.
    #[must_use]
    pub const fn clip(&self) -> Option<&Clip> {
        self.clip.as_ref()
    }

    /// Does something to the selected bars and selects what came of it.
    pub(super) fn do_bars(&mut self, deed: BarsDeed) {
        if let Err(why) = self.try_bars(deed) {
            self.notify(NoticeKind::Info, why);
        }
    }

    fn try_bars(&mut self, deed: BarsDeed) -> Result<(), String> {
        let document = Arc::clone(self.document());
        let (first, last) = self.selection.bars();
        let last = last.min(document.n_bars().saturating_sub(1));
        let bars = (first, last);
        match deed {
            BarsDeed::Copy => self.copy_bars(&document, bars),
            BarsDeed::Cut => {
                let edit = delete(&document, bars)?;
                self.copy_bars(&document, bars);
                self.change_bars(&edit, first, 1);
            }
            BarsDeed::Delete => {
                let edit = delete(&document, bars)?;
                self.change_bars(&edit, first, 1);
            }
            BarsDeed::Duplicate => {
                let copies = copies(&document, bars).unwrap_or_default();
                self.put_bars(&document, Beside::After, copies, "Duplicate")?;
            }
            BarsDeed::Repeat(times) => {
                let copies = copies(&document, bars).unwrap_or_default();
                let all = repeat::times(&copies, times);
                let words = format!("Put {times} copies:");
                self.put_bars(&document, Beside::After, all, &words)?;
            }
            BarsDeed::RepeatToEnd => {
                let (edit, end) = repeat::to_end(&document, bars)?;
                self.change_bars(&edit, first, end - first + 1);
            }
            BarsDeed::Insert(beside) => {
                let empty = vec![Bar::default()];
                self.put_bars(&document, beside, empty, "Insert")?;
            }
            BarsDeed::Paste(beside, text) => {
                let own = self.clip.as_ref();
                let own = own.filter(|clip| text.as_ref().is_none_or(|text| *text == clip.text));
                let bars = match (own, text) {
                    (Some(clip), _) => {
                        same_meter(clip.meter, document.meter)?;
                        clip.bars.clone()
                    }
                    (None, Some(text)) => bars_of_text(&text, document.meter)?,
                    (None, None) => return Err("no bars were copied yet".into()),
                };
                self.put_bars(&document, beside, bars, "Paste")?;
            }
        }
        Ok(())
    }

    fn copy_bars(&mut self, document: &Document, bars: (usize, usize)) {
        self.clip = Clip::of(document, bars);
        let text = format!("copied {}", bars_words(bars));
        self.notify(NoticeKind::Info, text);
    }

    fn put_bars(
        &mut self,
        document: &Document,
        beside: Beside,
        bars: Vec<Bar>,
        verb: &str,
    ) -> Result<(), String> {
        let count = bars.len();
        let (first, last) = self.selection.bars();
        let last = last.min(document.n_bars().saturating_sub(1));
        let (edit, start) = put(document, (first, last), beside, bars, verb)?;
        self.change_bars(&edit, start, count);
        Ok(())
    }

    fn change_bars(&mut self, edit: &Edit, first: usize, count: usize) {
        self.history.close_step();
        self.edit(edit);
        self.select(Selection {
            place: Place {
                bar: first,
                at: Ticks(0),
            },
            to_bar: (count > 1).then_some(first + count - 1),
            ..self.selection
        });
    }
}

#[cfg(test)]
mod tests;
