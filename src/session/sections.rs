//! Whole sections, named, put, copied, moved, divided, joined and taken away. Chords go on sounding
//! until the next one is written, so every section keeps the chord that it began under, wherever it
//! goes; ties over an edge that is no more are taken away. Each is one edit.

use super::NoticeKind;
use super::Session;
use super::bars::Beside;
use super::bars::copies;
use super::bars::held_into;
use super::bars::keep_chord;
use super::status::Selection;
use super::status::bars_words;
use super::tune_draft::TuneDraft;
use crate::arrange::Place;
use crate::document::Bar;
use crate::document::ChordAt;
use crate::document::Document;
use crate::document::Edit;
use crate::document::Section;
use crate::document::SectionPlace;
use crate::theory::Harmony;
use crate::theory::Ticks;
use std::sync::Arc;

/// Bars of a section that is put in empty: half of a usual one (own choice).
const NEW_BARS: usize = 4;

/// The longest name of a section, in letters.
const LONGEST_NAME: usize = 40;

/// One thing done to the section of the selected bar.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum SectionDeed {
    /// Name it.
    Rename(String),
    /// Put an empty section before or after it.
    Insert(Beside),
    /// Put a copy of it after it.
    Duplicate,
    /// Move it behind the next one, or before the one before.
    Move {
        /// Whether it goes towards the end.
        later: bool,
    },
    /// Take it away with its bars.
    Delete,
    /// Begin a section with the selected bar.
    Begin,
    /// Make it a part of the section before it.
    Join,
}

/// The edit, and the section that is selected afterwards.
type Done = (Edit, usize);

/// What a deed changes; why not, in words for the user.
pub(super) fn edit_of(document: &Document, bar: usize, deed: SectionDeed) -> Result<Done, String> {
    let here = document.section_place(bar).ok_or("there is no bar yet")?;
    let (idx, n) = (here.idx, document.sections.len());
    let name = section_words(document, here);
    let all = || (0..n).map(Some).collect::<Vec<_>>();
    let (label, edit, order, then) = match deed {
        SectionDeed::Rename(name) => {
            let edit = Edit::RenameSection {
                section: idx,
                name: fit_name(&name)?,
            };
            return Ok((edit, idx));
        }
        SectionDeed::Insert(beside) => {
            let before = if beside == Beside::Before {
                idx
            } else {
                idx + 1
            };
            let section = Section {
                name: free_name(document),
                bars: vec![Bar::default(); NEW_BARS],
            };
            let mut order = all();
            order.insert(before, None);
            let label = format!("Insert section {}", section.name);
            (label, Edit::PutSection { before, section }, order, before)
        }
        SectionDeed::Duplicate => {
            let section = Section {
                name: section_name(document, idx),
                bars: copies(document, (here.first, here.last)).unwrap_or_default(),
            };
            let mut order = all();
            order.insert(idx + 1, None);
            let before = idx + 1;
            let edit = Edit::PutSection { before, section };
            (format!("Duplicate {name}"), edit, order, idx + 1)
        }
        SectionDeed::Move { later } => {
            let to = if later {
                Some(idx + 1)
            } else {
                idx.checked_sub(1)
            };
            let to = to.filter(|to| *to < n).ok_or_else(|| {
                let (end, side) = if later {
                    ("last", "after")
                } else {
                    ("first", "before")
                };
                format!("{name} is the {end} one; there is none {side} it")
            })?;
            let mut order = all();
            order.swap(idx, to);
            let edit = Edit::MoveSection { from: idx, to };
            (format!("Move {name}"), edit, order, to)
        }
        SectionDeed::Delete => {
            if n < 2 {
                return Err(
                    "a tune keeps at least one section; put another beside it first".into(),
                );
            }
            let mut order = all();
            order.remove(idx);
            let edit = Edit::DeleteSection { section: idx };
            (format!("Delete {name}"), edit, order, idx.min(n - 2))
        }
        SectionDeed::Begin => {
            let name = free_name(document);
            let edit = Edit::DivideSection { bar, name };
            document.apply(&edit).map_err(|error| error.to_string())?;
            return Ok((edit, idx + 1));
        }
        SectionDeed::Join => {
            let before = idx.checked_sub(1);
            let before = before.ok_or_else(|| format!("{name} is the first one"))?;
            return Ok((Edit::JoinSection { section: idx }, before));
        }
    };
    let edit = finish(document, label, edit, &order)?;
    Ok((edit, then))
}

/// An edit and what keeps every section as it sounded. `order` says which section of the document
/// each section is afterwards; `None` is a new one.
fn finish(
    document: &Document,
    label: String,
    edit: Edit,
    order: &[Option<usize>],
) -> Result<Edit, String> {
    let applied = |document: &Document, edit: &Edit| {
        let done = document.apply(edit);
        done.map_err(|error| error.to_string())
    };
    let mut after = applied(document, &edit)?;
    let mut edits = vec![edit];
    let before: Vec<SectionPlace> = document.section_places().collect();
    let places: Vec<SectionPlace> = after.section_places().collect();
    for (place, was) in places.iter().zip(order) {
        let was = was.and_then(|idx| before.get(idx));
        let held = was.and_then(|was| begun_under(document, was.first));
        for keep in keep_chord(held, &after, place.first) {
            after = applied(&after, &keep)?;
            edits.push(keep);
        }
    }
    // What was tied to a section that stands elsewhere now is struck.
    let mut tune = TuneDraft::new(&after);
    for place in &places {
        tune.touch(place.first);
    }
    edits.extend(tune.into_edits());
    Ok(Edit::Together { label, edits })
}

/// What sounds on into a section; silence where no chord has been written yet.
fn begun_under(document: &Document, first: usize) -> Option<ChordAt> {
    let at = Ticks(0);
    match document.harmony_at(first, at) {
        None => Some(ChordAt {
            at,
            harmony: Harmony::NoChord,
            shape: None,
        }),
        Some(_) => held_into(document, first),
    }
}

/// `section B`, `bars 5 to 8` of one without a name.
pub(super) fn section_words(document: &Document, place: SectionPlace) -> String {
    match section_name(document, place.idx) {
        name if name.is_empty() => bars_words((place.first, place.last)),
        name => format!("section {name}"),
    }
}

fn section_name(document: &Document, idx: usize) -> String {
    let section = document.sections.get(idx);
    section
        .map(|section| section.name.clone())
        .unwrap_or_default()
}

/// The first letter that no section is called by.
fn free_name(document: &Document) -> String {
    let taken = |name: &String| {
        document
            .sections
            .iter()
            .any(|section| section.name == *name)
    };
    let letters = ('A'..='Z').map(String::from);
    let mut free = letters.filter(|name| !taken(name));
    free.next().unwrap_or_default()
}

/// A name without white space around it.
///
/// # Errors
/// If a chart could not hold it.
fn fit_name(name: &str) -> Result<String, String> {
    let name = name.trim();
    if name.contains(['[', ']', '|', '#']) || name.contains(char::is_control) {
        return Err("a section's name can't have brackets, barlines or # in it".into());
    }
    if name.chars().count() > LONGEST_NAME {
        return Err(format!(
            "a section's name can have at most {LONGEST_NAME} letters"
        ));
    }
    Ok(name.into())
}

impl Session {
    /// Does something to the section of the selected bar and selects what came of it.
    pub(super) fn do_section(&mut self, deed: SectionDeed) {
        let document = Arc::clone(self.document());
        let stays = matches!(deed, SectionDeed::Rename(_));
        match edit_of(&document, self.selection.place.bar, deed) {
            Ok((edit, section)) => {
                self.history.close_step();
                self.edit(&edit);
                self.history.close_step();
                if !stays {
                    self.select_section(section);
                }
            }
            Err(why) => self.notify(NoticeKind::Info, why),
        }
    }

    /// Why something can't be done to the section of the selected bar; `None` if it can.
    #[must_use]
    pub fn why_not_section(&self, deed: SectionDeed) -> Option<String> {
        edit_of(self.document(), self.selection.place.bar, deed).err()
    }

    fn select_section(&mut self, idx: usize) {
        let place = self.document().section_places().nth(idx);
        if let Some(place) = place {
            self.select(Selection {
                place: Place {
                    bar: place.first,
                    at: Ticks(0),
                },
                to_bar: Some(place.last),
                ..self.selection
            });
        }
    }
}

#[cfg(test)]
mod tests;
